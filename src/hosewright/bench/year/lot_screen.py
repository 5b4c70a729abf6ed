"""The ledger of one lot of yarn, line by line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.year.lot_form import weigh_form
from hosewright.logbook.accounts.stock import LotStock, lot_words, stocks
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.year import Weighing
from hosewright.phrases.days import clock_day
from hosewright.words.stock import LEDGER_HEADINGS, ledger_row, lot_says, mass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

DAY, WHAT, NUMBER = 13, 17, 8  # the widths of the columns


class Lines(OptionList):
    """The ledger. Enter shows the page of a line's session."""

    BINDINGS = [Binding("enter", "select", "Its session")]


class LotScreen(Shielded, Screen["str | None"]):
    """One lot's ledger. Dismisses with the id of a session to take up, or None."""

    CSS_PATH = "stock_screen.tcss"
    AUTO_FOCUS = "Lines"
    EXPLAIN = (
        "Everything that happened to one lot, in order of time, and what it held after each line. A sock that was not "
        "weighed is worked out from its plan by the stitches really cranked; weighing the lot in the middle of a sock "
        "cuts that sock's grams in two there. What the scale finds missing, or over, is a line of its own. A weighing "
        "that was a mistake is struck out: it stays readable at the foot, and can be put back."
    )
    BINDINGS = [
        Binding("w", "weigh", "Weigh it"),
        Binding("r", "strike", "Strike out a weighing"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, yarn_id: str, lot_id: str) -> None:
        """Show the lot with this id, of this yarn."""
        super().__init__()
        self._yarn_id, self._lot_id = yarn_id, lot_id
        self._stock: LotStock | None = None
        self._about: list[str] = []
        self._weighings: dict[str, Weighing] = {}

    def compose(self) -> ComposeResult:
        """Title, headings, lines, keys."""
        yield Static("", id="lot-title", markup=False)
        yield Static(_line(LEDGER_HEADINGS), id="lot-heads", markup=False)
        yield Lines(id="lot-lines", markup=False)
        with VerticalScroll(id="lot-more", can_focus=False):
            yield Static("", id="lot-says", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Read it."""
        self._read()

    def _read(self) -> None:
        book = host(self).book
        try:
            found = next((one for one in stocks(book, retired=True) if one.yarn.id == self._yarn_id), None)
            weighings = [one for one in book.shelf(Weighing, retired=True) if one.lot == self._lot_id]
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        self._weighings = {one.id: one for one in weighings}
        self._stock = next((one for one in found.lots if one.lot.id == self._lot_id), None) if found else None
        if self._stock is not None and found is not None:
            self._show(self._stock, found.yarn.name)

    def _show(self, stock: LotStock, yarn: str) -> None:
        unit, zone = host(self).settings.mass_unit, host(self).book.clock.now().zone_min
        self.query_one("#lot-title", Static).update(f"{yarn}, {lot_words(stock.lot)}, in {unit}")
        shown = self.query_one(Lines)
        at = shown.highlighted or 0
        lines = stock.lines
        self._about = [line.about for line in lines]
        options = [Option(_line(ledger_row(stock, line, zone, unit))) for line in lines]
        for one in self._weighings.values():
            if one.retired:
                self._about.append(one.id)
                text = _line((clock_day(one.at_ms, one.zone_min), "struck out", "", "", f"{one.name}  {one.why}"))
                text.stylize("dim strike", DAY + WHAT + 2 * NUMBER + 2)
                options.append(Option(text))
        shown.set_options(options)
        shown.highlighted = min(at, len(self._about) - 1)
        self._say()

    def _say(self) -> None:
        """The line under the bar in full, and what the lot comes to."""
        if self._stock is None:
            return
        unit, name = host(self).settings.mass_unit, self._stock.names.get(self._marked, "")
        said = [f"This line: {name}."] if "/" in self._marked else []
        said += [*lot_says(self._stock, unit), f"Left: {mass(self._stock.account.left, unit)}."]
        self.query_one("#lot-says", Static).update("\n".join(said))
        self.refresh_bindings()

    @property
    def _marked(self) -> str:
        at = self.query_one(Lines).highlighted
        return self._about[at] if at is not None and at < len(self._about) else ""

    def on_option_list_option_highlighted(self) -> None:
        """The words and the keys follow the line."""
        self._say()

    # --- keys ----------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """Only a weighing is struck out."""
        return action != "strike" or self._marked in self._weighings

    def action_weigh(self) -> None:
        """Note what the scale says."""

        def weighed(made: Weighing | None) -> None:
            if made is not None:
                self._read()

        if self._stock is not None:
            self.app.push_screen(weigh_form(self.app, self._stock), weighed)

    def action_strike(self) -> None:
        """Strike the weighing out, or put it back, after asking."""
        one = self._weighings.get(self._marked)
        if one is None:
            return
        if one.retired:
            ask = Ask(f"Put the weighing back ({one.name})?", "put it back", "leave it out")
        else:
            ask = Ask(f"Strike the weighing out ({one.name})? It stays readable.", "strike it out", "leave it")

        def answered(sure: bool | None) -> None:
            if sure:
                self._keep(one.model_copy(update={"retired": not one.retired}))

        self.app.push_screen(ask, answered)

    def _keep(self, weighing: Weighing) -> None:
        try:
            host(self).book.keep(weighing)
        except LogbookError as error:
            self.app.notify(str(error), title="Not changed", severity="error", markup=False)
        self._read()

    def on_option_list_option_selected(self) -> None:
        """Show the page of the session under the bar."""
        from hosewright.bench.past.page_screen import PageScreen

        def seen(session_id: str | None) -> None:
            if session_id is not None:
                self.dismiss(session_id)

        session, slash, _ = self._marked.partition("/")
        if slash:
            self.app.push_screen(PageScreen(session), seen)
        else:
            self.app.notify("This line is of no session.", markup=False)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)


def _line(cells: Sequence[str]) -> Text:
    """Day, what, change, level and how it is known, in columns."""
    day, what, change, level, known = cells
    text = f"{day:{DAY}}{what:{WHAT}}{change:>{NUMBER}}{level:>{NUMBER}}  {known}"
    return Text(text, no_wrap=True, overflow="ellipsis")
