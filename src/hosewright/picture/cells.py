"""The picture of a sock in the cells of a terminal: half-blocks, or letters where those are not to be had.

A cell is twice as high as wide, so each holds two square halves, one above the other. What is cranked is a full half,
what lies ahead is dotted or hatched: the shape tells it, colour only says it again. The signs are ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from math import floor
from typing import TYPE_CHECKING, Literal, NamedTuple

from hosewright.picture.shape import Place, Pocket, Shape

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Standing = Literal["ahead", "inside", "done"]
Colour = str | None


class Ink(NamedTuple):
    """What a half of a cell shows: a part, how far it is there, and the yarn's colour where one is known.

    "inside": only the half of a hung hem that lies behind is cranked.
    """

    part: int
    standing: Standing
    colour: Colour = None


class Run(NamedTuple):
    """Signs of one look side by side. ``fore`` is what the signs are made of, ``back`` what shines through them."""

    text: str
    fore: Ink | None
    back: Ink | None = None


@dataclass(frozen=True)
class Picture:
    """A sock in ``columns`` by ``lines`` cells. ``halves`` has two rows of places a line, the upper one first."""

    shape: Shape
    columns: int
    lines: int
    mm: float  # of a column, and of half a line
    left: float  # x and y of the first cell's corner, in mm
    top: float
    halves: tuple[tuple[Place | None, ...], ...]

    def find(self, part: int, row: int) -> tuple[int, int] | None:
        """Column and line of the cell nearest to a row or pass; None where the part is too small to be seen."""
        best: tuple[int, int, int] | None = None
        for y, half in enumerate(self.halves):
            for x, place in enumerate(half):
                if place is not None and place.part == part:
                    off = abs(place.row - row)
                    if best is None or off < best[0]:
                        best = off, x, y // 2
        return None if best is None else best[1:]


def draw(shape: Shape, columns: int, lines: int) -> Picture:
    """The picture of ``shape`` that fills the room, its left and top edge at 0. Raises ValueError for no room at all.

    Whole cells make a leg of 18.5 columns one of 18 or 19. So the scale and where the cells begin are chosen among
    nearly the largest so that leg and foot come out as true as they can.
    """
    if columns < 1 or lines < 1:
        raise ValueError("a picture needs at least one cell")
    left, top, right, bottom = shape.box
    largest = max((right - left) / columns, (bottom - top) / (2 * lines))
    mm, x0, y0 = min(
        (
            (largest * size, left - x * largest * size, top - y * largest * size)
            for size in _SIZES
            for x in _SHIFTS
            for y in _SHIFTS
            if (right - left) / (largest * size) + x <= columns and (bottom - top) / (largest * size) + y <= 2 * lines
        ),
        key=lambda grid: _untrue(shape, *grid),
        default=(largest, left, top),
    )
    halves = tuple(
        tuple(shape.at(x0 + (x + 0.5) * mm, y0 + (y + 0.5) * mm) for x in range(columns)) for y in range(2 * lines)
    )
    return Picture(shape, columns, lines, mm, x0, y0, halves)


# How much smaller than the largest a picture may be, and how far its cells may begin before it, in cells.
_SIZES = tuple(1 + part / 100 for part in range(9))
_SHIFTS = (0.0, 0.2, 0.4, 0.6, 0.8)


def _untrue(shape: Shape, mm: float, x0: float, y0: float) -> float:
    """By how much leg and foot come out too large or too small in cells of ``mm`` from (x0, y0): a share of both."""

    def cells(start: float, end: float, origin: float) -> float:
        return (floor((end - origin) / mm + 0.5) - floor((start - origin) / mm + 0.5)) * mm

    _, top, _, _ = shape.box
    leg = cells(shape.back, shape.back + shape.wide, x0) * cells(top, 0.0, y0), shape.wide * -top
    high = cells(0.0, shape.wide, y0)
    foot = cells(shape.heel.deep, shape.toe_from, x0) * high, shape.foot.long_mm * shape.wide
    whole = leg[1] + foot[1]
    return abs(leg[0] - leg[1]) / whole + abs(foot[0] - foot[1]) / whole + abs(high / shape.wide - 1)


def standing(place: Place, done: Sequence[int]) -> Standing:
    """How far a place is, by the rows and passes ``done`` of each part."""
    if place.row <= done[place.part]:
        return "done"
    return "inside" if 0 < place.inside <= done[place.part] else "ahead"


def in_blocks(
    picture: Picture, done: Sequence[int], colour: Callable[[Place], Colour] = lambda _: None
) -> list[list[Run]]:
    """Each line as runs of half-blocks. ``colour`` says the yarn's colour at a place, where it is known."""

    def ink(place: Place | None) -> Ink | None:
        if place is None:
            return None
        how = standing(place, done)
        return Ink(place.part, how, None if how == "ahead" else colour(place))

    passes = [isinstance(part, Pocket) for part in picture.shape.parts]
    tops = [part < len(picture.shape.above) and name != "leg" for part, name in enumerate(picture.shape.names)]
    lines = []
    for upper, lower in zip(picture.halves[::2], picture.halves[1::2], strict=True):
        cells = [_cell(ink(one), ink(other), passes, tops) for one, other in zip(upper, lower, strict=True)]
        lines.append(_joined(cells))
    return lines


def in_letters(picture: Picture, done: Sequence[int]) -> list[str]:
    """Each line in plain letters, for terminals without blocks: the first of a part's name, large where cranked."""
    lines = []
    for upper, lower in zip(picture.halves[::2], picture.halves[1::2], strict=True):
        signs = ""
        for one, other in zip(upper, lower, strict=True):
            place = other or one
            letter = " " if place is None else picture.shape.names[place.part][0]
            signs += letter.upper() if place is not None and standing(place, done) == "done" else letter
        lines.append(signs.rstrip())
    return lines


def in_a_line(shape: Shape, done: Sequence[int], columns: int) -> list[Run]:
    """The sock laid out straight in a line, each part as long as along the sole. Raises ValueError for no room."""
    if columns < 1:
        raise ValueError("a line needs at least one cell")
    longs = [part.deep * 2 if isinstance(part, Pocket) else part.long_mm for part in shape.parts]
    total = sum(longs)
    passes = [isinstance(part, Pocket) for part in shape.parts]
    tops = [part < len(shape.above) and name != "leg" for part, name in enumerate(shape.names)]
    cells = []
    for column in range(columns):
        at = (column + 0.5) / columns * total
        part = 0
        while part < len(longs) - 1 and at > longs[part]:
            at -= longs[part]
            part += 1
        row = min(shape.counts[part], int(at / longs[part] * shape.counts[part]) + 1)
        ink = Ink(part, "done" if row <= done[part] else "ahead")
        cells.append(_cell(ink, ink, passes, tops))
    return _joined(cells)


def _cell(upper: Ink | None, lower: Ink | None, passes: Sequence[bool], tops: Sequence[bool]) -> Run:
    """One cell: what is cranked as full halves, else what lies ahead as one sign."""
    up, down = upper is not None and upper.standing != "ahead", lower is not None and lower.standing != "ahead"
    if up and down:
        if upper != lower:
            return Run("▀", upper, lower)
        assert upper is not None
        if upper.standing == "inside":
            return Run("▒", upper)
        return Run("▓" if passes[upper.part] else "▚" if tops[upper.part] else "█", upper)
    if up:
        return Run("▀", upper, lower)
    if down:
        return Run("▄", lower, upper)
    ahead = lower or upper
    if ahead is None:
        return Run(" ", None)
    return Run("░" if passes[ahead.part] else "·", ahead)


def _joined(cells: Sequence[Run]) -> list[Run]:
    """Neighbours of one look as one run."""
    return [
        Run("".join(cell.text for cell in same), *look)
        for look, same in groupby(cells, key=lambda cell: (cell.fore, cell.back))
    ]
