"""The settings screen by its keys, and the checks of the keymap."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual.widgets import OptionList, Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.settings import MARGINS, KeyList, LearnKey, SettingsScreen
from hosewright.bench.widgets.ask import Ask
from hosewright.counting.key_choice import all_commands, key_name, key_problem, problems, usable_keymap
from hosewright.counting.keymap import commands_for
from hosewright.places import settings_path
from hosewright.session.keys import USUAL_KEYS, Keymap
from hosewright.session.state import State
from hosewright.settings.loading import load
from hosewright.settings.table import Settings
from tests.helpers import crank_to, head, record

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.session.steps import SessionKind

pytestmark = pytest.mark.usefixtures("home_left_alone")


class Shown:
    """The bench with the settings screen up."""

    def __init__(self, pilot: Pilot[int]) -> None:
        self.pilot = pilot
        assert isinstance(pilot.app, Bench)
        self.app: Bench = pilot.app

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def open(self) -> None:
        await self.press("e")
        assert isinstance(self.app.screen, SettingsScreen)

    async def to_line(self, name: str) -> None:
        for _ in range(20):
            if self.app.focused is not None and self.app.focused.id == f"field-{name}":
                return
            await self.press("down")
        raise AssertionError(f"the arrows never came to {name}")

    async def to_key(self, word: str) -> None:
        """Mark the line of the keys that starts with ``word``."""
        keys = self.keys
        keys.focus()
        lines = [str(keys.get_option_at_index(n).prompt) for n in range(keys.option_count)]
        at = next(n for n, line in enumerate(lines) if line.startswith(f"{word}  "))
        await self.press("home", *["down"] * at)
        assert keys.highlighted == at

    @property
    def keys(self) -> KeyList:
        return self.app.screen_stack[-1].query_one(KeyList)

    @property
    def refused(self) -> str:
        assert isinstance(self.app.screen, LearnKey)
        return str(self.app.screen.query_one("#learn-refused", Static).render())

    @property
    def stored(self) -> Settings:
        settings, troubles = load(settings_path())
        assert troubles == []
        return settings


@pytest.fixture
async def shown(book: Logbook) -> AsyncIterator[Shown]:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        ready = Shown(pilot)
        await ready.open()
        yield ready


# --- the screen -----------------------------------------------------------------------------------------------


async def test_lines_are_stored_and_hold_at_once(shown: Shown) -> None:
    await shown.press("enter", "down", "enter")  # inches to centimetres
    await shown.to_line("tape_error_mm")
    await shown.press(*"0.5", "enter")
    await shown.to_line("tube_rows")
    await shown.press(*"60", "enter")
    await shown.to_line("press_gap_ms")
    await shown.press("0", "ctrl+s")
    wanted = Settings(length_unit="cm", tape_error_mm=0.5, tube_rows=60, press_gap_ms=0)
    assert shown.stored == wanted
    assert shown.app.settings == wanted
    assert isinstance(shown.app.screen, HomeScreen)


async def test_each_wrong_line_says_what_to_type_and_nothing_is_stored(shown: Shown) -> None:
    await shown.to_line("tube_rows")
    await shown.press(*"20", "down")
    await shown.to_line("weights_every")
    await shown.press(*"often", "ctrl+s")
    assert isinstance(shown.app.screen, SettingsScreen)
    said = [str(line.render()) for line in shown.app.screen.query(".form-problem").results(Static)]
    assert any("from 30 to 200" in words for words in said)
    assert any("from 0 to 1000" in words for words in said)
    assert shown.app.focused is not None
    assert shown.app.focused.id == "field-tube_rows"
    assert not settings_path().exists()


async def test_a_line_left_empty_takes_the_usual_number(shown: Shown) -> None:
    await shown.to_line("tube_rows")
    await shown.press(*"60")
    await shown.to_line("separator_rows")
    await shown.press("up", "backspace", "ctrl+s")
    assert shown.stored.tube_rows == Settings().tube_rows


async def test_themes_are_seen_while_choosing_and_esc_takes_them_back(shown: Shown) -> None:
    await shown.to_line("theme")
    await shown.press("enter")
    seen = []
    for _ in shown.app.themes:
        await shown.press("down")
        seen.append(shown.app.theme)
    assert sorted(seen) == shown.app.themes
    await shown.press("up")
    assert shown.app.theme != "lamplight"
    await shown.press("escape")
    assert shown.app.theme == "lamplight"
    await shown.press("enter", "home", "enter")
    assert shown.app.theme == "daylight"
    await shown.press("escape", "y")
    assert isinstance(shown.app.screen, HomeScreen)
    assert shown.app.theme == "lamplight"
    await shown.open()
    await shown.to_line("theme")
    await shown.press("enter", "home", "enter", "ctrl+s")
    assert (shown.app.theme, shown.stored.theme) == ("daylight", "daylight")


async def test_esc_asks_only_when_something_was_changed(shown: Shown) -> None:
    await shown.press("enter", "escape", "pageup", "escape")
    assert isinstance(shown.app.screen, HomeScreen)
    await shown.open()
    await shown.to_line("tube_rows")
    await shown.press("7", "escape")
    assert isinstance(shown.app.screen, Ask)
    await shown.press("n")
    assert isinstance(shown.app.screen, SettingsScreen)
    await shown.press("escape", "y")
    assert shown.app.settings == Settings()
    assert not settings_path().exists()


async def test_lists_that_are_not_up_yet_have_not_been_changed(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        screen = SettingsScreen()
        assert not screen.touched


async def test_looking_round_the_settings_changes_nothing(shown: Shown) -> None:
    await shown.press("enter", "escape", *["down"] * 14, *["pagedown"] * 5)
    await shown.pilot.pause(0.5)
    await shown.press("escape")
    assert isinstance(shown.app.screen, HomeScreen)


async def test_page_keys_go_from_part_to_part(shown: Shown) -> None:
    firsts = []
    for _ in range(7):
        await shown.press("pagedown")
        assert shown.app.focused is not None
        firsts.append(shown.app.focused.id)
    lines = ("theme", "tube_rows", "count_shows", "speech", "hours_a_week", "laptop")
    assert firsts == [*(f"field-{line}" for line in lines), "keys-list"]
    await shown.press("pagedown")
    assert shown.keys.highlighted
    await shown.press("home", "pageup")
    assert shown.app.focused is not None
    assert shown.app.focused.id == "field-laptop"


async def test_practice_stores_nothing(book: Logbook) -> None:
    app = Bench(book, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("e", "enter", "down", "enter", "ctrl+s")
        await pilot.pause()
        assert app.settings.length_unit == "cm"
        assert not settings_path().exists()


async def test_what_cannot_be_stored_is_said_and_stays_on_the_screen(
    shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    await shown.press("enter", "down", "enter")
    with monkeypatch.context() as patch:
        patch.setattr("hosewright.places.os.fsync", full)
        await shown.press("ctrl+s")
    assert isinstance(shown.app.screen, SettingsScreen)
    assert any("No space left" in note.message for note in shown.app._notifications)
    await shown.press("ctrl+s")
    assert shown.stored.length_unit == "cm"


# --- keys learned by being pressed ----------------------------------------------------------------------------


async def test_a_pedal_is_learned_and_counts(shown: Shown, book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    await shown.press("pageup", "down", "enter")
    assert isinstance(shown.app.screen, LearnKey)
    await shown.press("f13")
    await shown.press("ctrl+s")
    assert shown.stored.count_keys == ("space", "f13")
    shown.app.open_session(live.record.id)
    await shown.press("f13")
    assert isinstance(shown.app.screen, SessionScreen)
    assert shown.app.screen.live.state.count == 1


async def test_a_count_key_is_replaced_and_taken_off_but_never_the_last(shown: Shown) -> None:
    await shown.press("pageup", "enter", "pagedown")
    assert shown.keys.settings.count_keys == ("pagedown",)
    await shown.press("delete")
    assert shown.keys.settings.count_keys == ("pagedown",)
    await shown.press("down", "enter", "f13", "home", "delete", "ctrl+s")
    assert shown.stored.count_keys == ("f13",)


async def test_keys_that_are_taken_or_cannot_stand_alone_are_refused(shown: Shown) -> None:
    await shown.press("pageup", "down", "enter")
    await shown.press("b")
    assert f"b is both count and {all_commands()['step_back'].word}" in shown.refused
    await shown.press("left_shift")
    assert "cannot be used alone" in shown.refused
    await shown.press("space")
    assert "counts already" in shown.refused
    await shown.press("5")
    assert "needle's number" in shown.refused
    await shown.press("escape")
    assert shown.keys.settings == Settings()


async def test_a_command_moves_to_another_key_and_back(shown: Shown) -> None:
    await shown.to_key("pause")
    await shown.press("enter", "d")
    assert "d is both pause and dropped" in shown.refused
    await shown.press("q")
    assert shown.keys.settings.keys == {"pause": "q"}
    line = str(shown.keys.get_option_at_index(shown.keys.highlighted or 0).prompt)
    assert "q *" in line
    await shown.press("ctrl+s")
    assert shown.stored.keys == {"pause": "q"}
    assert shown.app.keymap.moved == (("pause", "q"),)
    await shown.open()
    await shown.to_key("pause")
    await shown.press("delete", "ctrl+s")
    assert shown.stored.keys == {}


async def test_a_key_given_up_is_free_for_another_command_and_guards_its_way_back(shown: Shown) -> None:
    await shown.to_key("pause")
    await shown.press("enter", "q")
    await shown.to_key("note")
    await shown.press("enter", "p")
    assert "p cannot be" not in str(shown.keys.settings)
    assert shown.keys.settings.keys == {"pause": "q", "note": "p"}
    await shown.to_key("pause")
    await shown.press("delete")
    assert shown.keys.settings.keys == {"pause": "q", "note": "p"}
    assert any("p is both" in note.message for note in shown.app._notifications)


async def test_clashes_in_the_file_are_told_and_stand_above_the_keys(book: Logbook) -> None:
    app = Bench(book, Settings(keys={"pause": "d"}))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await pilot.pause()
        assert any("d is both pause and dropped" in note.message for note in app._notifications)
        assert app.keymap == USUAL_KEYS
        shown = Shown(pilot)
        await shown.open()
        assert "d is both pause and dropped" in str(app.screen.query_one("#settings-clash", Static).render())
        await shown.press("ctrl+s")
        assert isinstance(app.screen, SettingsScreen)
        await shown.to_key("pause")
        await shown.press("delete", "ctrl+s")
        assert shown.stored.keys == {}


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_every_line_can_be_reached_and_seen(book: Logbook, size: tuple[int, int]) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=size) as pilot:
        await pilot.press("e")
        await pilot.pause()
        for _ in range(13):
            focused = app.focused
            assert focused is not None
            assert app.screen.region.contains_region(focused.region), focused
            assert focused.region.width >= 10
            await pilot.press("down")
            await pilot.pause()


# --- the checks -----------------------------------------------------------------------------------------------


def test_the_usual_keys_go_together_and_every_command_is_known() -> None:
    assert problems(Settings()) == []
    kinds: tuple[SessionKind, ...] = ("search", "tube", "sock")
    for kind in kinds:
        what = head(kind)
        for index in range(len(what.steps) + 1):
            names = {command.name for command in commands_for(State(what, index=index))}
            assert names <= set(all_commands())


ONLY_WHERE_NOTHING_COUNTS = {
    *("strike_reading", "take_reading", "finish_measuring", "undo_measuring", "redo_measuring", "reopen"),
}


@pytest.mark.parametrize("name", [name for name in all_commands() if name != "count"])
def test_no_command_can_take_a_count_key(name: str) -> None:
    said = problems(Settings(count_keys=("space", "f13"), keys={name: "f13"}))
    alive_while_counting = not any("F13 is both" in words for words in said)
    # Only what is offered nowhere that rows are counted may share the key.
    assert alive_while_counting == (name in ONLY_WHERE_NOTHING_COUNTS)


@pytest.mark.parametrize(
    ("keys", "sentence"),
    [
        ({"pauze": "q"}, "pauze is not a command; did you mean pause?"),
        ({"note": "page_down"}, "note: 'page_down' is not a key; did you mean pagedown?"),
        (
            {"note": "left_shift"},
            "note: Left shift is only held down together with another key, so it cannot be used alone.",
        ),
        ({"count": "q"}, "The keys that count are set in count_keys, not in keys."),
        ({"note": "7"}, "7 cannot be note: digits are a needle's number after an observation."),
        ({"note": "ctrl+q"}, "Ctrl+Q cannot be note: it is quit on every screen."),
        ({"take_back": "u"}, "u cannot be undo: a slow line may send it by itself."),
        ({"home": "Q"}, "Q cannot be bench: while measuring it is needed for typing."),
        ({"judge drop": "s"}, "s is both dropped back and stayed up."),
    ],
)
def test_each_fault_of_the_keys_is_named(keys: dict[str, str], sentence: str) -> None:
    assert sentence in problems(Settings(keys=keys))


def test_what_cannot_be_used_stays_usual_and_the_rest_holds() -> None:
    keymap, told = usable_keymap(Settings(count_keys=("space", "snow"), keys={"pauze": "q", "note": "Q"}))
    assert keymap == Keymap(("space",), (("note", "Q"),))
    assert len(told) == 2
    keymap, told = usable_keymap(Settings(count_keys=("f13",), keys={"pause": "d"}))
    assert keymap == Keymap(("f13",))
    assert "the count keys are as set" in told[-1]
    keymap, told = usable_keymap(Settings(count_keys=("b",)))
    assert keymap == USUAL_KEYS
    assert "the usual keys are used" in told[-1]


def test_keys_are_known_by_their_character_and_their_name() -> None:
    assert [key_name(typed) for typed in ("?", "PageDown", "B", "=", ".", " ", "é", "Ctrl+X")] == [
        "question_mark", "pagedown", "B", "equals_sign", "full_stop", "space", "é", "ctrl+x",
    ]  # fmt: skip
    for good in ("f13", "?", "+", "-", "/", "shift+space", "ctrl+alt+pageup", "media_play", "é", "escape"):
        assert key_problem(good) == "", good
    for bad in ("shift", "right_control", "f99", "hop+x", "\x00", "ctrl+", "caps_lock"):
        assert key_problem(bad) != "", bad


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_what_a_key_does_is_never_cut(book: Logbook, size: tuple[int, int]) -> None:
    async with Bench(book, Settings()).run_test(size=size) as pilot:
        shown = Shown(pilot)
        await shown.open()
        await pilot.pause()
        listed = pilot.app.screen.query_one("#keys-list", OptionList)
        room = listed.scrollable_content_region.width - MARGINS
        prompts = [str(listed.get_option_at_index(at).prompt) for at in range(listed.option_count)]
        assert max(len(line) for prompt in prompts for line in prompt.splitlines()) <= room
        whole = {" ".join(prompt.split()) for prompt in prompts}
        for command in (command for name, command in all_commands().items() if name != "count"):
            told = command.help.removeprefix("Observation at this row: ")
            assert any(told[1:] in prompt for prompt in whole), command.help
