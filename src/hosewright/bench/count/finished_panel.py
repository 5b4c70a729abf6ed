"""What finished work came to, large: a tube's gauge with its error, a search's baseline, a sock's picture."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.bench.widgets.bigtext import drawn, width_of
from hosewright.bench.widgets.panel import indented
from hosewright.counting.measuring import yarn_used
from hosewright.craft import CraftError
from hosewright.craft.dial import show_turns
from hosewright.logbook.records.planned import record_name
from hosewright.phrases.figures import about_mg
from hosewright.session.keys import Command
from hosewright.session.results import tube_gauge
from hosewright.session.steps.tubes import called

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.widgets.line import Row
    from hosewright.bench.widgets.panel import Fill
    from hosewright.logbook.live import Live
    from hosewright.settings.table import Settings

Figure = tuple[str, str, str]  # a number, its error and what it counts
LINES = 5  # of a digit
ROOM_FOR_WORDS = 24  # cells
_PLAN = Command("p", "p", "plan a sock from it", "plan_next", "Plan a sock from this gauge.")
_TUBE = Command("t", "t", "crank its tube", "tube_next", "Crank a gauge tube at this stitch size.")
_TWIN = Command("c", "c", "crank its twin", "twin_next", "Crank the twin, to match this sock.")
_ANOTHER = Command(
    "p", "p", "plan the next sock", "plan_next", "Plan another sock from the gauge this pair has proven."
)


def what_follows(live: Live) -> tuple[Command, str, dict[str, str]] | None:
    """What a finished session leads to: its command, the screen it goes to, and what is chosen there.

    None while it is not finished, or leads nowhere.
    """
    state, record = live.state, live.record
    if state.step is not None or state.abandoned:
        return None
    if record.kind == "tube":
        return (_PLAN, "plan", {"gauge": record.id}) if live.gauge(state) is not None else None
    if record.kind == "search":
        chosen = {"machine": record.machine.id, "cylinder": record.cylinder.id, "yarn": record.yarn.id}
        return (_TUBE, "tube", chosen) if state.baseline is not None else None
    if record.kind != "sock" or record.plan is None:
        return None
    offered, place, known = _TWIN, "sock", {"plan": record.plan.id}
    if record.twin_of is not None:
        offered, place = _ANOTHER, "plan"
        known = {"gauge": record.plan.gauge_session or "", "wearer": record.plan.wearer or ""}
    name = record_name(record)
    command = replace(offered, word=called(offered.word, name), help=called(offered.help, name))
    return command, place, {line: of for line, of in known.items() if of}


def gauge_figures(live: Live, settings: Settings) -> list[Figure]:
    """Rows and stitches of the tube so far, to the inch or the centimetre; none while its readings tell none."""
    try:
        gauge = tube_gauge(live.state, settings.tape_error_mm) if live.record.kind == "tube" else None
    except CraftError:
        return []
    if gauge is None:
        return []
    numbers = gauge.as_numbers()
    unit, per, places = ("in", "to the inch", 2) if settings.length_unit == "in" else ("cm", "to the cm", 3)
    return [
        (f"{numbers[f'{what}_per_{unit}']:.{places}f}", f"{numbers[f'{what}_per_{unit}_error']:.{places}f}", per_what)
        for what, per_what in (("rows", f"rows {per}"), ("stitches", f"stitches {per}"))
    ]


def figure_rows(figures: Sequence[Figure], width: int, height: int) -> list[Row]:
    """Numbers as large digits, one below the other, with the error as large where it fits; else in words."""
    if height < len(figures) * (LINES + 1) - 1:
        return [
            ((number, "bold live"), (f" ± {error} {words}" if error else f" {words}", ""))
            for number, error, words in figures
        ]
    widest = max((width_of(f"{number}±{error}") for number, error, _ in figures), default=0)
    rows: list[Row] = []
    for number, error, words in figures:
        off = drawn(f"±{error}") if error and widest + ROOM_FOR_WORDS <= width else ()
        beside = ["", "" if off or not error else f"± {error}", words, "", ""]
        for y, line in enumerate(drawn(number)):
            rows.append(((line, "live"), (f" {off[y]}" if off else "", "muted"), (f"   {beside[y]}", "bold")))
        rows.append(())
    return rows[:-1]


def large_figures(figures: Sequence[Figure]) -> Fill:
    """What fills a panel with these numbers."""
    return indented(lambda width, height: figure_rows(figures, width, height))


def _made_figures(live: Live, unit: str) -> list[Figure]:
    """The time at the crank, and of one sock its yarn."""
    minutes = live.paces.minutes_spent
    spent = f"{minutes:.0f}"
    named = "minute at the crank" if spent == "1" else "minutes at the crank"
    found: list[Figure] = [(spent, "", named)] if minutes >= 1 else []
    if live.record.kind == "sock" and (used := yarn_used(live)) is not None:
        number, _, named = about_mg(used[0], unit).partition(" ")
        found.append((number, "", f"{named} {used[1]}"))
    return found


def figures_of(live: Live, settings: Settings) -> tuple[str, list[Figure]]:
    """The title and the numbers of what finished work came to."""
    if live.record.kind in ("sock", "string"):
        return "MADE", _made_figures(live, settings.mass_unit)
    if live.record.kind == "search" and live.state.baseline is not None:
        turns = show_turns(live.state.baseline, live.state.head.clicks_per_turn)
        return "BASELINE", [(turns, "", "turns below zero")]
    if live.record.kind == "ribber":
        return "RIBBER", []
    return "GAUGE", gauge_figures(live, settings)
