"""The picture of a sock in the cells of a terminal: half-blocks, or letters where those are not to be had.

A cell is twice as high as wide, so each holds two square halves, one above the other. What is cranked is a full half,
what lies ahead is dotted or hatched: the shape tells it, colour only says it again. The signs are ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from math import floor
from typing import TYPE_CHECKING, Literal, NamedTuple

from hosewright.picture.shape import Place, Pocket, Shape, Straight

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Filled = Literal["ahead", "inside", "done"]
Colour = str | None
SignAt = tuple[str, int, int]  # a sign, and the part and row where it stands
Kind = Literal["top", "rows", "passes"]  # a hem or cuff, another part in rows, a heel or toe


class Ink(NamedTuple):
    """What a half of a cell shows: a part, how far it is there, and the yarn's colour where one is known.

    "inside": only the half of a hung hem that lies behind is cranked.
    """

    part: int
    standing: Filled
    kind: Kind
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

    @property
    def area_mm2(self) -> float:
        """What is drawn covers."""
        return sum(place is not None for half in self.halves for place in half) * self.mm**2

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


def placed(
    find: Callable[[int, int], tuple[int, int] | None], marks: Sequence[SignAt], wide: int = 1
) -> list[tuple[str, int, int]]:
    """Each sign with the column and line where its row is found, in ``wide`` cells; what is not found is left out.

    Signs of one place stand side by side.
    """
    found: list[tuple[str, int, int]] = []
    for sign, part, row in marks:
        at = find(part, row)
        if at is None:
            continue
        x, y = at
        while any(line == y and abs(column - x) < wide for _, column, line in found):
            x += 1
        found.append((sign, x, y))
    return found


@lru_cache(maxsize=8)  # home asks for the one of the marked session again and again
def largest_mm(shape: Shape, columns: int, lines: int) -> float:
    """How many mm a column, and half a line, stand for at the least: the smaller, the larger ``shape`` is drawn."""
    left, top, right, bottom = shape.box
    return max((right - left) / columns, (bottom - top) / (2 * lines))


def draw(shape: Shape, columns: int, lines: int) -> Picture:
    """The picture of ``shape`` that fills the room, its left and top edge at 0. Raises ValueError for no room at all.

    Whole cells make a leg of 18.5 columns one of 18 or 19. So the scale and where the cells begin are chosen among
    nearly the largest so that leg and foot come out as true as they can.
    """
    if columns < 1 or lines < 1:
        raise ValueError("a picture needs at least one cell")
    left, top, right, bottom = shape.box
    largest = largest_mm(shape, columns, lines)
    grids = [
        (largest * size, left - x * largest * size, top - y * largest * size)
        for size in _SIZES
        for x in _SHIFTS
        for y in _SHIFTS
        if (right - left) / (largest * size) + x <= columns and (bottom - top) / (largest * size) + y <= 2 * lines
    ]
    best = sorted(grids, key=lambda grid: _untrue(shape, *grid))[:_TRIED] or [(largest, left, top)]
    drawn = [Picture(shape, columns, lines, *grid, _sampled(shape, columns, lines, *grid)) for grid in best]
    area = sum(one.area_mm2 for one in shape.parts)
    return min(drawn, key=lambda picture: abs(picture.area_mm2 - area))


def _sampled(
    shape: Shape, columns: int, lines: int, mm: float, x0: float, y0: float
) -> tuple[tuple[Place | None, ...], ...]:
    """What lies at the middle of each half cell."""
    return tuple(
        tuple(shape.at(x0 + (x + 0.5) * mm, y0 + (y + 0.5) * mm) for x in range(columns)) for y in range(2 * lines)
    )


# How much smaller than the largest a picture may be, and how far its cells may begin before it, in cells.
_SIZES = tuple(1 + part / 100 for part in range(9))
_SHIFTS = (0.0, 0.2, 0.4, 0.6, 0.8)
_TRIED = 4  # of them, looked at in full


def _untrue(shape: Shape, mm: float, x0: float, y0: float) -> float:
    """By how much what is straight comes out too large or too small in cells of ``mm`` from (x0, y0): a share of it."""

    def cells(start: float, end: float, origin: float) -> float:
        return (floor((end - origin) / mm + 0.5) - floor((start - origin) / mm + 0.5)) * mm

    whole = off = 0.0
    for left, top, right, bottom in shape.straight:
        area = (right - left) * (bottom - top)
        whole += area
        off += abs(cells(left, right, x0) * cells(top, bottom, y0) - area)
    across = cells(0.0, shape.wide, x0 if isinstance(shape, Straight) else y0)
    return off / whole + abs(across / shape.wide - 1)


def standing(place: Place, done: Sequence[int]) -> Filled:
    """How far a place is, by the rows and passes ``done`` of each part."""
    if place.row <= done[place.part]:
        return "done"
    return "inside" if 0 < place.inside <= done[place.part] else "ahead"


class Filling:
    """A picture in half-blocks as it fills: only the lines that a changed count touches are worked out anew.

    ``colour`` says the yarn's colour at a place, where it is known.
    """

    def __init__(self, picture: Picture, colour: Callable[[Place], Colour] = lambda _: None) -> None:
        self.picture = picture
        self._colour = colour
        shape = picture.shape
        self._kinds = _kinds(shape)
        self._done: tuple[int, ...] | None = None
        self._lines: list[list[Run]] = [[] for _ in range(picture.lines)]
        self._found: dict[tuple[int, int], tuple[int, int] | None] = {}
        self._rows_on: list[set[tuple[int, int]]] = [set() for _ in range(picture.lines)]
        for y, half in enumerate(picture.halves):
            for place in half:
                if place is not None:
                    self._rows_on[y // 2] |= {(place.part, place.row), (place.part, place.inside)}

    def lines(self, done: Sequence[int]) -> list[list[Run]]:
        """Every line as runs, by the rows and passes ``done`` of each part."""
        before, self._done = self._done, tuple(done)
        for y, rows in enumerate(self._rows_on):
            if before is None or any(
                min(before[part], done[part]) < row <= max(before[part], done[part]) for part, row in rows
            ):
                self._lines[y] = self._line(y, done)
        return list(self._lines)

    def find(self, part: int, row: int) -> tuple[int, int] | None:
        if (part, row) not in self._found:
            self._found[part, row] = self.picture.find(part, row)
        return self._found[part, row]

    def _line(self, y: int, done: Sequence[int]) -> list[Run]:
        upper, lower = self.picture.halves[2 * y : 2 * y + 2]
        cells = [_cell(self._ink(one, done), self._ink(other, done)) for one, other in zip(upper, lower, strict=True)]
        return _joined(cells)

    def _ink(self, place: Place | None, done: Sequence[int]) -> Ink | None:
        if place is None:
            return None
        how = standing(place, done)
        return Ink(place.part, how, self._kinds[place.part], None if how == "ahead" else self._colour(place))


def _kinds(shape: Shape) -> list[Kind]:
    found: list[Kind] = []
    for part, name in zip(shape.parts, shape.names, strict=True):
        rows = name in ("leg", "ankle", "foot", "tube")
        found.append("passes" if isinstance(part, Pocket) else "rows" if rows else "top")
    return found


def in_letters(picture: Picture, done: Sequence[int], marks: Sequence[SignAt] = ()) -> list[str]:
    """Each line in plain letters, for terminals without blocks: the first of a part's name, large where cranked.

    ``marks`` stand in brackets, since their signs are letters, too.
    """
    lines = []
    for upper, lower in zip(picture.halves[::2], picture.halves[1::2], strict=True):
        signs = ""
        for one, other in zip(upper, lower, strict=True):
            place = other or one
            letter = " " if place is None else picture.shape.names[place.part][0]
            signs += letter.upper() if place is not None and standing(place, done) == "done" else letter
        lines.append(signs)
    for sign, x, y in placed(picture.find, marks, 3):
        start = max(0, min(x, picture.columns - 3))
        lines[y] = f"{lines[y][:start]}[{sign}]{lines[y][start + 3 :]}"
    return [line.rstrip() for line in lines]


def in_a_line(
    shape: Shape, done: Sequence[int], columns: int, colour: Callable[[Place], Colour] = lambda _: None
) -> list[Run]:
    """The sock laid out straight in a line, each part as long as along the sole. Raises ValueError for no room.

    ``colour`` says the yarn's colour at a place, where it is known.
    """
    if columns < 1:
        raise ValueError("a line needs at least one cell")
    longs = [part.deep * 2 if isinstance(part, Pocket) else part.long_mm for part in shape.parts]
    total = sum(longs)
    kinds = _kinds(shape)
    cells = []
    for column in range(columns):
        at = (column + 0.5) / columns * total
        part = 0
        while part < len(longs) - 1 and at > longs[part]:
            at -= longs[part]
            part += 1
        row = min(shape.counts[part], int(at / longs[part] * shape.counts[part]) + 1)
        cranked = row <= done[part]
        ink = Ink(part, "done" if cranked else "ahead", kinds[part], colour(Place(part, row)) if cranked else None)
        cells.append(_cell(ink, ink))
    return _joined(cells)


_FULL: dict[Kind, str] = {"top": "▚", "rows": "█", "passes": "▓"}


def _cell(upper: Ink | None, lower: Ink | None) -> Run:
    """One cell: what is cranked as full halves, else what lies ahead as one sign."""
    up, down = upper is not None and upper.standing != "ahead", lower is not None and lower.standing != "ahead"
    if up and down:
        if upper != lower:
            return Run("▀", upper, lower)
        assert upper is not None
        if upper.standing == "inside":
            return Run("▒", upper)
        return Run(_FULL[upper.kind], upper)
    if up:
        return Run("▀", upper, lower)
    if down:
        return Run("▄", lower, upper)
    ahead = lower or upper
    if ahead is None:
        return Run(" ", None)
    return Run("░" if ahead.kind == "passes" else "·", ahead)


def _joined(cells: Sequence[Run]) -> list[Run]:
    """Neighbours of one look as one run."""
    return [
        Run("".join(cell.text for cell in same), *look)
        for look, same in groupby(cells, key=lambda cell: (cell.fore, cell.back))
    ]
