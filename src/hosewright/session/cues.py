"""What the hands will have to do soon, seen ahead by counting rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.session.dial_words import dial_place
from hosewright.session.steps import Confirm, CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.state import State

# What follows a part, by the step after it, as the end of "in 3 rows ...".
_AFTER: dict[str, str] = {
    "join": "join the working yarn",
    "part": "join the separator yarn",
    "hang-hem": "hang the hem",
    "heel-set": "set up the heel",
    "heel-end": "close the heel",
    "toe-set": "set up the toe",
    "toe-end": "close the toe",
    "take-off": "take the work off",
}


@dataclass(frozen=True, slots=True)
class Cue:
    """Something to do in ``left`` rows or passes; 0 is now."""

    left: int
    words: str

    def sentence(self, unit: str) -> str:
        """The cue as the screen says it: ``unit`` is row or pass."""
        if self.left <= 0:
            return f"Now: {self.words}."
        plural = {"row": "rows", "pass": "passes"}[unit] if self.left > 1 else unit
        return f"In {self.left} {plural}: {self.words}."


def cues(state: State, weights_every: int = 0) -> tuple[Cue, ...]:
    """Every cue of the present part that is still ahead, or due just now, the nearest first.

    ``weights_every``: the weights are moved every so many rows; 0 says nothing about them.
    """
    step = state.step
    if not isinstance(step, CountRows | CountPasses):
        return ()
    found = []
    if state.count <= step.target:
        found.append(Cue(step.target - state.count, _what_follows(state)))
    if isinstance(step, CountRows):
        found += [
            Cue(row - state.count, f"set the dial to {dial_place(clicks, state.head.clicks_per_turn)}")
            for row, clicks in step.dial_changes
            if row >= state.count
        ]
        if weights_every > 0 and step.yarn == "working":
            into = state.count % weights_every
            left = 0 if state.count and into == 0 else weights_every - into
            if state.count + left <= step.target:
                found.append(Cue(left, "move the weights"))
    return tuple(sorted(found, key=lambda cue: cue.left))


def _what_follows(state: State) -> str:
    after = state.head.steps[state.index + 1] if state.index + 1 < len(state.head.steps) else None
    if after is None:
        return "the stitch size is proven" if state.head.kind == "search" else "that is the end"
    if isinstance(after, Confirm):
        return _AFTER.get(after.id, after.title[0].lower() + after.title[1:])
    return f"go on to the {after.title[0].lower()}{after.title[1:]}"
