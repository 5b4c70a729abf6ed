"""Two laptops and a folder: what each has goes into it, and what it holds comes into each. No server, no clock needed.

The folder holds one session file a way a session went on, and one file for the shelf with every version there was; the
logbook itself never lies in it. Whatever reads it takes both together (``ways``, ``versions``), so that the laptops
come to the same in whatever order they meet, and however often. A file is written beside its place and then renamed.
One that cannot be read is left as it is and named: it may still be on its way.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.travel import session_files, shelf_file
from hosewright.logbook.travel.folders import EVENTS_AT_ONCE, Outcome, read_each, write_out
from hosewright.logbook.travel.merge import bring
from hosewright.logbook.travel.shelf_file import ShelfFile
from hosewright.logbook.versions import shelf_of, together
from hosewright.logbook.ways import key_of, parted_sessions, settle, take_in, ways_of

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.coding import Prepared
    from hosewright.logbook.versions import Shelf
    from hosewright.logbook.ways import Way


class _InFolder(NamedTuple):
    """A session file of the folder: how many events, and what tells the way it holds from others."""

    path: Path
    events: int
    key: str


@dataclass(slots=True)
class Synced(Outcome):
    """What came, as of an import, and ``written``: names of the files that went; ``spare`` hold nothing others lack."""

    written: list[str] = field(default_factory=list)
    spare: list[str] = field(default_factory=list)


def sync(book: Logbook, folder: Path, laptop: str) -> Synced:
    """Bring the logbook and the folder to the same; ``laptop`` is what this one is called there.

    Raises LogbookError when there is no such folder, or a file could not be written; what came until then stays.
    """
    if not folder.is_dir():
        raise LogbookError(f"There is no folder {folder}. Make it first, or look whether its drive is there.")
    if folder.resolve() == book.path.parent.resolve():
        raise LogbookError(f"The logbook itself lies in {folder}; choose another folder for what the laptops share.")
    done = Synced()
    shelves: list[ShelfFile] = []
    here: dict[str, list[_InFolder]] = {}
    waiting: list[Prepared] = []
    paths = sorted(path for path in folder.glob("*.json") if path.is_file())
    for path, filed in zip(paths, read_each(paths), strict=True):
        if isinstance(filed, LogbookError):
            done.refuse(path, filed)
        elif isinstance(filed, ShelfFile):
            shelves.append(filed)
        else:
            start = SessionRecord.model_validate_json(filed.record)
            held = _InFolder(path, len(filed.events), key_of(start, filed.entries()))
            here.setdefault(filed.id, []).append(held)
            waiting.append(filed)
            if sum(len(one.events) for one in waiting) >= EVENTS_AT_ONCE:
                _take_in(book, waiting, done)
    # The shelf first: a session brings what it was cranked on as it was then, and choices say which way stands.
    shared = _take_in_shelves(book, shelves, done)
    _take_in(book, waiting, done)
    for session in parted_sessions(book.store):
        with book.store.one_commit():  # another version may have judged otherwise
            settle(book.store, session)
    unread = {path.name for path in paths if str(path) in done.refused}
    _write_sessions(book, folder, here, laptop, unread, done)
    _write_shelf(book, folder, shared, laptop, unread, done)
    return done


def _take_in(book: Logbook, waiting: list[Prepared], done: Synced) -> None:
    for one, what in zip(waiting, take_in(book.store, waiting), strict=True):
        done.take(one.id, what)
    waiting.clear()


def _take_in_shelves(book: Logbook, filed: list[ShelfFile], done: Synced) -> Shelf:
    """What the shelf files of the folder hold together."""
    shared: Shelf = {}
    for one in filed:
        shared = together(shared, shelf_file.versions_in(one, shelf_of(book), book.clock.now().at_ms))
    for arrival in bring(book, shared):
        done.take(f"{arrival.kind} {arrival.id}", arrival.what)
    return shared


def _write_sessions(
    book: Logbook, folder: Path, here: dict[str, list[_InFolder]], laptop: str, unread: set[str], done: Synced
) -> None:
    for line in book.lines():
        held = here.get(line.id, [])
        kept = {one.path for one in held}
        every = ways_of(book.store, line.id)
        for way in every:
            if any(one.key == way.key for one in held):
                continue
            path = _place_of(folder, way, [one for one in held if one.path in kept])
            if path.name in unread:
                continue
            _write(
                path,
                session_files.write(way.start, way.entries, way.whose or laptop, book.store.more(way.line.n)),
                done,
            )
            kept.discard(path)
        keys = {way.key for way in every}
        told = [one for one in held if one.path in kept]
        needed = {key: min(one.path for one in told if one.key == key) for key in keys & {one.key for one in told}}
        done.spare += [one.path.name for one in told if one.path not in needed.values()]


def _place_of(folder: Path, way: Way, held: list[_InFolder]) -> Path:
    """Where a way is written: over a file that holds its beginning, else into one of its own."""
    session = way.line.session
    for one in held:
        named = one.path.name.startswith((f"{session}.json", f"{session}-"))
        if named and one.key == key_of(way.start, way.entries[: one.events]):
            return one.path
    usual = folder / f"{session}.json"
    taken = usual.exists() or usual.name.casefold() == shelf_file.NAME
    return folder / f"{session}-{way.key}.json" if taken else usual


def _write_shelf(book: Logbook, folder: Path, shared: Shelf, laptop: str, unread: set[str], done: Synced) -> None:
    path = folder / shelf_file.NAME
    wanted = together(shared, shelf_of(book))
    if path.name in unread or (path.exists() and wanted == shared):
        return
    for key, versions in wanted.items():
        for version in versions.met:
            known = shared[key].whose.get(version) if key in shared else None
            versions.whose[version] = known or versions.whose.get(version) or laptop
    _write(path, shelf_file.write_versions(wanted), done)


def _write(path: Path, text: str, done: Synced) -> None:
    write_out(path, text)
    done.written.append(path.name)
