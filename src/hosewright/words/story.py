"""What happened in a session, gathered from its events in one walk: cadence, pauses, and corrections as such."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.phrases.harmless import in_cell, typed
from hosewright.phrases.times import clock_time
from hosewright.session import events as ev
from hosewright.session.event_words import event_words
from hosewright.session.fold import apply
from hosewright.session.observations import FAULT_WORDS, place_in
from hosewright.session.pace import Pace
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows
from hosewright.session.words import done_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Entry
    from hosewright.session.steps import Head, Step


@dataclass(frozen=True, slots=True)
class Pause:
    """Hands off the crank: where, from when, and for how long (None while it lasts)."""

    where: str
    at: str
    ms: int | None


@dataclass(frozen=True, slots=True)
class Happening:
    """Something at a place in the cranking: after so many beats, and of what sort (see SIGNS)."""

    at: int
    sign: str
    words: str


SIGNS = (("!", "observation"), ("p", "pause"), ("c", "correction"))

_CORRECTIONS = (ev.Recounted, ev.Rehung, ev.Voided, ev.DialMoved, ev.Spoilt, ev.SteppedBack, ev.Abandoned, ev.Reopened)
_AFTERWARDS = (
    ev.Restated,
    ev.Reread,
    ev.LeftOut,
    ev.TakenIn,
)  # of the whole session, at no place


@dataclass(slots=True)
class Story:
    """The walk's findings. ``taken_back`` counts presses by the index of their step, ``undone`` the things that were
    undone, of which nothing else tells.

    ``beats`` are the counted presses in the order they came: the index of their step, and rows or passes a minute by
    the gap before them (None where there was none to judge by).
    """

    state: State
    paces: dict[int, Pace] = field(default_factory=dict)
    pauses: list[Pause] = field(default_factory=list)
    corrections: list[str] = field(default_factory=list)
    taken_back: dict[int, int] = field(default_factory=dict)
    sittings: int = 0
    beats: list[tuple[int, float | None]] = field(default_factory=list)
    happenings: list[Happening] = field(default_factory=list)
    undone: int = 0


def tell(head: Head, entries: Iterable[Entry]) -> Story:
    """Walk through the events of a session that stand, first to last."""
    stands = standing(head, entries)
    story = Story(State(head), undone=stands.undone)
    paused: Entry | None = None
    for entry in stands.entries:
        state = story.state
        told = len(story.corrections)
        _note(story, entry)
        _beat(story, entry)
        for words in story.corrections[told:]:
            story.happenings.append(Happening(len(story.beats), "c", words))
        where, was_paused = place(state.step, state.count), state.paused
        apply(state, entry)
        if state.paused and not was_paused:
            paused = entry
            story.happenings.append(Happening(len(story.beats), "p", where))
        elif paused is not None and not state.paused:
            story.pauses.append(Pause(where, _time(paused), entry.at_ms - paused.at_ms))
            paused = None
    if paused is not None:
        story.pauses.append(Pause(place(story.state.step, story.state.count), _time(paused), None))
    story.state = stands.state
    return story


def _beat(story: Story, entry: Entry) -> None:
    """Take the pace of one entry, before it is folded in."""
    state = story.state
    pace = story.paces.setdefault(state.index, Pace(deque()))
    known = len(pace.gaps_ms)
    if entry.seq != state.last_seq + 1:
        pace.last_tick = None  # something was undone between the two
    pace.take(entry)
    if isinstance(entry.event, ev.Pressed) and not entry.event.doubtful:
        gap = pace.gaps_ms[-1] if len(pace.gaps_ms) > known else None
        story.beats.append((state.index, 60_000 / gap if gap else None))
    elif isinstance(entry.event, ev.Observed):
        story.happenings.append(Happening(len(story.beats), "!", FAULT_WORDS[entry.event.fault]))
    elif isinstance(entry.event, ev.TookBack):
        del story.beats[-1:]  # it was no row, and its gap no pace
        story.happenings.append(Happening(len(story.beats), "c", "a press taken back"))


def place(step: Step | None, count: int) -> str:
    """A step, and the row or pass cranked last in it, made plain for Markdown: "Leg, row 34"."""
    return typed(place_in(step, count))


def stands(state: State) -> str:
    """Where a session stands: its step, and what is done of it."""
    step = state.step
    if step is None:
        return "finished"
    done = f", {done_words(step, state.count)}" if isinstance(step, CountRows | CountPasses) else ""
    return f"{typed(step.title)}{done}"


def _note(story: Story, entry: Entry) -> None:
    """Add what ``entry`` corrects, before it is folded in."""
    state, event = story.state, entry.event
    here = place(state.step, state.count)
    if isinstance(event, ev.Opened):
        story.sittings += 1
    elif isinstance(event, ev.TookBack):
        story.taken_back[state.index] = story.taken_back.get(state.index, 0) + 1
    elif isinstance(event, _AFTERWARDS) or (isinstance(event, ev.Recounted) and event.step):
        told = event_words(event, state)
        story.corrections.append(f"{_begun(in_cell(told.words))}, put right on {_time(entry)}{_why(told.reason)}")
    elif isinstance(event, _CORRECTIONS) or (
        isinstance(event, ev.Confirmed) and state.target is not None and state.count < state.target
    ):
        told = event_words(event, state)
        when = f" on {_time(entry)}" if isinstance(event, ev.Abandoned | ev.Reopened) else ""
        story.corrections.append(f"{here}: {in_cell(told.words)}{when}{_why(told.reason)}")


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


def _time(entry: Entry) -> str:
    return clock_time(entry.at_ms, entry.zone_min)


def _why(reason: str) -> str:
    said = typed(reason)
    return f" ({said})." if said else "."
