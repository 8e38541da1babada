-- Heats that are watched: samples as they arrive, before the whole log becomes evidence.
-- Times of samples are seconds since the run's start by a clock that never jumps; readings are little-endian doubles in the
-- order of the run's channels, NaN where there is none.

CREATE TABLE heat_run (
    id         TEXT    NOT NULL PRIMARY KEY,
    record_id  TEXT    NOT NULL REFERENCES record (id),
    started_at TEXT    NOT NULL,
    who        TEXT    NOT NULL,
    setup      TEXT    NOT NULL,
    channels   TEXT    NOT NULL,
    state      TEXT    NOT NULL CHECK (state IN ('running', 'ended', 'interrupted')),
    ended_at   TEXT,
    evidence   INTEGER
) STRICT;

CREATE INDEX heat_run_by_record ON heat_run (record_id, started_at);

CREATE TABLE heat_sample (
    run_id   TEXT    NOT NULL REFERENCES heat_run (id),
    sequence INTEGER NOT NULL,
    time_s   REAL    NOT NULL,
    readings BLOB    NOT NULL,
    PRIMARY KEY (run_id, sequence)
) STRICT, WITHOUT ROWID;

CREATE TABLE heat_mark (
    run_id   TEXT    NOT NULL REFERENCES heat_run (id),
    sequence INTEGER NOT NULL,
    time_s   REAL    NOT NULL,
    kind     TEXT    NOT NULL,
    text     TEXT    NOT NULL,
    PRIMARY KEY (run_id, sequence)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER heat_sample_is_not_updated BEFORE UPDATE ON heat_sample
BEGIN
    SELECT RAISE(ABORT, 'samples are kept as they came');
END;

CREATE TRIGGER heat_sample_is_not_deleted BEFORE DELETE ON heat_sample
BEGIN
    SELECT RAISE(ABORT, 'samples are kept as they came');
END;

CREATE TRIGGER heat_sample_is_not_late BEFORE INSERT ON heat_sample
WHEN (SELECT state FROM heat_run WHERE id = NEW.run_id) <> 'running'
BEGIN
    SELECT RAISE(ABORT, 'the run is over');
END;

CREATE TRIGGER heat_mark_is_not_updated BEFORE UPDATE ON heat_mark
BEGIN
    SELECT RAISE(ABORT, 'marks are kept as they came');
END;

CREATE TRIGGER heat_mark_is_not_deleted BEFORE DELETE ON heat_mark
BEGIN
    SELECT RAISE(ABORT, 'marks are kept as they came');
END;

CREATE TRIGGER heat_run_is_not_deleted BEFORE DELETE ON heat_run
BEGIN
    SELECT RAISE(ABORT, 'runs are kept');
END;

CREATE TRIGGER heat_run_ends_once BEFORE UPDATE ON heat_run
WHEN OLD.state <> 'running'
    OR NEW.id <> OLD.id OR NEW.record_id <> OLD.record_id OR NEW.started_at <> OLD.started_at
    OR NEW.setup <> OLD.setup OR NEW.channels <> OLD.channels OR NEW.state = 'running'
BEGIN
    SELECT RAISE(ABORT, 'a run ends once and is then kept');
END;
