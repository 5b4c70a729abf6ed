"""What a logbook's file was when it last changed, to the byte: a sum kept beside it.

SQLite's own check sees a torn tree, not a changed letter. Rows go into the log, and the file itself changes only when
the log is carried into it: the seal is taken off before that and put on again after, so that one that is there and does
not fit tells of damage, or of another program. The log has sums of its own (see ``log``).
"""

from __future__ import annotations

import hashlib
import threading
from contextlib import suppress
from typing import TYPE_CHECKING

from hosewright.places import sync_folder, write_whole

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def seal_of(logbook: Path) -> Path:
    """Where the seal of ``logbook`` lies."""
    return logbook.with_name(f"{logbook.name}.seal")


def is_sealed(logbook: Path) -> bool:
    """Whether a seal says what the file should be."""
    return seal_of(logbook).exists()


def damage_of(logbook: Path) -> str:
    """What the seal says against the file, without a full stop; empty when it fits or there is none. Raises OSError."""
    try:
        told = seal_of(logbook).read_text(encoding="utf-8", errors="replace")
    except FileNotFoundError:
        return ""
    if told == _sum(logbook):
        return ""
    return "the file is not as hosewright left it: a damaged place, or another program wrote to it"


def put_on(logbook: Path) -> None:
    """Seal a logbook whose file does not change now. What cannot be sealed stays without: nothing is lost by that."""
    with suppress(OSError):
        write_whole(seal_of(logbook), _sum(logbook), sync=True)  # half a seal after a power cut would cry damage


def take_off(logbook: Path) -> None:
    """Break the seal, on the disk too, before the file changes: an old one would cry damage. Raises OSError."""
    seal_of(logbook).unlink(missing_ok=True)
    sync_folder(logbook.parent)


class Sealing:
    """The seal of a logbook that is counted in: the log goes into its file only while the seal is off.

    It is put on by a thread, since the sum of 100 MB takes a quarter of a second, and nobody is to wait for it.
    """

    def __init__(self, logbook: Path) -> None:
        self._logbook = logbook
        self._thread: threading.Thread | None = None

    def while_off(self, change: Callable[[], None]) -> None:
        """Let ``change`` change the file, once it is sealed if that goes on just now. Raises OSError."""
        self.wait()
        take_off(self._logbook)
        change()
        self._thread = threading.Thread(target=put_on, args=(self._logbook,), daemon=True)
        self._thread.start()

    def wait(self) -> None:
        if self._thread is not None:
            self._thread.join()


def _sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest() + "\n"
