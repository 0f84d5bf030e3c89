-- +goose Up
-- JPEG of the mat's field with nothing drawn on it, at the photo's resolution; NULL
-- when no mat was found, and for what was measured before there was this column.
ALTER TABLE result ADD COLUMN view BLOB;
