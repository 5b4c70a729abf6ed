"""The yarn in stock, lot by lot, and the ledger of one lot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.text import Text
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shelf.forms import open_form
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.year.forms import lot_form, weigh_form
from hosewright.logbook.accounts.stock import LotStock, YarnStock, lot_words, stocks
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.records.year import Weighing
from hosewright.phrases.days import clock_day
from hosewright.words.stock import HEADINGS, LEDGER_HEADINGS, figures, ledger_row, lot_line, lot_says, mass, yarn_says

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.logbook.records.year import Lot


_GAP = 2
_AROUND = 4  # the list's padding and its scroll bar
_LEAST_NAME, _MOST_NAME = 12, 44


@dataclass(frozen=True, slots=True)
class Marked:
    """A line of the list: a yarn, or one of its lots."""

    stock: YarnStock
    lot: LotStock | None = None

    @property
    def id(self) -> str:
        """What keeps the bar on it when the list is read again."""
        return f"lot:{self.lot.lot.id}" if self.lot else f"yarn:{self.stock.yarn.id}"


class Lots(OptionList):
    """The list. Enter shows the ledger of a lot."""

    BINDINGS = [Binding("enter", "select", "Its ledger")]


class StockScreen(Shielded, Screen["str | None"]):
    """Every yarn and its lots. Dismisses with the id of a session to take up, or None."""

    CSS_PATH = "stock_screen.tcss"
    AUTO_FOCUS = "Lots"
    EXPLAIN = (
        "What is left of every yarn, lot by lot. A lot is yarn bought together, of one dye lot. Used: what socks and "
        "tubes took, as they were weighed, else as their plan says for the stitches really cranked; and what the scale "
        "found missing. Promised: pairs not begun yet, and what the socks on the machine still take. Bought is always "
        "used, promised and left together. Weigh a lot now and then: the scale outranks the books."
    )
    BINDINGS = [
        Binding("a", "add", "Add a lot"),
        Binding("w", "weigh", "Weigh it"),
        Binding("c", "change", "Change it"),
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Old ones"),
        Binding("y", "yarn", "New yarn"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._with_retired = False
        self._rows: list[Marked] = []

    def compose(self) -> ComposeResult:
        """Title, headings, list, what the figures are made of, keys."""
        yield Static("Yarn stock", id="stock-title", markup=False)
        yield Static("", id="stock-heads", markup=False)
        yield Lots(id="stock-lots", markup=False)
        with VerticalScroll(id="stock-more", can_focus=False):
            yield Static("", id="stock-says", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Read the accounts."""
        self._read()

    def on_resize(self) -> None:
        """Fit the columns to the new width."""
        self._lay_out(self._marked_id)

    # --- the list ------------------------------------------------------------------------------------------

    @property
    def marked(self) -> Marked | None:
        """What the bar is on."""
        at = self.query_one(Lots).highlighted
        return self._rows[at] if at is not None and at < len(self._rows) else None

    @property
    def _marked_id(self) -> str:
        return self.marked.id if self.marked else ""

    def _read(self, mark: str = "") -> None:
        mark = mark or self._marked_id
        found = stocks(host(self).book, retired=self._with_retired)
        self._rows = []
        for stock in found:
            self._rows += [Marked(stock), *(Marked(stock, lot) for lot in stock.lots)]
        self._lay_out(mark)

    def _lay_out(self, mark: str) -> None:
        unit, width = host(self).settings.mass_unit, self.size.width or 80
        rows = [(f"in {unit}", HEADINGS), *(_cells(row, unit) for row in self._rows)]
        widths = [_GAP + max(map(len, column)) for column in zip(*(cells for _, cells in rows if cells), strict=True)]
        name = min(_MOST_NAME, max(_LEAST_NAME, width - _AROUND - sum(widths)))
        heads, *lines = [_line(first, cells, name, widths) for first, cells in rows]
        self.query_one("#stock-heads", Static).update(heads)
        shown = self.query_one(Lots)
        shown.set_options(Option(line, id=row.id) for line, row in zip(lines, self._rows, strict=True))
        ids = [row.id for row in self._rows]
        # A lot is what most keys are about, so the bar begins on the first one.
        first = next((at for at, row in enumerate(self._rows) if row.lot), 0)
        shown.highlighted = (ids.index(mark) if mark in ids else first) if ids else None
        self._say()

    def on_option_list_option_highlighted(self) -> None:
        """Say what the figures of the line under the bar are made of."""
        self._say()

    def _say(self) -> None:
        marked, unit = self.marked, host(self).settings.mass_unit
        if marked is None:
            said = ["No yarn on the shelf yet: y makes one, then a adds what was bought of it."]
        elif marked.lot:
            said = lot_says(marked.lot, unit) or ["Nothing was used of it yet."]
        else:
            said = yarn_says(marked.stock, unit)
            if not marked.stock.lots:
                said.append("a adds one.")
        self.query_one("#stock-says", Static).update("\n".join(said))
        self.refresh_bindings()

    # --- keys ----------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """A lot is added to a yarn; everything else is done to a lot."""
        if action == "add":
            return self.marked is not None
        if action in ("weigh", "change", "retire"):
            return self.marked is not None and self.marked.lot is not None
        return True

    def action_add(self) -> None:
        """Note a lot of the yarn under the bar."""
        if self.marked is not None:
            self.app.push_screen(lot_form(self.app, self.marked.stock.yarn), self._kept)

    def action_change(self) -> None:
        """Change what was noted of the lot."""
        if self.marked is not None and self.marked.lot is not None:
            self.app.push_screen(lot_form(self.app, self.marked.stock.yarn, self.marked.lot.lot), self._kept)

    def _kept(self, lot: Lot | None) -> None:
        if lot is not None:
            self._read(f"lot:{lot.id}")

    def action_weigh(self) -> None:
        """Note what the scale says of the lot."""

        def weighed(made: Weighing | None) -> None:
            if made is not None:
                self._read()

        if self.marked is not None and self.marked.lot is not None:
            self.app.push_screen(weigh_form(self.app, self.marked.lot), weighed)

    def action_yarn(self) -> None:
        """Put a yarn on the shelf."""

        def made(yarn: Yarn | None) -> None:
            if yarn is not None:
                self._read(f"yarn:{yarn.id}")

        self.app.push_screen(open_form(self.app, Yarn), made)

    def on_option_list_option_selected(self) -> None:
        """Show the ledger of the lot under the bar."""
        from hosewright.bench.year.stock_screen import LotScreen

        def seen(session_id: str | None) -> None:
            if session_id is not None:
                self.dismiss(session_id)
            else:
                self._read()

        marked = self.marked
        if marked is None or marked.lot is None:
            self.app.notify("A ledger is kept of each lot: go to one below its yarn, or a adds one.", markup=False)
            return
        self.app.push_screen(LotScreen(marked.stock.yarn.id, marked.lot.lot.id), seen)

    def action_retire(self) -> None:
        """Take the lot off the list, or put it back, after asking."""
        if self.marked is None or self.marked.lot is None:
            return
        lot = self.marked.lot.lot
        name = lot_words(lot)
        if lot.retired:
            ask = Ask(f"Put {name} back on the list?", "put it back", "leave it retired")
        else:
            ask = Ask(f"Retire {name}? Its grams are counted no more; o shows it again.", "retire it", "keep it")

        def answered(sure: bool | None) -> None:
            if sure:
                self._keep(lot.model_copy(update={"retired": not lot.retired}))

        self.app.push_screen(ask, answered)

    def _keep(self, lot: Lot) -> None:
        try:
            host(self).book.keep(lot)
        except LogbookError as error:
            self.app.notify(str(error), title="Not changed", severity="error", markup=False)
        self._read()

    def action_old(self) -> None:
        """Show lots no longer in use too, or no longer."""
        self._with_retired = not self._with_retired
        self._read()

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)


def _cells(row: Marked, unit: str) -> tuple[str, Sequence[str]]:
    """A line's name and its figures; none for a yarn of which nothing is noted."""
    if row.lot is not None:
        account = row.lot.account
        return f"  {lot_line(row.lot)}", figures(account, row.stock.socks(account.left), unit)
    noted = row.stock.lots or row.stock.claims
    return row.stock.yarn.name, figures(row.stock.account, row.stock.socks_left, unit) if noted else ()


def _line(first: str, cells: Sequence[str], name: int, widths: Sequence[int]) -> Text:
    """A name and its figures in columns; a name that is not set in is a yarn's."""
    text = Text(first, no_wrap=True)
    text.truncate(name, overflow="ellipsis", pad=True)
    if not first.startswith(" "):
        text.stylize("bold")
    for at, (cell, wide) in enumerate(zip(cells, widths, strict=False)):
        text.append(cell.rjust(wide) if at < len(cells) - 1 else f"{' ' * _GAP}{cell}")
    return text


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
        yield Static(_ledger_line(LEDGER_HEADINGS), id="lot-heads", markup=False)
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
        options = [Option(_ledger_line(ledger_row(stock, line, zone, unit))) for line in lines]
        for one in self._weighings.values():
            if one.retired:
                self._about.append(one.id)
                text = _ledger_line(
                    (clock_day(one.at_ms, one.zone_min), "struck out", "", "", f"{one.name}  {one.why}")
                )
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
        from hosewright.bench.past.session_page import PageScreen

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


def _ledger_line(cells: Sequence[str]) -> Text:
    """Day, what, change, level and how it is known, in columns."""
    day, what, change, level, known = cells
    text = f"{day:{DAY}}{what:{WHAT}}{change:>{NUMBER}}{level:>{NUMBER}}  {known}"
    return Text(text, no_wrap=True, overflow="ellipsis")
