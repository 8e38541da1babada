-- What lists and searches of jobs ask for. All of it follows from the jobs and their evidence and can be made anew from them.
-- Words are small, without marks, each once, with a blank between them; they lie apart, so that lists are short to go through.

CREATE TABLE job_list (
    number     INTEGER NOT NULL PRIMARY KEY,
    id         TEXT    NOT NULL UNIQUE REFERENCES job (id),
    stage      TEXT    NOT NULL,
    changed_at TEXT    NOT NULL
) STRICT;

CREATE INDEX job_list_by_change ON job_list (changed_at, id);
CREATE INDEX job_list_by_stage ON job_list (stage, changed_at, id);

CREATE TABLE job_text (
    number         INTEGER NOT NULL PRIMARY KEY REFERENCES job_list (number),
    document_words TEXT    NOT NULL,
    evidence_words TEXT    NOT NULL
) STRICT;

CREATE VIRTUAL TABLE job_words USING fts5(words, content='', contentless_delete=1, tokenize='unicode61 remove_diacritics 0');

CREATE INDEX evidence_by_kind ON evidence (kind, record_id);
