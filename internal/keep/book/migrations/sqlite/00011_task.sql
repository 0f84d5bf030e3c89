-- +goose Up
-- Tasks that a teacher may give to one class after another: task.Task as JSON.
CREATE TABLE task (
    name    TEXT PRIMARY KEY,
    task    TEXT NOT NULL CHECK (json_valid(task)),
    made_at TEXT NOT NULL
) STRICT;

-- What was given to a class: the task as it was then, and the tray that is the
-- class's reference.
CREATE TABLE assignment (
    class     TEXT PRIMARY KEY, -- its name
    task      TEXT CHECK (json_valid(task)), -- NULL where it has none
    reference TEXT NOT NULL DEFAULT ''       -- ID of the shot, empty where there is none
) STRICT;
