"""The logbook's tables, made by literal SQL: one file a version in ``migrations``, run and recorded in one transaction.

A file that others have run is never changed (a test holds each against its sum): a change is a new file, and its number
at the end of VERSIONS. There are none for versions 2 and 3, which no release ever wrote: they differ from 4 only in the
lists, which are worked out from the first tables, so 4 makes the lists anew for whatever is older. New and old logbooks
go the same road, since it is simpler than one schema for new ones beside steps for the old.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.file.called import work_out_names
from hosewright.logbook.file.lists import fill_lists

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator

MIGRATIONS = Path(__file__).with_name("migrations")
VERSIONS = (1, 4, 5, 6, 7)
VERSION = VERSIONS[-1]
_LISTS_MADE = 4  # the version that makes the lists anew, empty
_NAMES_MADE = 7  # the version from which lists go by the names things have by now
_NAMED = re.compile(r"^(CREATE|DROP) (VIRTUAL )?(?:TABLE|INDEX|TRIGGER) (?:IF EXISTS )?(\w+)", re.MULTILINE)
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


@cache
def sql_of(version: int) -> str:
    """The statements that bring a logbook to ``version`` from the one before, parted by empty lines."""
    return (MIGRATIONS / f"{version}.sql").read_text(encoding="utf-8")


def make(db: sqlite3.Connection, version: int) -> None:
    """Run the statements of ``version``."""
    for statement in sql_of(version).split(";\n\n"):
        db.execute(statement)


def migrate(db: sqlite3.Connection) -> None:
    """Bring ``db`` up to VERSION, all or nothing. Raises NewerLogbookError, changing nothing, when it is past that."""
    if version_of(db) == VERSION:
        return
    db.execute("BEGIN IMMEDIATE")
    try:
        have = version_of(db)  # another process may have been just as quick
        for version in VERSIONS:
            if version > have:
                make(db, version)
        if 0 < have < _LISTS_MADE:
            fill_lists(db)
        if 0 < have < _NAMES_MADE:
            work_out_names(db)
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {VERSION}")
    except BaseException:
        db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")


@contextmanager
def without_guards(db: sqlite3.Connection) -> Iterator[None]:
    """Lift the triggers that refuse every change and removal, and put them back at the end. Call inside a commit."""
    guards = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        db.execute(f"DROP TRIGGER {name}")
    yield
    for _, sql in guards:
        db.execute(sql)


def names_of(version: int) -> frozenset[str]:
    """The names of all that a logbook of ``version`` must hold, read from the statements: making it all takes 5 ms."""
    names: set[str] = set()
    for made in (one for one in VERSIONS if one <= version):
        for how, virtual, name in _NAMED.findall(sql_of(made)):
            if how == "CREATE":
                names.add(name)
                names |= {f"{name}_{part}" for part in _FTS5_PARTS if virtual}
            else:
                names.discard(name)
    return frozenset(names)
