"""One bench at a time: an advisory lock on a file beside the logbook, which the system itself lets go at death."""

from __future__ import annotations

import os
import re
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

_FAR = 1 << 30  # the byte locked on Windows: past the text, so that others can still read who holds it
_HOLDER = re.compile(r"process (\d{1,10})\n")


class HeldError(Exception):
    """Another bench holds the lock; ``holder`` is its process, or 0 when the file does not say."""

    def __init__(self, holder: int) -> None:
        super().__init__(holder)
        self.holder = holder

    @property
    def which(self) -> str:
        """The process in brackets, for a sentence; empty when it is not known."""
        return f" (process {self.holder})" if self.holder else ""


class BenchLock:
    """Held from its making until ``release``, or until the process dies by whatever death.

    The file stays behind and means nothing: only the lock on it does, so a crash leaves nothing to clear away.
    ``certain`` is False where the file system knows no locks; then nothing keeps a second bench out.
    """

    def __init__(self, logbook: Path) -> None:
        """Take the lock of ``logbook``. Raises HeldError when another bench has it, OSError when it cannot be made."""
        path = logbook.with_name(f"{logbook.name}.lock")
        self._file = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        try:
            self.certain = _locked(self._file)
            if self.certain:
                os.ftruncate(self._file, 0)
                os.pwrite(self._file, f"process {os.getpid()}\n".encode(), 0) if hasattr(os, "pwrite") else None
        except BlockingIOError as error:
            holder = _holder(self._file)
            os.close(self._file)
            raise HeldError(holder) from error
        except BaseException:
            os.close(self._file)
            raise

    def release(self) -> None:
        """Let the next bench in."""
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


def _holder(file: int) -> int:
    os.lseek(file, 0, os.SEEK_SET)
    found = _HOLDER.fullmatch(os.read(file, 64).decode("ascii", "replace"))
    return int(found[1]) if found else 0
