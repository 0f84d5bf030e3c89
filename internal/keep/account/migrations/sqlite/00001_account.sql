-- +goose Up
-- Who may open which page. Secrets are kept only as what they can be checked
-- against: passcodes as Argon2id, links and sessions as SHA-256 of 256 random
-- bits. Times are seconds since 1970.

-- Passcodes of the people who are no trainees.
CREATE TABLE passcode (
    id         INTEGER PRIMARY KEY,
    role       TEXT NOT NULL CHECK (role IN ('instructor', 'chef')),
    name       TEXT NOT NULL UNIQUE,       -- whose it is, as entered
    hash       TEXT NOT NULL,              -- $argon2id$…
    created_at INTEGER NOT NULL
) STRICT;

-- A trainee's own link. A new one takes the old one's place.
CREATE TABLE link (
    trainee    TEXT PRIMARY KEY,           -- name in the roster
    hash       BLOB NOT NULL UNIQUE,
    created_at INTEGER NOT NULL
) STRICT;

-- Signed-in browsers.
CREATE TABLE session (
    hash       BLOB PRIMARY KEY,
    role       TEXT NOT NULL CHECK (role IN ('trainee', 'instructor', 'chef')),
    who        TEXT NOT NULL,
    limited    INTEGER NOT NULL CHECK (limited IN (0, 1)), -- by class code: sees only what it sent
    passcode   INTEGER REFERENCES passcode(id) ON DELETE CASCADE,
    expires_at INTEGER NOT NULL
) STRICT;

-- What a session limited to its own photos has sent.
CREATE TABLE sent (
    session BLOB NOT NULL REFERENCES session(hash) ON DELETE CASCADE,
    shot    TEXT NOT NULL,
    PRIMARY KEY (session, shot)
) STRICT;

-- The code that lets a class in; it is on the board, so it is no secret.
CREATE TABLE class_code (
    only INTEGER PRIMARY KEY CHECK (only = 1),
    code TEXT NOT NULL
) STRICT;
