"""Session files out of the logbook and into it. Nothing is ever overwritten."""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook import shelf_file
from hosewright.logbook.files import read_text, session_in, write
from hosewright.logbook.harmless import harmless
from hosewright.logbook.shelf_file import ShelfFile
from hosewright.logbook.store import LogbookError
from hosewright.places import closed_to_others

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.session_record import SessionRecord
    from hosewright.logbook.store import SessionLine
    from hosewright.session.events import Entry

    _Session = tuple[Path, SessionRecord, list[Entry]]

EVERY = 10_000_000  # more sessions than anybody cranks
EVENTS_AT_ONCE = 5000  # in one commit: some 20 ms, or one long session


def every(book: Logbook) -> list[SessionLine]:
    """Every session, the last changed first."""
    return book.store.lines(newest=EVERY)


def document(book: Logbook, line: SessionLine) -> str:
    """The session file of one session, as text."""
    return write(book.record(line), book.store.entries(line.n))


def write_new(path: Path, text: str, *, sync: bool = True) -> None:
    """Write ``text`` to ``path`` whole or not at all. Raises LogbookError when the file is there already.

    Without ``sync`` it is on the disk only once whoever called has seen to that.
    """
    if path.exists():
        raise LogbookError(f"{path} is there already; name a file that is not.")
    part = path.with_name(f".hosewright-{os.getpid()}-{path.name}")
    try:
        with open(part, "x", encoding="utf-8", newline="\n", opener=closed_to_others) as file:
            file.write(text)
            file.flush()
            if sync:
                os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink()
        raise LogbookError(f"{path} could not be written: {error.strerror}.") from error


def export_all(
    book: Logbook, lines: Iterable[SessionLine], folder: Path, *, shelf: bool
) -> tuple[list[str], list[str]]:
    """One file a session, and with ``shelf`` one for everything kept beside them, into ``folder``.

    Returns the files written, and those that were there with the same content. Raises LogbookError, before anything
    is written, when a file of that name says something else.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)  # it tells of other people's feet
    except OSError as error:
        raise LogbookError(f"The folder {folder} could not be made: {error.strerror}.") from error
    documents: list[tuple[Path, Callable[[], str]]] = [
        (folder / f"{line.id}.json", partial(document, book, line)) for line in lines
    ]
    if shelf:
        documents.insert(0, (folder / shelf_file.NAME, partial(shelf_file.write, book)))
    new, same = [], []
    for path, text in documents:
        if not path.exists():
            new.append((path, text))
        elif path.read_bytes() == text().encode():
            same.append(str(path))
        else:
            raise LogbookError(f"{path} is there already and differs; name another folder. Nothing was written.")
    _write_all((path, text()) for path, text in new)
    return [str(path) for path, _ in new], same


def _write_all(files: Iterable[tuple[Path, str]]) -> None:
    """Write each as ``write_new`` does, and return when all are on the disk. Raises LogbookError.

    Where the system can be told to put all it has on the disk, it is told once: each file is then asked for at once,
    for that alone says what went wrong, and has nothing to wait for.
    """
    at_once = hasattr(os, "sync")  # not on Windows
    written = []
    for path, text in files:
        write_new(path, text, sync=not at_once)
        written.append(path)
    if at_once:
        os.sync()
        failed = [why for path in written if (why := _why_not_there(path))]
        if failed:
            raise LogbookError(failed[0])


def _why_not_there(path: Path) -> str:
    """Why a file just written is not on the disk, and then it is removed; empty when it is."""
    try:
        with path.open("rb") as file:
            os.fsync(file.fileno())
    except OSError as error:
        with suppress(OSError):
            path.unlink()
        return f"{path} could not be written: {error.strerror}."
    return ""


def read_any(path: Path) -> tuple[SessionRecord, list[Entry]] | ShelfFile:
    """The session or the shelf in a file. Raises LogbookError with what is wrong with it."""
    text = read_text(path)
    return shelf_file.parse(text, str(path)) if shelf_file.is_one(text) else session_in(text, str(path))


def files_in(names: Iterable[str]) -> list[Path]:
    """The session files named, those of a named folder in order of name. Raises LogbookError for an empty one."""
    found: list[Path] = []
    for name in names:
        path = Path(name)
        if not path.is_dir():
            found.append(path)
            continue
        # The shelf first: a session brings along what it was cranked on as it was then, which may have changed since.
        inside = sorted(path.glob("*.json"), key=lambda file: (file.name != shelf_file.NAME, file.name))
        if not inside:
            raise LogbookError(f"The folder {path} holds no session files (their names end in .json).")
        found += inside
    return found


@dataclass(slots=True)
class Outcome:
    """What became of each file: ids taken in and ids known, files refused and why."""

    new: list[str] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)

    def refuse(self, path: Path, error: LogbookError) -> None:
        """Note that a file was refused, and why."""
        self.refused.append(str(path))
        said, name = str(error), harmless(str(path))
        self.reasons.append(said if name in said else f"{name}: {said}")


def import_all(book: Logbook, paths: Iterable[Path]) -> Outcome:
    """Take in every file that can be, each wholly or not at all.

    Sessions share a commit, and it is a short one: a bench that counts meanwhile waits for it.
    """
    outcome = Outcome()
    waiting: list[_Session] = []
    for path in paths:
        try:
            filed = read_any(path)
            if isinstance(filed, ShelfFile):
                _take_in(book, waiting, outcome)
                _take_in_shelf(book, filed, outcome)
                continue
        except LogbookError as error:
            outcome.refuse(path, error)
            continue
        waiting.append((path, *filed))
        if sum(len(entries) for _, _, entries in waiting) >= EVENTS_AT_ONCE:
            _take_in(book, waiting, outcome)
    _take_in(book, waiting, outcome)
    return outcome


def _take_in(book: Logbook, waiting: list[_Session], outcome: Outcome) -> None:
    """Store what waits, together if that can be, else one at a time, so that one refused leaves the others."""
    try:
        taken = book.take_in_all([(record, entries) for _, record, entries in waiting])
    except LogbookError as error:
        if len(waiting) == 1:
            outcome.refuse(waiting[0][0], error)
        else:
            for one in waiting:
                _take_in(book, [one], outcome)
    else:
        for (_, record, _), is_new in zip(waiting, taken, strict=True):
            (outcome.new if is_new else outcome.known).append(record.id)
    waiting.clear()


def _take_in_shelf(book: Logbook, filed: ShelfFile, outcome: Outcome) -> None:
    for one in shelf_file.take_in(book, filed):
        (outcome.new if one.what == "new" else outcome.known).append(f"{one.kind} {one.id}")
        if one.what == "disagrees":
            outcome.reasons.append(f"{one.kind} {one.id} disagrees: {one.why}")
