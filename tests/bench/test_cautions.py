"""What to be careful of on the screens, for those who do not ask for explanations."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from textual.widgets import Static

from hosewright.bench.app import Bench
from hosewright.bench.count.drawn import trial_rows
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.plan.gauge_screens import SizeScreen
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.panel import Panel, row_width
from hosewright.logbook.records.shelf import Plan, Wearer
from hosewright.session.events import Judged, Pressed
from hosewright.session.reasons import caution_now
from hosewright.session.steps.said import CRANKING, FEET_AT_RISK, PAIN, STIFF, TRYING_ON
from hosewright.settings.table import Settings
from tests.bench.stage import Host, begin_search, measure_tube, new_book, stock
from tests.bench.test_snapshots import picture
from tests.helpers import crank_to, drive, plan_of, record

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.session.events import Verdict


def flat(text: str) -> str:
    return " ".join(text.replace("│", " ").split())


async def seen_at(book: Logbook, step: str) -> str:
    live = book.start(record("sock", book.new_id()))
    crank_to(live, step)
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        return flat(picture(app))


async def test_the_first_row_of_the_evening_warns_and_the_next_part_does_not(book: Logbook) -> None:
    first = await seen_at(book, "separator-in")
    assert f"Caution: {CRANKING} {STIFF} {PAIN}" in first
    assert "A row is one full round: the carrier comes back to where it began." in first
    assert "Caution" not in await seen_at(book, "leg")


async def test_it_stays_while_passes_are_cranked(book: Logbook) -> None:
    heel, toe = await seen_at(book, "heel"), await seen_at(book, "toe")
    for seen in (heel, toe):
        assert "Caution: Move needles only while the crank stands still" in seen
    for said in ("A pass is one half-round", "so the sides alternate", "Yarn wraps the lifted needle"):
        assert said in heel
        assert said not in toe


LOOKS: dict[str, str] = {
    "the start": "",
    "they drop back": "29:drop",
    "the edge lies between": "29:stay,33:drop",
    "they stayed up again": "29:stay,33:stay",
    "a rung with both": "31:drop,29:drop,27:stay,31:stay",
    "found": "29:drop,27:drop,25:stay",
    "not sure three times": "29:drop,27:unsure,27:unsure,27:unsure",
    "far down": "29:stay,33:stay,37:stay,41:stay,45:stay,49:drop,47:drop",
    "the crank is stiff": "29:stay,33:stiff",
}


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("looks", LOOKS.values(), ids=LOOKS)
async def test_however_long_the_advice_is_the_caution_of_a_trial_is_whole(
    book: Logbook, looks: str, size: tuple[int, int]
) -> None:
    live = begin_search(book)
    crank_to(live, "trial")
    for look in filter(None, looks.split(",")):
        clicks, verdict = look.split(":")
        if live.state.search.found:
            crank_to(live, "prove")
        drive(live, Pressed(), Judged(cast("Verdict", verdict), int(clicks)))
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=size) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        await pilot.pause()
        seen = flat(picture(app))
        panel = app.screen.query_one("#search", Panel)
        shown = [line.strip("│┃║ ") for line in panel.plain.splitlines()]
        assert f"Caution: {caution_now(live.state)}" in " ".join(line for line in shown if line), seen
        width, height = panel.size.width - 4, panel.size.height - 2
        rows = trial_rows(live.state, caution_now(live.state), width, height, hollow=False, ladders=True)
        assert len(rows) <= height
        assert max(map(row_width, rows)) <= width
        if not live.state.search.stopped:
            assert any("<-" in line for line in shown)


async def test_trying_on_speaks_of_feet_that_do_not_feel(book: Logbook) -> None:
    seen = await seen_at(book, "try-on")
    assert f"Caution: {TRYING_ON}" in seen
    assert "Mass of the sock" in seen


@pytest.mark.parametrize(("wearer", "said"), [(None, True), (True, True), (False, False)])
async def test_the_start_of_a_sock_says_it_unless_the_feet_are_known_to_be_well(
    tmp_path: Path, wearer: bool | None, said: bool
) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    plan = plan_of()
    if wearer is not None:
        app.book.keep(Wearer(id="cook", name="Cook", caution=wearer))
        plan = plan.model_copy(update={"wearer": "cook"})
    app.book.keep(plan)
    async with app.run_test(size=(80, 24)) as pilot:
        app.show(SockStartScreen(plan=plan.id))
        await pilot.pause()
        assert (FEET_AT_RISK in flat(str(app.screen.query_one("#form-remark", Static).content))) == said


async def test_the_table_of_sizes_says_it(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(SizeScreen())
        await pilot.pause()
        assert "no ease is called safe" in flat(str(app.screen.query_one("#form-remark", Static).content))


async def test_a_new_plan_has_a_hem(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        app.screen.query_one("#field-foot").focus()
        await pilot.press(*"25 cm", "ctrl+s")
        await pilot.pause()
    (plan,) = app.results
    assert isinstance(plan, Plan)
    assert plan.parts[0].name == "hem"
