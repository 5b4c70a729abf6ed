"""Much work of one kind, shared out among processes when there are processors for them.

Each process has its own pipe, which only it writes: when it is ended from outside, the pipe ends, too. In the pool of
``concurrent.futures`` (Python 3.11) one that is ended while it hands something over leaves the first waiting for ever.
"""

from __future__ import annotations

import gc
import os
import signal
from contextlib import suppress
from itertools import cycle
from multiprocessing import get_context
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnProcess

    Item = TypeVar("Item")
    Done = TypeVar("Done")

# A process takes some 300 ms to start; a session of 100 events takes 0.5 ms to be read from its file or written to it.
MANY = 1000
AT_ONCE = 50  # handed over together
MOST_HELPERS = 3


class HelperEndedError(Exception):
    """A process was ended from outside, or could not be had any longer."""


def each(
    work: Callable[[list[Item]], list[Done]], items: Sequence[Item], *, busy: bool = False, at_once: int = AT_ONCE
) -> Iterator[Done]:
    """What ``work``, a function of a module, makes of the items, in their order; some of them at a time.

    ``busy``: this process has as much to do with what is yielded. Where the system gives no further process, this one
    does it all. Raises what ``work`` raises, and HelperEndedError: what was yielded is done, what comes after may be.
    """
    helpers = min(_processors() - int(busy), MOST_HELPERS)
    if len(items) < MANY or helpers < 1 + (not busy):
        yield from work(list(items))
        return
    some = [list(items[at : at + at_once]) for at in range(0, len(items), at_once)]
    processes: list[tuple[SpawnProcess, Connection]] = []
    try:
        try:
            processes += [_begun(work, some[place::helpers]) for place in range(helpers)]
        except (OSError, ImportError):
            yield from work(list(items))
            return
        for (_, theirs), _ in zip(cycle(processes), some, strict=False):
            yield from _next(theirs)
    finally:
        for _, theirs in processes:
            theirs.close()  # one that has more to hand over finds nobody there, and leaves
        for process, _ in processes:
            process.join()


def _begun(work: Callable[[list[Item]], list[Done]], some: list[list[Item]]) -> tuple[SpawnProcess, Connection]:
    context = get_context("spawn")
    theirs, own = context.Pipe(duplex=False)
    process = context.Process(target=_do, args=(own, work, some), daemon=True)
    process.start()
    own.close()
    return process, theirs


def _do(own: Connection, work: Callable[[list[Item]], list[Done]], some: list[list[Item]]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches them all: the first ends the others, in one sentence
    gc.freeze()  # what is imported stays, and need not be looked through for rubbish: a twelfth of the time
    with suppress(BrokenPipeError), own:
        for items in some:
            try:
                done: list[Done] | Exception = work(items)
            except Exception as error:
                done = error
            own.send(done)


def _next(theirs: Connection) -> list[Done]:
    try:
        done: list[Done] | Exception = theirs.recv()
    except (EOFError, OSError) as error:
        raise HelperEndedError from error
    if isinstance(done, Exception):
        raise done
    return done


def _processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
