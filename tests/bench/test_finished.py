"""A finished piece of work shows large what it came to, and one key goes on from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.finished_panel import figure_rows
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.start.screen import FreshStartScreen
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.bigtext import drawn
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.bench.widgets.panel import Panel
from hosewright.session import events as ev
from hosewright.settings.table import Settings
from tests.cli.test_crank_letters import FOUND
from tests.helpers import crank_to, drive, record

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live


def tube(book: Logbook) -> Live:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    drive(live, [ev.ReadOff("length", 71.0), ev.ReadOff("width", 94.0), ev.Confirmed()])
    assert live.state.status == "finished"
    return live


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_finished_tube_shows_its_gauge_large_and_p_plans_a_sock_from_it(
    book: Logbook, size: tuple[int, int]
) -> None:
    live = tube(book)
    gauge = live.gauge(live.state)
    assert gauge is not None
    app = Bench(book, Settings())
    async with app.run_test(size=size) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        await pilot.pause()
        shown = app.screen.query_one("#came-to", Panel).plain
        rows_in = f"{gauge.rows_per_mm * 25.4:.2f}"
        assert drawn(rows_in)[2] in shown
        assert "±" in shown or drawn("±")[1].strip() in shown
        assert "p plan a sock from it" in app.screen.query_one(KeyBar).plain
        await pilot.press("p")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, PlanScreen)
        assert app.screen.rows["gauge"].chosen == live.record.id


async def test_a_finished_search_shows_its_baseline_large_and_t_cranks_the_tube(book: Logbook) -> None:
    live = book.start(record("search"))
    crank_to(live, "trial")
    drive(live, FOUND)
    crank_to(live, "none")
    assert live.state.baseline is not None
    book.keep(live.record.machine, live.record.cylinder, live.record.yarn)
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        await pilot.pause()
        assert app.screen.query_one("#came-to", Panel).plain.startswith("╔═ BASELINE")
        await pilot.press("t")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, FreshStartScreen)
        assert app.screen.kind == "tube"
        assert app.screen.rows["yarn"].chosen == live.record.yarn.id


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_finished_sock_shows_its_picture_time_and_yarn_and_c_cranks_its_twin(
    practice: Logbook, size: tuple[int, int]
) -> None:
    line = next(line for line in practice.lines("finished") if practice.record(line).kind == "sock")
    done = practice.record(line)
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=size) as pilot:
        app.open_session(done.id)
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        picture = app.screen.query_one("#whole-sock", Panel).plain
        assert "100 %" in picture
        assert picture.count("█") + picture.count("▓") > 100
        made = app.screen.query_one("#came-to", Panel).plain
        weighed = app.screen.live.state.values("mass")[-1]
        minutes, grams = f"{app.screen.live.paces.minutes_spent:.0f}", f"{weighed:.0f}"
        assert minutes in made if size[1] < 36 else drawn(minutes)[2] in made
        assert grams in made if size[1] < 36 else drawn(grams)[2] in made
        assert "minutes at the crank" in made
        assert "g of yarn, as weighed" in made
        await pilot.press("c" if done.twin_of is None else "p")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SockStartScreen if done.twin_of is None else PlanScreen)


async def test_a_finished_pair_proposes_the_next_sock_from_its_gauge_for_its_wearer(practice: Logbook) -> None:
    lines = practice.lines("finished")
    done = next(one for one in map(practice.record, lines) if one.twin_of is not None and one.plan is not None)
    assert done.plan is not None
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(done.id)
        await pilot.pause()
        await pilot.pause()
        told = app.screen.query_one("#told", Panel).plain
        assert "Plan the next sock of it: p." in " ".join(told.replace("║", " ").split())
        await pilot.press("p")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, PlanScreen)
        assert app.screen.rows["wearer"].chosen == done.plan.wearer
        assert app.screen.rows["wearer"].chosen is not None


async def test_work_that_goes_on_shows_none_of_it(book: Logbook) -> None:
    live = book.start(record("tube"))
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        assert not app.screen.query_one("#came-to").display
        await pilot.press("p")
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)


def test_figures_are_as_large_as_their_place_allows() -> None:
    figures = [("12.34", "0.05", "rows to the inch"), ("8.10", "0.04", "stitches to the inch")]
    for width, height in ((116, 11), (74, 11), (74, 5), (34, 2)):
        shown = ["".join(text for text, _ in row) for row in figure_rows(figures, width, height)]
        assert len(shown) <= height
        assert max(map(len, shown)) <= width
    large = "\n".join("".join(text for text, _ in row) for row in figure_rows(figures, 116, 11))
    assert drawn("±0.05")[1].strip() in large
    small = "\n".join("".join(text for text, _ in row) for row in figure_rows(figures, 34, 2))
    assert "12.34 ± 0.05 rows to the inch" in small


async def test_the_gauge_stands_large_as_readings_come_in(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        await pilot.pause()
        panel = app.screen.query_one("#gauge-now", Panel)
        assert "GAUGE SO FAR" not in panel.plain
        await pilot.press(*"114.3mm", "enter", "enter", *"108mm", "enter")
        await pilot.pause()
        await pilot.pause()
        assert "GAUGE SO FAR" in panel.plain
        assert drawn("6.67")[2] in panel.plain
