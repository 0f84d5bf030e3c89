-- +goose Up
-- What was told of a tray is its job ticket, ticket.Ticket as JSON.
ALTER TABLE session RENAME COLUMN told TO ticket;
ALTER TABLE shot RENAME COLUMN told TO ticket;
