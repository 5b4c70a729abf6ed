"""An event in words: as something that happened, as a deed that is undone, and what the hands then put back.

Undoing moves the count, and nothing on the machine.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, NamedTuple, assert_never

from hosewright.craft.dial import dial_place, show_position
from hosewright.phrases.days import plain_day
from hosewright.phrases.lists import many
from hosewright.session import events as ev
from hosewright.session.observations import FAULT_WORDS, VERDICT_WORDS, needle_words, place_in, place_words
from hosewright.session.steps import CountPasses, CountRows, DialTrial
from hosewright.session.steps.tubes import called_in
from hosewright.session.undoing import values_before
from hosewright.session.words import label_of, needles

if TYPE_CHECKING:
    from hosewright.session.state import Deed, Observation, Reading, State


class Told(NamedTuple):
    """What happened, in our words, and in the person's why."""

    words: str
    reason: str = ""

    @property
    def whole(self) -> str:
        """Both in one line."""
        return f"{self.words}: {self.reason}" if self.reason else self.words


def event_words(event: ev.Event, state: State) -> Told:  # a case for each kind
    """An event in words, where ``state`` stands before it. The type checker fails for a kind without a case."""
    turn = state.head.clicks_per_turn
    match event:
        case ev.Opened():
            return Told("the session was taken up")
        case ev.Confirmed(early=early):
            short = state.target is not None and state.count < state.target
            planned = f", {state.target} were planned" if short else ""
            return Told(f"left there on purpose{planned}" if early or short else "done")
        case ev.Pressed(doubtful=doubtful):
            return Told("a press too soon to be a row" if doubtful else "one more")
        case ev.Doubted():
            return Told("the press before was no row")
        case ev.Vouched():
            return Told("the quick presses were rows after all")
        case ev.TookBack():
            return Told("a press taken back")
        case ev.Undone():
            return Told("the last thing done was undone")
        case ev.Redone():
            return Told("what was undone is done again")
        case ev.Recounted(count=count, reason=reason, step=str(name)):
            done = next((step for step in state.head.steps if step.id == name), None)
            return Told(f"{done.title} was really {count}" if done else f"counter set to {count}", reason)
        case ev.Rehung(step=name, count=count, reason=reason):
            step = next((step for step in state.head.steps if step.id == name), None)
            return Told(f"work hung again at {place_in(step, count)}", reason)
        case ev.Judged(verdict=verdict, clicks=clicks):
            return Told(f"{show_position(clicks, turn)}: {VERDICT_WORDS[verdict]}")
        case ev.Voided(clicks=clicks, reason=reason):
            return Told(f"trials void, search begun again {show_position(clicks, turn)}", reason)
        case ev.DialMoved(clicks=clicks, reason=reason):
            return Told(f"dial moved, now {show_position(clicks, turn)}", reason)
        case ev.ReadOff(field=field, value=value, typed=typed):
            return Told(": ".join(_measured(state, field, value, typed)))
        case ev.Observed(fault=fault, needle=needle, note=note):
            return Told(FAULT_WORDS[fault] + (f", needle {needle}" if needle else ""), note)
        case ev.Amended():
            return _amended(event)
        case ev.Struck(seq=seq):
            return Told(f"{_seen_or_read(state, seq)} struck out")
        case ev.Reread(seq=seq, value=value, typed=typed):
            read = state.read(seq)
            field = read.field if read else "reading"
            return Told(
                f"{': '.join(_measured(state, field, value, typed))}, where {typed_words(state, read)} was read"
            )
        case ev.Restated():
            return Told(_restated(event))
        case ev.LeftOut(reason=reason, cranked=cranked):
            return Told(
                "left out of gauges, pace and statistics" + ("" if cranked else ", and no yarn went in"), reason
            )
        case ev.TakenIn():
            return Told("taken in again to gauges, pace and statistics")
        case ev.Paused(auto=auto):
            return Told("the crank stood still" if auto else "pause")
        case ev.Resumed():
            return Told("hands on the crank again")
        case ev.SteppedBack():
            before = state.head.steps[state.index - 1].title if state.index else ""
            return Told(f"back to {before}" if before else "one step back")
        case ev.Spoilt(reason=reason, again=again):
            name = called_in(state.head, state.sock)
            return Told(f"{name} spoilt, {'cranked again' if again else 'on to the next'}", reason)
        case ev.Abandoned(reason=reason):
            return Told("given up", reason)
        case ev.Reopened():
            return Told("taken up again")
    assert_never(event)


def _amended(event: ev.Amended) -> Told:
    if event.lot and event.note:
        return Told(event.note)
    said = f"it was: {FAULT_WORDS[event.fault]}" if event.fault else "more on what was seen"
    needle = event.needle
    which = "" if needle is None else f", needle {needle}" if needle else ", needle not known"
    return Told(said + which, event.note)


def _restated(event: ev.Restated) -> str:
    whose = f"sock {event.sock}: " if event.sock else ""
    was = f", not {event.was}" if event.was else ""
    if isinstance(event.value, dict):
        named = event.value.get("name", "")
        slots = event.value.get("slots")
        more = f" ({slots} slots)" if event.what == "cylinder" and f"{slots} slots" not in named else ""
        return f"{whose}the {event.what} was really {named}{more}{was}"
    if event.value is None:
        return f"{whose}there was no {event.what}{was}"
    value = event.value
    if event.what == "day":
        with suppress(ValueError):  # in a damaged logbook it is none
            value = plain_day(value)
    return f"{whose}the {event.what} is really {value}{was}"


def typed_words(state: State, reading: Reading | None) -> str:
    """What was read, without what it was of: "148 mm"."""
    if reading is None:
        return "something else"
    return _measured(state, reading.field, reading.value, reading.typed)[1]


def reading_words(state: State, reading: Reading) -> str:
    """A reading by what was measured and what was typed: "Length 148 mm"."""
    return " ".join(_measured(state, reading.field, reading.value, reading.typed))


def _measured(state: State, field_id: str, value: float, typed: str) -> tuple[str, str]:
    """What was measured, and what was typed of it; where that was not kept, its value."""
    for item in state.head.fields:
        if item.id == field_id:
            chosen = item.choices[int(value)] if item.choices and 0 <= int(value) < len(item.choices) else typed
            unit = "g" if item.quantity == "mass" else "mm"
            return label_of(item), chosen or f"{value:.4g} {unit}"
    return field_id, typed or f"{value:.4g}"


# --- undone, and done again --------------------------------------------------------------------------------------

_PLAIN: dict[type[ev.Event], str] = {
    ev.TookBack: "a press taken back",
    ev.Doubted: "a press taken for no row",
    ev.Paused: "pause",
    ev.Resumed: "going on after the pause",
    ev.Abandoned: "giving up",
    ev.Reopened: "taking it up again",
}


def deed_words(state: State, deed: Deed) -> str:
    """What was done: "row 18", "knot at row 17". In ``state`` it was done last."""
    turn = state.head.clicks_per_turn
    match deed.event:
        case ev.Pressed():
            return counted_words(state)
        case ev.Confirmed():
            return f"going on from “{state.head.steps[values_before(deed)['index']].title}”"
        case ev.Vouched():
            presses = values_before(deed)["doubted"]
            return f"counting {many(presses, 'doubtful press')}"
        case ev.Recounted(count=count, step=""):
            return f"recount to {count}"
        case ev.Rehung(count=count):
            return f"hanging again at {state.unit} {count}"
        case ev.Judged(verdict=verdict, clicks=clicks):
            return f"verdict “{VERDICT_WORDS[verdict]}” at {dial_place(clicks, turn)}"
        case ev.Voided(clicks=clicks):
            return f"starting the search again from {dial_place(clicks, turn)}"
        case ev.DialMoved(clicks=clicks):
            return f"dial moved to {dial_place(clicks, turn)}"
        case ev.ReadOff():
            return reading_words(state, state.readings[-1])
        case ev.Observed():
            return seen_at_words(state, state.observations[-1])
        case ev.Amended(seq=seq) | ev.Struck(seq=seq):
            return _put_right(state, deed, seq)
        case ev.SteppedBack():
            return f"stepping back to “{state.step.title}”" if state.step else "stepping back"
        case ev.Spoilt():
            sock = state.spoils[-1].sock
            return f"{called_in(state.head, sock)} {sock} spoilt"
    return _PLAIN.get(type(deed.event)) or event_words(deed.event, state).words


def counted_words(state: State) -> str:
    """The row or pass cranked last: "row 18"."""
    return f"{'pass' if isinstance(state.step, CountPasses) else 'row'} {state.count}"


def place_now(state: State) -> str:
    """Where the count stands, with its part: "row 31 of “Leg”"."""
    title = state.step.title if state.step else ""
    return f"{counted_words(state)} of “{title}”" if state.count else f"the beginning of “{title}”"


def seen_at_words(state: State, seen: Observation) -> str:
    """An observation by its name and place: "dropped stitch at row 12, needle 23"; of another part, that is said."""
    steps = state.head.steps
    if not (seen.step < len(steps) and isinstance(steps[seen.step], CountRows | CountPasses)):
        place = " between two parts"
    elif seen.step == state.index:
        place = f" at {'pass' if isinstance(state.step, CountPasses) else 'row'} {seen.count}"
    else:
        place = f" at {place_words(state, seen)}"
    note = f": {seen.note}" if seen.note and seen.fault == "note" else ""
    return f"{FAULT_WORDS[seen.fault]}{place}{needle_words(seen)}{note}"


def _put_right(state: State, deed: Deed, seq: int) -> str:
    event = deed.event
    seen = state.seen(seq)
    if isinstance(event, ev.Amended) and seen is not None:
        if event.needle and not event.note and not event.fault:
            return f"needle {event.needle} of the {FAULT_WORDS[seen.fault]}"
        return f"what was added to {seen_at_words(state, seen)}"
    return f"striking out {_seen_or_read(state, seq)}"


def _seen_or_read(state: State, seq: int) -> str:
    """The observation or the reading of this number."""
    if seen := state.seen(seq):
        return seen_at_words(state, seen)
    read = state.read(seq)
    return reading_words(state, read) if read else f"a spoilt {called_in(state.head)}"


def to_put_back(state: State, deed: Deed, dial: int, hang: str, *, again: bool = False) -> str:
    """What hands and machine have to do with it, in a sentence; empty where nothing.

    ``state`` is the one after ``deed`` was undone, or done ``again``; ``dial`` is where the dial stood before that;
    ``hang`` is the key that says work was hung again.
    """
    said = []
    if isinstance(deed.event, ev.Pressed) and not again:
        if isinstance(state.step, CountPasses):
            said.append(_needles_back(state.step, state.count + 1, hang))
        elif not isinstance(state.step, DialTrial):
            said.append(f"The row is still on the machine; if you pulled it back, use {hang}.")
    elif isinstance(deed.event, ev.Rehung) and not again:
        said.append("Only the count moved; the work hangs as it hangs.")
    if state.dial != dial:
        back = "" if again else " back"
        said.append(f"Turn the dial{back} to {dial_place(state.dial, state.head.clicks_per_turn)}.")
    return " ".join(said)


def _needles_back(step: CountPasses, undone: int, hang: str) -> str:
    """Where carrier and needles belong before pass ``undone``, once it was counted by mistake."""
    turning = step.turning
    if undone > turning.count:
        return f"The pass is still on the machine; if you pulled it back, use {hang}."
    said = [f"The carrier belongs on the {turning.at(undone).carrier}"]
    if undone < turning.count:  # what was moved for the pass after it goes back
        ahead = turning.at(undone + 1)
        said += [f"{needles(ahead.lower)} up again"] if ahead.lower else []
        said += [f"{needles(ahead.lift)} down again"] if ahead.lift else []
    return f"{', '.join(said)}."
