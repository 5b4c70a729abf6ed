"""Pictures as data, and their plots in plain characters: nothing is told by colour, and 80 columns will do.

The same data are drawn as SVG by ``prints.svg``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from hosewright.paper.plotting import Axis, Columns, Dots, Plot, Rods, Spans, drawn, margin, round_ticks
from hosewright.phrases.figures import plus_minus

if TYPE_CHECKING:
    from collections.abc import Sequence

WIDTH, HEIGHT = 76, 8


@dataclass(frozen=True, slots=True)
class Mark:
    """Something at a place along the bars: a sign of one character, and what it was."""

    at: int
    sign: str
    words: str


@dataclass(frozen=True, slots=True)
class Bars:
    """One value a place (None where there is none), from left to right. ``parts``: where each part begins."""

    title: str
    values: tuple[float | None, ...]
    parts: tuple[tuple[int, str], ...] = ()
    marks: tuple[Mark, ...] = ()
    signs: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Estimates:
    """Values with their standard errors, one under another. ``unit`` follows each."""

    title: str
    points: tuple[tuple[str, float, float], ...]
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of each."""

    title: str
    counts: tuple[tuple[str, int], ...]


Chart = Bars | Estimates | Tally


def draw(chart: Chart, width: int = WIDTH) -> list[str]:
    """The picture as lines of at most ``width`` characters."""
    if isinstance(chart, Bars):
        return _bars(chart, width)
    return _estimates(chart, width) if isinstance(chart, Estimates) else _tally(chart, width)


def columns_of(chart: Bars, columns: int) -> list[float | None]:
    """The values gathered into so many columns or spread over them, as even as can be, the median of each."""
    many = len(chart.values)
    found: list[float | None] = []
    for at in range(columns):
        first = at * many // columns
        known = [v for v in chart.values[first : max(first + 1, (at + 1) * many // columns)] if v is not None]
        found.append(median(known) if known else None)
    return found


def round_top(values: Sequence[float | None]) -> float:
    """A round number at or above the largest value: 1, 2 or 5 times a power of ten."""
    largest = max((value for value in values if value is not None), default=1.0) or 1.0
    power = 10.0 ** math.floor(math.log10(largest))
    return next(step * power for step in (1, 2, 2.5, 4, 5, 10) if step * power >= largest * (1 - 1e-12))


def _bars(chart: Bars, width: int) -> list[str]:
    if not chart.values:
        return [chart.title, "nothing yet"]
    largest = max((value for value in chart.values if value is not None), default=0.0) or 1.0
    seen = _seen(chart)
    rows = HEIGHT + len(seen)
    scale = round_ticks(0, largest, 4)
    columns = width - margin(scale)
    top = largest * (rows - 1) / (HEIGHT - 1)  # the largest value reaches the row below the marks
    names, begins = _parts(chart, columns)
    plot = Plot(
        width,
        rows,
        Axis(0, columns - 1, names, begins),
        Axis(0, top, scale),
        (Columns(columns_of(chart, columns)), *_marks(chart, columns, rows, top)),
    )
    legend = " " * margin(scale) + "   ".join(f"{sign} {words}" for sign, words in seen)
    return [chart.title, *drawn(plot), *([legend] if seen else [])]


def _parts(chart: Bars, columns: int) -> tuple[tuple[tuple[float, str], ...], tuple[float, ...]]:
    """The parts' names, each in the middle of its stretch and cut to it, and where all but the first begin."""
    many = len(chart.values)
    begins = [begin * columns // many for begin, _ in chart.parts if begin < many]
    names = []
    for (_, name), begin, end in zip(chart.parts, begins, [*begins[1:], columns], strict=False):
        if end - begin > 4:
            names.append(((begin + end) / 2, name[: end - begin - 2]))
    return tuple(names), tuple(begin for begin in begins if begin)


def _marks(chart: Bars, columns: int, rows: int, top: float) -> list[Dots]:
    """Each kind of mark in a row of its own above the bars, so that none hides another."""
    many = len(chart.values)
    kinds = []
    for row, (sign, _) in enumerate(_seen(chart)):
        at = sorted({min(mark.at * columns // many, columns - 1) for mark in chart.marks if mark.sign == sign})
        kinds.append(Dots([(column, top * (rows - 1 - row) / (rows - 1)) for column in at], sign))
    return kinds


def _seen(chart: Bars) -> list[tuple[str, str]]:
    signs = {mark.sign for mark in chart.marks}
    return [(sign, words) for sign, words in chart.signs if sign in signs]


def span_of(chart: Estimates) -> tuple[float, float]:
    """From where to where the axis goes: every value with its error, and a little air."""
    low = min(value - error for _, value, error in chart.points)
    high = max(value + error for _, value, error in chart.points)
    air = (high - low) * 0.05 or abs(high) * 0.01 or 1.0
    return low - air, high + air


def _estimates(chart: Estimates, width: int) -> list[str]:
    if not chart.points:
        return [chart.title, "nothing yet"]
    low, high = span_of(chart)
    rows = len(chart.points)
    places = range(rows, 0, -1)
    labels = tuple((at, label + " ") for at, (label, _, _) in zip(places, chart.points, strict=True))
    said = tuple(
        (at, plus_minus(value, error, 2) + (chart.unit and f" {chart.unit}"))
        for at, (_, value, error) in zip(places, chart.points, strict=True)
    )
    room = max(10, width - margin(labels) - margin(said))
    spans = [(value, at, error) for at, (_, value, error) in zip(places, chart.points, strict=True)]
    plot = Plot(
        room + margin(labels) + margin(said),
        rows,
        Axis(low, high, round_ticks(low, high, min(6, max(2, room // 6)))),
        _rows_axis(labels),
        (Spans(spans), Dots([(value, at) for value, at, _ in spans], "o")),
        said,
    )
    return [chart.title, *drawn(plot)]


def _tally(chart: Tally, width: int) -> list[str]:
    if not chart.counts:
        return [chart.title, "nothing yet"]
    places = range(len(chart.counts), 0, -1)
    labels = tuple((at, label + " ") for at, (label, _) in zip(places, chart.counts, strict=True))
    most = max(count for _, count in chart.counts)
    columns = width - margin(labels)
    room = max(1, columns - len(str(most)) - 1)
    scale = min(4.0, room / max(most, 1))
    rods = [(count, at, str(count)) for at, (_, count) in zip(places, chart.counts, strict=True)]
    plot = Plot(width, len(rods), Axis(0, (columns - 1) / scale), _rows_axis(labels), (Rods(rods),), floor=False)
    return [chart.title, *drawn(plot)]


def _rows_axis(labels: tuple[tuple[float, str], ...]) -> Axis:
    """One row a label; a single one stands in the middle of nothing."""
    return Axis(1, max(len(labels), 2), labels)
