"""What every list does alike: the record under the cursor stays, orders and words found, names as they were typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from textual.app import App

from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.list_screen import AT_FIRST, BACK, FIND, ORDER, Listed, ListScreen, find_line
from hosewright.phrases.lists import Column

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Sequence

    from textual.app import ComposeResult
    from textual.pilot import Pilot


@dataclass(frozen=True)
class Cone:
    id: str
    name: str
    grams: int


BRACKETS = "[bold]odd[/] [/x] ["
CONES = [Cone("a", "moss", 90), Cone("b", BRACKETS, 1000), Cone("c", "Rope, red", 200), Cone("d", "ash red", 45)]


class Cones(Listed[Cone]):
    TITLE = "Cones"
    NONE = "none yet, a adds one"

    def shape(self, room: int) -> Sequence[Column[Cone]]:
        return (
            Column("Name", lambda cone: cone.name, share=1, order=lambda cone: cone.name.casefold()),
            Column("Grams", lambda cone: str(cone.grams), number=True, order=lambda cone: cone.grams),
            Column("Id", lambda cone: cone.id),
        )


class ConeScreen(ListScreen[None]):
    BINDINGS = [ORDER, FIND, BACK]
    cones: Sequence[Cone] = CONES

    def compose(self) -> ComposeResult:
        yield find_line()
        yield Cones()
        yield BoundBar()

    def read_again(self, mark: str = "") -> None:
        self.query_one(Cones).fill(self.cones, mark)


@pytest.fixture
async def pilot() -> AsyncIterator[Pilot[None]]:
    app: App[None] = App()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(ConeScreen())
        await pilot.pause()
        yield pilot


def listed(pilot: Pilot[None]) -> Cones:
    return pilot.app.screen.query_one(Cones)


def names(pilot: Pilot[None]) -> list[str]:
    table = listed(pilot)
    return [str(table.get_row_at(at)[0]) for at in range(table.row_count)]


def title(pilot: Pilot[None]) -> str:
    return str(listed(pilot).border_title)


async def test_names_stand_as_they_were_typed(pilot: Pilot[None]) -> None:
    assert names(pilot) == ["moss", BRACKETS, "Rope, red", "ash red"]
    assert title(pilot) == "Cones: 4"


async def test_the_cursor_stays_on_its_record_after_a_refill(pilot: Pilot[None]) -> None:
    await pilot.press("down", "down")
    listed(pilot).fill([CONES[2], Cone("e", "new", 1), *CONES[:2]])
    assert listed(pilot).mark == "c"
    assert listed(pilot).cursor_row == 0
    listed(pilot).fill(CONES, "b")
    assert listed(pilot).mark == "b"


async def test_where_the_record_is_gone_the_one_that_took_its_place_is_marked(pilot: Pilot[None]) -> None:
    await pilot.press("down", "down")
    listed(pilot).fill([CONES[0], CONES[1], CONES[3]])
    assert listed(pilot).mark == "d"
    listed(pilot).fill([])
    assert listed(pilot).marked is None
    assert title(pilot) == "Cones: none yet, a adds one"
    assert listed(pilot).has_class("-empty")


async def test_the_list_is_ordered_by_values_and_the_cursor_goes_along(pilot: Pilot[None]) -> None:
    await pilot.press("s")
    assert names(pilot) == [BRACKETS, "ash red", "moss", "Rope, red"]
    await pilot.press("s")
    assert [cone.grams for cone in listed(pilot).records] == [45, 90, 200, 1000]  # not as words, where 1000 comes first
    assert (listed(pilot).mark, listed(pilot).cursor_row) == ("a", 1)
    assert title(pilot) == "Cones: 4, sorted by Grams"
    listed(pilot).order_by(1)
    assert [cone.grams for cone in listed(pilot).records] == [1000, 200, 90, 45]
    assert title(pilot) == "Cones: 4, sorted by Grams, reversed"
    listed(pilot).order_by(2)  # there is no order of ids
    assert title(pilot) == "Cones: 4, sorted by Grams, reversed"


async def test_a_click_on_a_heading_orders_by_it(pilot: Pilot[None]) -> None:
    column = listed(pilot)._widths[0] + 4  # the first cells behind margin, frame and padding, and the gap
    await pilot.click(Cones, offset=(column + 3, 1))
    await pilot.pause()
    assert title(pilot) == "Cones: 4, sorted by Grams"


async def test_words_are_found_in_any_column_and_escape_gives_all_back(pilot: Pilot[None]) -> None:
    await pilot.press("down", "down", "slash", *"red")
    await pilot.pause()
    assert names(pilot) == ["Rope, red", "ash red"]
    assert title(pilot) == "Cones: 2 of 4"
    assert listed(pilot).mark == "c"
    await pilot.press("space", "4")
    await pilot.pause()
    assert names(pilot) == ["ash red"]
    await pilot.press("escape")
    await pilot.pause()
    assert len(names(pilot)) == 4
    assert listed(pilot).has_focus
    assert isinstance(pilot.app.screen, ConeScreen)


async def test_many_are_filled_behind_the_first_frame(pilot: Pilot[None]) -> None:
    many = [Cone(str(n), f"cone {n}", n) for n in range(300)]
    listed(pilot).fill(many)
    assert listed(pilot).row_count == AT_FIRST + listed(pilot).cursor_row
    await pilot.pause()
    assert listed(pilot).row_count == 300
    listed(pilot).fill(many, "280")  # the one marked is there at once, wherever it stands
    assert listed(pilot).mark == "280"
    listed(pilot).fill(CONES)
    await pilot.pause()
    assert listed(pilot).row_count == 4


async def test_columns_follow_the_width(pilot: Pilot[None]) -> None:
    listed(pilot).fill([Cone("a", "a name of a yarn that is longer than any terminal has room for, and then some", 1)])
    assert names(pilot)[0].endswith("…")
    await pilot.press("down")
    await pilot.resize_terminal(130, 24)
    await pilot.pause()
    assert names(pilot)[0].endswith("some")
