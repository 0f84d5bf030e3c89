-- +goose Up
-- What photos are measured with and held against is their job ticket: the table and
-- the columns that point to it have that name.
ALTER TABLE asked RENAME TO ticket;
ALTER TABLE result RENAME COLUMN asked_hash TO ticket_hash;
ALTER TABLE run RENAME COLUMN asked_hash TO ticket_hash;
