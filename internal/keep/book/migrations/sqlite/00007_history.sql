-- +goose Up
-- What a long history asks of the book: places to look, and what earlier classes
-- came to, so that nobody reads all their reports again.
CREATE INDEX entry_of_result ON entry(result_id);
CREATE INDEX result_of_photo ON result(substr(photo_hash, 1, 64)); -- the first photo's hash
CREATE INDEX spot_check_of_line ON spot_check(line, checked_at, id);

-- changes counts the changes of what a run's grades rest on: photos entered, minutes,
-- decisions about pieces. graded_at is that count when the grades below were kept, NULL before.
ALTER TABLE run ADD COLUMN changes INTEGER NOT NULL DEFAULT 0;
ALTER TABLE run ADD COLUMN graded_at INTEGER;

-- The grades of a run in percent, of those who have one. They hold while the run's
-- changes are its graded_at; else they are reckoned anew and replaced.
CREATE TABLE grade (
    run_id     INTEGER NOT NULL REFERENCES run(id),
    trainee_id INTEGER NOT NULL REFERENCES trainee(id),
    percent    REAL NOT NULL,
    PRIMARY KEY (run_id, trainee_id)
) STRICT;
CREATE INDEX grade_of_trainee ON grade(trainee_id);
