-- +goose Up
-- Whoever sends a photo is asked how many of theirs wait: not a look through all that
-- they ever sent.
CREATE INDEX shot_open_of_owner ON shot (owner, number) WHERE state IN ('waiting', 'measuring');
