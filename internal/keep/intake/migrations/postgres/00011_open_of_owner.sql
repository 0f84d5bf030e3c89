-- +goose Up
-- As SQLite's of this number.
CREATE INDEX shot_open_of_owner ON shot (owner, number) WHERE state IN ('waiting', 'measuring');
