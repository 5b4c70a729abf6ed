"""Pictures as data, and their plots in plain characters: nothing is told by colour, and 80 columns will do.

The same data are drawn as SVG by ``paper.html_page``. One is of its own kind: tubes, and the fitted line of the dial.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from statistics import fmean, median
from textwrap import wrap
from typing import TYPE_CHECKING

from hosewright.craft.dial import show_turns
from hosewright.craft.loops import rows_per_mm
from hosewright.craft.measured import error, nominal
from hosewright.craft.units import plus_minus
from hosewright.logbook.records.planned import stripes
from hosewright.paper.plotting import Axis, Columns, Dots, Plot, Rods, Spans, drawn, margin, round_ticks
from hosewright.phrases.days import MONTHS, plain_day
from hosewright.phrases.times import DAY_MS, day_began, local
from hosewright.picture.cells import draw as draw_sock
from hosewright.picture.cells import in_letters
from hosewright.picture.dyed import Dyed, dyed, dyed_in
from hosewright.picture.of_sock import knitted, of_plan, of_session
from hosewright.picture.shape import Pocket
from hosewright.words.tight import NOT_TIGHT
from hosewright.words.tight import of_plan as of_plan_tight

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.response import ClickAnswer, Response
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Machine, Plan, Wearer, Yarn
    from hosewright.picture.cells import SignAt
    from hosewright.picture.shape import Shape
    from hosewright.session.state import State
    from hosewright.words.tight import Tightness

WIDTH, HEIGHT = 76, 8
TIMELINE_HIGH = 11
MOST_DRAWN = 150
SOCK_WIDE, SOCK_HIGH = 44, 18
TUBE, LINE, BAND, ASKED, LEVEL = "o", "*", ".", "X", "="
LEGEND = f"{TUBE} tube  {LINE} fitted line  {BAND} one error either side  {ASKED} asked for"
LEAST_WIDE, LEAST_HIGH = 32, 5
MOST_BAND = 1.5  # of the line's own height, below it and above it


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
class Timeline:
    """Values along the calendar, each (ms since 1970, value, standard error), the oldest first.

    ``levels`` are (from, to, value); ``average`` is a moving one as (ms, value), its ``limits`` low and high, where
    there is one; ``changes`` are when the values changed.
    """

    title: str
    points: tuple[tuple[int, float, float], ...]
    levels: tuple[tuple[int, int, float], ...] = ()
    average: tuple[tuple[int, float], ...] = ()
    limits: tuple[float, ...] = ()
    changes: tuple[int, ...] = ()

    @property
    def days(self) -> tuple[float, float]:
        """From when to when the axis goes, ms, with a little air."""
        first, last = self.points[0][0], self.points[-1][0]
        air = max((last - first) * 0.02, DAY_MS)
        return first - air, last + air

    @property
    def span(self) -> tuple[float, float]:
        """From where to where the other goes: every value with its error, and the limits."""
        return _with_air([end for _, *point in self.points for end in _ends(*point)] + list(self.limits))

    @property
    def gathered(self) -> tuple[tuple[float, float], ...]:
        """The values as they are drawn: where there are too many to tell apart, means of those next to each other."""
        each = 1 + (len(self.points) - 1) // MOST_DRAWN
        groups = [self.points[n : n + each] for n in range(0, len(self.points), each)]
        return tuple((fmean(at for at, _, _ in part), fmean(value for _, value, _ in part)) for part in groups)

    @property
    def signs(self) -> tuple[tuple[str, str], ...]:
        """What each sign stands for, of those that are drawn."""
        each = 1 + (len(self.points) - 1) // MOST_DRAWN
        signs = [(TUBE, "tube" if each == 1 else f"{each} tubes"), (LEVEL, "mean")]
        signs += [(LINE, "moving average"), (BAND, "its limits")] if self.average else []
        return tuple(signs + ([("|", "change")] if self.changes else []))


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of each."""

    title: str
    counts: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class DrawnSock:
    """A sock to scale, cranked as far as ``done`` of each part. ``labels``: what is written at each.

    ``tight``: where it is tightest and loosest on its wearer, with the marks of both.
    """

    title: str
    shape: Shape
    done: tuple[int, ...]
    labels: tuple[str, ...]
    yarn: Dyed
    tight: Tightness = NOT_TIGHT

    @property
    def marks(self) -> tuple[SignAt, ...]:
        """The signs of both places, by the number of the part they are in; none in a part that was not drawn."""
        names = self.shape.names
        return tuple((sign, names.index(part), row) for sign, part, row, _ in self.tight.marks if part in names)


Chart = Bars | Estimates | Timeline | Tally | DrawnSock


def planned_sock(
    plan: Plan, machine: Machine | None = None, yarn: Yarn | None = None, wearer: Wearer | None = None
) -> DrawnSock | None:
    """The sock of a plan: all of it in its ``yarn``, or without one its outline, and where it is tight on its wearer.

    None for one that cannot be drawn.
    """
    try:
        shape = of_plan(plan, machine)
    except ValueError:
        return None
    own = stripes(plan)
    done = shape.counts if yarn or own else (0,) * len(shape.counts)
    labels = part_labels(shape, shape.counts)
    return DrawnSock(plan.name, shape, done, labels, dyed(yarn, own, shape), of_plan_tight(plan, wearer))


def cranked_sock(record: SessionRecord, state: State, sock: int) -> DrawnSock | None:
    """A sock of a session as far as it was cranked; ``sock`` is its place in a string, else 0. None for none."""
    planned = record.each_sock.get(sock)
    try:
        found = None if planned is None else of_session(state, knitted(planned.plan, record.machine), sock)
    except ValueError:
        return None
    if found is None:
        return None
    shape, done = found
    assert planned is not None  # without one nothing was drawn
    title = f"{sum(done)} of {sum(shape.counts)} rows and passes"
    yarn = dyed_in(record.yarn, state, shape, sock, stripes(planned.plan))
    return DrawnSock(title, shape, done, part_labels(shape, done), yarn, of_plan_tight(planned.plan, planned.wearer))


def part_labels(shape: Shape, done: Sequence[int]) -> tuple[str, ...]:
    """What each part has: "leg 51 rows", "heel 12 of 36 passes"."""
    said = []
    for part, name, count, cranked in zip(shape.parts, shape.names, shape.counts, done, strict=True):
        some = "" if cranked == count else f"{cranked} of "
        said.append(f"{name} {some}{count} {'passes' if isinstance(part, Pocket) else 'rows'}")
    return tuple(said)


def draw(chart: Chart, width: int = WIDTH) -> list[str]:
    """The picture as lines of at most ``width`` characters."""
    if isinstance(chart, Bars):
        return _bars(chart, width)
    if isinstance(chart, DrawnSock):
        picture = in_letters(draw_sock(chart.shape, min(width, SOCK_WIDE), SOCK_HIGH), chart.done, chart.marks)
        kept = (said.replace(" %", "\u00a0%") for said in chart.tight.told)  # a figure and its sign stay together
        told = [line.replace("\u00a0", " ") for said in kept for line in wrap(said, width)]
        return [chart.title, *picture, ", ".join(chart.labels), *told]
    if isinstance(chart, Timeline):
        return _timeline(chart, width)
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
    return _with_air([end for _, *point in chart.points for end in _ends(*point)])


def _ends(value: float, error: float) -> tuple[float, float]:
    return value - error, value + error


def _with_air(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    air = (high - low) * 0.05 or abs(high) * 0.01 or 1.0
    return low - air, high + air


def _estimates(chart: Estimates, width: int) -> list[str]:
    if not chart.points:
        return [chart.title, "nothing yet"]
    low, high = span_of(chart)
    rows = [(at, *point) for at, point in enumerate(reversed(chart.points), 1)][::-1]
    labels = tuple((at, label + " ") for at, label, _, _ in rows)
    unit = chart.unit and f" {chart.unit}"
    said = tuple((at, plus_minus(value, error, 2) + unit) for at, _, value, error in rows)
    room = max(10, width - margin(labels) - margin(said))
    spans = [(value, at, error) for at, _, value, error in rows]
    plot = Plot(
        room + margin(labels) + margin(said),
        len(rows),
        Axis(low, high, round_ticks(low, high, min(6, max(2, room // 6)))),
        _rows_axis(labels),
        (Spans(spans), Dots([(value, at) for value, at, _ in spans], "o")),
        said,
    )
    return [chart.title, *drawn(plot)]


def _timeline(chart: Timeline, width: int) -> list[str]:
    low, high = chart.span
    first, last = chart.days
    scale = round_ticks(low, high, 5)
    columns = width - margin(scale)
    levels = [(at, value) for start, end, value in chart.levels for at in _evenly(start, end, columns)]
    begin = chart.average[0][0] if chart.average else 0
    limits = [(at, limit) for limit in chart.limits for at in _evenly(begin, chart.points[-1][0], columns // 2)]
    layers = (Dots(limits, BAND), Dots(levels, LEVEL), Dots(chart.average, LINE), Dots(chart.gathered, TUBE))
    plot = Plot(
        width,
        TIMELINE_HIGH,
        Axis(first, last, calendar_ticks(first, last, columns // 14), tuple(map(float, chart.changes))),
        Axis(low, high, scale),
        tuple(layer for layer in layers if layer.points),
    )
    return [chart.title, *drawn(plot), "   ".join(f"{sign} {words}" for sign, words in chart.signs)]


def _evenly(first: float, last: float, many: int) -> list[float]:
    return [first + (last - first) * n / max(many, 1) for n in range(max(many, 1) + 1)]


def calendar_ticks(first_ms: float, last_ms: float, most: int) -> tuple[tuple[float, str], ...]:
    """Years, halves or quarters of them, months or days between two moments, at most so many."""
    start, end = (local(at, 0).date() for at in (first_ms, last_ms))
    found: list[date] = []
    for months in (1, 3, 6, 12, 24, 60, 120):
        place = start.year * 12
        found = []
        while (day := date(place // 12, place % 12 + 1, 1)) <= end:
            found += [day] if day >= start else []
            place += months
        if len(found) <= most:
            break
    if len(found) < 2:  # too short for months: its ends
        return tuple((at, plain_day(local(at, 0).date().isoformat())) for at in (first_ms, last_ms))
    whole = all(day.month == 1 for day in found)
    return tuple(
        (day_began(day, 0), f"{day.year}" if whole else f"{MONTHS[day.month - 1]} {day.year}") for day in found
    )


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


def plot(response: Response, per_mm: float, wide: int, tall: int, asked: ClickAnswer | None = None) -> list[str]:
    """Rows per length (rows per mm x ``per_mm``) against the dial, ``wide`` columns and ``tall`` lines at most.

    The dial runs a turn past the outermost tubes and the click asked for; looser is to the right. Every click is as
    many columns as the next, so that the ticks are even.
    """
    per_turn = response.dial.clicks_per_turn
    tubes = [(float(tube.clicks), rows_per_mm(nominal(tube.loop_mm)) * per_mm) for tube in response.tubes]
    sought = [] if asked is None else [(float(asked.clicks), nominal(asked.rows_per_mm) * per_mm)]
    places = [int(clicks) for clicks, _ in [*tubes, *sought]]
    first, last = max(min(places) - per_turn, 0), max(places) + per_turn
    rows = max(tall - 2, LEAST_HIGH)
    length = _lengths(response, per_mm, tubes, (first, last), rows)
    side = margin(length.ticks)
    columns = max(wide, LEAST_WIDE) - side
    a_click = (columns - 1) // (last - first)
    columns = a_click * (last - first) + 1 if a_click else columns
    across = side + columns
    dial = Axis(first, last, _turns(first, last, per_turn, columns))
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


def _lengths(
    response: Response, per_mm: float, tubes: list[tuple[float, float]], dial: tuple[int, int], rows: int
) -> Axis:
    """High enough for the line and its whole band, unless that is so wide that the line would lie flat in it."""
    line = _fitted(response, per_mm, list(map(float, dial)), 0)
    seen = [value for _, value in [*tubes, *line]]
    low, high = min(seen), max(seen)
    most = MOST_BAND * ((high - low) or low)
    band = [value for errors in (-1, 1) for _, value in _fitted(response, per_mm, list(map(float, dial)), errors)]
    low, high = max(min([low, *band]), low - most), min(max([high, *band]), high + most)
    room = 0.05 * (high - low) or 0.1
    low, high = low - room, high + room
    return Axis(low, high, round_ticks(low, high, min(8, max(2, rows - 2))))


def _turns(first: int, last: int, per_turn: int, columns: int) -> tuple[tuple[float, str], ...]:
    """A tick at each click, or at every so many of them that divide a turn, or at turns, as ``columns`` have room."""
    most = columns // (max(len(show_turns(clicks, per_turn)) for clicks in range(first, last + 1)) + 2)
    steps = [step for step in range(1, per_turn + 1) if per_turn % step == 0]
    steps += [per_turn * turns for turns in range(2, last - first + 2)]
    step = next(step for step in steps if (last - first) // step < most or step > last - first)
    return tuple((clicks, show_turns(clicks, per_turn)) for clicks in range(first, last + 1) if clicks % step == 0)
