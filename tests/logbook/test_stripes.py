"""Socks in stripes: cues, the picture, the twin; and a self-striping yarn whose twin begins alike."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Static

from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.entry_screen import EntryRow
from hosewright.cli import main
from hosewright.logbook.accounts.enough import before_first_row
from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.records import planned
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Plan, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.picture.dyed import dyed, dyed_in
from hosewright.picture.of_sock import knitted, of_plan, of_session
from hosewright.picture.shape import Place
from hosewright.places import logbook_path
from hosewright.planning import starting
from hosewright.planning.gauges import PlanShelf
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.session.cues import cues
from hosewright.session.events import Confirmed, Pressed, ReadOff
from hosewright.session.steps import CountRows
from tests.bench.stage import Host
from tests.helpers import crank_to, cylinder, drive, machine, measure_tube, yarn

if TYPE_CHECKING:
    from pathlib import Path

TYPED = Typed(name="Striped", tube="5 cm", leg="5 cm", stripes="8 navy, 4 tan")
NAVY, TAN = "#000080", "#d2b48c"


@pytest.fixture
def book(tmp_path: Path) -> Any:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.keep(machine(), cylinder(), yarn())
    things = machine(), cylinder(), yarn()
    live = book.start(starting.fresh(book, "tube", *things, dial=26, rows=60, separator_rows=8))
    crank_to(live, "after-wash")
    measure_tube(live)
    drive(live, Confirmed())
    yield book
    book.close()


def plan(book: Logbook, typed: Typed = TYPED) -> Plan:
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    knit = shelf.knit(next(iter(shelf.gauges)))
    assert knit is not None
    working = work_out(typed, knit, None, "cm")
    assert working.made is not None, working
    if typed.stripes:
        assert any(label == "By colour" and "navy" in said and "tan" in said for label, said in working.rest)
    made = to_plan("striped", typed, knit, None, working)
    book.keep(made)
    return made


def rows_of(steps: tuple[Any, ...], name: str) -> CountRows:
    (step,) = (step for step in steps if step.id == name)
    assert isinstance(step, CountRows)
    return step


def test_each_change_is_called_at_its_row(book: Logbook) -> None:
    made = plan(book)
    live = book.start(starting.first_sock(book, made, 8))
    crank_to(live, "leg")
    leg = rows_of(live.state.head.steps, "leg")
    assert leg.yarn_changes[:3] == ((8, TAN), (12, NAVY), (20, TAN))
    drive(live, [Pressed()] * 6)
    assert cues(live.state)[0].sentence("row") == "In 2 rows: change to tan."
    drive(live, [Pressed()] * 2)
    assert cues(live.state)[0].sentence("row") == "Now: change to tan."
    # The foot goes on where the leg's rows left off.
    foot, into = rows_of(live.state.head.steps, "foot"), leg.target % 12
    assert foot.yarn_changes[0][0] == (8 - into if into < 8 else 12 - into)
    assert "leg, change after row: 8 tan, 12 navy, 20 tan" in crank_sheet(made).casefold()


def test_the_picture_is_in_the_yarns_colours(book: Logbook) -> None:
    made = plan(book)
    shape = of_plan(made)
    leg = shape.names.index("leg")
    live = book.start(starting.first_sock(book, made, 8))
    drawn = of_session(live.state, knitted(made))
    assert drawn is not None
    own = planned.stripes(made)
    for colour in (
        dyed(yarn(), own, shape).colours(shape),
        dyed_in(yarn(), live.state, drawn[0], 0, own).colours(drawn[0]),
    ):
        assert [colour(Place(leg, row)) for row in (1, 8, 9, 12, 13)] == [NAVY, NAVY, TAN, TAN, NAVY]
        toe = shape.names.index("toe")
        last = (made.parts[0].count + next(part.count for part in made.parts if part.name == "foot") - 1) % 12
        assert colour(Place(toe, 1)) == (NAVY if last < 8 else TAN)


def test_the_twin_changes_where_the_first_did(book: Logbook) -> None:
    made = plan(book)
    first = book.start(starting.first_sock(book, made, 8))
    crank_to(first, "leg")
    leg = rows_of(first.state.head.steps, "leg")
    drive(first, *[Pressed()] * (leg.target + 3), Confirmed())
    crank_to(first, "graft")
    twin = starting.twin(book, starting.firsts(book, made)[0], 8)
    assert rows_of(twin.steps, "leg").target == leg.target + 3
    for name in ("leg", "foot"):
        assert rows_of(twin.steps, name).yarn_changes == rows_of(first.state.head.steps, name).yarn_changes


def test_a_self_striping_yarn_is_wound_off_for_the_twin(book: Logbook) -> None:
    made = plan(book, replace(TYPED, stripes=""))
    first = book.start(starting.first_sock(book, made, 8))
    crank_to(first, "graft")
    (one,) = starting.firsts(book, made)
    assert starting.begins_alike(one, yarn()) == ""
    striping = yarn().model_copy(update={"striped": True, "repeat_rows": 24})
    rows = sum(part.stitches for part in made.parts) / 60
    said = starting.begins_alike(one, striping)
    assert f"wind off {24 - rows % 24:.0f} rows' worth" in said


def test_a_plan_of_before_has_no_stripes(book: Logbook) -> None:
    old = plan(book, replace(TYPED, stripes="")).model_dump()
    del old["stripes"]
    assert Plan.model_validate(old).stripes == ""


# --- the lots of the colours --------------------------------------------------------------------------------------

TANS = Yarn(id="yarn-tan", name="Ribwort", shades=(TAN,), ball_g=50.0)
TAN_LOT = Lot(id="lot-tan", yarn=TANS.id, name="3", bought="2023-11-01", grams=50.0)
NAVY_LOT = Lot(id="lot-navy", yarn=yarn().id, name="88", bought="2023-11-01", grams=200.0)


def stocked(book: Logbook) -> Plan:
    made = plan(book).model_copy(update={"grams_per_pair": 60.0})
    for thing in (TANS, TAN_LOT, NAVY_LOT, made):
        book.keep(thing)
    return made


def tan_stitches(made: Plan, rows: int) -> int:
    """By counting: of the rows of leg and foot every twelve have four of tan; the heel is of the leg's last colour, the
    toe of the foot's."""
    parts = {part.name: part for part in made.parts}
    tan, done = 0, 0
    for name in ("leg", "heel", "foot", "toe"):
        part = parts[name]
        if part.kind == "passes":
            tan += part.stitches if (done - 1) % 12 >= 8 and rows > done else 0
            continue
        for _ in range(part.count):
            tan += made.slots if done % 12 >= 8 and done < rows else 0
            done += 1
    return tan


def used(book: Logbook, yarn_id: str) -> float:
    stock = stock_of(book, yarn_id)
    assert stock is not None
    (lot,) = stock.lots
    return sum(entry.mg for entry in lot.entries if entry.what == "used") / 1000


def test_the_yarn_account_takes_from_the_lot_of_each_colour(book: Logbook) -> None:
    made = stocked(book)
    lots = starting.colours_of(book, {NAVY: None, TAN: "lot-tan"})
    live = book.start(starting.first_sock(book, made, 8, {"lot": "lot-navy", **lots}))
    whole = sum(part.stitches for part in made.parts)
    crank_to(live, "leg")
    drive(live, [Pressed()] * 8)
    assert used(book, TANS.id) == 0  # eight rows of navy
    drive(live, [Pressed()] * 3)
    assert used(book, TANS.id) == pytest.approx(30 * tan_stitches(made, 11) / whole, abs=0.01)
    assert used(book, yarn().id) == pytest.approx(30 * 8 * made.slots / whole, abs=0.01)
    stock = stock_of(book, TANS.id)
    assert stock is not None
    rest = sum(claim.mg or 0 for claim in stock.lots[0].claims) / 1000
    assert rest == pytest.approx(30 * (tan_stitches(made, 10**6) - 3 * made.slots) / whole, abs=0.01)
    crank_to(live, "graft")
    tan = 30 * tan_stitches(made, 10**6) / whole
    assert 0 < tan < 30
    assert used(book, TANS.id) == pytest.approx(tan, abs=0.01)
    assert used(book, yarn().id) == pytest.approx(30 - tan, abs=0.01)
    stock = stock_of(book, TANS.id)
    assert stock is not None
    assert f"tan of {live.record.title}" in stock.lots[0].names.values()
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 33.0))  # weighed: shared by the same stitches
    assert used(book, TANS.id) == pytest.approx(33 * tan / 30, abs=0.01)
    assert used(book, yarn().id) == pytest.approx(33 - 33 * tan / 30, abs=0.01)


def test_a_twin_takes_its_colours_off_the_lots_of_its_first_and_a_colour_tells_its_only_lot(book: Logbook) -> None:
    made = stocked(book)
    lots = starting.colour_lots(book)
    assert starting.usual_colour_lot(TAN, lots, None) == "lot-tan"
    assert starting.usual_colour_lot(NAVY, lots, None) is None  # nobody said what colour that yarn is
    first = starting.first_sock(book, made, 8, starting.colours_of(book, {NAVY: "lot-navy"}))
    assert starting.usual_colour_lot(NAVY, lots, first) == "lot-navy"
    assert starting.usual_colour_lot(TAN, lots, first) is None
    old = first.model_dump(mode="json")
    del old["colour_lots"]
    assert SessionRecord.model_validate(old).colour_lots == ()


def test_before_the_first_row_each_lot_is_held_against_its_own_share(book: Logbook) -> None:
    made = stocked(book)
    book.keep(TAN_LOT.model_copy(update={"grams": 5.0}))
    said = before_first_row(book, [made] * 2, "lot-navy", colours={TAN: "lot-tan"})
    tan = round(60 * tan_stitches(made, 10**6) / sum(part.stitches for part in made.parts))
    assert any(line.startswith("Lot 3 holds 5 g") and f"takes {tan} " in line for line in said), said
    assert not any("88" in line for line in said)
    assert not any("Lot 3" in line for line in before_first_row(book, [made] * 2, "lot-navy"))


async def test_the_start_asks_for_the_lot_of_each_stripe(book: Logbook) -> None:
    made, app = stocked(book), Host(book)
    async with app.run_test() as pilot:
        app.show(SockStartScreen(plan=made.id))
        await pilot.pause()
        rows = [app.screen.query_one(f"#row-colour_lot_{n}", EntryRow) for n in (1, 2, 3)]
        assert [row.display for row in rows] == [True, True, False]
        labels = [str(row.query_one(".form-label", Static).render()) for row in rows[:2]]
        assert labels == ["Lot of navy", "Lot of tan"]
        assert [row.chosen for row in rows[:2]] == [None, "lot-tan"]
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert [(one.colour, one.yarn, one.lot) for one in record.colour_lots] == [(TAN, TANS, "lot-tan")]


def test_the_command_line_names_them_too(capsys: pytest.CaptureFixture[str], book: Logbook) -> None:
    made = stocked(book)
    logbook_path().parent.mkdir(parents=True, exist_ok=True)
    with closing(Logbook(logbook_path())) as other:
        for thing in (machine(), cylinder(), yarn(), TANS, TAN_LOT, NAVY_LOT, made):
            other.keep(thing)
    argv = ["start", "sock", "--plan", made.id, "--json", "--colour-lot"]
    assert main([*argv, "green", "88"]) != 0
    assert "No stripe of this plan is" in capsys.readouterr().err
    assert main([*argv, "navy", "88"]) == 0
    with closing(Logbook(logbook_path())) as other:
        (line,) = other.lines()
        told = {one.colour: one.lot for one in other.record(line).colour_lots}
    assert told == {NAVY: "lot-navy", TAN: "lot-tan"}
