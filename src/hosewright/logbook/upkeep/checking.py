"""Looking a logbook over: the file itself, then whether every session can be read and adds up."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file import log as wal
from hosewright.logbook.file import seal
from hosewright.logbook.file.backups import kept
from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.logbook.records.corrected import as_it_stands, by_names_now
from hosewright.logbook.records.shelf import of_kind
from hosewright.logbook.upkeep.restoring import restore
from hosewright.session.fold import fold

if TYPE_CHECKING:
    from hosewright.logbook.file.store import SessionLine
    from hosewright.session.events import Entry


def find_damage(book: Logbook) -> tuple[int, list[str]]:
    """How many sessions there are, and everything found wrong, a line each; none when all is sound."""
    faults = [f"the file: {fault}" for fault in (*_file_damage(book), *book.store.damage())]
    try:
        lines = book.lines()
    except (LogbookError, sqlite3.Error) as error:
        return 0, [*faults, f"the list of sessions cannot be read: {error}"]
    faults += _shelf_damage(book)
    for line in lines:
        faults += [f"session {line.id}: {fault}" for fault in _session_damage(book, line)]
    for line in book.store.asides():
        faults += [f"session {line.id}, kept beside another: {fault}" for fault in _aside_damage(book, line)]
    return len(lines), faults


@dataclass(frozen=True, slots=True)
class Proof:
    """A backup that was restored to a temporary place and looked over there; ``faults`` are a line each."""

    backup: Path
    sessions: int
    faults: list[str]


def prove_newest_backup(logbook: Path) -> Proof | None:
    """Restore the newest backup of ``logbook`` to a temporary place and look it over; None where there is none."""
    backup = next(reversed(kept(logbook)), None)
    if backup is None:
        return None
    with TemporaryDirectory(prefix="hosewright-") as folder:
        path = Path(folder) / logbook.name
        try:
            restore(path, backup)
            with closing(Logbook.for_reading(path)) as restored:
                return Proof(backup, *find_damage(restored))
        except LogbookError as error:
            return Proof(backup, 0, [str(error)])


def _file_damage(book: Logbook) -> list[str]:
    """What the seal and the log say, which SQLite does not look at."""
    try:
        found = (seal.damage_of(book.path), wal.damage_of(book.path, book.store.db))
    except OSError as error:
        found = (plain(error), "")
    return [fault for fault in found if fault]


def _shelf_damage(book: Logbook) -> list[str]:
    faults = []
    try:
        for kind, item_id, revision, body in book.store.revisions():
            try:
                of_kind(kind).model_validate_json(body)
            except (ValueError, TypeError):
                faults.append(f"the shelf: revision {revision} of {kind} {item_id} cannot be read.")
        book.gauges(ribbed=True)
    except (LogbookError, ValueError) as error:
        faults.append(f"the shelf: {error if isinstance(error, LogbookError) else 'a gauge cannot be read.'}")
    return faults


def _aside_damage(book: Logbook, line: SessionLine) -> list[str]:
    try:
        book.begun(line)
        return _numbering(list(book.store.entries(line.n)))
    except (LogbookError, sqlite3.Error) as error:
        return [str(error)]


def _numbering(entries: list[Entry]) -> list[str]:
    sound = [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
    return [] if sound else ["its events are not numbered 1, 2, 3 without a gap."]


def _session_damage(book: Logbook, line: SessionLine) -> list[str]:
    try:
        record = book.begun(line)
        entries = list(book.store.entries(line.n))
        state = fold(record.head, entries)
        stands = by_names_now(as_it_stands(record, state.restated), book.store.names_now())
        found = book.record(line)
    except (LogbookError, sqlite3.Error, ValueError, TypeError) as error:
        return [str(error)]
    faults = _numbering(entries)
    if state.ignored:
        faults.append(f"{state.ignored} of its events cannot have happened where they stand.")
    if state.status != line.status:
        faults.append(f"lists show it as {line.status}, its events say {state.status}.")
    if stands != found:
        faults.append("what was put right of its start is not what its events say.")
    if record.id != line.id:
        faults.append(f"its start says it is {record.id}.")
    return faults
