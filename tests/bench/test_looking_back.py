"""Played back, compared, gathered on cards: each screen tried by its keys on the sample sessions."""

from __future__ import annotations

import stat
from io import StringIO
from typing import TYPE_CHECKING

import pytest
from rich.console import Console
from textual.widgets import Static

from hosewright.bench.app import Bench, open_practice
from hosewright.bench.count.dashboard import needle_rows
from hosewright.bench.past.replay_screen import SPEEDS, ReplayScreen
from hosewright.bench.past.screen import PastScreen
from hosewright.bench.past.session_page import CompareScreen, PageScreen
from hosewright.bench.past.yarn_and_needles import NeedlesScreen, PaceScreen, YarnCardScreen
from hosewright.bench.shelf import ShelfScreen
from hosewright.bench.widgets.bigtext import drawn
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.line import Heading, Sheet
from hosewright.bench.widgets.report_screen import Page, PlainPicture, SockPicture
from hosewright.bench.widgets.sock import SockSheet
from hosewright.craft.units import plus_minus
from hosewright.logbook.accounts.pace import months
from hosewright.logbook.records.shelf import Wearer
from hosewright.logbook.travel import shelf_file
from hosewright.logbook.travel.session_files import read
from hosewright.logbook.ways import prepare, take_in
from hosewright.paper.compare import compare, side
from hosewright.paper.crank_sheet import AT_RISK
from hosewright.paper.report import session_report
from hosewright.paper.writing import write_pages, write_session
from hosewright.phrases.days import past_day
from hosewright.phrases.names import Names
from hosewright.phrases.times import DAY_MS
from hosewright.places import data_folder
from hosewright.planning.gauges import PlanShelf
from hosewright.session.events import Judged, LeftOut
from hosewright.session.fold import fold
from hosewright.session.results import tube_gauge
from hosewright.session.steps import CountPasses, CountRows
from hosewright.settings.table import Settings
from tests.bench.stage import Host, new_book, stock
from tests.helpers import START_MS, past_tube
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook


SIZE = (80, 24)
SAMPLES = sorted(FOLDER.glob("[0-9]*.json"))
SOCK, TWIN, TUBE = "20241012-coxone", "20241019-coxtwo", "20241006-grytub"


def _text(app: Host, where: str) -> str:
    return str(app.screen.query_one(where, Static).content)


# --- the screens -----------------------------------------------------------------------------------------------


async def test_a_session_is_played(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(SOCK))
        await pilot.pause()
        await pilot.press("p")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, ReplayScreen)
        assert "before it began" in _text(app, "#replay-where")
        await pilot.press("right", "right", "left")
        assert screen.recording.at == 1
        await pilot.press(*["f"] * 10)
        assert screen.speed == SPEEDS[-1]
        await pilot.press("space")
        assert screen.playing
        for _ in range(20_000):
            screen.tick()
            if not screen.playing:
                break
        line = app.book.store.find(SOCK)
        assert screen.recording.state == app.book.state(line)
        assert _text(app, "#replay-hands") == "finished"
        await pilot.press(*["s"] * 10)  # so slow that a busy machine has not played far
        await pilot.press("space")  # from the beginning again
        assert screen.recording.at < 5
        await pilot.press("space")
        assert (screen.playing, screen.speed) == (False, 1)
        await pilot.press("end", "b", "home", "e")
        assert screen.recording.at == 1
        await pilot.press("escape")
        assert isinstance(app.screen, PageScreen)


async def test_it_holds_behind_its_help(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(), practice=True)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press("l", "enter")
        await pilot.pause()
        await pilot.press("p", "space")
        await pilot.pause()
        replay = app.screen
        assert isinstance(replay, ReplayScreen)
        assert replay.playing
        await pilot.press("question_mark")
        await pilot.pause()
        assert [type(one) for one in app.screen_stack[-2:]] == [ReplayScreen, HelpScreen]
        at = replay.recording.at
        replay.tick()
        assert (replay.playing, replay.recording.at) == (False, at)
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(app.screen, HelpScreen)
        assert "held" in str(replay.query_one("#replay-where", Static).content)
        await pilot.press("space")
        assert replay.playing


async def test_parts_and_socks_are_turned_to_while_it_is_played(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        line = app.book.store.find("20251115-strsix")
        screen = ReplayScreen(app.book.record(line), list(app.book.store.entries(line.n)))
        app.show(screen)
        await pilot.pause()
        for key, sock, title in (
            ("pagedown", 1, "Separator before, sock 1"),
            ("pagedown", 1, "Hem, sock 1"),
            ("down", 2, "Thread separator yarn, sock 2"),
            ("pageup", 1, "Toe, sock 1"),
            ("up", 1, "Thread separator yarn, sock 1"),
        ):
            await pilot.press(key)
            state = screen.recording.state
            assert state.step is not None
            assert (state.sock, state.step.title) == (sock, title)


async def test_the_cylinder_is_the_one_the_crank_screen_shows(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        line = app.book.store.find("20251205-launch")
        record, entries = app.book.record(line), list(app.book.store.entries(line.n))
        app.show(ReplayScreen(record, entries))
        await pilot.pause()
        await pilot.press("end")
        sheet = app.screen.query_one("#replay-needles", Sheet)
        crank = needle_rows(app.book.state(line), SIZE[0] - 4)
        assert sheet.plain == "\n".join("".join(text for text, _ in row).rstrip() for row in crank)
        assert "◀ Y" in sheet.plain


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_sock_fills_as_it_is_played(practice: Logbook, size: tuple[int, int]) -> None:
    app = Host(practice)
    async with app.run_test(size=size) as pilot:
        line = app.book.store.find(SOCK)
        app.show(ReplayScreen(app.book.record(line), list(app.book.store.entries(line.n))))
        await pilot.pause()
        sheet = app.screen.query_one(SockSheet)
        empty = sheet.plain
        assert set("█▓▀▄") & set(empty) == set()
        assert "·" in empty
        await pilot.press("end")
        await pilot.pause()
        assert set("·░") & set(sheet.plain) == set()
        assert sheet.plain.count("█") > 40
        await pilot.press("home")
        assert sheet.plain == empty


async def test_a_count_stands_large_while_rows_are_played(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        line = app.book.store.find(TUBE)
        screen = ReplayScreen(app.book.record(line), list(app.book.store.entries(line.n)))
        app.show(screen)
        await pilot.pause()
        rows = (CountRows, CountPasses)
        while not (isinstance(screen.recording.state.step, rows) and screen.recording.state.count == 7):
            screen.recording.wind(screen.recording.at + 1)
        await pilot.press("right", "left")
        assert app.screen.query_one("#replay-count", Sheet).plain == "\n".join(row.rstrip() for row in drawn("7"))
        assert not app.screen.query_one(SockSheet).display  # a tube is no sock


async def test_compared_socks_lie_side_by_side(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(CompareScreen(SOCK, TWIN))
        await pilot.pause()
        first, second = app.screen.query(SockPicture)
        assert first.region.y == second.region.y
        assert first.region.right <= second.region.x
        assert min(picture.plain.count("█") for picture in (first, second)) > 40
        app.pop_screen()
        app.show(CompareScreen(SOCK, TUBE))
        await pilot.pause()
        assert len(app.screen.query(SockPicture)) == 1


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_sessions_page_shows_its_sock(practice: Logbook, size: tuple[int, int]) -> None:
    app = Host(practice)
    async with app.run_test(size=size) as pilot:
        app.show(PageScreen(SOCK))
        await pilot.pause()
        picture = app.screen.query_one(SockPicture)
        assert picture.plain.count("█") > 40
        assert "leg" in picture.plain
        assert "passes" in picture.plain


async def test_a_search_is_played_with_its_ladder(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        line = app.book.store.find("20241005-gryfnd")
        entries = list(app.book.store.entries(line.n))
        app.show(ReplayScreen(app.book.record(line), entries))
        await pilot.pause()
        assert not app.screen.query_one("#replay-ladder").display
        first_verdict = next(n for n, entry in enumerate(entries, 1) if isinstance(entry.event, Judged))
        await pilot.press(*["right"] * first_verdict)
        assert app.screen.query_one("#replay-ladder").display
        assert "dropped back" in _text(app, "#replay-ladder")


async def test_a_pair_is_compared_from_the_twins_page(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(TWIN))
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        shown = _rendered(app.screen.query_one("Page Static", Static))
        assert shown.index("WHAT DIFFERS") < shown.index("57 of 57 rows") < shown.index("WHAT IS THE SAME")
        await pilot.press("escape")
        assert isinstance(app.screen, PageScreen)


def _rendered(widget: Static) -> str:
    written = StringIO()
    Console(file=written, width=76).print(widget.content)
    return " ".join(written.getvalue().split())


async def test_two_tubes_are_tested_and_one_that_is_gone_is_said(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(CompareScreen("20241006-grytub", "20251011-gryagn"))
        await pilot.pause()
        assert "Welch's t test" in _rendered(app.screen.query_one("Page Static", Static))
        app.show(CompareScreen("20241006-grytub", "20990101-none"))
        await pilot.pause()
        assert "cannot be compared" in _rendered(app.screen.query_one("Page Static", Static))


async def test_from_a_yarn_card_to_tonights_session(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("end", "y")  # the orange or the grey: whatever stands last
        await pilot.pause()
        card = app.screen
        assert isinstance(card, YarnCardScreen)
        while "Slack Water Grey" not in str(card.query_one(Heading).content):
            await pilot.press("right")
            await pilot.pause()
        assert "too few to tell whether it changed" in card.query_one(Page).source
        assert len(card.query(PlainPicture)) == 1
        await pilot.press("t")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("y")  # another session stands on the machine: start it all the same
        await pilot.pause()
    (started,) = app.results
    line = app.book.store.find(str(started))
    record = app.book.record(line)
    assert (record.kind, record.yarn.name, record.cylinder.slots, record.dial) == ("tube", "Slack Water Grey", 64, 27)


async def test_a_sock_from_a_card_is_cranked_to_its_plan(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(YarnCardScreen("maroon-orange"))
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("y")  # another session stands on the machine: start it all the same
        await pilot.pause()
    (started,) = app.results
    record = app.book.record(app.book.store.find(str(started)))
    assert record.plan is not None
    assert record.plan.yarn == "maroon-orange"


async def test_a_card_without_yarns(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(YarnCardScreen())
        await pilot.pause()
        assert "No yarn yet" in str(app.screen.query_one(Page).query_one(Static).content)
        await pilot.press("t", "right", "escape")
        await pilot.pause()
    assert app.results == [None]


async def test_needles(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("n")
        await pilot.pause()
        assert isinstance(app.screen, NeedlesScreen)
        assert (
            "Needle 31: 6 drops before it was changed on 20 Feb 2025, none since." in app.screen.query_one(Page).source
        )


async def test_pages_to_print_are_written_beside_the_logbook(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(SOCK))
        await pilot.pause()
        await pilot.press("w")
        await pilot.pause()
    files = sorted(path.name for path in (data_folder() / "prints").iterdir())
    assert files == [f"{SOCK}-sheet.html", f"{SOCK}.html"]


def test_the_written_sheet_says_the_caution_of_the_foot(practice: Logbook) -> None:
    line = practice.store.find(SOCK)
    record = practice.record(line)
    assert record.wearer is not None
    careful = record.model_copy(update={"wearer": record.wearer.model_copy(update={"caution": True})})
    for one, said in ((record, 0), (careful, 1)):
        _, sheet = write_pages(one, list(practice.store.entries(line.n)), Settings())
        assert sheet.read_text(encoding="utf-8").count(AT_RISK) == said


async def test_a_session_is_exported_from_its_page(practice: Logbook) -> None:
    app = Host(practice)
    told: list[str] = []
    async with app.run_test(size=SIZE) as pilot:
        app.notify = lambda message, **_: told.append(message)  # type: ignore[method-assign]
        app.show(PageScreen(SOCK))
        await pilot.pause()
        await pilot.press("x", "x")
        await pilot.pause()
    (file,) = (data_folder() / "shared").iterdir()
    assert told[0].splitlines()[0] == str(file)
    assert "the feet of Coxswain" in told[0]
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    filed = read(file)
    line = app.book.store.find(SOCK)
    assert filed.session == app.book.record(line)
    assert filed.entries() == list(app.book.store.entries(line.n))


def test_a_file_written_before_the_session_went_on_is_kept(practice: Logbook) -> None:
    early = write_session(practice, SOCK)
    practice.take_up(SOCK).do(LeftOut("felted"))
    whole = write_session(practice, SOCK)
    assert [early.name, whole.name] == [f"{SOCK}.json", f"{SOCK}-2.json"]
    assert write_session(practice, SOCK) == whole
    assert len(read(early).events) == len(read(whole).events) - 1


async def test_how_fast_one_cranks_is_a_key_away_from_looking_back(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("l", "p")
        for _ in range(3):
            await pilot.pause()
        assert isinstance(app.screen, PaceScreen)
        told = app.export_screenshot()
        first = months(practice)[0]
        assert "Rows&#160;a&#160;minute" in told
        assert f"{first.pace.rows:.2f}&#160;±&#160;{first.pace.rows_spread:.2f}" in told
        await pilot.press("escape")
        assert isinstance(app.screen, PastScreen)


async def test_the_pace_is_read_a_moment_and_some_months_at_a_time(
    practice: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    every = [month.month for month in months(practice)]
    assert len(every) > 2
    monkeypatch.setattr("hosewright.bench.past.yarn_and_needles.A_PAGE_OF_MONTHS", 1)
    monkeypatch.setattr("hosewright.bench.past.yarn_and_needles._A_PIECE_S", -1.0)
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PaceScreen())
        await pilot.pause()
        for shown in range(1, 3):
            for _ in range(300):
                await pilot.pause(0.01)
                if app.screen.query(PlainPicture):
                    break
            seen = app.export_screenshot().replace("&#160;", " ")
            assert {month for month in every if past_day(month) in seen} == set(every[-shown:])
            await pilot.press("o")
        await pilot.press("escape")  # is not held up while it reads
        assert not isinstance(app.screen, PaceScreen)


async def test_what_is_exported_from_the_shelf_tells_of_nobody(practice: Logbook) -> None:
    app = Host(practice)
    told: list[str] = []
    async with app.run_test(size=SIZE) as pilot:
        app.notify = lambda message, **_: told.append(str(message))  # type: ignore[method-assign]
        app.show(ShelfScreen())
        await pilot.pause()
        await pilot.press("x")
        app.screen.query_one("#shelf-plan").focus()
        await pilot.press("x")
        app.screen.query_one("#shelf-yarn").focus()
        await pilot.press("x")
        await pilot.pause()
    assert told[0] == "Go to a plan, a yarn or a cylinder first."
    files = sorted((data_folder() / "shared").iterdir())
    assert [file.name.partition("-")[0] for file in files] == ["plan", "yarn"]
    names = Names([one.name for one in practice.shelf(Wearer, retired=True)])
    for file in files:
        assert str(file) in "".join(told)
        assert not names.in_bytes(file.read_bytes())
        assert shelf_file.parse(file.read_text(encoding="utf-8")).machine


async def test_the_written_page_of_a_tube_names_its_plan(practice: Logbook) -> None:
    app = Host(practice)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PageScreen(TUBE))
        await pilot.pause()
        await pilot.press("w")
        await pilot.pause()
    assert "The plan it led to" in (data_folder() / "prints" / f"{TUBE}.html").read_text(encoding="utf-8")


def test_the_tape_that_is_set_is_the_tape_everywhere(practice: Logbook) -> None:
    # u^2 = a^2 / 3 + s^2 / n: a tape three times as coarse makes every error larger, in plans and on paper alike.
    line = practice.store.find(TUBE)
    record, entries = practice.record(line), list(practice.store.entries(line.n))
    for tape_error_mm in (1.0, 3.0):
        gauge = tube_gauge(fold(record.head, entries), tape_error_mm)
        assert gauge is not None
        shelf = PlanShelf(practice, tape_error_mm)
        shelf.read_gauges()
        knit = shelf.knit(TUBE)
        assert knit is not None
        assert knit.fabric.rows.std_dev == gauge.rows_per_mm.std_dev
        assert knit.fabric.stitches.std_dev == gauge.stitches_per_mm.std_dev
        numbers = gauge.as_numbers()
        rows = plus_minus(numbers["rows_per_in"], numbers["rows_per_in_error"], 2)
        assert f"- Rows: {rows} per in" in session_report(record, entries, tape_error_mm=tape_error_mm)
        beside = compare(side(record, entries, tape_error_mm), side(record, entries, tape_error_mm))
        assert next(one.cells[0] for one in beside.lines if one.what == "Rows per in") == rows


async def test_a_long_card_says_that_it_reads_and_is_shown_a_page_at_a_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said, say = [], Page.say

    async def heard(page: Page, words: str) -> None:
        said.append(words)
        await say(page, words)

    monkeypatch.setattr(Page, "say", heard)
    book = new_book(tmp_path)
    every = [past_tube(f"20231114-{n:02d}", START_MS + n * DAY_MS, 10.3 - 0.4 * (n > 25)) for n in range(60)]
    take_in(book.store, [prepare(*one) for one in every])
    app = Host(book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(YarnCardScreen("yarn-grey"))
        await pilot.pause()
        assert said == ["Reading what this yarn did ..."]
        page = app.screen.query_one(Page)
        assert "**Changed between 9 Dec 2023 and 10 Dec 2023" in page.source
        assert page.source.count("- Tube of ") == 40
        assert "## Before that, by year" in page.source
        await pilot.press("o")
        await pilot.pause()
        assert page.source.count("- Tube of ") == 60
        assert "## Before that, by year" not in page.source
        await pilot.press("o", "escape")
        await pilot.pause()
    assert app.results == [None]
