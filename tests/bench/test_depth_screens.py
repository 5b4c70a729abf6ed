"""The planning screen in full, and the screens of sizes, cylinders and the dial: real keys, small and large."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input, Select, Static

from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.plan.gauge_screens import NO_VERDICT, CylinderScreen, ResponseScreen, SizeScreen
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.shelf import open_form
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.craft.dial import Dial
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import error, measured
from hosewright.craft.response import TubeReading, click_for, fit_response
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Plan, Wearer
from hosewright.paper.charts import ASKED, BAND, LINE, TUBE, plot
from hosewright.places import data_folder
from hosewright.planning.gauges import NO_GAUGE, PlanShelf
from hosewright.session.steps import CountRows
from hosewright.settings.table import Settings
from tests.bench.stage import WEARER, Host, measure_tube, new_book, stock
from tests.bench.test_plan import said

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

SMALL, LARGE = (80, 24), (120, 40)
SIXTY = Cylinder(id="c60", name="Sixty", slots=60, diameter_mm=108.0)
BY_LEG = WEARER.model_copy(update={"ankle_mm": 230.0, "calf_mm": 250.0, "heel_ankle_mm": 330.0})


@pytest.fixture
def app(tmp_path: Path) -> Host:
    host = Host(new_book(tmp_path))
    stock(host.book)
    host.book.keep(SIXTY)
    measure_tube(host.book)
    return host


def says(app: Host) -> str:
    return str(app.screen.query_one("#form-remark", Static).content)


async def choose(pilot: Pilot[None], name: str, downs: int) -> None:
    """Open a list with Enter, go down so often, and take what is marked."""
    pilot.app.screen.query_one(f"#field-{name}", Select).focus()
    await pilot.press("enter", *["down"] * downs, "enter")
    await pilot.pause()


# --- planning ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_rib_a_shaped_leg_and_a_deeper_heel_by_keys(app: Host, size: tuple[int, int]) -> None:
    app.book.keep(BY_LEG)
    async with app.run_test(size=size) as pilot:
        app.show(PlanScreen(BY_LEG.id))
        await pilot.pause()
        rib, ankle = (app.screen.query_one(f"#row-{name}") for name in ("pattern", "ankle"))
        assert (rib.display, ankle.display) == (False, False)
        await choose(pilot, "cuff", 3)
        assert rib.display
        assert app.screen.query_one("#field-pattern", Input).value == "3x1"
        assert "16 rows, 3x1, hung" in said(app, "plan-parts")
        await choose(pilot, "shaped", 1)
        assert app.screen.query_one("#field-calf", Input).value == "9.84 in"
        assert "From row 1 " in said(app, "plan-leg")
        assert "baseline" in said(app, "plan-leg").splitlines()[-1]
        await choose(pilot, "deepen", 2)
        assert "Heel          52 passes" in said(app, "plan-parts")
        assert "* Sixty-four" in said(app, "plan-cylinders")
        assert "predicted" in said(app, "plan-cylinders")
        app.screen.query_one("#field-pattern", Input).focus()
        await pilot.press("4", "x", "1", "down")
        await pilot.pause()
        wrong = str(app.screen.query_one("#row-pattern .form-problem", Static).content)
        assert "Type 4x1 uneven to keep it" in wrong
        assert said(app, "plan-parts") == ""
        await pilot.press("up", "end", *" uneven")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("y")  # eight extra passes open a slit at each corner, and are asked about
        await pilot.pause()
    (plan,) = app.results
    assert isinstance(plan, Plan)
    assert plan.cuff is not None
    assert (plan.cuff.kind, plan.cuff.pattern) == ("mock rib", "4x1")
    assert plan.extra_heel_passes == 8
    assert plan.dial_changes[-1][1] == plan.dial


async def test_a_plan_in_full_is_cranked_in_full(app: Host) -> None:
    app.book.keep(BY_LEG)
    async with app.run_test(size=SMALL) as pilot:
        app.show(PlanScreen(BY_LEG.id))
        await pilot.pause()
        await choose(pilot, "cuff", 1)
        await choose(pilot, "shaped", 1)
        await pilot.press("ctrl+s")
        await pilot.pause()
        app.show(SockStartScreen())
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
    plan, record = app.results
    assert isinstance(plan, Plan)
    assert isinstance(record, SessionRecord)
    ids = [step.id for step in record.steps]
    assert ids[ids.index("hem") : ids.index("fold-hem")] == ["hem", "picot-holes", "hem-inside"]
    leg = next(step for step in record.steps if step.id == "leg")
    assert isinstance(leg, CountRows)
    assert leg.dial_changes == plan.dial_changes[1:]
    app.book.start(record)


async def test_every_line_can_be_reached_in_a_small_terminal(app: Host) -> None:
    async with app.run_test(size=SMALL) as pilot:
        app.show(PlanScreen(WEARER.id))
        await pilot.pause()
        for _ in range(30):
            await pilot.press("down")
        await pilot.pause()
        seen = set()
        for _ in range(30):
            focused = app.focused
            assert focused is not None
            assert app.screen.region.contains_region(focused.region)
            seen.add(focused.id)
            await pilot.press("up")
        lines = [row for row in app.screen.query(".form-row") if row.display]
        assert len(seen) == len(lines)


async def test_the_larger_of_two_feet_fills_the_line(app: Host) -> None:
    both = WEARER.model_copy(update={"foot_length_mm": None, "left_length_mm": 254.0, "right_length_mm": 266.7})
    app.book.keep(both)
    async with app.run_test(size=LARGE) as pilot:
        app.show(PlanScreen(both.id))
        await pilot.pause()
        assert app.screen.query_one("#field-foot", Input).value == "10 1/2 in"
        assert "13 mm longer" in said(app, "plan-notes")


# --- the dial ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_which_click_gives_the_rows_wanted(app: Host, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        app.show(ResponseScreen())
        await pilot.pause()
        assert "Type the rows wanted, such as 10.3" in says(app)
        assert TUBE in says(app)
        await pilot.press(*"9.7")
        await pilot.pause()
        loop = loop_length_mm(measured(60 / 148, 0.0016))
        found = click_for(fit_response((TubeReading(27, loop),), Dial(1.25)), 9.7 / 25.4)
        assert f"Set the dial to {found.clicks} clicks" in says(app)
        assert "is only assumed" in says(app)
        assert all(len(line) <= size[0] - 4 for line in says(app).splitlines() if "│" in line or "┤" in line)
        await pilot.press("backspace", "backspace", "backspace", "7")
        await pilot.pause()
        assert "more than a turn from any tube" in says(app)
        await pilot.press("x")
        await pilot.pause()
        row = app.screen.query_one("#row-rows")
        assert "until every line can be read" in says(app)
        assert not row.has_class("-wrong"), "nobody is told off while typing"
        await pilot.press("up")
        await pilot.pause()
        assert row.has_class("-wrong")
        await pilot.press("escape")
        await pilot.pause()
    assert app.results == [None]


async def test_a_rougher_tape_makes_every_tube_less_sure(app: Host) -> None:
    measure_tube(app.book)  # a second one alike
    widths = []
    for tape in (1.0, 4.0):
        app.settings = Settings(tape_error_mm=tape)
        shelf = PlanShelf(app.book, tape)
        shelf.read_gauges()
        knit = shelf.knit(next(iter(shelf.gauges)))
        assert knit is not None
        assert len(knit.tubes) == 2
        widths.append([error(tube.loop_mm) for tube in knit.tubes])
    # One reading: u = a / sqrt(3), so four times the half-width is four times the error.
    assert widths[1] == pytest.approx([4 * width for width in widths[0]], rel=1e-6)


async def test_metric_knitters_ask_per_cm(app: Host) -> None:
    app.settings = Settings(length_unit="cm")
    async with app.run_test(size=SMALL) as pilot:
        app.show(ResponseScreen())
        await pilot.pause()
        await pilot.press(*"3.8")
        await pilot.pause()
        assert "rows per cm" in says(app)
        assert "Set the dial to 29 clicks" in says(app)  # 27 + 5.5 (1 / 0.38 - 1 / 0.4054) / 0.531 = 28.7


def test_the_plot_has_tubes_on_the_line_they_made() -> None:
    # Three exact tubes on one straight line of loop lengths: each mark stands where the line goes.
    tubes = tuple(TubeReading(clicks, measured(5 + 0.3 * clicks, 0.05)) for clicks in (20, 26, 32))
    response = fit_response(tubes)
    drawn = plot(response, 25.4, 70, 18, click_for(response, 5.5 / (5 + 0.3 * 29)))
    assert len(drawn) <= 18
    assert max(map(len, drawn)) <= 70
    body = [line[3:].ljust(67) for line in drawn[:-2]]
    assert sum(line.count(TUBE) for line in body) == 3
    assert sum(line.count(ASKED) for line in body) == 1
    assert drawn[-1].split() == ["4", "5", "6", "7", "8", "9"]  # turns below zero
    for place, line in enumerate(body):
        at = line.find(TUBE)
        if at > 0:
            beside = "".join(one[at - 1 : at + 2] for one in body[place - 1 : place + 2])
            assert LINE in beside
    left, right = (next(n for n, line in enumerate(body) if line[at] == LINE) for at in (0, 60))
    assert left < right  # a lower dial gives fewer rows
    assert all(line[61:].isspace() for line in body), "20 clicks of 3 columns each"


@pytest.mark.parametrize("wide", [40, 70, 110, 190])
def test_the_plot_has_even_ticks_at_clicks_and_the_whole_band(wide: int) -> None:
    tubes = tuple(TubeReading(clicks, measured(5 + 0.3 * clicks, 0.4)) for clicks in (20, 23, 26))
    drawn = plot(fit_response(tubes), 25.4, wide, 24)
    ticks = [found.start() for found in re.finditer(r"\d+(?: \d/\d)?", drawn[-1])]
    middles = [found.start() + len(found[0]) / 2 for found in re.finditer(r"\d+(?: \d/\d)?", drawn[-1])][1:-1]
    steps = [after - before for before, after in pairwise(middles)]
    assert len(ticks) >= 3
    assert max(steps, default=0) - min(steps, default=0) <= 1.0, "half a sign on either side of a word"
    for at in range(4, max(map(len, drawn))):
        assert sum(line[at : at + 1] in (BAND, LINE, TUBE) for line in drawn[:-2]) >= 2, "both edges in every column"


# --- cylinders --------------------------------------------------------------------------------------------------


async def test_every_cylinder_for_a_girth(app: Host) -> None:
    async with app.run_test(size=SMALL) as pilot:
        app.show(CylinderScreen())
        await pilot.pause()
        assert "Type a ball girth" in says(app)
        await pilot.press(*"24cm", "down", *"33cm")
        await pilot.pause()
        assert "Wanted: 8.50 in round" in says(app)  # 240 mm less 10 % is 216 mm
        assert "* Sixty-four" in says(app)
        assert "Sixty, predicted" in says(app)
        assert max(map(len, says(app).split("\n\n")[1].splitlines())) <= 76


async def test_a_wearer_brings_their_girths_and_a_foot_at_risk_no_verdict(app: Host) -> None:
    app.book.keep(BY_LEG)
    app.book.keep(Wearer(id="cook", name="The cook", girth_mm=238.0, caution=True))
    async with app.run_test(size=SMALL) as pilot:
        app.show(CylinderScreen())
        await pilot.pause()
        app.screen.query_one("#field-wearer", Select).value = BY_LEG.id
        await pilot.pause()
        assert "62 %" in says(app)  # 330 / 204 - 1
        app.screen.query_one("#field-wearer", Select).value = "cook"
        await pilot.pause()
        assert NO_VERDICT in says(app)
        assert "right" not in says(app)


# --- sizes ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("size", "shown"), [(SMALL, False), (LARGE, True)])
async def test_every_size_and_its_page(app: Host, size: tuple[int, int], shown: bool) -> None:
    async with app.run_test(size=size) as pilot:
        app.show(SizeScreen())
        await pilot.pause()
        assert ("95 of 100" in says(app)) is shown
        assert max(len(line) for line in says(app).splitlines()[:20]) <= size[0] - 5
        answer = app.screen.query_one("#gauge-answer")
        await pilot.press("pagedown")
        await pilot.pause()
        assert answer.scroll_y > 0 or size == LARGE
        await pilot.press("ctrl+s")
        await pilot.pause()
    (sheet,) = (data_folder() / "prints").glob("sizes-*.html")
    assert "<h1>Sizes: Moss</h1>" in sheet.read_text(encoding="utf-8")
    assert "<table>" in sheet.read_text(encoding="utf-8")
    page = sheet.with_suffix(".md")
    assert page.read_text(encoding="utf-8").startswith("# Sizes: Moss")
    assert "dial 6 3/4 turns below zero" in page.read_text(encoding="utf-8")


async def test_without_a_gauge_each_says_so(tmp_path: Path) -> None:
    bare = Host(new_book(tmp_path))
    async with bare.run_test(size=SMALL) as pilot:
        for screen in (SizeScreen(), CylinderScreen(), ResponseScreen()):
            bare.show(screen)
            await pilot.pause()
            assert says(bare) == NO_GAUGE
            await pilot.press("ctrl+s", "escape")
            await pilot.pause()
    assert bare.results == [None] * 3


@pytest.mark.parametrize("size", [(1, 1), (4, 3), (9, 4)])
async def test_each_opens_in_a_terminal_of_hardly_any_width(app: Host, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        for screen in (SizeScreen(), CylinderScreen(), ResponseScreen()):
            app.show(screen)
            await pilot.pause()
            assert app.screen is screen
            await pilot.press("escape")
            await pilot.pause()


# --- the shelf and the way there --------------------------------------------------------------------------------


async def test_a_wearers_two_feet_are_compared_while_typing(app: Host) -> None:
    async with app.run_test(size=LARGE) as pilot:
        app.show(open_form(app, Wearer))
        await pilot.pause()
        await pilot.press(*"Pilot", "down", "down", *"26cm", "down", *"27cm")
        await pilot.pause()
        assert "The right foot is 10 mm longer" in str(app.screen.query_one("#form-remark", Static).content)
        app.screen.query_one("#field-sized_as", Input).focus()
        await pilot.press(*"Women", "ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Wearer)
    assert (made.left_length_mm, made.right_length_mm, made.sized_as) == (260.0, 270.0, "women")


async def test_the_bench_leads_to_each_screen(tmp_path: Path) -> None:
    from hosewright.bench.app import Bench

    book = new_book(tmp_path)
    bench = Bench(book, Settings())
    async with bench.run_test(size=SMALL) as pilot:
        await pilot.pause()
        for key, screen in (("z", SizeScreen), ("w", CylinderScreen), ("r", ResponseScreen)):
            await pilot.press(key)
            await pilot.pause()
            assert isinstance(bench.screen, screen)
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(bench.screen, HomeScreen)
    book.close()
