"""The settings screen, and the pressing of keys that count and of keys for every action."""

from __future__ import annotations

from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.entry_screen import FORM_CSS, EntryScreen, Pick
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading, Steady
from hosewright.counting.key_choice import all_commands, called, key_name, problems
from hosewright.logbook.file.errors import LogbookError
from hosewright.places import settings_path
from hosewright.session.keys import shown_key
from hosewright.settings.file import SettingsError, save
from hosewright.settings.lines import line_of
from hosewright.settings.table import KEYS, MOST_COUNT_KEYS, PARTS, TABLE, Settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual import events
    from textual.app import ComposeResult

    from hosewright.bench.widgets.entry_screen import EntryRow

LEAST_ROOM = 30  # columns for what a command does beside its key
MARGINS = 2  # an option keeps a column free on either side
COUNT_QUESTION = "Press the key or pedal you want to count with. Esc leaves it as it is."


class LearnKey(Shielded, ModalScreen[str | None]):
    """Dismisses with the first key pressed that ``refusal`` has nothing against, or None for Esc."""

    AUTO_FOCUS = ""
    KEYS_SAID = False
    DEFAULT_CSS = """
    LearnKey { align: center middle; }
    LearnKey Vertical { width: 64; max-width: 95%; height: auto; padding: 1 2; background: $panel;
        border: round $primary; }
    LearnKey #learn-refused { color: $text-error; height: auto; min-height: 2; padding: 1 0 0 0; }
    """

    def __init__(self, question: str, refusal: Callable[[str], str]) -> None:
        super().__init__()
        self._question, self._refusal = question, refusal

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Static(self._question, markup=False)
            yield Static("", id="learn-refused", markup=False)

    async def on_key(self, event: events.Key) -> None:
        event.stop()
        event.prevent_default()
        if event.key == "escape":
            self.dismiss(None)
        elif why := self._refusal(event.key):
            self.query_one("#learn-refused", Static).update(f"! {why} Press another.")
        else:
            self.dismiss(event.key)


class KeyList(OptionList):
    """The keys that count, then every command with its key."""

    BINDINGS = [
        Binding("enter", "select", "New key", tooltip="Press Enter, then the key you want"),
        Binding("delete", "usual", "Usual key", tooltip="Take a count key off, or put a command back on its usual key"),
    ]

    class Moved(Message):
        """A key was changed."""

    def __init__(self, settings: Settings) -> None:
        super().__init__(id="keys-list", markup=False)
        self._settings = settings
        self._fitted = 0
        self._rows: list[tuple[str, str]] = []  # ("count", key), ("add", "") or ("move", command)

    def on_mount(self) -> None:
        self._write(0)

    @property
    def settings(self) -> Settings:
        return self._settings

    def _write(self, mark: int) -> None:
        self._rows = [("count", key) for key in self._settings.count_keys]
        if len(self._rows) < MOST_COUNT_KEYS:
            self._rows.append(("add", ""))
        self._rows += [("move", name) for name in all_commands() if name != "count"]
        self.clear_options()
        self.add_options([Option(self._line(what, which)) for what, which in self._rows])
        self.highlighted = min(mark, len(self._rows) - 1)

    def _line(self, what: str, which: str) -> Text:
        if what == "count":
            words, key, help_words = "count", shown_key(key_name(which)), "Counts a row or a pass."
        elif what == "add":
            words, key, help_words = "count", "add one", "Another key or pedal to count with."
        else:
            command = all_commands()[which]
            moved = self._settings.keys.get(which)
            told = command.help.removeprefix("Observation at this row: ")  # the same words before each
            words, help_words = called(command), told[0].upper() + told[1:]
            key = f"{shown_key(key_name(moved))} *" if moved else command.shown
        room, name = self._fitted - MARGINS, f"{words:<16.16} {key:<10.10} "
        if room - len(name) < LEAST_ROOM:  # too narrow to stand beside it: below
            return Text("\n  ".join([name, *wrap(help_words, max(room - 2, LEAST_ROOM))]))
        return Text(name + f"\n{'':{len(name)}}".join(wrap(help_words, room - len(name))))

    def on_resize(self) -> None:
        """What a command does takes as many lines as it needs in the width there is."""
        width = self.content_size.width - self.styles.scrollbar_size_vertical
        if self._rows and width != self._fitted:
            self._fitted = width
            self._write(self.highlighted or 0)

    # --- changing ------------------------------------------------------------------------------------------

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        what, which = self._rows[event.option_index]
        at = event.option_index

        question = COUNT_QUESTION
        if what == "move":
            command = all_commands()[which]
            question = f"{called(command)}: {command.help} Press its new key. Esc leaves it as it is."
        learn = LearnKey(question, lambda key: self._refusal(what, which, key))
        self.app.push_screen(learn, lambda key: self._take(self._with(what, which, key), at) if key else None)

    def _with(self, what: str, which: str, key: str) -> Settings:
        """The settings after ``key`` was learned for a line."""
        if what != "move":
            count = tuple(key if old == which else old for old in self._settings.count_keys)
            count = (*count, key) if what == "add" else count
            return replace(self._settings, count_keys=count)
        keys = {name: old for name, old in self._settings.keys.items() if name != which}
        if key != all_commands()[which].key:
            keys[which] = key
        return replace(self._settings, keys=keys)

    def _refusal(self, what: str, which: str, key: str) -> str:
        if what != "move" and key != which and key in map(key_name, self._settings.count_keys):
            return f"{shown_key(key)} counts already."
        before = problems(self._settings)
        return " ".join(why for why in problems(self._with(what, which, key)) if why not in before)

    def action_usual(self) -> None:
        if self.highlighted is None:
            return
        what, which = self._rows[self.highlighted]
        if what == "count":
            count = tuple(key for key in self._settings.count_keys if key != which)
            if not count:
                self.app.notify("One key must count: add another before you take this one off.", markup=False)
                return
            self._take(replace(self._settings, count_keys=count), self.highlighted)
        elif what == "move" and which in self._settings.keys:
            usual = all_commands()[which].key
            if why := self._refusal(what, which, usual):
                self.app.notify(why, severity="warning", markup=False)
                return
            self._take(self._with(what, which, usual), self.highlighted)

    def _take(self, settings: Settings, mark: int) -> None:
        self._settings = settings
        self._write(mark)
        self.post_message(self.Moved())

    # --- moving --------------------------------------------------------------------------------------------

    def action_cursor_up(self) -> None:
        if self.highlighted:
            super().action_cursor_up()
        else:
            self.screen.focus_previous()


MOST_BESIDE = 12  # characters of a choice that leave room for the help beside it


class SettingsScreen(EntryScreen[Settings]):
    """Every line of the table by its part, then the keys. Ctrl+S saves and goes; Esc goes, after asking."""

    TOPIC = "formats"
    CSS_PATH = [FORM_CSS, "settings.tcss"]
    LABELS = 24
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]
    LEAVE = "Leave without saving what you changed?"
    EXPLAIN = (
        "Your settings. Arrows go from line to line, PgDn from part to part. Enter opens a list; themes are shown "
        "as you move through them. To move a key, press Enter on its line, then the key or pedal itself; a * "
        "marks those you moved. Ctrl+S saves everything in a text file that you may also edit by hand; your "
        "comments stay."
    )
    BINDINGS = [
        Binding("pagedown", "part(1)", "Next part", priority=True),
        Binding("pageup", "part(-1)", "Part before", show=False, priority=True),
    ]

    def __init__(self, line: str = "") -> None:
        """``line``: the setting to begin at."""
        super().__init__()
        self._line, settings = line, self.app.settings
        self._settings = settings
        self._keys = KeyList(settings)
        self._parts: dict[str, list[EntryRow]] = {}
        for name, one in TABLE.items():
            if one.part == KEYS:
                continue
            field, first = line_of(one), getattr(settings, name)
            if name == "theme":
                themes = tuple((known, known) for known in self.app.themes)
                field, first = replace(field, choices=themes, required=True), self.app.theme
            beside = all(len(words) <= MOST_BESIDE for words, _ in field.choices or ())
            self._parts.setdefault(one.part, []).append(self.add(field, first, hint=beside))
        theme_list = self.rows["theme"].entry
        assert isinstance(theme_list, Pick)  # it has choices
        self._theme = theme_list

    def compose(self) -> ComposeResult:
        yield Heading("Settings")
        with VerticalScroll(id="settings-both", can_focus=False):
            with Vertical(id="settings-lines"):
                for part in PARTS:
                    if rows := self._parts.get(part):
                        yield Static(part, classes="settings-part")
                        yield from rows
            with Vertical(id="settings-keys", classes="form-frame") as keys:
                keys.border_title = KEYS
                yield Steady(id="settings-clash")
                yield self._keys
        yield BoundBar()

    def on_mount(self) -> None:
        self.watch(self._theme.query_one(OptionList), "highlighted", self._show_theme, init=False)
        self.watch(self._theme, "expanded", self._theme_list_closed, init=False)
        if self._line in self.rows:
            self.call_after_refresh(self.rows[self._line].entry.focus)

    # --- themes --------------------------------------------------------------------------------------------

    def _show_theme(self, at: int | None) -> None:
        if at is not None and self._theme.expanded:
            self.app.theme = self.app.themes[at]

    def _theme_list_closed(self, expanded: bool) -> None:
        if not expanded:
            self.app.theme = self.rows["theme"].chosen

    # --- what happens --------------------------------------------------------------------------------------

    def follow(self, row: EntryRow | None = None) -> None:
        """A theme chosen is put up; what is wrong with the keys stands above them from the start."""
        if row is self.rows["theme"]:
            self.app.theme = row.chosen
        elif row is None:
            self._say_clashes()

    def on_key_list_moved(self) -> None:
        self._say_clashes()

    def _say_clashes(self) -> None:
        wrong = "\n".join(f"! {why}" for why in problems(self._keys.settings))
        self.query_one("#settings-clash", Steady).show_or_hide(wrong)

    def entered_last(self) -> None:
        self._keys.focus()

    def action_part(self, step: int) -> None:
        listed = self.focused
        if isinstance(listed, OptionList) and not (step < 0 and listed is self._keys and not listed.highlighted):
            # A list keeps these keys for itself; from the top of the keys it goes up to the part before.
            if step > 0:
                listed.action_page_down()  # type: ignore[no-untyped-call]  # Textual leaves it untyped
            else:
                listed.action_page_up()  # type: ignore[no-untyped-call]
            return
        parts = list(self._parts.values())
        firsts = [*(rows[0].entry for rows in parts), self._keys]
        at = next((n for n, rows in enumerate(parts) for row in rows if row.entry.has_focus), -1)
        firsts[(at + step) % len(firsts)].focus()

    @property
    def touched(self) -> bool:
        return super().touched or self._keys.settings != self._settings

    def build(self, values: dict[str, Any]) -> Settings:
        """The settings as they stand on the screen. Raises ValueError while some keys do not go together."""
        settings = replace(self._keys.settings, **values)
        if problems(settings):
            self._keys.focus()
            raise ValueError("Some keys clash: see above the list of keys.")
        return settings

    def keep(self, made: Settings) -> None:
        if self.app.practice:
            self.app.notify("Practice: this holds until you leave, and is not saved.", markup=False)
        else:
            try:
                told = save(settings_path(), made)
            except SettingsError as error:
                raise LogbookError(str(error)) from error
            self.app.notify("\n".join([*told, f"Saved in {settings_path()}"]), markup=False)
        self.app.use(made)

    def leave(self) -> None:
        self.app.use(self._settings)
        self.dismiss(None)
