"""Putting a backup in the logbook's place. The present file is kept aside first, so that this too can be undone."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from hosewright.logbook.file import seal
from hosewright.logbook.file.backups import kept
from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.logbook.file.lock import BenchLock
from hosewright.places import closed_to_others, sync_folder

if TYPE_CHECKING:
    from pathlib import Path

_BESIDE = ("", "-wal", "-shm", "-journal")


@dataclass(frozen=True, slots=True)
class Contents:
    """What a logbook's file holds: sessions by id, with their title and how many events; ``last_ms`` of the newest."""

    path: Path
    sessions: dict[str, tuple[str, int]] = field(default_factory=dict)
    last_ms: int = 0

    @property
    def events(self) -> int:
        return sum(events for _, events in self.sessions.values())


def backups_of(logbook: Path) -> list[Contents]:
    """The whole backups of ``logbook``, the newest first; those that cannot be read are left out."""
    return [found for path in reversed(kept(logbook)) if (found := contents_of(path)) is not None]


def contents_of(path: Path) -> Contents | None:
    """What the file at ``path`` holds; None when it cannot be read to its end. It is only read."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as db:
            sessions = {
                session: (title, events)
                for session, title, events in db.execute(
                    "SELECT id, title, (SELECT count(*) FROM events WHERE session = n) FROM sessions ORDER BY n"
                )
            }
            (last_ms,) = db.execute("SELECT coalesce(max(at_ms), 0) FROM events").fetchone()
    except (OSError, sqlite3.Error, UnicodeDecodeError):
        return None
    return Contents(path, sessions, last_ms)


@dataclass(frozen=True, slots=True)
class Changes:
    """What restoring changes: sessions that ``come`` back, that ``go`` with the present file, that get ``shorter``.

    Each is an id with its title and how many events it gains or loses. None of it is known while the present file
    cannot be read: then ``readable`` is False.
    """

    readable: bool
    come: list[tuple[str, str, int]] = field(default_factory=list)
    go: list[tuple[str, str, int]] = field(default_factory=list)
    shorter: list[tuple[str, str, int]] = field(default_factory=list)


def restoring_changes(logbook: Path, backup: Contents) -> Changes:
    """What would be different with ``backup`` in the place of ``logbook``."""
    present = contents_of(logbook)
    if present is None:
        return Changes(readable=False)
    found = Changes(readable=True)
    for session, (title, events) in backup.sessions.items():
        known = present.sessions.get(session, (title, 0))[1]
        if known < events:
            found.come.append((session, title, events - known))
        elif known > events:
            found.shorter.append((session, title, known - events))
    only_here = present.sessions.keys() - backup.sessions.keys()
    found.go.extend((session, *present.sessions[session]) for session in sorted(only_here))
    return found


def restore(logbook: Path, backup: Path) -> Path:
    """Put ``backup`` in the place of ``logbook``; the folder the present file was kept in. Raises LogbookError.

    Cut short anywhere, the logbook is the present one or the backup, whole; what was there is in that folder.
    """
    part = logbook.with_name(f".{logbook.name}.restored")
    aside = logbook.with_name(f"{logbook.stem}-aside-{datetime.now().astimezone():%Y%m%d-%H%M%S}")
    lock = BenchLock(logbook, "`hosewright logbook restore`")
    try:
        _copy(backup, part)
        aside.mkdir(mode=0o700)
        for end in _BESIDE:
            present = logbook.with_name(logbook.name + end)
            if present.exists():
                _copy(present, aside / present.name)
        sync_folder(aside)
        sync_folder(logbook.parent)
        seal.take_off(logbook)
        for end in _BESIDE[1:]:  # first, for a log would be taken for the backup's
            logbook.with_name(logbook.name + end).unlink(missing_ok=True)
        sync_folder(logbook.parent)
        part.replace(logbook)
        sync_folder(logbook.parent)
    except OSError as error:
        raise LogbookError(f"The backup {backup} could not be put in place: {plain(error)}.") from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        lock.release()
    return aside


def _copy(source: Path, target: Path) -> None:
    with source.open("rb") as said, open(target, "wb", opener=closed_to_others) as file:
        shutil.copyfileobj(said, file)
        file.flush()
        os.fsync(file.fileno())
