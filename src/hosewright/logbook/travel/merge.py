"""Taking in what others kept: seeing beforehand what is new, what is here already and what disagrees.

Nothing is ever overwritten: a session or a thing on the shelf that disagrees stays as it is here, and is named.
"""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.schema import APPLICATION_ID
from hosewright.logbook.prepared import prepare
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import SHELF
from hosewright.phrases.lists import many

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from hosewright.logbook.file.coding import Prepared
    from hosewright.logbook.records.shelf import OnShelf
    from hosewright.session.events import Entry

_IN_A_COMMIT = 50  # sessions: some 20 ms
_PAGES = 2000  # of 4 kB
What = Literal["new", "here already", "disagrees"]


@dataclass(frozen=True, slots=True)
class Arrival:
    """A session, or a thing of the shelf, that comes from elsewhere, and how it stands to what is here."""

    id: str
    kind: str
    title: str
    what: What
    why: str = ""


@dataclass(slots=True)
class Merged:
    """All that came, in order: ``unread`` could not be read at the other end, a sentence each."""

    sessions: list[Arrival] = field(default_factory=list)
    shelf: list[Arrival] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


def preview(book: Logbook, one: Prepared) -> Arrival:
    """How a session from elsewhere stands to this logbook; stores nothing. Raises LogbookError."""
    known = book.store.line(one.id)
    if known is None:
        return Arrival(one.id, one.kind, one.title, "new")
    there = SessionRecord.model_validate_json(one.record)
    why = _difference(book.begun(known), list(book.store.entries(known.n)), there, one.entries())
    return Arrival(one.id, one.kind, one.title, "disagrees" if why else "here already", why)


def _difference(here: SessionRecord, events: list[Entry], there: SessionRecord, others: list[Entry]) -> str:
    """What two sessions of one id differ in, in words; empty when they are the same."""
    if here != there:
        mine, theirs = here.model_dump(), there.model_dump()
        return f"its start differs ({', '.join(name for name in mine if mine[name] != theirs[name])})"
    same = next((n for n, (a, b) in enumerate(zip(events, others, strict=False)) if a != b), None)
    if same is not None:
        return f"event {same + 1} differs"
    more = len(others) - len(events)
    if more > 0:
        return f"it goes on there: {many(more, 'more event')} than the {len(events)} here"
    if more < 0:
        return f"it goes on here: {many(-more, 'more event')} than the {len(others)} there"
    return ""


def merge(
    book: Logbook, other: Path, *, dry_run: bool = False, progress: Callable[[str, int, int], None] = lambda *_: None
) -> Merged:
    """Take every session and thing of ``other`` that is new into ``book``; with ``dry_run`` only say what would be.

    The other logbook is copied and only read. ``progress`` is told what is done, how many of how many. Interrupted,
    what is taken in stays, each session whole. Raises LogbookError when it is no logbook.
    """
    merged = Merged()
    with _opened_copy(other, progress) as source:
        merged.shelf = _bring_shelf(book, source, dry_run=dry_run)
        lines = source.store.lines(newest=10_000_000)
        waiting: list[Prepared] = []
        for place, line in enumerate(reversed(lines), 1):
            progress("sessions", place, len(lines))
            try:
                one = prepare(source.begun(line), list(source.store.entries(line.n)))
                found = preview(book, one)
            except LogbookError as error:
                merged.unread.append(f"{line.id}: {error}")
                continue
            merged.sessions.append(found)
            if found.what == "new" and not dry_run:
                waiting.append(one)
            if len(waiting) >= _IN_A_COMMIT:
                _take_in(book, waiting, merged)
        _take_in(book, waiting, merged)
    return merged


def _take_in(book: Logbook, waiting: list[Prepared], merged: Merged) -> None:
    """Store what waits, in one commit, or one by one where that cannot be."""
    try:
        book.take_in_all(waiting)
    except LogbookError:
        for one in waiting:
            try:
                book.take_in_all([one])
            except LogbookError as error:
                merged.unread.append(f"{one.id}: {error}")
                merged.sessions = [known for known in merged.sessions if known.id != one.id]
    waiting.clear()


def _bring_shelf(book: Logbook, source: Logbook, *, dry_run: bool) -> list[Arrival]:
    every: dict[str, type[Any]] = dict(SHELF)
    things = {kind: source.shelf(cls, retired=True) for kind, cls in every.items()}
    return bring(book, things, source.store.names_before(), dry_run=dry_run)


def bring(
    book: Logbook,
    things: Mapping[str, Sequence[OnShelf]],
    before: Mapping[tuple[str, str], Sequence[str]],
    *,
    dry_run: bool,
) -> list[Arrival]:
    """Put ``things``, by their kind, on the shelf where they are new; nothing is changed that is there.

    ``before``: what they were called before, by kind and id, which becomes earlier revisions of them. Raises
    LogbookError, storing nothing.
    """
    every: dict[str, type[Any]] = dict(SHELF)
    found, new = [], []
    for kind, items in things.items():
        here = {item.id: item for item in book.shelf(every[kind], retired=True)}
        for item in items:
            mine = here.get(item.id)
            if mine is None:
                found.append(Arrival(item.id, kind, item.name, "new"))
                new += [item.model_copy(update={"name": name}) for name in before.get((kind, item.id), ())]
                new.append(item)
            elif mine == item:
                found.append(Arrival(item.id, kind, item.name, "here already"))
            else:
                ours, theirs = mine.model_dump(), item.model_dump()
                names = ", ".join(name for name in ours if ours[name] != theirs[name])
                found.append(Arrival(item.id, kind, item.name, "disagrees", f"{names}: kept as it is here"))
    if new and not dry_run:
        book.keep(*new)
    return found


@contextmanager
def _opened_copy(other: Path, progress: Callable[[str, int, int], None]) -> Iterator[Logbook]:
    if not other.is_file():
        raise LogbookError(f"There is no file {other}.")
    with tempfile.TemporaryDirectory(prefix="hosewright-") as folder:
        copy = Path(folder) / "logbook.sqlite"
        try:
            source = sqlite3.connect(f"{other.resolve().as_uri()}?mode=ro", uri=True)
            with closing(source), closing(sqlite3.connect(copy)) as target:
                if source.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                    raise LogbookError(f"{other} is not a hosewright logbook.")
                # A part at a time, so that it can be told how far it is, and left.
                source.backup(
                    target, pages=_PAGES, progress=lambda _, left, pages: progress("pages", pages - left, pages)
                )
        except sqlite3.Error as error:
            raise LogbookError(f"{other} is not a logbook that can be read: {error}.") from error
        opened = Logbook(copy)
        try:
            yield opened
        finally:
            opened.close()
