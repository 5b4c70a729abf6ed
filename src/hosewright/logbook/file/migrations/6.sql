-- Until now triggers kept the lists up with a session's start, its standing and its readings. The store does.

DROP TRIGGER IF EXISTS catalogue_begins;

DROP TRIGGER IF EXISTS catalogue_follows;

DROP TRIGGER IF EXISTS catalogue_judged;
