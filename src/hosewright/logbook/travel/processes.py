"""Much work of one kind, shared out among processes when there are processors for them.

Each process has its own pipe, which only it writes: when it is ended from outside, the pipe ends, too. In the pool of
``concurrent.futures`` (Python 3.11) one that is ended while it hands something over leaves the first waiting for ever.
"""

from __future__ import annotations

import gc
import os
import signal
from contextlib import contextmanager, suppress
from itertools import cycle
from multiprocessing import get_context, resource_tracker
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnProcess

    Item = TypeVar("Item")
    Done = TypeVar("Done")

# A process takes some 300 ms to start; a session of 100 events takes 0.5 ms to be read from its file or written to it.
MANY = 1000
AT_ONCE = 20  # handed over together: so few that the next lie in the pipe while these are stored
MOST_HELPERS = 3


class HelperEndedError(Exception):
    """A process was ended from outside. ``processes`` are the numbers of all that worked, which have ended by now."""

    def __init__(self, processes: Sequence[int]) -> None:
        super().__init__(processes)
        self.processes = processes


def each(
    work: Callable[[list[Item]], list[Done]],
    items: Sequence[Item],
    *,
    busy: bool = False,
    at_once: int = AT_ONCE,
    here: Callable[[list[Item]], list[Done]] | None = None,
) -> Iterator[Done]:
    """What ``work``, a function of a module, makes of the items, in their order; some of them at a time.

    ``busy``: this process has as much to do with what is yielded. Where there are few items, or no process to be had,
    this one does it all, with ``here`` if given. Raises what ``work`` raises, and HelperEndedError: of the items past
    those yielded some may be done, too.
    """
    wanted = min(_processors() - int(busy), MOST_HELPERS)
    helpers = _begin(wanted) if len(items) >= MANY and wanted >= 1 + (not busy) else []
    if not helpers:
        yield from (here or work)(list(items))
        return
    some = [list(items[at : at + at_once]) for at in range(0, len(items), at_once)]
    numbers = [process.pid or 0 for process, _ in helpers]
    try:
        for place, (_, pipe) in enumerate(helpers):
            with _told_when_ended(numbers):
                pipe.send((work, some[place :: len(helpers)]))
        for (_, pipe), _ in zip(cycle(helpers), some, strict=False):
            with _told_when_ended(numbers):
                done: list[Done] | Exception = pipe.recv()
            if isinstance(done, Exception):
                raise done
            yield from done
    finally:
        for _, pipe in helpers:
            pipe.close()  # one that has more to hand over finds nobody there, and leaves
        for process, _ in helpers:
            process.join()


def _begin(wanted: int) -> list[tuple[SpawnProcess, Connection]]:
    """As many processes as can be had; each waits for its work."""
    context = get_context("spawn")
    begun: list[tuple[SpawnProcess, Connection]] = []
    with suppress(OSError, ImportError), _interrupts_held():
        while len(begun) < wanted:
            ours, theirs = context.Pipe()
            process = context.Process(target=_do, args=(theirs,), daemon=True)
            process.start()
            theirs.close()
            begun.append((process, ours))
    return begun


@contextmanager
def _told_when_ended(numbers: Sequence[int]) -> Iterator[None]:
    try:
        yield
    except (EOFError, OSError) as error:
        raise HelperEndedError(numbers) from error


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Ctrl-C reaches every process of a command. Begun in here, a process never hears it: this one ends the others."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # it lets them through again when it is begun
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _do(pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # where they cannot be held
    gc.freeze()  # what is imported stays, and need not be looked through for rubbish: a twelfth of the time
    with suppress(EOFError, BrokenPipeError, ConnectionError), pipe:
        work, several = pipe.recv()
        for items in several:
            try:
                done = work(items)
            except Exception as error:
                done = error
            pipe.send(done)


def _processors() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
