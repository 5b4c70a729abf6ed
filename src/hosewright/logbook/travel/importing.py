"""Session files into the logbook. Nothing is ever overwritten."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.prepared import Prepared, prepare
from hosewright.logbook.travel import processes, shelf_file
from hosewright.logbook.travel.session_files import read_text, session_in
from hosewright.logbook.travel.shelf_file import ShelfFile
from hosewright.phrases.harmless import harmless

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from hosewright.logbook.book import Logbook


EVENTS_AT_ONCE = 5000  # in one commit: some 20 ms, or one long session


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
    """Store what waits, together if that can be, else one at a time, so that one refused leaves the others."""
    try:
        taken = book.take_in_all([one for _, one in waiting])
    except LogbookError as error:
        if len(waiting) == 1:
            outcome.refuse(waiting[0][0], error)
        else:
            for each in waiting:
                _take_in(book, [each], outcome)
    else:
        for (_, one), is_new in zip(waiting, taken, strict=True):
            (outcome.new if is_new else outcome.known).append(one.id)
    waiting.clear()


def _take_in_shelf(book: Logbook, path: Path, filed: ShelfFile, outcome: Outcome) -> None:
    try:
        found = shelf_file.take_in(book, filed)
    except LogbookError as error:
        outcome.refuse(path, error)
        return
    for one in found:
        (outcome.new if one.what == "new" else outcome.known).append(f"{one.kind} {one.id}")
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
        return prepare(*session_in(text, str(path)))
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
