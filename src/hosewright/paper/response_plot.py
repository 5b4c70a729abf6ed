"""Tubes and the fitted line as a plot of plain characters, so that nothing is told by colour. No Textual here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import show_turns
from hosewright.craft.loops import rows_per_mm
from hosewright.craft.measured import error, nominal
from hosewright.paper.plotting import Axis, Dots, Plot, drawn, margin, round_ticks

if TYPE_CHECKING:
    from hosewright.craft.response import ClickAnswer, Response

TUBE, LINE, BAND, ASKED = "o", "*", ".", "X"
LEGEND = f"{TUBE} tube  {LINE} fitted line  {BAND} one error either side  {ASKED} asked for"
LEAST_WIDE, LEAST_HIGH = 32, 5


def plot(response: Response, per_mm: float, wide: int, tall: int, asked: ClickAnswer | None = None) -> list[str]:
    """Rows per length (rows per mm x ``per_mm``) against the dial, ``wide`` columns and ``tall`` lines at most.

    The dial runs a turn past the outermost tubes and the click asked for; looser is to the right.
    """
    per_turn = response.dial.clicks_per_turn
    tubes = [(float(tube.clicks), rows_per_mm(nominal(tube.loop_mm)) * per_mm) for tube in response.tubes]
    sought = [] if asked is None else [(float(asked.clicks), nominal(asked.rows_per_mm) * per_mm)]
    places = [int(clicks) for clicks, _ in [*tubes, *sought]]
    first, last = max(min(places) - per_turn, 0), max(places) + per_turn
    rows = max(tall - 2, LEAST_HIGH)
    across = max(wide, LEAST_WIDE)
    dial = Axis(first, last, _turns(first, last, per_turn))
    length = _lengths(response, per_mm, tubes, dial, rows)
    columns = across - margin(length.ticks)
    clicks = [first + column / (columns - 1) * (last - first) for column in range(columns)]
    layers = (
        Dots(_fitted(response, per_mm, clicks, -1), BAND),
        Dots(_fitted(response, per_mm, clicks, 1), BAND),
        Dots(_fitted(response, per_mm, clicks, 0), LINE, joined=True),
        Dots(tubes, TUBE),
        Dots(sought, ASKED),
    )
    return drawn(Plot(across, rows, dial, length, layers))


def _fitted(response: Response, per_mm: float, clicks: list[float], errors: int) -> list[tuple[float, float]]:
    """The fitted rows per length so many errors of the loop away; no point where a loop would have no length."""
    points = []
    for at in clicks:
        loop = response.loop_at(at)
        length = nominal(loop) + errors * error(loop)
        if length > 0:
            points.append((at, rows_per_mm(length) * per_mm))
    return points


def _lengths(response: Response, per_mm: float, tubes: list[tuple[float, float]], dial: Axis, rows: int) -> Axis:
    ends = _fitted(response, per_mm, [dial.low, dial.high], 0)
    seen = [value for _, value in [*tubes, *ends]]
    room = 0.05 * (max(seen) - min(seen)) or 0.1
    low, high = min(seen) - room, max(seen) + room
    return Axis(low, high, round_ticks(low, high, min(8, max(2, rows - 2))))


def _turns(first: int, last: int, per_turn: int) -> tuple[tuple[float, str], ...]:
    """Whole turns below zero."""
    return tuple((clicks, show_turns(clicks, per_turn)) for clicks in range(first, last + 1) if clicks % per_turn == 0)
