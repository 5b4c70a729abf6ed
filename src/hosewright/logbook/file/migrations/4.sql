-- What sessions are found by. Nothing here is typed or cranked: the lists are filled from the first tables (see
-- lists.py). Versions 2 and 3 had lists of their own, which these replace.

DROP TRIGGER IF EXISTS catalogue_begins;

DROP TRIGGER IF EXISTS catalogue_follows;

DROP TRIGGER IF EXISTS catalogue_judged;

DROP TRIGGER IF EXISTS words_noted;

DROP TRIGGER IF EXISTS seen_observed;

DROP TRIGGER IF EXISTS seen_amended;

DROP TRIGGER IF EXISTS seen_struck;

DROP TABLE IF EXISTS catalogue;

DROP TABLE IF EXISTS words;

DROP TABLE IF EXISTS seen;

-- A line a session, for lists in any order.
CREATE TABLE catalogue (
    session INTEGER PRIMARY KEY REFERENCES sessions (n), on_top INTEGER NOT NULL, began INTEGER NOT NULL,
    changed INTEGER NOT NULL, title TEXT NOT NULL COLLATE NOCASE, yarn TEXT NOT NULL COLLATE NOCASE,
    machine TEXT NOT NULL COLLATE NOCASE, cylinder TEXT NOT NULL COLLATE NOCASE,
    wearer TEXT NOT NULL COLLATE NOCASE, kind TEXT NOT NULL, status TEXT NOT NULL,
    verdict TEXT NOT NULL COLLATE NOCASE, yarn_id TEXT NOT NULL, machine_id TEXT NOT NULL,
    cylinder_id TEXT NOT NULL, wearer_id TEXT NOT NULL, slots INTEGER NOT NULL, zone_min INTEGER NOT NULL,
    twin_of TEXT);

CREATE INDEX catalogue_by_began ON catalogue (on_top, began);

CREATE INDEX catalogue_by_changed ON catalogue (on_top, changed);

CREATE INDEX catalogue_by_title ON catalogue (on_top, title);

CREATE INDEX catalogue_by_yarn ON catalogue (on_top, yarn);

CREATE INDEX catalogue_by_machine ON catalogue (on_top, machine);

CREATE INDEX catalogue_by_cylinder ON catalogue (on_top, cylinder);

CREATE INDEX catalogue_by_wearer ON catalogue (on_top, wearer);

CREATE INDEX catalogue_by_kind ON catalogue (on_top, kind);

CREATE INDEX catalogue_by_status ON catalogue (on_top, status);

CREATE INDEX catalogue_by_verdict ON catalogue (on_top, verdict);

CREATE INDEX catalogue_of_yarn ON catalogue (yarn_id, began);

CREATE INDEX catalogue_of_machine ON catalogue (machine_id, cylinder_id);

-- Its words: a row numbered below zero for what it was started with, then one for every note as it is made.
CREATE VIRTUAL TABLE words USING fts5(
    session UNINDEXED, title, yarn, machine, cylinder, wearer, kind, verdict, notes,
    tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3');

-- Every fault, with its needle.
CREATE TABLE seen (
    session INTEGER NOT NULL REFERENCES sessions (n), seq INTEGER NOT NULL, fault TEXT NOT NULL,
    needle INTEGER, at_ms INTEGER NOT NULL, struck INTEGER NOT NULL, PRIMARY KEY (session, seq)) WITHOUT ROWID;

CREATE INDEX seen_by_fault ON seen (fault, session, struck);

CREATE INDEX sessions_by_change ON sessions (changed_ms);
