"""The form of a promised pair: for whom, of which yarn, to which plan, by when, and what it costs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import ValidationError
from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.shelf.forms import open_form
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import leave
from hosewright.bench.widgets.field import FieldProblem, FormField, words
from hosewright.bench.widgets.form import FieldRow, to_next_line
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.pick import PickRow
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.ids import shelf_id
from hosewright.logbook.records.shelf import Plan, Wearer, Yarn, problems
from hosewright.logbook.records.year import Lot, Promise
from hosewright.phrases.days import local_day, read_day, show_day
from hosewright.words.pairs import read_money, show_money, usual_name
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from datetime import date

    from textual.app import ComposeResult

_MAKE = Binding.Group("Make a new one")
_PICKS = (
    ("wearer", "For", "nobody named: w makes a wearer"),
    ("yarn", "Yarn", "none chosen: y makes one"),
    ("plan", "Plan", "none yet: p makes one"),
    ("lot", "Dye lot", "none chosen"),
)


def _fields(today: date, money: str) -> list[FormField]:
    def read_price(text: str) -> int:
        return read_money(text, money)

    def price_words(hundredths: int) -> str:
        return show_money(hundredths)

    tail = f" {money}" if money else ""
    return [
        FormField("by", "By", "such as 24 Dec, Friday, in 2 weeks", lambda text: read_day(text, today)),
        FormField("price", "Price", f"such as 28 or 28.50{tail}", read_price, price_words),
        FormField("paid", "Paid", "so far", read_price, price_words, empty=0),
        FormField("name", "Called", "empty: the wearer and the yarn", words("name", 80), empty=""),
        FormField("note", "Note", "anything worth knowing later", words("note", 4000), empty=""),
    ]


class PromiseForm(Shielded, Screen["Promise | None"]):
    """Dismisses with the promise it kept, or None."""

    CSS_PATH = ["../widgets/form.tcss", "promise_form.tcss"]
    AUTO_FOCUS = "Pick"
    EXPLAIN = (
        "A pair promised. Enter opens a list or goes to the next line, Ctrl+S saves it. Plans and dye lots are those "
        "of the yarn chosen. A day may be typed as 2026-12-24, 24 Dec, Friday or in 2 weeks."
    )
    BINDINGS = [
        Binding("w", "make('wearer')", "Make a wearer", group=_MAKE),
        Binding("y", "make('yarn')", "Make a yarn", group=_MAKE),
        Binding("p", "make('plan')", "Make a plan", group=_MAKE),
        Binding("ctrl+s", "save", "Save"),
        Binding("escape", "leave", "Leave"),
    ]

    def __init__(self, item: Promise | None = None) -> None:
        """Make a promise, or change ``item``."""
        super().__init__()
        self._item = item
        self._picks = {name: PickRow(name, label, "", none) for name, label, none in _PICKS}
        self._lines: dict[str, FieldRow] = {}
        self._first: dict[str, str | None] = {name: getattr(item, name) if item else None for name in self._picks}

    def compose(self) -> ComposeResult:
        """Title, lists, lines, what the day comes to, keys."""
        bench = host(self)
        for field in _fields(local_day(bench.book.clock), bench.settings.money):
            given = getattr(self._item, field.name) if self._item else None
            if field.name == "paid" and not given:
                given = None
            self._lines[field.name] = FieldRow(field, field.text(given))
        title = f"A promised pair: {self._item.name}" if self._item else "A promised pair"
        yield Static(title, classes="form-title", markup=False)
        with VerticalScroll(id="form-body", can_focus=False):
            yield from self._picks.values()
            yield from self._lines.values()
            yield Static("", id="form-remark", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Offer what there is."""
        self._offer(self._first)

    # --- the lists -----------------------------------------------------------------------------------------

    def _offer(self, wanted: dict[str, str | None]) -> None:
        try:
            book = host(self).book
            wearers, yarns = book.shelf(Wearer), book.shelf(Yarn)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        unit = host(self).settings.length_unit
        only = yarns[0].id if len(yarns) == 1 else None
        self._picks["wearer"].offer([(one.name, one.id) for one in wearers], wanted["wearer"])
        self._picks["yarn"].offer([(item_words(one, unit), one.id) for one in yarns], wanted["yarn"] or only)
        self._offer_of_yarn(wanted)

    def _offer_of_yarn(self, wanted: dict[str, str | None]) -> None:
        """Plans and dye lots of the yarn chosen; the wearer's own plans come first."""
        book, yarn, wearer = host(self).book, self._picks["yarn"].chosen, self._picks["wearer"].chosen
        plans = [one for one in book.shelf(Plan) if one.yarn == yarn]
        plans.sort(key=lambda one: one.wearer != wearer)
        lots = [one for one in book.shelf(Lot) if one.yarn == yarn]
        own = plans[0].id if plans and plans[0].wearer == wearer and wearer else None
        plan = wanted["plan"] if any(one.id == wanted["plan"] for one in plans) else own
        self._picks["plan"].offer([(one.name, one.id) for one in plans], plan)
        only = lots[0].id if len(lots) == 1 and self._item is None else None
        lot = wanted["lot"] if any(one.id == wanted["lot"] for one in lots) else only
        self._picks["lot"].offer([(one.name, one.id) for one in lots], lot)
        self._picks["lot"].display = bool(lots)

    @on(Select.Changed, "#field-yarn")
    @on(Select.Changed, "#field-wearer")
    def _chosen(self) -> None:
        self._picks["yarn"].say("")
        self._offer_of_yarn({name: row.chosen for name, row in self._picks.items()})

    def action_make(self, kind: str) -> None:
        """Make a thing that is missing, and choose it."""

        def made(item: Any) -> None:
            if item is not None:
                chosen = {name: row.chosen for name, row in self._picks.items()} | {kind: item.id}
                self._offer(chosen | ({"yarn": item.yarn} if kind == "plan" else {}))
                self._picks[kind].pick.focus()

        if kind == "plan":
            from hosewright.bench.plan.screen import PlanScreen

            self.app.push_screen(PlanScreen(), made)
        else:
            cls: Any = {"wearer": Wearer, "yarn": Yarn}[kind]
            self.app.push_screen(open_form(self.app, cls), made)

    # --- the lines -----------------------------------------------------------------------------------------

    @on(Input.Changed)
    @on(Input.Blurred)
    def _typed(self, event: Input.Changed | Input.Blurred) -> None:
        row = next(row for row in self._lines.values() if row.line is event.input)
        _, wrong = self._read(row)
        if isinstance(event, Input.Blurred) or (row.has_class("-wrong") and not wrong):
            row.say(wrong)
        by, _ = self._read(self._lines["by"])
        said = f"By {show_day(by, local_day(host(self).book.clock))}." if by else ""
        self.query_one("#form-remark", Static).update(said)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        if not to_next_line(self._lines.values(), event.input):
            self.action_save()

    def _read(self, row: FieldRow) -> tuple[Any, str]:
        """The value of a line, and what is wrong with it."""
        try:
            return row.field.value(row.line.value, {}), ""
        except FieldProblem as problem:
            return None, str(problem)

    # --- keeping -------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Keep it and go, or show what is wrong and stay."""
        read = {name: self._read(row) for name, row in self._lines.items()}
        for name, (_, wrong) in read.items():
            self._lines[name].say(wrong)
        self._picks["yarn"].say("" if self._picks["yarn"].chosen else "Choose the yarn first, or make one with y.")
        if self._picks["yarn"].chosen is None:
            self._picks["yarn"].pick.focus()
            return
        bad = next((name for name, (_, wrong) in read.items() if wrong), None)
        if bad is not None:
            self._lines[bad].line.focus()
            return
        try:
            made = self._made({name: value for name, (value, _) in read.items()})
            host(self).book.keep(made)
        except ValidationError as error:
            self.app.notify("\n".join(problems(error)), title="Not saved", severity="error", markup=False)
            return
        except LogbookError as error:
            self.app.notify(str(error), title="Not saved", severity="error", markup=False)
            return
        self.dismiss(made)

    def _made(self, values: dict[str, Any]) -> Promise:
        chosen = {name: row.chosen for name, row in self._picks.items()}
        book = host(self).book
        if not values["name"]:
            values["name"] = usual_name(book.get(Wearer, chosen["wearer"] or ""), book.get(Yarn, chosen["yarn"] or ""))
        if self._item is not None:
            return Promise.model_validate(dict(self._item) | chosen | values)
        made = local_day(book.clock).isoformat()
        return Promise.model_validate({"id": shelf_id(values["name"]), "made": made} | chosen | values)

    @property
    def touched(self) -> bool:
        """Whether anything was typed or chosen that storing would keep."""
        typed = any(row.line.value != row.first_text for row in self._lines.values())
        return typed or (self._item is not None and any(r.chosen != self._first[n] for n, r in self._picks.items()))

    def action_leave(self) -> None:
        """Go without keeping, after asking when something was typed."""
        leave(self, touched=self.touched)
