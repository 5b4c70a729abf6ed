"""All that the bench reaches into Textual for by names that are not public, each with why.

They hold for Textual ``HOLDS_FOR``; ``tests/bench/test_inside.py`` fails for another one, and for such a name anywhere
else in the bench.
"""

from __future__ import annotations

import sys
import traceback
from io import StringIO
from typing import TYPE_CHECKING, Any

from rich.console import Console

# Which widget was at work when a timer or a call put off raised: nothing public says so.
from textual._context import active_message_pump as active_message_pump

# Our driver reads the terminal's bytes itself (``terminal.py``), and has to know where a paste begins and ends.
from textual._xterm_parser import BRACKETED_PASTE_END as BRACKETED_PASTE_END
from textual._xterm_parser import BRACKETED_PASTE_START as BRACKETED_PASTE_START
from textual._xterm_parser import XTermParser as XTermParser
from textual.app import App
from textual.message_pump import MessagePump
from textual.screen import Screen

# What is said in a box for some seconds would cover the keys at the foot.
from textual.widgets._toast import ToastRack as ToastRack

if TYPE_CHECKING:
    from asyncio import AbstractEventLoop

    from rich.console import RenderableType
    from textual.message import Message

HOLDS_FOR = "8.2"
BROKE = 1  # how Textual ends after a fault


class InsidePump(MessagePump):
    """Sees each message before its handlers, and what they raise: Textual has one way for that, to end the program."""

    def leaves_out(self, message: Message) -> bool:  # noqa: ARG002
        """Whether no handler is to have it."""
        return False

    def shrugs_off(self, error: Exception, message: Message | None) -> bool:  # noqa: ARG002
        """Whether what a handler raised ends nothing; ``message`` is what it was about, where it was a message."""
        return False

    async def _dispatch_message(self, message: Message) -> None:
        if self.leaves_out(message):
            return
        try:
            await super()._dispatch_message(message)
        except Exception as error:
            if not self.shrugs_off(error, message):
                raise


class InsideScreen(InsidePump):
    """Stands before Textual's Screen. One that lies under another is painted with it when it changed, and once only.

    Textual notes it as changed each time it was painted so, and paints all of both again at whatever it does next.
    """

    _repaint_required: bool

    def _compositor_refresh(self) -> None:
        super()._compositor_refresh()  # type: ignore[misc]  # it stands before a Screen
        if isinstance(self, Screen) and self.app.screen is not self:
            self._repaint_required = False


class InsideApp(InsidePump, App[int]):
    """Ends with a sentence where Textual would print a traceback with local values."""

    said_of_key = ""

    def farewell(self, words: str) -> str:
        """What to leave with after a fault, which ``words`` describe."""
        raise NotImplementedError

    @property
    def running_loop(self) -> AbstractEventLoop | None:
        """The loop it runs in: a signal, or the thread that reads the keys, has to wake it."""
        return self._loop

    def say_of_key(self, words: str, seconds: float) -> None:
        """Say ``words`` of a key, in place of what was said of the key before: several would pile up over the foot."""
        standing = list(self._notifications)
        if any(one.message == words for one in standing):
            return
        for one in standing:
            if one.message == self.said_of_key:
                self._unnotify(one)
        self.said_of_key = words
        self.notify(words, markup=False, timeout=seconds)

    def panic(self, *renderables: RenderableType) -> None:
        """Textual's input thread failed: its own way shows a traceback and ends with 0."""
        told = StringIO()
        Console(file=told, width=120).print(*renderables)
        self._return_code = BROKE
        super().panic(self.farewell(told.getvalue()))

    def _handle_exception(self, error: Exception) -> None:  # of a timer, a call put off, or the building of a screen
        if not self.shrugs_off(error, None):
            super()._handle_exception(error)

    def _fatal_error(self) -> None:
        words = "".join(traceback.format_exception(self._exception)) if self._exception else "unknown"
        told = self.farewell(words)
        self.bell()
        self._exit_renderables.append(told)
        self._close_messages_no_wait()


if sys.platform != "win32":
    from textual.drivers.linux_driver import LinuxDriver

    class InsideDriver(LinuxDriver):
        """Textual's driver, with the line it writes to and its ways to stop (Ctrl-Z) and to go on within reach."""

        @property
        def line(self) -> Any:
            return self._file

        @line.setter
        def line(self, line: Any) -> None:
            self._file = line

        def stop(self) -> None:
            """Give the terminal back and stop."""
            super()._sigtstp_application()

        def go_on(self) -> None:
            """Take the terminal again after a stop; one that came unforeseen would leave two threads reading keys."""
            if self._auto_restart and not self._must_signal_resume:
                self.suspend_application_mode()
                self._must_signal_resume = True
            super()._sigcont_application()

        def asked_to_stop(self) -> None:
            """SIGTSTP, in the midst of anything."""
            self.stop()

        def told_to_go_on(self) -> None:
            """SIGCONT, in the midst of anything."""
            self.go_on()

        def _sigtstp_application(self, *_: object) -> None:
            self.asked_to_stop()

        def _sigcont_application(self, *_: object) -> None:
            self.told_to_go_on()
