-- +goose Up
-- What a page shows once that was just made, such as links to print. Only whoever has
-- the page's address can read it: the address is the key to it, and is kept as a hash.
CREATE TABLE shown (
    hash       BLOB PRIMARY KEY,
    sealed     BLOB NOT NULL,
    expires_at INTEGER NOT NULL
) STRICT;
CREATE INDEX shown_until ON shown (expires_at);

-- Who tried something in vain, as a hash, and when all of it will be forgiven.
CREATE TABLE tried (
    hash        BLOB PRIMARY KEY,
    forgiven_at INTEGER NOT NULL        -- milliseconds
) STRICT;
CREATE INDEX tried_until ON tried (forgiven_at);
