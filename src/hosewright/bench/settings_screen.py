"""What the knitter may set, on one screen: units, look, usual numbers, counting, keys."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, cast

from rich.text import Text
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, OptionList, Select, Static

from hosewright.bench.forms import Ask, FieldProblem, FormField
from hosewright.bench.forms.field import whole, words
from hosewright.bench.forms.pick import Pick, PickRow
from hosewright.bench.forms.screen import FieldRow
from hosewright.bench.keybar import BoundBar
from hosewright.bench.keymap import problems
from hosewright.bench.settings_keys import KeyList
from hosewright.craft.errors import CraftError
from hosewright.craft.units import read_length
from hosewright.places import settings_path
from hosewright.settings import LIMITS, MOST_MONEY, MOST_TAPE_MM, USUAL, Settings
from hosewright.settings_file import SettingsError, save

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.widget import Widget

    from hosewright.bench.app import Bench


LEAST_TAPE_MM = 0.05  # common practice, no source: a tenth of the half millimetre that a steel rule shows


class Choice(PickRow):
    """A line with a few answers, one of which always holds."""

    def __init__(self, name: str, label: str, hint: str, answers: Sequence[tuple[str, str]], chosen: str) -> None:
        """``answers``: what is shown and what it means."""
        super().__init__(name, label, hint, none="")
        self.first = chosen
        shown = [(cast("str", Text(words, no_wrap=True)), value) for words, value in answers]
        self.pick = Pick(shown, value=chosen, allow_blank=False, id=f"field-{name}", compact=True)

    @property
    def chosen(self) -> str:
        """The answer that holds; a list that is not up yet has none of its own, so the first one does."""
        return super().chosen or self.first


def _number(name: str, label: str, hint: str) -> FormField:
    """A line for a whole number; left empty it takes the usual one."""
    return FormField(name, label, hint, whole(f"number in “{label}”", *LIMITS[name]), empty=getattr(USUAL, name))


def _read_tape(text: str) -> float:
    mm = read_length(text, "mm", what="tape error", most_mm=MOST_TAPE_MM)
    if mm < LEAST_TAPE_MM:
        raise CraftError(f"The tape error is less than {LEAST_TAPE_MM:g} mm: no tape is that good.")
    return mm


_TAPE = FormField(
    "tape_error_mm",
    "Tape is right to",
    "how far off it may be",
    _read_tape,
    lambda mm: f"{mm:g} mm",
    empty=USUAL.tape_error_mm,
)
_NEW_SESSIONS = (
    _number("tube_rows", "Rows of a gauge tube", "{} to {}".format(*LIMITS["tube_rows"])),
    _number("separator_rows", "Separator rows", "before and after, {} to {}".format(*LIMITS["separator_rows"])),
)
_COUNTING = (
    _number("press_gap_ms", "Doubt presses within", "ms; 0 doubts none"),
    _number("pause_after_s", "Pause by itself after", "s without a press; 0 never"),
    _number("cue_rows_ahead", "Show cues ahead", "rows before they are due"),
    _number("weights_every", "Move weights every", "rows; 0 no cue"),
    _number("marker_every", "Hang a marker every", "rows, to count by; 0 no cue"),
    _number("rest_after_min", "Propose a rest after", "minutes; 0 never"),
)
_PAIRS = (
    _number("hours_a_week", "Hours a week", "you have at the machine; 0 not said"),
    _number("off_crank_min", "A sock off the crank", "minutes to graft and wash; 0 not counted"),
    FormField("money", "Money is in", "stands after a price", words("word for money", MOST_MONEY), empty=""),
)
_LENGTHS = (("inches", "in"), ("centimetres", "cm"), ("millimetres", "mm"))
_MASSES = (("grams", "g"), ("ounces", "oz"))
_SHOWS = (("rows of this part", "up"), ("rows left in this part", "down"), ("rows of the whole sock", "sock"))
_BELL = (("rings", "yes"), ("silent", "no"))
_STEPS = (("all steps in a list", "no"), ("one at a time, with its reason", "yes"))
_YES_OR_NO = ("bell", "step_by_step")


def _entry(row: Choice | FieldRow) -> Widget:
    """What takes the keys in a line."""
    return row.pick if isinstance(row, Choice) else row.line


class SettingsScreen(Screen[None]):
    """Ctrl+S stores and goes; Esc goes, after asking when something was changed."""

    CSS_PATH = ["forms/form.tcss", "settings_screen.tcss"]
    AUTO_FOCUS = "Pick"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]
    EXPLAIN = (
        "What hosewright takes for granted. Arrows go from line to line, PgDn from part to part. Enter opens a list, "
        "and themes are shown as you move through them. For a key: Enter on its line, then the key or pedal itself; "
        "a * marks what you moved. Ctrl+S stores it all, in a text file that you may also write in by hand; your "
        "comments stay."
    )
    BINDINGS = [
        Binding("ctrl+s", "save", "Store"),
        Binding("pagedown", "part(1)", "Next part", priority=True),
        Binding("pageup", "part(-1)", "Part before", show=False, priority=True),
        Binding("escape", "leave", "Leave"),
    ]
    app: Bench

    def __init__(self, settings: Settings, themes: Sequence[str], theme: str) -> None:
        """Show ``settings``; ``theme`` is the one of ``themes`` that is up now."""
        super().__init__()
        self._settings = settings
        s = settings
        self._theme = Choice("theme", "Theme", "", [(name, name) for name in themes], theme)
        parts: list[tuple[str, list[Choice | FieldRow]]] = [
            (
                "Measuring",
                [
                    Choice("length_unit", "Lengths are in", "where no unit is typed", _LENGTHS, s.length_unit),
                    Choice("mass_unit", "Weights are in", "where no unit is typed", _MASSES, s.mass_unit),
                    self._field(_TAPE),
                ],
            ),
            (
                "Look and sound",
                [
                    self._theme,
                    Choice("bell", "Bell", "", _BELL, "yes" if s.bell else "no"),
                    Choice("step_by_step", "Steps are shown", "", _STEPS, "yes" if s.step_by_step else "no"),
                ],
            ),
            ("New tubes and socks", [self._field(field) for field in _NEW_SESSIONS]),
            (
                "Counting",
                [
                    Choice("count_shows", "The count shows", "", _SHOWS, s.count_shows),
                    *[self._field(field) for field in _COUNTING],
                ],
            ),
            ("Pairs promised", [self._field(field) for field in _PAIRS]),
        ]
        self._parts = parts
        self._rows = [row for _, rows in parts for row in rows]
        self._keys = KeyList(settings)

    def _field(self, field: FormField) -> FieldRow:
        return FieldRow(field, field.text(getattr(self._settings, field.name)))

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
                values[name] = row.chosen == "yes" if name in _YES_OR_NO else row.chosen
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
            self.app.notify("Practice: this holds until you leave, and is not stored.", markup=False)
        else:
            try:
                told = save(settings_path(), settings)
            except SettingsError as error:
                self.app.notify(str(error), title="Not stored", severity="error", markup=False)
                return
            self.app.notify("\n".join([*told, f"Stored in {settings_path()}"]), markup=False)
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

        self.app.push_screen(Ask("Leave without storing what you changed?", "leave it", "stay here"), answered)

    def _go(self) -> None:
        self.app.use(self._settings)
        self.dismiss(None)
