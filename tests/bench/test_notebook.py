"""What is from a notebook on the bench: the list, the form, and what is asked when it is cranked by."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import pytest
from textual.widgets import Static

from hosewright.bench.notebook import Entries, NotebookScreen, NotedForm
from hosewright.bench.plan.gauge_screens import ResponseScreen
from hosewright.bench.start.screen import FreshStartScreen
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.entry_screen import EntryRow
from hosewright.logbook.accounts.pairs import pair_of
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Machine, Noted, Plan
from hosewright.logbook.records.year import Promise
from hosewright.planning.gauges import read_knits
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.settings.table import Settings
from tests.bench.stage import CYLINDER, MACHINE, WEARER, YARN, Host, measure_tube, new_book, stock
from tests.bench.test_snapshots import picture

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

pytestmark = pytest.mark.usefixtures("home_left_alone")

SIZES = [(80, 24), (120, 40)]
BARE = MACHINE.model_copy(update={"clicks_per_turn": None, "starting_dial": None})
SAID = {" ": "space", "/": "slash", ",": "comma", ".": "full_stop"}


@pytest.fixture
def app(tmp_path: Path) -> Host:
    host = Host(new_book(tmp_path))
    stock(host.book)
    return host


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Keys by their names, and what is typed after a colon, letter by letter."""
    for key in keys:
        letters = [SAID.get(letter, letter) for letter in key[1:]] if key[:1] == ":" else [key]
        await pilot.press(*letters)
    await pilot.pause()


async def opened(app: Host, pilot: Pilot[None], screen: Any) -> None:
    app.show(screen)
    for _ in range(3):
        await pilot.pause()


def shown(app: Any) -> str:
    return picture(app)


def problems(app: Host) -> dict[str, str]:
    return {row.field.name: row.wrong for row in app.screen.query(EntryRow) if row.wrong}


def remark(app: Host) -> str:
    return str(app.screen.query_one("#form-remark", Static).content)


def noted(**more: object) -> Noted:
    said = {"id": "tube-2019", "day": "2019", "machine": MACHINE.id, "cylinder": CYLINDER.id, "yarn": YARN.id}
    rates = {"rows_per_mm": 0.41, "rows_per_mm_error": 0.005, "stitches_per_mm": 0.31, "stitches_per_mm_error": 0.004}
    return Noted.model_validate(said | {"slots": 64, "dial": "7 1/4"} | rates | more)


GAUGE = ("down", "down", "down", "down", ":May 2021", "enter", ":7 1/4", "enter", ":60", "enter", ":148 mm", "enter")


@pytest.mark.parametrize("size", SIZES)
async def test_a_gauge_is_typed_as_the_notebook_has_it(app: Host, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await opened(app, pilot, NotebookScreen())
        assert "nothing yet, a enters a gauge or a sock" in shown(app)
        await press(pilot, "a", *GAUGE)  # what is alone on the shelf is chosen already
        assert remark(app) == ""
        await press(pilot, ":102 mm")
        assert remark(app) == "It comes to: 10.30 ± 0.12 rows and 7.97 ± 0.14 stitches per in."
        await press(pilot, "ctrl+s")
        assert app.screen.query_one(Entries).marked is not None
        screen = shown(app)
        assert "May 2021" in screen
        assert ("10.30 ± 0.12" if size == (120, 40) else "10.30 ") in screen
    (kept,) = app.book.shelf(Noted)
    assert (kept.day, kept.dial, kept.rows, kept.slots, kept.yarn) == ("2021-05", "7 1/4", 60, 64, YARN.id)
    assert not app.book.lines()


async def test_a_sock_has_lines_of_its_own(app: Host) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, NotedForm())
        assert "Parts" not in shown(app)
        await press(pilot, "enter", "down", "enter")  # a sock
        assert "Parts" in shown(app)
        await press(pilot, *["down"] * 5, ":2019", "ctrl+s")
        assert problems(app)["parts"].startswith("Nothing is said about the sock: type its parts")
        await press(pilot, ":leg fifty", "ctrl+s")
        assert "is not a part with its rows" in problems(app)["parts"]
        await press(pilot, *["backspace"] * 5, ":56, heel 40", *["down"] * 7, ":round tight")
        await press(pilot, *["up"] * 10, "enter", "down", "enter")
        await press(pilot, "ctrl+s")
    (kept,) = app.book.shelf(Noted)
    assert (kept.what, kept.parts_typed, kept.worn) == ("sock", "leg 56, heel 40 passes", "round tight")
    assert kept.wearer == WEARER.id
    assert not app.book.gauges()


async def test_what_is_missing_is_said_under_its_line_and_nothing_is_lost(app: Host) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, NotedForm())
        await press(pilot, "ctrl+s")
        assert problems(app) == {"day": "Type the day as far as you know it: 2019, May 2021 or 24/12/2020."}
        await press(pilot, ":2190", "enter", ":7 1/3", "ctrl+s")
        assert problems(app) == {"day": "2190 is still to come: type a day that is past."}
        await press(pilot, "backspace", "backspace", "backspace", "backspace", ":2019", "ctrl+s")
        assert "rows" in problems(app)
        await press(pilot, ":60", "enter", ":148 mm", "enter", ":102 mm", "ctrl+s")
        assert "not a whole click (4 clicks make a turn)" in problems(app)["dial"]
        assert not app.results
        await press(pilot, "escape")
        assert "Leave without saving" in shown(app)


async def test_a_number_to_the_inch_may_have_an_error(app: Host) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, NotedForm())
        await press(pilot, *["down"] * 4, ":2019", *["down"] * 5, ":10.4")
        assert app.screen.query_one("#row-rows_error").display
        assert not app.screen.query_one("#row-stitches_error").display
        await press(pilot, "enter", ":0.2", "enter", ":7.9", "ctrl+s")
    (kept,) = app.book.shelf(Noted)
    assert kept.rows_per_mm is not None
    assert (kept.rows_per_mm * 25.4, kept.rows_per_mm_error * 25.4) == pytest.approx((10.4, 0.2))
    assert kept.stitches_per_mm_error > 0


@pytest.mark.parametrize("unit", ["in", "cm", "mm"])
async def test_put_right_it_keeps_what_nobody_touched(tmp_path: Path, unit: Literal["in", "cm", "mm"]) -> None:
    app = Host(new_book(tmp_path), Settings(length_unit=unit))
    stock(app.book)
    first = noted(fit="tight", note="the grey [one]", retired=False)
    app.book.keep(first)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, NotebookScreen())
        assert "the grey [one]" in shown(app)
        await press(pilot, "enter", *["down"] * 4, "ctrl+a", "ctrl+k", ":2018", "ctrl+s")
        assert "2018" in shown(app)
        await press(pilot, "r", "y")
        assert "nothing yet" in shown(app)
        await press(pilot, "o")
        assert "(retired)" in shown(app)
    (kept,) = app.book.shelf(Noted, retired=True)
    rates = ("rows_per_mm", "rows_per_mm_error", "stitches_per_mm", "stitches_per_mm_error")
    assert [getattr(kept, rate) for rate in rates] == pytest.approx([getattr(first, rate) for rate in rates], rel=1e-12)
    alike = {rate: getattr(kept, rate) for rate in rates}
    assert kept == first.model_copy(update={"day": "2018", "retired": True, **alike})


async def test_a_machine_without_clicks_is_made_and_chosen_on_the_spot(app: Host) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, NotedForm())
        await press(pilot, "down", "down", "m", ":Grandmother's", "ctrl+s")
        assert app.screen.query_one("#row-machine", EntryRow).chosen != MACHINE.id
        await press(pilot, "down", "down", ":2019", "enter", ":where the paint is", "enter", ":60", "enter", ":148 mm")
        await press(pilot, "enter", ":102 mm", "ctrl+s")
    (kept,) = app.book.shelf(Noted)
    made = app.book.get(Machine, kept.machine)
    assert made is not None
    assert (made.name, made.clicks_per_turn, kept.dial) == ("Grandmother's", None, "where the paint is")


async def test_clicks_are_asked_for_when_such_a_machine_is_first_cranked(app: Host) -> None:
    app.book.keep(BARE, noted())
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, FreshStartScreen("tube"))
        await press(pilot, ":7 1/4", "ctrl+s")
        assert problems(app) == {
            "clicks_per_turn": "Nobody counted the dial clicks of The attic machine yet: count them over one full "
            "turn, and type how many there are."
        }
        await press(pilot, ":8", "ctrl+s")
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert (record.dial, record.head.clicks_per_turn) == (58, 8)
    machine = app.book.get(Machine, BARE.id)
    assert machine is not None
    assert machine.clicks_per_turn == 8
    assert app.book.gauges()[0].dial == 58, "what was typed in turns means clicks now"


async def test_the_response_says_which_of_its_tubes_are_from_the_notebook(app: Host) -> None:
    measure_tube(app.book)
    app.book.keep(noted(), noted(id="unknown", dial=""))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, ResponseScreen())
        assert "From the notebook: 1 of these 2 tubes." in remark(app)


async def test_the_twin_of_a_notebooks_sock_is_told_its_parts(app: Host) -> None:
    app.book.keep(noted())
    knit = read_knits(app.book)["tube-2019"]
    plan = to_plan("long-ago", Typed(tube="148 mm"), knit, None, work_out(Typed(tube="148 mm"), knit, None))
    promise = Promise(id="pair", name="The pair", yarn=YARN.id, plan=plan.id, made="2025-10-01")
    parts = ({"name": "foot", "kind": "rows", "count": 61},)
    app.book.keep(plan, promise, noted(id="first", what="sock", promise="pair", parts=parts))
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, SockStartScreen(plan=plan.id, promise="pair"))
        assert "Its first is from the notebook: foot 61." in remark(app)
        await press(pilot, "ctrl+s")
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    app.book.start(record)
    pair = pair_of(app.book, promise)
    assert (pair.first.part, pair.twin.session) == ("from the notebook", record.id)


async def test_a_sock_of_a_gauge_without_a_dial_asks_where_it_stands(app: Host) -> None:
    app.book.keep(noted(dial=""))
    knit = read_knits(app.book)["tube-2019"]
    plan: Plan = to_plan("long-ago", Typed(tube="148 mm"), knit, None, work_out(Typed(tube="148 mm"), knit, None))
    app.book.keep(plan)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, SockStartScreen())
        await press(pilot, "ctrl+s")
        assert problems(app) == {
            "dial": "The notebook does not say where the dial stood for this gauge: type where it stands now."
        }
        await press(pilot, ":7 1/2", "ctrl+s")
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert record.dial == 30
