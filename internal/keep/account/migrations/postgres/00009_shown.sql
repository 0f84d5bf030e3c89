-- +goose Up
-- As SQLite's of this number.
CREATE TABLE shown (
    hash       BYTEA PRIMARY KEY,
    sealed     BYTEA NOT NULL,
    expires_at BIGINT NOT NULL
);
CREATE INDEX shown_until ON shown (expires_at);

CREATE TABLE tried (
    hash        BYTEA PRIMARY KEY,
    forgiven_at BIGINT NOT NULL
);
CREATE INDEX tried_until ON tried (forgiven_at);
