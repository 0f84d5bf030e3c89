-- +goose Up
-- A person may also say that a slice is good or to be cut again, and take back what was
-- said; and it is kept who: SQLite changes a CHECK only by a new table.
CREATE TABLE decided (
    id         INTEGER PRIMARY KEY,
    photo_hash TEXT NOT NULL,              -- of the first photo
    piece      INTEGER NOT NULL,
    x_mm       REAL NOT NULL,              -- middle of its outline's box, mat frame
    y_mm       REAL NOT NULL,
    kind       TEXT NOT NULL CHECK (kind IN ('not-a-slice', 'count-it', 'said-good', 'said-again', 'as-measured')),
    reason     TEXT NOT NULL,
    made_at    TEXT NOT NULL,
    who        TEXT NOT NULL DEFAULT ''    -- the instructor who decided; empty where that is not known
) STRICT;
INSERT INTO decided (id, photo_hash, piece, x_mm, y_mm, kind, reason, made_at) SELECT id, photo_hash, piece, x_mm, y_mm, kind, reason, made_at FROM override;
DROP TABLE override;
ALTER TABLE decided RENAME TO override;
CREATE INDEX override_of_photo ON override(photo_hash);
