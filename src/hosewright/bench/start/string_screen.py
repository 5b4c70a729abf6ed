"""Putting a string of socks together: which pairs, in which order, then the start of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList, Select, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.start.setup import SetUp, start
from hosewright.bench.widgets.field import FormField, whole
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.logbook.accounts.enough import before_string
from hosewright.logbook.accounts.pairs import to_begin
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.shelf import Machine, Plan, Yarn
from hosewright.phrases.days import local_day
from hosewright.planning import starting
from hosewright.settings.table import LIMITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.year import Promise


class Choosing(OptionList):
    """A list of the screen; the arrows move in it, Tab leaves it."""

    def __init__(self, id: str, title: str) -> None:
        super().__init__(id=id, markup=False)
        self.border_title = title


class Pairs(Choosing):
    """Those that can be added."""

    BINDINGS = [Binding("enter", "select", "Add the pair", key_display="Enter")]


class StringScreen(Shielded, Screen["SessionRecord | None"]):
    """Dismisses with the start of a string, ready for ``Logbook.start``, or None."""

    CSS_PATH = ["../widgets/form.tcss", "string_screen.tcss"]
    AUTO_FOCUS = "#string-offers"
    EXPLAIN = (
        "Several socks in one string, separator rows between them: one cast on, one take off. They share machine, "
        "cylinder, yarn and dial. Enter on a pair below adds its two socks, s only one; Del takes the marked sock out."
    )
    BINDINGS = [
        Binding("s", "add_one", "One sock of it"),
        Binding("delete,backspace", "take_out", "Take out", key_display="Del"),
        Binding("tab", "app.focus_next", "Next"),
        Binding("ctrl+s", "start", "Start"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.chosen: list[starting.Chosen] = []
        self._offers: list[starting.Offer] = []
        self._plans: list[Plan] = []
        self._promises: tuple[tuple[Promise, int], ...] = ()
        self._set_up = SetUp()
        self._separator: FieldRow

    def compose(self) -> ComposeResult:
        """The string, what can be added, the lines of the start, what it comes to, the keys."""
        read = whole("separator rows", *LIMITS["separator_rows"])
        separator = FormField("separator", "Separator rows", "between the socks", read, required=True)
        self._separator = FieldRow(separator, str(host(self).settings.separator_rows))
        yield Static("Crank socks in one string", classes="form-title")
        with VerticalScroll(id="form-body", can_focus=False):
            yield Choosing("string-socks", "On the string, first to last")
            yield Pairs("string-offers", "Pairs to add")
            yield self._separator
            yield self._set_up.lot
            yield from self._set_up.rows.values()
            yield Static("", id="string-says", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Offer what is planned and promised."""
        book = host(self).book
        try:
            self._plans = list(reversed(book.shelf(Plan)))
            self._promises = to_begin(book)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
        self._show()

    def _show(self) -> None:
        self._offers = starting.offers(self._plans, self._promises, self.chosen, local_day(host(self).book.clock))
        socks = self.query_one("#string-socks", OptionList)
        socks.set_options(
            Option(Text(f"{at}  {sock.words}", no_wrap=True, overflow="ellipsis"))
            for at, sock in enumerate(self.chosen, 1)
        )
        offered = self.query_one("#string-offers", OptionList)
        at = offered.highlighted or 0
        offered.set_options(
            Option(Text(offer.words, no_wrap=True, overflow="ellipsis"), disabled=bool(offer.why_not))
            for offer in self._offers
        )
        offered.highlighted = min(at, len(self._offers) - 1) if self._offers else None
        self._offer_set_up()
        self._say()

    def _offer_set_up(self) -> None:
        first = self.chosen[0] if self.chosen else None
        plan = first.plan if first else None
        book = host(self).book
        try:
            machine = book.get(Machine, plan.machine) if plan else None
            yarn = book.get(Yarn, plan.yarn) if plan else None
            self._set_up.offer(book, machine, yarn, None, first.promise if first else None)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)

    def _say(self) -> None:
        said = self.query_one("#string-says", Static)
        if not self._plans:
            said.update("A string is made of planned socks: p on the bench plans one.")
            return
        if not self.chosen:
            said.update("No sock is on the string yet.")
            return
        book = host(self).book
        try:
            warned = before_string(
                book,
                [sock.plan for sock in self.chosen],
                self._set_up.lot.chosen,
                promises={sock.promise.id for sock in self.chosen if sock.promise},
                unit=host(self).settings.mass_unit,
            )
        except LogbookError as error:
            warned = (str(error),)
        rows, passes = (
            sum(part.count for sock in self.chosen for part in sock.plan.parts if part.kind == kind)
            for kind in ("rows", "passes")
        )
        said.update("\n".join([f"{len(self.chosen)} socks: {rows} rows and {passes} passes of working yarn.", *warned]))

    @on(Select.Changed, "#field-lot")
    def _lot_chosen(self) -> None:
        self._say()

    # --- keys ----------------------------------------------------------------------------------------------

    @on(OptionList.OptionSelected, "#string-offers")
    def _offer_taken(self) -> None:
        self._add(2)

    def action_add_one(self) -> None:
        """Add one sock of the marked pair."""
        self._add(1)

    def _add(self, socks: int) -> None:
        at = self.query_one("#string-offers", OptionList).highlighted
        if at is None or self._offers[at].why_not:
            return
        self.chosen = starting.paired([*self.chosen, *starting.socks_of(self._offers[at])[:socks]])
        self._show()

    def action_take_out(self) -> None:
        """Take the marked sock out of the string; the last one while the marker is in the other list."""
        listed = self.query_one("#string-socks", OptionList)
        if not self.chosen:
            return
        at = listed.highlighted if listed.has_focus and listed.highlighted is not None else len(self.chosen) - 1
        del self.chosen[at]
        self.chosen = starting.paired(self.chosen)
        self._show()

    def action_start(self) -> None:
        """Start it, or show what is missing."""
        values = {name: row.read() for name, row in {"separator": self._separator, **self._set_up.rows}.items()}
        wrong = [row for row in (self._separator, *self._set_up.rows.values()) if row.has_class("-wrong")]
        if wrong:
            wrong[0].line.focus()
            return
        start(self, lambda: self._record(values))

    def _record(self, values: Mapping[str, Any]) -> SessionRecord:
        return starting.string_record(host(self).book, self.chosen, values["separator"], self._set_up.taken(values))

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
