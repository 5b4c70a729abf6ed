"""One writer at a time: an advisory lock on a file beside the logbook, which the system itself lets go at death.

SQLite lets several processes write to one file in turn. Hosewright does not: besides the muddle of two counts, versions
of SQLite before 3.51.3 can damage the log that two connections write and checkpoint at one instant (see ``cured``).
"""

from __future__ import annotations

import os
import re
import sys
from typing import TYPE_CHECKING

from hosewright.logbook.file.errors import LogbookError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

_FAR = 1 << 30  # the byte locked on Windows: past the text, so that others can still read who holds it
_HOLDER = re.compile(r"process (\d{1,10})(?:, ([ -~]{1,60}))?\n")
BENCH, LINE_MODE = "the bench", "`hosewright crank`"
_WAY_OUT = {
    BENCH: "Leave it with Ctrl+Q (every row is saved)",
    LINE_MODE: "Type q there (every row is saved)",
}
# "The WAL-reset bug", sqlite.org/wal.html, section 11: in 3.7.0 to 3.51.2, but for these two and later ones like them.
_CURED = ((3, 51, 3), (3, 50, 7), (3, 44, 6))


class HeldError(LogbookError):
    """Another process holds the lock: ``holder`` is its number, 0 when the file does not say; ``who`` is what it is."""

    def __init__(self, holder: int, who: str = BENCH) -> None:
        self.holder, self.who = holder, who
        way_out = _WAY_OUT.get(who, "Wait until it is done")
        super().__init__(
            f"{who[0].upper()}{who[1:]} has this logbook open{self.which}. {way_out}, then type this again. Nothing "
            "was changed."
        )

    @property
    def which(self) -> str:
        """The process in brackets, for a sentence; empty when it is not known."""
        return f" (process {self.holder})" if self.holder else ""


def cured(version: tuple[int, ...]) -> bool:
    """Whether this version of SQLite no longer has the fault by which two writers can damage a log."""
    return version >= _CURED[0] or any(version[:2] == known[:2] and version >= known for known in _CURED)


def lock_of(logbook: Path) -> Path:
    """Where the lock of ``logbook`` lies: beside every logbook a bench counted in, and beside no copy of one."""
    return logbook.with_name(f"{logbook.name}.lock")


class BenchLock:
    """Held from its making until ``release``, or until the process dies by whatever death.

    The file stays behind and means nothing: only the lock on it does, so a crash leaves nothing to clear away.
    ``certain`` is False where the file system knows no locks; then nothing keeps a second bench out.
    """

    def __init__(self, logbook: Path, who: str = BENCH) -> None:
        """Take the lock of ``logbook`` for ``who``. Raises HeldError when another has it, OSError when none is made."""
        self._file = os.open(lock_of(logbook), os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        try:
            self.certain = _locked(self._file)
            if self.certain:
                os.ftruncate(self._file, 0)
                told = f"process {os.getpid()}, {who}\n".encode()
                os.pwrite(self._file, told, 0) if hasattr(os, "pwrite") else None
        except BlockingIOError as error:
            held = _held_by(self._file)
            os.close(self._file)
            raise held from error
        except BaseException:
            os.close(self._file)
            raise

    def release(self) -> None:
        if self._file >= 0:
            os.close(self._file)
            self._file = -1


def _locked(file: int) -> bool:
    """Whether the lock was taken; False where there are no locks. Raises BlockingIOError when another has it."""
    take = _taker()
    if take is None:
        return False
    try:
        take(file)
    except BlockingIOError:
        raise
    except PermissionError as error:  # what msvcrt and a few network drives say of a lock that is held
        raise BlockingIOError from error
    except OSError:
        return False
    return True


def _taker() -> Callable[[int], None] | None:
    if sys.platform == "win32":
        import msvcrt

        def take(file: int) -> None:
            os.lseek(file, _FAR, os.SEEK_SET)
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
            os.lseek(file, 0, os.SEEK_SET)

        return take
    try:
        import fcntl
    except ImportError:
        return None
    return lambda file: fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _held_by(file: int) -> HeldError:
    os.lseek(file, 0, os.SEEK_SET)
    found = _HOLDER.fullmatch(os.read(file, 120).decode("ascii", "replace"))
    return HeldError(int(found[1]), found[2] or BENCH) if found else HeldError(0)
