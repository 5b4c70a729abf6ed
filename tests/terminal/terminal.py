"""A real terminal for whole-process tests: a pty, the program in it, and the screen as a person sees it."""

from __future__ import annotations

import os
import signal
import sys
import time
from typing import TYPE_CHECKING

import pexpect
import pyte

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

ENTER, ESC, CTRL_S, BACKSPACE = "\r", "\x1b", "\x13", "\x7f"


class Screen(pyte.Screen):
    """``rung``: how often the bell rang."""

    rung = 0

    def bell(self, *_: object) -> None:
        self.rung += 1


class Terminal:
    """hosewright in a pty of 80 x 24, on the logbook in ``home``."""

    def __init__(
        self,
        home: Path,
        *arguments: str,
        columns: int = 80,
        rows: int = 24,
        gap_ms: int = 0,
        more: str = "",
        through: Sequence[str] = (),
    ) -> None:
        """``gap_ms``: presses closer than this are doubtful; 0, since a test types faster than hands crank.

        ``more``: lines of other settings. ``through``: a command that runs it.
        """
        (home / "settings.toml").write_text(f"press_gap_ms = {gap_ms}\n{more}", encoding="utf-8")
        self.screen = Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        environment = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS", "LINES", "TMUX", "STY")}
        environment |= {"HOSEWRIGHT_HOME": str(home), "TERM": "xterm-256color", "LANG": "C.UTF-8"}
        argv = [*through, sys.executable, "-m", "hosewright", *arguments]
        self.child = pexpect.spawn(
            argv[0],
            argv[1:],
            env=environment,
            dimensions=(rows, columns),
            timeout=60,
        )

    @property
    def text(self) -> str:
        """What is on the screen."""
        return "\n".join(self.screen.display)

    def read(self, seconds: float = 0.05) -> None:
        """Take in what was written."""
        try:
            while True:
                self._stream.feed(self.child.read_nonblocking(65536, timeout=seconds))
        except (pexpect.TIMEOUT, pexpect.EOF):
            return

    def see(self, *words: str, seconds: float = 60) -> None:
        """Wait until all ``words`` are on the screen."""
        until = time.monotonic() + seconds
        while not all(word in self.text for word in words):
            assert time.monotonic() < until, f"never saw {words} on:\n{self.text}"
            assert self.child.isalive(), f"it ended while waiting for {words}:\n{self.text}"
            self.read()

    def type(self, *keys: str) -> None:
        """Type, a key at a time as hands do."""
        for key in keys:
            self.child.send(key)
            self.read(0.02)

    def kill(self) -> None:
        """Pull the plug."""
        self.child.kill(signal.SIGKILL)
        self.child.wait()

    def end(self) -> int:
        """Wait for the end; the exit code, or minus the signal that ended it."""
        self.read(0.2)
        self.child.expect(pexpect.EOF)
        self.child.close()
        return self.child.exitstatus if self.child.exitstatus is not None else -int(self.child.signalstatus)
