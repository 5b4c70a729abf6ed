"""From the bytes of a terminal to keys: what is no text is left out, and what no hand can have typed is held back."""

from __future__ import annotations

import math
from codecs import getincrementaldecoder
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from textual import events
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from textual.message import Message

# All of these are ours. A fast typist's letters come 60 ms apart or more; what a terminal pastes without saying that
# it does comes within a few.
NO_HAND_S = 0.03
SIX = 6
OVER_S = 0.5  # so long after its last letter a lump has ended
PASTE_SILENT_S, PASTE_LONGEST_S = 0.5, 3.0
STRAY_S = 0.1  # so long the rest of a letter of several bytes is waited for
SOON_S = 0.1  # how often to look when nothing comes

NO_TEXT = "The terminal sent something that is no text (another encoding?); it was left out. Set it to UTF-8."
NO_SENSE = "The terminal sent something that is no key; it was left out. If a row is missing, = puts the count right."
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
        """Take in what came."""
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
