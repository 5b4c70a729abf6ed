"""What looks like a button is one: every binding, every entry of a foot and every click has something to do."""

from __future__ import annotations

import importlib
import pkgutil
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from textual.actions import parse
from textual.app import App
from textual.screen import Screen
from textual.widget import Widget

import hosewright.bench
from hosewright.bench.app import Bench
from hosewright.bench.count.screen import CLICKED, SessionScreen
from hosewright.bench.doors import PLACES
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.past.session_page import PageScreen
from hosewright.bench.program import LeaveScreen
from hosewright.bench.widgets.ask import Answer, Ask
from hosewright.bench.widgets.entry_screen import EntryRow
from hosewright.bench.widgets.keybar import MOST_AT_FOOT, BoundBar, KeyBar, at_the_foot, bound_commands
from hosewright.counting.hands import Hands
from hosewright.session.answers import ASKING
from hosewright.session.commands import commands_at, standings
from hosewright.session.keys import Command
from hosewright.settings.table import Settings
from tests.bench.stage import new_book
from tests.bench.test_silent_keys import each_screen
from tests.helpers import FakeClock, crank_to, record

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook

SOURCES = Path(hosewright.bench.__file__).parent


def classes() -> Iterator[type[Any]]:
    """Every class of the bench, a screen, a widget or an app."""
    for module in pkgutil.walk_packages(hosewright.bench.__path__, "hosewright.bench."):
        for found in vars(importlib.import_module(module.name)).values():
            if isinstance(found, type) and issubclass(found, (Widget, App)) and found.__module__ == module.name:
                yield found


OURS = sorted(set(classes()), key=lambda cls: cls.__qualname__)
BOUND = [(cls, binding) for cls in OURS for binding in vars(cls).get("BINDINGS", ())]


def action_of(binding: Any) -> str:
    return str(binding[1] if isinstance(binding, tuple) else binding.action)


def has_action(cls: type[Any], action: str) -> bool:
    """Whether an action that ``cls`` names is there; Textual runs one that is not without a word."""
    namespace, name, _ = parse(action)
    if namespace == "app":
        return any(hasattr(one, f"action_{name}") for one in OURS if issubclass(one, App))
    where = Screen if namespace == "screen" and not issubclass(cls, Screen) else cls
    return hasattr(where, f"action_{name}") or hasattr(where, f"_action_{name}")


@pytest.mark.parametrize(("cls", "binding"), BOUND, ids=lambda one: getattr(one, "__name__", None) or action_of(one))
def test_every_binding_has_its_action(cls: type[Any], binding: Any) -> None:
    assert has_action(cls, action_of(binding))


def test_an_action_that_is_not_there_is_found_out() -> None:
    assert len(BOUND) > 80
    assert not has_action(HomeScreen, "no_such_thing")
    assert not has_action(HomeScreen, "app.no_such_thing")


def test_every_click_written_in_a_text_has_its_action() -> None:
    written = [
        (cls, action)
        for cls in OURS
        for action in re.findall(r"@click[\"']?\s*[:=]\s*f?[\"']?([\w.]+)", _source_of(cls))
    ]
    assert all(has_action(cls, f"{action}()") for cls, action in written)
    everywhere = sum(path.read_text(encoding="utf-8").count("@click") for path in SOURCES.rglob("*.py"))
    assert everywhere == len(written), "one is written where no class is, and this test cannot follow it"


def _source_of(cls: type[Any]) -> str:
    import inspect

    return inspect.getsource(cls)


def test_every_command_at_the_crank_has_something_that_does_it() -> None:
    commands = {command.does for state in standings() for command in commands_at(state, missing=0)}
    lost = {
        does
        for does in commands
        if does not in ASKING and not hasattr(SessionScreen, f"go_{does}") and not hasattr(Hands, f"do_{does}")
    }
    assert lost == set()
    assert set(CLICKED.values()) <= commands


def test_every_command_of_the_first_screen_leads_somewhere() -> None:
    assert {command.does for command in HomeScreen.commands} <= {*PLACES, "enter", "help", "quit"}


async def test_every_entry_of_a_foot_is_a_key_that_does_something(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        async for name in each_screen(pilot):
            for foot in app.screen.query(BoundBar):
                shown = [command for line in foot._lines for command in line]
                assert 0 < len(shown) <= MOST_AT_FOOT, name
                assert {command.key for command in shown} <= set(app.screen.active_bindings), name
                assert {"escape", "f1"} & set(app.screen.active_bindings) <= {command.key for command in shown}, name
            for node, action in clicks(app.screen):
                assert has_action(type(node), action), (name, action)


def clicks(screen: Screen[Any]) -> Iterator[tuple[Widget, str]]:
    """The clicks in what is painted."""
    for widget in screen.query("*").results(Widget):
        for y in range(min(widget.size.height, 60)):
            for segment in widget.render_line(y) if widget.display and widget.size else ():
                click = segment.style.meta.get("@click") if segment.style else None
                if click is not None:
                    yield widget, click if isinstance(click, str) else str(click[0])


# --- the foot ---------------------------------------------------------------------------------------------------


def test_the_foot_keeps_the_first_and_the_ways_out() -> None:
    many = [Command(letter, letter, letter, letter, "") for letter in "abcdefghijkl"]
    out = [Command("tab", "Tab", "next", "", ""), Command("escape", "Esc", "back", "", "")]
    help_key = Command("f1", "F1", "help", "", "")
    shown = at_the_foot([*many, *out, help_key])
    assert "".join(c.key for c in shown[:-2]) == "abcdefgh"
    assert [c.key for c in shown[-2:]] == ["escape", "f1"]
    assert at_the_foot(many[:10]) == many[:10]


async def test_the_setting_shows_every_key_on_every_screen(practice: Logbook) -> None:
    for foot, shows_all in (("few", False), ("all", True)):
        app = Bench(practice, Settings(foot=foot), practice=True)  # type: ignore[arg-type]  # one of its words
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("d")
            await pilot.pause()
            bar = app.screen.query_one(BoundBar)
            shown = [command for line in bar._lines for command in line]
            every = bound_commands(app.screen)
            assert len(every) > MOST_AT_FOOT
            assert (len(shown) == len(every)) is shows_all


# --- clicks -----------------------------------------------------------------------------------------------------


async def test_one_click_marks_a_line_and_the_next_opens_it(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        await pilot.pause()
        listed = app.screen.query_one("#past-table")
        await pilot.click(listed, offset=(10, 4))
        await pilot.pause()
        assert not isinstance(app.screen, PageScreen)
        assert listed.cursor_row == 2  # type: ignore[attr-defined]  # it is a list: below the frame and the heading
        await pilot.click(listed, offset=(10, 4))
        await pilot.pause()
        assert isinstance(app.screen, PageScreen)


async def test_an_answer_is_clicked(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p", "1", "escape")
        await pilot.pause()
        assert isinstance(app.screen, Ask)
        yes, no = app.screen.query(Answer)
        await pilot.click(no)
        await pilot.pause()
        assert not isinstance(app.screen, Ask)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.click(app.screen.query(Answer).first())
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
        assert yes is not no


@pytest.mark.parametrize("counts", [False, True])
async def test_a_click_on_the_digits_counts_only_if_that_is_set(counts: bool, tmp_path: Path) -> None:
    book = new_book(tmp_path)
    book.clock = FakeClock()
    crank_to(book.start(record("sock", "20231114-heel")), "heel")
    app = Bench(book, Settings(press_gap_ms=0, click_counts=counts))
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        await pilot.click("#count", offset=(5, 4))
        await pilot.pause()
        assert screen.live.state.count == int(counts)


async def test_a_click_on_a_panel_does_what_its_key_does(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    book.clock = FakeClock()
    crank_to(book.start(record("sock", "20231114-heel")), "heel")
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        assert {name for name in CLICKED if screen.query(f"#{name}")} == set(CLICKED)
        await pilot.click("#cylinder")
        await pilot.pause()
        assert "dropped" in screen.query_one(KeyBar).plain
        assert "pause" not in screen.query_one(KeyBar).plain
        await pilot.press("escape")
        await pilot.click("#pace")
        await pilot.pause()
        assert screen.live.state.paused
        await pilot.click("#seen")
        await pilot.pause()
        assert app.screen is not screen
        await pilot.press("escape")
        await pilot.pause()
        await pilot.click("#sock")
        await pilot.pause()
        assert screen.has_class("listed")
        await pilot.click("#steps")
        await pilot.pause()
        assert not screen.has_class("listed")


async def click_word(pilot: Pilot[int], selector: str, word: str) -> None:
    """Click where ``word`` is painted, the last time it is."""
    widget = pilot.app.screen.query_one(selector)
    lines = ["".join(part.text for part in widget.render_line(y)) for y in range(widget.size.height)]
    y = max(at for at, line in enumerate(lines) if word in line)
    await pilot.click(widget, offset=(lines[y].rindex(word), y))
    await pilot.pause()


async def test_the_answers_in_a_line_are_clicked(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    book.clock = FakeClock()
    crank_to(book.start(record("sock", "20231114-heel")), "heel")
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-heel")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        for answer, gave_up in (("n no", False), ("y yes", True)):
            await pilot.press("a")
            await pilot.pause()
            assert screen.asks
            assert {action for _, action in clicks(screen)} == {"app.simulate_key('y')", "app.simulate_key('n')"}
            await click_word(pilot, "#ask Asked", answer)
            assert not screen.asks
            assert screen.live.state.abandoned is gave_up


async def test_the_answers_when_one_quits_while_counting_are_clicked(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    book.clock = FakeClock()
    crank_to(book.start(record("sock", "20231114-heel")), "heel")
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session("20231114-heel")
        await pilot.press("space", "ctrl+c")
        await pilot.pause()
        assert isinstance(app.screen, LeaveScreen)
        await click_word(pilot, "LeaveScreen Asked", "n no")
        assert isinstance(app.screen, SessionScreen)
        await pilot.press("ctrl+c")
        await pilot.pause()
        await click_word(pilot, "LeaveScreen Asked", "y yes")
        assert app.return_code == 0


@pytest.mark.parametrize(
    ("keys", "name"), [(("p",), "cuff"), (("e",), "tube_rows"), (("z",), "step"), (("s", "m"), "weights")], ids=str
)
async def test_a_click_beside_a_line_goes_to_it(keys: tuple[str, ...], name: str, practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
        row = app.screen.query_one(f"#row-{name}", EntryRow)
        assert not row.has_focus_within
        await pilot.click(row.query_one(".form-label"))
        assert row.entry.has_focus


async def test_the_wheel_scrolls_a_page(practice: Logbook) -> None:
    from textual.events import MouseScrollDown

    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l", "end", "enter")
        await pilot.pause()
        page = app.screen.query_one("Page")
        assert page.max_scroll_y > 0
        page.post_message(MouseScrollDown(page, 5, 5, 0, 1, 0, False, False, False))
        await pilot.pause()
        await pilot.wait_for_animation()
        assert page.scroll_y > 0


async def test_what_was_done_elsewhere_is_said_above_the_keys(practice: Logbook) -> None:
    from textual.widgets._toast import Toast

    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await pilot.press("l", "end", "enter")
        await pilot.pause()
        await pilot.press("x")
        await pilot.pause()
        await pilot.pause()
        (note,) = list(app._notifications)
        assert (note.title, note.severity) == ("Exported", "information")
        (toast,) = app.screen.query(Toast)
        assert toast.region.bottom <= app.screen.query_one(KeyBar).region.y
