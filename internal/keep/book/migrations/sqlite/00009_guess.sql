-- +goose Up
-- What people guessed of slices that they looked at, and what was true. id is the
-- phone's, so that a guess sent twice is kept once. measure is a measure's key, or
-- 'again'; guess, truth, u (expanded, of the truth) and within (how far off is still
-- right) are in its unit: mm, g, or 1 and 0 for yes and no.
CREATE TABLE guess (
    id         INTEGER PRIMARY KEY,
    token      TEXT NOT NULL,
    person     TEXT NOT NULL,
    card       TEXT NOT NULL, -- which slice was shown
    fish       TEXT NOT NULL, -- species, empty where none was told
    measure    TEXT NOT NULL,
    guess      REAL NOT NULL,
    truth      REAL NOT NULL,
    u          REAL NOT NULL,
    within     REAL NOT NULL,
    guessed_at TEXT NOT NULL,
    UNIQUE (person, token)
) STRICT;
CREATE INDEX guess_of_person ON guess(person, guessed_at);
