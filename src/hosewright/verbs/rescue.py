"""Bringing what can be read of a damaged logbook into a new one. The damaged file is copied and never opened."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hosewright.logbook.book import Logbook
from hosewright.logbook.coding import decode
from hosewright.logbook.records import SHELF
from hosewright.logbook.session_record import SessionRecord
from hosewright.logbook.store import LogbookError
from hosewright.session.events import Entry
from hosewright.verbs.first_page import lay_over

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_SESSIONS = 1_000_000
_WAYS_IN = (
    "SELECT n FROM sessions NOT INDEXED ORDER BY n",
    "SELECT n FROM sessions NOT INDEXED ORDER BY n DESC",
    "SELECT n FROM sessions INDEXED BY sessions_by_start ORDER BY started_ms",
    "SELECT n FROM sessions INDEXED BY sessions_by_status ORDER BY status",
    "SELECT DISTINCT session FROM events ORDER BY session",
    "SELECT DISTINCT session FROM events ORDER BY session DESC",
)


@dataclass(slots=True)
class Rescued:
    """The ids brought over, and what could not be read, a sentence each."""

    sessions: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)


def rescue(source: Path, target: Path) -> Rescued:
    """Bring every readable session and shelf item of ``source`` into a new logbook at ``target``.

    Of a session whose events break off, those before the break come along. Raises LogbookError when nothing
    can be read at all or ``target`` exists.
    """
    if not source.is_file():
        raise LogbookError(f"There is no file {source}.")
    if target.exists():
        raise LogbookError(f"{target} is there already; name a file that is not with --to.")
    found = Rescued()
    with tempfile.TemporaryDirectory(prefix="hosewright-") as folder:
        copy = _copied(source, Path(folder))
        numbers = _session_numbers(copy)
        if numbers is None:
            lay_over(copy)
            numbers = _session_numbers(copy)
        if numbers is None:
            raise LogbookError(f"Nothing can be read from {source}: it is not a logbook, or its tables are destroyed.")
        with closing(sqlite3.connect(copy)) as db:
            book = Logbook(target)
            try:
                _bring_shelf(db, book, found)
                for n in numbers:
                    _bring_session(db, book, n, found)
            finally:
                book.close()
    return found


def _copied(source: Path, folder: Path) -> Path:
    copy = folder / "logbook.sqlite"
    try:
        shutil.copyfile(source, copy)
        log = source.with_name(f"{source.name}-wal")  # the last rows may be only there
        if log.is_file():
            shutil.copyfile(log, folder / f"{copy.name}-wal")
    except OSError as error:
        raise LogbookError(f"{source} cannot be read: {error.strerror}.") from error
    return copy


def _session_numbers(copy: Path) -> list[int] | None:
    """Every session number any intact part of the file knows of; None when no part answers."""
    known: set[int] = set()
    answered = False
    with closing(sqlite3.connect(copy)) as db:
        for query in _WAYS_IN:
            try:
                for (n,) in db.execute(query):
                    answered = True
                    if isinstance(n, int) and len(known) < MOST_SESSIONS:
                        known.add(n)
                answered = True
            except sqlite3.Error:  # another way in may still reach them
                continue
    return sorted(known) if answered else None


def _bring_shelf(db: sqlite3.Connection, book: Logbook, found: Rescued) -> None:
    rows = _rows_until_broken(db, "SELECT kind, id, revision, at_ms, body FROM shelf ORDER BY kind, id, revision", ())
    broken = None
    for row in rows:
        if isinstance(row, sqlite3.Error):
            broken = row
            break
        kind, item_id, revision, at_ms, body = row
        try:
            SHELF[kind].model_validate_json(body)
        except (KeyError, ValueError):
            found.lost.append(f"revision {revision} of {kind} {item_id} on the shelf cannot be read.")
            continue
        with book.store.one_commit():
            book.store.add_revision(kind, item_id, at_ms, body)
    if broken is not None:
        found.lost.append("part of the shelf cannot be read; what sessions were started with comes with them.")


def _bring_session(db: sqlite3.Connection, book: Logbook, n: int, found: Rescued) -> None:
    name = f"session number {n}"
    try:
        row = db.execute("SELECT id, record FROM sessions NOT INDEXED WHERE n = ?", (n,)).fetchone()
        if row is None:
            found.lost.append(f"{name}: its start is missing.")
            return
        name = f"session {row[0]}"
        record = SessionRecord.model_validate_json(row[1])
    except (sqlite3.Error, ValueError, TypeError):
        found.lost.append(f"{name}: its start cannot be read.")
        return
    entries, why = _entries(db, n)
    try:
        book.take_in(record, entries)
    except (LogbookError, ValueError, TypeError) as error:  # the last two: values no event can have
        found.lost.append(f"{name}: {error}")
        return
    found.sessions.append(record.id)
    if why:
        found.lost.append(f"{name}: {why}")


def _entries(db: sqlite3.Connection, n: int) -> tuple[list[Entry], str]:
    """The events up to the first that is missing or unreadable, and what is lost (empty when nothing is)."""
    entries: list[Entry] = []
    query = "SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events WHERE session = ? ORDER BY seq"
    for row in _rows_until_broken(db, query, (n,)):
        entry = None if isinstance(row, sqlite3.Error) else _entry(row)
        if entry is None or entry.seq != len(entries) + 1:
            return entries, f"only its first {len(entries)} events can be read."
        entries.append(entry)
    return entries, ""


def _entry(row: tuple[Any, ...]) -> Entry | None:
    seq, at_ms, zone_min, tick_ms, kind, body = row
    try:
        return Entry(int(seq), int(at_ms), int(zone_min), int(tick_ms), decode(kind, body))
    except (ValueError, TypeError):
        return None


def _rows_until_broken(
    db: sqlite3.Connection, query: str, values: tuple[int, ...]
) -> Iterator[tuple[Any, ...] | sqlite3.Error]:
    """The rows of a query and, where the file breaks, the error as the last of them."""
    try:
        yield from db.execute(query, values)
    except sqlite3.Error as error:
        yield error
