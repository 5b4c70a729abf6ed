"""One changed byte in a logbook's file, or in its log: does `check` see it, and does a bench that opens it?"""

from __future__ import annotations

import random
import shutil
from contextlib import closing
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.log import read_log
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.session.events import Observed
from tests.helpers import crank_to, drive, machine, record, rows

if TYPE_CHECKING:
    from pathlib import Path

NAME = "logbook.sqlite"


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
        with (tried / name).open("rb+") as file:
            file.seek(at)
            (byte,) = file.read(1)
            file.seek(at)
            file.write(bytes([byte ^ rng.randrange(1, 256)]))
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
