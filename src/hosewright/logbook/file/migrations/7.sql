-- What was put right of a session's start: ``record`` is the start as it really was, which everything reads, and
-- ``begun`` the frozen one where they differ. That one is never changed, wherever it stands.

ALTER TABLE sessions ADD COLUMN begun TEXT;

DROP TRIGGER sessions_start_as_written;

CREATE TRIGGER sessions_start_as_written BEFORE UPDATE OF n, id, kind, record, begun ON sessions
WHEN NEW.n IS NOT OLD.n OR NEW.id IS NOT OLD.id OR NEW.kind IS NOT OLD.kind
    OR coalesce(NEW.begun, NEW.record) IS NOT coalesce(OLD.begun, OLD.record)
BEGIN SELECT RAISE(ABORT, 'the start of a session is never changed'); END;

-- Why it is left out of gauges, pace and statistics, and whether it was cranked at all.
ALTER TABLE catalogue ADD COLUMN left_out TEXT NOT NULL DEFAULT '';

ALTER TABLE catalogue ADD COLUMN cranked INTEGER NOT NULL DEFAULT 1;

-- What things on the shelf are called by now that were renamed or turned out the same as others, by their ids.
CREATE TABLE called (
    kind TEXT NOT NULL, id TEXT NOT NULL, now TEXT NOT NULL, name TEXT NOT NULL, was TEXT NOT NULL,
    PRIMARY KEY (kind, id)) WITHOUT ROWID;
