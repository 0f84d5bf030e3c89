-- +goose Up
-- When a photo was deleted, by the kitchen's rules or with its sender's records; empty
-- while it is there. What was measured of it stays in the book.
ALTER TABLE shot ADD COLUMN dropped TEXT NOT NULL DEFAULT '';
ALTER TABLE second ADD COLUMN dropped TEXT NOT NULL DEFAULT '';

-- Deletions of a person's records: asked for, under way, done. The name goes with the
-- records; what is left says when, why and how much.
CREATE TABLE removal (
    id       INTEGER PRIMARY KEY,
    name     TEXT NOT NULL,                 -- empty once it is done
    why      TEXT NOT NULL CHECK (why IN ('asked', 'instructor', 'age')),
    state    TEXT NOT NULL CHECK (state IN ('asked', 'going', 'done')),
    asked_at TEXT NOT NULL,
    done_at  TEXT NOT NULL DEFAULT '',
    photos   INTEGER NOT NULL DEFAULT 0,
    bytes    INTEGER NOT NULL DEFAULT 0,    -- of the photos
    results  INTEGER NOT NULL DEFAULT 0,
    guesses  INTEGER NOT NULL DEFAULT 0,
    words    INTEGER NOT NULL DEFAULT 0     -- rows that stay without the name
) STRICT;
CREATE UNIQUE INDEX removal_of_name ON removal (name) WHERE state <> 'done';
