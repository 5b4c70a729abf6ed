"""What was wrong with a session put right by keys on its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.past.screen import PastScreen, Sessions
from hosewright.bench.past.session_page import PageScreen
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import More
from hosewright.bench.widgets.report_screen import Page
from hosewright.logbook.accounts.cranked import cranked_on
from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.find.sessions import find
from hosewright.logbook.find.wanted import read_wanted
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.records.year import Lot
from hosewright.phrases.days import local_day
from hosewright.phrases.times import DAY_MS
from hosewright.settings.table import Settings
from tests.bench.stage import MACHINE, WEARER, YARN, Host, measure_tube, new_book, stock

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

SIZE = (80, 24)
TWINE = Yarn(id="twine", name="Twine", m_per_100g=400)


async def on_page(tmp_path: Path) -> Host:
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(TWINE)
    measure_tube(app.book)
    return app


async def to_line(pilot: Pilot[None], app: Host, name: str) -> None:
    """Down to the line of a field, as one goes there."""
    form = app.screen
    assert isinstance(form, FormScreen)
    while app.focused is None or app.focused.id != f"field-{name}":
        await pilot.press("down")
        await pilot.pause()


async def test_another_yarn_and_title(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        await pilot.press("e")
        await pilot.pause()
        await to_line(pilot, app, "yarn")
        for key in ("enter", "down", "enter", "ctrl+s"):
            await pilot.press(key)
            await pilot.pause()
        assert isinstance(app.screen, PageScreen)
        page = app.screen.query_one(Page)
        assert "Twine" in page.source
        assert "The yarn was really Twine, not Moss, put right on" in page.source
    assert app.book.record(line).yarn == TWINE
    assert app.book.gauges()[0].yarn == "twine"


async def put_right(pilot: Pilot[None], app: Host, name: str, *keys: str) -> str:
    """What the page says after ``keys`` on the line ``name`` of its start."""
    await pilot.press("e")
    await pilot.pause()
    await to_line(pilot, app, name)
    for key in (*keys, "ctrl+s"):
        await pilot.press(key)
        await pilot.pause()
    assert isinstance(app.screen, PageScreen)
    return app.screen.query_one(Page).source


NEXT = ("enter", "down", "enter")  # opens the list, goes to the next of it, takes that


def found(app: Host, asked: str) -> int:
    return len(find(app.book.store, read_wanted(asked, today=local_day(app.book.clock))))


async def test_the_machine_is_another_for_gauge_care_and_finding(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    app.book.keep(MACHINE.model_copy(update={"id": "loft", "name": "The loft machine"}))
    (line,) = app.book.lines()
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        assert cranked_on(app.book.store, MACHINE.id).rows > 60
        source = await put_right(pilot, app, "machine", *NEXT)
    assert "The machine was really The loft machine, not The attic machine, put right on" in source
    assert app.book.record(line).machine.id == "loft"
    assert app.book.gauges()[0].machine == "loft"
    rows = [cranked_on(app.book.store, one).rows for one in (MACHINE.id, "loft")]
    assert rows[0] == 0 < rows[1]
    assert (found(app, "machine:attic"), found(app, "machine:loft")) == (0, 1)


async def test_the_lot_is_another_for_the_ledger_and_finding(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    bought = {"yarn": YARN.id, "grams": 200, "bought": "2023-01-02"}
    app.book.keep(*(Lot.model_validate({"id": f"lot-{name}", "name": name} | bought) for name in ("41", "42")))
    (line,) = app.book.lines()

    def used() -> dict[str, int]:
        stock = stock_of(app.book, YARN.id)
        assert stock is not None
        return {one.lot.name: one.account.worked_out for one in stock.lots}

    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        assert set(used().values()) == {0}
        source = await put_right(pilot, app, "lot", *NEXT)
        assert "The lot was really 41, put right on" in source
        first = used()
        assert first["41"] > 0 == first["42"]
        assert (found(app, "lot:41"), found(app, "lot:42")) == (1, 0)
        source = await put_right(pilot, app, "lot", *NEXT)
    assert "The lot was really 42, not 41, put right on" in source
    assert used() == {"41": 0, "42": first["41"]}, "the same grams, of the other lot"
    assert (found(app, "lot:41"), found(app, "lot:42")) == (0, 1)


async def test_the_wearer_is_another_for_lists_and_finding(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        source = await put_right(pilot, app, "wearer", *NEXT)
    assert f"The wearer was really {WEARER.name}, put right on" in source
    assert app.book.record(line).wearer == WEARER
    assert found(app, f"wearer:{WEARER.name}") == 1


async def test_the_day_is_another_for_gauge_and_finding(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    before = app.book.gauges()[0].at_ms
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        source = await put_right(pilot, app, "day", "delete", *"29.9.2025")
    assert "The day is really 29 Sep 2025, not 9 Oct 2025, put right on" in source
    assert before - app.book.gauges()[0].at_ms == 10 * DAY_MS
    assert (found(app, "began:29/9/2025"), found(app, "since:30.9.2025")) == (1, 0)


async def test_the_title_is_another_for_lists_and_finding(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        source = await put_right(pilot, app, "title", "delete", *"windy")
        assert "The title is really windy, not Gauge tube: Moss, put right on" in source
        assert app.screen.query_one(Heading).title == "windy"
    assert app.book.lines()[0].title == "windy"
    assert (found(app, "title:windy"), found(app, "title:moss")) == (1, 0)


async def test_a_count_found_wrong_takes_one_key(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        await pilot.press("g")
        await pilot.pause()
        await to_line(pilot, app, "count-tube")
        await pilot.press("5", "8", "ctrl+s")
        await pilot.pause()
        assert "Gauge tube was really 58" in app.screen.query_one(Page).source
    assert app.book.gauges()[0].rows == 58
    assert app.book.state(line).status == "finished"


async def test_any_reading_is_put_right_or_struck(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    length = next(one for one in app.book.state(line).readings if one.field == "length")
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        await pilot.press("g")
        await pilot.pause()
        await to_line(pilot, app, f"reading-{length.seq}")
        await pilot.press(*"15 cm".replace(" ", ""), "ctrl+s")
        await pilot.pause()
        assert app.book.state(line).values("length") == [150.0]
        await pilot.press("g")
        await pilot.pause()
        await to_line(pilot, app, f"reading-{length.seq}")
        await pilot.press("delete", "ctrl+s")
        await pilot.pause()
    assert app.book.state(line).values("length") == []
    assert app.book.gauges() == []


async def test_left_out_and_taken_in_again(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(line.id))
        await pilot.pause()
        await pilot.press("j")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, FormScreen)  # a reason is needed
        await pilot.press(*"felted", "ctrl+s")
        await pilot.pause()
        assert "Left out of gauges, pace and statistics: felted" in app.screen.query_one(Page).source
        assert app.book.gauges() == []
        await pilot.press("j")
        await pilot.pause()
        assert "Left out of gauges, pace and statistics: felted" not in app.screen.query_one(Page).source.split("##")[0]
        assert len(app.book.gauges()) == 1


async def test_the_list_says_why_it_is_left_out(tmp_path: Path) -> None:
    from hosewright.session.events import LeftOut

    app = await on_page(tmp_path)
    (line,) = app.book.lines()
    app.book.take_up(line.id).do(LeftOut("felted"))
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert str(app.screen.query_one(Sessions).get_row_at(0)[4]).startswith("■ left out")
        assert app.screen.query_one(More).said.endswith("left out: felted")


async def test_the_list_behind_the_page_follows(tmp_path: Path) -> None:
    app = await on_page(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        for key in ("enter", "j", *"felted", "ctrl+s", "escape"):
            await pilot.press(key)
            await pilot.pause()
        assert isinstance(app.screen, PastScreen)
        assert str(app.screen.query_one(Sessions).get_row_at(0)[4]).startswith("■ left out")


async def test_a_yarn_entered_twice_becomes_one_and_is_parted_again(tmp_path: Path) -> None:
    from hosewright.bench.app import Bench

    book = (await on_page(tmp_path)).book
    (line,) = book.lines()
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        app.screen.query_one("#shelf-yarn").focus()
        await pilot.press("d")
        await pilot.pause()
        for key in ("enter", "enter", "ctrl+s"):
            await pilot.press(key)
            await pilot.pause()
        assert book.record(line).yarn.name == "Twine"
        assert [yarn.name for yarn in book.shelf(Yarn)] == ["Twine"]
        await pilot.press("escape", "l", "enter")
        await pilot.pause()
        assert "Twine was called Moss" in app.screen.query_one(Page).source
        await pilot.press("escape", "escape", "s", "o")
        await pilot.pause()
        app.screen.query_one("#shelf-yarn").focus()
        await pilot.press("home", "d")
        await pilot.pause()
        assert {yarn.name for yarn in book.shelf(Yarn)} == {"Moss", "Twine"}
    assert book.record(line).yarn.name == "Moss"


async def test_a_sock_is_joined_to_its_pair_and_parted_from_it(tmp_path: Path) -> None:
    from hosewright.bench.app import Bench
    from hosewright.logbook.records.year import Promise
    from tests import helpers

    book = new_book(tmp_path)
    plan = helpers.plan_of(60).model_copy(update={"yarn": "yarn-grey"})
    promise = Promise(id="ana-pair", name="Ana, winter", yarn="yarn-grey", plan=plan.id, made="2023-11-01")
    book.keep(helpers.yarn(), plan, promise)
    live = book.start(helpers.record("sock", "20231114-bare").model_copy(update={"plan": plan}))
    helpers.crank_to(live, "leg")
    app = Bench(book, Settings())
    found: list[str | None] = []
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("d")
        await pilot.pause()
        assert "is of no pair yet. z joins it." in app.screen.query_one(More).said
        for _ in range(2):
            for key in ("z", "enter", "enter", "ctrl+s"):
                await pilot.press(key)
                await pilot.pause()
            found.append(book.record(book.lines()[0]).promise)
    assert found == [promise.id, None]
