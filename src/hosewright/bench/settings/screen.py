"""What the knitter may set, on one screen: units, look, usual numbers, counting, keys."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, OptionList, Select, Static

from hosewright.bench.settings.keys import KeyList
from hosewright.bench.settings.lines import YES_OR_NO, Choice, lines_of
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.field import FieldProblem
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.counting.key_choice import problems
from hosewright.places import settings_path
from hosewright.settings.file import SettingsError, save

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.widget import Widget

    from hosewright.bench.app import Bench
    from hosewright.settings.table import Settings


def _entry(row: Choice | FieldRow) -> Widget:
    """What takes the keys in a line."""
    return row.pick if isinstance(row, Choice) else row.line


class SettingsScreen(Shielded, Screen[None]):
    """Ctrl+S stores and goes; Esc goes, after asking when something was changed."""

    CSS_PATH = ["../widgets/form.tcss", "screen.tcss"]
    AUTO_FOCUS = "Pick"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]
    EXPLAIN = (
        "What hosewright takes for granted. Arrows go from line to line, PgDn from part to part. Enter opens a list, "
        "and themes are shown as you move through them. For a key: Enter on its line, then the key or pedal itself; "
        "a * marks what you moved. Ctrl+S saves it all, in a text file that you may also write in by hand; your "
        "comments stay."
    )
    BINDINGS = [
        Binding("ctrl+s", "save", "Save"),
        Binding("pagedown", "part(1)", "Next part", priority=True),
        Binding("pageup", "part(-1)", "Part before", show=False, priority=True),
        Binding("escape", "leave", "Leave"),
    ]
    app: Bench

    def __init__(self, settings: Settings, themes: Sequence[str], theme: str) -> None:
        """Show ``settings``; ``theme`` is the one of ``themes`` that is up now."""
        super().__init__()
        self._settings = settings
        self._theme = Choice("theme", "Theme", "", [(name, name) for name in themes], theme)
        self._parts = lines_of(settings, self._theme)
        self._rows = [row for _, rows in self._parts for row in rows]
        self._keys = KeyList(settings)

    def compose(self) -> ComposeResult:
        """The lines by parts, the keys, the foot."""
        yield Static("Settings", id="settings-title")
        with VerticalScroll(id="settings-both", can_focus=False):
            with Vertical(id="settings-lines"):
                for heading, rows in self._parts:
                    yield Static(heading, classes="settings-part")
                    yield from rows
            with Vertical(id="settings-keys"):
                yield Static("Keys at the machine", classes="settings-part")
                yield Static("", id="settings-clash", markup=False)
                yield self._keys
        yield BoundBar()

    def on_mount(self) -> None:
        """Show themes as one moves through them, and what is wrong with the keys already."""
        pick = self._theme.pick
        self.watch(pick.query_one(OptionList), "highlighted", self._show_theme, init=False)
        self.watch(pick, "expanded", self._theme_list_closed, init=False)
        self._say_clashes()

    # --- themes --------------------------------------------------------------------------------------------

    def _show_theme(self, at: int | None) -> None:
        pick = self._theme.pick
        if at is not None and pick.expanded:
            self.app.theme = self.app.themes[at]

    def _theme_list_closed(self, expanded: bool) -> None:
        if not expanded:
            self.app.theme = self._theme.chosen

    def on_select_changed(self, event: Select.Changed) -> None:
        """Put up the theme chosen."""
        if event.select is self._theme.pick:
            self.app.theme = self._theme.chosen

    # --- what happens --------------------------------------------------------------------------------------

    def on_key_list_moved(self) -> None:
        """The keys go together now, or no longer."""
        self._say_clashes()

    def _say_clashes(self) -> None:
        wrong = problems(self._keys.settings)
        said = self.query_one("#settings-clash", Static)
        said.update("\n".join(f"! {why}" for why in wrong))
        said.display = bool(wrong)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """On to the next line."""
        event.stop()
        self.focus_next()

    def on_input_blurred(self, event: Input.Blurred) -> None:
        """Say beside a line what is wrong with it."""
        for row in self._rows:
            if isinstance(row, FieldRow) and row.line is event.input:
                row.say(self._read()[1].get(row.field.name, ""))

    def action_part(self, step: int) -> None:
        """To the first line of the next part, or the part before."""
        listed = self.focused
        if isinstance(listed, OptionList) and not (step < 0 and listed is self._keys and not listed.highlighted):
            # A list keeps these keys for itself; from the top of the keys it goes up to the part before.
            if step > 0:
                listed.action_page_down()  # type: ignore[no-untyped-call]  # Textual leaves it untyped
            else:
                listed.action_page_up()  # type: ignore[no-untyped-call]
            return
        firsts = [_entry(rows[0]) for _, rows in self._parts] + [self._keys]
        at = next((n for n, (_, rows) in enumerate(self._parts) for row in rows if _entry(row).has_focus), -1)
        firsts[(at + step) % len(firsts)].focus()

    @property
    def changed(self) -> bool:
        """Whether anything differs from what was there."""
        lines = any(
            row.line.value != row.first_text if isinstance(row, FieldRow) else row.chosen != row.first
            for row in self._rows
        )
        return lines or self._keys.settings != self._settings

    def _read(self) -> tuple[dict[str, Any], dict[str, str]]:
        """The values of the lines, and what is wrong with any of them."""
        values: dict[str, Any] = {}
        wrong: dict[str, str] = {}
        for row in self._rows:
            if isinstance(row, Choice):
                name = (row.id or "").removeprefix("row-")
                values[name] = row.chosen == "yes" if name in YES_OR_NO else row.chosen
            elif row.line.value != row.first_text:
                try:
                    values[row.field.name] = row.field.value(row.line.value, values)
                except FieldProblem as problem:
                    wrong[problem.name] = str(problem)
        return values, wrong

    def action_save(self) -> None:
        """Store it all and use it at once, or show what is wrong and stay."""
        values, wrong = self._read()
        for row in self._rows:
            if isinstance(row, FieldRow):
                row.say(wrong.get(row.field.name, ""))
        if wrong:
            next(row for row in self._rows if isinstance(row, FieldRow) and row.field.name in wrong).line.focus()
            return
        settings = replace(self._keys.settings, **values)
        if problems(settings):
            self._say_clashes()
            self._keys.focus()
            self.app.notify("Some keys do not go together; see above the list of keys.", markup=False)
            return
        if self.app.practice:
            self.app.notify("Practice: this holds until you leave, and is not saved.", markup=False)
        else:
            try:
                told = save(settings_path(), settings)
            except SettingsError as error:
                self.app.notify(str(error), title="Not saved", severity="error", markup=False)
                return
            self.app.notify("\n".join([*told, f"Saved in {settings_path()}"]), markup=False)
        self.app.use(settings)
        self.dismiss(None)

    def action_leave(self) -> None:
        """Go without storing, after asking when something was changed."""
        if not self.changed:
            self._go()
            return

        def answered(leave: bool | None) -> None:
            if leave:
                self._go()

        self.app.push_screen(Ask("Leave without saving what you changed?", "leave it", "stay here"), answered)

    def _go(self) -> None:
        self.app.use(self._settings)
        self.dismiss(None)
