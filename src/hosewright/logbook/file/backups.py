"""Checked copies of the logbook in a folder beside it: one a day, one before each change of its tables, the last seven.

A copy counts only when SQLite's own check finds it sound, and only then are older ones let go.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import datetime
from typing import TYPE_CHECKING

from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.phrases.times import local
from hosewright.places import sync_folder

if TYPE_CHECKING:
    from pathlib import Path

KEPT = 7
FOLDER = "backups"
_MOST_FOUND = 5


def folder_of(logbook: Path) -> Path:
    """Where the copies of ``logbook`` are kept."""
    return logbook.parent / FOLDER


def kept(logbook: Path) -> list[Path]:
    """The copies there are, oldest first."""
    return sorted(folder_of(logbook).glob(f"{logbook.stem}-*.sqlite"))


def day_of(at_ms: int, zone_min: int) -> str:
    """The local day, such as "20250114"."""
    return f"{local(at_ms, zone_min):%Y%m%d}"


def daily(logbook: Path, today: str) -> str:
    """Keep today's copy, unless there is one, and say what is wrong with the logbook; empty when it is sound.

    ``today`` is such as "20250114". Opens the file for itself, so that it can run beside a bench in a thread of its
    own. Raises LogbookError when the copy could not be written.
    """
    target = folder_of(logbook) / f"{logbook.stem}-{today}.sqlite"
    try:
        with closing(sqlite3.connect(logbook, timeout=5)) as db:
            db.execute("PRAGMA query_only = ON")
            if target.exists():
                return _damage(db)
            return _keep(db, logbook, target)
    except (OSError, sqlite3.Error) as error:
        raise LogbookError(f"Today's backup {target} could not be written: {plain(error)}.") from error


def keep_before_change(logbook: Path, db: sqlite3.Connection) -> None:
    """Keep a copy of ``logbook`` as it is before its tables change. Raises LogbookError when it is damaged."""
    version = db.execute("PRAGMA user_version").fetchone()[0]
    day = datetime.now().astimezone().strftime("%Y%m%d")
    target = folder_of(logbook) / f"{logbook.stem}-{day}-version-{version}.sqlite"
    try:
        fault = "" if target.exists() else _keep(db, logbook, target)
    except (OSError, sqlite3.Error) as error:
        raise LogbookError(
            f"The logbook must be brought up to date, and the backup {target} that comes first could not be written: "
            f"{plain(error)}. Nothing was changed."
        ) from error
    if fault:
        raise LogbookError(
            f"The logbook {logbook} is damaged ({fault}), so it was not brought up to date, and not touched. "
            f"`hosewright logbook rescue {logbook}` brings out what can be read."
        )


def copy(db: sqlite3.Connection, target: Path) -> str:
    """Write a whole copy of an open logbook to ``target``, to the disk itself; what is wrong with it, or nothing.

    Raises OSError or sqlite3.Error, leaving nothing behind, when it cannot be written.
    """
    part = target.with_name(f".{target.name}.part")
    part.unlink(missing_ok=True)
    try:
        os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        with closing(sqlite3.connect(part)) as to:
            db.backup(to)
            to.execute("PRAGMA journal_mode = DELETE")  # one file, that any drive can hold
            fault = _damage(to)
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        part.replace(target)
        sync_folder(target.parent)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return fault


def _keep(db: sqlite3.Connection, logbook: Path, target: Path) -> str:
    target.parent.mkdir(exist_ok=True, mode=0o700)
    fault = copy(db, target)
    if fault:
        target.unlink()  # a damaged copy is no backup, and must not push a sound one out
        return fault
    for old in [path for path in kept(logbook) if path != target][: -(KEPT - 1)]:
        old.unlink(missing_ok=True)
    return ""


def _damage(db: sqlite3.Connection) -> str:
    try:
        found = [row[0] for row in db.execute(f"PRAGMA integrity_check({_MOST_FOUND})") if row[0] != "ok"]
    except sqlite3.DatabaseError as error:
        return plain(error)
    return "; ".join(" ".join(line.split()) for line in found)
