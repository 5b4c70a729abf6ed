"""Something to keep, left for whoever has the logbook open: a second writer would put the file at risk (see ``lock``).

An errand is a small file in a folder beside the logbook. Whoever writes to the logbook takes it in within a second, and
removes the file once it is stored; who left it waits for that, or takes it back.
"""

from __future__ import annotations

import json
import time
from contextlib import suppress
from typing import TYPE_CHECKING

from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.phrases.harmless import harmless
from hosewright.places import write_private

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import OnShelf

FOLDER = "errands"
WAIT_S = 4.0  # a bench looks every second
_LOOK_S = 0.05
_LEFT, _IN_HAND = ".json", ".taken"
_MOST_BYTES = 100_000


def leave(logbook: Path, kind: str, item: OnShelf, wait_s: float = WAIT_S) -> bool:
    """Have ``item`` kept by whoever has ``logbook`` open. False, with nothing kept, when nobody took it in time.

    Raises LogbookError when it cannot be left, or was taken up and not stored.
    """
    folder = logbook.with_name(FOLDER)
    left = folder / f"{item.id}{_LEFT}"
    taken = left.with_suffix(_IN_HAND)
    try:
        write_private(left, json.dumps({"kind": kind, "body": json.loads(item.model_dump_json())}))
    except OSError as error:
        raise LogbookError(f"Nothing could be left for the bench in {folder}: {plain(error)}.") from error
    if _wait_until_gone(left, wait_s):
        if _wait_until_gone(taken, wait_s):
            return True
        raise LogbookError("The bench took it up and has not said that it is saved; look there before you try again.")
    try:
        left.unlink()
    except FileNotFoundError:  # just taken after all
        return _wait_until_gone(taken, wait_s)
    return False


def _wait_until_gone(path: Path, wait_s: float) -> bool:
    until = time.monotonic() + wait_s
    while path.exists():
        if time.monotonic() >= until:
            return False
        time.sleep(_LOOK_S)
    return True


def take(book: Logbook) -> list[OnShelf]:
    """Keep what was left for the writer of ``book``, which this process must be; what it was. Raises LogbookError.

    What cannot be read is set aside beside it, and is no longer tried.
    """
    folder = book.path.with_name(FOLDER)
    if book.store.why_read_only or not folder.is_dir():
        return []
    kept = []
    for path in sorted([*folder.glob(f"*{_LEFT}"), *folder.glob(f"*{_IN_HAND}")]):  # the latter: its bench was killed
        in_hand = path.with_suffix(_IN_HAND)
        with suppress(FileNotFoundError):  # taken back
            path.replace(in_hand)
            item = _read(in_hand)
            if item is not None:
                book.keep(item)
                kept.append(item)
                in_hand.unlink()
    return kept


def _read(path: Path) -> OnShelf | None:
    from hosewright.logbook.records.shelf import SHELF  # pydantic, which a bench that looks for errands need not have

    try:
        with path.open("rb") as file:
            told = json.loads(file.read(_MOST_BYTES))
        return SHELF[told["kind"]].model_validate(told["body"])
    except (ValueError, KeyError, TypeError, RecursionError):
        path.replace(path.with_name(f"{harmless(path.stem)}.unread"))
        return None
