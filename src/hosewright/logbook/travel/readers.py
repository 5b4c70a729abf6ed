"""Session files read, checked and worked out, ready to be stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.prepared import Prepared, prepare
from hosewright.logbook.travel import processes as apart
from hosewright.logbook.travel import shelf_file
from hosewright.logbook.travel.session_files import read_text, session_in
from hosewright.logbook.travel.shelf_file import ShelfFile

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

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
        for filed in apart.each(read_some, paths, busy=True):
            yield filed
            done += 1
    except apart.HelperEndedError:
        yield from map(read, paths[done:])
