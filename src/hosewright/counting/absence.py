"""While nobody listened: the keyboard went elsewhere, or the whole program stood still."""

from __future__ import annotations

from dataclasses import dataclass

from hosewright.phrases.times import elapsed_words

LATE_S = 5.0  # a tick of each second that comes later than this: stopped, asleep, or held up (ours)
ELSEWHERE = "Keys go elsewhere: click here"


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


def away_words(what: str, away_s: float, missing: int | None, unit: str) -> str:
    """What is said on return; ``what`` happened, ``unit`` is "row" or "pass"."""
    begun = f"{what} for {_stretch(away_s)}"
    several = {"row": "rows", "pass": "passes"}[unit]
    if missing is None:
        return f"{begun}. If {several} were cranked, = puts the count right."
    if missing == 0:
        return f"{begun}: less than one {unit} at your pace."
    are = f"{missing} {unit if missing == 1 else several} may be missing"
    return f"{begun}. At your pace {are}: m counts {'it' if missing == 1 else 'them'}."


def lump_words(away_s: float, presses: int) -> str:
    """What is said of presses that waited while the program stood still, and came all at once."""
    came = "1 press" if presses == 1 else f"{presses} presses"
    were = "it was a row" if presses == 1 else "they were rows"
    return f"The program stood still for {_stretch(away_s)}; behind it {came} came at once. If {were}: v counts."


def _stretch(seconds: float) -> str:
    whole = max(1, round(seconds))
    return elapsed_words(whole * 1000) or f"{whole} second{'s' * (whole > 1)}"
