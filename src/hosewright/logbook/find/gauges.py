"""A yarn's gauges on one machine and cylinder, in the order they were cranked: whether they changed, what holds now."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from hosewright.craft.changes import (
    EWMA_WEIGHT,
    LEAST_TO_TELL,
    Moving,
    Point,
    between_neighbours,
    find_changes,
    moving_average,
    rise_within,
    stretches,
)
from hosewright.craft.dial import Dial
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.loops import STATES
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.response import prior_rise
from hosewright.craft.spread import ASSUMED, pool, tube_spread
from hosewright.logbook.records.shelf import day_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.craft.changes import Change
    from hosewright.craft.measured import Measured
    from hosewright.craft.spread import Pooled, Spread
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import GaugeRecord, Machine

MOST_REPEATS = 100  # of one group: the newest tell how far tubes differ well enough
_KC = STATES["full"].kc


class Place(NamedTuple):
    """What gauges must share to be held against each other; how far the dial is down is no part of it."""

    yarn: str
    machine: str
    cylinder: str
    slots: int


@dataclass(frozen=True, slots=True)
class Tube:
    """A washed tube's gauge: per mm, with the errors of the knitter's own tape. ``began_ms``: when it was cranked."""

    session: str
    place: Place
    began_ms: int
    zone_min: int
    dial: int
    rows_per_mm: float
    rows_error: float
    stitches_per_mm: float
    stitches_error: float
    noted: str = ""
    shared: str = ""

    @property
    def when(self) -> str:
        """The day it was cranked, and whether it is from the notebook or was shared."""
        return day_words(self.began_ms, self.zone_min, self.noted, self.shared)

    @property
    def rows(self) -> Measured:
        """Rows per mm."""
        return measured(self.rows_per_mm, self.rows_error)

    @property
    def stitches(self) -> Measured:
        """Stitches per mm."""
        return measured(self.stitches_per_mm, self.stitches_error)

    @property
    def loop(self) -> Point:
        """Yarn in a loop, mm, where the dial stood."""
        loop = _KC / self.rows_per_mm
        return Point(loop, loop * self.rows_error / self.rows_per_mm, self.dial)


@dataclass(frozen=True, slots=True)
class Shift:
    """A change with the tubes about it. ``before`` and ``after`` are rows per mm at one dial, ``by`` what lies between.

    It lies between the tubes ``last`` and ``first``; in 95 of 100 between ``not_before`` and ``not_after``.
    """

    found: Change
    last: Tube
    first: Tube
    not_before: Tube
    not_after: Tube
    dial: int
    before: float
    after: float
    by: Measured


@dataclass(frozen=True, slots=True)
class Course:
    """All the tubes of one place, the oldest first, with what changed.

    ``levels`` are the rows per mm between one change and the next, at the newest tube's dial; ``at_dial`` those of
    every tube there, other dials brought to it by what a click does to the loop.
    """

    place: Place
    tubes: tuple[Tube, ...]
    shifts: tuple[Shift, ...]
    levels: tuple[float, ...]
    at_dial: tuple[float, ...]
    drift: Moving | None

    @property
    def dial(self) -> int:
        """Where the dial stood for the newest."""
        return self.tubes[-1].dial

    @property
    def parts(self) -> list[range]:
        """The places of the tubes between one change and the next."""
        return stretches(len(self.tubes), [shift.found for shift in self.shifts])

    @property
    def since(self) -> tuple[Tube, ...]:
        """The tubes since the last change, all of them when there was none."""
        return self.tubes[self.parts[-1].start :]

    @property
    def alike(self) -> tuple[Tube, ...]:
        """Those of them at the newest one's dial: what a plan can be made from together."""
        return tuple(tube for tube in self.since if tube.dial == self.dial)

    @property
    def looks(self) -> int:
        """Tubes a change was looked for in, 0 for too few to tell."""
        return len(self.tubes) if len(self.tubes) >= LEAST_TO_TELL else 0

    def drifts_from(self) -> Tube | None:
        """The first tube since the last change whose moving average left its limits."""
        return None if self.drift is None or self.drift.out is None else self.since[self.drift.out]


def tubes_of(
    book: Logbook, tape_error_mm: float = TAPE_HALF_WIDTH_MM, yarn: str | None = None
) -> dict[Place, list[Tube]]:
    """Every washed tube (of one ``yarn``), by place and the oldest first. Raises LogbookError.

    One of the notebook without a dial position is held against none.
    ``tape_error_mm`` is the half-width of the tape's error: a gauge is kept with the error of a usual tape.
    """
    sql = "SELECT s.id, c.began, c.zone_min FROM catalogue c JOIN sessions s ON s.n = c.session WHERE c.kind = 'tube'"
    cranked = {session: (began, zone) for session, began, zone in book.store.ask(sql)}
    places: dict[Place, list[Tube]] = {}
    for gauge in book.gauges():
        if gauge.dial is not None and yarn in (None, gauge.yarn):
            began_ms, zone_min = cranked.get(gauge.session, (gauge.at_ms, 0))
            place = Place(gauge.yarn, gauge.machine, gauge.cylinder, gauge.slots)
            errors = _errors(gauge, tape_error_mm)
            rates = gauge.rows_per_mm, errors[0], gauge.stitches_per_mm, errors[1]
            tube = Tube(gauge.session, place, began_ms, zone_min, gauge.dial, *rates, gauge.noted, gauge.shared)
            places.setdefault(place, []).append(tube)
    for tubes in places.values():
        tubes.sort(key=lambda tube: (tube.began_ms, tube.session))
    return places


def _errors(gauge: GaugeRecord, tape_error_mm: float) -> tuple[float, float]:
    """Of rows and stitches per mm, with this tape's in the usual one's place."""
    rows, stitches = gauge.rows_per_mm_error, gauge.stitches_per_mm_error
    if gauge.rows is not None and not gauge.noted and tape_error_mm != TAPE_HALF_WIDTH_MM:
        rows = _by_tape(gauge.rows_per_mm, rows, gauge.rows / gauge.rows_per_mm, tape_error_mm)
        width = gauge.slots / 2 / gauge.stitches_per_mm
        stitches = _by_tape(gauge.stitches_per_mm, stitches, width, tape_error_mm)
    return rows, stitches


def _by_tape(rate: float, sure: float, over_mm: float, tape_error_mm: float) -> float:
    """The error of a rate over ``over_mm``: u^2 = rate^2 (a^2 / 3 + s^2 / n) / over^2, of which only a changes."""
    of_usual, of_this = (rate * tape / math.sqrt(3) / over_mm for tape in (TAPE_HALF_WIDTH_MM, tape_error_mm))
    return math.sqrt(max(sure**2 - of_usual**2, 0.0) + of_this**2)


def dial_of(machine: Machine | None) -> Dial:
    """The dial of a machine, the usual one of a machine that is not on the shelf."""
    return Dial(machine.thread_pitch_mm, machine.turn) if machine else Dial()


def course_of(tubes: Sequence[Tube], dial: Dial) -> Course:
    """What became of the gauge over these tubes of one place, the oldest first; ``dial`` is the machine's."""
    at = tubes[-1].dial
    points = [tube.loop for tube in tubes]
    expected = prior_rise(dial)
    changes = find_changes(points, expected)
    rise = rise_within(points, changes, expected)
    brought = [point.value - nominal(rise) * (point.setting - at) for point in points]
    parts = stretches(len(points), changes)
    levels = [_mean(brought, points, part) for part in parts]
    shifts = tuple(
        _shift(change, tubes, before, after) for change, (before, after) in zip(changes, pairwise(levels), strict=True)
    )
    rows = tuple(_KC / loop for loop in brought)
    return Course(
        tubes[0].place,
        tuple(tubes),
        shifts,
        tuple(_KC / level for level in levels),
        rows,
        _drift(points, brought, parts[-1]),
    )


def _mean(brought: Sequence[float], points: Sequence[Point], part: range) -> float:
    """The mean loop of a stretch, each as sure as its tape and as how far tubes differ."""
    own = between_neighbours(points)
    weights = [1 / ((points[n].error ** 2 + own) or 1.0) for n in part]
    return sum(brought[n] * weight for n, weight in zip(part, weights, strict=True)) / sum(weights)


def _shift(change: Change, tubes: Sequence[Tube], before: float, after: float) -> Shift:
    """``before`` and ``after`` are loops, mm. A loop longer by d has fewer rows by kc d / loop^2."""
    size = abs(nominal(change.difference)) or 1.0
    rows = _KC / after - _KC / before
    return Shift(
        change,
        tubes[change.at - 1],
        tubes[change.at],
        tubes[change.earliest - 1],
        tubes[change.latest],
        tubes[-1].dial,
        _KC / before,
        _KC / after,
        measured(rows, abs(rows) * error(change.difference) / size),
    )


def _drift(points: Sequence[Point], brought: Sequence[float], part: range) -> Moving | None:
    """The moving average of the rows per mm since the last change, about the mean of the first six; None for fewer.

    That mean's own error is in the limits.
    """
    if len(part) < LEAST_TO_TELL:
        return None
    rows = [_KC / brought[n] for n in part]
    target = sum(rows[:LEAST_TO_TELL]) / LEAST_TO_TELL
    stretch = points[part.start : part.stop]
    square = between_neighbours(stretch) + sum(point.error**2 for point in stretch) / len(stretch)
    square *= 1 + (2 - EWMA_WEIGHT) / EWMA_WEIGHT / LEAST_TO_TELL
    return moving_average(rows, target, math.sqrt(square) * target**2 / _KC)


def spread_of(courses: Iterable[Course]) -> Spread:
    """How far tubes of one yarn differ: repeats of every place; else our assumption."""
    return spread_among(group for course in courses for group in repeats_of(course))


def spread_among(repeats: Iterable[Sequence[Tube]]) -> Spread:
    """How far the tubes of each of these groups differ; below three our assumption."""
    return tube_spread([[tube.rows for tube in group] for group in repeats])


def repeats_of(course: Course) -> list[tuple[Tube, ...]]:
    """Its tubes that should be alike: those at one dial position between changes."""
    groups: dict[tuple[int, int], list[Tube]] = {}
    for number, part in enumerate(course.parts):
        for tube in course.tubes[part.start : part.stop]:
            groups.setdefault((number, tube.dial), []).append(tube)
    return [tuple(group[-MOST_REPEATS:]) for group in groups.values()]


def pooled(tubes: Sequence[Tube], spread: Spread = ASSUMED) -> tuple[Pooled, Pooled]:
    """Rows and stitches per mm of tubes at one dial together. Raises CraftError."""
    return pool([tube.rows for tube in tubes], spread), pool([tube.stitches for tube in tubes], spread)


def newest_against_others(course: Course, spread: Spread) -> Measured | None:
    """Rows per mm that the newest has more than the others at its dial, with how far tubes differ in the error.

    None for the only one there.
    """
    *others, newest = course.alike
    if not others:
        return None
    mean = pool([tube.rows for tube in others], spread)
    own = math.hypot(newest.rows_error, spread.share * newest.rows_per_mm)
    return measured(newest.rows_per_mm - mean.value, math.hypot(own, mean.error))
