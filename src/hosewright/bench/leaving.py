"""Leaving: the question before a running count is left, and the signals that end a program."""

from __future__ import annotations

import os
import signal
import time
from threading import Thread
from typing import TYPE_CHECKING

from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from hosewright.bench.shielded import Shielded

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual import events
    from textual.app import App, ComposeResult

# What a shell reports of a process such a signal ended: 128 and the signal's number (POSIX).
PATIENCE_S = 1.2  # with what `let_go` may take, an end within two seconds
_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGQUIT")


def leave_on_signals(leave: Callable[[int], None]) -> None:
    """Call ``leave`` with the exit code when a signal asks to end, in the midst of whatever is being done.

    Textual itself would die at once and leave the terminal raw. The event loop's own handlers would wait for a loop
    that may itself wait for ever, to write to a terminal that is gone.
    """
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, lambda number, _: leave(128 + number))


class Watchdog:
    """Ends the process some time after it was told to leave, if it has not ended by itself."""

    def __init__(self, let_go: Callable[[], object]) -> None:
        """``let_go`` is called in a thread of its own, just before the end."""
        self._let_go = let_go
        self._ear, self._mouth = os.pipe()
        Thread(target=self._wait, name="hosewright-watchdog", daemon=True).start()

    def wake(self, code: int) -> None:
        """Leave with ``code`` soon. From any thread, and from within a signal: it waits for nothing."""
        os.write(self._mouth, bytes([code]))

    def _wait(self) -> None:
        (code,) = os.read(self._ear, 1)
        time.sleep(PATIENCE_S)
        try:
            self._let_go()
        finally:
            os._exit(code)


def running_count(app: App[int]) -> str:
    """Where a count that is running stands, in words; empty when none is."""
    from hosewright.bench.count.screen import SessionScreen  # the bench opens without it
    from hosewright.session.steps import CountPasses, CountRows, DialTrial

    for screen in app.screen_stack:
        if isinstance(screen, SessionScreen):
            state, record = screen.live.state, screen.live.record
            step = state.step
            counts = isinstance(step, CountRows | CountPasses | DialTrial)
            if counts and step is not None and not state.paused and not state.abandoned:
                of = f" of {state.target}" if state.target is not None else ""
                return f"{record.title}, {step.title} {state.count}{of}"
    return ""


class LeaveScreen(Shielded, ModalScreen[bool]):
    """One question, answered by one key. No key counts while it is up."""

    AUTO_FOCUS = ""
    known_keys = ("y", "n")
    EXPLAIN = "A count is running. y leaves the bench, n goes back to the count. Everything is saved either way."
    DEFAULT_CSS = """
    LeaveScreen { align: center middle; }
    LeaveScreen Vertical {
        width: 64; max-width: 100%; height: auto; max-height: 100%; padding: 1 2; background: $surface;
        border: round $primary;
    }
    """

    def __init__(self, standing: str) -> None:
        super().__init__()
        self._standing = standing

    def compose(self) -> ComposeResult:
        """The question."""
        with Vertical():
            yield Static(
                f"A count is running: {self._standing}. It is saved. Leave the bench?   y yes, n no", markup=False
            )

    def on_key(self, event: events.Key) -> None:
        """Take the answer; every other key leaves the question up."""
        event.stop()
        if event.key in ("y", "n", "escape"):
            self.dismiss(event.key == "y")
