"""The fold: events in, state out.

It is total: whatever events come in whatever order, it gives one state and never raises. An event that cannot
happen where the session stands is counted in ``ignored`` and changes nothing else.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.session import events as ev
from hosewright.session.events import Event, Pressed
from hosewright.session.rules import refusal
from hosewright.session.state import Observation, Reading, Spoil, State, Trial
from hosewright.session.steps import DialTrial
from hosewright.session.undoing import before, do_again, remember, undo

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Entry
    from hosewright.session.steps import Head


EVENING_MS = 4 * 3_600_000  # after so long without an event it is another evening; ours


def fold(head: Head, entries: Iterable[Entry]) -> State:
    """The state after ``entries``, first to last."""
    state = State(head)
    for entry in entries:
        apply(state, entry)
    return state


def apply(state: State, entry: Entry) -> None:
    """Take one more entry into ``state``."""
    event = entry.event
    over = state.over and not (state.abandoned and isinstance(event, ev.Reopened))
    if entry.at_ms - state.last_ms > EVENING_MS:
        state.evening = state.index
    if refusal(state, event) is not None:
        state.ignored += 1
    elif isinstance(event, Pressed) and not event.doubtful and not state.doubting:
        state.counts[state.index] += 1
        state.presses += 1
        state.run += 1
        if state.undone:
            state.undone.clear()
    elif isinstance(event, ev.Undone):
        undo(state)
    elif isinstance(event, ev.Redone):
        do_again(state)
    else:
        was = before(state)
        _take(state, entry, event)
        remember(state, event, was)
    state.last_seq = entry.seq
    if not over:
        state.last_ms = entry.at_ms


def _take(state: State, entry: Entry, event: Event) -> None:
    match event:
        case Pressed(doubtful=True):
            state.doubted = state.doubted + 1 if state.doubting else 1
            state.doubting = True
        case Pressed():
            state.counts[state.index] += 1
            state.presses += 1
            state.doubting = False
        case ev.Doubted():
            state.counts[state.index] -= 1
            state.doubted += 1
        case ev.Vouched():
            state.counts[state.index] += state.doubted
            state.doubted, state.doubting = 0, False
        case ev.Opened():
            state.since_ms = state.since_ms or entry.at_ms
        case ev.Confirmed():
            _move_to(state, _past_left_out(state, state.index + 1, 1), entry.at_ms)
        case ev.TookBack():
            _take_back(state)
        case ev.Recounted(count=count, step=str(name)) if name:
            state.counts[_at(state, name)] = count
        case ev.Recounted(count=count, settles=settles):
            state.counts[state.index] = count
            if settles:
                state.doubted, state.doubting = 0, False
        case ev.Rehung():
            _rehang(state, event, entry.at_ms)
        case ev.Judged():
            _judge(state, event, entry.at_ms)
        case ev.Voided(clicks=clicks):
            state.trials = [replace(trial, void=True) for trial in state.trials]
            state.search_from = state.dial = clicks
            state.counts[state.index] = 0
        case ev.DialMoved(clicks=clicks):
            state.dial = clicks
        case ev.ReadOff(field=name, value=value, typed=typed):
            state.readings.append(Reading(entry.seq, name, value, typed))
        case ev.Observed(fault=fault, needle=needle, note=note):
            place = (state.index, state.count, state.dial, entry.at_ms)
            state.observations.append(Observation(entry.seq, fault, needle, note, *place))
        case ev.Amended(seq=seq):
            state.observations = [_amend(s, event) if s.seq == seq else s for s in state.observations]
        case ev.Struck(seq=seq):
            state.readings = [replace(r, struck=True) if r.seq == seq else r for r in state.readings]
            state.observations = [replace(s, struck=True) if s.seq == seq else s for s in state.observations]
            _unspoil(state, seq, entry.at_ms)
        case ev.Reread(seq=seq, value=value, typed=typed):
            state.readings = [replace(r, value=value, typed=typed) if r.seq == seq else r for r in state.readings]
        case ev.Restated():
            _restate(state, event)
        case ev.LeftOut():
            state.out = event
        case ev.TakenIn():
            state.out = None
        case ev.Paused():
            state.paused = True
        case ev.Resumed():
            state.paused = False
        case ev.SteppedBack():
            _move_to(state, _past_left_out(state, state.index - 1, -1), entry.at_ms)
        case ev.Spoilt():
            _spoil(state, event, entry)
        case ev.Abandoned():
            state.abandoned = True
            state.paused = False
        case ev.Reopened():
            state.abandoned = False


def _move_to(state: State, index: int, at_ms: int) -> None:
    state.index = index
    state.since_ms = at_ms
    state.doubted, state.doubting = 0, False
    state.paused = False


def _past_left_out(state: State, index: int, way: int) -> int:
    """The first step from ``index`` on (or back, with ``way`` -1) that is of no sock that is left out."""
    while state.spoils and 0 < index < len(state.head.steps) and state.left_out(index):
        index += way
    return index


def _spoil(state: State, event: ev.Spoilt, entry: Entry) -> None:
    sock = state.sock
    span = state.span_of(sock)
    counts = tuple(state.counts[i] for i in span)
    state.spoils.append(
        Spoil(entry.seq, sock, event.reason, event.again, state.index, counts, state.presses, entry.at_ms)
    )
    if event.again:
        for i in span:
            state.counts[i] = 0
        _move_to(state, span[0], entry.at_ms)
    else:
        _move_to(state, _past_left_out(state, state.index, 1), entry.at_ms)


def _unspoil(state: State, seq: int, at_ms: int) -> None:
    if state.spoils and state.spoils[-1].seq == seq:
        spoil = state.spoils[-1]
        state.spoils = state.spoils[:-1]
        for i, count in zip(state.span_of(spoil.sock), spoil.counts, strict=True):
            state.counts[i] = count
        _move_to(state, spoil.index, at_ms)


def _take_back(state: State) -> None:
    if state.counts[state.index] > 0:
        state.counts[state.index] -= 1
        return
    mistaken = state.trials[-1]
    state.trials = state.trials[:-1]
    state.dial = state.search.position
    state.counts[state.index] = mistaken.rows


def _amend(observation: Observation, event: ev.Amended) -> Observation:
    needle = observation.needle if event.needle is None else event.needle or None
    note = event.note or observation.note
    if event.note and observation.lot and not event.lot:  # which lot it is stays readable
        note = f"{observation.note}; {event.note}"
    return replace(
        observation,
        needle=needle,
        note=note,
        fault=event.fault or observation.fault,
        lot=event.lot or observation.lot,
    )


def _restate(state: State, event: ev.Restated) -> None:
    others = tuple(one for one in state.restated if (one.what, one.sock) != (event.what, event.sock))
    state.restated = (*others, event)
    if event.what == "cylinder" and isinstance(event.value, dict):
        state.slots = event.value["slots"]


def _at(state: State, step_id: str) -> int:
    """The place of a step that is known to be there."""
    at = state.index_of(step_id)
    assert at is not None
    return at


def _rehang(state: State, event: ev.Rehung, at_ms: int) -> None:
    at = _at(state, event.step)
    for later in range(at + 1, len(state.counts)):
        state.counts[later] = 0  # what hung below is gone from the needles
    state.counts[at] = event.count
    if event.settles:
        state.doubted, state.doubting = 0, False
    if at != state.index:
        _move_to(state, at, at_ms)


def _judge(state: State, event: ev.Judged, at_ms: int) -> None:
    state.trials.append(Trial(event.clicks, event.verdict, state.count))
    state.dial = state.search.position
    state.counts[state.index] = 0
    if not isinstance(state.step, DialTrial):  # the proof failed: back to the search
        back = max(i for i in range(state.index) if isinstance(state.head.steps[i], DialTrial))
        state.counts[back] = 0
        _move_to(state, back, at_ms)
