"""A session as a recording: the same fold that cranked it, wound to any of its events."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position
from hosewright.session import events as ev
from hosewright.session.fold import apply
from hosewright.session.observations import FAULT_WORDS, VERDICT_WORDS
from hosewright.session.rules import refusal
from hosewright.session.state import State
from hosewright.session.undo_words import deed_words
from hosewright.session.undoing import last_done
from hosewright.session.words import label_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.session.events import Entry, Event
    from hosewright.session.steps import Head

KEPT_EVERY = 200
LONGEST_GAP_MS = 4000  # a phone call is not waited through again
_PLAIN: dict[type[Event], str] = {
    ev.Opened: "the session was taken up",
    ev.Doubted: "the press before was no row",
    ev.Vouched: "the quick presses were rows after all",
    ev.TookBack: "a press taken back",
    ev.Undone: "the last thing done was undone",
    ev.Redone: "what was undone is done again",
    ev.Resumed: "hands on the crank again",
    ev.SteppedBack: "one step back",
    ev.Reopened: "taken up again",
}


class Recording:
    """The entries of a session, and its state after the first ``at`` of them."""

    def __init__(self, head: Head, entries: Sequence[Entry]) -> None:
        """Wound to the beginning."""
        self.entries = entries
        self.state = State(head)
        self.at = 0
        self._kept: dict[int, State] = {0: State(head)}
        self._titles: list[str | None] = []  # of the step each event found; None where it could not happen
        self._undone: dict[int, str] = {}  # undoing, or doing again, and what

    def wind(self, to: int) -> None:
        """Go to the state after ``to`` events, forwards or back."""
        to = min(max(to, 0), len(self.entries))
        if to < self.at:
            near = max(at for at in self._kept if at <= to)
            self.state, self.at = self._kept[near].copy(), near
        while self.at < to:
            entry = self.entries[self.at]
            if self.at == len(self._titles):
                step = self.state.step
                happened = refusal(self.state, entry.event) is None
                self._titles.append((step.title if step else "") if happened else None)
                if isinstance(entry.event, ev.Undone) and (deed := last_done(self.state)) is not None:
                    self._undone[self.at] = f"undone: {deed_words(self.state, deed)}"
            apply(self.state, entry)
            if isinstance(entry.event, ev.Redone) and (deed := last_done(self.state)) is not None:
                self._undone[self.at] = f"done again: {deed_words(self.state, deed)}"
            self.at += 1
            if self.at % KEPT_EVERY == 0 and self.at not in self._kept:
                self._kept[self.at] = self.state.copy()

    @property
    def done(self) -> bool:
        """Whether it has come to its end."""
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

    def told(self, most: int) -> list[tuple[Entry, str]]:
        """The newest happenings up to here, the newest first."""
        found: list[tuple[Entry, str]] = []
        for at in range(self.at - 1, -1, -1):
            entry = self.entries[at]
            if not _is_count(entry.event):
                found.append((entry, self._words(at)))
            if len(found) >= most:
                break
        return found

    def _words(self, at: int) -> str:
        title = self._titles[at]
        if title is None:
            return "an event that does not fit here; it was ignored"
        words = self._undone.get(at) or event_words(self.entries[at].event, self.state)
        return f"{title}: {words}" if title else words


def _is_count(event: Event) -> bool:
    return isinstance(event, ev.Pressed) and not event.doubtful


def event_words(event: Event, state: State) -> str:
    """An event in words; ``state`` knows the names of steps and fields."""
    plain = _PLAIN.get(type(event))
    if plain is not None:
        return plain
    turn = state.head.clicks_per_turn
    match event:
        case ev.Confirmed(early=early):
            return "left there on purpose" if early else "done"
        case ev.Pressed():
            return "a press too soon to be a row"
        case ev.Recounted(count=count, reason=reason):
            return _with(f"counter set to {count}", reason)
        case ev.Rehung(count=count, reason=reason):
            return _with(f"work hung again at {count}", reason)
        case ev.Judged(verdict=verdict, clicks=clicks):
            return f"{show_position(clicks, turn)}: {VERDICT_WORDS[verdict]}"
        case ev.Voided(clicks=clicks, reason=reason):
            return _with(f"trials void, search begun again {show_position(clicks, turn)}", reason)
        case ev.DialMoved(clicks=clicks, reason=reason):
            return _with(f"dial now {show_position(clicks, turn)}", reason)
        case ev.Measured(field=field, value=value, typed=typed):
            return _reading(state, field, value, typed)
        case ev.Observed(fault=fault, needle=needle, note=note):
            return _with(FAULT_WORDS[fault] + (f", needle {needle}" if needle else ""), note)
        case ev.Amended(needle=needle, note=note, fault=fault, lot=lot):
            if lot and note:
                return note
            said = f"it was: {FAULT_WORDS[fault]}" if fault else "more on the observation"
            which = "" if needle is None else f", needle {needle}" if needle else ", needle not known"
            return _with(said + which, note)
        case ev.Spoilt(reason=reason, again=again):
            return _with("sock spoilt, cranked again" if again else "sock spoilt, on to the next", reason)
        case ev.Struck(seq=seq):
            return f"event {seq} struck out"
        case ev.Paused(auto=auto):
            return "the crank stood still" if auto else "pause"
        case ev.Abandoned(reason=reason):
            return _with("given up", reason)
    return event.kind


def _with(words: str, reason: str) -> str:
    return f"{words}: {reason}" if reason else words


def _reading(state: State, field_id: str, value: float, typed: str) -> str:
    for step in state.head.steps:
        for item in getattr(step, "fields", ()):
            if item.id == field_id:
                chosen = item.choices[int(value)] if item.choices and 0 <= int(value) < len(item.choices) else typed
                return f"{label_of(item)}: {chosen or f'{value:.4g}'}"
    return f"{field_id}: {typed or f'{value:.4g}'}"
