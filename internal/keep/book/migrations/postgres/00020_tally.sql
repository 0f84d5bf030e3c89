-- +goose Up
-- What each tray came to, in numbers: sums over days, and over sites, are taken from
-- here, so that nobody reads all their reports. One row a photo, as it was last measured
-- and decided about; trays of exams, and those that do not count, have none.
CREATE TABLE tally (
    kind        TEXT NOT NULL CHECK (kind IN ('class', 'line')),
    name        TEXT NOT NULL,               -- of the class or line
    photo       TEXT NOT NULL,               -- hash of the first photo
    result_id   BIGINT NOT NULL REFERENCES result(id) ON DELETE CASCADE,
    day         TEXT NOT NULL,               -- of the class, or of the check where it was taken
    at          TEXT NOT NULL,               -- when it was taken; of a class its day
    good        BIGINT NOT NULL,            -- slices within tolerance
    slices      BIGINT NOT NULL,            -- that have a verdict
    missing     BIGINT NOT NULL,            -- that have none
    length_n    BIGINT NOT NULL,            -- values that count, their mean, their standard deviation and the house's aim: mm
    length_mean DOUBLE PRECISION NOT NULL,
    length_sd   DOUBLE PRECISION NOT NULL,
    length_aim  DOUBLE PRECISION NOT NULL,
    width_n     BIGINT NOT NULL,
    width_mean  DOUBLE PRECISION NOT NULL,
    width_sd    DOUBLE PRECISION NOT NULL,
    width_aim   DOUBLE PRECISION NOT NULL,
    weight_n    BIGINT NOT NULL,            -- g
    weight_mean DOUBLE PRECISION NOT NULL,
    weight_sd   DOUBLE PRECISION NOT NULL,
    weight_aim  DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (kind, name, photo)
);
CREATE INDEX tally_of_day ON tally (day);
CREATE INDEX tally_in_time ON tally (kind, name, at, result_id);
CREATE INDEX tally_of_photo ON tally (photo);
