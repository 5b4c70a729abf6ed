"""Pictures as data, and their drawing in plain characters: nothing is told by colour, and 80 columns will do.

The same data are drawn as SVG by ``prints.svg``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from hosewright.prints.figures import plus_minus

if TYPE_CHECKING:
    from collections.abc import Sequence

WIDTH, HEIGHT = 76, 6
_EIGHTHS = " ▁▂▃▄▅▆▇█"


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
    """The values gathered into at most so many columns, as even as can be, the median of each."""
    many = len(chart.values)
    columns = min(columns, many)
    found: list[float | None] = []
    for at in range(columns):
        known = [v for v in chart.values[at * many // columns : (at + 1) * many // columns] if v is not None]
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
    margin = 6
    columns = columns_of(chart, width - margin)
    top = round_top(columns)
    lines = [chart.title]
    for level in range(HEIGHT, 0, -1):
        label = f"{top:g}" if level == HEIGHT else f"{top / 2:g}" if level == HEIGHT // 2 else ""
        cells = (_cell(value, level, top) for value in columns)
        lines.append(f"{label:>{margin - 1}}|{''.join(cells)}".rstrip())
    lines.append(" " * (margin - 1) + "+" + "-" * len(columns))
    for told in (_names(chart, len(columns)), _signs(chart, len(columns))):
        if told.strip():
            lines.append(" " * margin + told.rstrip())
    if chart.marks:
        lines.append(" " * margin + "   ".join(f"{sign} {words}" for sign, words in _seen(chart)))
    return lines


def _cell(value: float | None, level: int, top: float) -> str:
    if value is None:
        return " "
    full = value / top * HEIGHT
    eighths = round(min(1.0, max(0.0, full - (level - 1))) * 8)
    if level == 1 and not eighths:
        eighths = 1  # something was cranked here, however slowly
    return _EIGHTHS[eighths]


def _names(chart: Bars, columns: int) -> str:
    """The parts' names where each begins; one that has no room before the next is cut or left out."""
    line = [" "] * columns
    starts = [(begin * columns // len(chart.values), name) for begin, name in chart.parts]
    for n, (begin, name) in enumerate(starts):
        end = starts[n + 1][0] if n + 1 < len(starts) else columns
        room = end - begin - 1 if n + 1 < len(starts) else end - begin
        shown = f"|{name}"[: max(room, 1)]
        line[begin : begin + len(shown)] = shown
    return "".join(line[:columns])


def _signs(chart: Bars, columns: int) -> str:
    line = [" "] * columns
    rank = [sign for sign, _ in chart.signs]
    for mark in chart.marks:
        at = min(mark.at * columns // len(chart.values), columns - 1)
        if line[at] == " " or rank.index(mark.sign) < rank.index(line[at]):
            line[at] = mark.sign
    return "".join(line)


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
    said = [plus_minus(value, error, 2) + (chart.unit and f" {chart.unit}") for _, value, error in chart.points]
    labels = max(len(label) for label, _, _ in chart.points)
    room = max(10, width - labels - max(map(len, said)) - 4)
    lines = [chart.title]
    for (label, value, error), told in zip(chart.points, said, strict=True):
        left, at, right = (_column(x, low, high, room) for x in (value - error, value, value + error))
        line = [" "] * room
        line[left : right + 1] = "-" * (right - left + 1)
        line[left], line[right] = "|", "|"
        line[at] = "o"
        lines.append(f"{label:<{labels}}  {''.join(line)}  {told}")
    ends = f"{low:.4g}".ljust(room - len(f"{high:.4g}")) + f"{high:.4g}"
    return [*lines, " " * (labels + 2) + ends]


def _column(x: float, low: float, high: float, room: int) -> int:
    return min(room - 1, max(0, round((x - low) / (high - low) * (room - 1))))


def _tally(chart: Tally, width: int) -> list[str]:
    if not chart.counts:
        return [chart.title, "nothing yet"]
    labels = max(len(label) for label, _ in chart.counts)
    most = max(count for _, count in chart.counts)
    room = max(1, width - labels - len(str(most)) - 3)
    scale = min(4.0, room / max(most, 1))
    return [chart.title] + [
        f"{label:<{labels}}  {'█' * max(1, round(count * scale))} {count}" for label, count in chart.counts
    ]
