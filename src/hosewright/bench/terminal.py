"""A program's terminal: Textual's driver for one, which neither a closed one nor anything it sends can bring to a stop.

``Incoming`` goes from its bytes to keys, without a terminal: what is no text is left out, and what no hand can have
typed is held back.
"""

from __future__ import annotations

import asyncio
import math
import os
import selectors
import termios
import time
from codecs import getincrementaldecoder
from contextlib import suppress
from dataclasses import dataclass, field
from typing import IO, TYPE_CHECKING, Any

from textual import events
from textual.widgets import Input

from hosewright.bench.inside import BRACKETED_PASTE_END, BRACKETED_PASTE_START, InsideDriver, XTermParser

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from textual.message import Message

    from hosewright.bench.program import Program

# All of these are ours. A fast typist's letters come 60 ms apart or more; what a terminal pastes without saying that
# it does comes within a few.
NO_HAND_S = 0.03
SIX = 6
OVER_S = 0.5  # so long after its last letter a lump has ended
PASTE_SILENT_S, PASTE_LONGEST_S = 0.5, 3.0
STRAY_S = 0.1  # so long the rest of a letter of several bytes is waited for
SOON_S = 0.1  # how often to look when nothing comes

NO_TEXT = "The terminal sent something that is not text (another encoding?); it was left out. Set it to UTF-8."
NO_SENSE = (
    "The terminal sent something that is not a key; it was left out. If a row is missing, = puts the count right."
)
NO_END = "Something pasted had no end, so it ends here. If rows are missing, = puts the count right."
AT_ONCE = ("ctrl+c", "ctrl+q", "ctrl+z")  # never waited with


@dataclass(slots=True)
class Lumps:
    """Lets keys through as they come, but a lump of six letters, each within 30 ms of the last, is held back whole.

    To know it, a letter waits 30 ms for the next. What counts rows waits only behind letters: presses that are too
    close together are judged where they are counted.
    """

    waiting: list[events.Key] = field(default_factory=list)
    last_s: float = 0.0

    def take(self, key: events.Key, now_s: float, counts: Iterable[str]) -> tuple[list[events.Key], list[events.Key]]:
        """One more key; those to go on now, and those held back."""
        through, held = self.look(math.inf if key.key in AT_ONCE else now_s)
        if not self.waiting and (key.key in counts or not (key.is_printable or key.key == "enter")):
            return [*through, key], held
        self.waiting.append(key)
        self.last_s = now_s
        return through, held

    def look(self, now_s: float) -> tuple[list[events.Key], list[events.Key]]:
        """What has waited long enough by now: keys to go on, or a lump held back."""
        lump = sum((key.character or "").isalpha() for key in self.waiting) >= SIX
        if not self.waiting or now_s - self.last_s < (OVER_S if lump else NO_HAND_S):
            return [], []
        keys, self.waiting = self.waiting, []
        return ([], keys) if lump else (keys, [])


class Incoming:
    """What a terminal sends, in Textual's messages. ``read`` and ``look`` are called with a clock that never steps."""

    def __init__(
        self,
        *,
        tell: Callable[[str], object],
        hold_back: Callable[[list[events.Key]], object],
        counts: Callable[[], Iterable[str]],
        typing: Callable[[], bool],
    ) -> None:
        """``tell`` a sentence; ``hold_back`` keys; which keys ``counts``; whether a line is being typed in."""
        self._tell, self._hold_back, self._counts, self._typing = tell, hold_back, counts, typing
        self._decoder = getincrementaldecoder("utf-8")("replace")
        self._parser = XTermParser()
        self._lumps = Lumps()
        self._heard_s = self._pasting_s = 0.0
        self._pasting = False
        self._tail = ""

    @property
    def wait_s(self) -> float:
        """How long to wait for more before ``look`` is due."""
        return NO_HAND_S / 2 if self._lumps.waiting else SOON_S

    def read(self, data: bytes, now_s: float) -> list[Message]:
        found = self.look(now_s)
        self._heard_s = now_s
        text = self._decoder.decode(data)
        if "\ufffd" in text:
            self._tell(NO_TEXT)
            text = text.replace("\ufffd", "")
        self._follow_paste(text, now_s)
        return [*found, *self._parsed(text, now_s)]

    def look(self, now_s: float) -> list[Message]:
        """What is due though nothing came: half a letter given up, a paste ended, a key that waited let through."""
        if self._decoder.getstate()[0] and now_s - self._heard_s >= STRAY_S:
            self._decoder.reset()
            self._tell(NO_TEXT)
        found: list[Message] = []
        silent = now_s - self._heard_s >= PASTE_SILENT_S
        if self._pasting and (silent or now_s - self._pasting_s >= PASTE_LONGEST_S):
            self._pasting, self._tail = False, ""
            found += self._parsed(BRACKETED_PASTE_END, now_s)
            self._tell(NO_END)
        found += self._sorted(self._parser.tick(), now_s)
        through, held = self._lumps.look(now_s)
        if held:
            self._hold_back(held)
        return [*found, *through]

    def _follow_paste(self, text: str, now_s: float) -> None:
        seen = self._tail + text
        begins, ends = seen.rfind(BRACKETED_PASTE_START), seen.rfind(BRACKETED_PASTE_END)
        if begins > ends and not self._pasting:
            self._pasting_s = now_s
        if begins != ends:
            self._pasting = begins > ends
        # No whole mark is kept, or it would be seen twice.
        self._tail = seen[-(len(BRACKETED_PASTE_END) - 1) :]

    def _parsed(self, text: str, now_s: float) -> list[Message]:
        """A parser that failed is replaced: Textual's own thread would end, and the program with it."""
        found: list[Message] = []
        try:
            for message in self._parser.feed(text) if text else ():
                found += self._sorted([message], now_s)
        except Exception:
            self._parser = XTermParser()
            self._tell(NO_SENSE)
        return found

    def _sorted(self, messages: Iterable[Message], now_s: float) -> list[Message]:
        found: list[Message] = []
        for message in messages:
            if not isinstance(message, events.Key) or (self._typing() and not self._lumps.waiting):
                found.append(message)
                continue
            through, held = self._lumps.take(message, now_s, self._counts())
            found += through
            if held:
                self._hold_back(held)
        return found


_LEFT = b"\x1b[?2004l\x1b[?7h\x1b[?1000l\x1b[?1003l\x1b[?1015l\x1b[?1006l\x1b[?1004l\x1b[?1049l\x1b[?25h"


class Output:
    """What is written to. One that fails is told of once, and takes the rest in silence.

    Textual writes in a thread of its own, which would die of the first failure; then whoever writes waits for ever.
    """

    def __init__(self, file: IO[str], failed: Callable[[], object]) -> None:
        self._file, self._failed, self._works = file, failed, True

    def write(self, text: str) -> None:
        self._try(lambda: self._file.write(text))

    def flush(self) -> None:
        self._try(self._file.flush)

    def fileno(self) -> int:
        return self._file.fileno()

    def _try(self, do: Callable[[], object]) -> None:
        if self._works:
            try:
                do()
            except (OSError, ValueError):  # ValueError: it is closed
                self._works = False
                self._failed()


class Terminal(InsideDriver):
    """The terminal a program of ours runs in."""

    def __init__(self, app: Program, **how: Any) -> None:
        super().__init__(app, **how)
        self._program = app
        self._own_line = self.line = Output(self.line, app.terminal_gone)
        self._in_loop = asyncio.get_running_loop()
        app.give_back = self.give_back  # type: ignore[method-assign]  # it had none before

    # Signals come in the midst of anything, also while a lock is held that stopping and starting would wait for.

    def asked_to_stop(self) -> None:
        self._in_loop.call_soon_threadsafe(self.stop)

    def told_to_go_on(self) -> None:
        self._in_loop.call_soon_threadsafe(self._go_on_in_front)

    def _go_on_in_front(self) -> None:
        with suppress(OSError):
            if os.tcgetpgrp(self.fileno) != os.getpgrp():
                return  # still in the background: it is told again when it comes back
        self.go_on()

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
            out = self._own_line.fileno()
            os.set_blocking(out, False)
            try:
                os.write(out, _LEFT)
            finally:
                os.set_blocking(out, True)
