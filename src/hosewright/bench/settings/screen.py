"""What the knitter may set, on one screen: units, look, usual numbers, counting, keys."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.widgets import OptionList, Static

from hosewright.bench.settings.keys import KeyList
from hosewright.bench.widgets.entry_screen import EntryScreen, Pick
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.counting.key_choice import problems
from hosewright.logbook.file.errors import LogbookError
from hosewright.places import settings_path
from hosewright.settings.file import SettingsError, save
from hosewright.settings.lines import line_of
from hosewright.settings.table import KEYS, PARTS, TABLE, Settings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.entry_screen import EntryRow

MOST_BESIDE = 12  # characters of a choice that leave room for the help beside it


class SettingsScreen(EntryScreen[Settings]):
    """Every line of the table by its part, then the keys. Ctrl+S saves and goes; Esc goes, after asking."""

    CSS_PATH = ["../widgets/form.tcss", "screen.tcss"]
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
    app: Bench

    def __init__(self, settings: Settings, themes: Sequence[str], theme: str) -> None:
        """Show ``settings``; ``theme`` is the one of ``themes`` that is up now."""
        super().__init__()
        self._settings = settings
        self._keys = KeyList(settings)
        self._parts: dict[str, list[EntryRow]] = {}
        for name, one in TABLE.items():
            if one.part == KEYS:
                continue
            field, first = line_of(one), getattr(settings, name)
            if name == "theme":
                field, first = replace(field, choices=tuple((known, known) for known in themes), required=True), theme
            beside = all(len(words) <= MOST_BESIDE for words, _ in field.choices or ())
            self._parts.setdefault(one.part, []).append(self.add(field, first, hint=beside))
        theme_list = self.rows["theme"].entry
        assert isinstance(theme_list, Pick)  # it has choices
        self._theme = theme_list

    def compose(self) -> ComposeResult:
        yield Static("Settings", id="settings-title")
        with VerticalScroll(id="settings-both", can_focus=False):
            with Vertical(id="settings-lines"):
                for part in PARTS:
                    if rows := self._parts.get(part):
                        yield Static(part, classes="settings-part")
                        yield from rows
            with Vertical(id="settings-keys"):
                yield Static(KEYS, classes="settings-part")
                yield Static("", id="settings-clash", markup=False)
                yield self._keys
        yield BoundBar()

    def on_mount(self) -> None:
        """Show themes as one moves through them."""
        self.watch(self._theme.query_one(OptionList), "highlighted", self._show_theme, init=False)
        self.watch(self._theme, "expanded", self._theme_list_closed, init=False)

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
        """The keys go together now, or no longer."""
        self._say_clashes()

    def _say_clashes(self) -> None:
        wrong = problems(self._keys.settings)
        said = self.query_one("#settings-clash", Static)
        said.update("\n".join(f"! {why}" for why in wrong))
        said.display = bool(wrong)

    def entered_last(self) -> None:
        self._keys.focus()

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
        parts = list(self._parts.values())
        firsts = [*(rows[0].entry for rows in parts), self._keys]
        at = next((n for n, rows in enumerate(parts) for row in rows if row.entry.has_focus), -1)
        firsts[(at + step) % len(firsts)].focus()

    @property
    def touched(self) -> bool:
        """Whether anything differs from what was there."""
        return super().touched or self._keys.settings != self._settings

    def build(self, values: dict[str, Any]) -> Settings:
        """The settings as they stand on the screen. Raises ValueError while some keys do not go together."""
        settings = replace(self._keys.settings, **values)
        if problems(settings):
            self._keys.focus()
            raise ValueError("Some keys do not go together; see above the list of keys.")
        return settings

    def keep(self, made: Settings) -> None:
        """Save it all and use it at once. Raises LogbookError."""
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
        """Go back to what held before, the theme too."""
        self.app.use(self._settings)
        self.dismiss(None)
