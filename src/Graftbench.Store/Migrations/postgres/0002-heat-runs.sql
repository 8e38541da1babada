-- Heats that are watched: samples as they arrive, before the whole log becomes evidence.
-- Times of samples are seconds since the run's start by a clock that never jumps; readings are little-endian doubles in the
-- order of the run's channels, NaN where there is none.

CREATE TABLE heat_run (
    id         text   COLLATE "C" NOT NULL PRIMARY KEY,
    record_id  text   COLLATE "C" NOT NULL REFERENCES record (id),
    started_at text   COLLATE "C" NOT NULL,
    who        text   COLLATE "C" NOT NULL,
    setup      text   COLLATE "C" NOT NULL,
    channels   text   COLLATE "C" NOT NULL,
    state      text   COLLATE "C" NOT NULL CHECK (state IN ('running', 'ended', 'interrupted')),
    ended_at   text   COLLATE "C",
    evidence   bigint
);

CREATE INDEX heat_run_by_record ON heat_run (record_id, started_at);

CREATE TABLE heat_sample (
    run_id   text   COLLATE "C" NOT NULL REFERENCES heat_run (id),
    sequence bigint NOT NULL,
    time_s   double precision NOT NULL,
    readings bytea  NOT NULL,
    PRIMARY KEY (run_id, sequence)
);

CREATE TABLE heat_mark (
    run_id   text   COLLATE "C" NOT NULL REFERENCES heat_run (id),
    sequence bigint NOT NULL,
    time_s   double precision NOT NULL,
    kind     text   COLLATE "C" NOT NULL,
    text     text   COLLATE "C" NOT NULL,
    PRIMARY KEY (run_id, sequence)
);

CREATE FUNCTION refuse_late_sample() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM 1 FROM heat_run WHERE id = NEW.run_id AND state <> 'running';
    IF FOUND THEN
        RAISE EXCEPTION 'the run is over';
    END IF;
    RETURN NEW;
END;
$$;

CREATE TRIGGER heat_sample_is_not_updated BEFORE UPDATE ON heat_sample
FOR EACH ROW EXECUTE FUNCTION refuse('samples are kept as they came');

CREATE TRIGGER heat_sample_is_not_deleted BEFORE DELETE ON heat_sample
FOR EACH ROW EXECUTE FUNCTION refuse('samples are kept as they came');

CREATE TRIGGER heat_sample_is_not_emptied BEFORE TRUNCATE ON heat_sample
FOR EACH STATEMENT EXECUTE FUNCTION refuse('samples are kept as they came');

CREATE TRIGGER heat_sample_is_not_late BEFORE INSERT ON heat_sample
FOR EACH ROW EXECUTE FUNCTION refuse_late_sample();

CREATE TRIGGER heat_mark_is_not_updated BEFORE UPDATE ON heat_mark
FOR EACH ROW EXECUTE FUNCTION refuse('marks are kept as they came');

CREATE TRIGGER heat_mark_is_not_deleted BEFORE DELETE ON heat_mark
FOR EACH ROW EXECUTE FUNCTION refuse('marks are kept as they came');

CREATE TRIGGER heat_mark_is_not_emptied BEFORE TRUNCATE ON heat_mark
FOR EACH STATEMENT EXECUTE FUNCTION refuse('marks are kept as they came');

CREATE TRIGGER heat_run_is_not_deleted BEFORE DELETE ON heat_run
FOR EACH ROW EXECUTE FUNCTION refuse('runs are kept');

CREATE TRIGGER heat_run_is_not_emptied BEFORE TRUNCATE ON heat_run
FOR EACH STATEMENT EXECUTE FUNCTION refuse('runs are kept');

CREATE TRIGGER heat_run_ends_once BEFORE UPDATE ON heat_run
FOR EACH ROW WHEN (
    OLD.state <> 'running'
    OR NEW.id <> OLD.id OR NEW.record_id <> OLD.record_id OR NEW.started_at <> OLD.started_at
    OR NEW.setup <> OLD.setup OR NEW.channels <> OLD.channels OR NEW.state = 'running'
)
EXECUTE FUNCTION refuse('a run ends once and is then kept');
