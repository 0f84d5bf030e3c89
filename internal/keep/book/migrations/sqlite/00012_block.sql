-- +goose Up
-- Blocks that a kitchen opened, and what became of them: masses in g, prices by kg in
-- its own money, 0 where none was told. closed_at is NULL while one is being cut.
CREATE TABLE block (
    id           INTEGER PRIMARY KEY,
    species      TEXT NOT NULL,
    supplier     TEXT NOT NULL,
    cutter       TEXT NOT NULL,
    grams        REAL NOT NULL,
    per_kg       REAL NOT NULL,
    planned      INTEGER NOT NULL, -- slices by the plan, 0 where none was made
    opened_at    TEXT NOT NULL,
    served       INTEGER NOT NULL DEFAULT 0,
    served_grams REAL NOT NULL DEFAULT 0,
    left_grams   REAL NOT NULL DEFAULT 0,
    closed_at    TEXT,
    remark       TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX block_closed ON block(closed_at);

-- What one shift handed over to the next, as it was said then: a list of phrase.Text as JSON.
CREATE TABLE handover (
    id      INTEGER PRIMARY KEY,
    line    TEXT NOT NULL,
    who     TEXT NOT NULL,
    remark  TEXT NOT NULL,
    summary TEXT NOT NULL CHECK (json_valid(summary)),
    made_at TEXT NOT NULL
) STRICT;
CREATE INDEX handover_of_line ON handover(line, made_at);
