-- +goose Up
-- Exams. What was done is the row of acts, each chained by its hash to all before it;
-- everything else about an exam is reckoned from them (package judge/exam).
CREATE TABLE exam (
    id        INTEGER PRIMARY KEY,
    name      TEXT NOT NULL UNIQUE,
    closed_at TEXT                          -- as its last act says; NULL before
) STRICT;

CREATE TABLE exam_act (
    exam_id INTEGER NOT NULL REFERENCES exam(id),
    place   INTEGER NOT NULL,               -- from 1
    act     TEXT NOT NULL CHECK (json_valid(act)),
    hash    TEXT NOT NULL,                  -- of the hash before and the act
    PRIMARY KEY (exam_id, place)
) STRICT;

-- Whose number is whose. The acts have only the SHA-256 of salt and name, so that a
-- name can be deleted here and the row of acts stays whole.
CREATE TABLE exam_name (
    exam_id INTEGER NOT NULL REFERENCES exam(id),
    number  INTEGER NOT NULL,
    name    TEXT NOT NULL,
    salt    TEXT NOT NULL,
    PRIMARY KEY (exam_id, number),
    UNIQUE (exam_id, name)
) STRICT;
CREATE INDEX exam_of_name ON exam_name(name, exam_id);
