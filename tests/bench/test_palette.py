"""The palette: what is found in it, and what choosing it does; nothing typed in it counts, and no row is lost by it."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from textual import events
from textual.command import CommandInput, CommandList, DiscoveryHit, Hit
from textual.widgets import Input

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.palette import MOST, Entry, Everything, Palette, entry, find
from hosewright.bench.past.session_page import PageScreen
from hosewright.bench.past.yarn_and_needles import YarnCardScreen
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.settings import SettingsScreen
from hosewright.bench.shelf import ShelfScreen
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import EntryScreen, FormScreen
from hosewright.bench.widgets.line import Steady
from hosewright.bench.widgets.panel import Panel
from hosewright.logbook.find.sessions import sessions_named, things_named
from hosewright.logbook.records.shelf import Wearer, Yarn
from hosewright.settings.table import KEYS, TABLE, Settings
from tests.bench.stage import begin_tube, measure_tube, new_book, stock
from tests.helpers import FakeClock, crank_to, record

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook

pytestmark = pytest.mark.usefixtures("home_left_alone")

ODD = "Moor [b]heather[/b] [/x]"


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    made = new_book(tmp_path)
    stock(made)
    measure_tube(made)
    begin_tube(made, title="Gauge tube: Moss, again")
    made.keep(Yarn(id="heather", name=ODD, m_per_100g=400.0, ball_g=100.0))
    return made


def nothing() -> None:
    """What a test's entry does."""


def entries(*names: str) -> list[Entry]:
    return [entry(name, nothing, "Said.") for name in names]


async def look_for(pilot: Pilot[int], words: str) -> list[str]:
    """Type ``words`` into the palette; the names that are found."""
    await pilot.press(*("space" if letter == " " else letter for letter in words))
    await shown(pilot)
    hits = [option.hit for option in pilot.app.screen.query_one(CommandList).options if hasattr(option, "hit")]
    return [hit.text for hit in hits]


async def shown(pilot: Pilot[int]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def choose(pilot: Pilot[int], words: str) -> None:
    """Open the palette, type, and take the first that is found."""
    await pilot.press("ctrl+p")
    assert isinstance(pilot.app.screen, Palette)
    assert await look_for(pilot, words), words
    await pilot.press("enter")
    await pilot.pause()


# --- finding ----------------------------------------------------------------------------------------------------


def test_every_word_must_be_in_the_name_and_a_name_that_begins_with_them_comes_first() -> None:
    known = entries("Sock for the ferryman", "Gauge tube: Moss", "Mossy tube", "A ferryman", "Ferryman, Moss")
    assert [one.name for one in find(known, "Moss")] == ["Mossy tube", "Gauge tube: Moss", "Ferryman, Moss"]
    assert [one.name for one in find(known, "tube moss")] == ["Gauge tube: Moss", "Mossy tube"]
    assert find(known, "heel") == []


def test_what_is_said_of_a_command_is_looked_through_after_the_names() -> None:
    known = [entry("Hang again", nothing, "The work came off.", "r", "The work came off."), *entries("Work to do")]
    assert [one.name for one in find(known, "work")] == ["Work to do", "Hang again"]


def test_so_many_are_found_at_most() -> None:
    assert len(find(entries(*(f"Sock {n}" for n in range(200))), "sock")) == MOST
    assert len(find(entries(*(f"A sock {n}" for n in range(200))), "k")) == MOST


def test_what_has_a_name_is_read_out_of_the_logbook(book: Logbook) -> None:
    book.keep(Wearer(id="gone", name="Gone", retired=True))
    assert [one.title for one in sessions_named(book.store)] == ["Gauge tube: Moss, again", "Gauge tube: Moss"]
    assert {(one.kind, one.name) for one in things_named(book.store)} == {
        ("yarn", "Moss"),
        ("yarn", ODD),
        ("wearer", "The ferryman"),
    }


async def test_the_provider_knows_the_screen_the_others_the_settings_the_themes_and_the_names(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        provider = Everything(app.screen)
        await provider.startup()
        known = {one.name: one for one in provider.entries}
        assert known["Add a yarn"].key == "y"
        assert known["Go to: look back"].key == "l"
        assert {f"Theme: {name}" for name in app.themes} <= set(known)
        assert {f"Setting: {one.label}" for one in TABLE.values() if one.part != KEYS} <= set(known)
        assert {"Moss", ODD, "The ferryman", "Gauge tube: Moss"} <= set(known)
        assert all(one.said() for one in provider.entries)
        found = [hit async for hit in provider.search("gauge")]
        assert all(isinstance(hit, Hit) and hit.help for hit in found)
        first = [hit async for hit in provider.discover()]
        assert len(first) == MOST
        assert all(isinstance(hit, DiscoveryHit) for hit in first)
        (hit,) = [hit async for hit in provider.search("moor")]
        assert str(hit.prompt) == ODD
        assert "Go to: gauge tube" in [hit.text async for hit in provider.search("ggtb")]  # its letters in this order


async def test_a_logbook_that_cannot_be_read_leaves_the_commands(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        provider = Everything(app.screen)
        book.store.db.execute("DROP TABLE words")
        book.store.db.execute("DROP TABLE catalogue")
        await provider.startup()
        await pilot.pause()
        assert "Go to: shelf" in [one.name for one in provider.entries]
        assert any("cannot be read" in note.message for note in app._notifications)


def test_the_palette_is_not_brought_in_before_it_is_opened() -> None:
    told = "import sys, hosewright.bench.app; print('hosewright.bench.palette' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True).stdout == "False\n"


# --- choosing ---------------------------------------------------------------------------------------------------


async def test_another_screen_a_page_and_a_form_are_gone_to(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await choose(pilot, "shelf")
        assert isinstance(app.screen, ShelfScreen)
        await choose(pilot, "moss")
        assert isinstance(app.screen, YarnCardScreen)
        assert len(app.screen_stack) == 2  # the shelf was left
        await choose(pilot, "moor")
        assert isinstance(app.screen, FormScreen)
        await choose(pilot, "ferryman")
        assert isinstance(app.screen, FormScreen)
        assert app.screen.rows["name"].touched is False
        await choose(pilot, "go to: bench")
        assert isinstance(app.screen, HomeScreen)


async def test_a_session_under_way_is_gone_on_with_and_a_finished_one_shown(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await choose(pilot, "gauge tube: moss, again")
        assert isinstance(app.screen, SessionScreen)
        await pilot.press("ctrl+p")
        found = await look_for(pilot, "gauge tube: moss")
        await pilot.press(*["down"] * found.index("Gauge tube: Moss"), "enter")
        await pilot.pause()
        assert isinstance(app.screen, PageScreen)


async def test_the_same_session_is_never_open_twice(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await choose(pilot, "moss, again")
        await choose(pilot, "moss, again")
        assert [isinstance(screen, SessionScreen) for screen in app.screen_stack] == [False, True]


async def test_a_command_of_the_screen_does_what_its_key_does(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("y")
        await choose(pilot, "add a lot")
        assert isinstance(app.screen, EntryScreen)
        await pilot.press("1")  # into a line, which keeps its focus
        await choose(pilot, "leave")
        assert isinstance(app.screen, Ask)


async def test_what_was_typed_is_not_left_behind(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p", *"15 cm")
        await choose(pilot, "go to: shelf")
        assert isinstance(app.screen, PlanScreen)
        assert any("not saved yet" in note.message for note in app._notifications)
        assert app.screen.query_one("#field-tube", Input).value.startswith("15")


async def test_a_setting_is_gone_to_at_its_line_and_a_theme_is_put_up(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await choose(pilot, "setting: bell")
        await pilot.pause()
        assert isinstance(app.screen, SettingsScreen)
        assert app.screen.rows["bell"].entry.has_focus
        other = next(name for name in app.themes if name != app.theme)
        await choose(pilot, f"theme: {other}")
        assert app.theme == other
        assert app.settings.theme == other


async def test_the_key_closes_it_again_and_opens_nothing_over_a_question(
    book: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+p", "ctrl+p")
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
        said: list[str] = []  # what stands on the screen goes after a while, on a busy machine before it is looked for
        monkeypatch.setattr(app, "notify", lambda message, **_: said.append(message))
        await pilot.press("p", *"15", "escape", "ctrl+p")
        await pilot.pause()
        assert not isinstance(app.screen, Palette)
        assert any(message.startswith("Ctrl+P does nothing here") for message in said)


async def test_names_with_brackets_break_nothing(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+p")
        assert await look_for(pilot, "heather") == [ODD]
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)


# --- at the crank -----------------------------------------------------------------------------------------------


@pytest.fixture
def heel(tmp_path: Path) -> tuple[Logbook, FakeClock]:
    made = new_book(tmp_path)
    clock = FakeClock()
    made.clock = clock
    crank_to(made.start(record("sock", "20231114-heel")), "heel")
    return made, clock


async def test_space_is_text_in_it_and_counts_nothing(heel: tuple[Logbook, FakeClock]) -> None:
    book, _ = heel
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        await pilot.press("ctrl+p", "a", "space", "space")
        await pilot.pause()
        assert app.screen.query_one(CommandInput).value == "a  "
        assert screen.live.state.count == 0
        assert "Keys go into the palette" in str(screen.query_one("#elsewhere", Steady).render())
        assert screen.query_one("#count", Panel).plain.startswith("x")  # the frame of keys that go elsewhere
        await pilot.press("escape", "space")
        await pilot.pause()
        assert screen.live.state.count == 1
        assert not screen.has_class("elsewhere")


async def test_rows_that_may_have_been_cranked_meanwhile_are_offered(
    heel: tuple[Logbook, FakeClock], monkeypatch: pytest.MonkeyPatch
) -> None:
    book, _ = heel
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        await pilot.press(*["space"] * 4)
        monkeypatch.setattr(type(screen.live.paces.of(passes=True)), "per_minute", 30.0)
        await pilot.press("ctrl+p", "escape")
        await pilot.pause()
        assert screen.hands.offered is None  # no time for a pass, and not a word of it
        await pilot.press("ctrl+p")
        assert screen.hands._keys_gone_ms is not None
        screen.hands._keys_gone_ms -= 9_000
        await pilot.press("escape")
        await pilot.pause()
        said = str(screen.query_one("#message", Steady).render())
        assert said.startswith("! Keys went into the palette for ")
        offered = screen.hands.offered
        assert offered is not None
        assert offered >= 4  # two seconds a pass
        await pilot.press("m")
        await pilot.pause()
        assert screen.live.state.count == 4 + offered


async def test_commands_at_the_crank_do_what_they_say_at_once(heel: tuple[Logbook, FakeClock]) -> None:
    book, _ = heel
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        await choose(pilot, "count")
        assert screen.live.state.count == 1
        await choose(pilot, "tuck")
        assert [seen.fault for seen in screen.live.state.observations] == ["tuck"]
        await choose(pilot, "recount")  # not the strip of what puts things right, which its key opens first
        assert screen.asks
        await pilot.press("ctrl+p")
        await pilot.pause()
        assert not isinstance(app.screen, Palette)  # the question is answered first
        await pilot.press("escape")
        await choose(pilot, "undo")
        assert not screen.live.state.observations or screen.live.state.observations[0].struck


async def test_going_elsewhere_from_the_crank_is_as_with_escape(heel: tuple[Logbook, FakeClock]) -> None:
    book, _ = heel
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        await choose(pilot, "go to: bench")
        assert isinstance(app.screen, HomeScreen)
        await pilot.press("enter")
        await pilot.pause()
        (back,) = [screen for screen in app.screen_stack if isinstance(screen, SessionScreen)]
        assert back.live.record.id == "20231114-heel"


async def test_a_reading_typed_is_not_left_behind(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    book.clock = FakeClock()
    crank_to(book.start(record("tube", "20231114-wash")), "after-wash")
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-wash")
        await pilot.pause()
        await pilot.press(*"148")
        await choose(pilot, "go to: shelf")
        assert isinstance(app.screen, SessionScreen)
        assert any("not saved yet" in note.message for note in app._notifications)


async def test_a_page_of_a_list_that_is_not_there_yet_ends_nothing(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        for keys in (
            ("pagedown",),
            ("pageup", "pagedown"),
            ("z", "q", "x", "pagedown", "pageup"),
            ("down", "pagedown"),
        ):
            for key in ("ctrl+p", *keys):  # posted at once, before anything is laid out
                app.post_message(events.Key(key, key if len(key) == 1 else None))
            await pilot.pause()
            assert isinstance(app.screen, Palette)
            await pilot.press("escape")
            await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
