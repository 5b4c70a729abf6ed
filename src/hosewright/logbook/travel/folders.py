"""Session files and the shelf's file in folders: written out of the logbook, and taken in. Nothing is overwritten."""

from __future__ import annotations

import os
from contextlib import closing, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.coding import Prepared
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel import processes, shelf_file
from hosewright.logbook.travel.session_files import read_text, session_in, write
from hosewright.logbook.travel.sharing import session_without_people, shelf_without_people
from hosewright.logbook.travel.shelf_file import ShelfFile
from hosewright.logbook.ways import prepare, take_in_each
from hosewright.phrases.harmless import harmless
from hosewright.places import make_private, part_name, write_whole

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.ways import What

    People = Callable[[SessionLine], bool]


def document(book: Logbook, line: SessionLine, *, people: bool = True) -> str:
    """The session file of one session, as text; without ``people`` it tells of nobody."""
    if not people:
        return session_without_people(book, line)
    return write(book.begun(line), book.store.entries(line.n), more=book.store.more(line.n))


def write_new(path: Path, text: str, *, sync: bool = True) -> None:
    """Write ``text`` to ``path`` whole or not at all. Raises LogbookError when the file is there already.

    Without ``sync`` it is on the disk only once whoever called has seen to that.
    """
    if path.exists():
        raise LogbookError(f"{path} is there already; name another file.")
    write_out(path, text, sync=sync)


def write_out(path: Path, text: str, *, sync: bool = True) -> None:
    """The same over what is there. Raises LogbookError."""
    try:
        write_whole(path, text, sync=sync)
    except OSError as error:
        raise LogbookError(f"{path} could not be written: {error.strerror}.") from error


def export_all(
    book: Logbook, lines: Iterable[SessionLine], folder: Path, *, shelf: bool, tells_of: People = lambda _: True
) -> tuple[list[str], list[str]]:
    """One file a session, and with ``shelf`` one for everything kept beside them, into ``folder``.

    ``tells_of``: of which sessions the people they are for go along; those of the shelf do where they all do. Returns
    the files written, and those that were there with the same content. Raises LogbookError, before anything is
    written, when a file of that name says something else.
    """
    try:
        make_private(folder)  # it tells of other people's feet
    except OSError as error:
        raise LogbookError(f"The folder {folder} could not be made: {error.strerror}.") from error
    named = [(line, folder / _file_name(line.id)) for line in lines]
    bare = {line.n for line, _ in named if not tells_of(line)}
    new = [
        (line, path)
        for line, path in named
        if not _is_there(path, partial(document, book, line, people=line.n not in bare))
    ]
    path = folder / shelf_file.NAME
    of_shelf = partial(_shelf, book, people=not bare)
    new_shelf = [path] if shelf and not _is_there(path, of_shelf) else []
    for path in new_shelf:
        write_new(path, of_shelf())
    _write_all(book, folder, [one for one in new if one[0].n not in bare])
    for line, path in new:
        if line.n in bare:
            write_new(path, document(book, line, people=False))
    written = [str(path) for path in (*new_shelf, *(path for _, path in new))]
    every_one = [str(path) for path in (*([folder / shelf_file.NAME] if shelf else []), *(path for _, path in named))]
    known = set(written)
    return written, [path for path in every_one if path not in known]


def _shelf(book: Logbook, *, people: bool) -> str:
    text = shelf_file.write(book)
    return text if people else shelf_without_people(book, text)


def _file_name(session: str) -> str:
    """The file of a session, or of another way it went on; one called as the shelf's file is gets another name."""
    name = f"{session.replace('~', '-')}.json"
    return f"session-{name}" if name.casefold() == shelf_file.NAME else name


def _is_there(path: Path, text: Callable[[], str]) -> bool:
    """Whether a file is there with this content. Raises LogbookError when it is there with another."""
    if not path.exists():
        return False
    if path.read_bytes() != text().encode():
        raise LogbookError(f"{path} is there already and differs; name another folder. Nothing was written.")
    return True


def _write_all(book: Logbook, folder: Path, sessions: list[tuple[SessionLine, Path]]) -> None:
    """Write each as ``write_new`` does, and return when all are on the disk. Raises LogbookError.

    Where the system can be told to put all it has on the disk, it is told once: each file is then asked for at once,
    for that alone says what went wrong, and has nothing to wait for.
    """
    at_once = hasattr(os, "sync")  # not on Windows
    try:
        there, here = partial(write_some, book.path, sync=not at_once), partial(_write, book, sync=not at_once)
        written = list(processes.each(there, sessions, at_once=200, here=here))
    except processes.HelperEndedError as error:
        for part in (part for number in error.processes for part in folder.glob(part_name(number, "*"))):
            part.unlink(missing_ok=True)
        raise LogbookError(
            "A process that wrote some of the files was ended from outside. Export once more into the same folder: "
            "what is written there stays."
        ) from error
    if at_once:
        os.sync()
        failed = [why for path in written if (why := _why_not_there(path))]
        if failed:
            raise LogbookError(failed[0])


def write_some(logbook: Path, sessions: list[tuple[SessionLine, Path]], *, sync: bool) -> list[Path]:
    """Write the files of some sessions of the logbook at that path, and return theirs. Raises LogbookError."""
    with closing(Logbook(logbook, why_read_only="Opened to copy sessions out of it.")) as book:
        return _write(book, sessions, sync=sync)


def _write(book: Logbook, sessions: list[tuple[SessionLine, Path]], *, sync: bool) -> list[Path]:
    # In the process that has the logbook open it is never opened again: closed, that would end the locks of the first.
    for line, path in sessions:
        write_new(path, document(book, line), sync=sync)
    return [path for _, path in sessions]


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


EVENTS_AT_ONCE = 5000  # in one commit: some 20 ms, or one long session


def files_in(names: Iterable[str]) -> list[Path]:
    """The session files named, those of a named folder in order of name, and shelves before all sessions.

    Raises LogbookError for an empty folder.
    """
    found: list[Path] = []
    for name in names:
        path = Path(name)
        if not path.is_dir():
            found.append(path)
            continue
        inside = sorted(path.glob("*.json"), key=lambda file: file.name)
        if not inside:
            raise LogbookError(f"The folder {path} holds no session files (their names end in .json).")
        found += inside
    # A session brings along what it was cranked on as it was then, which may have changed since.
    return sorted(found, key=lambda file: file.name != shelf_file.NAME)


@dataclass(slots=True)
class Outcome:
    """What became of each file: ids new, gone on, known and kept beside what is here; files refused; sentences why."""

    new: list[str] = field(default_factory=list)
    gone_on: list[str] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    beside: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)

    def take(self, name: str, what: What) -> None:
        """Note what became of something."""
        names = {"new": self.new, "goes on": self.gone_on, "here already": self.known, "disagrees": self.beside}
        names[what].append(name)

    def refuse(self, path: Path, error: LogbookError) -> None:
        self.refused.append(str(path))
        self.reasons.append(why_refused(path, error))


def why_refused(path: Path, error: LogbookError) -> str:
    """Why a file is refused, in a sentence that names it."""
    said, name = str(error), harmless(str(path))
    return said if name in said else f"{name}: {said}"


def import_all(book: Logbook, paths: Sequence[Path]) -> Outcome:
    """Take in every file that can be, each wholly or not at all.

    Sessions share a commit, and it is a short one: a bench that counts meanwhile waits for it.
    """
    outcome = Outcome()
    waiting: list[tuple[Path, Prepared]] = []
    for path, filed in zip(paths, read_each(paths), strict=True):
        if isinstance(filed, LogbookError):
            outcome.refuse(path, filed)
        elif isinstance(filed, ShelfFile):
            _take_in(book, waiting, outcome)
            _take_in_shelf(book, path, filed, outcome)
        else:
            waiting.append((path, filed))
            if sum(len(one.events) for _, one in waiting) >= EVENTS_AT_ONCE:
                _take_in(book, waiting, outcome)
    _take_in(book, waiting, outcome)
    return outcome


def _take_in(book: Logbook, waiting: list[tuple[Path, Prepared]], outcome: Outcome) -> None:
    for (path, one), what in zip(waiting, take_in_each(book.store, [one for _, one in waiting]), strict=True):
        if isinstance(what, LogbookError):
            outcome.refuse(path, what)
            continue
        outcome.take(one.id, what)
        if what == "disagrees":
            outcome.reasons.append(f"{one.id} went on here and in {one.whose}: both are kept.")
    waiting.clear()


def _take_in_shelf(book: Logbook, path: Path, filed: ShelfFile, outcome: Outcome) -> None:
    try:
        found = shelf_file.take_in(book, filed, whose=f"the file {harmless(path.name)}")
    except LogbookError as error:
        outcome.refuse(path, error)
        return
    for one in found:
        outcome.take(f"{one.kind} {one.id}", one.what)
        if one.what == "disagrees":
            outcome.reasons.append(f"{one.kind} {one.id} disagrees: {one.why}")


# --- files read, checked and worked out, ready to be stored -----------------------------------------------------------


Filed = Prepared | ShelfFile | LogbookError  # the last says why a file is refused


def read(path: Path) -> Filed:
    """What is in a file, ready to be stored; whatever is wrong with it is returned."""
    try:
        text = read_text(path)
        if shelf_file.is_one(text):
            return shelf_file.parse(text, str(path))
        heard = session_in(text, str(path))
        return prepare(heard.start, heard.entries, heard.laptop or f"the file {harmless(path.name)}", heard.more)
    except LogbookError as error:
        return error


def read_some(paths: list[Path]) -> list[Filed]:
    """What is in each of some files."""
    return list(map(read, paths))


def read_each(paths: Sequence[Path]) -> Iterator[Filed]:
    """What is in each file, in their order, while what was read before is stored."""
    done = 0
    try:
        for filed in processes.each(read_some, paths, busy=True):
            yield filed
            done += 1
    except processes.HelperEndedError:
        yield from map(read, paths[done:])
