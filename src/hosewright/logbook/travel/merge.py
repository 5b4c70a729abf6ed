"""Taking in what others kept: seeing beforehand what is new, what is here already and what disagrees.

Nothing is ever overwritten: a session that goes on there goes on here, too; of a session or a thing on the shelf that
was changed in both places both are kept, the one that is here in its place, and it is named.
"""

from __future__ import annotations

import json
import sqlite3
import tempfile
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.schema import APPLICATION_ID
from hosewright.logbook.find.sessions import names_made, one_name
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.versions import keep_all, shelf_of, together, told
from hosewright.logbook.ways import What, prepare, stands_to, take_in_each
from hosewright.phrases.lists import many

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hosewright.logbook.file.coding import Prepared
    from hosewright.logbook.versions import Shelf, Versions

_IN_A_COMMIT = 50  # sessions: some 20 ms
_PAGES = 2000  # of 4 kB


@dataclass(frozen=True, slots=True)
class Arrival:
    """A session, or a thing of the shelf, that comes from elsewhere, and how it stands to what is here."""

    id: str
    kind: str
    title: str
    what: What
    why: str = ""
    called: str = "sock"  # what a session's socks are


@dataclass(slots=True)
class Merged:
    """All that came, in order: ``unread`` could not be read at the other end, a sentence each."""

    sessions: list[Arrival] = field(default_factory=list)
    shelf: list[Arrival] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


def preview(book: Logbook, one: Prepared) -> Arrival:
    """How a session from elsewhere stands to this logbook; stores nothing. Raises LogbookError."""
    how = stands_to(book.store, one)
    why = ""
    if how.what == "goes on":
        why = f"{many(len(one.events) - how.shared, 'more event')} than the {how.shared} here"
    elif how.what == "disagrees" and how.n is not None:
        why = f"both went on after event {how.shared}" if how.shared else _starts_differ(book, how.n, one)
    start = json.loads(one.stands or one.record)
    name = one_name(names_made(start.get("plan"), start.get("socks")))
    return Arrival(one.id, one.kind, one.title, how.what, why, name)


def _starts_differ(book: Logbook, n: int, one: Prepared) -> str:
    mine = SessionRecord.model_validate_json(book.store.begun_text(n)).model_dump()
    theirs = SessionRecord.model_validate_json(one.record).model_dump()
    names = [name for name in mine if mine[name] != theirs[name]]
    return f"its start differs ({', '.join(names)})" if names else "its first event differs"


def merge(
    book: Logbook, other: Path, *, dry_run: bool = False, progress: Callable[[str, int, int], None] = lambda *_: None
) -> Merged:
    """Take every session and thing of ``other`` that is new into ``book``; with ``dry_run`` only say what would be.

    The other logbook is copied and only read. ``progress`` is told what is done, how many of how many. Interrupted,
    what is taken in stays, each session whole. Raises LogbookError when it is no logbook.
    """
    merged = Merged()
    with _opened_copy(other, progress) as source:
        merged.shelf = bring(book, shelf_of(source), f"the logbook {other.name}", dry_run=dry_run)
        lines = [*reversed(source.lines()), *source.store.asides()]
        waiting: list[Prepared] = []
        for place, line in enumerate(lines, 1):
            progress("sessions", place, len(lines))
            try:
                entries, more = list(source.store.entries(line.n)), source.store.more(line.n)
                one = prepare(source.begun(line), entries, f"the logbook {other.name}", more)
                found = preview(book, one)
            except LogbookError as error:
                merged.unread.append(f"{line.id}: {error}")
                continue
            merged.sessions.append(found)
            if found.what != "here already" and not dry_run:
                waiting.append(one)
            if len(waiting) >= _IN_A_COMMIT:
                _take_in(book, waiting, merged)
        _take_in(book, waiting, merged)
    return merged


def _take_in(book: Logbook, waiting: list[Prepared], merged: Merged) -> None:
    for one, what in zip(waiting, take_in_each(book.store, waiting), strict=True):
        if isinstance(what, LogbookError):
            merged.unread.append(f"{one.id}: {what}")
            merged.sessions = [known for known in merged.sessions if known.id != one.id]
    waiting.clear()


def bring(book: Logbook, there: Shelf, whose: str = "", *, dry_run: bool = False) -> list[Arrival]:
    """Let the shelf have every version of ``there``, too, and say how each thing stands to what was here.

    ``whose``: where those are from of which it is not known. Raises LogbookError, storing nothing.
    """
    here = shelf_of(book)
    if whose:
        for versions in there.values():
            versions.whose = dict.fromkeys(versions.met, whose) | versions.whose
    wanted = together(here, there)
    if not dry_run:
        keep_all(book, here, wanted)
    return [_arrived(*key, here.get(key), wanted[key], theirs) for key, theirs in there.items()]


def _arrived(kind: str, item: str, mine: Versions | None, both: Versions, theirs: Versions) -> Arrival:
    other = theirs.met[max(theirs.stand)]
    if mine is None or mine.place is None:
        return Arrival(item, kind, other.name, "new")
    ours = mine.met[mine.place]
    if both.stand - mine.stand and mine.place in both.stand:
        fields, others = ours.model_dump(), other.model_dump()
        names = ", ".join(name for name in fields if fields[name] != others[name])
        return Arrival(item, kind, ours.name, "disagrees", f"{names}: both are kept")
    if mine.place in both.stand or told(ours) in [version[1] for version in both.stand]:
        return Arrival(item, kind, ours.name, "here already")
    return Arrival(item, kind, other.name, "goes on", "changed there")


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
        with closing(Logbook(copy)) as opened:
            yield opened
