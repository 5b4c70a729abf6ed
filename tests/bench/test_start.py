"""Starting a session: what was last used, the dial and where it is from, the first sock and its twin."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import pytest
from textual.widgets import Input, Select, Static

from hosewright.bench.doors import screen_of
from hosewright.bench.start.screen import FreshStartScreen
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.entry_screen import EntryRow, EntryScreen
from hosewright.bench.widgets.keybar import bound_commands
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, PlannedPart, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.planning import starting
from hosewright.planning.starting import starting_dial
from hosewright.session import events as ev
from hosewright.session.steps import CountPasses, CountRows, SessionKind
from tests.bench.stage import (
    CYLINDER,
    MACHINE,
    WEARER,
    YARN,
    Host,
    begin_search,
    do,
    find_stitch_size,
    measure_tube,
    new_book,
    stock,
)
from tests.helpers import crank_to

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.live import Live

pytestmark = pytest.mark.usefixtures("home_left_alone")

SIZE = (80, 24)
PLAN = Plan(
    id="ferry-socks",
    name="Ferry socks",
    machine=MACHINE.id,
    cylinder=CYLINDER.id,
    yarn=YARN.id,
    wearer=WEARER.id,
    slots=64,
    dial=30,
    rows_per_mm=0.42,
    stitches_per_mm=0.32,
    tube_length_mm=160.0,
    heel_left_in_work=12,
    toe_left_in_work=12,
    parts=(
        PlannedPart(name="leg", kind="rows", count=60, stitches=60 * 64),
        PlannedPart(name="heel", kind="passes", count=40, stitches=880),
        PlannedPart(name="foot", kind="rows", count=67, stitches=67 * 64),
        PlannedPart(name="toe", kind="passes", count=40, stitches=880),
    ),
    foot_rows=67,
    metres_per_pair=280.0,
)


def says(app: Host) -> str:
    return str(app.screen.query_one("#form-remark", Static).content)


def chosen(app: Host, name: str) -> Any:
    return app.screen.query_one(f"#row-{name}", EntryRow).chosen


def targets(record: SessionRecord) -> dict[str, int]:
    counted = [step for step in record.steps if isinstance(step, CountRows | CountPasses)]
    return {step.id: step.target for step in counted if not step.id.startswith("separator")}


def crank_first_sock(app: Host, *, to_the_end: bool) -> Live:
    """61 leg rows, and when it goes to the end 66 foot rows and a dial one click lower."""
    live = app.book.start(starting.first_sock(app.book, PLAN, 10))
    crank_to(live, "leg")
    do(live, [*[ev.Pressed()] * 61, ev.Confirmed(), ev.DialMoved(31)])
    if to_the_end:
        crank_to(live, "foot")
        do(live, [*[ev.Pressed()] * 66, ev.Confirmed(early=True)])
        crank_to(live, "")
        assert live.state.status == "finished"
    return live


async def test_a_search_starts_at_the_machines_starting_dial(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("search"))
        await pilot.pause()
        assert app.screen.query_one("#field-dial", Input).value == "8 1/2"
        assert "the starting dial of The attic machine" in says(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert (record.kind, record.dial, record.machine, record.yarn) == ("search", 34, MACHINE, YARN)
    assert app.book.start(record).state.status == "open"


async def test_a_search_for_a_new_yarn_starts_a_full_turn_below_what_the_others_say(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    find_stitch_size(app.book)
    assert YARN.m_per_100g is not None
    new = Yarn(id="ash", name="Ash", m_per_100g=YARN.m_per_100g)
    app.book.keep(new)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("search", yarn="ash"))
        await pilot.pause()
        assert app.screen.query_one("#field-dial", Input).value == "7 3/4"  # found at 6 3/4
        assert "Dial: 7 3/4 turns below zero is a full turn below what your one search here says" in says(app)
        assert "6.8 ± 0.7 turns." in says(app)
        app.screen.query_one("#row-yarn", EntryRow).choose(YARN.id)
        await pilot.pause()
        assert app.screen.query_one("#field-dial", Input).value == "7 3/4"
        assert "a full turn below the stitch size found for Moss here by the search of 9 Oct 2025" in says(app)
    live = app.book.take_up(next(iter(app.book.lines())).id)
    do(live, [ev.LeftOut("only tried the keys")])
    out = starting_dial(app.book, "search", MACHINE, CYLINDER, new)
    assert out is not None
    assert out.source == "the starting dial of The attic machine"
    do(live, [ev.TakenIn()])
    thick = new.model_copy(update={"m_per_100g": 250.0})
    start = starting_dial(app.book, "search", MACHINE, CYLINDER, thick)
    assert start is not None
    assert start.clicks > 27 + 4 + 4  # a root of tex of 20 to 15.4 is 1.6 turns more
    bare = starting_dial(app.book, "search", MACHINE, CYLINDER, new.model_copy(update={"m_per_100g": None}))
    assert bare is not None
    assert bare.source.endswith("turns, surer with the yarn's metres noted")
    other = Cylinder(id="c54", name="Fifty-four", slots=54)
    unknown = starting_dial(app.book, "search", MACHINE, other, new)
    assert unknown is not None
    assert unknown.source == "the starting dial of The attic machine"


@pytest.mark.parametrize(
    ("kind", "words"), [("search", "begin surely too large, so that"), ("tube", "Find it first (f on the")]
)
async def test_a_machine_whose_start_nobody_noted_is_asked_for_it(
    tmp_path: Path, kind: Literal["search", "tube"], words: str
) -> None:
    app = Host(new_book(tmp_path))
    bare = Machine(id="attic", name="The attic machine", clicks_per_turn=8)
    for item in (bare, CYLINDER, YARN):
        app.book.keep(item)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen(kind))
        await pilot.pause()
        dial = app.screen.query_one("#field-dial", Input)
        assert [dial.value, app.screen.query_one("#field-weights", Input).value] == ["", ""]
        assert words in says(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        assert "Dial is needed" in str(app.screen.query_one("#row-dial .form-problem", Static).content)
        dial.value = "6 5/8"
        await pilot.pause()
        assert words not in says(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert (record.dial, record.weights, record.machine.thread_pitch_mm) == (53, "", None)
    assert app.book.start(record).state.status == "open"


async def test_a_tube_starts_at_the_stitch_size_found_and_says_where_it_is_from(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    find_stitch_size(app.book)
    begin_search(app.book, dial=20)  # not finished: says nothing
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("tube"))
        await pilot.pause()
        assert app.screen.query_one("#field-dial", Input).value == "6 3/4"
        assert "the stitch size found for Moss here by the search of 9 Oct 2025" in says(app)
        app.screen.query_one("#field-dial", Input).value = "7 3/4"
        await pilot.pause()
        assert "what you typed" in says(app)
        app.screen.query_one("#field-rows", Input).value = "29"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        assert "30 to 200" in str(app.screen.query_one("#row-rows .form-problem", Static).content)
        app.screen.query_one("#field-rows", Input).value = "80"
        await pilot.press("ctrl+s", "n")
        await pilot.pause()
        assert app.results == []  # a search is on this machine: it was asked first
        await pilot.press("ctrl+s", "y")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert record.dial == 31
    assert targets(record) == {"tube": 80}


async def test_the_stitch_size_of_another_cylinder_is_not_used(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    find_stitch_size(app.book)
    other = Cylinder(id="c54", name="Fifty-four", slots=54)
    app.book.keep(other)
    dial = starting_dial(app.book, "tube", MACHINE, other, YARN)
    assert dial is not None
    assert dial.clicks == MACHINE.starting_dial
    assert "no finished search" in dial.source


async def test_what_was_last_used_comes_first(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(Yarn(id="ash", name="Ash"))
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("search"))
        await pilot.pause()
        assert chosen(app, "yarn") == "ash"  # nothing cranked yet: the newest
        await pilot.press("escape")
        begin_search(app.book)
        app.show(FreshStartScreen("search"))
        await pilot.pause()
        assert chosen(app, "yarn") == "moss"


async def test_nothing_on_the_shelf_and_a_yarn_made_on_the_spot(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    app.book.keep(MACHINE)
    app.book.keep(CYLINDER)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("tube"))
        await pilot.pause()
        assert says(app) == "Still to choose: yarn."
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        assert app.screen.query_one("#row-yarn").has_class("-wrong")
        await pilot.press("y")
        await pilot.pause()
        await pilot.press("m", "y", "ctrl+s")
        await pilot.pause()
        assert [yarn.name for yarn in app.book.shelf(Yarn)] == ["my"]
        assert chosen(app, "yarn") == app.book.shelf(Yarn)[0].id
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert record.yarn.name == "my"


@pytest.mark.parametrize("kind", ["search", "tube", "sock"])
async def test_an_empty_shelf_brings_up_no_line_that_a_choice_calls_for(tmp_path: Path, kind: SessionKind) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(screen_of(kind, app))  # type: ignore[arg-type]  # it only has to be one
        await pilot.pause()
        names = ("lot", "yarn_start", *(("promise",) if kind == "sock" else ()))
        assert [app.screen.query_one(f"#row-{name}").display for name in names] == [False] * len(names)


async def test_an_open_list_says_how_it_is_closed(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("tube"))
        await pilot.pause()
        app.screen.query_one("#field-machine").focus()
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "close the list" in [command.word for command in bound_commands(app.screen)]


async def test_a_letter_makes_one_with_a_list_open_too(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("tube"))
        await pilot.pause()
        app.screen.query_one("#field-machine").focus()
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.query_one("#field-machine", Select).expanded
        assert "make a machine" in [command.word for command in bound_commands(app.screen)]
        await pilot.press("m")
        await pilot.pause()
        assert isinstance(app.screen, EntryScreen)
        assert "machine" in app.screen.heading.lower()


@pytest.mark.parametrize("opened", ["enter", "space", ""])
async def test_an_empty_list_stays_shut_and_the_key_it_names_works(tmp_path: Path, opened: str) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("tube"))
        await pilot.pause()
        if opened:
            await pilot.press(opened)
        else:
            await pilot.click("#field-machine")
        await pilot.pause()
        assert not app.screen.query_one("#field-machine", Select).expanded
        assert [note.message for note in app._notifications] == [
            "Nothing to choose from yet; none chosen: m makes one."
        ]
        await pilot.press("m")
        await pilot.pause()
        assert isinstance(app.screen, EntryScreen)
        assert "machine" in app.screen.heading.lower()


@pytest.mark.parametrize(("kind", "words"), [("search", "a search begins with one surely too large"), ("tube", "jam")])
async def test_a_dial_very_near_zero_is_asked_about(
    tmp_path: Path, kind: Literal["search", "tube"], words: str
) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen(kind))
        await pilot.pause()
        dial = app.screen.query_one("#field-dial", Input)
        dial.value = "1/4"
        await pilot.press("ctrl+s")
        await pilot.pause()
        asked = str(app.screen.query_one("#ask-question", Static).content)
        assert asked.startswith("1/4 turn below zero makes a very small stitch")
        assert words in asked
        await pilot.press("n")
        await pilot.pause()
        assert app.results == []
        dial.value = "2"  # on the edge of what is asked about
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert record.dial == 8


async def test_letters_typed_in_the_dial_make_nothing(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("search"))
        await pilot.pause()
        screen = app.screen
        app.screen.query_one("#field-dial", Input).focus()
        await pilot.press("c", "m", "y")
        assert app.screen is screen
        await pilot.press("enter")
        await pilot.pause()
        assert app.results == []
        assert app.screen.query_one("#row-dial").has_class("-wrong")


async def test_the_first_sock_of_a_plan(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(PLAN)
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        assert "Foot    67 rows" in says(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert targets(record) == {"leg": 60, "heel": 40, "foot": 67, "toe": 40}
    assert (record.dial, record.wearer, record.twin_of, record.plan) == (30, WEARER, None, PLAN)


async def test_the_lot_follows_the_pair_chosen(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    lots = [Lot(id=f"lot-{at}", name=str(at), yarn=YARN.id, grams=200, bought="2025-09-01") for at in (1, 2)]
    pair = Promise(id="pair-1", name="One", yarn=YARN.id, plan=PLAN.id, lot="lot-1", made="2025-09-02")
    app.book.keep(PLAN, *lots, pair, pair.model_copy(update={"id": "pair-2", "name": "Two", "lot": "lot-2"}))
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        assert chosen(app, "lot") is None  # two pairs of this plan: neither is taken for granted
        for at in (1, 2):
            app.screen.query_one("#row-promise", EntryRow).entry.value = f"pair-{at}"
            await pilot.pause()
            assert chosen(app, "lot") == f"lot-{at}"
        app.screen.query_one("#row-lot", EntryRow).entry.value = "lot-1"
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert (record.promise, record.lot) == ("pair-2", "lot-1")  # what was chosen by hand stands


@pytest.mark.parametrize("with_lot", [True, False])
async def test_the_core_of_the_ball_is_asked_once_and_kept(with_lot: bool, tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    lot = Lot(id="lot-1", name="17 B", yarn=YARN.id, grams=200, bought="2025-09-01")
    app.book.keep(PLAN, *([lot] if with_lot else []))
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        row = app.screen.query_one("#row-core_g", EntryRow)
        assert row.display
        app.screen.query_one("#field-core_g", Input).value = "21 g"
        await pilot.press("ctrl+s")
        await pilot.pause()
        kept = app.book.get(Lot, lot.id) if with_lot else app.book.get(Yarn, YARN.id)
        assert kept is not None
        assert kept.core_g == 21.0
        app.show(SockStartScreen())
        await pilot.pause()
        assert not app.screen.query_one("#row-core_g", EntryRow).display


async def test_the_twin_does_not_ask_for_the_core_of_the_same_ball_again(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    lots = [Lot(id=f"lot-{at}", name=str(at), yarn=YARN.id, grams=200, bought="2025-09-01") for at in (1, 2)]
    app.book.keep(PLAN, *lots)
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        app.screen.query_one("#row-lot", EntryRow).entry.value = "lot-1"
        await pilot.pause()
        assert app.screen.query_one("#row-core_g", EntryRow).display
        await pilot.press("ctrl+s")  # left empty
        await pilot.pause()
        (record,) = app.results
        assert isinstance(record, SessionRecord)
        live = app.book.start(record)
        crank_to(live, "leg")
        do(live, [ev.Pressed()] * 61)
        app.show(SockStartScreen())
        await pilot.pause()
        assert (chosen(app, "which"), chosen(app, "lot")) == (record.id, "lot-1")
        assert not app.screen.query_one("#row-core_g", EntryRow).display
        app.screen.query_one("#row-lot", EntryRow).entry.value = "lot-2"  # of another one nobody asked
        await pilot.pause()
        assert app.screen.query_one("#row-core_g", EntryRow).display


async def test_the_twin_matches_what_was_really_cranked(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(PLAN)
    first = crank_first_sock(app, to_the_end=True)
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        assert chosen(app, "which") == first.record.id
        assert "Foot    66 rows" in says(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert targets(record) == {"leg": 61, "heel": 40, "foot": 66, "toe": 40}
    assert (record.twin_of, record.dial, record.title) == (first.record.id, 30, "Ferry socks, twin")
    moved = {step.id: step.dial_changes for step in record.steps if isinstance(step, CountRows) and step.dial_changes}
    assert moved == {"foot": ((0, 31),)}  # the dial was moved between leg and heel: the twin is told before its foot
    app.book.start(record)
    assert [found.line.id for found in starting.firsts(app.book, PLAN)] == [first.record.id]


async def test_the_twin_of_a_sock_still_on_the_machine_takes_the_rest_from_the_plan(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(PLAN)
    crank_first_sock(app, to_the_end=False)
    (first,) = starting.firsts(app.book, PLAN)
    assert targets(starting.twin(app.book, first, 10)) == {"leg": 61, "heel": 40, "foot": 67, "toe": 40}


async def test_a_first_sock_with_its_heel_left_short_is_said_before_its_twin_starts(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(PLAN)
    live = crank_first_sock(app, to_the_end=False)
    crank_to(live, "heel")
    do(live, [*[ev.Pressed()] * 32, ev.Confirmed(early=True)])
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        assert "left short at 32 passes; this one's is planned whole, with 40." in says(app)


async def test_a_plan_made_on_the_spot_is_chosen_and_can_be_cranked(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        assert "p makes one" in says(app)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        await pilot.press("p")
        await pilot.pause()
        await pilot.press("6", "ctrl+s")
        await pilot.pause()
        (plan,) = app.book.shelf(Plan)
        assert chosen(app, "plan") == plan.id
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert targets(record) == {"hem": 16, "leg": 57, "heel": 44, "foot": 62, "toe": 44}
    assert app.book.start(record).state.status == "open"


async def test_a_plan_whose_yarn_is_gone_says_so(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    app.book.keep(PLAN)
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        app.show(SockStartScreen())
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        assert "plan the sock again" in next(iter(app._notifications)).message


async def test_a_tube_of_a_yarn_with_two_dye_lots_says_when_none_is_chosen(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    for name in ("17 B", "18 A"):
        app.book.keep(Lot(id=f"lot-{name[:2]}", name=name, yarn=YARN.id, grams=200, bought="2025-09-01"))
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("tube"))
        await pilot.pause()
        assert "No dye lot is chosen, and the yarn stock has lot 17 B (200 g left) and lot 18 A (200 g left)" in says(
            app
        )
        assert says(app).startswith("Dial: ")
        app.screen.query_one("#field-lot", Select).value = "lot-17"
        await pilot.pause()
        assert "No dye lot" not in says(app)


async def test_the_cylinder_last_used_on_the_machine_is_proposed(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    other = Machine(id="loft-machine", name="The loft machine", clicks_per_turn=4, starting_dial=28)
    narrow = Cylinder(id="cylinder-54", name="54 slots", slots=54)
    app.book.keep(other)
    app.book.keep(narrow)
    begin_search(app.book)
    begun = app.book.record(app.book.lines()[0])
    app.book.start(
        begun.model_copy(
            update={"id": app.book.new_id(), "machine": other, "cylinder": narrow, "started_ms": begun.started_ms - 1}
        )
    )
    async with app.run_test(size=SIZE) as pilot:
        app.show(FreshStartScreen("search"))
        await pilot.pause()
        assert (chosen(app, "machine"), chosen(app, "cylinder")) == (MACHINE.id, CYLINDER.id)
        app.screen.query_one("#row-machine", EntryRow).entry.value = other.id
        await pilot.pause()
        assert chosen(app, "cylinder") == narrow.id
        app.screen.query_one("#row-cylinder", EntryRow).entry.value = CYLINDER.id
        await pilot.pause()
        app.screen.query_one("#row-machine", EntryRow).entry.value = MACHINE.id
        await pilot.pause()
        app.screen.query_one("#row-machine", EntryRow).entry.value = other.id
        await pilot.pause()
        assert chosen(app, "cylinder") == CYLINDER.id, "what the knitter chose stays"
