"""Textual's driver for a terminal, which neither a closed one nor anything it sends can bring to a stop."""

from __future__ import annotations

import asyncio
import os
import selectors
import termios
import time
from contextlib import suppress
from typing import IO, TYPE_CHECKING, Any, cast

from textual.drivers.linux_driver import LinuxDriver
from textual.widgets import Input

from hosewright.bench.incoming import Incoming

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.bench.program import Program

_LEFT = b"\x1b[?2004l\x1b[?7h\x1b[?1000l\x1b[?1003l\x1b[?1015l\x1b[?1006l\x1b[?1004l\x1b[?1049l\x1b[?25h"


class Line:
    """What is written to. One that fails is told of once, and takes the rest in silence.

    Textual writes in a thread of its own, which would die of the first failure; then whoever writes waits for ever.
    """

    def __init__(self, file: IO[str], failed: Callable[[], object]) -> None:
        self._file, self._failed, self._works = file, failed, True

    def write(self, text: str) -> None:
        """Write, while it works."""
        self._try(lambda: self._file.write(text))

    def flush(self) -> None:
        """Send what was written."""
        self._try(self._file.flush)

    def fileno(self) -> int:
        """The number of the file."""
        return self._file.fileno()

    def _try(self, do: Callable[[], object]) -> None:
        if self._works:
            try:
                do()
            except (OSError, ValueError):  # ValueError: it is closed
                self._works = False
                self._failed()


class Terminal(LinuxDriver):
    """The terminal a program of ours runs in."""

    def __init__(self, app: Program, **how: Any) -> None:
        super().__init__(app, **how)
        self._program = app
        self._line = Line(cast("IO[str]", self._file), app.terminal_gone)
        self._file = cast("Any", self._line)
        self._loop = asyncio.get_running_loop()

    # Signals come in the midst of anything, also while a lock is held that stopping and starting would wait for.

    def _sigtstp_application(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(super()._sigtstp_application)

    def _sigcont_application(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._go_on)

    def _go_on(self) -> None:
        """After a stop of any kind. One that Textual did not see coming would else leave two threads reading keys."""
        with suppress(OSError):
            if os.tcgetpgrp(self.fileno) != os.getpgrp():
                return  # still in the background: it is told again when it comes back
        if self._auto_restart and not self._must_signal_resume:
            self.suspend_application_mode()
            self._must_signal_resume = True
        super()._sigcont_application()

    def run_input_thread(self) -> None:
        """Read until told to end, or until there is no terminal any more."""
        program = self._program
        incoming = Incoming(
            tell=lambda sentence: program.call_later(program.tell_once, sentence),
            hold_back=lambda keys: program.call_later(program.hold_back, keys),
            counts=lambda: program.count_keys,
            typing=lambda: bool(program.screen_stack) and isinstance(program.screen.focused, Input),
        )
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                data = None
                if selector.select(incoming.wait_s):
                    with suppress(OSError):
                        data = os.read(self.fileno, 4096)
                    if not data:
                        program.terminal_gone()
                        return
                now = time.monotonic()
                for message in incoming.read(data, now) if data else incoming.look(now):
                    self.process_message(message)

    def give_back(self) -> None:
        """Leave the terminal as it was found, from any thread and without waiting for anything."""
        with suppress(OSError, termios.error, ValueError):
            if self.attrs_before is not None:
                termios.tcsetattr(self.fileno, termios.TCSANOW, self.attrs_before)
            out = self._line.fileno()
            os.set_blocking(out, False)
            try:
                os.write(out, _LEFT)
            finally:
                os.set_blocking(out, True)
