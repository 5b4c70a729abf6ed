"""Session files read, checked and worked out; in processes of their own when there are many."""

from __future__ import annotations

import gc
import os
import signal
from collections import deque
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing import get_context
from typing import TYPE_CHECKING

from hosewright.logbook import shelf_file
from hosewright.logbook.files import read_text, session_in
from hosewright.logbook.prepared import Prepared, prepare
from hosewright.logbook.shelf_file import ShelfFile
from hosewright.logbook.store import LogbookError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

Filed = Prepared | ShelfFile | LogbookError  # the last says why a file is refused
# A process takes some 300 ms to start, and a file of 100 events 0.5 ms to be read.
MANY_FILES = 1000
MOST_READERS = 3  # one keeps this process busy, which stores what they read
AT_ONCE = 50  # files handed over together


def read(path: Path) -> Filed:
    """What is in a file, ready to be stored; whatever is wrong with it is returned."""
    try:
        text = read_text(path)
        if shelf_file.is_one(text):
            return shelf_file.parse(text, str(path))
        return prepare(*session_in(text, str(path)))
    except LogbookError as error:
        return error


def read_each(paths: Sequence[Path]) -> Iterator[Filed]:
    """What is in each file, in their order."""
    readers = min(_processors() - 1, MOST_READERS)
    if len(paths) < MANY_FILES or readers < 1:
        yield from map(read, paths)
        return
    done = 0
    try:
        for filed in _read_apart(paths, readers):
            yield filed
            done += 1
    except (OSError, ImportError, BrokenProcessPool):  # none to spare on this system, or one was ended from outside
        yield from map(read, paths[done:])


def _read_apart(paths: Iterable[Path], readers: int) -> Iterator[Filed]:
    rest = iter(paths)
    with ProcessPoolExecutor(readers, get_context("spawn"), _begin_reading) as pool:
        underway = deque(pool.submit(_read_some, list(islice(rest, AT_ONCE))) for _ in range(3 * readers))
        try:
            while underway:
                yield from underway.popleft().result()
                if some := list(islice(rest, AT_ONCE)):
                    underway.append(pool.submit(_read_some, some))
        finally:
            pool.shutdown(cancel_futures=True)


def _read_some(paths: list[Path]) -> list[Filed]:
    return list(map(read, paths))


def _begin_reading() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches them all: the first ends the others, in one sentence
    gc.freeze()  # what is imported stays, and need not be looked through for rubbish: a twelfth of the time


def _processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
