"""Home's panels, and what stands in each: functions from what is known and the room there is to rows.

A click on a panel does as its key, and the pointer lights its frame.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from hosewright.bench.widgets.keybar import PointedKeys, in_lines
from hosewright.bench.widgets.panel import LIVE, PLAIN, Panel, bar, row_width
from hosewright.phrases.days import MONTHS, WEEKDAYS, days_to, show_day
from hosewright.phrases.lists import clipped, listed, many

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual import events

    from hosewright.bench.widgets.line import Row, Run
    from hosewright.logbook.overview import Overview, Promised, Way
    from hosewright.session.keys import Command

_GAP = 3  # cells between two keys
EPOCH = date(1970, 1, 1)
WEEKS = 53
# Rows a day, and the sign from there on. The signs are ours, and so are the figures: a tube, a sock, a pair.
SHADES = ((0, "·"), (1, "░"), (51, "▒"), (151, "▓"), (301, "█"))
BARS = " ▁▂▃▄▅▆▇█"
LATE = "!"
SOCK_SIGNS = {"not begun": "░░", "under way": "▓░", "cranked": "██"}


class YarnLeft(NamedTuple):
    """Yarn in hand: what is left of it beside what is promised, and how many pairs it makes, in words."""

    name: str
    free_g: float
    promised_g: float
    makes: str


@dataclass(frozen=True, slots=True)
class Known:
    """What is worked out behind the panels: rows since the oil by machine, yarn left, what a pair still takes.

    ``days`` are the year's rows without what was undone; None until that is known.
    """

    oil: Mapping[str, int]
    yarns: Sequence[YarnLeft] | None
    pairs: Mapping[str, str]
    days: Mapping[int, int] | None = None


NOTHING_YET = Known({}, None, {})


def spread(left: Row, right: str, width: int) -> Row:
    """``left``, and ``right`` at the end of the line, where both fit."""
    gap = width - row_width(left) - len(right)
    return [*left, (" " * gap, ""), (right, "muted")] if right and gap >= 1 else list(left)


# --- promised ---------------------------------------------------------------------------------------------------------


def promised_rows(known: Known, promised: Sequence[Promised], today: date, width: int, height: int) -> list[Row]:
    """Pairs promised with how far each is, on a line of days where there is room for one."""
    if not promised:
        return [((" No pair is promised.", "muted"),), ((" d notes who a pair is for, and by when.", "muted"),)]
    tall = height >= 2 * len(promised) + 6
    axis = height >= len(promised) + 2
    rows: list[Row] = [*_line_of_days(promised, today, width - 2), ()] if tall else []
    room = height - len(rows) - (0 if tall else 2 if axis else 0)
    shown = promised if len(promised) * (1 + tall) <= room else promised[: max(0, room - 1)]
    for one in shown:
        rows += _pair(known, one, today, width, tall=tall)
    if len(shown) < len(promised):
        rows.append(((f" and {len(promised) - len(shown)} more", "muted"),))
    if tall:
        while len(rows) < height - 2:
            rows.append(())
        legend = "   ".join(f"{sign} {stage}" for stage, sign in reversed(SOCK_SIGNS.items()))
        late = f"   {LATE} late" if any(one.by and days_to(one.by, today) < 0 for one in promised) else ""
        rows += [((" " + legend, "muted"),), ((f" ◆ due on that day{late}", "muted"),)]
    elif axis:
        rows += _line_of_days(promised, today, width - 2)
    return rows


def promised_aside(promised: Sequence[Promised], today: date) -> str:
    """How many pairs, and how many of them are late or due within a week."""
    days = [days_to(one.by, today) for one in promised if one.by]
    late, soon = sum(day < 0 for day in days), sum(0 <= day < 7 for day in days)
    said = [many(len(promised), "pair"), f"{late} late" if late else "", f"{soon} due this week" if soon else ""]
    return " · ".join(part for part in said if part) if promised else ""


def _pair(known: Known, one: Promised, today: date, width: int, *, tall: bool) -> list[Row]:
    late = one.by is not None and days_to(one.by, today) < 0
    due = show_day(one.by, today) if one.by else "no day"
    style = "bold due" if late else "promised"
    marks = " ".join(SOCK_SIGNS[sock] for sock in one.socks)
    left = known.pairs.get(one.id, "")
    done = set(one.socks) == {"cranked"}
    words = "hand it over" if done else left
    first = f"{LATE if late else ' '}{due:<10}  "
    beside = "" if tall else words
    room = width - len(first) - len(marks) - 3 - (len(beside) + 2 if beside else 0)
    if room < len(one.name):
        beside, room = "", width - len(first) - len(marks) - 3
    name = f"{clipped(one.name, room):<{room}}"
    row: list[Run] = [(first, style), (name, ""), ("  " + marks, "done" if done else "")]
    row += [(f"  {beside}", "muted")] if beside else []
    if not tall:
        return [row]
    said = [f"late by {many(-days_to(one.by or '', today), 'day')}"] if late else []
    said += [words] if words else []
    said += ["no plan yet"] if not one.planned else []
    said += ["not paid"] if one.unpaid else []
    below = ", ".join(said)
    indent = min(len(first), max(1, width - len(below) - 1))
    return [row, ((" " * indent + clipped(below, width - indent - 1), "due" if late else "muted"),)]


def _line_of_days(promised: Sequence[Promised], today: date, width: int) -> list[Row]:
    """Today at the left, the last day promised at the right, a mark at each; what is late stands at the left."""
    ahead = [days_to(one.by, today) for one in promised if one.by]
    last = max(7, *ahead) if ahead else 7
    cells = ["─"] * width
    for day in range(0, last + 1, 7):
        cells[round(day / last * (width - 1))] = "┼"
    for day in sorted(ahead, reverse=True):
        cells[round(max(0, day) / last * (width - 1))] = "◆" if day >= 0 else LATE
    end = today + timedelta(last)
    begin, until = f"{today.day} {MONTHS[today.month - 1]}", f"{end.day} {MONTHS[end.month - 1]}"
    dates: Row = [(" ", ""), *spread([(begin, "muted")], until, width)]
    looks = {"◆": "bold promised", LATE: "bold due"}
    runs = ((look, "".join(signs)) for look, signs in groupby(cells, lambda sign: looks.get(sign, "muted")))
    return [dates, [(" ", ""), *((signs, look) for look, signs in runs)]]


# --- rows cranked -----------------------------------------------------------------------------------------------------


def calendar_rows(days: Mapping[int, int], today: date, width: int, height: int) -> list[Row]:
    """The year's rows by day as weeks side by side, Monday on top; by week where there is no room for that."""
    step = 2 if width >= 2 * WEEKS + 8 else 1
    weeks = min(WEEKS, (width - 7) // step)
    monday = today - timedelta(today.weekday()) - timedelta(7 * (weeks - 1))
    if height < 9:
        return _by_week(days, monday, weeks, step, height)
    rows: list[Row] = [_months(monday, weeks, step)]
    for weekday in range(7):
        cells: list[Run] = [(f" {WEEKDAYS[weekday][:3]} ", "muted")]
        for week in range(weeks):
            day = monday + timedelta(7 * week + weekday)
            ahead = day > today
            sign = " " if ahead else shade(days.get((day - EPOCH).days, 0))
            tint = "" if ahead else "muted" if sign == "·" else "live"
            cells.append((sign * step if sign not in "· " else sign + " " * (step - 1), tint))
        rows.append(cells)
    rows.append(((" " * 5 + _legend(), "muted"),))
    return rows[:height]


def shade(rows: int) -> str:
    """The sign for so many rows in a day."""
    return next(sign for least, sign in reversed(SHADES) if rows >= least)


def _legend() -> str:
    ends = [f"to {SHADES[at + 1][0] - 1}" if at + 1 < len(SHADES) else "more rows" for at in range(1, len(SHADES))]
    signs = [sign for _, sign in SHADES]
    return "   ".join([f"{signs[0]} none", *(f"{sign} {end}" for sign, end in zip(signs[1:], ends, strict=True))])


def _months(monday: date, weeks: int, step: int) -> Row:
    """Each month over the week it begins in; the first one's only where the next leaves it room."""
    line = [" "] * (weeks * step)
    for week in reversed(range(weeks)):
        first = monday + timedelta(7 * week)
        last = first + timedelta(6)
        at = week * step
        if (last.day <= 7 or not week) and at + 3 <= len(line) and not "".join(line[at : at + 4]).strip():
            line[at : at + 3] = MONTHS[(last if last.day <= 7 else first).month - 1]
    return ((" " * 5 + "".join(line), "muted"),)


def _by_week(days: Mapping[int, int], monday: date, weeks: int, step: int, height: int) -> list[Row]:
    sums = [sum(days.get((monday - EPOCH).days + 7 * week + day, 0) for day in range(7)) for week in range(weeks)]
    most = max([*sums, 1])
    lines = max(1, height - 1)
    rows: list[Row] = []
    for line in reversed(range(lines)):
        signs = ""
        for rows_cranked in sums:
            eighths = max(round(rows_cranked / most * lines * 8), int(rows_cranked > 0)) - 8 * line
            sign = BARS[max(0, min(8, eighths))]
            signs += (sign if sign != " " or line else "·") + (sign if sign != " " else " ") * (step - 1)
        rows.append(((" " * 5 + signs, "live"),))
    return [_months(monday, weeks, step), *rows]


def calendar_aside(days: Mapping[int, int], today: date) -> str:
    """All of the year in a few words, and its best day."""
    if not days:
        return ""
    best = max(days, key=lambda day: (days[day], day))
    when = show_day((EPOCH + timedelta(best)).isoformat(), today)
    return f"{sum(days.values()):,} rows and passes · most {when}: {days[best]:,}"


# --- yarn, care -------------------------------------------------------------------------------------------------------


def yarn_rows(known: Known, told: Overview, _today: date, width: int, height: int) -> list[Row]:
    """What is left of each yarn, free and promised."""
    if not told.yarns:
        return [((" No yarn is on the shelf yet.", "muted"),)]
    if known.yarns is None:
        bought = [(clipped(one.name, width - 12), one.grams) for one in told.yarns if one.grams]
        return [spread(((f" {name}", ""),), f"{grams:g} g bought ", width) for name, grams in bought]
    most = max((one.free_g + one.promised_g for one in known.yarns), default=0.0) or 1.0
    lacking = [one.name for one in told.yarns if not one.grams]
    tall = height >= 2 * len(known.yarns) + len(lacking) + 1
    rows: list[Row] = []
    for one in known.yarns:
        grams = f"{one.free_g + one.promised_g:.0f} g"
        cells = max(6, width - 2 if tall else width // 4)
        free = bar(one.free_g / most, cells)
        kept = bar(one.promised_g / most, cells, "▒")[: cells - len(free)]
        drawn: list[Run] = [(free, "done"), (kept, "promised")]
        words = f"{grams}  {one.makes}".rstrip()
        if tall:
            rows += [
                spread(((f" {clipped(one.name, width - len(words) - 4)}", ""),), words + " ", width),
                [(" ", ""), *drawn],
            ]
        else:
            name = f" {clipped(one.name, width - cells - len(grams) - 5):<{max(1, width - cells - len(grams) - 5)}} "
            rows.append([(name, ""), *spread([*drawn], grams + " ", width - len(name))])
    rest = f"{height - len(rows) - tall}"
    for name in lacking[: max(0, int(rest))]:
        rows.append(spread(((f" {clipped(name, width - 16)}", "muted"),), "not weighed in ", width))
    if tall and known.yarns:
        while len(rows) < height - 1:
            rows.append(())
        rows.append(((" █ free   ▒ promised", "muted"),))
    return rows[:height]


def care_rows(known: Known, told: Overview, today: date, width: int, height: int) -> list[Row]:
    """How far each machine is to its next oil, and the needles to watch."""
    if not told.oiling:
        return [((" No machine is on the shelf yet.", "muted"),)]
    rows: list[Row] = []
    column = min(max(len(one.name) for one in told.oiling) + 2, max(12, 2 * width // 3))
    for one in sorted(told.oiling, key=lambda one: not one.every or known.oil.get(one.id, 0) < one.every):  # due first
        named = f" {clipped(one.name, column - 1):<{column}}"
        rows.append(_oil(known.oil.get(one.id), one.every, _since(one.oiled_ms, today), named, width))
    if told.watched:
        by_cylinder: dict[str, list[str]] = {}
        for needle in told.watched:
            by_cylinder.setdefault(needle.cylinder, []).append(f"{needle.needle} ({many(needle.times, 'fault')})")
        for cylinder, needles in by_cylinder.items():
            said = f" watch on {cylinder}: needle {listed(needles[:4])}"
            rows.append(((clipped(said, width), "due"),))
    elif height > len(rows):
        rows.append(((" no needle to watch", "muted"),))
    return rows[:height]


def both_rows(known: Known, told: Overview, today: date, width: int, height: int) -> list[Row]:
    """Yarn and care in one panel."""
    care = care_rows(known, told, today, width, height // 2)
    yarn = yarn_rows(known, told, today, width, height - len(care))
    return [*yarn, *care]


def _since(oiled_ms: int, today: date) -> str:
    if not oiled_ms:
        return "no oiling noted"
    return f"oiled {show_day((EPOCH + timedelta(oiled_ms // 86_400_000)).isoformat(), today, weekday=False)}"


def _oil(rows: int | None, every: int | None, oiled: str, named: str, width: int) -> Row:
    room = width - len(named) - 1
    if every is None or rows is None:
        since = "since the oil" if oiled.startswith("oiled") else "in all"
        known = [f"oil every {every:,} rows"] if every else [] if rows is None else [f"{rows:,} rows {since}"]
        said = [", ".join([*known, oiled]), *known, f"{rows:,} rows" if rows is not None else oiled]
        fits = next((words for words in said if len(words) <= room), None)
        return [(named, ""), (fits or clipped(said[-1], room), "muted")]
    due = rows >= every
    words = f"{rows:,} of {every:,}" + (" rows" if room >= 34 else "") + (", oil it" if due else "")
    cells = min(20, room - len(words) - 2)
    full = bar(min(1.0, rows / every), cells) if cells >= 2 else ""
    drawn = [(full, "due" if due else "done"), ("░" * (cells - len(full)), "muted"), ("  ", "")] if full else []
    return [(named, ""), *drawn, (words, "bold due" if due else "")]


# --- the way from shelf to sock ---------------------------------------------------------------------------------------

STAGES = (
    ("s", "the shelf", "a machine, a cylinder and a yarn", "What you have, typed once; f, t and p choose from it."),
    (
        "f",
        "stitch size",
        "needs all three, and yarn on the machine",
        "Dial trials, looser and tighter, find your size.",
    ),
    ("t", "gauge tube", "needs the dial that the search found", "A plain tube, cranked to be washed and measured."),
    (
        "",
        "wash and measure",
        "needs the tube dry, a tape or a rule",
        "Enter goes on there: it tells your gauge.",
    ),
    ("p", "plan the sock", "needs the gauge, and a foot's length or a shoe size", "Every part, in rows and passes."),
    ("c", "crank it", "needs the plan", "The bench counts, and says what the hands do next."),
    ("c", "crank its twin", "needs the first sock", "Row for row as the first came out."),
)


def way_rows(way: Way, width: int, height: int) -> list[Row]:
    """The stages with the present one lit, each with its key and what it needs; with room, what it is."""
    rows: list[Row] = []
    told, tall = height >= 2 * len(STAGES), height >= 3 * len(STAGES) - 1
    for at, (key, name, needs, what) in enumerate(STAGES):
        here = at == way.at
        sign = "✓" if at < way.at else "▶" if here else "·"
        said = f"still missing: {listed([f'a {kind}' for kind in way.missing])}" if here and way.missing else needs
        style = "bold live" if here else "done" if at < way.at else "muted"
        keyed = "reverse" if here and key else style
        row: list[Run] = [(f" {sign} ", style), (f" {key or ' '} ", keyed), (f" {name:<17} ", style)]
        rows.append([*row, (clipped(said, width - row_width(row)), "bold" if here else "muted")])
        if told:
            rows.append(((" " * row_width(row) + clipped(what, width - row_width(row)), "" if here else "muted"),))
        if tall:
            rows.append(())
    return rows[:height]


# --- the panels themselves --------------------------------------------------------------------------------------------


class Door(Panel):
    """A panel that leads where ``key`` does."""

    ALLOW_SELECT = False

    def __init__(self, title: str, key: str, *, id: str) -> None:
        super().__init__(title, id=id)
        self.key = key

    def on_click(self, event: events.Click) -> None:
        event.stop()
        self.app.simulate_key(self.key)

    def on_enter(self) -> None:
        self.show_panel(self._fill, aside=self._aside, frame=LIVE)

    def on_leave(self) -> None:
        self.show_panel(self._fill, aside=self._aside, frame=PLAIN)


class Keys(Panel, PointedKeys):
    """Keys in groups, a line or two each."""

    FRAME = 1

    def __init__(self, groups: Sequence[tuple[str, Sequence[Command]]], *, id: str) -> None:
        super().__init__("THE KEYS", id=id)
        self._groups = groups

    def paint(self) -> None:
        self.show_panel(self._in_groups)

    def _in_groups(self, width: int, height: int) -> list[Row]:
        named = max(len(name) for name, _ in self._groups) + 4
        lines = [
            (name if at == 0 else "", line)
            for name, of in self._groups
            for at, line in enumerate(in_lines(of, width - named - 1, _GAP))
        ]
        gaps = len(lines) + len(self._groups) - 1 <= height
        rows: list[Row] = []
        self._at = ()
        for name, commands in lines:
            if name and rows and gaps:
                rows.append(())
            rows.append(self.place(len(rows), ((f"  {name:<{named - 2}}", "bold"),), commands, " " * _GAP))
        return rows


def in_words(commands: Sequence[Command], words: dict[str, str]) -> list[Command]:
    """The commands with other words at the foot for those named."""
    return [replace(one, word=words.get(one.does, one.word)) for one in commands]
