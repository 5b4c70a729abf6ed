"""Plots of plain characters, drawn by plotext. Its one global figure and its untyped ways stay in here.

The 5 line of plotext is plain Python. Its 6 line draws in compiled code, which ends the whole process on a value far
outside the axes (seen with 6.1.0): not beside a count that must not be lost.
"""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

BLOCK, HALVES = "sd", "hd"  # plotext's names: a full block, and four quarters to a character
GAP = math.nan


@dataclass(frozen=True, slots=True)
class Axis:
    """From where to where, and what is written at which value. ``ruled``: a line across the plot at these values."""

    low: float
    high: float
    ticks: tuple[tuple[float, str], ...] = ()
    ruled: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Dots:
    """A sign of one character at each point; ``joined`` by a line of the same sign."""

    points: Sequence[tuple[float, float]]
    sign: str
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Columns:
    """One value to a character across the plot, filled from the floor (zero) up; None leaves a gap."""

    values: Sequence[float | None]


@dataclass(frozen=True, slots=True)
class Spans:
    """From ``error`` left to ``error`` right of each (x, y, error)."""

    points: Sequence[tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class Rods:
    """A rod from zero to each (x, y), with words behind its end."""

    points: Sequence[tuple[float, float, str]]


Layer = Dots | Columns | Spans | Rods


@dataclass(frozen=True, slots=True)
class Plot:
    """``wide`` characters in all, what is written at the sides included, and ``rows`` above the floor.

    Later layers hide earlier ones. ``right``: written beside the rows on the right. ``floor``: the x axis is drawn.
    """

    wide: int
    rows: int
    x: Axis
    y: Axis
    layers: tuple[Layer, ...]
    right: tuple[tuple[float, str], ...] = ()
    floor: bool = True


def margin(ticks: tuple[tuple[float, str], ...]) -> int:
    """The characters a side takes with these ticks: the longest of them, and the axis or a blank."""
    return 1 + max((len(words) for _, words in ticks), default=-1)


def drawn(plot: Plot) -> list[str]:
    """The plot as lines of at most ``plot.wide`` characters, without colour."""
    plt = _plotext()
    plt.clear_figure()
    plt.limit_size(False, False)  # the picture may be longer than the window: it scrolls
    plt.plotsize(plot.wide, plot.rows + plot.floor + bool(plot.x.ticks))
    plt.theme("clear")
    plt.xaxes(plot.floor, False)
    plt.yaxes(True, False)
    for value in plot.x.ruled:
        plt.vline(value)
    for layer in plot.layers:
        _add(plt, layer, plot)
    _measure(plt, plot)
    lines = plt.uncolorize(plt.build()).splitlines()
    plt.clear_figure()
    return [str(line).rstrip() for line in lines if line]


def round_ticks(low: float, high: float, most: int) -> tuple[tuple[float, str], ...]:
    """Round values from ``low`` to ``high``, at most so many: steps of 1, 2 or 5 times a power of ten."""
    power = 10.0 ** (math.floor(math.log10((high - low) / most)))
    for step in (times * power for times in (1, 2, 5, 10, 20)):
        places = range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)
        if len(places) <= most:
            break
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return tuple((place * step, f"{place * step:.{decimals}f}") for place in places)


def _add(plt: Any, layer: Layer, plot: Plot) -> None:
    if isinstance(layer, Dots):
        put = plt.plot if layer.joined else plt.scatter
        inside = [y if plot.y.low <= y <= plot.y.high else GAP for _, y in layer.points]
        put([x for x, _ in layer.points], inside, marker=layer.sign)
    elif isinstance(layer, Columns):
        halves = [value for value in layer.values for _ in range(2)]  # a character is two blocks wide and two high
        step = (plot.x.high - plot.x.low) / (len(halves) - 1)
        # Held within the axis: plotext fills a column cell by cell, outside the plot too.
        tops = [(at, min(max(value, 0), plot.y.high)) for at, value in enumerate(halves) if value is not None]
        plt.scatter([plot.x.low + at * step for at, _ in tops], [top for _, top in tops], marker=HALVES, fillx=True)
    elif isinstance(layer, Spans):
        xs, ys, errors = ([point[part] for point in layer.points] for part in range(3))
        plt.error(xs, ys, xerr=[2 * error for error in errors])  # plotext takes the whole width of a bar
    else:
        columns = plot.wide - margin(plot.y.ticks) - margin(plot.right)
        least = (plot.x.high - plot.x.low) / (columns - 1)  # one block, however little
        for x, y, words in layer.points:
            plt.plot([0, x], [y, y], marker=BLOCK)
            plt.text(f" {words}", max(x, least), y, alignment="left")


def _measure(plt: Any, plot: Plot) -> None:
    plt.xlim(plot.x.low, plot.x.high)
    plt.ylim(plot.y.low, plot.y.high)
    plt.xticks([value for value, _ in plot.x.ticks], [words for _, words in plot.x.ticks])
    plt.yticks([value for value, _ in plot.y.ticks], [words for _, words in plot.y.ticks])
    if plot.right:
        plt.scatter([plot.x.low], [plot.y.low], marker=" ", yside="right")  # a side with nothing on it is not written
        plt.ylim(plot.y.low, plot.y.high, yside="right")
        plt.yticks([value for value, _ in plot.right], [f"{words} " for _, words in plot.right], yside="right")


def _plotext() -> Any:
    if "plotext" not in sys.modules and sys.platform == "win32":
        return _without_a_shell()
    import plotext

    return plotext


def _without_a_shell() -> Any:
    """On Windows plotext starts an empty shell when imported, for its colours; a shell sets the console's modes."""
    kept = subprocess.call
    setattr(subprocess, "call", lambda *_args, **_options: 0)  # noqa: B010 - mypy forbids the plain form
    try:
        import plotext
    finally:
        setattr(subprocess, "call", kept)  # noqa: B010
    return plotext
