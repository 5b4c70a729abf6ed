"""A session as a recording: the same fold that cranked it, wound to any of its events."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session import events as ev
from hosewright.session.event_words import deed_words, event_words
from hosewright.session.fold import apply
from hosewright.session.rules import refusal
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from hosewright.session.undoing import do_again, last_done

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.session.events import Entry, Event
    from hosewright.session.steps import Head

KEPT_EVERY = 200
LONGEST_GAP_MS = 4000  # a phone call is not waited through again


class Recording:
    """The entries of a session, and its state after the first ``at`` of them."""

    def __init__(self, head: Head, entries: Sequence[Entry]) -> None:
        self.entries = entries
        self.state = State(head)
        self.at = 0
        self._kept: dict[int, State] = {0: State(head)}
        self._told: list[str] = []  # each event in words; a press in none

    def wind(self, to: int) -> None:
        to = min(max(to, 0), len(self.entries))
        if to < self.at:
            near = max(at for at in self._kept if at <= to)
            self.state, self.at = self._kept[near].copy(), near
        while self.at < to:
            entry = self.entries[self.at]
            if self.at == len(self._told):
                self._told.append("" if _is_count(entry.event) else _words(self.state, entry.event))
            apply(self.state, entry)
            self.at += 1
            if self.at % KEPT_EVERY == 0 and self.at not in self._kept:
                self._kept[self.at] = self.state.copy()

    @property
    def done(self) -> bool:
        return self.at >= len(self.entries)

    def gap_ms(self) -> int:
        """How long to wait for the next event, as it was cranked; long silences are cut short."""
        if self.done or not self.at:
            return 0
        gap = self.entries[self.at].at_ms - self.entries[self.at - 1].at_ms
        return min(max(gap, 0), LONGEST_GAP_MS)

    def next_happening(self) -> int:
        """Where the next event is done with that is not just a counted row or pass."""
        after = range(self.at, len(self.entries))
        return next((n + 1 for n in after if not _is_count(self.entries[n].event)), len(self.entries))

    def last_happening(self) -> int:
        """Where the one before stands."""
        before = range(self.at - 2, -1, -1)
        return next((n + 1 for n in before if not _is_count(self.entries[n].event)), 0)

    def turn_to(self, by: int, *, sock: bool = False) -> None:
        """Wind to where the next part is begun (or sock of a string), or with ``by`` below zero the one before.

        Going back within a part leads to its beginning first.
        """

        def place() -> int:
            return self.state.sock if sock else self.state.index

        begun = [0]  # after how many events each was begun, up to the end
        at = self.at
        self.wind(0)
        known = place()
        while not self.done:
            self.wind(self.at + 1)
            if place() != known:
                known = place()
                counts = isinstance(self.state.step, CountRows | CountPasses | DialTrial | Measure)
                if (self.state.sock > 0) if sock else counts:
                    begun.append(self.at)
        if by > 0:
            self.wind(next((one for one in begun if one > at), len(self.entries)))
        else:
            self.wind(max((one for one in begun if one < at), default=0))

    def told(self, most: int) -> list[tuple[Entry, str]]:
        """The newest happenings up to here, the newest first."""
        found: list[tuple[Entry, str]] = []
        for at in range(self.at - 1, -1, -1):
            entry = self.entries[at]
            if not _is_count(entry.event):
                found.append((entry, self._told[at]))
            if len(found) >= most:
                break
        return found


def _is_count(event: Event) -> bool:
    return isinstance(event, ev.Pressed) and not event.doubtful


def _words(state: State, event: Event) -> str:
    """An event, where ``state`` stands before it, with the step it came in."""
    if refusal(state, event) is not None:
        return "an event that does not fit here; it was ignored"
    words = event_words(event, state).whole
    if isinstance(event, ev.Undone) and (deed := last_done(state)) is not None:
        words = f"undone: {deed_words(state, deed)}"
    elif isinstance(event, ev.Redone):
        after = state.copy()
        do_again(after)
        if (deed := last_done(after)) is not None:
            words = f"done again: {deed_words(after, deed)}"
    return f"{state.step.title}: {words}" if state.step else words
