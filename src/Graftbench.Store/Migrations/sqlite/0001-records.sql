-- Records, their evidence, the files that belong to it, and the two read models derived from it.
-- Times are UTC text of fixed width (2026-01-31T09:05:00.0000000Z); hashes are 64 small hexadecimal digits.

CREATE TABLE record (
    id          TEXT    NOT NULL PRIMARY KEY,
    lines       INTEGER NOT NULL,
    head_sha256 TEXT    NOT NULL
) STRICT;

CREATE TABLE file (
    id       INTEGER NOT NULL PRIMARY KEY,
    sha256   TEXT    NOT NULL UNIQUE,
    length   INTEGER NOT NULL,
    content  BLOB    NOT NULL
) STRICT;

CREATE TABLE evidence (
    id              INTEGER NOT NULL PRIMARY KEY,
    record_id       TEXT    NOT NULL REFERENCES record (id),
    sequence        INTEGER NOT NULL,
    at              TEXT    NOT NULL,
    who             TEXT    NOT NULL,
    kind            TEXT    NOT NULL,
    payload         TEXT    NOT NULL,
    file_sha256     TEXT    REFERENCES file (sha256),
    file_name       TEXT,
    file_media_type TEXT,
    previous_sha256 TEXT    NOT NULL,
    sha256          TEXT    NOT NULL,
    UNIQUE (record_id, sequence)
) STRICT;

CREATE INDEX evidence_by_file ON evidence (file_sha256) WHERE file_sha256 IS NOT NULL;

-- What the last job-saved line of a record says, kept apart so that it need not be looked for.
CREATE TABLE job (
    id         TEXT    NOT NULL PRIMARY KEY REFERENCES record (id),
    revision   INTEGER NOT NULL,
    changed_at TEXT    NOT NULL,
    document   TEXT    NOT NULL
) STRICT;

-- What the last shelf-saved line of a thing says.
CREATE TABLE shelf (
    id         TEXT    NOT NULL PRIMARY KEY,
    kind       TEXT    NOT NULL,
    title      TEXT    NOT NULL,
    revision   INTEGER NOT NULL,
    changed_at TEXT    NOT NULL,
    item       TEXT    NOT NULL
) STRICT;

CREATE INDEX shelf_by_kind ON shelf (kind, title, id);

-- Guards. They stop mistakes in this program; whoever owns the file can drop them, and the chain shows it.

CREATE TRIGGER evidence_is_not_updated BEFORE UPDATE ON evidence
BEGIN
    SELECT RAISE(ABORT, 'evidence is append-only');
END;

CREATE TRIGGER evidence_is_not_deleted BEFORE DELETE ON evidence
BEGIN
    SELECT RAISE(ABORT, 'evidence is append-only');
END;

CREATE TRIGGER evidence_follows_its_head BEFORE INSERT ON evidence
WHEN NOT EXISTS (
    SELECT 1 FROM record
    WHERE id = NEW.record_id AND lines = NEW.sequence - 1 AND head_sha256 = NEW.previous_sha256
)
BEGIN
    SELECT RAISE(ABORT, 'evidence must follow the head of its record');
END;

CREATE TRIGGER evidence_moves_its_head AFTER INSERT ON evidence
BEGIN
    UPDATE record SET lines = NEW.sequence, head_sha256 = NEW.sha256 WHERE id = NEW.record_id;
END;

CREATE TRIGGER record_only_grows BEFORE UPDATE ON record
WHEN NEW.id <> OLD.id OR NEW.lines <> OLD.lines + 1
BEGIN
    SELECT RAISE(ABORT, 'a record only grows');
END;

CREATE TRIGGER record_is_not_deleted BEFORE DELETE ON record
BEGIN
    SELECT RAISE(ABORT, 'a record only grows');
END;

CREATE TRIGGER record_is_not_replaced BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'a record only grows');
END;

CREATE TRIGGER file_is_not_updated BEFORE UPDATE ON file
BEGIN
    SELECT RAISE(ABORT, 'files are kept as they came');
END;

CREATE TRIGGER file_is_not_deleted BEFORE DELETE ON file
BEGIN
    SELECT RAISE(ABORT, 'files are kept as they came');
END;

CREATE TRIGGER file_is_not_replaced BEFORE INSERT ON file
WHEN EXISTS (SELECT 1 FROM file WHERE sha256 = NEW.sha256 OR id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'files are kept as they came');
END;
