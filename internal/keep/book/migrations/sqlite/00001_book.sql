-- +goose Up
-- Times are RFC 3339 in UTC, dates YYYY-MM-DD, lengths mm, areas mm2, weights g.
-- Numbers ending in _u are expanded uncertainties (k = 2). Hashes are SHA-256 in
-- hexadecimal; a photo with a second one of the same tray has both in photo_hash
-- of its result, with + between them. Rows are added or, where said, corrected; none is ever deleted.

-- What photos were held against: the house standard, and everything else that
-- was told (species, thickness, sheet), each as JSON under the hash of that JSON.
CREATE TABLE asked (
    hash       TEXT PRIMARY KEY,
    standard   TEXT NOT NULL,              -- the standard's name
    json       TEXT NOT NULL,
    first_used TEXT NOT NULL
) STRICT;

-- One photo measured once: keyed by its content, what was asked of it, and the
-- program that measured it. The report is the JSON that `check --json` prints.
CREATE TABLE result (
    id          INTEGER PRIMARY KEY,
    photo_hash  TEXT NOT NULL,
    asked_hash  TEXT NOT NULL REFERENCES asked(hash),
    program     TEXT NOT NULL,             -- version
    status      TEXT NOT NULL CHECK (status IN ('measured', 'refused')),
    label       TEXT NOT NULL,             -- read from the mat, empty when it has none
    problem     TEXT NOT NULL,             -- first problem seen, empty when there is none
    report      TEXT NOT NULL CHECK (json_valid(report)),
    picture     BLOB,                      -- annotated JPEG, NULL when no mat was found
    measured_at TEXT NOT NULL,
    UNIQUE (photo_hash, asked_hash, program)
) STRICT;

-- The pieces of a result; numbers are NULL unless state is 'measured'.
CREATE TABLE piece (
    result_id    INTEGER NOT NULL REFERENCES result(id),
    number       INTEGER NOT NULL,
    state        TEXT NOT NULL,            -- measured, cut-off, touching, foreign
    x_mm         REAL NOT NULL, y_mm REAL NOT NULL, -- middle of its outline's box, mat frame
    verdict      TEXT,                     -- pass, fail, unsure
    length_mm    REAL, length_u_mm REAL,
    width_mm     REAL, width_u_mm  REAL,
    area_mm2     REAL, area_u_mm2  REAL,
    thickness_mm REAL,
    weight_g     REAL, weight_u_g  REAL,
    rice_cover   REAL,                     -- 0 to 1
    taper        REAL,
    faults       TEXT,                     -- comma-separated; a doubtful one ends in ?
    PRIMARY KEY (result_id, number)
) STRICT;

-- A class on one day, or one evening's practice.
CREATE TABLE session (
    id         INTEGER PRIMARY KEY,
    name       TEXT NOT NULL UNIQUE,
    held_on    TEXT NOT NULL,
    created_at TEXT NOT NULL
) STRICT;

-- One way of checking a session: a changed standard or program is another run,
-- and the earlier one stays. finished_at is NULL while photos are missing.
CREATE TABLE run (
    id          INTEGER PRIMARY KEY,
    session_id  INTEGER NOT NULL REFERENCES session(id),
    asked_hash  TEXT NOT NULL REFERENCES asked(hash),
    program     TEXT NOT NULL,
    started_at  TEXT NOT NULL,
    finished_at TEXT,
    UNIQUE (session_id, asked_hash, program)
) STRICT;

CREATE TABLE trainee (
    id   INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
) STRICT;

-- A photo file in a run. A later run of the same folder corrects whose it is and
-- whether the file is still there.
CREATE TABLE entry (
    id         INTEGER PRIMARY KEY,
    run_id     INTEGER NOT NULL REFERENCES run(id),
    file       TEXT NOT NULL,              -- path inside the folder
    result_id  INTEGER NOT NULL REFERENCES result(id),
    label      TEXT NOT NULL,
    label_from TEXT NOT NULL,              -- mat, folder, file
    trainee_id INTEGER REFERENCES trainee(id), -- NULL when not known
    note       TEXT NOT NULL,              -- why it is not known or not counted
    present    INTEGER NOT NULL CHECK (present IN (0, 1)),
    UNIQUE (run_id, file, result_id)
) STRICT;

-- Minutes a trainee took in a session, as entered; the last row counts.
CREATE TABLE pace (
    id         INTEGER PRIMARY KEY,
    session_id INTEGER NOT NULL REFERENCES session(id),
    trainee_id INTEGER NOT NULL REFERENCES trainee(id),
    minutes    REAL NOT NULL CHECK (minutes > 0),
    entered_at TEXT NOT NULL
) STRICT;

-- What a person decided about a piece; the last row for a piece counts. The
-- place tells the piece when another version numbers it otherwise.
CREATE TABLE override (
    id         INTEGER PRIMARY KEY,
    photo_hash TEXT NOT NULL,
    piece      INTEGER NOT NULL,
    x_mm       REAL NOT NULL,              -- middle of its outline's box, mat frame
    y_mm       REAL NOT NULL,
    kind       TEXT NOT NULL CHECK (kind IN ('not-a-slice', 'count-it')),
    reason     TEXT NOT NULL,
    made_at    TEXT NOT NULL
) STRICT;

-- Spot checks on the line: one photo is one subgroup. A photo measured anew, as
-- with a corrected thickness, has one row more; its last one counts.
CREATE TABLE spot_check (
    id         INTEGER PRIMARY KEY,
    line       TEXT NOT NULL,              -- name of the line, as entered
    who        TEXT NOT NULL,              -- cook or station, as entered; may be empty
    file       TEXT NOT NULL,
    result_id  INTEGER NOT NULL REFERENCES result(id),
    checked_at TEXT NOT NULL,
    UNIQUE (line, result_id)
) STRICT;

CREATE INDEX entry_of_trainee ON entry(trainee_id);
CREATE INDEX override_of_photo ON override(photo_hash);
