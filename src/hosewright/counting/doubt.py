"""Presses that can be no rows, and rows that may have been cranked while no press came here.

No hand cranks a row in so short a time; a bouncing pedal or a held key takes less. And while the keyboard went
elsewhere, or the whole program stood still, nobody listened.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from hosewright.phrases.lists import many, plural
from hosewright.phrases.times import span

USUAL_GAP_MS = (
    120.0  # ours: far above a contact's bounce (Ganssle, A Guide to Debouncing: 6.2 ms at most in 16 switches)
)
# A held key repeats only after a wait, then evenly. Desktop defaults, from memory: wait 250 to 660 ms, then 25 to 40
# repeats a second; the bounds here are wider.
_WAIT_MS = (150.0, 1100.0)
_RUN = 3
_UNEVEN_MS = 15.0


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
        if len(self.run) == _RUN and max(self.run) - min(self.run) <= _UNEVEN_MS and self._waited():
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
