-- What is known of a bench: how its probes are read, what a calibration learned, its heaters.
-- Each row is what one bench-fact line of the shop's record says, under that line's number; nothing is ever replaced.

CREATE TABLE bench_fact (
    sequence  bigint NOT NULL PRIMARY KEY,
    bench_key text   COLLATE "C" NOT NULL,
    bench     text   COLLATE "C" NOT NULL,
    kind      text   COLLATE "C" NOT NULL,
    at        text   COLLATE "C" NOT NULL,
    who       text   COLLATE "C" NOT NULL,
    fact      text   COLLATE "C" NOT NULL
);

CREATE INDEX bench_fact_by_bench ON bench_fact (bench_key, kind, sequence);

CREATE TRIGGER bench_fact_is_not_updated BEFORE UPDATE ON bench_fact
FOR EACH ROW EXECUTE FUNCTION refuse('facts of a bench are append-only');

CREATE TRIGGER bench_fact_is_not_deleted BEFORE DELETE ON bench_fact
FOR EACH ROW EXECUTE FUNCTION refuse('facts of a bench are append-only');

CREATE TRIGGER bench_fact_is_not_emptied BEFORE TRUNCATE ON bench_fact
FOR EACH STATEMENT EXECUTE FUNCTION refuse('facts of a bench are append-only');
