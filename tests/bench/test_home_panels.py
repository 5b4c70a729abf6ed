"""Home as a dashboard: each panel says what is known, a click on one is its key, and what is open comes first."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from textual.widgets import OptionList

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.panels import (
    EPOCH,
    NOTHING_YET,
    Door,
    Keys,
    Known,
    YarnLeft,
    calendar_rows,
    care_rows,
    promised_aside,
    promised_rows,
    shade,
    yarn_rows,
)
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.home.worked_out import bit_by_bit
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.bench.widgets.panel import Panel, row_width
from hosewright.logbook.overview import Oiling, Overview, Promised, overview, way
from hosewright.logbook.records.year import Promise
from hosewright.phrases.days import MONTHS
from hosewright.session import events as ev
from hosewright.settings.table import Settings
from tests.bench.stage import begin_tube, do, find_stitch_size, measure_tube, new_book, stock
from tests.bench.test_snapshots import SIZES as SNAPSHOT_SIZES
from tests.bench.test_snapshots import hold, picture
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.book import Logbook

DAY_AFTER_MS = 1_765_022_400_000  # 6 December 2025, 12:00: the day after the newest work of the samples
SIZES = [(80, 24), (120, 40), (200, 55)]
FRAME = " │╭╮╰╯─"


def bench(book: Logbook) -> Bench:
    book.clock = FakeClock(DAY_AFTER_MS, zone_min=0, step_ms=0)
    return Bench(book, Settings(press_gap_ms=0), practice=True)


def plain(row: Row) -> str:
    return "".join(text for text, _ in row)


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40", "200x55"])
async def test_everything_that_is_known_stands_on_home(practice: Logbook, size: tuple[int, int]) -> None:
    app = bench(practice)
    async with app.run_test(size=size) as pilot:
        for _ in range(3):
            await pilot.pause()
        seen = picture(app)
        for words in (
            "ENTER GOES ON WITH",
            "Launcher, Maroon Orange, first sock",
            "8 min left",
            "▚▚███",  # its sock, filled so far
            "needle 9",
            "ALSO OPEN · 2",
            "others",
            "PROMISED",
            "Helm's striped pair",
            "▓░ ░░",
            "Slack Water Grey",
            "334 g",
            "190 of 600",
            "ROWS CRANKED",
        ):
            assert words in seen, words
        assert seen.count("Launcher, Maroon Orange") == 1 + (size[0] == 200)  # there the sock itself has its name
        assert "…" not in seen.split("PROMISED")[0]


async def test_at_most_six_lines_are_blank(practice: Logbook) -> None:
    app = bench(practice)
    async with app.run_test(size=(120, 40)) as pilot:
        for _ in range(3):
            await pilot.pause()
        lines = picture(app).splitlines()
        assert len(lines) == 40
        assert sum(not line.strip(FRAME) for line in lines) <= 6


@pytest.mark.parametrize(
    ("panel", "screen"),
    [("promised", "PairsScreen"), ("yarn", "StockScreen"), ("rows", "PastScreen"), ("care", "CareScreen")],
)
async def test_a_click_on_a_panel_is_its_key(practice: Logbook, panel: str, screen: str) -> None:
    app = bench(practice)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await pilot.click(f"#{panel}", offset=(5, 3))
        await pilot.pause()
        clicked = type(app.screen).__name__
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press(app.screen.query_one(f"#{panel}", Door).key)
        await pilot.pause()
        assert clicked == type(app.screen).__name__ == screen


async def test_every_key_in_its_panel_takes_a_click(practice: Logbook) -> None:
    app = bench(practice)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        keys = app.screen.query_one(Keys)
        assert all(name in keys.plain for name in ("MAKE", "KEEP", "WORK OUT"))
        line = next(at for at, words in enumerate(keys.plain.splitlines()) if "which cylinder" in words)
        column = keys.plain.splitlines()[line].index("which cylinder")
        await pilot.click("#ways", offset=(column, line))
        await pilot.pause()
        assert not isinstance(app.screen, HomeScreen)


async def test_down_marks_another_and_enter_goes_on_with_that_one(practice: Logbook) -> None:
    app = bench(practice)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        assert screen.live.record.id == "20251204-helmst"


async def test_the_marked_sock_is_drawn_where_there_is_room(practice: Logbook) -> None:
    app = bench(practice)
    async with app.run_test(size=(200, 55)) as pilot:
        for _ in range(3):
            await pilot.pause()
        sock = app.screen.query_one("#sock", Panel)
        assert "Launcher" in sock.plain
        assert "heel 23/40" in sock.plain
        await pilot.press("down")
        await pilot.pause()
        assert "Helm" in sock.plain
        assert "foot 25/48" in sock.plain


# --- the way from shelf to sock -----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES[:2])
async def test_an_empty_logbook_shows_the_way_and_only_the_keys_that_make_sense(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    app = Bench(new_book(tmp_path), Settings())
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        seen = app.screen.query_one("#way", Panel).plain
        assert "▶  s  the shelf         still missing: a machine, a cylinder and a yarn" in seen
        assert "needs the plan" in seen
        foot = app.screen.query_one(KeyBar).plain
        assert "s shelf" in foot
        assert "crank" not in foot
        assert "ROWS CRANKED" not in picture(app)
        await pilot.press("enter")
        await pilot.pause()
        assert type(app.screen).__name__ == "ShelfScreen"


@pytest.mark.parametrize("size", SNAPSHOT_SIZES)
async def test_the_way_in_an_empty_logbook_and_with_a_gauge(tmp_path: Path, size: str) -> None:
    book = new_book(tmp_path)
    for name in ("empty", "way-gauge"):
        async with (app := Bench(book, Settings())).run_test(size=SNAPSHOT_SIZES[size]) as pilot:
            await pilot.pause()
            hold(name, size, picture(app))
        stock(book)
        measure_tube(book)


def test_the_way_goes_on_with_what_was_done(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stages = []
    for step in (lambda _: None, stock, find_stitch_size, begin_tube, crank_tube, measure_tube):
        step(book)
        found = way(book.store)
        assert found is not None
        stages.append(found.at)
    assert stages == [0, 1, 2, 2, 3, 4]  # a tube just begun is still being cranked


def crank_tube(book: Logbook) -> None:
    presses = [ev.Pressed()] * 8, [ev.Pressed()] * 60
    do(book.take_up(book.lines("open")[0].id), [*[ev.Confirmed()] * 4, *presses[0], *[ev.Confirmed()] * 2, *presses[1]])
    do(book.take_up(book.lines("open")[0].id), [*[ev.Confirmed()] * 2, *presses[0], *[ev.Confirmed()] * 2])


def test_the_way_is_gone_once_a_sock_was_begun(practice: Logbook) -> None:
    assert way(practice.store) is None


# --- damage, and many -----------------------------------------------------------------------------------------------


async def test_a_session_that_cannot_be_read_is_named_and_the_rest_stays(practice: Logbook) -> None:
    practice.store.db.execute("DROP TRIGGER sessions_start_as_written")
    practice.store.db.execute("UPDATE sessions SET record = '{' WHERE id = '20241006-grytub'")
    app = bench(practice)
    async with app.run_test(size=(120, 40)) as pilot:
        for _ in range(3):
            await pilot.pause()
        assert "20241006-grytub" in str(app.screen.query_one("#message").render())
        await pilot.press("s")
        await pilot.pause()
        assert type(app.screen).__name__ == "ShelfScreen"


async def test_three_hundred_open_ones_scroll(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stock(book)
    for number in range(300):
        begin_tube(book, title=f"Tube {number}")
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        listed = app.screen.query_one("#glance", OptionList)
        assert listed.option_count >= 301
        await pilot.press("end")
        await pilot.pause()
        assert listed.scroll_offset.y > 0


# --- what the panels say ----------------------------------------------------------------------------------------------


def test_the_overview_of_the_samples(practice: Logbook) -> None:
    told = overview(practice.store, DAY_AFTER_MS)
    assert told.dried == (3, 4, 5, 4)
    assert [(one.id, one.socks) for one in told.promised][-1] == ("pair-helm", ("under way", "not begun"))
    assert told.promised[0].socks == ("cranked", "cranked")
    assert told.days[(date(2025, 12, 5) - EPOCH).days] == 94
    assert max(told.days, key=lambda day: told.days[day]) == (date(2025, 11, 15) - EPOCH).days


def test_each_day_of_the_calendar_has_the_sign_of_its_rows() -> None:
    today = date(2025, 12, 6)  # a Saturday
    days = {(today - EPOCH).days: 60, (today - EPOCH).days - 1: 400, (today - EPOCH).days - 7: 20}
    rows = [plain(row) for row in calendar_rows(days, today, 70, 9)]
    assert [row[:5] for row in rows[1:8]] == [" Mon ", " Tue ", " Wed ", " Thu ", " Fri ", " Sat ", " Sun "]
    assert rows[5].rstrip().endswith("█")
    assert rows[6].rstrip().endswith("░▒")
    assert rows[7].rstrip().endswith("·")  # last Sunday: tomorrow is none yet
    assert len(rows[6].rstrip()) == len(rows[7].rstrip()) + 1
    assert all(sign in rows[8] for sign in "·░▒▓█")
    assert [shade(rows) for rows in (0, 1, 50, 51, 150, 151, 300, 301)] == list("·░░▒▒▓▓█")


@pytest.mark.parametrize("width", range(30, 90, 7))
@pytest.mark.parametrize("height", [4, 9, 16])
def test_no_pair_is_wider_than_its_panel(width: int, height: int) -> None:
    pairs = [Promised(f"p{n}", "A pair with a name of some length", "2025-12-01", ("cranked", "under way"), True, True)
             for n in range(9)]  # fmt: skip
    rows = promised_rows(NOTHING_YET, pairs, date(2025, 12, 6), width, height)
    assert len(rows) <= height
    assert all(row_width(row) <= width for row in rows)
    assert any("and 6 more" in plain(row) for row in rows) == (height == 4)


def test_a_late_pair_says_so_in_words() -> None:
    pair = Promised("p", "Cook's pair", "2025-12-03", ("cranked", "not begun"), unpaid=False, planned=True)
    rows = promised_rows(Known({}, None, {"p": "40 min"}), [pair], date(2025, 12, 6), 46, 16)
    assert any("late by 3 days, 40 min" in plain(row) for row in rows)


async def test_rows_undone_are_not_in_the_calendar(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stock(book)
    live = begin_tube(book)
    do(live, [*[ev.Confirmed()] * 4, *[ev.Pressed()] * 6, ev.Undone(), ev.Undone(), ev.Redone()])
    do(live, [ev.Observed("dropped"), ev.Undone()])  # which is no row
    book.keep(Promise(id="pair", name="A pair", yarn="moss", made="2025-10-01"))  # so that this is no longer the way
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        for _ in range(4):
            await pilot.pause()
        assert "5 rows and passes" in app.screen.query_one("#rows", Door).plain


async def test_what_was_worked_out_is_not_worked_out_again_while_nothing_was_written(
    practice: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = bench(practice)
    async with app.run_test(size=(120, 40)) as pilot:
        for _ in range(4):
            await pilot.pause()
        read: list[str] = []
        monkeypatch.setattr(practice, "take_up", read.append)
        await pilot.press("e")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert "8 min left" in picture(app)
        assert "334 g" in picture(app)
        assert not read


def test_a_key_waits_for_one_session_and_not_for_all(practice: Logbook) -> None:
    told = overview(practice.store, DAY_AFTER_MS)
    bits = list(bit_by_bit(practice, told, Settings(), NOTHING_YET))
    assert len(bits) > len(practice.lines())  # the oil and the yarn read most of them, each by itself
    assert bits[-1].pairs["pair-helm"].endswith("16 min")


def test_what_is_late_has_a_sign_where_there_is_no_room_for_words() -> None:
    late = Promised("a", "A pair", "2025-12-03", ("cranked", "cranked"), unpaid=False, planned=True)
    rows = [plain(row) for row in promised_rows(NOTHING_YET, [late], date(2025, 12, 6), 36, 4)]
    assert rows[0].startswith("!Wed 3 Dec")
    assert rows[-1].startswith(" !")  # on the line of days
    soon = late._replace(by="2025-12-07")
    assert promised_aside([late, soon, soon], date(2025, 12, 6)) == "3 pairs · 1 late · 2 due this week"


@pytest.mark.parametrize("width", [30, 34, 50])
def test_the_machine_that_needs_oil_comes_first_and_by_its_whole_name(width: int) -> None:
    machines = [Oiling("a", "Boathouse machine", 600, 0), Oiling("b", "Crew-room machine", 600, 0)]
    told = Overview((), {}, {}, (), tuple(machines), (), ())
    rows = [plain(row) for row in care_rows(replace(NOTHING_YET, oil={"a": 60, "b": 640}), told, EPOCH, width, 2)]
    assert rows[0].startswith(" Crew-room machine")
    assert rows[1].startswith(" Boathouse machine")
    assert "640" in rows[0]


@pytest.mark.parametrize("width", [62, 76, 130])
def test_each_whole_month_of_the_year_is_named(width: int) -> None:
    for began in range(0, 366, 5):
        today = date(2026, 1, 1) + timedelta(began)
        named = [MONTHS.index(name) for name in plain(calendar_rows({}, today, width, 4)[0]).split()]
        assert len(named) >= 11
        assert all(after == (before + 1) % 12 for before, after in pairwise(named)), (today, named)


def test_when_it_was_oiled_is_whole_beside_a_long_name() -> None:
    oiled_ms = 269 * 86_400_000
    told = Overview((), {}, {}, (), (Oiling("a", "Boathouse machine", None, oiled_ms),), (), ())
    today = date(1970, 11, 28)
    for width in range(30, 60):
        (row,) = care_rows(NOTHING_YET, told, today, width, 1)
        assert plain(row).endswith("oiled 27 Sep") or (width < 33 and plain(row).endswith("…")), width


def test_yarn_is_drawn_free_and_promised(practice: Logbook) -> None:
    told = overview(practice.store, DAY_AFTER_MS)
    known = Known({}, [YarnLeft("Slack Water Grey", 100.0, 100.0, "2 pairs")], {})
    rows = [plain(row) for row in yarn_rows(known, told, date(2025, 12, 6), 42, 9)]
    assert rows[0].split() == ["Slack", "Water", "Grey", "200", "g", "2", "pairs"]
    assert rows[1].count("█") == rows[1].count("▒") == 20
