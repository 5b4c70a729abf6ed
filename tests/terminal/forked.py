"""hosewright in a pty, forked from the test's own process: it starts at once, so that it can die often.

What a bench makes of its style sheets (``tests/sheets.py``) every life inherits, once the test's process has had one.
"""

from __future__ import annotations

import asyncio
import fcntl
import os
import pty
import select
import signal
import struct
import sys
import tempfile
import termios
import time
import traceback
import warnings
from contextlib import closing, suppress
from functools import cache
from pathlib import Path

import pyte
from textual.css.stylesheet import Stylesheet

from hosewright.bench.app import Bench
from hosewright.logbook.book import Logbook
from hosewright.settings.table import Settings
from tests import sheets
from tests.helpers import crank_to, record

_SYNC_ASKED, _SYNC_HAD, _FRAME_ENDS = b"\x1b[?2026$p", b"\x1b[?2026;2$y", b"\x1b[?2026l"

QUIET_S = 1.0  # a frame is written in far less, on a busy machine too

_alive: set[int] = set()


def end_all() -> None:
    """Kill every life that a failed test left behind."""
    for pid in list(_alive):
        with suppress(ProcessLookupError, ChildProcessError):
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
        _alive.discard(pid)


@cache
def _read_sheets() -> None:
    """Have a bench in this process, with a count: half of what a life takes to begin."""

    async def look() -> None:
        async with Bench(book, Settings()).run_test() as pilot:
            await pilot.press("enter")

    with tempfile.TemporaryDirectory() as folder, closing(Logbook(Path(folder) / "logbook.sqlite")) as book:
        crank_to(book.start(record("tube")), "tube")
        asyncio.run(look())


class Forked:
    """One life of the program. Only whole frames reach ``screen``, however it ends."""

    def __init__(
        self, home: Path, *argv: str, columns: int = 80, rows: int = 24, environment: dict[str, str] | None = None
    ) -> None:
        home.mkdir(parents=True, exist_ok=True)
        if not (home / "settings.toml").exists():
            (home / "settings.toml").write_text("press_gap_ms = 0\n", encoding="utf-8")
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self._waiting = b""
        self._heard = time.monotonic()
        self.raw = bytearray()
        self.code: int | None = None
        if Stylesheet.apply is sheets._apply:
            _read_sheets()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # of forking: nothing of ours runs in a thread here
            self.pid, self.fd = pty.fork()
        if self.pid == 0:
            _live(home, argv, columns, rows, environment or {})
        self.asked = False
        _alive.add(self.pid)

    @property
    def text(self) -> str:
        return "\n".join(self.screen.display)

    def read(self, seconds: float = 0.02) -> bool:
        """Take in what was written within so long; False at the end."""
        until = time.monotonic() + seconds
        while True:
            left = max(0.0, until - time.monotonic())
            if not select.select([self.fd], [], [], left)[0]:
                return True
            try:
                data = os.read(self.fd, 65536)
            except OSError:
                return False
            if not data:
                return False
            self._take(data)

    def _take(self, data: bytes) -> None:
        self._heard = time.monotonic()
        self.raw += data
        self._waiting += data
        if not self.asked and _SYNC_ASKED in self.raw:
            self.asked = True
            self.send(_SYNC_HAD)  # from now on every frame has its end marked
        whole = self._waiting.rfind(_FRAME_ENDS)
        if whole >= 0:
            self._show(whole + len(_FRAME_ENDS))

    def _show(self, cut: int) -> None:
        self._stream.feed(self._waiting[:cut].replace(b"\x1b[>", b"\x1b["))  # pyte knows no private CSI with >
        self._waiting = self._waiting[cut:]

    def _show_unmarked(self) -> None:
        """Show a frame that was drawn before the answer came, so that its end has no mark: nothing follows it."""
        if _FRAME_ENDS not in self.raw and time.monotonic() - self._heard > QUIET_S:
            self._show(len(self._waiting))

    def send(self, keys: bytes | str) -> None:
        data = keys if isinstance(keys, bytes) else keys.encode()
        while data:
            data = data[os.write(self.fd, data) :]

    def see(self, *words: str, seconds: float = 60) -> None:
        until = time.monotonic() + seconds
        while not all(word in self.text for word in words):
            assert time.monotonic() < until, f"never saw {words} on:\n{self.text}"
            self._show_unmarked()
            assert self.read(0.02), f"it ended while waiting for {words}:\n{self.text}\n{bytes(self.raw[-2000:])!r}"

    def not_see(self, words: str, seconds: float = 60) -> None:
        until = time.monotonic() + seconds
        while words in self.text:
            assert time.monotonic() < until, f"{words} stayed on:\n{self.text}"
            self.read(0.02)

    def attributes(self) -> list[object]:
        """How the terminal is set: raw or cooked, echo or not."""
        return termios.tcgetattr(self.fd)

    def kill(self) -> None:
        """Pull the plug, and take in what it had written by then."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        self.code = -signal.SIGKILL
        while self.read(0.01) and select.select([self.fd], [], [], 0)[0]:
            pass
        self.close()

    def end(self, seconds: float = 60) -> int:
        """Wait for the end; the exit code, or minus the signal that ended it."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            self.read(0.01)
            done, status = os.waitpid(self.pid, os.WNOHANG)
            if done:
                self.read(0.01)
                self.code = os.waitstatus_to_exitcode(status)
                return self.code
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        raise AssertionError(f"it did not end:\n{self.text}")

    def close(self) -> None:
        if self.code is not None:
            _alive.discard(self.pid)
        if self.fd >= 0:
            os.close(self.fd)
            self.fd = -1


def _live(home: Path, argv: tuple[str, ...], columns: int, rows: int, environment: dict[str, str]) -> None:
    code = 99
    try:
        for ending, usual in ((signal.SIGINT, signal.default_int_handler), (signal.SIGHUP, signal.SIG_DFL)):
            signal.signal(ending, usual)  # whoever started the tests may ignore them
        os.closerange(3, 1024)  # nothing of the test's may be held open by a life that outlasts it
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        for name in ("NO_COLOR", "COLUMNS", "LINES", "PYTEST_CURRENT_TEST"):
            os.environ.pop(name, None)
        os.environ |= {"HOSEWRIGHT_HOME": str(home), "TERM": "xterm-256color", "LANG": "C.UTF-8"} | environment
        encoding = environment.get("PYTHONIOENCODING", "utf-8")
        for name, number, mode in (("stdin", 0, "r"), ("stdout", 1, "w"), ("stderr", 2, "w")):
            stream = open(number, mode, encoding=encoding, closefd=False)  # noqa: SIM115  # as long as the process
            setattr(sys, name, stream)
            setattr(sys, f"__{name}__", stream)
        from hosewright.cli import main

        code = main(list(argv))
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(code)
