"""The base of every screen that is filled in: when lines are judged, where errors stand, what saving asks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Input, Select, Static

from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import EntryScreen, Line, Pick, entry_for
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.craft import CraftError
from hosewright.logbook.file.errors import LogbookError
from hosewright.phrases.field import Field, FieldError, length, whole, words
from tests.bench.stage import Host, new_book

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

NAME = words("name", "Name", "what you call it", 20, required=True)
ROWS = whole("rows", "Rows", "as cranked", 1, 200, example="60")
EDGE = Field("edge", "Edge", "how it ends", choices=(("rolled", "roll"), ("hung hem", "hem")), required=True)
YARN = Field("yarn", "Yarn", "of what", choices=(), blank="none chosen", required=True, missing="Choose a yarn first.")
GIRTH = length("girth", "Girth", "round it", "cm", 600.0, example="22 cm")


class Trial(EntryScreen[dict[str, Any]]):
    """Five lines of each kind."""

    heading = "A trial"
    full = False

    def lay_out(self) -> None:
        self.add(NAME)
        self.add(ROWS, 60)
        self.add(EDGE, "hem")
        self.add(YARN)
        self.add(GIRTH)

    def on_mount(self) -> None:
        self.rows["yarn"].offer([("Moss [green]", "moss"), ("Ash", "ash")], None)

    def remark(self, values: Any) -> str:
        return f"{values['rows']} rows." if "rows" in values else "No rows."

    def build(self, values: dict[str, Any]) -> dict[str, Any]:
        if values["name"] == "odd":
            raise FieldError("rows", "An odd one has an odd number of rows.")
        if values["name"] == "none":
            raise CraftError("There is nothing to make of it.")
        return values

    def question(self, made: dict[str, Any]) -> Ask | None:
        return Ask("So many?", "yes", "no") if made["rows"] > 100 else None

    def keep(self, made: dict[str, Any]) -> None:
        if self.full:
            raise LogbookError("Not saved: the disk is full.")


def wrong(app: Host) -> dict[str, str]:
    assert isinstance(app.screen, Trial)
    shown = {name: str(row.query_one(".form-problem", Static).content) for name, row in app.screen.rows.items()}
    return {name: said for name, said in shown.items() if said}


async def opened(app: Host, pilot: Pilot[None]) -> Trial:
    screen = Trial()
    app.show(screen)
    await pilot.pause()
    return screen


@pytest.fixture
def app(tmp_path: Path) -> Host:
    return Host(new_book(tmp_path))


def test_the_widget_follows_from_the_kind_of_the_field() -> None:
    assert isinstance(entry_for(NAME, None), Line)
    assert isinstance(entry_for(EDGE, "hem"), Pick)
    assert isinstance(entry_for(YARN, None), Pick)


async def test_a_line_is_judged_when_one_leaves_it_and_cleared_as_soon_as_it_is_right(app: Host) -> None:
    async with app.run_test() as pilot:
        screen = await opened(app, pilot)
        screen.rows["rows"].entry.focus()
        await pilot.press(*"some")
        assert wrong(app) == {}
        assert str(screen.query_one("#form-remark", Static).content) == "No rows."
        await pilot.press("down")
        assert "does not start with a number" in wrong(app)["rows"]
        screen.rows["rows"].entry.focus()
        await pilot.press("ctrl+u", "6")
        assert wrong(app) == {}
        assert str(screen.query_one("#form-remark", Static).content) == "6 rows."
        screen.rows["name"].entry.focus()
        await pilot.press("down")
        assert wrong(app) == {}, "a line passed by is not asked for before one saves"


async def test_saving_shows_all_errors_at_once_keeps_what_was_typed_and_goes_to_the_first(app: Host) -> None:
    async with app.run_test() as pilot:
        screen = await opened(app, pilot)
        screen.rows["girth"].entry.focus()
        await pilot.press(*"wide", "ctrl+s")
        await pilot.pause()
        assert list(wrong(app)) == ["name", "yarn", "girth"]
        assert wrong(app)["name"] == "! Name is needed: what you call it."
        assert wrong(app)["yarn"] == "! Choose a yarn first."
        assert screen.rows["name"].entry.has_focus
        assert screen.rows["girth"].text == "wide"
        screen.query_one("#field-yarn", Select).value = "ash"
        await pilot.pause()
        assert list(wrong(app)) == ["name", "girth"]
        assert app.results == []


async def test_what_needs_two_lines_is_said_at_one_and_what_belongs_to_none_in_a_box(app: Host) -> None:
    async with app.run_test(notifications=True) as pilot:
        screen = await opened(app, pilot)
        screen.query_one("#field-yarn", Select).value = "moss"
        await pilot.press(*"odd", "ctrl+s")
        await pilot.pause()
        assert wrong(app) == {"rows": "! An odd one has an odd number of rows."}
        assert screen.rows["rows"].entry.has_focus
        screen.query_one("#field-name", Input).value = "none"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert [note.message for note in app._notifications] == ["There is nothing to make of it."]
        assert app.results == []


async def test_enter_goes_down_the_lines_and_saves_on_the_last(app: Host) -> None:
    async with app.run_test() as pilot:
        screen = await opened(app, pilot)
        screen.query_one("#field-yarn", Select).value = "moss"
        await pilot.press(*"hem", "enter")
        assert screen.rows["rows"].entry.has_focus
        await pilot.press("enter")
        assert screen.rows["edge"].entry.has_focus
        await pilot.press("down", "down", *"22", "enter")
        await pilot.pause()
    assert app.results == [{"name": "hem", "rows": 60, "edge": "hem", "yarn": "moss", "girth": 220.0}]


async def test_what_must_be_asked_is_asked_and_what_cannot_be_saved_stays(app: Host) -> None:
    async with app.run_test(notifications=True) as pilot:
        screen = await opened(app, pilot)
        screen.query_one("#field-yarn", Select).value = "moss"
        screen.query_one("#field-rows", Input).value = "120"
        screen.full = True
        await pilot.press(*"long", "ctrl+s")
        assert isinstance(app.screen, Ask)
        await pilot.press("y")
        await pilot.pause()
        assert not isinstance(app.screen, Ask)
        assert [note.message for note in app._notifications] == ["Not saved: the disk is full."]
        screen.full = False
        await pilot.press("ctrl+s", "n")
        await pilot.pause()
        assert app.results == []
        await pilot.press("ctrl+s", "y")
        await pilot.pause()
    assert [made and made["rows"] for made in app.results] == [120]


@pytest.mark.parametrize("by_hand", ["typed", "chosen", "neither"])
async def test_leaving_asks_when_something_was_typed_or_chosen(app: Host, by_hand: str) -> None:
    async with app.run_test() as pilot:
        screen = await opened(app, pilot)
        screen.rows["girth"].propose("21 cm")  # by the program
        screen.rows["yarn"].choose("ash")
        await pilot.pause()
        if by_hand == "typed":
            await pilot.press("x")
        elif by_hand == "chosen":
            screen.rows["edge"].entry.focus()
            await pilot.press("enter", "up", "enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, Ask) is (by_hand != "neither")
        if by_hand != "neither":
            await pilot.press("n", "escape", "y")
            await pilot.pause()
    assert app.results == [None]


async def test_a_proposal_never_takes_the_place_of_what_was_typed(app: Host) -> None:
    async with app.run_test() as pilot:
        screen = await opened(app, pilot)
        row = screen.rows["girth"]
        row.propose("21 cm")
        row.propose("22 cm")
        assert row.text == "22 cm"
        row.entry.focus()
        await pilot.press("ctrl+u")
        row.propose("22 cm")
        assert row.text == "", "cleared by hand"
        row.propose("23 cm")
        assert row.text == "23 cm"
        await pilot.press("end", "ctrl+u", *"30")
        row.propose("24 cm")
        assert row.text == "30"


async def test_the_help_begins_with_the_line_one_is_on(app: Host) -> None:
    async with app.run_test() as pilot:
        screen = await opened(app, pilot)
        screen.rows["edge"].entry.focus()
        await pilot.pause()
        screen.go_help()
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        said = str(app.screen.query(Static).first().content)
        assert said.startswith("Edge: how it ends. It takes rolled or hung hem.\n\nEnter goes to the next line")


@pytest.mark.parametrize(("size", "beside"), [((120, 40), False), ((200, 55), True)])
async def test_where_there_is_room_what_is_told_of_the_lines_stands_beside_them(
    app: Host, size: tuple[int, int], beside: bool
) -> None:
    async with app.run_test(size=size) as pilot:
        screen = await opened(app, pilot)
        told = screen.query_one("#form-told", Static)
        for name in ("rows", "edge"):
            screen.rows[name].entry.focus()
            await pilot.pause()
            here, *others = str(told.content).split("\n\n")
            assert here == screen.rows[name].field.explained
            assert others == [
                row.field.explained for other, row in screen.rows.items() if other != name and row.display
            ]
        assert bool(told.region) == told.display == beside
        assert not beside or told.region.x >= screen.rows["edge"].region.right
