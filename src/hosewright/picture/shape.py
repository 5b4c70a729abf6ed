"""The shape of a sock lying flat, seen from the side, in mm: which row or pass every place of it belongs to.

x grows from the back of the heel to the tip of the toe, y downwards, 0 where the leg ends. Half of each row is seen: a
round of ``slots`` stitches is as wide as half its circumference. The leg stands upright over a lying foot, so the
heel's pocket, which in the hand fills the corner between them, is drawn behind the foot's first row: as deep as the
plan says (`craft.turning.depth_rows`), and as large as its stitches. A mini-gusset's is the foot's width at its base,
widens by the stitches that join, and narrows from there; what it is wider stands up into the leg, whose last rows go
round it. The drawing is ours; its lengths and areas are the plan's.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import sqrt
from typing import TYPE_CHECKING

from hosewright.craft.turning import depth_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.craft.turning import Turning

Point = tuple[float, float]
Polygon = tuple[Point, ...]

# How the tips of heel and toe lie across the foot: 1 has them at the sole, 0.5 in the middle. Ours, for the eye.
HEEL_LIES, TOE_LIES = 1.0, 0.6
# The leg overlaps the pocket's depth so far at most, bends over it by so much of its length at most, and gives way to
# a gusset by so much of it. Ours.
MOST_OVERLAP, MOST_BEND, MOST_RISE = 0.4, 0.15, 0.4


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the sock: ``row`` (or pass, from 1) of part number ``part`` is cranked there.

    ``inside``: the row of a hung hem that lies behind it, 0 where there is none.
    """

    part: int
    row: int
    inside: int = 0


@dataclass(frozen=True, slots=True)
class Tube:
    """A part cranked in rows. ``heights_mm`` and ``wide_mm``: how tall and how wide each row seen is, lying flat.

    ``inside`` rows of a hung hem are cranked before those seen, and lie behind them, the first of them lowest.
    """

    name: str
    heights_mm: tuple[float, ...]
    wide_mm: tuple[float, ...]
    inside: int = 0

    @property
    def count(self) -> int:
        """Rows cranked."""
        return self.inside + len(self.heights_mm)

    @property
    def long_mm(self) -> float:
        """How long it is, hung."""
        return sum(self.heights_mm)

    @property
    def area_mm2(self) -> float:
        """The area seen, one layer."""
        return sum(high * wide for high, wide in zip(self.heights_mm, self.wide_mm, strict=True))

    def at(self, seen: int, part: int) -> Place:
        """The place in row number ``seen`` of those seen, from 0."""
        return Place(part, self.inside + seen + 1, max(0, self.inside - seen))


class Pocket:
    """A heel or toe: ``wide`` at its base in mm, ``deep`` at its tip, with the area of its stitches.

    One on more needles than half is as wide as the foot, too, and blunter for it, since its corners lie on the instep;
    one with a gusset is as wide as the foot at its base, and ``knots`` (u, width) say where it is widest.
    In its own coordinates u goes from the base to the tip and v from the instep's side to the sole. The gore runs
    from the base to the tip, between the stitches of the narrowing and of the widening passes.
    """

    def __init__(
        self, name: str, turning: Turning, wide: float, stitch_mm2: float, row_mm: float, *, heel: bool
    ) -> None:
        self.name = name
        self.turning = turning
        self.wide = wide
        self.heel = heel
        self.row_mm = row_mm
        self.lies = HEEL_LIES if heel else TOE_LIES
        every = [len(one.in_work) for one in turning.passes()]
        half = turning.plain_first + turning.joining + turning.narrowing
        self._first = tuple(accumulate(every[:half]))
        self._second = tuple(accumulate(every[half:]))
        self.area_mm2 = sum(every) * stitch_mm2 / 2
        self.deep = min(depth_rows(turning) * row_mm, 2 * self.area_mm2 / wide)
        self.knots = self._widths()
        self._share = self._first[-1] / sum(every)  # of the area, in the narrowing passes

    def _widths(self) -> tuple[Point, ...]:
        """The width at each depth where it begins to change otherwise; that of the tip makes the area come out."""
        turning, wide = self.turning, self.wide
        if turning.gusset:
            plain = (turning.plain_first + turning.plain_last) // 2 * self.row_mm
            widest = wide * turning.needles / len(turning.own)
            joined = plain + turning.joining * self.row_mm
            rest = self.area_mm2 - wide * plain - (wide + widest) / 2 * (joined - plain)
            tip = max(0.0, 2 * rest / (self.deep - joined) - widest)
            return tuple(dict.fromkeys(((0.0, wide), (plain, wide), (joined, widest), (self.deep, tip))))
        tip = min(1.0, max(0.0, 2 * self.area_mm2 / (self.deep * wide) - 1))
        if tip >= 1.0:
            self.deep = self.area_mm2 / wide
        return (0.0, wide), (self.deep, wide * tip)

    @property
    def count(self) -> int:
        """Passes."""
        return self.turning.count

    def edges(self, u: float) -> tuple[float, float, float]:
        """Instep side, gore and sole side at ``u``; the instep's lies above 0 where it is wider than at its base."""
        gone = self.wide - self._width(u)
        top, bottom = gone * self.lies, self.wide - gone * (1 - self.lies)
        upper = self._share if self.heel else 1 - self._share
        return top, top + upper * (bottom - top), bottom

    def _width(self, u: float) -> float:
        for (before, one), (after, other) in pairwise(self.knots):
            if u <= after:
                return one + (other - one) * (u - before) / (after - before)
        return self.knots[-1][1]

    def at(self, u: float, v: float, part: int) -> Place | None:
        """The place at (u, v)."""
        if not 0 <= u <= self.deep:
            return None
        top, gore, bottom = self.edges(u)
        if not top <= v <= bottom:
            return None
        if self.heel == (v >= gore):
            return Place(part, len(self._first) + self._pass(self._second, 1 - self._before(u)))
        return Place(part, self._pass(self._first, (v - top) / (gore - top) if self.heel else self._before(u)))

    def cranked(self, passes: int) -> list[Polygon]:
        """What the first ``passes`` cover, in (u, v), as one or two polygons."""
        first, second = min(passes, len(self._first)), max(0, passes - len(self._first))
        found: list[Polygon] = []
        if first:
            share = self._first[first - 1] / self._first[-1]
            if self.heel:
                edges = [(u, *self.edges(u)) for u, _ in self.knots]
                down = [(u, top + share * (gore - top)) for u, top, gore, _ in edges]
                found.append((*((u, top) for u, top, _, _ in edges), *reversed(down)))
            else:
                found.append(self._slice(0.0, self._reaches(share), upper=False))
        if second:
            share = self._second[second - 1] / self._second[-1]
            found.append(self._slice(self._reaches(1 - share), self.deep, upper=not self.heel))
        return found

    def _slice(self, start: float, end: float, *, upper: bool) -> Polygon:
        """The upper or lower half between two depths."""
        us = (start, *(u for u, _ in self.knots if start < u < end), end)
        edges = [(u, *self.edges(u)) for u in us]
        above, below = (1, 2) if upper else (2, 3)
        return (*((edge[0], edge[above]) for edge in edges), *((edge[0], edge[below]) for edge in reversed(edges)))

    def _before(self, u: float) -> float:
        """The share of the area that lies between the base and ``u``."""
        area = 0.0
        for (before, one), (after, _) in pairwise(self.knots):
            end = min(max(u, before), after)
            area += (one + self._width(end)) / 2 * (end - before)
        return area / self.area_mm2

    def _reaches(self, share: float) -> float:
        """The depth within which ``share`` of the area lies: `_before` turned round."""
        area = share * self.area_mm2
        for (before, one), (after, other) in pairwise(self.knots):
            here = (one + other) / 2 * (after - before)
            if area > here and after < self.deep:
                area -= here
                continue
            grows = (other - one) / (after - before)
            root = sqrt(max(0.0, one * one + 2 * grows * area))
            return min(before + 2 * area / (one + root), after)
        return self.deep

    @staticmethod
    def _pass(sums: tuple[int, ...], share: float) -> int:
        return min(bisect_left(sums, share * sums[-1]), len(sums) - 1) + 1


@dataclass(frozen=True, slots=True)
class _Row:
    """A row of the leg or of the foot: where it ends along the tube, in mm, and how wide it is."""

    end: float
    wide: float
    place: Place


class Shape:
    """A sock: what stands above the heel, the heel, the foot and the toe. All lengths in mm.

    Parts are in the order they are cranked; ``heel_last``: an afterthought heel.
    """

    def __init__(
        self, above: Sequence[Tube], heel: Pocket, foot: Tube, toe: Pocket, *, heel_last: bool = False
    ) -> None:
        below = (foot, toe, heel) if heel_last else (heel, foot, toe)
        self.parts: tuple[Tube | Pocket, ...] = (*above, *below)
        self._heel_at, self._foot_at, self._toe_at = (len(above) + below.index(part) for part in (heel, foot, toe))
        self.above, self.heel, self.foot, self.toe = tuple(above), heel, foot, toe
        self.names = tuple(part.name for part in self.parts)
        self.wide = heel.wide
        self.leg_mm = sum(tube.long_mm for tube in above)
        self._leg = _rows(above, 0)
        self._foot = _rows((foot,), self._foot_at)
        self._leg_ends = [row.end for row in self._leg]
        self._foot_ends = [row.end for row in self._foot]
        self.back = heel.deep - self._overlap()  # x of the leg's back where it ends
        # How far the leg's last row bends down, in the mean over its width, and the length over which rows come to it.
        sunk, _, rise = self._over(heel.deep - self.back)
        self._bend = sunk / self.wide
        self._bending = max(min(self.leg_mm, self.wide / 2), 2 * self._bend, rise / MOST_RISE)

    def _overlap(self) -> float:
        """How far the leg stands over the pocket: so far that it neither bends nor gives way too much."""

        def fits(deep: float) -> bool:
            _, bent, rise = self._over(deep)
            return bent <= self.wide * MOST_BEND * self.leg_mm and rise <= MOST_RISE * self.leg_mm

        most = self.heel.deep * MOST_OVERLAP
        return most if fits(most) else _last_that(fits, most)

    def _over(self, deep: float) -> tuple[float, float, float]:
        """The area between 0 and the pocket's edge from its base to ``deep``, what is below less what is above; both
        together; and how far that edge rises above 0.
        """
        us = (0.0, *(u for u, _ in self.heel.knots if 0 < u < deep), deep)
        edge = [(u, self.heel.edges(u)[0]) for u in us]
        signed = bent = 0.0
        for (u, top), (next_u, next_top) in pairwise(edge):
            area = (top + next_top) / 2 * (next_u - u)
            signed += area
            bent += abs(area)
        return signed, bent, max(0.0, *(-top for _, top in edge))

    @property
    def counts(self) -> tuple[int, ...]:
        """Rows or passes of each part."""
        return tuple(part.count for part in self.parts)

    @property
    def toe_from(self) -> float:
        """x of the foot's end."""
        return self.heel.deep + self.foot.long_mm

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of what is drawn."""
        middle = self.back + self.wide / 2
        widest = max((row.wide for row in self._leg), default=0.0)
        right = max(self.toe_from + self.toe.deep, middle + widest / 2)
        above = min(self._bend - self.leg_mm, *(self.heel.edges(u)[0] for u, _ in self.heel.knots))
        return min(0.0, middle - widest / 2), min(0.0, above), right, self.wide

    @property
    def straight(self) -> tuple[tuple[float, float, float, float], ...]:
        """Left, top, right and bottom of what is neither turned nor bent: leg and foot."""
        return (self.back, min(0.0, self._bend - self.leg_mm), self.back + self.wide, 0.0), (
            self.heel.deep,
            0.0,
            self.toe_from,
            self.wide,
        )

    def at(self, x: float, y: float) -> Place | None:
        """What is cranked at a place, or None outside the sock."""
        if x >= self.toe_from:
            found = self.toe.at(x - self.toe_from, y, self._toe_at)
        elif y >= 0 and x >= self.heel.deep:
            found = self._foot[bisect_left(self._foot_ends, x - self.heel.deep)].place if y <= self.wide else None
        else:
            found = None
        if found is None and x <= self.heel.deep:
            found = self.heel.at(self.heel.deep - x, y, self._heel_at)
        return found if found is not None else self._in_leg(x, y)

    def _in_leg(self, x: float, y: float) -> Place | None:
        if not self._leg:
            return None
        along = y + self.leg_mm - self._bend
        straight = self.leg_mm - self._bending
        if along > straight:  # `_down` turned round
            along = straight + (along - straight) / (1 + (self._drop(x) - self._bend) / self._bending)
        if not 0 <= along <= self.leg_mm:
            return None
        row = self._leg[min(bisect_left(self._leg_ends, along), len(self._leg) - 1)]
        return row.place if abs(x - self.back - self.wide / 2) <= row.wide / 2 else None

    def _drop(self, x: float) -> float:
        """How far below 0 the leg ends at x: over the pocket it reaches to it, above 0 over a gusset."""
        return self.heel.edges(self.heel.deep - max(x, self.back))[0] if x < self.heel.deep else 0.0

    def cranked(self, part: int, count: int) -> list[Polygon]:
        """What ``count`` rows or passes of a part cover, as polygons in (x, y); of a hung hem what is seen of them."""
        one = self.parts[part]
        count = min(count, one.count)
        if isinstance(one, Pocket):
            base, way = (self.heel.deep, -1) if one.heel else (self.toe_from, 1)
            return [tuple((base + way * u, v) for u, v in shape) for shape in one.cranked(count)]
        seen = max(0, count - one.inside)
        if part == self._foot_at:
            end = self.heel.deep + sum(one.heights_mm[:seen])
            return [((self.heel.deep, 0.0), (end, 0.0), (end, self.wide), (self.heel.deep, self.wide))] if seen else []
        start = sum(tube.long_mm for tube in self.above[:part])
        return self._leg_bands(one, start, seen)

    def _leg_bands(self, tube: Tube, start: float, seen: int) -> list[Polygon]:
        """The rows seen of a part above the heel, neighbours of one width together."""
        found: list[Polygon] = []
        at, begin = start, start
        for row in range(seen):
            at += tube.heights_mm[row]
            if row + 1 == seen or tube.wide_mm[row + 1] != tube.wide_mm[row]:
                found.append(self._band(begin, at, tube.wide_mm[row]))
                begin = at
        return found

    def _band(self, begin: float, end: float, wide: float) -> Polygon:
        middle = self.back + self.wide / 2
        left, right = middle - wide / 2, middle + wide / 2
        bends = (self.back, *(self.heel.deep - u for u, _ in self.heel.knots if u <= self.heel.deep - self.back))
        xs = sorted({left, *(x for x in bends if left < x < right), right})
        return (*((x, self._down(begin, x)) for x in xs), *((x, self._down(end, x)) for x in reversed(xs)))

    def _down(self, along: float, x: float) -> float:
        """y of the place ``along`` mm below the top, at x."""
        share = max(0.0, along - self.leg_mm + self._bending) / self._bending
        return along - self.leg_mm + self._bend + share * (self._drop(x) - self._bend)


class Straight(Shape):
    """A tube without a heel, hanging: its parts from the top to y = 0, and below it a toe where it has one."""

    def __init__(self, tubes: Sequence[Tube], toe: Pocket | None) -> None:
        self.parts = (*tubes, *((toe,) if toe else ()))
        self.above = tuple(tubes)
        self.names = tuple(part.name for part in self.parts)
        self.wide = tubes[-1].wide_mm[-1]
        self.leg_mm = sum(tube.long_mm for tube in tubes)
        self._leg = _rows(tubes, 0)
        self._leg_ends = [row.end for row in self._leg]
        self._end = toe

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of what is drawn."""
        beyond = max(0.0, max(row.wide for row in self._leg) - self.wide) / 2
        return -beyond, -self.leg_mm, self.wide + beyond, self._end.deep if self._end else 0.0

    @property
    def straight(self) -> tuple[tuple[float, float, float, float], ...]:
        """Left, top, right and bottom of all but the toe."""
        return ((0.0, -self.leg_mm, self.wide, 0.0),)

    def at(self, x: float, y: float) -> Place | None:
        """What is cranked at a place, or None outside the tube."""
        if y >= 0:
            return self._end.at(y, x, len(self.above)) if self._end else None
        along = y + self.leg_mm
        if along < 0:
            return None
        row = self._leg[min(bisect_left(self._leg_ends, along), len(self._leg) - 1)]
        return row.place if abs(x - self.wide / 2) <= row.wide / 2 else None

    def cranked(self, part: int, count: int) -> list[Polygon]:
        """What ``count`` rows or passes of a part cover, as polygons in (x, y); of a hung hem what is seen of them."""
        one = self.parts[part]
        count = min(count, one.count)
        if isinstance(one, Pocket):
            return [tuple((v, u) for u, v in shape) for shape in one.cranked(count)]
        start = sum(tube.long_mm for tube in self.above[:part])
        return self._leg_bands(one, start, max(0, count - one.inside))

    def _band(self, begin: float, end: float, wide: float) -> Polygon:
        left, right = (self.wide - wide) / 2, (self.wide + wide) / 2
        top, bottom = begin - self.leg_mm, end - self.leg_mm
        return (left, top), (right, top), (right, bottom), (left, bottom)


def _last_that(fits: Callable[[float], bool], most: float) -> float:
    """The largest of 0 to ``most`` that still fits, where a larger one than one that does not fit does not either."""
    low, high = 0.0, most
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _rows(tubes: Sequence[Tube], first: int) -> list[_Row]:
    rows = []
    end = 0.0
    for part, tube in enumerate(tubes, first):
        for seen, (high, wide) in enumerate(zip(tube.heights_mm, tube.wide_mm, strict=True)):
            end += high
            rows.append(_Row(end, wide, tube.at(seen, part)))
    return rows
