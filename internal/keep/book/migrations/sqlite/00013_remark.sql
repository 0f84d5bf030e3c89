-- +goose Up
-- What somebody remarked about the signals of a spot check, which are known then. A
-- remark goes by the photo, so that it stays when the photo is measured anew.
CREATE TABLE remark (
    id      INTEGER PRIMARY KEY,
    line    TEXT NOT NULL,
    photo   TEXT NOT NULL,              -- the hash of the check's first photo
    who     TEXT NOT NULL,              -- as entered; may be empty
    remark  TEXT NOT NULL,
    made_at TEXT NOT NULL
) STRICT;
CREATE INDEX remark_of_photo ON remark(line, photo);
