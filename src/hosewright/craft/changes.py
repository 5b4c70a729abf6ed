"""Whether values taken one after another have changed, when, by how much and how surely; and whether they drift.

A change is looked for at every place between two values that leaves two or more on either side: the largest
likelihood ratio for a shift of the mean is the statistic (Worsley, JASA 74 (1979) 365, from memory), and what is found
is cut again (binary segmentation), looked for in halves and quarters, too, so that what goes and comes back is seen.
Errors tell how much a value counts; how far values scatter is taken from themselves, never less than their errors alone
would. Its chance is Student's t times the number of places looked at (Bonferroni's bound), so at most the level's share
of yarns that never changed are said to have.

Values taken at several settings are brought together by a straight line, a rise per step of the setting fitted along
with both means: a change of setting that goes along with a change in time is then as unsure as the rise is.

The chart for a slow drift is the exponentially weighted moving average (NIST/SEMATECH e-Handbook of Statistical
Methods, 6.3.2.4, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from hosewright.craft.chance import DIFFERENT_ODDS, any_of, two_sided
from hosewright.craft.measured import error, measured, nominal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.measured import Measured

LEAST_TO_TELL = 6
LEAST_BESIDE = 2
LEAST_SHARE = 16  # of all values: no window is looked at that is shorter
MOST_PLACES = 64  # of a window, and about the best of them all
TAIL = 0.025  # on either side of 95 of 100
EWMA_WEIGHT = 0.3
EWMA_WIDTH = 3.0
LEAST_ERROR_SHARE = 1e-3  # of the largest error: no value counts for more than a million others
LEAST_ERROR_OF_VALUE = 1e-9  # nor is any surer than sums of floats are


@dataclass(frozen=True, slots=True)
class Point:
    """A value with its standard error, and the setting it was taken at (clicks of the dial; 0 where there is none)."""

    value: float
    error: float
    setting: int = 0


@dataclass(frozen=True, slots=True)
class Change:
    """The first value after it is most likely the one at place ``at``, in 95 of 100 from ``earliest`` to ``latest``.

    ``difference`` is after less before, at one setting, its error with that of the place: the mean over all places,
    each as likely as the values make it. ``odds``: how likely so large a step somewhere is without a change, all
    ``looks`` places counted; ``statistic`` is Student's t with ``freedom`` degrees of freedom.
    """

    at: int
    earliest: int
    latest: int
    difference: Measured
    statistic: float
    freedom: int
    looks: int
    odds: float


@dataclass(frozen=True, slots=True)
class _Step:
    """A step of the mean at a place, and how many errors large it is."""

    at: int
    size: float
    error: float

    @property
    def statistic(self) -> float:
        return abs(self.size) / self.error


class _Sums:
    """Sums from the front of the weights and their products, so that any stretch costs one subtraction."""

    def __init__(self, points: Sequence[Point], rise: Measured | None) -> None:
        many = len(points)
        middle = sum(point.value for point in points) / many
        setting = sum(point.setting for point in points) / many
        self.several = len({point.setting for point in points}) > 1
        self.expected, self.surely = (nominal(rise), error(rise) ** -2) if rise is not None else (0.0, 0.0)
        least = max(
            LEAST_ERROR_SHARE * max(point.error for point in points),
            LEAST_ERROR_OF_VALUE * max(abs(point.value) for point in points),
        )
        squares = [max(point.error, least or 1.0) ** 2 for point in points]
        own = between_neighbours(points)
        weights = [1 / (square + own) for square in squares]
        self.least_scale = [0.0, *accumulate(w * square for w, square in zip(weights, squares, strict=True))]
        xs = [point.value - middle for point in points]
        ds = [point.setting - setting for point in points]
        columns = (
            weights,
            [w * x for w, x in zip(weights, xs, strict=True)],
            [w * d for w, d in zip(weights, ds, strict=True)],
            [w * x * x for w, x in zip(weights, xs, strict=True)],
            [w * d * d for w, d in zip(weights, ds, strict=True)],
            [w * x * d for w, x, d in zip(weights, xs, ds, strict=True)],
        )
        self.rows = list(zip(*([0.0, *accumulate(column)] for column in columns), strict=True))

    def stretch(self, first: int, end: int) -> tuple[float, float, float, float, float, float]:
        """Weight, mean value, mean setting, and the squares about them: value, setting, their product."""
        before, after = self.rows[first], self.rows[end]
        w, x, d = after[0] - before[0], after[1] - before[1], after[2] - before[2]
        xx, dd, xd = after[3] - before[3], after[4] - before[4], after[5] - before[5]
        return w, x / w, d / w, max(xx - x * x / w, 0.0), max(dd - d * d / w, 0.0), xd - x * d / w

    def steps(self, window: range, places: range) -> list[_Step]:
        """The steps at these places of a window; none where the setting's own step hides it."""
        found = ((at, self._step(window, at)) for at in places)
        return [_Step(at, *step) for at, step in found if step is not None]

    def _step(self, window: range, at: int) -> tuple[float, float] | None:
        w1, x1, d1, xx1, dd1, xd1 = self.stretch(window.start, at)
        w2, x2, d2, xx2, dd2, xd2 = self.stretch(at, window.stop)
        xx, dd, xd, apart = xx1 + xx2, dd1 + dd2, xd1 + xd2, d2 - d1
        if not self.several or dd < 1e-9 * (w1 + w2):
            dd, xd = 0.0, 0.0
        left = xx - (xd * xd / dd if dd else 0.0)
        least = (self.least_scale[window.stop] - self.least_scale[window.start]) / len(window)
        scale = max(left / self.freedom(window), least)
        variance = scale * (1 / w1 + 1 / w2)
        if abs(apart) < 1e-9:
            return x2 - x1, math.sqrt(variance)
        precision = self.surely + dd / scale
        if not precision:
            return None
        rise = (self.surely * self.expected + xd / scale) / precision
        return x2 - x1 - rise * apart, math.sqrt(variance + apart**2 / precision)

    def freedom(self, window: range) -> int:
        """Degrees of freedom of a stretch with one step in it."""
        return len(window) - 2 - self.several


def between_neighbours(points: Sequence[Point]) -> float:
    """How far values differ beyond their errors, as a variance, by the squares of steps to the next at one setting.

    A change or a slow drift hardly touches it (von Neumann, Ann. Math. Statist. 12 (1941) 367, from memory).
    """
    last: dict[int, Point] = {}
    steps = []
    for point in points:
        before = last.get(point.setting)
        if before is not None:
            steps.append((point.value - before.value) ** 2 / 2 - (point.error**2 + before.error**2) / 2)
        last[point.setting] = point
    return max(sum(steps) / len(steps), 0.0) if steps else 0.0


def find_changes(points: Sequence[Point], rise: Measured | None = None) -> tuple[Change, ...]:
    """Every change that chance explains in under DIFFERENT_ODDS, in order; none in under LEAST_TO_TELL values.

    ``points`` are in the order they were taken; ``rise`` is what is known beforehand of a step of the setting.
    """
    if len(points) < LEAST_TO_TELL:
        return ()
    sums = _Sums(points, rise)
    looks = sum(len(_places(window)) for window in _windows(range(len(points))))
    cuts = [0, *(change.at for change in _cut(sums, range(len(points)), looks)), len(points)]
    # Once more between its neighbours each: the first cuts were made before the others were known.
    found = [_largest(sums, range(first, end), looks) for first, end in zip(cuts, cuts[2:], strict=False)]
    return tuple(change for change in found if change is not None and change.odds < DIFFERENT_ODDS)


def _windows(stretch: range) -> list[range]:
    """The stretch, its halves and its quarters and so on, each half over the next: what comes and goes shows there."""
    windows, long = [], len(stretch)
    while long >= max(LEAST_TO_TELL, len(stretch) // LEAST_SHARE):
        last = stretch.stop - long
        windows += [range(first, first + long) for first in range(stretch.start, last + 1, max(long // 2, 1))]
        if windows[-1].start != last:
            windows.append(range(last, stretch.stop))
        long //= 2
    return windows


def _places(window: range) -> range:
    return range(window.start + LEAST_BESIDE, window.stop - LEAST_BESIDE + 1)


def _cut(sums: _Sums, stretch: range, looks: int) -> list[Change]:
    peaks = [(window, peak) for window in _windows(stretch) if (peak := _peak(sums, window)) is not None]
    if not peaks:
        return []
    window, _ = min(peaks, key=lambda one: two_sided(one[1].statistic, sums.freedom(one[0])))
    found = _largest(sums, window, looks)
    if found is None or found.odds >= DIFFERENT_ODDS:
        return []
    before, after = range(stretch.start, found.at), range(found.at, stretch.stop)
    return [*_cut(sums, before, looks), found, *_cut(sums, after, looks)]


def _peak(sums: _Sums, window: range) -> _Step | None:
    """About where a step is largest against its error; None where there are too few values to tell."""
    steps = sums.steps(window, _places(window)[:: _apart(window)]) if len(window) >= LEAST_TO_TELL else []
    return max(steps, key=lambda step: step.statistic, default=None)


def _apart(window: range) -> int:
    return 1 + len(window) // MOST_PLACES


def _largest(sums: _Sums, window: range, looks: int) -> Change | None:
    """The step that is largest against its error; None where there are too few values to tell."""
    peak = _peak(sums, window)
    if peak is None:
        return None
    places, reach = _places(window), 4 * _apart(window)
    if _apart(window) > 1:
        places = range(max(peak.at - reach, places[0]), min(peak.at + reach, places[-1]) + 1)
    steps = sums.steps(window, places)
    best = max(steps, key=lambda step: step.statistic)
    freedom = sums.freedom(window)
    # How likely each place is beside the likeliest: the squares left over, to the power of half the values.
    power, most = (freedom + 2) / 2, freedom + best.statistic**2
    likely = [math.exp(power * math.log((freedom + step.statistic**2) / most)) for step in steps]
    total = sum(likely)
    size = sum(share * step.size for share, step in zip(likely, steps, strict=True)) / total
    square = sum(share * (step.error**2 + (step.size - size) ** 2) for share, step in zip(likely, steps, strict=True))
    within = [
        step.at
        for step, before, to_here in zip(steps, accumulate(likely, initial=0.0), accumulate(likely), strict=False)
        if to_here > TAIL * total and before < (1 - TAIL) * total
    ]
    return Change(
        at=best.at,
        earliest=within[0],
        latest=within[-1],
        difference=measured(size, math.sqrt(square / total)),
        statistic=math.copysign(best.statistic, best.size),
        freedom=freedom,
        looks=looks,
        odds=any_of(two_sided(best.statistic, freedom), looks),
    )


def stretches(many: int, changes: Sequence[Change]) -> list[range]:
    """The places of the values between one change and the next."""
    return [range(first, end) for first, end in pairwise([0, *(change.at for change in changes), many])]


def rise_within(points: Sequence[Point], changes: Sequence[Change], rise: Measured | None = None) -> Measured:
    """What a step of the setting does: ``rise`` as known beforehand and the values of each stretch about its own mean.

    Nothing at all where neither tells, as with one setting.
    """
    sums = _Sums(points, rise)
    parts = [sums.stretch(part.start, part.stop) for part in stretches(len(points), changes)]
    weight, xx, dd, xd = (sum(part[column] for part in parts) for column in (0, 3, 4, 5))
    if not sums.several or dd < 1e-9 * weight:
        return rise or measured(0.0)
    freedom = max(len(points) - len(parts) - 1, 1)
    least = sums.least_scale[-1] / len(points)
    scale = max((xx - xd * xd / dd) / freedom, least)
    precision = sums.surely + dd / scale
    return measured((sums.surely * sums.expected + xd / scale) / precision, precision**-0.5)


@dataclass(frozen=True, slots=True)
class Moving:
    """A moving average value by value, with its limits; ``out`` is the first place outside them, None while inside."""

    values: tuple[float, ...]
    low: float
    high: float

    @property
    def out(self) -> int | None:
        """The first place where the average is outside its limits."""
        return next((at for at, value in enumerate(self.values) if not self.low <= value <= self.high), None)


def moving_average(values: Sequence[float], target: float, sigma: float) -> Moving:
    """The exponentially weighted moving average, begun at ``target``; ``sigma`` is the standard error of one value."""
    weight = EWMA_WEIGHT
    reach = EWMA_WIDTH * sigma * math.sqrt(weight / (2 - weight))
    averages = tuple(accumulate(values, lambda before, value: weight * value + (1 - weight) * before, initial=target))
    return Moving(averages[1:], target - reach, target + reach)
