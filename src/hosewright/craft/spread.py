"""How far tubes of one yarn differ when nothing was changed between them, and what a mean of such tubes is worth.

One-way random effects: a tube's gauge is that of its yarn here, plus the tube's own departure, plus the error of its
tape and readings, which is known of each tube. Repeats are tubes of one yarn, machine, cylinder, dial position and
state; several groups of repeats, each about a mean of its own, are taken together. The spread is the estimate of Paule
and Mandel (J. Res. NBS 87 (1982) 377, from memory): the one at which the weighted squares about the means come to their
degrees of freedom, nothing when the tapes alone explain them. With alike errors that is the analysis of variance's
method of moments, (mean square between - mean square within) / n.

In the words of ISO 5725 (from memory) readings of one tube left lying are made under repeatability conditions, and what
another tube adds is the between-laboratory standard deviation, with tubes in the place of laboratories; both together
are the reproducibility standard deviation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.chance import two_sided
from hosewright.craft.measured import error, measured, nominal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.measured import Measured

LEAST_REPEATS = 3
ASSUMED_SHARE = 0.015
ASSUMED_ERROR = 0.005
NINETY_FIVE = 0.05
MOST_STEPS = 200


@dataclass(frozen=True, slots=True)
class Between:
    """What groups of repeats say: ``square`` is the between-tube variance with its standard error ``square_error``.

    ``ratio`` is the scatter seen over the one that the tubes' own errors explain, the F of an analysis of variance;
    infinite for tubes without an error.
    """

    square: float
    square_error: float
    ratio: float
    freedom: int


def between_tubes(groups: Sequence[Sequence[Measured]]) -> Between:
    """The between-tube variance, in the square of the values' unit. Raises CraftError where nothing repeats."""
    repeats = [group for group in groups if len(group) > 1]
    freedom = sum(len(group) - 1 for group in repeats)
    if not freedom:
        raise CraftError("Two or more tubes of one yarn at one setting show how far tubes differ.")
    at_most = sum(_squares(group, [1.0] * len(group)) for group in repeats)
    least = 1e-12 * at_most  # keeps the weights of tubes without an error finite
    ratio = math.inf
    if all(error(tube) for group in repeats for tube in group):
        least, ratio = 0.0, _scatter(repeats, 0.0)[0] / freedom
    square = least if at_most else 0.0
    for _ in range(MOST_STEPS if at_most else 0):  # from below, each step of Newton's stays below
        seen, slope = _scatter(repeats, square)
        step = (seen - freedom) / slope
        if step <= 1e-13 * square:
            break
        square += step
    information = sum(_information(group, square) for group in repeats) if square or ratio < math.inf else math.inf
    return Between(square, math.sqrt(2 * freedom) / information, ratio if at_most else 0.0, freedom)


def _weights(group: Sequence[Measured], square: float) -> list[float]:
    return [1 / (error(tube) ** 2 + square) for tube in group]


def _squares(group: Sequence[Measured], weights: Sequence[float], power: int = 1) -> float:
    """Squares about the weighted mean, each times its weight to ``power``."""
    mean = sum(w * nominal(tube) for w, tube in zip(weights, group, strict=True)) / sum(weights)
    return sum(w**power * (nominal(tube) - mean) ** 2 for w, tube in zip(weights, group, strict=True))


def _scatter(groups: Sequence[Sequence[Measured]], square: float) -> tuple[float, float]:
    """The weighted squares at this between-tube variance, and how fast they fall as it grows."""
    weighted = [(group, _weights(group, square)) for group in groups]
    return sum(_squares(g, w) for g, w in weighted), sum(_squares(g, w, 2) for g, w in weighted)


def _information(group: Sequence[Measured], square: float) -> float:
    """How fast the squares are expected to fall: what makes the variance sure."""
    weights = _weights(group, square)
    return sum(weights) - sum(w**2 for w in weights) / sum(weights)


@dataclass(frozen=True, slots=True)
class Spread:
    """How far tubes differ, as a share of their rows per length: ``share`` with the standard error of its square.

    ``freedom`` are the degrees of freedom behind it, ``tubes`` how many repeats say so, 0 when it is our assumption.
    """

    share: float
    square_error: float
    freedom: float
    tubes: int = 0

    @property
    def error(self) -> float:
        """How much larger the share would be with its square one standard error up: finite at no spread at all."""
        return math.sqrt(self.share**2 + self.square_error) - self.share

    @property
    def words(self) -> str:
        """The spread and where it comes from: "tubes differ by 1.2 ± 0.4 %, as 5 of them show"."""
        if not self.square_error:
            return f"tubes differ by {self.share * 100:.1f} %"
        said = f"tubes differ by {self.share * 100:.1f} ± {self.error * 100:.1f} %"
        if self.tubes:
            return f"{said}, as {self.tubes} of them show"
        return f"{said}, our assumption until {LEAST_REPEATS} tubes at one setting show it"

    def departs(self, tubes: int) -> Measured:
        """How the knitting of the next tube or sock departs from the mean of so many ``tubes``: a factor about one.

        A new independent variable each time. Raises CraftError.
        """
        return measured(1.0, self.share * math.sqrt(1 + 1 / tubes))


ASSUMED = Spread(ASSUMED_SHARE, 2 * ASSUMED_SHARE * ASSUMED_ERROR, (ASSUMED_SHARE / ASSUMED_ERROR) ** 2 / 2)


def tube_spread(groups: Sequence[Sequence[Measured]]) -> Spread:
    """The spread from groups of repeats, rows or loops per length each with its own error; below three our assumption.

    Groups of different gauges are taken together as shares of their own means (by logarithms). Raises CraftError.
    """
    repeats = [[measured(math.log(nominal(t)), error(t) / nominal(t)) for t in group] for group in groups]
    repeats = [group for group in repeats if len(group) > 1]
    if sum(len(group) - 1 for group in repeats) < LEAST_REPEATS - 1:
        return ASSUMED
    found = between_tubes(repeats)
    return Spread(math.sqrt(found.square), found.square_error, found.freedom, sum(map(len, repeats)))


@dataclass(frozen=True, slots=True)
class Pooled:
    """The mean of tubes at one setting. Errors are standard errors of that mean in its unit, but for ``next_error``.

    ``tape_error`` is what tapes and readings bring, ``spread_error`` what the tubes' own differences do;
    ``next_error`` is that of the knitting of one more tube or sock, which departs from the mean as tubes do, and
    ``reading_error`` what measuring it as these were would add. ``freedom`` are the
    degrees of freedom of the ranges: those of the spread.
    """

    value: float
    tape_error: float
    spread_error: float
    next_error: float
    reading_error: float
    freedom: float
    tubes: int

    @property
    def error(self) -> float:
        """The standard error of the mean."""
        return math.hypot(self.tape_error, self.spread_error)

    @property
    def reach(self) -> float:
        """Half the range that holds the mean in 95 of 100."""
        return reach(self.freedom) * self.error

    @property
    def next_reach(self) -> float:
        """Half the range that holds what the next tube measures in 95 of 100, and its own gauge in no fewer."""
        return reach(self.freedom) * math.hypot(self.next_error, self.reading_error)


def pool(tubes: Sequence[Measured], spread: Spread) -> Pooled:
    """The mean of tubes at one setting, each weighed by its tape's error and the spread together. Raises CraftError."""
    if not tubes:
        raise CraftError("There is nothing to pool: give at least one tube.")
    middle = sum(nominal(tube) for tube in tubes) / len(tubes)
    own = spread.share * middle
    if own or all(error(tube) for tube in tubes):
        weights = _weights(tubes, own**2)
    else:
        weights = [float(not error(tube)) for tube in tubes]  # an exact tube, where tubes do not differ, wins outright
    total = sum(weights)
    shares = [w / total for w in weights]
    square = sum(share**2 for share in shares)
    tape = math.hypot(*(share * error(tube) for share, tube in zip(shares, tubes, strict=True)))
    return Pooled(
        value=sum(share * nominal(tube) for share, tube in zip(shares, tubes, strict=True)),
        tape_error=tape,
        spread_error=own * math.sqrt(square),
        next_error=math.hypot(tape, own * math.sqrt(1 + square)),
        reading_error=math.sqrt(sum(error(tube) ** 2 for tube in tubes) / len(tubes)),
        freedom=spread.freedom,
        tubes=len(tubes),
    )


def reach(freedom: float) -> float:
    """How many standard errors hold 95 of 100: Student's t, 1.96 for infinite ``freedom``. Raises CraftError."""
    low, high = 1.0, 2.0
    while two_sided(high, freedom) > NINETY_FIVE:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if two_sided(middle, freedom) > NINETY_FIVE else (low, middle)
    return (low + high) / 2
