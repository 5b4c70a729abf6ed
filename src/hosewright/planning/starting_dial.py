"""Where the dial stands at the start of a search or a tube, and where that number is from."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean
from typing import TYPE_CHECKING

from hosewright.craft.dial import dial_place
from hosewright.craft.measured import error, nominal
from hosewright.craft.stitch_size import StitchSize, expected_turns, start_of_search
from hosewright.craft.yarn import tex_from
from hosewright.logbook.records.shelf import Yarn
from hosewright.phrases.days import clock_day

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from hosewright.craft.measured import Measured
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Cylinder, Machine
    from hosewright.session.steps import SessionKind

NEAR_ZERO_TURNS = 2  # ours: a dial nearer to zero than that makes so small a stitch that it is asked about
NO_START = {
    "search": "Dial: begin surely too large, so that the stitches drop back. No start is noted for {}.",
    **dict.fromkeys(
        ("tube", "ribber"),
        "Dial: no stitch size is known here yet. Find it first (f on the bench), or type where the dial of {} is.",
    ),
}


@dataclass(frozen=True, slots=True)
class StartingDial:
    """Where the dial should stand, in clicks below zero, and where the number is from.

    ``expected`` is the stitch size expected of the yarn, in turns below zero, where ``searches`` of others tell it.
    """

    clicks: int
    source: str
    expected: Measured | None = None
    searches: int = 0


def starting_dial(
    book: Logbook, kind: SessionKind, machine: Machine, cylinder: Cylinder, yarn: Yarn
) -> StartingDial | None:
    """Where the dial starts: for a tube the stitch size found for this yarn here, for a search a full turn below it, or
    below the one that other yarns' searches here let expect. Else the machine's own start.

    None when nothing of that is known. Raises LogbookError.
    """
    found = learnt_start(book, machine, cylinder, yarn) if kind == "search" else None
    if kind != "search":
        found = found_stitch_size(book, machine, cylinder, yarn)
    if found is not None:
        return found
    usual = f"the starting dial of {machine.name}"
    if kind != "search":
        usual += f"; no finished search has found {yarn.name}'s stitch size on {cylinder.name} yet"
    return None if machine.starting_dial is None else StartingDial(machine.starting_dial, usual)


def found_stitch_size(book: Logbook, machine: Machine, cylinder: Cylinder, yarn: Yarn) -> StartingDial | None:
    """What the newest finished search for this yarn on this machine and cylinder found. Raises LogbookError."""
    return _found_for(yarn, _searches(book, machine, cylinder))


def _found_for(yarn: Yarn, searches: Iterable[tuple[SessionRecord, int]]) -> StartingDial | None:
    for record, baseline in searches:
        if record.yarn.id == yarn.id:
            day = clock_day(record.started_ms, record.zone_min)
            return StartingDial(baseline, f"the stitch size found for {yarn.name} here by the search of {day}")
    return None


def learnt_start(book: Logbook, machine: Machine, cylinder: Cylinder, yarn: Yarn) -> StartingDial | None:
    """Where a search begins by what earlier ones on this machine and cylinder found, None where there are none.

    Raises LogbookError.
    """
    searches = list(_searches(book, machine, cylinder))
    own = _found_for(yarn, searches)
    if own is not None:
        return StartingDial(own.clicks + machine.turn, f"a full turn below {own.source}")
    expected = expected_turns(_stitch_sizes(book, searches), _tex(yarn))
    if expected is None:
        return None
    said = f"your {len(searches)} searches on this cylinder say" if len(searches) > 1 else "your one search here says"
    turns, sure = nominal(expected), error(expected)
    more = "" if yarn.m_per_100g else ", surer with the yarn's metres noted"
    return StartingDial(
        start_of_search(expected, machine.turn),
        f"a full turn below what {said}: {turns:.1f} ± {sure:.1f} turns{more}",
        expected,
        len(searches),
    )


def _stitch_sizes(book: Logbook, searches: Sequence[tuple[SessionRecord, int]]) -> list[StitchSize]:
    """What was found for each yarn, with its count as the shelf has it now."""
    turns: dict[str, list[float]] = {}
    yarns: dict[str, Yarn] = {}
    for record, baseline in searches:
        turns.setdefault(record.yarn.id, []).append(baseline / record.head.clicks_per_turn)
        yarns.setdefault(record.yarn.id, book.get(Yarn, record.yarn.id) or record.yarn)
    return [StitchSize(fmean(found), _tex(yarns[one]), len(found)) for one, found in turns.items()]


def _tex(yarn: Yarn) -> float | None:
    return tex_from("m_per_100g", yarn.m_per_100g) if yarn.m_per_100g else None


def _searches(book: Logbook, machine: Machine, cylinder: Cylinder) -> Iterator[tuple[SessionRecord, int]]:
    """Every finished search there with what it found, in clicks below zero, the newest first; none that is left out.

    Raises LogbookError.
    """
    sql = """SELECT s.id FROM catalogue c JOIN sessions s ON s.n = c.session
        WHERE c.machine_id = ? AND c.cylinder_id = ? AND c.kind = 'search' AND c.status = 'finished' AND c.left_out = ''
        ORDER BY c.began DESC, s.n DESC"""
    for (session_id,) in book.store.ask(sql, machine.id, cylinder.id):
        line = book.store.find(session_id)
        baseline = book.state(line).baseline
        if baseline is not None:
            yield book.record(line), baseline


def near_zero(record: SessionRecord) -> str:
    """What is asked before a search or a tube starts with the dial very near zero; empty when it does not."""
    clicks, turn = record.dial, record.machine.turn
    if clicks >= NEAR_ZERO_TURNS * turn:
        return ""
    where = f"{dial_place(clicks, turn)[0].upper()}{dial_place(clicks, turn)[1:]}"
    if record.kind == "search":
        return f"{where} makes a very small stitch, and a search begins with one surely too large. Start there?"
    return f"{where} makes a very small stitch, which may jam. Start there?"
