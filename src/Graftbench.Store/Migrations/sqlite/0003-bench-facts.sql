-- What is known of a bench: how its probes are read, what a calibration learned, its heaters.
-- Each row is what one bench-fact line of the shop's record says, under that line's number; nothing is ever replaced.

CREATE TABLE bench_fact (
    sequence  INTEGER NOT NULL PRIMARY KEY,
    bench_key TEXT    NOT NULL,
    bench     TEXT    NOT NULL,
    kind      TEXT    NOT NULL,
    at        TEXT    NOT NULL,
    who       TEXT    NOT NULL,
    fact      TEXT    NOT NULL
) STRICT;

CREATE INDEX bench_fact_by_bench ON bench_fact (bench_key, kind, sequence);

CREATE TRIGGER bench_fact_is_not_updated BEFORE UPDATE ON bench_fact
BEGIN
    SELECT RAISE(ABORT, 'facts of a bench are append-only');
END;

CREATE TRIGGER bench_fact_is_not_deleted BEFORE DELETE ON bench_fact
BEGIN
    SELECT RAISE(ABORT, 'facts of a bench are append-only');
END;

CREATE TRIGGER bench_fact_is_not_replaced BEFORE INSERT ON bench_fact
WHEN EXISTS (SELECT 1 FROM bench_fact WHERE sequence = NEW.sequence)
BEGIN
    SELECT RAISE(ABORT, 'facts of a bench are append-only');
END;
