"""Session files out of the logbook and into it. Nothing is ever overwritten."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook import shelf_file
from hosewright.logbook.files import parse, read_text, write
from hosewright.logbook.harmless import harmless
from hosewright.logbook.shelf_file import ShelfFile
from hosewright.logbook.store import LogbookError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.files import SessionFile
    from hosewright.logbook.store import SessionLine

EVERY = 10_000_000  # more sessions than anybody cranks


def every(book: Logbook) -> list[SessionLine]:
    """Every session, the last changed first."""
    return book.store.lines(newest=EVERY)


def document(book: Logbook, line: SessionLine) -> str:
    """The session file of one session, as text."""
    return write(book.record(line), book.store.entries(line.n))


def write_new(path: Path, text: str) -> None:
    """Write ``text`` to ``path`` whole or not at all. Raises LogbookError when the file is there already."""
    if path.exists():
        raise LogbookError(f"{path} is there already; name a file that is not.")
    name = ""
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", newline="\n", dir=path.parent, prefix=".hosewright-", delete=False
        ) as file:
            name = file.name
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except OSError as error:
        if name:
            Path(name).unlink(missing_ok=True)
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
    new: list[tuple[Path, str]] = []
    same: list[str] = []
    documents = ((f"{line.id}.json", document(book, line)) for line in lines)
    for name, text in chain([(shelf_file.NAME, shelf_file.write(book))] if shelf else [], documents):
        path = folder / name
        if not path.exists():
            new.append((path, text))
        elif path.read_bytes() == text.encode():
            same.append(str(path))
        else:
            raise LogbookError(f"{path} is there already and differs; name another folder. Nothing was written.")
    for path, text in new:
        write_new(path, text)
    return [str(path) for path, _ in new], same


def read_any(path: Path) -> SessionFile | ShelfFile:
    """The session or the shelf in a file. Raises LogbookError with what is wrong with it."""
    text = read_text(path)
    return shelf_file.parse(text, str(path)) if shelf_file.is_one(text) else parse(text, str(path))


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


def import_all(book: Logbook, paths: Iterable[Path]) -> Outcome:
    """Take in every file that can be, each wholly or not at all."""
    outcome = Outcome()
    for path in paths:
        try:
            filed = read_any(path)
            if isinstance(filed, ShelfFile):
                for one in shelf_file.take_in(book, filed):
                    (outcome.new if one.what == "new" else outcome.known).append(f"{one.kind} {one.id}")
                    if one.what == "disagrees":
                        outcome.reasons.append(f"{one.kind} {one.id} disagrees: {one.why}")
                continue
            taken = book.take_in(filed.session, filed.entries())
        except LogbookError as error:
            outcome.refused.append(str(path))
            said, name = str(error), harmless(str(path))
            outcome.reasons.append(said if name in said else f"{name}: {said}")
        else:
            (outcome.new if taken else outcome.known).append(filed.session.id)
    return outcome
