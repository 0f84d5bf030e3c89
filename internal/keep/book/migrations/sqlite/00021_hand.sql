-- +goose Up
-- The hand's other measures: what a tray came to is all that a hand is reckoned from, so
-- that a file of everybody's reads no reports. -1 values: kept before these were summed up.
ALTER TABLE tally ADD COLUMN thickness_n INTEGER NOT NULL DEFAULT -1;
ALTER TABLE tally ADD COLUMN thickness_mean REAL NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN thickness_sd REAL NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN thickness_aim REAL NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_n INTEGER NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_mean REAL NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_sd REAL NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_aim REAL NOT NULL DEFAULT 0;
