-- +goose Up
-- The hand's other measures: what a tray came to is all that a hand is reckoned from, so
-- that a file of everybody's reads no reports. -1 values: kept before these were summed up.
ALTER TABLE tally ADD COLUMN thickness_n BIGINT NOT NULL DEFAULT -1;
ALTER TABLE tally ADD COLUMN thickness_mean DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN thickness_sd DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN thickness_aim DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_n BIGINT NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_mean DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_sd DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE tally ADD COLUMN skew_aim DOUBLE PRECISION NOT NULL DEFAULT 0;
