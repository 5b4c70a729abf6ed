"""Past sessions: listed newest first, found by title, read, and taken up again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import Markdown, Static

from hosewright.bench.page_screen import PageScreen
from hosewright.bench.past_screen import PastScreen, Sessions, cells
from hosewright.logbook.store import LogbookError
from hosewright.session import events as ev
from tests.bench.stage import Host, begin_search, begin_tube, do, find_stitch_size, measure_tube, new_book

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

    from hosewright.logbook.records import SessionRecord
    from hosewright.logbook.store import SessionLine

SIZE = (80, 24)


def column(app: Host, at: int) -> list[str]:
    table = app.screen.query_one(Sessions)
    return [str(table.get_row_at(row)[at]) for row in range(table.row_count)]


async def test_newest_first_and_where_each_stands(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    find_stitch_size(app.book)
    tube = begin_tube(app.book)
    do(tube, [ev.Confirmed(), *[ev.Pressed()] * 4])
    given_up = begin_search(app.book)
    do(given_up, [ev.Abandoned()])
    do(tube, [ev.Pressed()])  # the last changed is not the last begun
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert column(app, 1) == ["stitch size", "gauge tube", "stitch size"]
        assert column(app, 3) == ["Moss / Seventy-two"] * 3
        stands = column(app, 4)
        assert stands[0].startswith("given up: ")
        assert stands[1].endswith("row 5 of 10")
        assert stands[2] == "finished"
        assert str(app.screen.query_one("#past-count", Static).content) == "3 of 3"
    assert cells(app.book, app.book.store.find(tube.record.id))[0] == "9 Oct 2025"


async def test_letters_typed_to_narrow_are_only_letters(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    begin_tube(app.book, title="A tube of thistle")
    begin_tube(app.book, title="[red] tube")
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("slash", "t", "h")
        await pilot.pause()
        assert app.results == []
        assert column(app, 2) == ["A tube of thistle"]
        await pilot.press("x")
        await pilot.pause()
        assert column(app, 2) == []
        assert "No session has a title like that" in str(app.screen.query_one("#past-count", Static).content)
        await pilot.press("t", "escape")
        await pilot.pause()
        assert app.results == []
        assert column(app, 2) == ["[red] tube", "A tube of thistle"]
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
        await pilot.press("t")
        await pilot.pause()
        assert app.results == []
        await pilot.press("down", "t")
        await pilot.pause()
    assert app.results == [tube.record.id]


async def test_one_given_up_is_opened_again(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    tube = begin_tube(app.book)
    do(tube, [ev.Abandoned()])
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        await pilot.press("t")
        await pilot.pause()
    assert app.results == [tube.record.id]
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
        page = app.screen.query_one("#page", Markdown).source
        assert "Gauge tube: Moss" in page
        assert "11.11" in page
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
        assert "Nothing yet" in str(app.screen.query_one("#past-count", Static).content)
        await pilot.press("enter", "t", "escape")
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
    async with app.run_test(size=SIZE) as pilot:
        app.show(PastScreen())
        await pilot.pause()
        assert column(app, 2) == ["Sound", "Broken"]
        assert column(app, 4)[1].startswith("cannot be read")
        await pilot.press("down", "t")
        await pilot.pause()
        assert app.results == []
        await pilot.press("enter")
        await pilot.pause()
        assert "cannot be shown" in app.screen.query_one("#page", Markdown).source
