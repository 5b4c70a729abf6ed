"""A form: labels on the left, inputs on the right, every problem beside its field and nothing typed lost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Generic, TypeVar

from pydantic import ValidationError
from textual import on
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Static

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import leave
from hosewright.bench.widgets.field import FieldProblem
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.logbook.file.store import LogbookError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from textual.app import ComposeResult

    from hosewright.bench.widgets.field import FormField

Made = TypeVar("Made")


class Line(Input):
    """One line to type in. Enter goes on, the arrows go up and down the form."""

    BINDINGS = [
        Binding("enter", "submit", "Next line"),
        Binding("up", "app.focus_previous", "Up", show=False),
        Binding("down", "app.focus_next", "Down", show=False),
    ]


class FieldRow(Vertical):
    """A field's label, input and hint, and below them what is wrong with it."""

    def __init__(self, field: FormField, text: str) -> None:
        super().__init__(id=f"row-{field.name}", classes="form-row" if field.hint else "form-row -no-hint")
        self.field = field
        self.first_text = text
        self.line = Line(text, id=f"field-{field.name}", compact=True, select_on_focus=True)
        self._problem = Static("", classes="form-problem", markup=False)

    def compose(self) -> ComposeResult:
        """Label, input, hint; then the problem."""
        with Horizontal(classes="form-line"):
            star = " *" if self.field.required else ""
            yield Static(self.field.label + star, classes="form-label", markup=False)
            yield self.line
            yield Static(self.field.hint, classes="form-hint", markup=False)
        yield self._problem

    def read(self) -> Any:
        """The value typed; None when it is empty or wrong, and then what is wrong stands beside it."""
        try:
            value = self.field.value(self.line.value, {})
        except FieldProblem as problem:
            self.say(str(problem))
            return None
        self.say("")
        return value

    def say(self, sentence: str) -> None:
        """Show what is wrong, or with an empty sentence that nothing is."""
        self._problem.update(f"! {sentence}" if sentence else "")
        self.set_class(bool(sentence), "-wrong")


def to_next_line(rows: Iterable[FieldRow], line: Input) -> bool:
    """Go from ``line`` to the line below it; False when it was the last."""
    lines = [row.line for row in rows]
    after = lines[lines.index(line) + 1 :] if isinstance(line, Line) else []
    if after:
        after[0].focus()
    return bool(after)


class FormScreen(Shielded, Screen["Made | None"], Generic[Made]):
    """Dismisses with what ``build`` made of the values, or None.

    ``initial`` holds the values to start from; a line left as it was keeps exactly that value. ``keep`` stores
    what was built (it may raise LogbookError; the form then stays). ``remark`` is said below the fields from
    the values that can be read so far.
    """

    CSS_PATH = "form.tcss"
    AUTO_FOCUS = "Line"
    EXPLAIN = (
        "Enter goes to the next line, Ctrl+S saves it all. Lines with * are needed, the others may stay empty. "
        "Lengths are typed in any unit, such as 5 7/8 in, 14.8 cm or 148 mm."
    )
    BINDINGS = [
        Binding("ctrl+s", "save", "Save"),
        Binding("escape", "leave", "Leave"),
    ]

    def __init__(
        self,
        title: str,
        fields: Sequence[FormField],
        initial: Mapping[str, Any],
        build: Callable[[dict[str, Any]], Made],
        keep: Callable[[Made], None] | None = None,
        remark: Callable[[Mapping[str, Any]], str] | None = None,
    ) -> None:
        """Lay out ``fields`` under ``title``."""
        super().__init__()
        self._title = title
        self._initial = dict(initial)
        self._build = build
        self._keep = keep
        self._remark = remark
        self.rows = [FieldRow(field, field.text(initial.get(field.name))) for field in fields]

    def compose(self) -> ComposeResult:
        """Title, the lines, the remark, the keys."""
        yield Static(self._title, classes="form-title", markup=False)
        with VerticalScroll(id="form-body", can_focus=False):
            yield from self.rows
            yield Static("", id="form-remark", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Say what there is to say about what stands there already."""
        self._refresh_remark()

    # --- values --------------------------------------------------------------------------------------------

    def _value(self, row: FieldRow, before: Mapping[str, Any]) -> Any:
        if row.line.value == row.first_text and row.field.name in self._initial and row.field.beside is None:
            return self._initial[row.field.name]
        return row.field.value(row.line.value, before)

    def _values(self) -> tuple[dict[str, Any], dict[str, str]]:
        values: dict[str, Any] = {}
        problems: dict[str, str] = {}
        for row in self.rows:
            try:
                values[row.field.name] = self._value(row, values)
            except FieldProblem as problem:
                problems[problem.name] = str(problem)
        return values, problems

    @property
    def touched(self) -> bool:
        """Whether anything was typed that storing would keep."""
        return any(row.line.value != row.first_text for row in self.rows)

    def _refresh_remark(self) -> None:
        if self._remark is not None:
            said = self._remark(self._values()[0])
            self.query_one("#form-remark", Static).update(said)

    # --- what happens --------------------------------------------------------------------------------------

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        row = self._row_of(event.input)
        if row.has_class("-wrong") and row.field.name not in self._values()[1]:
            row.say("")
        self._refresh_remark()

    @on(Input.Blurred)
    def _left(self, event: Input.Blurred) -> None:
        row = self._row_of(event.input)
        empty = not row.line.value.strip()
        row.say("" if empty and not row.has_class("-wrong") else self._values()[1].get(row.field.name, ""))

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        if not to_next_line(self.rows, event.input):
            self.action_save()

    def _row_of(self, line: Input) -> FieldRow:
        return next(row for row in self.rows if row.line is line)

    def action_save(self) -> None:
        """Read everything; keep and go, or show every problem and stay."""
        values, problems = self._values()
        made: Made | None = None
        if not problems:
            try:
                made = self._build(values)
            except FieldProblem as problem:
                problems[problem.name] = str(problem)
            except ValidationError as error:
                problems = self._refused(error)
        for row in self.rows:
            row.say(problems.get(row.field.name, ""))
        if problems:
            next((row for row in self.rows if row.field.name in problems), self.rows[0]).line.focus()
            return
        if made is None:
            return
        try:
            if self._keep is not None:
                self._keep(made)
        except LogbookError as error:
            self.app.notify(str(error), title="Not saved", severity="error", markup=False)
            return
        self.dismiss(made)

    def _refused(self, error: ValidationError) -> dict[str, str]:
        """What a record refused, by the field it belongs to (the first when it belongs to none)."""
        names = {row.field.name for row in self.rows}
        found: dict[str, str] = {}
        for item in error.errors(include_url=False, include_context=False, include_input=False):
            where = str(item["loc"][0]) if item["loc"] else ""
            name = where if where in names else self.rows[0].field.name
            found.setdefault(name, f"{item['msg'].removeprefix('Value error, ')}.")
        return found

    def action_leave(self) -> None:
        """Go without keeping, after asking when something was typed."""
        leave(self, touched=self.touched)
