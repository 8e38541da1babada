-- Personal data can be taken out of a record on request. The guards let exactly that through, after the line that says so.

-- A line may lose words of its payload and of the name of its file, once a later line of its record names it.
CREATE OR REPLACE FUNCTION refuse_other_than_removal() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (NEW.id, NEW.record_id, NEW.sequence, NEW.at, NEW.who, NEW.kind, NEW.file_sha256, NEW.file_name IS NULL,
            NEW.file_media_type, NEW.previous_sha256, NEW.sha256)
        IS DISTINCT FROM (OLD.id, OLD.record_id, OLD.sequence, OLD.at, OLD.who, OLD.kind, OLD.file_sha256,
            OLD.file_name IS NULL, OLD.file_media_type, OLD.previous_sha256, OLD.sha256)
        OR NOT EXISTS (
            SELECT 1 FROM evidence AS removal
            WHERE removal.record_id = OLD.record_id AND removal.kind = 'personal-data-removed'
                AND removal.sequence > OLD.sequence
                AND removal.payload::jsonb -> 'lines' @> jsonb_build_array(jsonb_build_object('sequence', OLD.sequence))
        )
    THEN
        RAISE EXCEPTION 'evidence is append-only';
    END IF;
    RETURN NEW;
END;
$$;

DROP TRIGGER evidence_is_not_updated ON evidence;

CREATE TRIGGER evidence_is_not_updated BEFORE UPDATE ON evidence
FOR EACH ROW EXECUTE FUNCTION refuse_other_than_removal();

-- A file may lose its content once, for every line that refers to it, a later line of that record names it; a file without
-- its content may get it back.
CREATE OR REPLACE FUNCTION refuse_other_than_emptying() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (NEW.id, NEW.sha256, NEW.length) IS DISTINCT FROM (OLD.id, OLD.sha256, OLD.length)
        OR NOT (
            (length(OLD.content) = 0 AND length(NEW.content) = OLD.length)
            OR (
                length(NEW.content) = 0
                AND NOT EXISTS (
                    SELECT 1 FROM evidence AS line
                    WHERE line.file_sha256 = OLD.sha256 AND NOT EXISTS (
                        SELECT 1 FROM evidence AS removal
                        WHERE removal.record_id = line.record_id AND removal.kind = 'personal-data-removed'
                            AND removal.sequence > line.sequence
                            AND removal.payload::jsonb -> 'files'
                                @> jsonb_build_array(jsonb_build_object('sha256', OLD.sha256))
                    )
                )
            )
        )
    THEN
        RAISE EXCEPTION 'files are kept as they came';
    END IF;
    RETURN NEW;
END;
$$;

DROP TRIGGER file_is_not_updated ON file;

CREATE TRIGGER file_is_not_updated BEFORE UPDATE ON file
FOR EACH ROW EXECUTE FUNCTION refuse_other_than_emptying();

-- The same for what was written down while a heat was watched.
CREATE OR REPLACE FUNCTION is_run_named_by_removal(its_id text, its_record text) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (
        SELECT 1 FROM evidence AS removal
        WHERE removal.record_id = its_record AND removal.kind = 'personal-data-removed'
            AND removal.payload::jsonb -> 'runs' @> jsonb_build_array(its_id)
    );
$$;

CREATE OR REPLACE FUNCTION refuse_other_mark() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (NEW.run_id, NEW.sequence, NEW.time_s, NEW.kind) IS DISTINCT FROM (OLD.run_id, OLD.sequence, OLD.time_s, OLD.kind)
        OR NOT is_run_named_by_removal(OLD.run_id, (SELECT record_id FROM heat_run WHERE id = OLD.run_id))
    THEN
        RAISE EXCEPTION 'marks are kept as they came';
    END IF;
    RETURN NEW;
END;
$$;

DROP TRIGGER heat_mark_is_not_updated ON heat_mark;

CREATE TRIGGER heat_mark_is_not_updated BEFORE UPDATE ON heat_mark
FOR EACH ROW EXECUTE FUNCTION refuse_other_mark();

CREATE OR REPLACE FUNCTION refuse_other_run() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (NEW.id, NEW.record_id, NEW.started_at, NEW.channels)
            IS DISTINCT FROM (OLD.id, OLD.record_id, OLD.started_at, OLD.channels)
        OR NEW.state = 'running'
        OR (OLD.state = 'running' AND NEW.setup <> OLD.setup)
        OR (
            OLD.state <> 'running'
            AND (
                (NEW.who, NEW.state, NEW.ended_at, NEW.evidence)
                    IS DISTINCT FROM (OLD.who, OLD.state, OLD.ended_at, OLD.evidence)
                OR NOT is_run_named_by_removal(OLD.id, OLD.record_id)
            )
        )
    THEN
        RAISE EXCEPTION 'a run ends once and is then kept';
    END IF;
    RETURN NEW;
END;
$$;

DROP TRIGGER heat_run_ends_once ON heat_run;

CREATE TRIGGER heat_run_ends_once BEFORE UPDATE ON heat_run
FOR EACH ROW EXECUTE FUNCTION refuse_other_run();
