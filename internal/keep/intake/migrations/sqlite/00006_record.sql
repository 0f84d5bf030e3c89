-- +goose Up
-- A part of a record may share its schema with others, and the record book has a table
-- of that name. A view of all columns stands in the way of new ones: the program has it.
DROP VIEW pair;
ALTER TABLE session RENAME TO sent_to;
