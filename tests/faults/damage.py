"""One changed byte in a logbook's file, or in its log: does `check` see it, and does a bench that opens it?"""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file import backups
from hosewright.logbook.file.coding import entry_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.log import read_log
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.rescue import rescue
from hosewright.session.events import Observed
from tests.helpers import crank_to, drive, machine, record, rows

if TYPE_CHECKING:
    from pathlib import Path

NAME = "logbook.sqlite"


@dataclass(slots=True)
class Rescues:
    """Of logbooks with one byte changed: events there were, those SQLite still reads, and those rescued.

    Those behind one that is lost have no place in a count, and are ``written`` beside the new logbook. ``worse`` are
    places where rescue came to fewer than could be read.
    """

    trials: int = 0
    events: int = 0
    readable: int = 0
    rescued: int = 0
    written: int = 0
    with_backup: int = 0
    worse: list[int] = field(default_factory=list)


def rescue_trials(folder: Path, number: int, seed: int) -> Rescues:
    """Change a byte of the file of a closed logbook ``number`` times, and rescue it."""
    whole = _left(folder, killed=False)
    backups.daily(whole / NAME, "20250114")
    with closing(Logbook(whole / NAME)) as book:
        ((session, every),) = book.store.ask("SELECT id, (SELECT count(*) FROM events) FROM sessions")
    rng, found = random.Random(seed), Rescues()
    for _ in range(number):
        at = rng.randrange((whole / NAME).stat().st_size)
        counts = {}
        flip = rng.randrange(1, 256)
        for backed_up in (False, True):
            tried = folder / "tried"
            shutil.rmtree(tried, ignore_errors=True)
            tried.mkdir()
            shutil.copyfile(whole / NAME, tried / NAME)
            if backed_up:
                shutil.copytree(backups.folder_of(whole / NAME), backups.folder_of(tried / NAME))
            _change(tried / NAME, at, flip)
            counts[backed_up], written = _rescued(tried, session)
            if not backed_up:
                found.written += written
                counts[backed_up] += written
        readable = _readable(tried / NAME)
        found.trials += 1
        found.events += every
        found.readable += readable
        found.rescued += counts[False]
        found.with_backup += counts[True]
        if min(counts.values()) < readable:
            found.worse.append(at)
    return found


def _change(path: Path, at: int, flip: int) -> None:
    with path.open("rb+") as file:
        file.seek(at)
        (byte,) = file.read(1)
        file.seek(at)
        file.write(bytes([byte ^ flip]))


def _readable(path: Path) -> int:
    """How many events SQLite gives, up to where it breaks off, that are events."""
    count = 0
    with suppress(sqlite3.Error, UnicodeDecodeError), closing(sqlite3.connect(path)) as db:
        for row in db.execute("SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events ORDER BY session, seq"):
            with suppress(ValueError, TypeError):
                entry_of(*row)
                count += 1
    return count


def _rescued(folder: Path, session: str) -> tuple[int, int]:
    """How many events a rescue brings into a new logbook, and writes beside it."""
    target = folder / "rescued.sqlite"
    try:
        rescue(folder / NAME, target)
        with closing(Logbook(target)) as book:
            placed = sum(1 for _ in book.store.entries(book.store.find(session).n))
    except LogbookError:
        placed = 0
    return placed, sum(len(json.loads(path.read_text(encoding="utf-8"))) for path in folder.glob("*-events.json"))


@dataclass(slots=True)
class Found:
    """How many bytes were changed, and at which places nobody saw it."""

    trials: int = 0
    unseen_by_check: list[int] = field(default_factory=list)
    unseen_at_opening: list[int] = field(default_factory=list)


def file_trials(folder: Path, number: int, seed: int, *, killed: bool = False) -> Found:
    """Change a byte of the file of a closed logbook, or of one whose bench was killed, ``number`` times."""
    whole = _left(folder, killed=killed)
    return _trials(folder, whole, NAME, range((whole / NAME).stat().st_size), number, seed)


def log_trials(folder: Path, number: int, seed: int) -> Found:
    """Change a byte of the log that a kill leaves, ``number`` times.

    Only of what belongs to the log: behind its last frame lie pages of an earlier one, which mean nothing.
    """
    whole = _left(folder, killed=True)
    log = read_log(whole / NAME)
    assert log is not None
    end = max(frame.number for frame in log.frames()) * (24 + log.page_size) + 32
    return _trials(folder, whole, f"{NAME}-wal", range(end), number, seed)


def _left(folder: Path, *, killed: bool) -> Path:
    """A folder with a logbook as its bench left it."""
    whole, cranking = folder / "whole", folder / "cranking"
    whole.mkdir()
    cranking.mkdir()
    book = Logbook.for_counting(cranking / NAME)
    _crank(book)
    if not killed:
        book.close()
    for name in (NAME, f"{NAME}-wal", f"{NAME}.seal"):
        if (cranking / name).exists():
            shutil.copyfile(cranking / name, whole / name)
    if killed:
        book.close()
    return whole


def _crank(book: Logbook) -> None:
    book.keep(machine())
    live = book.start(record("tube"))
    crank_to(live, "tube")
    drive(live, rows(40))
    book.store.fold_log_in()
    book.store.wait_for_seal()
    drive(live, Observed("dropped", 7, "at the seam"), rows(10))


def _trials(folder: Path, whole: Path, name: str, places: range, number: int, seed: int) -> Found:
    rng, found = random.Random(seed), Found()
    for _ in range(number):
        tried = folder / "tried"
        shutil.rmtree(tried, ignore_errors=True)
        shutil.copytree(whole, tried)
        at = rng.choice(places)
        _change(tried / name, at, rng.randrange(1, 256))
        found.trials += 1
        if not _check_sees(tried / NAME):
            found.unseen_by_check.append(at)
        if not _opening_sees(tried / NAME):
            found.unseen_at_opening.append(at)
    return found


def _check_sees(path: Path) -> bool:
    try:
        with closing(Logbook.for_reading(path)) as book:
            return bool(find_damage(book)[1])
    except LogbookError:
        return True


def _opening_sees(path: Path) -> bool:
    """Whether a bench refuses the logbook, or says something once its thread has looked it over."""
    try:
        with closing(Logbook.for_counting(path)) as book:
            return bool(book.store.notes or book.held_against_seal())  # the latter by a thread of the bench
    except LogbookError:
        return True
