-- What is typed and cranked, only ever added to: triggers refuse any change or removal.

CREATE TABLE shelf (
    kind TEXT NOT NULL, id TEXT NOT NULL, revision INTEGER NOT NULL, at_ms INTEGER NOT NULL,
    body TEXT NOT NULL, PRIMARY KEY (kind, id, revision)) WITHOUT ROWID;

CREATE TABLE sessions (
    n INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, title TEXT NOT NULL,
    started_ms INTEGER NOT NULL, status TEXT NOT NULL, changed_ms INTEGER NOT NULL,
    record TEXT NOT NULL);

CREATE INDEX sessions_by_status ON sessions (status, changed_ms);

CREATE INDEX sessions_by_start ON sessions (started_ms);

CREATE TABLE events (
    session INTEGER NOT NULL REFERENCES sessions (n), seq INTEGER NOT NULL, at_ms INTEGER NOT NULL,
    zone_min INTEGER NOT NULL, tick_ms INTEGER NOT NULL, kind TEXT NOT NULL, body TEXT,
    PRIMARY KEY (session, seq)) WITHOUT ROWID;

CREATE TABLE measurements (
    session INTEGER NOT NULL, seq INTEGER NOT NULL, field TEXT NOT NULL, value REAL NOT NULL,
    typed TEXT NOT NULL, PRIMARY KEY (session, seq),
    FOREIGN KEY (session, seq) REFERENCES events (session, seq)) WITHOUT ROWID;

CREATE TABLE gauges (
    session INTEGER PRIMARY KEY REFERENCES sessions (n), yarn TEXT NOT NULL, cylinder TEXT NOT NULL,
    at_ms INTEGER NOT NULL, body TEXT NOT NULL);

CREATE INDEX gauges_by_yarn ON gauges (yarn, at_ms);

CREATE TRIGGER events_stay_as_written BEFORE UPDATE ON events
BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;

CREATE TRIGGER events_stay BEFORE DELETE ON events
BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;

CREATE TRIGGER shelf_stays_as_written BEFORE UPDATE ON shelf
BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;

CREATE TRIGGER shelf_stays BEFORE DELETE ON shelf
BEGIN SELECT RAISE(ABORT, 'a revision is never removed'); END;

CREATE TRIGGER sessions_start_as_written BEFORE UPDATE OF n, id, kind, started_ms, record ON sessions
BEGIN SELECT RAISE(ABORT, 'the start of a session is never changed'); END;

CREATE TRIGGER sessions_stay BEFORE DELETE ON sessions
BEGIN SELECT RAISE(ABORT, 'a session is never removed'); END;
