-- +goose Up
-- What trainees said when they were asked whether trays may be kept under their names.
-- The last row of a name counts; all go with the name.
CREATE TABLE consent (
    id      INTEGER PRIMARY KEY,
    trainee TEXT NOT NULL,
    given   INTEGER NOT NULL CHECK (given IN (0, 1)),
    terms   TEXT NOT NULL,             -- which words, and the dates of keeping they spoke of
    said_at INTEGER NOT NULL
) STRICT;
CREATE INDEX consent_of_trainee ON consent (trainee, id);
