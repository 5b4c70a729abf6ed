"""Whether something is more than chance: needles that keep faulting, and gauges that differ.

All from memory: the binomial distribution; Bonferroni's inequality (the chance of any of n events is at most
the sum of their chances, however they hang together); Welch, Biometrika 34 (1947) 28, with the degrees of freedom
of Satterthwaite, Biometrics Bulletin 2 (1946) 110, as the guide to uncertainty in measurement uses them (formula
G.2b there, a tape's limits counting as known for certain); the incomplete beta function by its continued fraction,
Abramowitz and Stegun 26.5.8, and Student's t from it, 26.7.1. Checked against scipy in the tests.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft import CraftError

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST_FAULTS = 3
SUSPECT_ODDS = 0.01
DIFFERENT_ODDS = 0.05
MOST_TERMS = 500
CLOSE_ENOUGH = 1e-15


def binomial_tail(hits: int, tries: int, one_in: int) -> float:
    """The chance of at least ``hits`` in ``tries`` when each comes up once in ``one_in``, exact to one division.

    Whole numbers throughout, so nothing is rounded before the end. Raises CraftError.
    """
    if not (0 <= hits <= tries and one_in >= 1):
        raise CraftError("Hits must be from zero to the number of tries, and the odds one in one or more.")
    ways: int = sum(math.comb(tries, k) * (one_in - 1) ** (tries - k) for k in range(hits, tries + 1))
    every: int = one_in**tries
    return ways / every


def any_of(chance: float, several: int) -> float:
    """At most how likely it is that any of ``several`` events of this chance happens (Bonferroni's bound)."""
    return min(1.0, chance * several)


@dataclass(frozen=True, slots=True)
class Suspect:
    """A needle that faults more than chance gives: ``hits`` of the last ``of`` faults.

    ``odds`` is the chance that any needle of the cylinder has so many, when all are alike.
    """

    needle: int
    hits: int
    of: int
    odds: float


def suspects(needles: Sequence[int], slots: int, lists: int = 1) -> tuple[Suspect, ...]:
    """Which of the needles named by these faults keeps faulting, the least likely to be chance first.

    An exact binomial tail for each needle, times the number of needles, since every one is looked at, and times
    ``lists`` when so many lists of faults are looked at together. Silent below LEAST_FAULTS of one needle, and
    above SUSPECT_ODDS. Raises CraftError for a needle the cylinder has not.
    """
    if any(not 1 <= needle <= slots for needle in needles):
        raise CraftError(f"Needles are numbered from 1 to {slots}.")
    found = [
        Suspect(needle, hits, len(needles), any_of(binomial_tail(hits, len(needles), slots), slots * lists))
        for needle, hits in Counter(needles).items()
        if hits >= LEAST_FAULTS
    ]
    return tuple(sorted((s for s in found if s.odds <= SUSPECT_ODDS), key=lambda s: (s.odds, s.needle)))


def odds_words(odds: float) -> str:
    """A chance in words: "about 1 in 2,600", "less than 1 in a million"."""
    if odds < 1e-6:
        return "less than 1 in a million"
    if odds > 0.4:
        return "about as likely as not" if odds < 0.6 else "more likely than not"
    into = 1 / odds
    figures = 2 if into >= 10 else 1
    step = 10 ** max(0, math.floor(math.log10(into)) + 1 - figures)
    return f"about 1 in {round(into / step) * step:,}"


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean with its two kinds of error, in one unit.

    ``spread_error`` is the standard error from the scatter of ``readings``; ``limits_error`` that from the tape,
    which repeats do not shrink.
    """

    value: float
    spread_error: float
    readings: int
    limits_error: float

    @property
    def error(self) -> float:
        return math.hypot(self.spread_error, self.limits_error)


@dataclass(frozen=True, slots=True)
class Difference:
    """Two means compared: ``value`` the second less the first, ``odds`` of one so large by measuring alone.

    ``freedom`` are the degrees of freedom, infinite when only the tape's limits count: then it is the z test.
    """

    value: float
    error: float
    statistic: float
    freedom: float
    odds: float

    @property
    def more_than_measuring(self) -> bool:
        """Whether measuring alone is an unlikely reason (under DIFFERENT_ODDS)."""
        return self.odds < DIFFERENT_ODDS

    @property
    def test(self) -> str:
        return "z test" if math.isinf(self.freedom) else "Welch's t test"


def difference(first: Mean, second: Mean) -> Difference:
    """Whether two means differ by more than their errors: Welch's t test, two-sided.

    The z test when neither has a spread of its own. Raises CraftError when neither has any error.
    """
    error = math.hypot(first.error, second.error)
    if not error > 0:
        raise CraftError("Two numbers without an error cannot be tested for a difference.")
    spread = sum(m.spread_error**4 / (m.readings - 1) for m in (first, second) if m.readings > 1 and m.spread_error)
    freedom = error**4 / spread if spread else math.inf
    statistic = (second.value - first.value) / error
    return Difference(second.value - first.value, error, statistic, freedom, two_sided(statistic, freedom))


def two_sided(statistic: float, freedom: float) -> float:
    """The chance of a t this far from zero on either side; the normal law's for infinite ``freedom``.

    Raises CraftError.
    """
    if math.isinf(freedom):
        return math.erfc(abs(statistic) / math.sqrt(2))
    if not freedom > 0:
        raise CraftError("Degrees of freedom must be above zero.")
    whole = freedom + statistic**2
    return _beta_share(freedom / 2, 0.5, freedom / whole, statistic**2 / whole)


def _beta_share(a: float, b: float, x: float, rest: float) -> float:
    """The regularized incomplete beta function at ``x``; ``rest`` is 1 - x, given apart lest it round to nothing."""
    if x <= 0 or rest <= 0:
        return 0.0 if x <= 0 else 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(rest))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(a, b, x) / a
    return 1 - front * _fraction(b, a, rest) / b


def _fraction(a: float, b: float, x: float) -> float:
    """Its continued fraction, worked from the front (the modified method of Lentz, Applied Optics 15 (1976) 668)."""
    tiny = 1e-300
    c, d = 1.0, 1 / _not_zero(1 - (a + b) * x / (a + 1), tiny)
    found = d
    for m in range(1, MOST_TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _not_zero(1 + term * d, tiny)
            c = _not_zero(1 + term / c, tiny)
            found *= c * d
        if abs(c * d - 1) < CLOSE_ENOUGH:
            return found
    raise CraftError("The chance could not be worked out to the last figure.")


def _not_zero(value: float, tiny: float) -> float:
    return value if abs(value) > tiny else tiny
