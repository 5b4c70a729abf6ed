"""What a pedal, a magnet or a key sends: from the gaps between its presses to what it is, and the gap to set for it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from statistics import median
from typing import TYPE_CHECKING, Literal

from hosewright.counting.doubt import USUAL_GAP_MS
from hosewright.phrases.lists import many

if TYPE_CHECKING:
    from collections.abc import Sequence

Kind = Literal["row", "bounce", "held"]
# A held key repeats evenly, ten to sixty times a second (ours, wider than the desktops' defaults); a contact that
# bounces does so once or twice, unevenly, and is done sooner.
_REPEAT_MS, _UNEVEN_MS, _RUN, _MOSTLY = (15.0, 110.0), 10.0, 3, 0.75
LEAST_GAP_MS = 30  # ours: no lower is worth while, since no hand comes near it
_ROOM = 1.5  # ours: how far above what it saw the gap is set


def kinds(gaps_ms: Sequence[float]) -> list[Kind]:
    """What each gap, in ms from one press to the next, is taken for."""
    found: list[Kind] = []
    for quick, stretch in groupby(gaps_ms, lambda gap: gap < USUAL_GAP_MS):
        run = list(stretch)
        kind: Kind = "row" if not quick else "held" if _repeats(run) else "bounce"
        found += [kind] * len(run)
    return found


def _repeats(run: Sequence[float]) -> bool:
    middle = median(run)
    even = sum(abs(gap - middle) <= _UNEVEN_MS for gap in run)  # a busy terminal tells of one or the other late
    return len(run) >= _RUN and _REPEAT_MS[0] <= middle <= _REPEAT_MS[1] and even >= _MOSTLY * len(run)


@dataclass(frozen=True, slots=True)
class Seen:
    """What a number of presses was. ``bounce_ms``: the longest gap that was a bounce; ``repeat_ms``: the middle one of
    a held key; ``longest_ms``: of both the longest; ``quickest_ms``: the least between two rows. 0: there was none.
    """

    presses: int
    rows: int
    bounces: int
    bounce_ms: float
    repeats: int
    repeat_ms: float
    longest_ms: float
    quickest_ms: float

    @property
    def words(self) -> list[str]:
        """What it is, a sentence each."""
        if not self.presses:
            return ["No key came. Does this terminal have the keyboard?"]
        told = [f"{many(self.presses, 'press')}, {many(self.rows, 'row')} by the look of it."]
        if self.bounces:
            told.append(
                f"It bounces: {_times(self.bounces)} a second press came, at most {in_ms(self.bounce_ms)} ms later."
            )
        if self.repeats:
            often = f"{1000 / self.repeat_ms:.0f} times a second"
            told.append(f"It repeats while held down: {often}. Let go sooner, or turn its repeating off.")
        if not (self.bounces or self.repeats):
            told.append("It neither bounces nor repeats.")
        if self.quickest_ms:
            told.append(f"The quickest row came {self.quickest_ms:.0f} ms after the one before.")
        return told

    def gap_for(self, present_ms: int) -> int | None:
        """The gap to set, in ms: ``present_ms`` where that parts rows from the rest; None where no gap can."""
        least = max(LEAST_GAP_MS, math.ceil(self.longest_ms * _ROOM / 10) * 10)
        most = self.quickest_ms / _ROOM if self.quickest_ms else math.inf
        if least > most:
            return None
        if least <= present_ms <= most:
            return present_ms
        return least if present_ms < least or most == math.inf else max(least, int(most / 10) * 10)


def look(gaps_ms: Sequence[float]) -> Seen:
    """What the presses with these gaps between them were; one press more than there are gaps."""
    each = list(zip(gaps_ms, kinds(gaps_ms), strict=True))
    rows = [gap for gap, kind in each if kind == "row"]
    bounces = [gap for gap, kind in each if kind == "bounce"]
    repeats = [gap for gap, kind in each if kind == "held"]
    # The first repeat of a held key comes after a wait that looks like a row.
    waits = sum(kind == "held" and each[at - 1][1] == "row" for at, (_, kind) in enumerate(each) if at)
    return Seen(
        presses=len(each) + 1,
        rows=1 + len(rows) - waits,
        bounces=len(bounces),
        bounce_ms=max(bounces, default=0.0),
        repeats=len(repeats),
        repeat_ms=median(repeats) if repeats else 0.0,
        longest_ms=max((*bounces, *repeats), default=0.0),
        quickest_ms=min(rows, default=0.0),
    )


def in_ms(gap_ms: float) -> int:
    """As it is shown: two presses that came together were still one after the other."""
    return max(1, round(gap_ms))


NOTHING = Seen(0, 0, 0, 0.0, 0, 0.0, 0.0, 0.0)


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
