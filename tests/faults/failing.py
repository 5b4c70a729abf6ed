"""An evening on a disk that fails once: at the n-th write, sync, rename, open. What is shown must be what is stored."""

from __future__ import annotations

import random
import shutil
from contextlib import closing
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.upkeep.checking import find_damage
from tests.faults.traced import run_failing
from tests.helpers import record

if TYPE_CHECKING:
    from pathlib import Path

CALLS = ("pwrite64", "fdatasync", "fsync", "openat", "rename", "ftruncate", "unlink", "read", "pread64")
ERRORS = ("EIO", "ENOSPC", "EROFS")
MOST = {"pwrite64": 300, "fdatasync": 90, "openat": 25, "read": 12, "pread64": 40}


@dataclass(slots=True)
class Found:
    """How many evenings there were, in how many something was denied, and what was wrong."""

    evenings: int = 0
    denied: int = 0
    events: int = 0
    bad: list[str] = field(default_factory=list)


def run(folder: Path, number: int, seed: int) -> Found:
    """So many evenings, each with one failure at a random place."""
    rng, found = random.Random(seed), Found()
    for _ in range(number):
        call = rng.choice(CALLS)
        fault = f"{call}:error={rng.choice(ERRORS)}:when={rng.randrange(1, MOST.get(call, 6))}"
        home = folder / "home"
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
        said = run_failing("evening", home, fault)
        found.evenings += 1
        found.denied += any(line.startswith("denied") for line in said)
        wrong = _compare(home, said, found)
        if wrong:
            found.bad.append(f"{fault}: {wrong}")
    return found


def _compare(home: Path, said: list[str], found: Found) -> str:
    shown = max((int(line.split()[2]) for line in said if line.startswith("shown ")), default=0)
    maybe = sum("may have been saved after all" in line for line in said)
    found.events += shown
    if not shown and not (home / "logbook.sqlite").exists():
        return ""
    try:
        with closing(Logbook.for_counting(home / "logbook.sqlite")) as book:
            line = book.store.line(record().id)
            stored = book.state(line).last_seq if line else 0
            faults = find_damage(book)[1]
    except LogbookError as error:
        return str(error)
    if faults:
        return str(faults)
    return "" if shown <= stored <= shown + maybe else f"{shown} events shown, {stored} stored"
