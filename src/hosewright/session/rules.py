"""Why an event cannot happen where a session stands, in a sentence for the person."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hosewright.craft import MOST_SLOTS
from hosewright.session import events as ev
from hosewright.session.events import Event, Pressed
from hosewright.session.search import MOST_CLICKS
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure, sock_of
from hosewright.session.steps.tubes import called, called_in
from hosewright.session.undoing import last_done, values_before
from hosewright.session.words import label_of

if TYPE_CHECKING:
    from hosewright.session.state import State
    from hosewright.session.steps import MeasureField

MOST_ROWS = 100_000
MOST_OF_AN_ID = 40  # characters
_COUNTED = (CountRows, CountPasses, DialTrial)
_GIVEN_UP = "This session was given up. Take it up again first."
_FINISHED = "This session is finished."
_PAUSED = "Paused. Go on first."
_DAY = re.compile(r"(19[7-9]\d|[2-9]\d{3})-[01]\d-[0-3]\d")


def refusal(state: State, event: Event) -> str | None:
    """Why ``event`` cannot happen now; None when it can."""
    if event.__class__ is Pressed:  # by far the most common, so first
        return _press(state)
    match event:
        case ev.Opened():
            return None
        case ev.Observed(needle=needle):
            return _needle(state, needle)
        case ev.Amended(seq=seq, needle=needle, lot=lot):
            if state.seen(seq) is None:
                return "There is no observation to add to there."
            return _needle(state, needle or None) or ("That is not a lot." if len(lot) > MOST_OF_AN_ID else None)
        case ev.Struck(seq=seq):
            return _strike(state, seq)
        case ev.Reread():
            return _reread(state, event)
        case ev.Recounted(step=str(name)) if name:
            return _recount_done(state, event)
        case ev.Restated():
            return _restate(state, event)
        case ev.LeftOut(reason=reason):
            return None if reason.strip() else "Say in a few words why it is left out, such as: felted."
        case ev.TakenIn():
            return None if state.out else "This session is not left out of anything."
        case ev.Reopened():
            return None if state.abandoned else "This session was not given up."
        case ev.Undone():
            return _undo(state)
        case ev.Redone():
            return None if state.undone else "Nothing was undone that could be done again."
    if state.abandoned:
        return _GIVEN_UP
    if isinstance(event, ev.SteppedBack):
        return None if state.index > 0 else "This is the first step."
    if isinstance(event, ev.Rehung):
        return _rehang(state, event)
    if state.step is None:
        return _FINISHED
    return _in_a_step(state, event)


def _in_a_step(state: State, event: Event) -> str | None:
    match event:
        case ev.Confirmed(early=early):
            return _confirm(state, early)
        case ev.TookBack():
            return _take_back(state)
        case ev.Doubted():
            return None if state.doubting and state.count > 0 else "There is no press to doubt."
        case ev.Vouched():
            return None if state.doubted else "There are no doubtful presses to count."
        case ev.Recounted(count=count):
            if isinstance(state.step, DialTrial) and (state.search.stopped or state.search.found):
                return state.search.advice
            return _count(count) if isinstance(state.step, _COUNTED) else "There is no counter in this step."
        case ev.Judged():
            return _verdict(state, event)
        case ev.Voided(clicks=clicks):
            trial = isinstance(state.step, DialTrial)
            return _clicks(clicks) if trial else "There are no trials to void in this step."
        case ev.DialMoved(clicks=clicks):
            if isinstance(state.step, DialTrial):
                return "In a dial trial the verdicts move the dial; to start from elsewhere, void the trials."
            return _clicks(clicks)
        case ev.ReadOff(field=field, value=value):
            if not isinstance(state.step, Measure):
                return "There is nothing to measure in this step."
            return _fits(next((item for item in state.step.fields if item.id == field), None), value)
        case ev.Spoilt():
            return _spoil(state, event)
        case ev.Paused():
            return "Paused already." if state.paused else None
        case ev.Resumed():
            return None if state.paused else "Not paused."
        case _:
            return None


def _press(state: State) -> str | None:
    if state.abandoned:
        return _GIVEN_UP
    step = state.step
    if not isinstance(step, _COUNTED):
        return _FINISHED if step is None else "There is nothing to count in this step."
    if state.paused:
        return _PAUSED
    if isinstance(step, DialTrial) and (state.search.stopped or state.search.found):
        return state.search.advice
    return None if state.counts[state.index] < MOST_ROWS else f"The counter stops at {MOST_ROWS:,}."


def _undo(state: State) -> str | None:
    last = last_done(state)
    if last is None:
        return "Nothing was done here yet that could be undone."
    if state.step is None and values_before(last)["index"] != state.index:
        return "This session is finished, and that cannot be undone. To correct something in it, first go back a step."
    return None


def _take_back(state: State) -> str | None:
    if isinstance(state.step, _COUNTED) and state.count > 0:
        return None
    if isinstance(state.step, DialTrial):
        judged = state.trials and not state.trials[-1].void
        return None if judged else "There is no row and no verdict to take back."
    return "There is no press to take back in this step."


def _needle(state: State, needle: int | None) -> str | None:
    if needle is None or 1 <= needle <= state.slots:
        return None
    return f"Needles here are numbered 1 to {state.slots}."


def _spoil(state: State, event: ev.Spoilt) -> str | None:
    if not state.sock or isinstance(state.step, Measure):
        return called("No sock of a string is being cranked here.", called_in(state.head))
    if event.again and any(step.id == "cut-apart" for step in state.head.steps[: state.index]):
        said = "The string is off the machine: crank another sock by itself, and call this one spoilt without it."
        return called(said, called_in(state.head, state.sock))
    return None if event.reason.strip() else "Say in a few words why it is spoilt."


def _strike(state: State, seq: int) -> str | None:
    if any(spoil.seq == seq for spoil in state.spoils):
        last = state.spoils[-1]
        as_it_was = last.seq == seq and last.presses == state.presses and not state.abandoned
        said = "More was cranked since that sock was called spoilt, so it stays so."
        return None if as_it_was else called(said, called_in(state.head, last.sock))
    struck = {item.seq: item.struck for item in state.readings} | {s.seq: s.struck for s in state.observations}
    if seq not in struck:
        return "There is no observation or reading to strike out there."
    return "That is struck out already." if struck[seq] else None


def _confirm(state: State, early: bool) -> str | None:
    step = state.step
    if state.paused:
        return _PAUSED
    if isinstance(step, CountRows | CountPasses) and state.count < step.target and not early:
        return f"{state.count} of {step.target} {step.kind} are counted, {step.target - state.count} to go."
    if isinstance(step, DialTrial) and not state.search.found:
        return "The stitch size is not found yet: first say what the stitches did."
    if isinstance(step, Measure):
        missing = [f.label for f in step.fields if f.required and not state.values(f.id)]
        if missing:
            return f"Still to measure: {', '.join(missing)}."
    return None


def _rehang(state: State, event: ev.Rehung) -> str | None:
    at = state.index_of(event.step)
    if at is None or at > state.index or not isinstance(state.head.steps[at], CountRows | CountPasses):
        return "Work can be hung again only in a part that was already cranked."
    if sock_of(event.step) != state.sock:
        name = called_in(state.head, state.sock)
        return f"Work can be hung again only within the {name} that is on the machine."
    if event.count > state.counts[at]:
        return f"Only {state.counts[at]} were counted there, so it cannot be hung again further on."
    return _count(event.count)


def _count(count: int) -> str | None:
    return None if 0 <= count <= MOST_ROWS else f"A count is a whole number from 0 to {MOST_ROWS:,}."


def _clicks(clicks: int) -> str | None:
    return None if 0 <= clicks <= MOST_CLICKS else f"A dial position is from 0 to {MOST_CLICKS} clicks below zero."


def _verdict(state: State, event: ev.Judged) -> str | None:
    step = state.step
    if state.paused:
        return _PAUSED
    if isinstance(step, DialTrial):
        if state.search.stopped:
            return "The search has stopped. Put right what is wrong, then start it again."
        if state.search.found and event.verdict != "lower-stop":
            return "The stitch size is found; go on and prove it."
    elif not (
        isinstance(step, CountRows)
        and step.proves
        and any(isinstance(one, DialTrial) for one in state.head.steps[: state.index])
    ):
        return "There is no dial trial in this step."
    elif event.verdict in ("drop", "unsure", "lower-stop"):
        return "While proving, only stitches that stay up overturn the stitch size."
    if state.count == 0 and event.verdict in ("drop", "stay", "unsure"):
        return "Crank at least one full row at this position first."
    return _clicks(event.clicks)


def _fits(item: MeasureField | None, value: float) -> str | None:
    """Why ``value`` is none that can be read off there."""
    if item is None:
        return "There is no such thing to measure here."
    if item.quantity == "choice":
        known = value in range(len(item.choices))
        return None if known else f"Choose one of: {', '.join(item.choices)}."
    return None if 0 < value < 1e6 else f"{label_of(item)} must be more than zero."


# --- what is put right afterwards, in a session that is over, too -----------------------------------------------------


def _reread(state: State, event: ev.Reread) -> str | None:
    read = state.read(event.seq)
    if read is None:
        return "There is no such reading to put right."
    if read.struck:
        return "That reading is struck out."
    return _fits(next((item for item in state.head.fields if item.id == read.field), None), event.value)


def _recount_done(state: State, event: ev.Recounted) -> str | None:
    at = state.index_of(event.step)
    if at is None or at >= state.index or not isinstance(state.head.steps[at], CountRows | CountPasses):
        return "Only the count of a part that is done can be put right there."
    if state.spoils and state.left_out(at):
        name = called_in(state.head, sock_of(event.step))
        return f"That {name} was spoilt: it stays as it was counted."
    return _count(event.count)


def _restate(state: State, event: ev.Restated) -> str | None:
    value, socks = event.value, max((sock_of(step.id) for step in state.head.steps), default=0)
    in_string = state.head.kind == "string" and event.what in ("wearer", "promise")
    if not (1 <= event.sock <= socks if in_string else event.sock == 0):
        said = "Say which sock of the string is meant." if in_string else "Only a string has several socks."
        return called(said, called_in(state.head))
    match event.what:
        case "yarn" | "machine" | "cylinder":
            good = _names(value) and (event.what != "cylinder" or _is_slots(value))
        case "wearer" | "lot" | "promise":
            good = value is None or _names(value)
        case "day":
            good = isinstance(value, str) and _DAY.fullmatch(value) is not None
        case "title":
            good = isinstance(value, str) and bool(value.strip())
    return None if good else f"That is not a {event.what}."


def _names(value: object) -> bool:
    """Whether it is a record, or the id and name of one."""
    known = isinstance(value, dict) and [value.get(name) for name in ("id", "name")]
    return bool(known) and all(isinstance(one, str) and one for one in known or ())


def _is_slots(value: object) -> bool:
    slots = value.get("slots") if isinstance(value, dict) else None
    return isinstance(slots, int) and not isinstance(slots, bool) and 1 <= slots <= MOST_SLOTS
