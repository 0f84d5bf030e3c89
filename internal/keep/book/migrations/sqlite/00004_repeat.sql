-- +goose Up
-- Photos of one untouched tray compared: how far the same slice differs from photo
-- to photo. sd is JSON, the repeatability standard deviation (ISO 5725-2) of each
-- measure by its name in files, in that unit.
CREATE TABLE repeat_check (
    id      INTEGER PRIMARY KEY,
    photos  INTEGER NOT NULL,
    slices  INTEGER NOT NULL,
    mat     TEXT NOT NULL,
    sd      TEXT NOT NULL CHECK (json_valid(sd)),
    done_at TEXT NOT NULL
) STRICT;
