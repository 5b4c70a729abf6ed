"""Session files out of the logbook. Nothing is ever overwritten."""

from __future__ import annotations

import os
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from hosewright.logbook import shelf_file
from hosewright.logbook.files import write
from hosewright.logbook.store import LogbookError
from hosewright.places import closed_to_others

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.store import SessionLine

EVERY = 10_000_000  # more sessions than anybody cranks


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
