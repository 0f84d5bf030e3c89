-- +goose Up
-- Which of its sender's trays a photo of an exam shows, from 1; 0 elsewhere.
ALTER TABLE shot ADD COLUMN place INTEGER NOT NULL DEFAULT 0;
