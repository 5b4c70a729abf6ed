"""Girths of a foot and leg when no tape measure was at hand, always labelled so; and the two feet of one wearer.

Regressions and residual spreads of 4082 men and 1986 women of the US Army, 2012 (ANSUR II public release,
Gordon et al. 2014, NATICK/TR-15/007; computed from its tables). Adults in service only: no children, not a
clinical population. A tape measure is always better. Shoe sizes come from `shoes`.
Of two feet socks are made for the larger, as shoes are (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from hosewright.craft import CraftError
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.measured import Measured, as_measured, error, measured, nominal
from hosewright.craft.units import quoted

Sex = Literal["men", "women"]
# Each: slope, intercept in mm, residual standard deviation in mm.
BALL_ON_LENGTH = {"men": (0.5895, 92.15, 10.38), "women": (0.5732, 86.94, 9.37)}
HEEL_ANKLE_ON_LENGTH = {"men": (1.0067, 70.49, 10.11), "women": (0.9883, 66.9, 9.13)}
HEEL_ANKLE_ON_BALL = {"men": (0.9595, 101.67, 11.05), "women": (0.9617, 90.96, 10.31)}
ANKLE_ON_BALL = {"men": (0.7726, 34.63, 10.71), "women": (0.7468, 45.39, 12.02)}
CALF_ON_BALL = {"men": (1.4215, 34.01, 23.34), "women": (1.3506, 65.18, 23.68)}
LENGTH_SAMPLED_MM = {"men": (216.0, 323.0), "women": (198.0, 286.0)}
BALL_SAMPLED_MM = {"men": (186.0, 306.0), "women": (194.0, 270.0)}
_Line = dict[str, tuple[float, float, float]]
_On = Literal["foot length alone", "ball girth"]
_SAMPLED_MM = {"foot length alone": LENGTH_SAMPLED_MM, "ball girth": BALL_SAMPLED_MM}
GIRTH_PER_WIDTH_MM = 6.5
SHORTEST_FOOT_MM = 80.0
LONGEST_FOOT_MM = 400.0
NORMAL_REACH = {68: 0.994458, 95: 1.959964}

_US_WIDTHS = ("AAA", "AA", "A", "B", "C", "D", "E", "EE", "EEE")
_UK_WOMEN_WIDTHS = ("A", "B", "C", "D", "E", "F", "G")
_UK_MEN_WIDTHS = ("1", "2", "3", "4", "5", "6", "7", "8")
WORTH_SAYING_MM = 5.0
LEAST_GIRTH_MM = 50.0
MOST_GIRTH_MM = 600.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """A girth, or a leg's length, in mm with its error. ``estimated``: it rests on more than a tape and practice."""

    value: Measured
    words: str
    estimated: bool = True

    @property
    def mm(self) -> float:
        """The number alone, mm."""
        return nominal(self.value)

    @property
    def error_mm(self) -> float:
        """Its standard error, mm."""
        return error(self.value)

    def within(self, percent: Literal[68, 95]) -> tuple[float, float]:
        """The range in mm that holds 68 or 95 of 100 such feet, by the normal law."""
        reach = NORMAL_REACH[percent] * self.error_mm
        return self.mm - reach, self.mm + reach


def check_longest_foot(foot_mm: float) -> None:
    """Raise CraftError for a foot longer than any."""
    if foot_mm > LONGEST_FOOT_MM:
        raise CraftError(
            f"A foot of {foot_mm:.0f} mm is longer than any (400 mm): type its unit, such as 25 cm, or a size: EU 42."
        )


def _system_of(width: str, sex: Sex) -> tuple[str, Sex, Literal["US", "UK"]]:
    asked = width.strip()
    return (asked[2:], sex, "UK") if asked[:2].upper() == "UK" else (asked, sex, "US")


def girth_estimate(foot_mm: Measured | float, sex: Sex, width: str | None = None) -> Estimate | None:
    """Ball girth from foot length by regression; None outside the feet that were sampled (no children were).

    ``width`` is a US width letter, or a UK one such as "UK E" (women) or "UK 5" (men), and shifts it by 6.5 mm a
    step from the usual one. Error: residual spread, with the foot length's own error where it has one.
    Raises CraftError.
    """
    shift = 0.0 if width is None else width_shift_mm(*_system_of(width, sex))
    note = "" if width is None else f", width {quoted(width)} as last-makers commonly grade it"
    return _estimate("Ball girth", BALL_ON_LENGTH, "foot length alone", foot_mm, sex, shift, note)


def heel_ankle_estimate(
    foot_mm: Measured | float, sex: Sex, ball_mm: Measured | float | None = None
) -> Estimate | None:
    """Girth round heel and ankle, from the ball girth when it was taped, else from foot length.

    Give a ``ball_mm`` only from a tape: one estimated from the length says less than the length itself.
    None outside what was sampled. Error: the regression's residual spread, with the error of what it starts from.
    Raises CraftError.
    """
    if ball_mm is not None:
        return _estimate("Heel and ankle girth", HEEL_ANKLE_ON_BALL, "ball girth", ball_mm, sex)
    return _estimate("Heel and ankle girth", HEEL_ANKLE_ON_LENGTH, "foot length alone", foot_mm, sex)


def ankle_estimate(ball_mm: Measured | float, sex: Sex) -> Estimate | None:
    """Ankle girth from ball girth; an error of the ball girth is carried along. None outside the sample.

    Raises CraftError.
    """
    return _estimate("Ankle girth", ANKLE_ON_BALL, "ball girth", ball_mm, sex)


def calf_estimate(ball_mm: Measured | float, sex: Sex) -> Estimate | None:
    """Calf girth from ball girth; an error of the ball girth is carried along. None outside the sample.

    Raises CraftError.
    """
    return _estimate("Calf girth", CALF_ON_BALL, "ball girth", ball_mm, sex)


def best_girth(girth_mm: float | None, foot_mm: float | None, sex: Sex, width: str | None = None) -> Estimate | None:
    """The ball girth to use: the tape's whenever there is one, else the estimate, else None. Raises CraftError."""
    if girth_mm is not None:
        _check_ball(girth_mm)
        value = measured(girth_mm, TAPE_HALF_WIDTH_MM / math.sqrt(3))
        return Estimate(value, f"Ball girth {girth_mm:.0f} mm by tape measure.", estimated=False)
    return None if foot_mm is None else girth_estimate(foot_mm, sex, width)


def width_shift_mm(width: str, sex: Sex, system: Literal["US", "UK"] = "US") -> float:
    """Ball girth a width letter (a number for UK men) adds to the usual, mm: 6.5 a step (common last-maker practice).

    Usual: US men D, women B; UK women D of A to G, men 4 of 1 to 8. Raises CraftError.
    """
    letters: tuple[str, ...]
    if _sex(sex) == "men":
        letters, usual = (_US_WIDTHS, "D") if system == "US" else (_UK_MEN_WIDTHS, "4")
    else:
        letters, usual = (_US_WIDTHS, "B") if system == "US" else (_UK_WOMEN_WIDTHS, "D")
    asked = width.strip().upper()
    if asked not in letters:
        raise CraftError(f"There is no width {quoted(width)}: use one of {', '.join(letters)}.")
    return (letters.index(asked) - letters.index(usual)) * GIRTH_PER_WIDTH_MM


def _estimate(
    what: str, table: _Line, on: _On, x: Measured | float, sex: Sex, shift: float = 0.0, note: str = ""
) -> Estimate | None:
    low, high = _SAMPLED_MM[on][_sex(sex)]
    if not low <= nominal(x) <= high:
        return None
    slope, intercept, residual = table[sex]
    value = slope * as_measured(x) + measured(intercept, residual) + shift
    return Estimate(value, _words(what, value, f"from {on}{note}"))


def _words(what: str, value: Measured, how: str) -> str:
    low, high = (nominal(value) + side * NORMAL_REACH[95] * error(value) for side in (-1, 1))
    return (
        f"{what} is an estimate {how}: {nominal(value):.0f} ± {error(value):.0f} mm, "
        f"with 95 such feet in 100 between {low:.0f} and {high:.0f} mm; a tape measure is better."
    )


def _sex(sex: str) -> str:
    if sex not in get_args(Sex):
        raise CraftError(f"Estimates are for men or women, not {quoted(sex)}.")
    return sex


def _check_ball(girth_mm: float) -> None:
    if not LEAST_GIRTH_MM <= girth_mm <= MOST_GIRTH_MM:
        raise CraftError("A ball girth is from 5 to 60 cm: measure round the widest part of the foot.")


@dataclass(frozen=True, slots=True)
class FootMeasured:
    """One foot by tape, mm: heel to longest toe on the floor, standing; and round the ball where known."""

    length_mm: float
    girth_mm: float | None = None

    def __post_init__(self) -> None:
        if not SHORTEST_FOOT_MM <= self.length_mm <= LONGEST_FOOT_MM:
            raise CraftError("A foot is from 8 to 40 cm long: measure heel to longest toe on the floor, standing.")
        if self.girth_mm is not None:
            _check_ball(self.girth_mm)


@dataclass(frozen=True, slots=True)
class TwoFeet:
    """What to knit for, mm. The difference is left less right; ``own_sizes`` when each foot wants its own sock."""

    length_mm: float
    girth_mm: float | None
    length_difference_mm: float
    own_sizes: bool
    notes: tuple[str, ...]


def two_feet(left: FootMeasured, right: FootMeasured) -> TwoFeet:
    """The larger length and the larger girth of the two feet, flagging a length more than 5 mm apart.

    The two may come from different feet, which is said. 5 mm is our line: about two rows.
    """
    apart = left.length_mm - right.length_mm
    girths = [foot.girth_mm for foot in (left, right) if foot.girth_mm is not None]
    round_apart = None
    if left.girth_mm is not None and right.girth_mm is not None:
        round_apart = left.girth_mm - right.girth_mm
    own = abs(apart) > WORTH_SAYING_MM
    notes = []
    if own:
        longer, other = ("left", "right") if apart > 0 else ("right", "left")
        notes.append(
            f"The {longer} foot is {abs(apart):.0f} mm longer than the {other}: plan each sock for its own foot, "
            f"or both for the {longer}; measure both once more first."
        )
    elif apart:
        notes.append(f"The feet differ by {abs(apart):.0f} mm in length: both socks are planned for the longer.")
    if round_apart is not None and apart * round_apart < 0:
        notes.append(
            "The longer foot is the slimmer one: the length is taken from one foot and the girth from the other."
        )
    elif round_apart:
        fuller = "left" if round_apart > 0 else "right"
        notes.append(
            f"Round the ball the {fuller} foot is {abs(round_apart):.0f} mm larger: both socks are planned for it."
        )
    if len(girths) == 1:
        notes.append("Only one foot was measured round the ball: measure the other too, since the larger one counts.")
    return TwoFeet(max(left.length_mm, right.length_mm), max(girths, default=None), apart, own, tuple(notes))
