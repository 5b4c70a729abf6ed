"""What is heard of a press, a step or a place: as few words as the ear needs, and which tone stands for them.

Numbers stay digits, since every speaker reads those. What the eye reads is in ``session.words``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.session import events as ev
from hosewright.session.cues import cues
from hosewright.session.observations import FAULT_WORDS
from hosewright.session.steps import CountPasses, CountRows, DialTrial
from hosewright.session.words import heard_pass, now_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.session.events import Event
    from hosewright.session.state import State

Tone = Literal["", "row", "cue", "over", "doubtful"]
_MOVES_ON = (
    *(ev.Confirmed, ev.Undone, ev.Redone, ev.Recounted, ev.Rehung, ev.Vouched, ev.SteppedBack, ev.Reopened),
    *(ev.Voided, ev.Spoilt),
)
_PARTS = {"1/2": "a half", "1/4": "a quarter", "3/4": "3 quarters"}


@dataclass(frozen=True, slots=True)
class Heard:
    """``words``, which may be none, and the tone for them. ``counts``: a number alone, left out where more is said."""

    words: str
    tone: Tone = ""
    counts: bool = False


def heard_of(event: Event, state: State, every: Mapping[str, int], rows_ahead: int, number_every: int) -> Heard | None:
    """What is heard of an event, ``state`` being what it led to; None for most.

    ``every`` and ``rows_ahead``: which cues there are, and from when (see ``session.cues``). The count is heard every
    ``number_every`` rows or passes; 0: never. Which needle to move is heard at every pass.
    """
    if isinstance(event, ev.Pressed):
        if event.doubtful:
            return Heard("", "doubtful")  # no word: a bounce would cut off the count it comes with
        return _of_a_press(state, every, rows_ahead, number=number_every > 0 and state.count % number_every == 0)
    if isinstance(event, ev.Observed):
        return Heard(f"{FAULT_WORDS[event.fault]}, noted")
    if isinstance(event, ev.Amended) and event.needle:
        return Heard(f"needle {event.needle}, noted")
    if isinstance(event, ev.Judged):
        return Heard(for_the_ear(state.search.advice), "cue")
    if isinstance(event, ev.Paused):
        return Heard("paused")
    goes_on = isinstance(event, _MOVES_ON) or (isinstance(event, ev.Resumed) and not event.cranked)
    return Heard(heard_place(state)) if goes_on else None


def _of_a_press(state: State, every: Mapping[str, int], rows_ahead: int, *, number: bool) -> Heard:
    step, target = state.step, state.target
    over = target is not None and state.count > target
    due = [cue.sentence(state.unit) for cue in cues(state, every) if cue.is_called(rows_ahead)]
    said = [str(state.count)] if number else []
    if over:
        said = [f"{state.count - (target or 0)} too many"]
    elif isinstance(step, CountPasses) and state.count < step.target:
        said = [heard_pass(step, state.count, number=number)]
    tone: Tone = "over" if over else "cue" if due else "row"
    words = " ".join(part.rstrip(".") + "." for part in (*said, *due))
    return Heard(for_the_ear(words), tone, counts=tone == "row" and not isinstance(step, CountPasses))


def heard_place(state: State) -> str:
    """Where one is: "foot, 41 of 59, set up the toe in 18", "heel, pass 26 of 40, 8 down left"."""
    step, paused = state.step, ", paused" if state.paused else ""
    name = "" if step is None else step.title[0].lower() + step.title[1:]
    if isinstance(step, CountPasses) and state.count < step.target:
        moves = heard_pass(step, state.count, number=False)
        return f"{name}, pass {state.count + 1} of {step.target}, {moves.rstrip('.')}{paused}"
    if isinstance(step, CountRows | CountPasses):
        follows = next((cue for cue in cues(state) if cue.left == step.target - state.count), None)
        when = "" if follows is None else f", {follows.words} {f'in {follows.left}' if follows.left else 'now'}"
        return for_the_ear(f"{name}, {state.count} of {step.target}{when}{paused}")
    if isinstance(step, DialTrial) and not (state.search.found or state.search.stopped):
        return for_the_ear(f"{now_words(state)}, row {state.count}{paused}")
    return for_the_ear(now_words(state))


def for_the_ear(words: str) -> str:
    """Fractions as they are said: "6 3/4 turns" is "6 and 3 quarters turns"."""
    return re.sub(r"(\d) (1/2|1/4|3/4)\b", lambda found: f"{found[1]} and {_PARTS[found[2]]}", words)
