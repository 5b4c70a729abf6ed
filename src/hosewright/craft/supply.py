"""Yarn for a planned sock: each part, the pair, whether one ball is enough, and how to share it.

Everything is stitches x yarn per stitch; grams follow from the yarn's count. A leg shaped by the dial, and the cuff
above it, have larger loops: each of their stitches takes as much more as its loop is larger. Errors are one standard
error unless a sentence says otherwise. Margins and tails are ours and can be given.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, as_measured, error, measured, nominal
from hosewright.craft.units import decimal_length, show_mass
from hosewright.craft.yarn import YarnPerStitch, tex_from, yarn_per_stitch

if TYPE_CHECKING:
    from hosewright.craft.leg import LegStep
    from hosewright.craft.sock import TubePlan

M_PER_KM = 1000.0
MOST_LOOP_MM = 200.0
MARGIN = 0.05
TAILS_M = 1.0
SURE_REACH = 1.644854
MOST_BALL_G = 100_000.0
WORTH_SAYING_M = 1.0


BallVerdict = Literal["enough", "not enough", "too close to call"]


@dataclass(frozen=True, slots=True)
class YarnNeed:
    """Working yarn in metres and grams; ``ball`` is None when the yarn or the ball is not known.

    ``sections`` and ``section_grams`` are for one sock. ``safe_metres`` and ``safe_grams`` are the pair's with margin
    and tails; ``chance_enough`` is the probability that the ball holds the pair, without them.
    """

    sections: tuple[tuple[str, float], ...]
    metres_per_sock: float
    metres_per_pair: float
    metres_error: float
    grams_per_pair: float | None
    notes: tuple[str, ...]
    section_grams: tuple[tuple[str, float], ...] = ()
    safe_metres: float = 0.0
    safe_grams: float | None = None
    chance_enough: float | None = None
    ball: BallVerdict | None = None

    @property
    def enough(self) -> bool | None:
        """Whether the ball holds the pair; None where that is not known or too close to call."""
        return {"enough": True, "not enough": False}.get(self.ball or "")

    @property
    def part_words(self) -> str:
        """The yarn of each part of one sock, in words."""
        grams = dict(self.section_grams)
        told = (f"{name} {m:.0f} m" + (f" ({grams[name]:.0f} g)" if name in grams else "") for name, m in self.sections)
        return f"Yarn in one sock: {', '.join(told)}."

    @property
    def safe_words(self) -> str:
        """What to have at hand, in words."""
        grams = "" if self.safe_grams is None else f", {self.safe_grams:.0f} g"
        return f"To have some in hand, with the tails, keep {self.safe_metres:.0f} m{grams}."


def yarn_for(
    plan: TubePlan,
    loop_length_mm: Measured | float | YarnPerStitch,
    m_per_100g: float | None = None,
    ball_g: float | None = None,
    margin: float = MARGIN,
    tails_m: float = TAILS_M,
    leg: tuple[LegStep, ...] = (),
) -> YarnNeed:
    """Yarn for each part, a sock and a pair: stitches x yarn per stitch; grams when the yarn is known.

    ``leg`` are the dial's steps down the leg (from `leg`), whose larger loops are counted, the cuff's among them.

    A loop length from the rows alone gets the 5 % model error (our assumption) on top of its own; what
    `yarn_per_stitch` combined from weighing already has its error and keeps it. ``margin`` is a share and
    ``tails_m`` metres a sock; both are only in the ``safe_`` figures. Raises CraftError.
    """
    per_stitch_m = _per_stitch_m(loop_length_mm)
    _check_spare(margin, tails_m)
    loop_m = nominal(per_stitch_m)
    more = _more_stitches(plan, leg)
    parts = tuple((part.name, (part.stitches + nominal(more.get(part.name, 0.0))) * loop_m) for part in plan.sections)
    whole = (sum(more.values(), as_measured(0.0)) + plan.stitches_per_sock) * per_stitch_m
    sock, share = nominal(whole), error(whole) / nominal(whole)
    pair = 2 * sock
    safe = pair * (1 + margin) + 2 * tails_m
    notes = [f"A pair takes {pair:.0f} ± {pair * share:.0f} m, without tails and swatches."]
    larger = 2 * loop_m * sum(nominal(one) for one in more.values())
    if larger >= WORTH_SAYING_M:
        notes.append(f"{larger:.0f} m of that go into the larger loops of the shaped leg.")
    grams, chance, per_m, verdict = None, None, None, None
    if m_per_100g is not None:
        per_m = tex_from("m_per_100g", m_per_100g) / M_PER_KM
        grams = pair * per_m
    if ball_g is not None:
        _check_ball(ball_g)
    if grams is not None and ball_g is not None:
        need = measured(grams, grams * share)
        chance = _chance_under(need, ball_g)
        verdict = _ball_verdict(need, ball_g)
        notes.append(_ball_note(verdict, grams, ball_g))
    return YarnNeed(
        parts, sock, pair, pair * share, grams, tuple(notes),
        () if per_m is None else tuple((name, metres * per_m) for name, metres in parts),
        safe, None if per_m is None else safe * per_m, chance, verdict,
    )  # fmt: skip


def _more_stitches(plan: TubePlan, leg: tuple[LegStep, ...]) -> dict[str, Measured | float]:
    """By part, how many stitches of the baseline's size its larger loops come to beyond its own number.

    A cuff above a shaped leg is cranked where the dial stands for the leg's first row.
    """
    if not leg:
        return {}
    more: dict[str, Measured | float] = {"leg": sum((step.more_rows for step in leg), as_measured(0.0)) * plan.slots}
    if plan.cuff is not None:
        more[plan.cuff.section] = (leg[0].larger - 1) * plan.cuff.stitches
    return more


def _per_stitch_m(loop: Measured | float | YarnPerStitch) -> Measured:
    """Yarn in a stitch, m, with its whole error."""
    if not isinstance(loop, YarnPerStitch):
        if not 0 < nominal(loop) < MOST_LOOP_MM:
            raise CraftError(f"Yarn per stitch must be more than zero and under {MOST_LOOP_MM:.0f} mm.")
        loop = yarn_per_stitch(loop)
    return loop.combined_mm / 1000.0


def _check_ball(ball_g: float) -> None:
    if not 0 < ball_g < MOST_BALL_G:
        raise CraftError("The ball's mass must be more than zero and under 100 kg.")


def _check_spare(margin: float, tails_m: float) -> None:
    if not 0 <= margin <= 1:
        raise CraftError("The margin of yarn is from 0 to 100 %; 5 % is usual.")
    if not 0 <= tails_m <= 50:
        raise CraftError("Tails are from 0 to 50 m of yarn a sock; 1 m is usual.")


def _chance_under(value: Measured, limit: float) -> float:
    """Probability that a normally distributed value is at most ``limit``."""
    spread = error(value)
    if spread == 0:
        return float(nominal(value) <= limit)
    return (1 + math.erf((limit - nominal(value)) / (spread * math.sqrt(2)))) / 2


def _ball_verdict(need: Measured, ball_g: float) -> BallVerdict:
    """Whether the ball holds the pair; nearer than one error of the need is too near to say."""
    if abs(nominal(need) - ball_g) <= error(need):
        return "too close to call"
    return "enough" if nominal(need) < ball_g else "not enough"


def _ball_note(verdict: BallVerdict, grams: float, ball_g: float) -> str:
    ball = show_mass(ball_g)
    if verdict == "too close to call":
        return (
            f"The pair needs about {grams:.0f} g and the ball has {ball}: too close to call, "
            f"so weigh the ball again after the first sock."
        )
    if verdict == "enough":
        return f"One ball of {ball} is enough: the pair needs about {grams:.0f} g."
    return f"One ball of {ball} is not enough: the pair needs about {grams:.0f} g, {grams - ball_g:.0f} g more."


@dataclass(frozen=True, slots=True)
class LegOfBall:
    """The longest leg one ball gives a pair. ``rows`` is where it runs out on average, one standard error beside it.

    ``safe_rows`` run out in one pair of twenty. 0 rows with ``short_g`` above zero means the pair does not come out
    even without a leg.
    """

    rows: int
    rows_error: float
    safe_rows: int
    short_g: float
    words: str


def leg_of_ball(
    plan: TubePlan,
    loop_length_mm: Measured | float | YarnPerStitch,
    rows_per_mm: Measured | float,
    m_per_100g: float,
    ball_g: float,
    *,
    tails_m: float = TAILS_M,
    unit: str = "in",
    shaped: tuple[LegStep, ...] = (),
) -> LegOfBall:
    """For which leg one ball is just enough, the rest of the plan kept; solved in closed form.

    A sock may take half the ball less its tails: leg rows = (U / l - other stitches) / slots, U metres a sock and l
    the yarn per stitch, whose error is the answer's. Rows are rounded down. A leg ``shaped`` by the dial takes as
    much more a row as the planned one does on average, since its clicks are shared evenly. Raises CraftError.
    """
    _check_ball(ball_g)
    _check_spare(0.0, tails_m)
    per_m = tex_from("m_per_100g", m_per_100g) / M_PER_KM
    per_stitch = _per_stitch_m(loop_length_mm)
    leg = sum(section.stitches for section in plan.sections if section.name == "leg")
    more = {name: nominal(one) for name, one in _more_stitches(plan, shaped).items()}
    others = plan.stitches_per_sock - leg + sum(more.values()) - more.get("leg", 0.0)
    a_row = plan.slots * (1 + more.get("leg", 0.0) / leg) if leg else plan.slots
    usable = ball_g / per_m / 2 - tails_m
    exact = (usable / per_stitch - others) / a_row
    rows = max(math.floor(nominal(exact)), 0)
    # Not exact less so many errors: the thirstiest stitch in twenty is solved for, since rows go as 1 / l.
    thirsty = nominal(per_stitch) + SURE_REACH * error(per_stitch)
    safe = max(math.floor((usable / thirsty - others) / a_row), 0)
    rate = nominal(rows_per_mm)
    short = max(2 * (others * nominal(per_stitch) + tails_m) * per_m - ball_g, 0.0)
    ball = show_mass(ball_g)
    if short:
        words = f"One ball of {ball} is {short:.0f} g short of a pair even without a leg."
    else:
        words = (
            f"One ball of {ball} is just enough for a leg of {rows} rows ({decimal_length(rows / rate, unit)}); "
            f"to be sure 19 times in 20, crank {safe} ({decimal_length(safe / rate, unit)})."
        )
    return LegOfBall(rows, error(exact), safe, short, words)


@dataclass(frozen=True, slots=True)
class WindOff:
    """What to wind off for each sock, and what the ball left on the scale should read after the first, g."""

    metres_each: float
    grams_each: float
    ball_left_g: float
    enough: bool
    words: str


def wind_off(
    plan: TubePlan,
    loop_length_mm: Measured | float | YarnPerStitch,
    m_per_100g: float,
    ball_g: float,
    *,
    leg: tuple[LegStep, ...] = (),
) -> WindOff:
    """How much to wind off for each sock: its need with margin and tails, or half the ball where that is less.

    Raises CraftError.
    """
    _check_ball(ball_g)
    need = yarn_for(plan, loop_length_mm, m_per_100g, ball_g, leg=leg)
    per_m = tex_from("m_per_100g", m_per_100g) / M_PER_KM
    wanted = need.safe_metres / 2 * per_m
    each = min(wanted, ball_g / 2)
    enough = wanted <= ball_g / 2
    left = ball_g - each
    said = (
        f"Wind off {each / per_m:.0f} m, {each:.0f} g, for each sock: stop the first when the ball reads {left:.0f} g"
    )
    if not enough:
        said += f"; that is half the ball, {wanted - each:.0f} g less than each wants with its margin"
    return WindOff(each / per_m, each, left, enough, f"{said}.")
