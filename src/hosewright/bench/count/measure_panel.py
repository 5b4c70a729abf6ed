"""Readings typed in one at a time; each is saved at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widgets import Input, Static

from hosewright.bench.count.finished_panel import gauge_figures, large_figures
from hosewright.bench.count.sock_panel import SockPanel, sock_of_session
from hosewright.bench.widgets.line import Steady
from hosewright.bench.widgets.panel import Panel, indented
from hosewright.counting.measuring import (
    ReadingError,
    gauge_words,
    placeholder,
    read_value,
    readings_words,
    which_sock,
)
from hosewright.session.reasons import caution_now
from hosewright.session.results import choice
from hosewright.session.words import instruction, label_of

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.widget import Widget

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.live import Live
    from hosewright.session.state import State
    from hosewright.session.steps import Measure, MeasureField

TALL = 36  # lines of the terminal from which the gauge is drawn large, and what is measured
# A tube lying flat, and from where to where it is measured; not to scale.
_TUBE = (
    ("░" * 28, "  separator rows, left out"),
    ("▒" * 28, " ┬"),
    *(("▒" * 28, f" │{words}") for words in ("", "  length of the working rows", "  down the middle", "")),
    ("▒" * 28, " ┴"),
    ("░" * 28, "  separator rows, left out"),
    ("", ""),
    ("├" + "─" * 26 + "┤", "  flat width, edge to edge"),
)
_WHERE: list[Row] = [((tube, "live"), (words, "")) for tube, words in _TUBE]


class MeasurePanel(VerticalScroll, can_focus=False):
    """One line a field: what to measure, a place to type, the readings so far; and what they come to."""

    DEFAULT_CSS = """
    MeasurePanel { padding: 0 1; border: round $primary; border-title-style: bold; border-title-color: $text-primary; }
    MeasurePanel #measure-say { height: auto; margin-bottom: 1; }
    MeasurePanel .line { height: 1; }
    MeasurePanel .label { width: 33; height: 1; }
    MeasurePanel Input { width: 1fr; max-width: 30; height: 1; border: none; padding: 0 1; background: $surface; }
    MeasurePanel Input:focus { border: none; background: $panel; text-style: bold; }
    MeasurePanel .got { width: auto; height: 1; padding-left: 1; }
    MeasurePanel .wrong { height: auto; color: $text-error; text-style: bold; padding-left: 2; }
    MeasurePanel #gauge-now { height: 13; margin-top: 1; display: none; }
    MeasurePanel #gauge { height: auto; margin-top: 1; }
    MeasurePanel #worn { height: 1fr; min-height: 16; margin-top: 1; display: none; }
    """

    class Taken(Message):
        """A reading was typed that can be used."""

        def __init__(self, field: str, value: float, typed: str) -> None:
            super().__init__()
            self.field, self.value, self.typed = field, value, typed

    class Passed(Message):
        """The next line is up, or what was typed cannot be read: what was said of a reading before is over."""

    class Done(Message):
        """Enter was pressed on the last, empty field."""

    app: Bench

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._fields: tuple[MeasureField, ...] = ()
        self._state: State | None = None

    def compose(self) -> ComposeResult:
        yield Static("", id="measure-say", markup=False)
        yield Panel(id="gauge-now")
        yield Static("", id="gauge", markup=False)
        yield SockPanel(id="worn")

    async def lay_out(self, step: Measure) -> None:
        """Put up the fields of ``step``, unless they are up already."""
        if self._fields == step.fields:
            return
        self._fields = step.fields
        await self.query(".line, .wrong").remove()
        if not self.is_attached:  # the bench was left meanwhile
            return
        gauge = self.query_one("#gauge-now")
        rows: list[Widget] = []
        for item in step.fields:
            line = Horizontal(
                Static(label_of(item), classes="label", markup=False),
                Input(placeholder=self._hint(item, had=False), id=f"in-{item.id}", max_length=60),
                Static("", classes="got", id=f"got-{item.id}", markup=False),
                classes="line",
            )
            wrong = Steady(classes="wrong", id=f"wrong-{item.id}")
            wrong.display = False
            rows += [line, wrong]
        await self.mount(*rows, before=gauge)
        self.query_one(f"#in-{step.fields[0].id}", Input).focus()

    def show(self, live: Live) -> None:
        """Show the readings of ``live`` and what they come to; one step at a time cautions stand with the reasons."""
        if not self._fields:
            return
        self._state, step_by_step = live.state, self.app.settings.step_by_step
        self.border_title = live.state.step.title.upper().replace("[", r"\[") if live.state.step else ""
        caution = "" if step_by_step else caution_now(live.state)
        parts = (which_sock(live), instruction(live.state), f"Caution: {caution}" if caution else "")
        said = "\n".join(part for part in parts if part)
        self.query_one("#measure-say", Static).update(said)
        for item in self._fields:
            words = readings_words(live.state, item, self.app.settings.length_unit, self.app.settings.mass_unit)
            self.query_one(f"#got-{item.id}", Static).update(words)
            self.query_one(f"#in-{item.id}", Input).placeholder = self._hint(item, had=bool(words))
        self.query_one("#gauge", Static).update(gauge_words(live, self.app.settings))
        # In few lines the words below it, which follow each reading too, are enough.
        tall = self.app.size.height >= TALL and not step_by_step
        figures = gauge_figures(live, self.app.settings) if tall else []
        now = self.query_one("#gauge-now", Panel)
        now.display = tall and live.record.kind == "tube"
        if figures:
            now.show_panel(large_figures(figures), "GAUGE SO FAR")
        elif now.display:
            now.show_panel(indented(lambda _width, _height: _WHERE), "FROM WHERE TO WHERE")
        worn = self.query_one("#worn", SockPanel)
        worn.display = tall and sock_of_session(live) is not None
        if worn.display:
            worn.show_sock(live)

    def _hint(self, item: MeasureField, *, had: bool) -> str:
        """What to type on a line; one that has its reading says how to leave it, and leaves room for it."""
        if had:
            return "again, or Enter" if item.repeats else "Enter, or type it again"
        return placeholder(item, self.app.settings.length_unit, self.app.settings.mass_unit)

    def go_on_from(self, field: str) -> str:
        """After a reading of ``field`` was stored: stay where several make a mean, else to the next line.

        Returns what to say about it.
        """
        index = next(i for i, item in enumerate(self._fields) if item.id == field)
        last = index + 1 == len(self._fields)
        if self._fields[index].repeats:
            return f"Saved. Type it again for a mean, or Enter {'goes on' if last else 'for the next line'}."
        ahead = [item.id for item in self._fields[index + 1 :] if not self._was_right(field, item.id)]
        if not ahead:
            return "Saved. That was the last line: Enter goes on."
        self.query_one(f"#in-{ahead[0]}", Input).focus()
        return ""

    def _was_right(self, field: str, after: str) -> bool:
        """Whether ``after`` asks by how much ``field`` was off, though it was right."""
        return self._state is not None and after == f"{field}-by" and choice(self._state, field) == "right"

    @property
    def present_field(self) -> str | None:
        focused = self.app.focused
        return focused.id.removeprefix("in-") if isinstance(focused, Input) and focused.id else None

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        index = next(i for i, f in enumerate(self._fields) if f"in-{f.id}" == event.input.id)
        item = self._fields[index]
        if not event.value.strip() or not event.input.value:  # a quick second Enter finds the line still full
            self._complain(item, "")
            if index + 1 < len(self._fields):
                self.query_one(f"#in-{self._fields[index + 1].id}", Input).focus()
                self.post_message(self.Passed())
            else:
                self.post_message(self.Done())
            return
        value = self._read(item, event.value)
        if value is not None:
            self.post_message(self.Taken(item.id, value, event.value.strip()))
            event.input.value = event.input.value.removeprefix(event.value)  # more may have been typed since
        else:
            self.post_message(self.Passed())

    def take_what_is_typed(self) -> list[Taken] | None:
        """The readings still standing in the lines, which are emptied; None, and all stays, when one cannot be read."""
        found = []
        for item in self._fields:
            line = self.query_one(f"#in-{item.id}", Input)
            text = line.value.strip()
            if text:
                value = self._read(item, text)
                if value is None:
                    line.focus()
                    return None
                found.append(self.Taken(item.id, value, text))
        for taken in found:
            self.query_one(f"#in-{taken.field}", Input).value = ""
        return found

    def _read(self, item: MeasureField, text: str) -> float | None:
        try:
            value = read_value(text, item, self.app.settings.length_unit, self.app.settings.mass_unit)
        except ReadingError as error:
            self._complain(item, str(error))
            return None
        self._complain(item, "")
        return value

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if not event.value.strip() and event.input.id:
            item = next(f for f in self._fields if f"in-{f.id}" == event.input.id)
            self._complain(item, "")

    def on_key(self, event: object) -> None:
        key = getattr(event, "key", "")
        if key in ("up", "down"):
            self.screen.focus_previous() if key == "up" else self.screen.focus_next()

    def _complain(self, item: MeasureField, sentence: str) -> None:
        self.query_one(f"#wrong-{item.id}", Steady).show_or_hide(sentence)
