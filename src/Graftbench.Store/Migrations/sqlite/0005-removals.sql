-- Personal data can be taken out of a record on request. The guards let exactly that through, after the line that says so.

-- A line may lose words of its payload and of the name of its file, once a later line of its record names it.
DROP TRIGGER evidence_is_not_updated;

CREATE TRIGGER evidence_is_not_updated BEFORE UPDATE ON evidence
WHEN NEW.id <> OLD.id OR NEW.record_id <> OLD.record_id OR NEW.sequence <> OLD.sequence OR NEW.at <> OLD.at
    OR NEW.who <> OLD.who OR NEW.kind <> OLD.kind OR NEW.file_sha256 IS NOT OLD.file_sha256
    OR (NEW.file_name IS NULL) <> (OLD.file_name IS NULL) OR NEW.file_media_type IS NOT OLD.file_media_type
    OR NEW.previous_sha256 <> OLD.previous_sha256 OR NEW.sha256 <> OLD.sha256
    OR NOT EXISTS (
        SELECT 1 FROM evidence AS removal, json_each(removal.payload, '$.lines') AS line
        WHERE removal.record_id = OLD.record_id AND removal.kind = 'personal-data-removed'
            AND removal.sequence > OLD.sequence AND json_extract(line.value, '$.sequence') = OLD.sequence
    )
BEGIN
    SELECT RAISE(ABORT, 'evidence is append-only');
END;

-- A file may lose its content once, for every line that refers to it, a later line of that record names it; a file without
-- its content may get it back.
DROP TRIGGER file_is_not_updated;

CREATE TRIGGER file_is_not_updated BEFORE UPDATE ON file
WHEN NEW.id <> OLD.id OR NEW.sha256 <> OLD.sha256 OR NEW.length <> OLD.length
    OR NOT (
        (length(OLD.content) = 0 AND length(NEW.content) = OLD.length)
        OR (
            length(NEW.content) = 0
            AND NOT EXISTS (
                SELECT 1 FROM evidence AS line
                WHERE line.file_sha256 = OLD.sha256 AND NOT EXISTS (
                    SELECT 1 FROM evidence AS removal, json_each(removal.payload, '$.files') AS file
                    WHERE removal.record_id = line.record_id AND removal.kind = 'personal-data-removed'
                        AND removal.sequence > line.sequence AND json_extract(file.value, '$.sha256') = OLD.sha256
                )
            )
        )
    )
BEGIN
    SELECT RAISE(ABORT, 'files are kept as they came');
END;

-- The same for what was written down while a heat was watched.
DROP TRIGGER heat_mark_is_not_updated;

CREATE TRIGGER heat_mark_is_not_updated BEFORE UPDATE ON heat_mark
WHEN NEW.run_id <> OLD.run_id OR NEW.sequence <> OLD.sequence OR NEW.time_s <> OLD.time_s OR NEW.kind <> OLD.kind
    OR NOT EXISTS (
        SELECT 1 FROM heat_run AS run, evidence AS removal, json_each(removal.payload, '$.runs') AS named
        WHERE run.id = OLD.run_id AND removal.record_id = run.record_id AND removal.kind = 'personal-data-removed'
            AND named.value = run.id
    )
BEGIN
    SELECT RAISE(ABORT, 'marks are kept as they came');
END;

DROP TRIGGER heat_run_ends_once;

CREATE TRIGGER heat_run_ends_once BEFORE UPDATE ON heat_run
WHEN NEW.id <> OLD.id OR NEW.record_id <> OLD.record_id OR NEW.started_at <> OLD.started_at
    OR NEW.channels <> OLD.channels OR NEW.state = 'running'
    OR (OLD.state = 'running' AND NEW.setup <> OLD.setup)
    OR (
        OLD.state <> 'running'
        AND (
            NEW.who <> OLD.who OR NEW.state <> OLD.state OR NEW.ended_at IS NOT OLD.ended_at
            OR NEW.evidence IS NOT OLD.evidence
            OR NOT EXISTS (
                SELECT 1 FROM evidence AS removal, json_each(removal.payload, '$.runs') AS named
                WHERE removal.record_id = OLD.record_id AND removal.kind = 'personal-data-removed'
                    AND named.value = OLD.id
            )
        )
    )
BEGIN
    SELECT RAISE(ABORT, 'a run ends once and is then kept');
END;
