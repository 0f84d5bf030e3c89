-- +goose Up
-- What an organisation of several sites knows beside their own records. Times are RFC
-- 3339 in UTC. Nothing is deleted but titles, which may be said anew, and the moves of a
-- person whose records are deleted.

-- A site: its name is that of its record and in cookies and links. The original one
-- was there before the organisation, so its links have no name in them.
CREATE TABLE site (
    name      TEXT PRIMARY KEY,
    original  INTEGER NOT NULL,
    made_at   TEXT NOT NULL,
    closed_at TEXT NOT NULL DEFAULT ''      -- empty while it is open
);

-- What people call a site, by language.
CREATE TABLE title (
    site     TEXT NOT NULL REFERENCES site (name),
    language TEXT NOT NULL,
    title    TEXT NOT NULL,
    PRIMARY KEY (site, language)
);

-- Who moved from one site to another. Each keeps its own record of the person.
CREATE TABLE move (
    id        INTEGER PRIMARY KEY,
    from_site TEXT NOT NULL,
    from_who  TEXT NOT NULL,
    to_site   TEXT NOT NULL,
    to_who    TEXT NOT NULL,
    by_whom   TEXT NOT NULL,
    moved_at  TEXT NOT NULL
);
CREATE INDEX move_to ON move (to_site, to_who);
