"""A ribbed tube's own gauge, plans by it, and twins of ribbed socks."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.records import planned
from hosewright.logbook.records.shelf import Plan
from hosewright.paper.crank_sheet import crank_sheet, sheet_page
from hosewright.picture.of_sock import of_plan
from hosewright.planning import starting
from hosewright.planning.gauges import PlanShelf
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.session.events import Confirmed, Pressed, ReadOff
from tests.helpers import crank_to, cylinder, drive, machine, measure_tube, yarn

if TYPE_CHECKING:
    from pathlib import Path

TYPED = Typed(name="Ribbed", tube="15 cm", leg="14 cm", leg_rib="3x1", instep_rib="3x1")


@pytest.fixture
def book(tmp_path: Path) -> Any:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.keep(machine(), cylinder(), yarn())
    yield book
    book.close()


def tube(book: Logbook, rib: str = "", **more: float) -> None:
    """A tube cranked and measured; its readings are a plain tube's unless they are given."""
    things = machine(), cylinder(), yarn()
    live = book.start(starting.fresh(book, "tube", *things, dial=26, rows=60, separator_rows=8, rib=rib))
    crank_to(live, "after-wash")
    if rib:
        drive(live, ReadOff("length", 150.0), ReadOff("width", 70.0))
        assert live.do(Confirmed()) is not None, "how wide a ribbed tube stretches must be measured"
        drive(live, ReadOff("stretched", 130.0))
    else:
        measure_tube(live)
    drive(live, Confirmed())


def plan(book: Logbook, typed: Typed = TYPED) -> tuple[Plan, tuple[str, ...]]:
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    (name,) = shelf.gauges  # a ribbed tube is no gauge for a plain sock
    knit = shelf.knit(name)
    assert knit is not None
    working = work_out(typed, knit, None, "cm")
    assert working.made is not None, working
    made = to_plan("ribbed", typed, knit, None, working)
    book.keep(made)
    return made, working.notes


def count(of: Plan, part: str) -> int:
    return next(one.count for one in of.parts if one.name == part)


def test_without_a_ribbed_tube_the_plan_says_so_and_gives_a_range(book: Logbook) -> None:
    tube(book)
    made, notes = plan(book)
    assert made.rib is not None
    assert made.rib.rows_per_mm is None
    plain = count(plan(book, replace(TYPED, leg_rib="", instep_rib=""))[0], "leg")
    said = next(note for note in notes if note.startswith("No 3x1 tube"))
    assert f"from {round(0.9 * made.rows_per_mm * 140)} to {round(1.1 * made.rows_per_mm * 140)} rows" in said
    assert "from memory" in said
    assert count(made, "leg") == plain, "the middle of the range"
    assert "No ribbed tube was measured" in crank_sheet(made)


def test_a_ribbed_tube_is_a_gauge_of_its_own(book: Logbook) -> None:
    tube(book)
    tube(book, "3x1")
    tube(book, "1x1")
    made, notes = plan(book)
    assert made.rib is not None
    assert made.rib.rows_per_mm == pytest.approx(60 / 150)
    assert made.rib.stitches_per_mm == pytest.approx(60 / 140)
    assert made.rib.stretched_mm == 130.0
    assert count(made, "leg") == round(140 * 60 / 150)
    assert any("lies 14.0 cm round and stretches to 26.0 cm" in note for note in notes)
    shape = of_plan(made)
    leg = shape.above[shape.names.index("leg")]
    assert leg.wide_mm[0] == pytest.approx(70.0)
    assert leg.long_mm == pytest.approx(140.0, abs=1.3)  # to half a row
    latched, notes = plan(book, replace(TYPED, leg_rib="3x1 latched", instep_rib="3x1 latched"))
    assert any(note.startswith("No 3x1 latched tube") for note in notes)
    assert latched.rib is not None
    assert latched.rib.rows_per_mm is None


def test_a_twin_has_every_row_where_the_first_had_it(book: Logbook) -> None:
    tube(book)
    made, _ = plan(book)
    first = book.start(starting.first_sock(book, made, 8))
    crank_to(first, "leg")
    drive(first, *[Pressed()] * (count(made, "leg") + 3), Confirmed())
    crank_to(first, "foot")
    drive(first, *[Pressed()] * (count(made, "foot") - 4), Confirmed(early=True))
    crank_to(first, "foot-plain")
    drive(first, *[Pressed()] * 5, Confirmed())
    crank_to(first, "graft")
    twin = book.start(starting.twin(book, starting.firsts(book, made)[0], 8))
    crank_to(twin, "graft")
    assert twin.state.counts == first.state.counts
    outs = [[getattr(step, "out_of_work", ()) for step in live.state.head.steps] for live in (first, twin)]
    assert outs[0] == outs[1]


def test_what_the_sheets_say_of_the_beds(book: Logbook) -> None:
    tube(book)
    made, _ = plan(book)
    for sheet in (crank_sheet(made), sheet_page(made)):
        assert "ribber set to 3x1: every 4th, 4 to 60" in sheet
        assert "ribber stitches every 4th, 4 to 28 to the cylinder; every 4th, 32 to 60 wait on the ribber" in sheet
        assert f"row {count(made, 'foot') - 2}" in sheet
        assert "every 4th, 32 to 60 to the cylinder, ribber out; then plain" in sheet


def test_a_plan_of_before_has_no_ribs(book: Logbook) -> None:
    tube(book)
    made, _ = plan(book, replace(TYPED, leg_rib="", instep_rib=""))
    old = made.model_dump()
    del old["rib"]
    assert Plan.model_validate(old) == made
    assert planned.rib(made) is None


def test_a_ribbed_tube_leads_to_the_plan_by_its_plain_partner(book: Logbook) -> None:
    tube(book)
    tube(book, "3x1")
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    (plain,) = book.gauges()
    ribbed = next(one for one in book.gauges(ribbed=True) if one.rib)
    assert shelf.first(ribbed.session) == plain.session
    assert "type 3x1 as the leg's rib" in shelf.ribbed_words(ribbed.session)
    assert shelf.ribbed_words(plain.session) == ""


def test_a_ribbed_tube_without_a_partner_says_what_is_missing(book: Logbook) -> None:
    tube(book, "3x1")
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    (ribbed,) = book.gauges(ribbed=True)
    assert shelf.first(ribbed.session) is None
    assert "crank a plain tube of this yarn" in shelf.ribbed_words(ribbed.session)
