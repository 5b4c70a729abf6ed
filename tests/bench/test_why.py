"""When it knits badly, on the bench: a key from the crank to the check, three answers, and what helped stands first."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.count.why_screen import NOTHING, WhyScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.practice import open_badly
from hosewright.bench.widgets.line import Sheet, Steady
from hosewright.cli import main
from hosewright.logbook.accounts.troubles import tried_on
from hosewright.session import events as ev
from hosewright.session.events import Observed
from hosewright.settings.table import Settings
from tests.bench.stage import MACHINE, begin_tube, do, new_book, stock
from tests.bench.test_snapshots import picture

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.logbook.records.year import Tried


def tube_with(book: Logbook, *seen: tuple[int, Observed]) -> Live:
    """A tube of 60 rows on the machine, with these things noted after so many of its rows."""
    live = begin_tube(book)
    do(live, [*[ev.Confirmed()] * 4, *[ev.Pressed()] * 8, ev.Confirmed(), ev.Confirmed()])
    for row in range(1, 51):
        do(live, [ev.Pressed(), *(one for at, one in seen if at == row)])
    return live


@pytest.fixture
def three_drops(tmp_path: Path) -> Bench:
    """Over three sessions needle 17 dropped its stitch once in each; the last is at the crank."""
    book = new_book(tmp_path)
    stock(book)
    for row in (12, 33, 47):
        tube_with(book, (row, Observed("dropped", 17)))
    return Bench(book, Settings(bell=False))


async def at_the_crank(app: Bench, pilot: Pilot[int]) -> None:
    await pilot.pause()
    await pilot.press("enter")
    for _ in range(3):
        await pilot.pause()
    assert isinstance(app.screen, SessionScreen)


def check_of(app: Bench) -> str:
    return app.screen.query_one("#why-check", Sheet).plain


def seen_of(app: Bench) -> str:
    return app.screen.query_one("#why-seen", Sheet).plain


def kept(app: Bench) -> list[tuple[str, str, bool]]:
    tried: list[Tried] = tried_on(app.book, MACHINE.id, struck=True)
    return [(one.check, one.outcome, one.retired) for one in tried]


async def opened(pilot: Pilot[int], key: str) -> None:
    await pilot.press(key)
    for _ in range(4):
        await pilot.pause()


async def test_a_drop_that_comes_back_at_one_needle_is_a_key_from_its_latch(three_drops: Bench) -> None:
    async with three_drops.run_test(size=(80, 24)) as pilot:
        await at_the_crank(three_drops, pilot)
        await opened(pilot, "slash")
        assert isinstance(three_drops.screen, WhyScreen)
        assert "dropped stitches" in seen_of(three_drops)
        assert "Needle 17: 3 of 3 that name a needle. By chance alone: about 1 in" in seen_of(three_drops)
        assert "CHECK 1 OF" in check_of(three_drops)
        assert "Look at the latch and the hook of needle 17" in check_of(three_drops)
        assert "change the needle, as the manual says" in " ".join(check_of(three_drops).replace("│", " ").split())


async def test_what_helped_stands_first_next_time_with_how_often(three_drops: Bench) -> None:
    async with three_drops.run_test(size=(80, 24)) as pilot:
        await at_the_crank(three_drops, pilot)
        await opened(pilot, "slash")
        await pilot.press("enter", "enter", "enter")  # not now: nothing is kept of it
        assert kept(three_drops) == []
        title = check_of(three_drops).splitlines()[1].strip("│ ")
        assert "Follow the yarn" in title
        await opened(pilot, "y")
        assert kept(three_drops) == [("yarn-path", "helped", False)]
        await opened(pilot, "escape")
        await opened(pilot, "slash")
        assert title in check_of(three_drops)
        assert "that was it once before" in check_of(three_drops)
        await opened(pilot, "y")
        assert "that was it twice before" in check_of(three_drops)
        await opened(pilot, "backspace")  # a slip: struck out, and there to be read
        assert "that was it once before" in check_of(three_drops)
        assert sorted(kept(three_drops)) == [("yarn-path", "helped", False), ("yarn-path", "helped", True)]


async def test_what_was_not_it_goes_last_and_the_next_follows(three_drops: Bench) -> None:
    async with three_drops.run_test(size=(80, 24)) as pilot:
        await at_the_crank(three_drops, pilot)
        await opened(pilot, "slash")
        await opened(pilot, "n")
        assert "CHECK 1 OF" in check_of(three_drops)
        assert "Move needle 17 to another slot" in check_of(three_drops)
        await opened(pilot, "up")
        assert "Look at the latch" in check_of(three_drops)
        assert "lately: no" in check_of(three_drops)
        await opened(pilot, "right")  # of another symptom it was never tried
        assert "tucked stitches" in seen_of(three_drops)
        assert "Noted not once in the last 3 sessions on Sixty-four" in seen_of(three_drops)


async def test_a_wide_screen_has_what_the_sessions_hold_beside_the_checks(three_drops: Bench) -> None:
    async with three_drops.run_test(size=(200, 55)) as pilot:
        await at_the_crank(three_drops, pilot)
        await opened(pilot, "slash")
        held, tried, after = (
            three_drops.screen.query_one(f"#why-{name}", Sheet) for name in ("held", "tried", "after")
        )
        assert held.region.x >= 80
        assert held.region.y == three_drops.screen.query_one("#why-seen").region.y
        assert "3 sessions" in held.plain
        assert "needle 17" in held.plain.splitlines()[1]
        rows = [line for line in held.plain.splitlines() if "dropped stitch, needle 17" in line]
        assert [line.split("row ")[1].split(":")[0] for line in rows] == ["47", "33", "12"]
        assert "Lint and old oil" in after.plain  # there is room to say why
        assert not tried.display
        await opened(pilot, "y")
        assert tried.display
        assert "that was it: Look at the latch and the hook of a needle (dropped stitches)" in tried.plain


@pytest.mark.parametrize(("size", "shown"), [((120, 40), True), ((80, 24), False)])
async def test_what_the_sessions_hold_stands_below_where_there_is_room(
    three_drops: Bench, size: tuple[int, int], *, shown: bool
) -> None:
    async with three_drops.run_test(size=size) as pilot:
        await at_the_crank(three_drops, pilot)
        await opened(pilot, "slash")
        assert ("WHAT THE SESSIONS HOLD" in picture(three_drops)) is shown
        held = three_drops.screen.query_one("#why-held", Sheet)
        assert not shown or three_drops.screen.query_one("#why-after").region.bottom <= held.region.y < 40


async def test_a_needle_that_was_moved_is_asked_about_until_it_is_answered(three_drops: Bench) -> None:
    app = three_drops
    async with app.run_test(size=(80, 24)) as pilot:
        await at_the_crank(app, pilot)
        await opened(pilot, "slash")
        await pilot.press("enter")
        await opened(pilot, "y")
        await pilot.press("enter", "4", "0", "enter")  # slot 17 is on the first line already
        await pilot.press("ctrl+s")
        await pilot.pause()
        (one,) = tried_on(app.book, MACHINE.id)
        assert (one.outcome, one.needle, one.to) == ("moved", 17, 40)
        await opened(pilot, "escape")
        await pilot.press("space", "d", "4", "0", "enter")
        await opened(pilot, "slash")
        assert "The needle of slot 17 is in slot 40 since" in check_of(app)
        assert "1 at slot 40, 0 at slot 17" in check_of(app)
        await opened(pilot, "enter")  # not enough rows yet
        assert "CHECK 1 OF" in check_of(app)
        await opened(pilot, "escape")
        await opened(pilot, "slash")
        await opened(pilot, "1")
        assert kept(app)[0] == ("move-needle", "needle", False)
        assert "CHECK 1 OF" in check_of(app)
        await opened(pilot, "escape")
        await opened(pilot, "slash")
        assert "CHECK 1 OF" in check_of(app)


async def test_no_row_is_counted_there_and_none_is_lost(three_drops: Bench) -> None:
    app = three_drops
    async with app.run_test(size=(80, 24)) as pilot:
        await at_the_crank(app, pilot)
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        live, count = screen.live, screen.live.state.count
        await opened(pilot, "slash")
        await pilot.press("space")
        await opened(pilot, "escape")
        assert app.screen is screen
        assert live.state.count == count
        await pilot.press("space")
        assert live.state.count == count + 1


async def test_from_home_and_from_the_palette(three_drops: Bench) -> None:
    app = three_drops
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await opened(pilot, "k")
        assert "needle 17" in check_of(app)
        assert "Move needle 17" in app.screen.query_one("#why-after", Sheet).plain
        await opened(pilot, "escape")
        assert isinstance(app.screen, HomeScreen)
        await opened(pilot, "ctrl+p")
        await pilot.press(*"knits", "space", *"badly")
        await pilot.pause(0.5)
        await opened(pilot, "enter")
        assert isinstance(app.screen, WhyScreen)


async def test_an_empty_logbook_says_so_and_names_with_brackets_are_shown(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    app = Bench(book, Settings(bell=False))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await opened(pilot, "k")
        assert NOTHING in seen_of(app)
        await pilot.press("y", "n", "enter", "left", "down", "1", "backspace", "tab")
        await opened(pilot, "escape")
        stock(book)
        tube_with(book)
        book.keep(MACHINE.model_copy(update={"name": "[b]Attic[/] ["}))
        await opened(pilot, "k")
        assert "[b]Attic[/] [" in picture(app)


async def test_many_faults_propose_it_at_the_end(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stock(book)
    live = tube_with(book, *((row, Observed("dropped", row)) for row in (5, 15, 25, 35, 45)))
    do(live, [*[ev.Pressed()] * 10, ev.Confirmed(), ev.Confirmed(), *[ev.Pressed()] * 8, *[ev.Confirmed()] * 6])
    do(live, [ev.ReadOff("length", 148.0), ev.ReadOff("width", 102.0)])
    app = Bench(book, Settings(bell=False))
    async with app.run_test(size=(80, 24)) as pilot:
        await at_the_crank(app, pilot)
        await opened(pilot, "ctrl+s")
        said = str(app.screen.query_one("#message", Steady).content)
        assert said == "All of it is in the logbook. It went wrong 5 times: / looks for why."
        await opened(pilot, "slash")
        assert isinstance(app.screen, WhyScreen)


async def test_the_practice_machine_that_drops_leads_to_its_needle(tmp_path: Path) -> None:
    app = Bench(open_badly(tmp_path), Settings(bell=False), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_the_crank(app, pilot)
        await opened(pilot, "slash")
        assert "Needle 17: 6 of 7 that name a needle" in seen_of(app)
        assert "needle 17" in check_of(app)


def test_practice_badly_is_one_of_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["practice", "badly"]) == 2
    assert capsys.readouterr().err.startswith("The bench needs a terminal.")
