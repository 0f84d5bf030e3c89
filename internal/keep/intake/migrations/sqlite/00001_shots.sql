-- +goose Up
-- Times are RFC 3339 in UTC, dates YYYY-MM-DD. JSON columns hold the Go types
-- named beside them. Nothing is ever deleted.

-- What photos are sent to: a class on one day, or a line.
CREATE TABLE session (
    kind    TEXT NOT NULL CHECK (kind IN ('class', 'line')),
    name    TEXT NOT NULL,
    held_on TEXT NOT NULL,                -- of a class, empty for a line
    told    TEXT NOT NULL CHECK (json_valid(told)), -- intake.Told its photos start from
    PRIMARY KEY (kind, name)
) STRICT;

-- One photo received. Its number is the order of receipt, whatever the clock said.
CREATE TABLE shot (
    number   INTEGER PRIMARY KEY AUTOINCREMENT,
    id       TEXT NOT NULL UNIQUE,        -- 128 random bits; also its file's name
    owner    TEXT NOT NULL,               -- account of the trainee or station that sent it
    who      TEXT NOT NULL,               -- name of the trainee, cook or station, for the book
    kind     TEXT NOT NULL,
    session  TEXT NOT NULL,
    told     TEXT NOT NULL CHECK (json_valid(told)), -- intake.Told
    name     TEXT NOT NULL,               -- the file's own name, to be shown only
    format   TEXT NOT NULL CHECK (format IN ('jpg', 'png', 'heic')),
    bytes    INTEGER NOT NULL,
    hash     TEXT NOT NULL,               -- of the content, as in the book
    received TEXT NOT NULL,
    state    TEXT NOT NULL CHECK (state IN ('waiting', 'measuring', 'measured', 'refused', 'failed')),
    turn     INTEGER NOT NULL DEFAULT 0,  -- how often it was asked for anew
    code     TEXT NOT NULL DEFAULT '',    -- why it was refused or failed, in one word
    why      TEXT NOT NULL DEFAULT '',    -- and in a sentence
    result   INTEGER NOT NULL DEFAULT 0,  -- id in the book, 0 when there is none
    FOREIGN KEY (kind, session) REFERENCES session (kind, name)
) STRICT;

CREATE INDEX shot_of_owner ON shot (owner, number);
CREATE INDEX shot_of_content ON shot (hash);
CREATE INDEX shot_of_session ON shot (kind, session, number);
CREATE INDEX shot_open ON shot (state, number) WHERE state IN ('waiting', 'measuring');
