"""The knitter's logbook as verbs use it: opened, a thing in it named, and how far long work on it is."""

from __future__ import annotations

import sys
import time
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Protocol, TypeVar

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.lock import HeldError
from hosewright.logbook.find.wanted import has_words
from hosewright.logbook.upkeep import errands
from hosewright.phrases.lists import nearest
from hosewright.places import logbook_path
from hosewright.verbs.parsing import UsageError, safe

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from hosewright.logbook.file.called import Names
    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.records.shelf import OnShelf

_MOST_NAMED = 8
_EVERY_S = 0.2
_LATE_S = 1.0  # what is done sooner needs no telling


@contextmanager
def open_book(writer: str = "", *, make: bool = False, dry_run: bool = False) -> Iterator[Logbook]:
    """The knitter's logbook for reading; for a ``writer``, such as "logbook import", to be written to by it alone.

    ``make``: a new one when there is none. For a ``dry_run`` it is only read; before there is one, an empty one that is
    gone afterwards. Raises LogbookError, for a writer also when another process writes to it or nothing can be written.
    """
    path = logbook_path()
    if dry_run and not path.exists():
        with (
            TemporaryDirectory(prefix="hosewright-") as folder,
            closing(Logbook(Path(folder) / "empty.sqlite")) as empty,
        ):
            yield empty
        return
    writer = "" if dry_run else writer
    if not make and not path.exists():
        raise LogbookError(
            f"There is no logbook at {path} yet; the bench makes one, and so does `hosewright logbook import FILE`."
        )
    with closing(Logbook.for_writing(path, f"`hosewright {writer}`") if writer else Logbook.for_reading(path)) as book:
        if writer and book.store.why_read_only:
            raise LogbookError(book.store.why_read_only)
        yield book


def keep_beside_a_bench(path: Path, writer: str, kind: str, item: OnShelf) -> None:
    """Keep ``item`` for a ``writer`` such as "care", by the bench that has the logbook at ``path`` open where one has.

    Raises LogbookError.
    """
    try:
        with closing(Logbook.for_writing(path, f"`hosewright {writer}`")) as book:
            book.keep(item)
    except HeldError:
        if not errands.leave(path, kind, item):
            raise


class Named(Protocol):
    """Anything with an id and a name."""

    @property
    def id(self) -> str:
        """What tells it from all others."""

    @property
    def name(self) -> str:
        """What it is called."""


Thing = TypeVar("Thing", bound=Named)


def the_one(
    things: Sequence[Thing], said: str, kind: str, where: str = "on the shelf", names: Names | None = None
) -> Thing:
    """The one with this id or name, else the one with this in its name, with words that begin like these, or with an
    id that does.

    ``names``: what things were called before counts, too.
    ``kind`` and ``where`` are for the sentence: "No yarn on the shelf is called so". Raises UsageError with the ids.
    """
    found = (
        [thing for thing in things if said in (thing.id, thing.name)]
        or _once_called(things, said, kind, names or {})
        or [thing for thing in things if said.casefold() in thing.name.casefold()]
        or [thing for thing in things if has_words(thing.name, said)]
        or [thing for thing in things if said and thing.id.startswith(said)]
    )
    if len(found) == 1:
        return found[0]
    could_be = _could_be([(thing.id, thing.name) for thing in (found or things)])
    if found:
        raise UsageError(f"Several {kind}s have that name. Type one of these: {could_be}.")
    near = nearest(said, [safe(name) for thing in things for name in (thing.name, thing.id)])
    raise UsageError(f"No {kind} {where} has that name.{near} Type one of these: {could_be}.")


def _once_called(things: Sequence[Thing], said: str, kind: str, names: Names) -> list[Thing]:
    was = {(told.now, one.casefold()) for (of, _), told in names.items() if of == kind for one in told.was.split(", ")}
    return [thing for thing in things if (thing.id, said.casefold()) in was]


def the_session(book: Logbook, said: str) -> SessionLine:
    """The session whose id begins like this, else the one with these words in its title.

    Raises UsageError with what it could be, LogbookError for none.
    """
    try:
        return book.store.find(said)
    except LogbookError:
        titles = book.store.ask("SELECT s.id, c.title FROM catalogue c JOIN sessions s ON s.n = c.session")
        found = [one for one in titles if has_words(one[1], said)] if said.strip() else []
        found = [one for one in found if one[1].casefold() == said.casefold()] or found
        if not found:
            raise
    if len(found) > 1:
        raise UsageError(f"Several sessions have that name. Type one of these: {_could_be(found)}.")
    return book.store.find(found[0][0])


def _could_be(named: Sequence[tuple[str, str]]) -> str:
    """Ids with names that say more than the ids, the first few."""
    told = [safe(one) if one == name else f"{safe(one)} ({safe(name)})" for one, name in named[:_MOST_NAMED]]
    more = len(named) - len(told)
    return ", ".join([*told, *([f"and {more} more"] if more > 0 else [])]) or "none yet"


class Progress:
    """Called with what is counted, how many are done and how many there are. Silent where nobody looks on."""

    def __init__(self) -> None:
        self._began = self._told = time.monotonic()
        self._looked_at = sys.stderr.isatty()

    def __call__(self, what: str, done: int, all_of_them: int) -> None:
        """Tell it, now and then; what was told is wiped away at the end."""
        now = time.monotonic()
        if not self._looked_at or now - self._began < _LATE_S:
            return
        if done >= all_of_them:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)
        elif now - self._told >= _EVERY_S:
            self._told = now
            print(f"\r\x1b[K{done:,} of {all_of_them:,} {what}", end="", file=sys.stderr, flush=True)
