-- +goose Up
-- In which order the slices of a tray were cut, as somebody told: a JSON list of their
-- numbers, empty for the order in which they are numbered, row by row. The last row of
-- a photo counts.
CREATE TABLE cut_order (
    id         INTEGER PRIMARY KEY,
    photo_hash TEXT NOT NULL,              -- of the first photo
    numbers    TEXT NOT NULL CHECK (json_valid(numbers)),
    who        TEXT NOT NULL,
    told_at    TEXT NOT NULL
) STRICT;
CREATE INDEX order_of_photo ON cut_order(photo_hash);
