"""Past sessions: unfinished ones on top, found by any word, read, compared, and taken up again."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.geometry import Region
from textual.widgets import Input, Static

from hosewright.bench.app import Bench, open_practice
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.past.screen import ORDERS, PastScreen, Sessions, whose_words
from hosewright.bench.past.session_page import CompareScreen, PageScreen
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import More
from hosewright.bench.widgets.report_screen import Page, PlainPicture, SockPicture
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.sessions import PAGE, Found, find
from hosewright.logbook.find.wanted import Wanted
from hosewright.phrases.days import clock_day
from hosewright.session import events as ev
from hosewright.settings.table import Settings
from tests.bench.stage import Host, begin_search, begin_tube, do, find_stitch_size, measure_tube, new_book

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest

    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.records.sessions import SessionRecord

SIZE = (80, 24)


def column(app: Host, at: int) -> list[str]:
    table = app.screen.query_one(Sessions)
    return [str(table.get_row_at(row)[at]) for row in range(table.row_count)]


def counted(app: Host) -> str:
    """What the frame of the list says after its name."""
    return str(app.screen.query_one(Sessions).border_title).removeprefix("Past sessions: ")


def said(app: Host) -> str:
    return app.screen.query_one(More).said


FOUND = Found(
    n=1, id="a", on_top=0, began=0, changed=0, title="", yarn="Moss", machine="", cylinder="Sixty-four", wearer="",
    kind="tube", status="finished", verdict="", yarn_id="moss", slots=64, zone_min=0, twin_of=None, left_out="",
)  # fmt: skip


async def test_unfinished_on_top_then_the_newest(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    tube = begin_tube(app.book)
    do(tube, [*[ev.Confirmed()] * 4, *[ev.Pressed()] * 4])
    find_stitch_size(app.book)
    given_up = begin_search(app.book)
    do(given_up, [ev.Abandoned()])
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert column(app, 2) == ["gauge tube", "stitch size", "stitch size"]
        assert column(app, 4) == ["► under way", "× given up", "■ finished"]
        assert "4 of 8 rows done" in said(app)
        assert "Moss / Sixty-four" in said(app)
        await pilot.press("down")
        await pilot.pause()
        assert "given up: " in said(app)
        assert counted(app) == "3 of 3, by the day it began, newest first"
    found = find(app.book.store, Wanted())[0]
    assert found.id == tube.record.id
    assert clock_day(found.began, found.zone_min) == "9 Oct 2025"


def test_a_name_is_said_once_where_yarn_and_cylinder_have_columns() -> None:
    def whose(title: str) -> str:
        return whose_words(replace(FOUND, title=title))

    assert whose("Gauge tube: Moss on Sixty-four") == ""
    assert whose("Gauge tube: Moss on Sixty-four, half a turn looser") == "half a turn looser"
    assert whose("Teacher, Moss, twin") == "Teacher, twin"
    assert whose("Something else") == "Something else"
    assert whose_words(replace(FOUND, title="A tube", yarn="")) == "A tube"


async def test_letters_typed_to_narrow_are_only_letters(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    begin_tube(app.book, title="A tube of thistle")
    begin_tube(app.book, title="[red] tube")
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("slash", "t", "h", "i")
        await pilot.pause()
        assert app.results == []
        assert column(app, 3) == ["A tube of thistle"]
        await pilot.press("x")
        await pilot.pause()
        assert column(app, 3) == []
        assert counted(app) == "no session matches"
        await pilot.press("t", "escape")
        await pilot.pause()
        assert app.results == []
        assert column(app, 3) == ["[red] tube", "A tube of thistle"]
        await pilot.press("escape")
        await pilot.pause()
    assert app.results == [None]


async def test_an_unfinished_one_is_taken_up_and_a_finished_one_is_not(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    tube = begin_tube(app.book)
    find_stitch_size(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("down", "t")
        await pilot.pause()
        assert app.results == []
        await pilot.press("up", "t")
        await pilot.pause()
    assert app.results == [tube.record.id]


async def test_one_given_up_is_opened_again(tmp_path: Path) -> None:
    app = Bench(new_book(tmp_path), Settings())
    tube = begin_tube(app.book)
    do(tube, [ev.Abandoned()])
    async with app.run_test(size=SIZE) as pilot:
        app.go_to("past")
        await pilot.pause()
        await pilot.press("t")
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        assert app.screen.live.record.id == tube.record.id
    assert app.book.take_up(tube.record.id).state.status == "open"


async def test_enter_shows_the_page(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, PageScreen)
        page = app.screen.query_one(Page).source
        assert "Gauge tube: Moss" in str(app.screen.query_one(Heading).content)
        assert "10.30" in page
        drawn = str(app.screen.query_one(PlainPicture).content)
        assert drawn.startswith("Rows and passes a minute")
        assert max(map(len, drawn.splitlines())) <= 76
        await pilot.press("t")  # finished: nothing to take up
        assert isinstance(app.screen, PageScreen)
        await pilot.press("escape")
        assert isinstance(app.screen, PastScreen)


async def test_the_page_takes_up_an_unfinished_session(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    tube = begin_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("t")
        await pilot.pause()
    assert app.results == [tube.record.id]


async def test_an_empty_logbook_says_so(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert "nothing here yet" in counted(app)
        await pilot.press("enter", "t", "space", "c", "y", "escape")
        await pilot.pause()
    assert app.results == [None]


async def test_one_that_cannot_be_read_hides_none_of_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = Host(new_book(tmp_path))
    broken = begin_tube(app.book, title="Broken")
    begin_tube(app.book, title="Sound")
    sound_record = app.book.record

    def record(line: SessionLine) -> SessionRecord:
        if line.n == broken.n:
            raise LogbookError("The start of the session cannot be read.")
        return sound_record(line)

    monkeypatch.setattr(app.book, "record", record)
    monkeypatch.setattr(app.book, "begun", record)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert column(app, 3) == ["Sound", "Broken"]
        await pilot.press("down", "t")
        await pilot.pause()
        assert app.results == []
        await pilot.press("enter")
        await pilot.pause()
        page = app.screen.query_one(Page)
        assert "cannot be shown" in str(page.query_one(Static).content)
        await pilot.press("p", "y", "w", "t", "c")  # nothing of it can be played, written or taken up
        assert isinstance(app.screen, PageScreen)


# --- finding and ordering --------------------------------------------------------------------------------------


async def test_found_as_typed_and_a_half_typed_day_leaves_the_list(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    tube = begin_tube(app.book)
    find_stitch_size(app.book)
    do(tube, [*[ev.Confirmed()] * 4, ev.Pressed(), ev.Observed("note", None, "a moth hole")])
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("slash", *"moth")
        await pilot.pause()
        assert column(app, 2) == ["gauge tube"]
        app.screen.query_one(Input).value = "kind:search since:20"
        await pilot.pause()
        assert wanted(app) == "“20” is not a day that can be read: type one such as 2019, May 2021 or 24/12/2020."
        assert column(app, 2) == ["gauge tube"]
        app.screen.query_one(Input).value = "kind:search since:2025"
        await pilot.pause()
        assert column(app, 2) == ["stitch size"]
        assert counted(app).startswith("1 of 2")
        assert wanted(app) == "Looking for stitch-size searches begun since 1 Jan 2025."
        app.screen.query_one(Input).value = "pace:<1"
        await pilot.pause()
        assert column(app, 2) == []
        app.screen.query_one(Input).value = "-moth"
        await pilot.pause()
        assert column(app, 2) == ["stitch size"]
        app.screen.query_one(Input).value = ""
        await pilot.pause()
        assert wanted(app) == ""


async def test_what_each_session_is_folded_for_is_looked_for_a_moment_at_a_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = Host(new_book(tmp_path))
    for title in ("b", "c", "a"):
        begin_tube(app.book, title=title)
    dial = app.book.record(app.book.lines()[0]).dial
    monkeypatch.setattr("hosewright.bench.past.screen._A_PIECE_S", -1.0)
    waits: list[Callable[[], None]] = []

    class AfterAWhile:
        def stop(self) -> None:
            waits.clear()

    def after_a_while(_: float, then: Callable[[], None]) -> AfterAWhile:
        waits.append(then)
        return AfterAWhile()

    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        monkeypatch.setattr(app.screen, "set_timer", after_a_while)
        await pilot.press("slash")
        app.screen.query_one(Input).value = f"dial:{dial + 1}"
        await pilot.pause()
        assert "1 session read so far." in wanted(app)
        assert len(column(app, 2)) == 3  # as it was
        app.screen.query_one(Input).value = f"dial:{dial}"  # another letter is not held up
        await pilot.pause()
        for read in (2, 3):
            waits.pop()()
            assert f"{read} sessions read so far." in wanted(app)
        waits.pop()()
        await pilot.pause()
        assert wanted(app) == f"Looking for sessions with the dial {dial} clicks below zero."
        assert counted(app).startswith("3 of 3")


async def test_every_order_and_its_other_way_round(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    for title in ("b", "c", "a"):
        begin_tube(app.book, title=title)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert column(app, 3) == ["a", "c", "b"]
        await pilot.press("r")
        assert column(app, 3) == ["b", "c", "a"]
        await pilot.press("o", "o")
        assert counted(app) == "3 of 3, by title, a to z"
        assert column(app, 3) == ["a", "b", "c"]
        await pilot.press(*["o"] * (len(ORDERS) - 2))
        assert counted(app).endswith("by the day it began, newest first")


async def test_thousands_are_read_as_far_as_they_are_scrolled(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    start = begin_tube(app.book).record
    with app.book.store.one_commit():
        for n in range(3000):
            app.book.store.add_session(start.model_copy(update={"id": f"many-{n:05}", "title": f"Tube {n}"}))
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        table = app.screen.query_one(Sessions)
        assert table.row_count == PAGE
        await pilot.press(*["down"] * (PAGE - 5))
        await pilot.pause()
        assert table.row_count == 2 * PAGE
        await pilot.press("end")
        await pilot.pause()
        await pilot.pause()
        assert 2 * PAGE < table.row_count <= 4 * PAGE
        assert len(set(column(app, 3))) == table.row_count
        await pilot.press("slash", *"2999")
        await pilot.pause()
        assert column(app, 3) == ["Tube 2999"]


def wanted(app: Host) -> str:
    line = app.screen.query_one("#past-wanted", Static)
    return str(line.content) if line.display else ""


def marked(app: Host) -> str:
    line = app.screen.query_one("#past-marked", Static)
    return str(line.content) if line.display else ""


async def test_the_marked_one_is_compared_with_the_line_under_the_bar(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    measure_tube(app.book)
    measure_tube(app.book, length_mm=121.0)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert marked(app) == ""
        await pilot.press("space")
        assert column(app, 0) == ["*", ""]
        assert marked(app) == "* is marked: go to another line, then v compares the two"
        await pilot.press("c")  # with itself there is nothing to compare
        assert isinstance(app.screen, PastScreen)
        await pilot.press("down")
        await pilot.pause()
        assert marked(app) == "v compares this with * Gauge tube: Moss"
        assert column(app, 3) == ["Moss"] * 2, "the kind is in a column of its own"
        await pilot.press("space")
        assert column(app, 0) == ["*", "*"], "any number can be marked"
        await pilot.press("up", "space", "down")
        assert column(app, 0) == ["", "*"]
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        assert column(app, 0) == ["", "*"]
        assert [column(app, at) for at in (3, 4, 5)] == [[""] * 2, ["Moss"] * 2, ["Sixty-four"] * 2]
        await pilot.press("up", "c")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        await pilot.press("escape", "down", "space")
        assert column(app, 0) == ["", ""]
        assert marked(app) == ""


async def test_several_marked_are_compared_with_the_line_under_the_bar(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    ids = [measure_tube(app.book, length_mm=120.0 + n).record.id for n in range(3)]
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("space", "down", "space", "down")
        await pilot.pause()
        assert marked(app) == "v compares this with the 2 others marked *"
        await pilot.press("v")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        assert sorted(app.screen.ids) == sorted(ids)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, PageScreen)
        await pilot.press("v")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        assert len(app.screen.ids) == 1
        said = "\n".join(str(strip.text) for strip in app.screen._compositor.render_strips())
        assert "What was different about it, beside 2 other gauge tubes" in said


async def test_comparing_with_nothing_marked_marks_the_first_of_the_two(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    older, newer = measure_tube(app.book), measure_tube(app.book, length_mm=121.0)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("c")
        assert column(app, 0) == ["*", ""]
        await pilot.press("slash", *"moss", "enter")
        await pilot.pause()
        assert column(app, 0) == ["*", ""], "a mark outlasts the finding of another"
        await pilot.press("down", "c")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        assert app.screen.ids == (newer.record.id, older.record.id)


async def test_a_string_is_held_against_other_socks_sock_by_sock(tmp_path: Path) -> None:
    app = Host(open_practice(tmp_path))
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PageScreen("20251115-strsix"))
        await pilot.pause()
        await pilot.press("v")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        shown = "\n".join(
            strip.text for strip in app.screen.query_one(Page).query_one(Static).render_lines(Region(0, 0, 116, 200))
        )
        assert shown.count("beside 2 other socks; ") == 6
        assert all(f"Sock {sock}, String of 6 socks" in " ".join(shown.split()) for sock in range(1, 7))


async def test_a_twin_is_compared_with_its_first_sock_at_once(tmp_path: Path) -> None:
    app = Host(open_practice(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("slash", *"title:twin", "enter", "c")
        await pilot.pause()
        assert isinstance(app.screen, CompareScreen)
        assert app.screen.ids == ("20241012-coxone", "20241019-coxtwo")


async def test_a_fault_is_found_by_its_word(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    tube = begin_tube(app.book, title="Dropped one")
    do(tube, [*[ev.Confirmed()] * 4, ev.Pressed(), ev.Observed("tuck", 5)])
    begin_tube(app.book, title="Sound")
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("slash", *"seen:tu")
        await pilot.pause()
        assert column(app, 3) == ["Dropped one"]
        await pilot.press("x")
        await pilot.pause()
        assert wanted(app).startswith("fault: is one of dropped stitch, tuck")


async def test_a_page_that_is_made_wider_has_its_pictures_beside_the_words(tmp_path: Path) -> None:
    app = Host(open_practice(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        page = app.screen.query_one(Page)
        words = page.source
        for size, beside in (((200, 55), True), ((120, 40), False)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert bool(page.query(".columns")) is beside
            assert len(page.query(SockPicture)) == 1
            assert sorted(page.source.split()) == sorted(words.split())
