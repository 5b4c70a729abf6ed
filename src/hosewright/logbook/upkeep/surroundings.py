"""What lies round a logbook: copies that something laid beside it, and whether its folder is synced with others.

A program that keeps folders alike on several computers knows nothing of a database: where two wrote at once it lays a
copy beside the file, and it may bring over a file in the midst of a change. Nothing here knows such programs by name.
"""

from __future__ import annotations

import re
from contextlib import suppress
from typing import TYPE_CHECKING

from hosewright.phrases.harmless import harmless
from hosewright.places import write_whole

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_MAGIC = b"SQLite format 3\0"  # sqlite.org/fileformat2.html, section 1.3
_OURS = re.compile(r"-(?:rescued|aside-\d{8}-\d{6})")
# A word for it in the name of a folder, and the hidden files by which such folders are known to their programs.
_SYNCED = re.compile(r"sync|cloud|\w(?:drive|box)$", re.IGNORECASE)
_MARK = re.compile(r"\.(?:.*sync|.*cloud|drop|stfolder)", re.IGNORECASE)
_TOLD = "synced-folder-told.txt"
BY_SYNC = "`hosewright sync FOLDER` shares what is in it by such a folder, and leaves the logbook itself out of it."


def copies_beside(logbook: Path) -> list[Path]:
    """The files beside ``logbook`` that look like copies of it which nobody here made."""
    found = []
    with suppress(OSError):
        for path in sorted(logbook.parent.iterdir()):
            rest = path.name.removeprefix(logbook.stem)
            is_copy = rest != path.name and path.name != logbook.name and ".sqlite" in rest and not _OURS.match(rest)
            if is_copy and not re.fullmatch(r"\.sqlite-(?:wal|shm|journal)|.*\.(?:seal|lock)", rest) and _is_one(path):
                found.append(path)
    return found


def _is_one(path: Path) -> bool:
    with suppress(OSError), path.open("rb") as file:
        return file.read(len(_MAGIC)) == _MAGIC
    return False


def synced_folder(logbook: Path) -> Path | None:
    """The folder above ``logbook`` that seems to be kept alike on several computers; None where none does."""
    return next((folder for folder in logbook.absolute().parents if _is_synced(folder)), None)


def _is_synced(folder: Path) -> bool:
    if _SYNCED.search(folder.name):
        return True
    with suppress(OSError):
        return any(_MARK.match(path.name) for path in folder.iterdir())
    return False


def warnings(logbook: Path, *, once: bool = False) -> Iterator[str]:
    """A sentence for each thing; ``once``: the folder is warned of the first time only."""
    for path in copies_beside(logbook):
        yield (
            f"Beside the logbook lies a copy of it that hosewright did not make: {harmless(path.name)}. Two laptops "
            f"may have written at once. `hosewright logbook merge {harmless(str(path))}` takes in what it has more; "
            "then put it elsewhere."
        )
    folder = synced_folder(logbook)
    if folder is not None and not (once and _was_told(logbook, folder)):
        yield (
            f"The logbook seems to lie in a synced folder ({harmless(str(folder))}). Two laptops that write to it at "
            f"once can damage it. {BY_SYNC}"
        )


def _was_told(logbook: Path, folder: Path) -> bool:
    """Whether this was told before; it is from now on."""
    note = logbook.with_name(_TOLD)
    with suppress(OSError, UnicodeDecodeError):
        if note.exists() and note.read_text(encoding="utf-8") == f"{folder}\n":
            return True
        write_whole(note, f"{folder}\n")
    return False
