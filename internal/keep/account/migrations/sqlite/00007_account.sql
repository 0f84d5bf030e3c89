-- +goose Up
-- A part of a record may share its schema with others, and the record book has a table
-- of that name.
ALTER TABLE session RENAME TO browser;
