-- +goose Up
-- What a kitchen sets, each text by the name that its file in a data folder has.
CREATE TABLE setting (
    name    TEXT COLLATE "C" PRIMARY KEY,
    content TEXT COLLATE "C" NOT NULL,
    kept_at TEXT COLLATE "C" NOT NULL
);
