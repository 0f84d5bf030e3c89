-- +goose Up
-- People who sign in by an OpenID provider. One is invited by an e-mail address that
-- the provider has verified, or by the provider's own name for the person (subject),
-- which is kept from the first sign-in on and counts alone from then.
CREATE TABLE person (
    id         INTEGER PRIMARY KEY,
    email      TEXT NOT NULL,              -- lower case; empty for one invited by subject
    issuer     TEXT NOT NULL,              -- empty before the first sign-in
    subject    TEXT NOT NULL,              -- likewise
    invited_at TEXT NOT NULL
) STRICT;
CREATE UNIQUE INDEX person_email ON person (email) WHERE email <> '';
CREATE UNIQUE INDEX person_subject ON person (issuer, subject) WHERE subject <> '';

-- What a person is, and where. site is empty where these accounts are those of the
-- site itself; in an organisation's accounts the empty site is the organisation, and
-- its instructors are its owners.
CREATE TABLE place (
    person_id INTEGER NOT NULL REFERENCES person (id) ON DELETE CASCADE,
    site      TEXT NOT NULL,
    role      TEXT NOT NULL CHECK (role IN ('trainee', 'instructor', 'chef')),
    who       TEXT NOT NULL,               -- name there; a trainee's is in the roster
    PRIMARY KEY (person_id, site, role)
) STRICT;
CREATE INDEX place_of_site ON place (site);
