"""A machine's care in words: its figures, its history, the reminder of its oil, and the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.accounts.care import due_of, oil_due, ribber_set
from hosewright.phrases.days import clock_day
from hosewright.phrases.lists import aligned, listed
from hosewright.phrases.times import limit_words, minutes_words
from hosewright.session.observations import FAULT_WORDS
from hosewright.session.procedures import RIB_CHOICES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.logbook.accounts.care import Figures, OilDue
    from hosewright.logbook.accounts.cranked import Cranked
    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.shelf import Machine
    from hosewright.logbook.records.year import Care

CAUTION = (
    "Crank still and weights off before hands go near cam and hooked needles. Never force a stiff crank. "
    "Your machine's own manual comes first."
)


_DONE_SINCE = {"needle": "needles were changed", "ribber": "its timing was moved", "part": "a part was changed"}


def reminders(store: Store, machine_id: str | None = None) -> list[str]:
    """A sentence for each machine, or the one, that is past its manual's figure for oil. Raises LogbookError."""
    return [reminder(due) for due in oil_due(store, machine_id)]


def reminder(due: OilDue) -> str:
    """The reminder: "Grey machine: 20,400 rows since it was oiled on 3 Mar 2025; its manual says every 20,000."."""
    if due.oiled is None:
        since = "in this logbook, and no oiling was ever noted"
    else:
        since = f"since it was oiled on {clock_day(due.oiled.at_ms, due.oiled.zone_min)}"
    return f"{due.machine}: {due.rows:,} rows {since}; its manual says every {due.every:,}."


def figure_lines(figures: Figures) -> list[str]:
    """What a machine has cranked, in columns; no figure is told twice."""
    first: tuple[str, ...] = ("Since oiled", "not noted yet")
    if figures.oiled and figures.since_oiled:
        day = clock_day(figures.oiled.at_ms, figures.oiled.zone_min)
        first = (f"Since oiled, {day}", *_cells(figures.since_oiled))
    month = ("the same",) if figures.month == figures.since_oiled else _cells(figures.month)
    ever = ("the same",) if figures.ever in (figures.since_oiled, figures.month) else _cells(figures.ever)
    return aligned([first, ("This month", *month), ("Ever", *ever)])


def oil_words(machine: Machine, figures: Figures) -> str:
    """How the oil stands by the manual's figure, beside the figures of ``figure_lines``."""
    every = machine.oil_every_rows
    if every is None:
        return "No oil reminder yet: the figure from its manual is not entered."
    left = every - (figures.since_oiled or figures.ever).as_rows
    if due_of(machine, figures) is not None:
        return f"Oil is due: by its manual every {every:,} rows" + (f", {-left:,} past it." if left else ".")
    return f"Oil every {every:,} rows by its manual: {left:,} to go."


def ribber_words(store: Store, machine_id: str, *, at_start: bool) -> str:
    """How a machine's ribber stands; ``at_start`` only what is to be asked of it before it is used. LogbookError."""
    found = ribber_set(store, machine_id)
    if found is None:
        never = "Nothing is noted of how this machine's ribber was set up: b in its care goes through it step by step."
        return never if at_start else ""
    day = clock_day(found.at_ms, found.zone_min)
    if found.since:
        what, at_ms, zone_min = max(found.since, key=lambda one: one[1])
        return (
            f"The ribber was set up on {day}, and on {clock_day(at_ms, zone_min)} {_DONE_SINCE[what]}: look at height, "
            "needles and timing again (b in the machine's care)."
        )
    if found.verdict != RIB_CHOICES[0]:
        return f"When the ribber was last set up, on {day}, it was not right yet: {found.verdict}."
    return "" if at_start else f"Ribber set up on {day}, and its rows were clean."


def _cells(cranked: Cranked) -> tuple[str, ...]:
    return (f"{cranked.rows:,} rows", f"{cranked.passes:,} passes", f"{minutes_words(cranked.ms / 60_000)} cranking")


def how_counted(pause_s: int) -> str:
    """What the figures count, in a sentence."""
    return (
        f"Hours are the gaps between presses, none longer than {limit_words(pause_s)}. Rows pulled back or of a spoilt "
        "sock count, for they were cranked; doubtful presses and those taken back do not. For the oil two passes count "
        "as a row."
    )


def needles_words(needles: tuple[int, ...]) -> str:
    """Needle numbers with runs drawn together: "23", "23 and 24", "1 to 12, 30 and 41"."""
    runs: list[list[int]] = []
    for needle in sorted(set(needles)):
        if runs and needle == runs[-1][1] + 1:
            runs[-1][1] = needle
        else:
            runs.append([needle, needle])
    said = []
    for first, last in runs:
        said += [f"{first} to {last}"] if last - first > 1 else [str(n) for n in range(first, last + 1)]
    return listed(said)


def entry_words(item: Care, cylinders: Mapping[str, str]) -> str:
    """One thing done, without its day: "needles changed: 23 on Seventy-two, dropped stitches; latch bent"."""
    about = []
    if item.what == "needle":
        where = cylinders.get(item.cylinder or "", "")
        about.append(needles_words(item.needles) + (f" on {where}" if where else ""))
    if item.fault:
        about.append(FAULT_WORDS[item.fault])
    said = ", ".join(part for part in about if part)
    note = " ".join(item.note.split())
    told = (said, item.why, note) if item.what == "needle" else (note, item.why)
    more = "; ".join(part for part in told if part)
    struck = " (struck out)" if item.retired else ""
    return f"{item.name}{': ' if more else ''}{more}{struck}"
