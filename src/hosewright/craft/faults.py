"""How faults lie on the needles and over the rounds, by exact or published tests. Nothing here names a cause.

A machine with one feed brings its carrier and its cams past every needle, so one place of the round says something of
needles and slots, never of those. Each test that had enough to go by is a look, and each chance is multiplied by the
looks (Bonferroni's bound, ``chance.any_of``): what is named is named by mistake in at most DIFFERENT_ODDS of machines
whose faults are even, however many ways of lying are looked at.

The worst needle: exact, from the multinomial law, each needle with its own share of the stitches. Neighbours:
Rayleigh's test of a circle, its p by Zar's formula (Biostatistical Analysis, 4th ed. 1999, p. 617, as quoted), and once
more with every angle doubled, since two opposite clusters cancel. Spells: the runs of rounds with and without a fault,
counted exactly (Wald and Wolfowitz, Ann. Math. Statist. 11 (1940) 147, from memory), and Fisher's index of dispersion
over blocks of rounds against chi squared. Ends of a heel, heels at all, and since when: the exact tail of trials with
unequal chances.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError
from hosewright.craft.chance import DIFFERENT_ODDS, LEAST_FAULTS, any_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

NEWEST = 100  # faults with a needle: older ones say little of the needles of today
LEAST_ON_A_CIRCLE = 5
LEAST_IN_PLACES = 5  # of faults told apart by where or when they came: heel or tube, before or since
LEAST_SPELLS = 6  # rounds with a fault
LEAST_EVEN = 12  # faults
NEAR_THE_END = 3  # needles of each end of those in work
NEAR_THE_HEEL = 16  # one part in so many of the cylinder: how far a cluster may lie from an end of the heel half
MOST_OF_A_GROUP = 0.75
LEAST_BESIDE_A_MARK = 0.02  # of the stitches, on either side of a moment
A_BLOCK = 3  # faults to be expected in a block of rounds
FEWEST_BLOCKS = 4
MOST_BLOCKS = 30
NEXT_TO_NOTHING = 1e-8  # below it the bound stands for the exact chance, which rounding would eat

Kind = Literal["needle", "neighbours", "heel ends", "turned", "spells", "since"]


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault and its place. ``at``: stitches knitted before its row or pass, over all that is looked at.

    ``round``: its round, from 0, None in a heel or toe. ``in_work``: there, how many needles worked in its pass, and
    ``from_end`` how many of them lay between it and the nearer end; 0 and 0 where its ``needle`` is not known.
    """

    at: int
    round: int | None
    needle: int | None = None
    in_work: int = 0
    from_end: int = 0


@dataclass(frozen=True, slots=True)
class Knitted:
    """What was knitted, and what went wrong in it.

    ``stitches``: of each needle of the cylinder; ``turned``: of all, those in heels and toes; ``rounds``: of the tube.
    ``heel``: needles of the heel half, from needle 1. ``marks``: moments, each by the stitches knitted before it.
    """

    stitches: tuple[int, ...]
    turned: int
    rounds: int
    heel: int
    faults: tuple[Fault, ...]
    marks: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Lie:
    """A way in which faults lie that is more than chance: ``hits`` of ``of`` faults there.

    ``chance`` is the test's own, ``odds`` with all looks counted. ``needles``: the one, or a group from its first to
    its last; ``mark``: the place of the moment; ``share``: the part of all stitches knitted there, or since.
    """

    kind: Kind
    chance: float
    hits: int
    of: int
    needles: tuple[int, ...] = ()
    mark: int = -1
    share: float = 0.0
    odds: float = 1.0


@dataclass(frozen=True, slots=True)
class Lay:
    """How faults lie: ``lies``, the least likely to be chance first. ``looks``: tests that had enough to go by.

    ``even``: enough faults to have seen a cluster, and none was seen.
    """

    faults: int
    looks: int
    lies: tuple[Lie, ...]

    @property
    def too_few(self) -> bool:
        return not self.looks

    @property
    def even(self) -> bool:
        return not self.lies and self.faults >= LEAST_EVEN


def how_they_lie(knitted: Knitted) -> Lay:
    """Every test that has enough faults to go by, and what is more than chance when all of them are counted.

    Raises CraftError for a needle the cylinder has not.
    """
    if any(not 1 <= fault.needle <= len(knitted.stitches) for fault in knitted.faults if fault.needle is not None):
        raise CraftError(f"Needles are numbered from 1 to {len(knitted.stitches)}.")
    tested = [*_needle(knitted), *_circle(knitted), *_heel(knitted), *_spells(knitted), *_since(knitted)]
    looks = len(tested)
    found = [replace(lie, odds=any_of(lie.chance, looks)) for lie in tested]
    standing = sorted((lie for lie in found if lie.odds < DIFFERENT_ODDS and lie.hits), key=lambda lie: lie.odds)
    best: dict[Kind, Lie] = {}
    for lie in standing:
        best.setdefault(lie.kind, lie)
    return Lay(len(knitted.faults), looks, tuple(_one_story(best, knitted)))


def _one_story(found: dict[Kind, Lie], knitted: Knitted) -> Iterator[Lie]:
    """Of two ways that come from one thing, the one that tells it."""
    left_out: set[Kind] = set()
    if "needle" in found and "neighbours" in found:
        (worst,) = found["needle"].needles
        rest = [needle for needle in _in_rounds(knitted) if needle != worst]
        several = len(rest) >= LEAST_ON_A_CIRCLE and rayleigh(rest, len(knitted.stitches))[2] < DIFFERENT_ODDS
        left_out.add("needle" if several else "neighbours")
    if "heel ends" in found:
        left_out |= {"turned", "needle", "neighbours"}
    if "since" in found or "turned" in found:
        left_out.add("spells")
    return (lie for kind, lie in found.items() if kind not in left_out)


# --- one needle ------------------------------------------------------------------------------------------------


def worst_of(hits: int, of: int, shares: Sequence[float]) -> float:
    """The chance that any place has ``hits`` or more of so many faults, each place with its share of them; exact.

    P(max >= k) = 1 - n! [x^n] of the product over all places of the first k terms of exp(share x). Raises CraftError.
    """
    if not (0 <= hits <= of and shares and abs(sum(shares) - 1) < 1e-6):
        raise CraftError("Hits must be from zero to the number of faults, and the shares come to one.")
    if not hits:
        return 1.0
    none_so_many = [1.0] + [0.0] * of  # times n!, so that each coefficient is itself a chance
    done = 0.0
    for share in shares:
        done += share
        if not share:
            continue
        # Of n faults in the places so far, j are in this one: a binomial of its share among them.
        here = share / done
        none_so_many = [
            sum(
                none_so_many[n - j] * math.comb(n, j) * here**j * (1 - here) ** (n - j)
                for j in range(min(hits, n + 1))
                if none_so_many[n - j]
            )
            for n in range(of + 1)
        ]
    exact = 1 - none_so_many[of]
    if exact > NEXT_TO_NOTHING:
        return exact
    return min(1.0, sum(at_least(hits, [share] * of) for share in shares))


def _needle(knitted: Knitted) -> Iterator[Lie]:
    named = [fault.needle for fault in knitted.faults if fault.needle is not None][-NEWEST:]
    if len(named) < LEAST_FAULTS:
        return
    shares = _shares(knitted)
    (worst, hits), *_ = Counter(named).most_common(1)
    chance = worst_of(hits, len(named), shares) if hits >= LEAST_FAULTS else 1.0
    yield Lie("needle", chance, hits, len(named), (worst,), share=shares[worst - 1])


def _shares(knitted: Knitted) -> list[float]:
    """Each needle's share of the stitches; those that faulted without one have the smallest there is."""
    faulted = {fault.needle for fault in knitted.faults}
    own = [stitches or int(at in faulted) for at, stitches in enumerate(knitted.stitches, 1)]
    return [stitches / sum(own) for stitches in own]


# --- neighbours ------------------------------------------------------------------------------------------------


def rayleigh(needles: Sequence[int], slots: int, fold: int = 1) -> tuple[float, float, float]:
    """Mean resultant length, mean place (a needle, from 0.5 up to slots + 0.5) and p; ``fold`` 2 doubles the angles.

    p = exp(sqrt(1 + 4n + 4(n^2 - R^2)) - (1 + 2n)), R = n r (Zar). Raises CraftError.
    """
    return rayleigh_of([2 * math.pi * (needle - 0.5) / slots for needle in needles], slots, fold)


def rayleigh_of(angles: Sequence[float], slots: float, fold: int = 1) -> tuple[float, float, float]:
    """The same of angles in radians; ``slots`` is how much the whole round counts for. Raises CraftError for none."""
    if not angles:
        raise CraftError("A mean on a circle needs at least one angle.")
    many = len(angles)
    up, along = (sum(wave(fold * angle) for angle in angles) for wave in (math.sin, math.cos))
    length = math.hypot(up, along)
    mean = math.atan2(up, along) % (2 * math.pi) / fold * slots / (2 * math.pi) + 0.5
    p = math.exp(math.sqrt(1 + 4 * many + 4 * max(many**2 - length**2, 0.0)) - (1 + 2 * many))
    return length / many, mean, min(1.0, p)


def _in_rounds(knitted: Knitted) -> list[int]:
    """The needles of faults in the tube, where every needle works as often as the next."""
    return [fault.needle for fault in knitted.faults if fault.needle is not None and fault.round is not None]


def _circle(knitted: Knitted) -> Iterator[Lie]:
    needles, slots = _in_rounds(knitted), len(knitted.stitches)
    if len(needles) < LEAST_ON_A_CIRCLE:
        return
    _, _, chance = rayleigh(needles, slots)
    group = shortest_arc(needles, slots)
    inside = {(group[0] + step - 1) % slots + 1 for step in range((group[1] - group[0]) % slots + 1)}
    hits = sum(needle in inside for needle in needles)
    if len(inside) > slots / 2:
        hits = 0  # no group that one can point at
    yield Lie("neighbours", chance, hits, len(needles), group, share=len(inside) / slots)
    _, axis, chance = rayleigh(needles, slots, fold=2)
    near = slots / NEAR_THE_HEEL
    at_ends = [needle for needle in needles if _from_the_ends(needle, knitted.heel, slots) < near]
    both = {needle > knitted.heel / 2 and needle <= knitted.heel + near for needle in at_ends}
    off = (axis - 0.5) % (slots / 2)
    lies_there = min(off, slots / 2 - off) < near and len(both) == 2 and 2 * len(at_ends) > len(needles)
    yield Lie("heel ends", chance, len(at_ends) if lies_there else 0, len(needles))


def _from_the_ends(needle: int, heel: int, slots: int) -> float:
    """How far a needle lies from the nearer end of the heel half, in needles."""
    gaps = (0.5, heel + 0.5)
    return min(min(abs(needle - gap), slots - abs(needle - gap)) for gap in gaps)


def shortest_arc(needles: Sequence[int], slots: int) -> tuple[int, int]:
    """The first and last needle of the shortest arc with MOST_OF_A_GROUP of these; it may run past the last slot."""
    own = sorted(needles)
    many = math.ceil(MOST_OF_A_GROUP * len(own))
    round_twice = [*own, *(needle + slots for needle in own)]
    spans = [(round_twice[at + many - 1] - first, first) for at, first in enumerate(own)]
    span, first = min(spans)
    return first, (first + span - 1) % slots + 1


# --- heel and toe ----------------------------------------------------------------------------------------------


def at_least(hits: int, chances: Sequence[float]) -> float:
    """The chance of at least so many of trials that each have a chance of their own; exact to rounding."""
    ways = [1.0]
    for chance in chances:
        ways = [
            (ways[n] * (1 - chance) if n < len(ways) else 0.0) + (ways[n - 1] * chance if n else 0.0)
            for n in range(len(ways) + 1)
        ]
    return math.fsum(ways[max(hits, 0) :])


def _heel(knitted: Knitted) -> Iterator[Lie]:
    turned = [fault for fault in knitted.faults if fault.round is None]
    placed = [fault for fault in turned if fault.in_work]
    if len(placed) >= LEAST_FAULTS:
        chances = [min(1.0, 2 * NEAR_THE_END / fault.in_work) for fault in placed]
        hits = sum(fault.from_end < NEAR_THE_END for fault in placed)
        yield Lie("heel ends", at_least(hits, chances), hits, len(placed), share=sum(chances) / len(chances))
    share = knitted.turned / (sum(knitted.stitches) or 1)
    if len(knitted.faults) >= LEAST_IN_PLACES and 0 < share < 1:
        chance = at_least(len(turned), [share] * len(knitted.faults))
        yield Lie("turned", chance, len(turned), len(knitted.faults), share=share)


# --- spells of rounds, and since when ----------------------------------------------------------------------------


def few_runs(runs: int, ones: int, others: int) -> float:
    """The chance of at most so many runs among so many of two kinds in a row, exact; 1 where there is only one kind."""
    if not ones or not others:
        return 1.0
    ways = 0
    for many in range(2, runs + 1):
        half, odd = divmod(many, 2)
        if odd:
            ways += math.comb(ones - 1, half) * math.comb(others - 1, half - 1)
            ways += math.comb(ones - 1, half - 1) * math.comb(others - 1, half)
        else:
            ways += 2 * math.comb(ones - 1, half - 1) * math.comb(others - 1, half - 1)
    every: int = math.comb(ones + others, ones)
    return ways / every


def runs_of(signs: Sequence[bool]) -> int:
    """How often one kind follows the other, the first run counted."""
    return len(list(groupby(signs)))


def dispersion(counts: Sequence[int]) -> tuple[float, float]:
    """Fisher's index T = (n - 1) s^2 / mean of these counts, and its upper tail by chi squared: small for clusters."""
    many, mean = len(counts), sum(counts) / len(counts)
    index = sum((count - mean) ** 2 for count in counts) / mean
    return index, chi_squared_tail(index, many - 1)


def chi_squared_tail(value: float, freedom: int) -> float:
    """The chance of a chi squared above ``value``, by the recurrence in steps of two (Abramowitz and Stegun 26.4.8)."""
    half = value / 2
    if half <= 0:
        return 1.0
    tail = math.erfc(math.sqrt(half)) if freedom % 2 else math.exp(-half)
    for k in range(1 if freedom % 2 else 2, freedom, 2):
        tail += math.exp(k / 2 * math.log(half) - half - math.lgamma(k / 2 + 1))
    return min(1.0, tail)


def _spells(knitted: Knitted) -> Iterator[Lie]:
    rounds = [fault.round for fault in knitted.faults if fault.round is not None]
    with_one = set(rounds)
    if len(with_one) >= LEAST_SPELLS:
        runs = runs_of([at in with_one for at in range(knitted.rounds)])
        chance = few_runs(runs, len(with_one), knitted.rounds - len(with_one))
        yield Lie("spells", chance, len(rounds), len(knitted.faults))
    if len(rounds) >= LEAST_EVEN:
        blocks = min(max(len(rounds) // A_BLOCK, FEWEST_BLOCKS), MOST_BLOCKS, knitted.rounds)
        edges = [knitted.rounds * at // blocks for at in range(blocks + 1)]
        per_round = Counter(rounds)
        counts = [sum(per_round[at] for at in range(first, end)) for first, end in pairwise(edges)]
        yield Lie("spells", dispersion(counts)[1], len(rounds), len(knitted.faults))


def _since(knitted: Knitted) -> Iterator[Lie]:
    every, many = sum(knitted.stitches), len(knitted.faults)
    for place, mark in enumerate(knitted.marks):
        share = 1 - mark / every if every else 0.0
        if many < LEAST_IN_PLACES or not LEAST_BESIDE_A_MARK <= share <= 1 - LEAST_BESIDE_A_MARK:
            continue
        hits = sum(fault.at >= mark for fault in knitted.faults)
        yield Lie("since", at_least(hits, [share] * many), hits, many, mark=place, share=share)
