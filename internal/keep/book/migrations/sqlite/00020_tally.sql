-- +goose Up
-- What each tray came to, in numbers: sums over days, and over sites, are taken from
-- here, so that nobody reads all their reports. One row a photo, as it was last measured
-- and decided about; trays of exams, and those that do not count, have none.
CREATE TABLE tally (
    kind        TEXT NOT NULL CHECK (kind IN ('class', 'line')),
    name        TEXT NOT NULL,               -- of the class or line
    photo       TEXT NOT NULL,               -- hash of the first photo
    result_id   INTEGER NOT NULL REFERENCES result(id) ON DELETE CASCADE,
    day         TEXT NOT NULL,               -- of the class, or of the check where it was taken
    at          TEXT NOT NULL,               -- when it was taken; of a class its day
    good        INTEGER NOT NULL,            -- slices within tolerance
    slices      INTEGER NOT NULL,            -- that have a verdict
    missing     INTEGER NOT NULL,            -- that have none
    length_n    INTEGER NOT NULL,            -- values that count, their mean, their standard deviation and the house's aim: mm
    length_mean REAL NOT NULL,
    length_sd   REAL NOT NULL,
    length_aim  REAL NOT NULL,
    width_n     INTEGER NOT NULL,
    width_mean  REAL NOT NULL,
    width_sd    REAL NOT NULL,
    width_aim   REAL NOT NULL,
    weight_n    INTEGER NOT NULL,            -- g
    weight_mean REAL NOT NULL,
    weight_sd   REAL NOT NULL,
    weight_aim  REAL NOT NULL,
    PRIMARY KEY (kind, name, photo)
) STRICT;
CREATE INDEX tally_of_day ON tally (day);
CREATE INDEX tally_in_time ON tally (kind, name, at, result_id);
CREATE INDEX tally_of_photo ON tally (photo);
