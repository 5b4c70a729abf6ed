"""What was undone, in words, and what the hands put back: undoing moves the count, and nothing on the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import dial_place
from hosewright.phrases.lists import many
from hosewright.session import events as ev
from hosewright.session.observations import FAULT_WORDS, VERDICT_WORDS, needle_words, place_words
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from hosewright.session.undoing import values_before
from hosewright.session.words import label_of, needles

if TYPE_CHECKING:
    from hosewright.session.state import Observation, Reading, State
    from hosewright.session.undoing import Deed

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
            return f"counting {many(presses, 'doubtful press', 'doubtful presses')}"
        case ev.Recounted(count=count):
            return f"recount to {count}"
        case ev.Rehung(count=count):
            unit = "pass" if isinstance(state.step, CountPasses) else "row"
            return f"hanging again at {unit} {count}"
        case ev.Judged(verdict=verdict, clicks=clicks):
            return f"verdict “{VERDICT_WORDS[verdict]}” at {dial_place(clicks, turn)}"
        case ev.Voided(clicks=clicks):
            return f"starting the search again from {dial_place(clicks, turn)}"
        case ev.DialMoved(clicks=clicks):
            return f"dial moved to {dial_place(clicks, turn)}"
        case ev.Measured():
            return reading_words(state, state.readings[-1])
        case ev.Observed():
            return seen_at_words(state, state.observations[-1])
        case ev.Amended(seq=seq) | ev.Struck(seq=seq):
            return _put_right(state, deed, seq)
        case ev.SteppedBack():
            return f"stepping back to “{state.step.title}”" if state.step else "stepping back"
        case ev.Spoilt():
            return f"sock {state.spoils[-1].sock} spoilt"
    return _PLAIN[type(deed.event)]


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


def reading_words(state: State, reading: Reading) -> str:
    """A reading by what was measured and what was typed: "Length 148 mm"."""
    for step in state.head.steps:
        for item in step.fields if isinstance(step, Measure) else ():
            if item.id == reading.field:
                known = item.choices and 0 <= int(reading.value) < len(item.choices)
                return f"{label_of(item)} {item.choices[int(reading.value)] if known else reading.typed}".rstrip()
    return f"{reading.field} {reading.typed}".rstrip()


def _put_right(state: State, deed: Deed, seq: int) -> str:
    event = deed.event
    seen = next((one for one in state.observations if one.seq == seq), None)
    if isinstance(event, ev.Amended) and seen is not None:
        if event.needle and not event.note and not event.fault:
            return f"needle {event.needle} of the {FAULT_WORDS[seen.fault]}"
        return f"what was added to {seen_at_words(state, seen)}"
    read = next((one for one in state.readings if one.seq == seq), None)
    struck = seen_at_words(state, seen) if seen else reading_words(state, read) if read else "a spoilt sock"
    return f"striking out {struck}"


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
