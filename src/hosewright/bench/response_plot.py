"""Tubes and the fitted line drawn in characters, so that no colour and no font is needed. No Textual here."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.dial import show_turns
from hosewright.craft.loops import rows_per_mm
from hosewright.craft.measured import error, nominal

if TYPE_CHECKING:
    from hosewright.craft.response import ClickAnswer, Response

TUBE, LINE, BAND, ASKED = "o", "*", ".", "X"
LEGEND = f"{TUBE} tube  {LINE} fitted line  {BAND} one error either side  {ASKED} asked for"
AXIS = 8
LEAST_WIDE, LEAST_HIGH = 24, 5


@dataclass(frozen=True, slots=True)
class _Frame:
    """From clicks and rows to columns and lines."""

    first: int
    last: int
    low: float
    high: float
    wide: int
    tall: int

    def column(self, clicks: float) -> int:
        return round((clicks - self.first) / (self.last - self.first) * (self.wide - 1))

    def clicks(self, column: int) -> float:
        return self.first + column / (self.wide - 1) * (self.last - self.first)

    def line(self, rows: float) -> int | None:
        """The line from the top; None outside the drawing."""
        if not math.isfinite(rows):
            return None
        at = round((self.high - rows) / (self.high - self.low) * (self.tall - 1))
        return at if 0 <= at < self.tall else None


def plot(response: Response, per_mm: float, wide: int, tall: int, asked: ClickAnswer | None = None) -> list[str]:
    """Rows per length (rows per mm x ``per_mm``) against the dial, ``wide`` columns and ``tall`` lines at most.

    The dial runs a turn past the outermost tubes and the click asked for; looser is to the right.
    """
    frame = _frame(response, per_mm, max(wide - AXIS, LEAST_WIDE), max(tall - 2, LEAST_HIGH), asked)
    grid = [[" "] * frame.wide for _ in range(frame.tall)]

    def put(column: int, rows: float, mark: str) -> None:
        line = frame.line(rows)
        if line is not None:
            grid[line][column] = mark

    for column in range(frame.wide):
        loop = response.loop_at(frame.clicks(column))
        for sigmas, mark in ((-1, BAND), (1, BAND), (0, LINE)):
            length = nominal(loop) + sigmas * error(loop)
            if length > 0:
                put(column, rows_per_mm(length) * per_mm, mark)
    for tube in response.tubes:
        put(frame.column(tube.clicks), rows_per_mm(nominal(tube.loop_mm)) * per_mm, TUBE)
    if asked is not None:
        put(frame.column(asked.clicks), nominal(asked.rows_per_mm) * per_mm, ASKED)
    return [*_with_axis(grid, frame), *_dial_axis(frame, response.dial.clicks_per_turn)]


def _frame(response: Response, per_mm: float, wide: int, tall: int, asked: ClickAnswer | None) -> _Frame:
    turn = response.dial.clicks_per_turn
    places = [tube.clicks for tube in response.tubes] + ([asked.clicks] if asked else [])
    first, last = max(min(places) - turn, 0), max(places) + turn
    seen = [rows_per_mm(nominal(tube.loop_mm)) * per_mm for tube in response.tubes]
    ends = [nominal(response.loop_at(clicks)) for clicks in (first, last)]
    seen += [rows_per_mm(loop) * per_mm for loop in ends if loop > 0]
    room = 0.05 * (max(seen) - min(seen)) or 0.1
    return _Frame(first, last, min(seen) - room, max(seen) + room, wide, tall)


def _with_axis(grid: list[list[str]], frame: _Frame) -> list[str]:
    lines = []
    for number, cells in enumerate(grid):
        rows = frame.high - number / (frame.tall - 1) * (frame.high - frame.low)
        label = f"{rows:6.2f}" if number % 3 == 0 else " " * 6
        lines.append(f"{label} |{''.join(cells)}".rstrip())
    return lines


def _dial_axis(frame: _Frame, clicks_per_turn: int) -> list[str]:
    """Whole turns below zero, named where there is room."""
    ticks, names = ["-"] * frame.wide, [" "] * frame.wide
    free = 0
    for clicks in range(frame.first, frame.last + 1):
        column = frame.column(clicks)
        ticks[column] = "+"
        name = show_turns(clicks, clicks_per_turn)
        if clicks % clicks_per_turn == 0 and free <= column <= frame.wide - len(name):
            names[column : column + len(name)] = name
            free = column + len(name) + 1
    left = " " * (AXIS - 1)
    return [f"{left}+{''.join(ticks)}", f"{left} {''.join(names)}".rstrip()]
