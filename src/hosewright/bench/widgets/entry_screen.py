"""A screen of lines to fill in: declared fields on Textual's own widgets, every error under its line, nothing lost.

To stand on it: a subclass makes its lines in ``lay_out`` with ``self.add(Field(...), value)`` (the fields of
``phrases/field.py``, which know no widget; ``entry_for`` here chooses the widget) and says in ``build`` what they come
to and in ``keep`` where that is saved. The rest is done here: lines are judged when one leaves them and when the screen
is saved, never while typing; all errors are shown at once, each under its line, with the focus on the first; F1 tells
about the line one is on; leaving asks when something was typed. What else a screen may have of its own:

- ``CSS_PATH = [FORM_CSS, "its_own.tcss"]``, and ``body``: how the lines are laid out; without it they stand one below
  the other, with what ``above`` gives above them, a remark below, and on wide terminals what F1 tells of a line beside;
- ``remark``, or ``follow`` where more than a sentence follows what is typed (a plan's numbers beside the lines);
- ``offer`` of a row fills a list with what is on the shelf, ``propose`` puts a text on a line nobody typed on; a key
  bound to ``make('yarn')`` opens the form of another, which ``made`` then has;
- ``read`` where lines are read together (a plan), ``question`` where saving has to be asked about first, ``touched``
  and ``leave`` where there is more than lines, ``entered_last`` where Enter on the last line does not save.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar, cast

from pydantic import ValidationError
from rich.text import Text
from textual import on
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import DescendantFocus
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.doors import screen_of
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import BoundBar, bound_commands
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import BROAD
from hosewright.logbook.records.shelf import problems
from hosewright.phrases.field import NOTHING, FieldError
from hosewright.phrases.lists import listed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from textual.app import ComposeResult
    from textual.types import CSSPathType
    from textual.widget import Widget

    from hosewright.bench.app import Bench
    from hosewright.phrases.field import Field

Made = TypeVar("Made")
FORM_CSS = Path(__file__).with_name("form.tcss")  # by its whole path: Textual looks beside the subclass otherwise


class Line(Input):
    """One line to type in. Enter goes on, the arrows go up and down the lines."""

    BINDINGS = [
        Binding("enter", "submit", "Next line"),
        Binding("up", "app.focus_previous", "Up", show=False),
        Binding("down", "app.focus_next", "Down", show=False),
    ]


class Pick(Select[Any]):
    """A list that opens on Enter; the arrows go up and down the lines, as they do on those to type in."""

    BINDINGS = [
        Binding("enter,space", "show_overlay", "Choose", key_display="Enter"),
        Binding("up", "app.focus_previous", "Up", show=False),
        Binding("down", "app.focus_next", "Down", show=False),
    ]

    def __init__(self, options: Sequence[tuple[Any, Any]], **given: Any) -> None:
        """``given`` is what a Select takes besides its options."""
        super().__init__(options, **given)
        self.empty = not options

    def set_options(self, options: Iterable[tuple[Any, Any]]) -> None:
        offered = list(options)
        self.empty = not offered
        super().set_options(offered)

    def validate_expanded(self, expanded: bool) -> bool:
        """A list of nothing stays shut: opened, it would take the very key that its line names."""
        if expanded and self.empty:
            self.notify(f"Nothing to choose from yet; {self.prompt}.", markup=False)
        return expanded and not self.empty


def entry_for(field: Field, first: Any) -> Line | Pick:
    """What a field is filled in on, chosen by its kind: a list where it has choices, else a line to type on."""
    name = f"field-{field.name}"
    if field.choices is None:
        return Line(
            field.say(first),
            placeholder=field.blank,
            id=name,
            compact=True,
            select_on_focus=True,
        )
    return Pick(
        _shown(field.choices),
        prompt=field.blank,
        allow_blank=not (field.choices and field.required),
        value=Select.NULL if first is None or not field.choices else first,
        type_to_search=False,  # a letter is the key that the line and the foot name, open or shut
        id=name,
        compact=True,
    )


def _shown(options: Iterable[tuple[str, Any]]) -> list[tuple[str, Any]]:
    """Options as Text, so that a name with brackets in it is shown as typed."""
    return [(cast("str", Text(words, no_wrap=True)), value) for words, value in options]


def _struck(words: str, why: str) -> Text:
    """An option that is ruled out: struck through, and said so with why, for who sees no stroke."""
    return Text.assemble((words, "strike"), f" - ruled out: {why}", no_wrap=True)


class EntryRow(Vertical):
    """A field's label, what it is filled in on, its help; and below them what is wrong with it.

    ``first`` is the value it starts from; left as it was, the row keeps exactly that value. ``hint``: whether the
    help stands beside it; without that it does where one types, and gives way to long names where one chooses.
    ``label``: cells for the label.
    """

    def __init__(
        self,
        field: Field,
        first: Any = None,
        *,
        hint: bool | None = None,
        label: int,
    ) -> None:
        hint = field.choices is None if hint is None else hint
        super().__init__(id=f"row-{field.name}", classes="form-row" if hint else "form-row -no-hint")
        self.field, self.first = field, first
        self.entry = entry_for(field, first)
        # What the program put there: whatever else stands there somebody typed or chose.
        self.filled: Any = field.say(first) if field.choices is None else first
        self.wrong = ""
        self._ruled_out: Mapping[Any, str] = {}
        self._problem = Static("", classes="form-problem", markup=False)
        self._problem.styles.padding = (0, 0, 0, label)
        star = " *" if field.required and field.choices is None else ""
        self._label = Static(field.label + star, classes="form-label", markup=False)
        self._label.styles.width = label

    def compose(self) -> ComposeResult:
        with Horizontal(classes="form-line"):
            yield self._label
            yield self.entry
            yield Static(self.field.help, classes="form-hint", markup=False)
        yield self._problem

    def call(self, label: str) -> None:
        """Call the line something else than its field does."""
        self._label.update(label)

    def on_click(self) -> None:
        """A click beside it, on its name or its help, goes to the line as one on it does."""
        if not self.has_focus_within:
            self.entry.focus()

    @property
    def text(self) -> str:
        return self.entry.value if isinstance(self.entry, Line) else ""

    @property
    def chosen(self) -> Any:
        """The value chosen; None for none, and for a line to type in."""
        if isinstance(self.entry, Line):
            return None
        return self.entry.selection if self.is_mounted else self.filled

    @property
    def touched(self) -> bool:
        return bool((self.text if isinstance(self.entry, Line) else self.chosen) != self.filled)

    def read(self, before: Mapping[str, Any] = NOTHING) -> Any:
        """The value typed or chosen; ``before``: those of the lines above. Raises FieldError."""
        if isinstance(self.entry, Pick):
            return self.field.read("") if self.chosen is None else self.chosen
        if self.first is not None and self.field.beside is None and self.text == self.field.say(self.first):
            return self.first
        return self.field.read(self.text, before)

    def propose(self, text: str) -> None:
        """Put ``text`` on the line unless somebody typed something else there."""
        assert isinstance(self.entry, Line)  # a list is offered its options
        if self.text == self.filled or (not self.text and text != self.filled):
            self.entry.value = text
        self.filled = text

    def choose(self, value: Any) -> None:
        """Choose ``value``, one of those offered, as the program does."""
        self.filled = self.entry.value = value

    def offer(self, options: Sequence[tuple[str, Any]], chosen: Any) -> None:
        """Offer (words, value) pairs and choose ``chosen`` when it is one of the values, else nothing."""
        assert isinstance(self.entry, Pick)  # nothing can be offered where one types
        before = self.chosen
        self.entry.set_options(_shown(options))
        if chosen is not None and any(chosen == value for _, value in options):
            self.entry.value = chosen
        if self.entry.selection != before:
            self.filled = self.entry.selection

    def rule_out(self, why: Mapping[Any, str]) -> None:
        """Show of each value why it cannot be chosen here; of a line to type on, the words of what cannot."""
        if why == self._ruled_out:
            return
        self._ruled_out = dict(why)
        if isinstance(self.entry, Pick) and self.field.choices:
            chosen = self.entry.selection
            told = [
                (_struck(words, why[value]) if value in why else Text(words, no_wrap=True), value)
                for words, value in self.field.choices
            ]
            with self.prevent(Select.Changed):
                self.entry.set_options(told)
                self.entry.value = Select.NULL if chosen is None else chosen

    @property
    def explained(self) -> str:
        """All there is to say about the line, and what is ruled out on it."""
        said = (f"{self.field.say(value)} ({why})" for value, why in self._ruled_out.items())
        out = listed(list(said), "and")
        return f"{self.field.explained} Ruled out here: {out}." if out else self.field.explained

    def say(self, sentence: str) -> None:
        """Show what is wrong, or with an empty sentence that nothing is."""
        if sentence == self.wrong:
            return
        self.wrong = sentence
        self._problem.update(f"! {sentence}" if sentence else "")
        self.set_class(bool(sentence), "-wrong")


class EntryScreen(Shielded, Screen["Made | None"], Generic[Made]):
    """Dismisses with what ``build`` made of the lines, or None. How to stand on it: the module's first lines."""

    CSS_PATH: ClassVar[CSSPathType | None] = FORM_CSS
    AUTO_FOCUS = "Line, Pick"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (BROAD, "-broad")]
    LABELS = 22  # cells for the names of the lines
    TOPIC = ""  # the page that its help ends with
    EXPLAIN = (
        "Enter goes to the next line, Ctrl+S saves everything. Lines marked * are needed; leave the others empty "
        "if you like. Type lengths in any unit, such as 5 7/8 in, 14.8 cm or 148 mm."
    )
    BINDINGS = [Binding("ctrl+s", "save", "Save"), Binding("escape", "leave", "Leave")]
    app: Bench
    heading = ""
    NOT_SAVED = "Not saved"
    LEAVE = "Leave without saving what you typed?"

    def __init__(self) -> None:
        super().__init__()
        self.rows: dict[str, EntryRow] = {}  # by the fields' names, in the order Enter goes through them

    # --- what each screen has of its own -------------------------------------------------------------------

    def lay_out(self) -> None:
        """Make the lines, each with ``add``."""

    def body(self) -> ComposeResult:
        """The lines one below the other, and the remark; beside them what is told of this line, then of the others."""
        with VerticalScroll(id="form-body", can_focus=False):
            yield from self.above()
            yield from self.rows.values()
            yield Static("", id="form-remark", markup=False)
            told = Static("", id="form-told", classes="form-frame", markup=False)
            told.border_title = "This line"
            yield told

    def above(self) -> ComposeResult:
        """What stands above the lines."""
        yield from ()

    def remark(self, values: Mapping[str, Any]) -> str:  # noqa: ARG002
        """What there is to say about the values that can be read so far."""
        return ""

    def follow(self, row: EntryRow | None = None) -> None:  # noqa: ARG002
        """Something was typed or chosen in ``row``, or the screen has just come up: what is shown beside follows."""
        self.say(self.remark(self.read()[0]))

    def build(self, values: dict[str, Any]) -> Made:
        """What the values come to.

        Raises FieldError where it belongs to a line, pydantic's ValidationError, or ValueError with a sentence.
        """
        raise NotImplementedError

    def question(self, made: Made) -> Ask | None:  # noqa: ARG002
        """What has to be asked before ``made`` is saved."""
        return None

    def keep(self, made: Made) -> None:
        """Save ``made``. Raises LogbookError; the screen then stays as it is."""
        self.app.book.keep(made)  # type: ignore[arg-type]  # a form for what is on no shelf keeps it in its own way

    def made(self, kind: str, item: Any) -> None:
        """A thing of this ``kind`` was made on a form of its own, to be chosen here."""

    def leave(self) -> None:
        self.dismiss(None)

    def entered_last(self) -> None:
        self.action_save()

    @property
    def touched(self) -> bool:
        """Whether anything was typed or chosen that leaving would lose."""
        return any(row.touched for row in self.rows.values())

    # --- what they share -----------------------------------------------------------------------------------

    def add(self, field: Field, first: Any = None, *, hint: bool | None = None, shown: bool = True) -> EntryRow:
        """Make a line, below those made before; ``shown``: whether it is seen from the start."""
        row = self.rows[field.name] = EntryRow(field, first, hint=hint, label=self.LABELS)
        row.display = shown
        return row

    def compose(self) -> ComposeResult:
        self.lay_out()
        yield Heading(self.heading)
        yield from self.body()
        yield BoundBar()

    def on_mount(self) -> None:
        self.follow()

    def read(self) -> tuple[dict[str, Any], dict[str, str]]:
        """The values of the lines that can be read, and what is wrong with the others, by name."""
        values: dict[str, Any] = {}
        errors: dict[str, str] = {}
        for name, row in self.rows.items():
            try:
                values[name] = row.read(values)
            except FieldError as error:
                errors[name] = str(error)
        return values, errors

    def say(self, sentence: str) -> None:
        self.query_one("#form-remark", Static).update(sentence)

    def _row_of(self, entry: Widget) -> EntryRow | None:
        return next((row for row in self.rows.values() if row.entry is entry), None)

    @on(Input.Changed)
    @on(Select.Changed)
    def _changed(self, event: Input.Changed | Select.Changed) -> None:
        row = self._row_of(event.control)
        if row is None:
            return
        self.follow(row)
        errors = self.read()[1]
        for name, one in self.rows.items():
            if one.wrong and name not in errors:  # put right: no need to leave the line first
                one.say("")
            elif isinstance(event, Select.Changed) and one.text.strip():  # what was right may not go with this choice
                one.say(errors.get(name, ""))

    @on(DescendantFocus)
    def _told(self, event: DescendantFocus) -> None:
        row = self._row_of(event.widget)
        for told in self.query("#form-told").results(Static):
            others = [other.explained for other in self.rows.values() if other is not row and other.display]
            told.update(Text.assemble((row.explained, "bold"), *(f"\n\n{one}" for one in others)) if row else "")
            told.set_class(row is not None, "-told")

    @on(Input.Blurred)
    def _left(self, event: Input.Blurred) -> None:
        row = self._row_of(event.input)
        if row is not None and (row.wrong or row.text.strip()):
            row.say(self.read()[1].get(row.field.name, ""))

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        row = self._row_of(event.input)
        if row is None:
            return
        event.stop()
        every = list(self.rows.values())
        # An Enter that was typed ahead may come when its own line is not shown any more.
        after = [one for one in every[every.index(row) + 1 :] if one.display]
        if after:
            after[0].entry.focus()
        else:
            self.entered_last()

    # --- keys ----------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Save it and go, after asking where that must be; or show every error and stay."""
        values, errors = self.read()
        made: Made | None = None
        if not errors:
            try:
                made = self.build(values)
            except FieldError as error:
                errors = {error.name: str(error)}
            except ValidationError as error:
                errors = self._refused(error)
                if not errors:
                    self.app.notify("\n".join(problems(error)), title=self.NOT_SAVED, severity="error", markup=False)
            except ValueError as error:
                self.app.notify(str(error), title=self.NOT_SAVED, severity="error", markup=False)
        self.show(errors)
        if errors or made is None:
            return
        found, ask = made, self.question(made)
        if ask is None:
            self._finish(found)
        else:
            self.visit(ask, lambda _: self._finish(found))

    def _finish(self, made: Made) -> None:
        self.keep(made)
        self.dismiss(made)

    def show(self, errors: Mapping[str, str]) -> None:
        for name, row in self.rows.items():
            row.say(errors.get(name, ""))
        wrong = next((row for name, row in self.rows.items() if name in errors), None)
        if wrong is not None:
            wrong.entry.focus()

    def _refused(self, error: ValidationError) -> dict[str, str]:
        """What a record refused of the lines it is made from."""
        found: dict[str, str] = {}
        for item in error.errors(include_url=False, include_context=False, include_input=False):
            name = str(item["loc"][0]) if item["loc"] else ""
            if name in self.rows:
                found.setdefault(name, f"{item['msg'].removeprefix('Value error, ')}.")
        return found

    def action_leave(self) -> None:
        if self.touched:
            self.visit(Ask(self.LEAVE, "leave it", "stay here"), lambda _: self.leave())
        else:
            self.leave()

    def action_make(self, kind: str) -> None:
        self.visit(screen_of(kind, self.app), partial(self.made, kind))

    def go_help(self) -> None:
        """The line one is on, the screen, and its keys."""
        row = next((row for row in self.rows.values() if row.has_focus_within), None)
        said = [*([row.explained] if row is not None else []), self.EXPLAIN]
        self.app.push_screen(HelpScreen("This screen", bound_commands(self), "\n\n".join(said), self.TOPIC))


class FormScreen(EntryScreen[Made]):
    """A form from its fields, the values they start from, and what to do with them."""

    def __init__(
        self,
        title: str,
        fields: Sequence[Field],
        first: Mapping[str, Any],
        build: Callable[[dict[str, Any]], Made],
        keep: Callable[[Made], None] = lambda _: None,
        remark: Callable[[Mapping[str, Any]], str] | None = None,
    ) -> None:
        """``build``, ``keep`` and ``remark`` are what EntryScreen has methods for."""
        super().__init__()
        self.heading = title
        self._build, self._keep, self._remark = build, keep, remark
        for field in fields:
            self.add(field, first.get(field.name))

    def build(self, values: dict[str, Any]) -> Made:
        return self._build(values)

    def keep(self, made: Made) -> None:
        self._keep(made)

    def remark(self, values: Mapping[str, Any]) -> str:
        return self._remark(values) if self._remark is not None else ""
