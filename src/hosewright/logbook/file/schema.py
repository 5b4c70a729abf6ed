"""The logbook's tables, as named migrations in order. Each runs, and is recorded, in one transaction."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hosewright.logbook.file.find_tables import DYE_LOTS, FAULTS_AND_STRINGS, FOLLOWED_BY_THE_STORE
from hosewright.logbook.file.find_tables import TABLES as FIND_TABLES

if TYPE_CHECKING:
    import sqlite3

# A migration once released is never changed; a new one is added below it.
MIGRATIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "first tables",
        (
            """CREATE TABLE shelf (
                kind TEXT NOT NULL, id TEXT NOT NULL, revision INTEGER NOT NULL, at_ms INTEGER NOT NULL,
                body TEXT NOT NULL, PRIMARY KEY (kind, id, revision)) WITHOUT ROWID""",
            """CREATE TABLE sessions (
                n INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, title TEXT NOT NULL,
                started_ms INTEGER NOT NULL, status TEXT NOT NULL, changed_ms INTEGER NOT NULL,
                record TEXT NOT NULL)""",
            "CREATE INDEX sessions_by_status ON sessions (status, changed_ms)",
            "CREATE INDEX sessions_by_start ON sessions (started_ms)",
            """CREATE TABLE events (
                session INTEGER NOT NULL REFERENCES sessions (n), seq INTEGER NOT NULL, at_ms INTEGER NOT NULL,
                zone_min INTEGER NOT NULL, tick_ms INTEGER NOT NULL, kind TEXT NOT NULL, body TEXT,
                PRIMARY KEY (session, seq)) WITHOUT ROWID""",
            """CREATE TABLE measurements (
                session INTEGER NOT NULL, seq INTEGER NOT NULL, field TEXT NOT NULL, value REAL NOT NULL,
                typed TEXT NOT NULL, PRIMARY KEY (session, seq),
                FOREIGN KEY (session, seq) REFERENCES events (session, seq)) WITHOUT ROWID""",
            """CREATE TABLE gauges (
                session INTEGER PRIMARY KEY REFERENCES sessions (n), yarn TEXT NOT NULL, cylinder TEXT NOT NULL,
                at_ms INTEGER NOT NULL, body TEXT NOT NULL)""",
            "CREATE INDEX gauges_by_yarn ON gauges (yarn, at_ms)",
            """CREATE TRIGGER events_stay_as_written BEFORE UPDATE ON events
                BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END""",
            """CREATE TRIGGER events_stay BEFORE DELETE ON events
                BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END""",
            """CREATE TRIGGER shelf_stays_as_written BEFORE UPDATE ON shelf
                BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END""",
            """CREATE TRIGGER shelf_stays BEFORE DELETE ON shelf
                BEGIN SELECT RAISE(ABORT, 'a revision is never removed'); END""",
            """CREATE TRIGGER sessions_start_as_written BEFORE UPDATE OF n, id, kind, started_ms, record ON sessions
                BEGIN SELECT RAISE(ABORT, 'the start of a session is never changed'); END""",
            """CREATE TRIGGER sessions_stay BEFORE DELETE ON sessions
                BEGIN SELECT RAISE(ABORT, 'a session is never removed'); END""",
        ),
    ),
    ("find sessions", FIND_TABLES),
    ("find faults put right, and strings of socks", FAULTS_AND_STRINGS),
    (
        "the home screen as it was left, and dye lots among the words",
        (
            *FOLLOWED_BY_THE_STORE,
            *DYE_LOTS,
            "CREATE INDEX sessions_by_change ON sessions (changed_ms)",
            """CREATE TABLE glance (
                one INTEGER PRIMARY KEY CHECK (one = 1), stood TEXT NOT NULL, told TEXT NOT NULL)""",
        ),
    ),
    (
        "where each session stands, for the home screen",
        (
            "DROP TABLE glance",
            """CREATE TABLE standing (
                session INTEGER PRIMARY KEY REFERENCES sessions (n), made_by TEXT NOT NULL, seq INTEGER NOT NULL,
                place TEXT NOT NULL, hands TEXT NOT NULL, since_ms INTEGER NOT NULL, paused INTEGER NOT NULL,
                found TEXT NOT NULL)""",
        ),
    ),
)
VERSION = len(MIGRATIONS)
_MADE, _DROPPED = re.compile(r"CREATE (VIRTUAL )?(?:TABLE|INDEX|TRIGGER) (\w+)"), re.compile(r"DROP \w+ (\w+)")
_FTS5_PARTS = ("data", "idx", "content", "docsize", "config")  # sqlite.org/fts5.html, section 9: the tables behind one
APPLICATION_ID = 0x686F7365  # "hose": lets `file` and other tools tell a logbook from any other database


class NewerLogbookError(Exception):
    """The logbook was written by a newer hosewright."""


def version_of(db: sqlite3.Connection) -> int:
    """The version ``db`` is at, 0 when it is empty. Raises NewerLogbookError when it is past VERSION."""
    have: int = db.execute("PRAGMA user_version").fetchone()[0]
    if have > VERSION:
        raise NewerLogbookError(
            f"This logbook was written by a newer hosewright (its version is {have}, this one reads up to {VERSION}). "
            "Nothing was changed. Install the newer hosewright to open it."
        )
    return have


def migrate(db: sqlite3.Connection) -> None:
    """Bring ``db`` up to VERSION. Raises NewerLogbookError, changing nothing, when it is past that already."""
    for number in range(version_of(db) + 1, VERSION + 1):
        _, statements = MIGRATIONS[number - 1]
        db.execute("BEGIN IMMEDIATE")
        try:
            if version_of(db) >= number:  # another process was just as quick
                db.execute("ROLLBACK")
                continue
            for statement in statements:
                db.execute(statement)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {number}")
        except BaseException:
            db.execute("ROLLBACK")
            raise
        db.execute("COMMIT")


def names_of(version: int) -> frozenset[str]:
    """The names of what the statements make up to ``version``, read from them: making it all takes 5 ms."""
    names: set[str] = set()
    for _, statements in MIGRATIONS[:version]:
        for statement in statements:
            if made := _MADE.match(statement):
                names.add(made[2])
                names |= {f"{made[2]}_{part}" for part in _FTS5_PARTS if made[1]}
            elif dropped := _DROPPED.match(statement):
                names.discard(dropped[1])
    return frozenset(names)


def tables_of(db: sqlite3.Connection, version: int) -> list[str]:
    """The names of the tables, indexes and triggers of ``version``, made in ``db``, which must be empty."""
    for _, statements in MIGRATIONS[:version]:
        for statement in statements:
            db.execute(statement)
    return [name for (name,) in db.execute("SELECT name FROM sqlite_master")]
