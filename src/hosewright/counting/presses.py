"""Presses: what a pedal, a magnet or a key sends and the gap to set for it, and which presses can be no rows."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum
from itertools import groupby
from statistics import median
from typing import TYPE_CHECKING, Literal

from hosewright.phrases.lists import many, plural
from hosewright.phrases.times import span

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


# --- what a press is taken for as it comes, and rows cranked while nobody listened ------------------------------------


USUAL_GAP_MS = (
    120.0  # ours: far above a contact's bounce (Ganssle, A Guide to Debouncing: 6.2 ms at most in 16 switches)
)
# A held key repeats only after a wait, then evenly. Desktop defaults, from memory: wait 250 to 660 ms, then 25 to 40
# repeats a second; the bounds here are wider.
_WAIT_MS = (150.0, 1100.0)
_RUN_OF_A_KEY = 3
_UNEVEN_OF_A_KEY_MS = 15.0


class Judgement(Enum):
    """What a press is taken for."""

    ROW = "row"
    DOUBTFUL = "doubtful"
    HELD_KEY = "held key"  # doubtful, and so is the press before this run: it was the key's first repeat


@dataclass(slots=True)
class Doubter:
    """Judges each press by its gap to the press before, of whatever kind. ``gap_ms`` 0 takes every press for a row."""

    gap_ms: float = USUAL_GAP_MS
    last_ms: float | None = None
    before_run_ms: float | None = None
    run: list[float] = field(default_factory=list)

    def judge(self, at_ms: float) -> Judgement:
        """Judge the press that arrived at ``at_ms`` on a clock that never steps."""
        gap = None if self.last_ms is None else at_ms - self.last_ms
        self.last_ms = at_ms
        if self.gap_ms <= 0 or gap is None or gap >= self.gap_ms:
            self.before_run_ms, self.run = gap, []
            return Judgement.ROW
        self.run.append(gap)
        if len(self.run) == _RUN_OF_A_KEY and max(self.run) - min(self.run) <= _UNEVEN_OF_A_KEY_MS and self._waited():
            return Judgement.HELD_KEY
        return Judgement.DOUBTFUL

    def _waited(self) -> bool:
        return self.before_run_ms is not None and _WAIT_MS[0] <= self.before_run_ms <= _WAIT_MS[1]


# --- while nobody listened ----------------------------------------------------------------------------------------

LATE_S = 5.0  # a tick of each second that comes later than this: stopped, asleep, or held up (ours)
ELSEWHERE = "Keys go elsewhere: click here"
INTO_THE_PALETTE = "Keys go into the palette: nothing is counted"


@dataclass(slots=True)
class Ticks:
    """Ticks that should come every second, by a clock that never steps and by the one on the wall.

    A process that is stopped sees the first jump; on many systems one whose machine slept sees only the second jump.
    """

    last: tuple[float, float] | None = None

    def stood_still_s(self, steady_s: float, wall_s: float) -> float:
        """How long the program stood still before this tick, in seconds; 0 when it came in time."""
        last, self.last = self.last, (steady_s, wall_s)
        if last is None:
            return 0.0
        gone = max(steady_s - last[0], wall_s - last[1])
        return gone if gone >= LATE_S else 0.0


@dataclass(frozen=True, slots=True)
class Missing:
    """Rows or passes of step ``index`` that may have been cranked meanwhile, and what was said of them."""

    index: int
    count: int
    words: str


def missing_count(away_s: float, per_minute: float | None, left: int) -> int | None:
    """Rows or passes that may be missing after ``away_s`` seconds; None while no pace is known.

    Never more than are ``left`` of the part, unless all of it was cranked: then there is no such bound.
    """
    if per_minute is None:
        return None
    usual = int(away_s * per_minute / 60)
    return min(usual, left) if left > 0 else usual


def away_words(what: str, away_s: float, missing: int | None, unit: str, right: str, count: str) -> str:
    """What is said on return; ``what`` happened, ``unit`` is "row" or "pass".

    ``right``: how the count is put right where nothing can be offered; ``count``: the key that takes the offer.
    """
    begun = f"{what} for {span(max(1000, away_s * 1000))}"
    if missing is None:
        return f"{begun}. If {plural(unit)} were cranked, {right}."
    if missing == 0:
        return f"{begun}: less than one {unit} at your pace."
    are = f"{many(missing, unit)} may be missing"
    return f"{begun}. At your pace {are}: {count} counts {'it' if missing == 1 else 'them'}."


def lump_words(away_s: float, presses: int, vouch: str) -> str:
    """What is said of presses that came all at once after the program stood still; ``vouch`` is the key for them."""
    came = many(presses, "press")
    were = "it was a row" if presses == 1 else "they were rows"
    away = span(max(1000, away_s * 1000))
    return f"The program stood still for {away}; then {came} came at once. If {were}: {vouch} counts."
