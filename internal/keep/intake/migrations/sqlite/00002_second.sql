-- +goose Up
-- Second photos of a tray, taken from another place. The last one of a shot counts
-- that was not found of no use. Nothing is ever deleted.
CREATE TABLE second (
    number   INTEGER PRIMARY KEY AUTOINCREMENT,
    id       TEXT NOT NULL UNIQUE,        -- 128 random bits; also its file's name
    shot     INTEGER NOT NULL REFERENCES shot (number),
    name     TEXT NOT NULL,               -- the file's own name, to be shown only
    format   TEXT NOT NULL CHECK (format IN ('jpg', 'png', 'heic')),
    bytes    INTEGER NOT NULL,
    hash     TEXT NOT NULL,               -- of the content
    received TEXT NOT NULL,
    useless  INTEGER NOT NULL DEFAULT 0   -- 1: the program could not measure with it
) STRICT;

CREATE INDEX second_of_shot ON second (shot, number);

CREATE VIEW pair AS
SELECT shot.*, coalesce(b.id, '') AS second_id, coalesce(b.name, '') AS second_name, coalesce(b.format, '') AS second_format,
       coalesce(b.bytes, 0) AS second_bytes, coalesce(b.hash, '') AS second_hash,
       EXISTS (SELECT 1 FROM second WHERE second.shot = shot.number AND useless = 1 AND number > coalesce(b.number, 0)) AS second_useless
FROM shot LEFT JOIN second b ON b.number = (SELECT max(number) FROM second WHERE second.shot = shot.number AND useless = 0);
