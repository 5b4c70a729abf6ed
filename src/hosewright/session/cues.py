"""What the hands will have to do soon, seen ahead by counting rows, and from when on it is shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.colours import show_colour
from hosewright.craft.dial import dial_place
from hosewright.phrases.lists import many
from hosewright.session.steps import Confirm, CountPasses, CountRows, plain_id
from hosewright.session.steps.catalogue import said_in
from hosewright.session.words import turning_points

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.session.state import State

NONE: Mapping[str, int] = {}
IN_PASSES = ("move the weights",)  # of what is done every so many rows, what is done every so many passes, too
HELD_ROWS = 1  # a hung hem holds once so many rows are knitted through it; common practice, no source
LATE_ROWS = 5  # how long a job that nothing else reminds of is still called for; our choice


@dataclass(frozen=True, slots=True)
class Cue:
    """Something to do in ``left`` rows or passes; 0 is now, and less was that many rows ago."""

    left: int
    words: str

    def is_due(self, rows_ahead: int) -> bool:
        """Whether it stands out from ``rows_ahead`` rows or passes before it, until it was seen or done."""
        return self.left <= rows_ahead

    def is_called(self, rows_ahead: int) -> bool:
        """Whether it is rung for, and said where lines are read: twice, when it becomes due and when it is now."""
        return self.left in (0, rows_ahead)

    def sentence(self, unit: str) -> str:
        """The cue as the screen says it: ``unit`` is row or pass."""
        if self.left == 0:
            return f"Now: {self.words}."
        away = abs(self.left)
        far = many(away, unit)
        if self.left < 0:
            return f"Due {far} ago: {self.words}."
        return f"In {far}: {self.words}."


def cues(state: State, every: Mapping[str, int] = NONE) -> tuple[Cue, ...]:
    """Every cue of the present part that is still ahead, due just now, or missed of late; the one due first is first.

    ``every``: what is done every so many rows of working yarn, in words; 0 says nothing about it. The weights count in
    passes as well: the heel half, which carries them there, grows by a row a pass. What comes so, and the dial, stay
    called for ``LATE_ROWS`` rows, since a row is cranked in a second and the next one would take them off the
    screen.
    """
    step = state.step
    if not isinstance(step, CountRows | CountPasses):
        return ()
    found = []
    if state.count <= step.target:
        found.append(Cue(step.target - state.count, _what_follows(state)))
    if isinstance(step, CountPasses):
        found += [
            Cue(at - 1 - state.count, f"needles begin to {way}") for at, way in turning_points(step) if state.count < at
        ]
    if isinstance(step, CountRows):
        if _hung_before(state) and state.count <= HELD_ROWS + LATE_ROWS:
            found.append(Cue(HELD_ROWS - state.count, "hold the weights and draw out the hem's separator yarn"))
        found += [
            Cue(row - state.count, f"set the dial to {dial_place(clicks, state.head.clicks_per_turn)}")
            for row, clicks in _dial_changes(state, step)
        ]
        found += [
            Cue(row - state.count, f"change to {show_colour(colour)}")
            for row, colour in step.yarn_changes
            if row >= state.count
        ]
    if step.yarn == "working":
        found += [
            Cue(left, words)
            for words, often in every.items()
            if often > 0 and (words in IN_PASSES or isinstance(step, CountRows))
            for left in _to_next(state.count, step.target, often)
        ]
    return tuple(sorted(found, key=lambda cue: cue.left))


def _hung_before(state: State) -> bool:
    """Whether a hem was hung since the last rows of working yarn: the present ones are the first through it."""
    for step in reversed(state.head.steps[: state.index]):
        if isinstance(step, CountRows):
            return False
        if plain_id(step.id) in ("fold-hem", "hang-rib"):
            return True
    return False


def _dial_changes(state: State, step: CountRows) -> list[tuple[int, int]]:
    """Those ahead, and before them the last one behind when the dial does not stand there yet."""
    behind = [change for change in step.dial_changes if change[0] < state.count][-1:]
    missed = [(row, clicks) for row, clicks in behind if state.count - row <= LATE_ROWS and clicks != state.dial]
    return [*missed, *(change for change in step.dial_changes if change[0] >= state.count)]


def _to_next(count: int, target: int, every: int) -> list[int]:
    """Rows or passes to the next time, and before it to one just missed (less than zero)."""
    into = count % every
    if count and into == 0:
        return [0]
    missed = [-into] if count > into and into <= min(LATE_ROWS, every // 2) and count <= target else []
    ahead = every - into
    return [*missed, *([ahead] if count + ahead <= target else [])]


def _what_follows(state: State) -> str:
    after = state.head.steps[state.index + 1] if state.index + 1 < len(state.head.steps) else None
    if after is None:
        return "the stitch size is proven" if state.head.kind == "search" else "that is the end"
    if isinstance(after, Confirm):
        said = said_in(state.head, after.id)
        title = said.title or after.title
        return said.cue or title[0].lower() + title[1:]
    return f"go on to the {after.title[0].lower()}{after.title[1:]}"
