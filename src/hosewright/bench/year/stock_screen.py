"""The yarn in stock, lot by lot, and the ledger of one lot."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual import on
from textual.binding import Binding
from textual.widgets import DataTable

from hosewright.bench.doors import screen_of
from hosewright.bench.widgets.list_screen import BACK, FIND, Listed, ListScreen, More
from hosewright.bench.year.forms import lot_form, weigh_form
from hosewright.logbook.accounts.stock import LotStock, lot_words, stocks
from hosewright.logbook.records.year import Weighing
from hosewright.phrases.figures import mass_of_mg
from hosewright.phrases.lists import many
from hosewright.words.stock import (
    LEDGER_COLUMNS,
    Holding,
    LedgerRow,
    holdings,
    ledger,
    lot_says,
    stock_columns,
    yarn_says,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.phrases.lists import Column


class Lots(Listed[Holding]):
    """Every yarn, its lots below it. Enter shows the ledger of a lot."""

    BINDINGS = [Binding("enter", "select_cursor", "Its ledger")]
    TITLE = "Yarns and their lots"
    NONE = "no yarn yet, y adds one"

    def shape(self, room: int) -> Sequence[Column[Holding]]:  # noqa: ARG002  # the same in any
        return stock_columns(self.app.settings.mass_unit)

    def style_of(self, record: Holding) -> str:
        return "" if record.lot else "bold"

    def count_words(self) -> str:
        lots = sum(one.lot is not None for one in self.records)
        return f"{many(len(self.records) - lots, 'yarn')}, {many(lots, 'lot')}"

    def words_of(self, record: Holding) -> str:
        return f"{record.stock.yarn.name} {record.stock.yarn.colour} {record.name}"


class StockScreen(ListScreen["str | None"]):
    """Every yarn and its lots. Dismisses with the id of a session to take up, or None."""

    TOPIC = "yarn"
    HEADING = "Yarn stock"
    LIST = Lots
    HINT = "a yarn, a colour or a lot"
    EXPLAIN = (
        "What is left of every yarn, lot by lot. A lot is yarn of one dye lot, bought together. Used is what socks "
        "and tubes took, by weight or, where not weighed, by the plan for the stitches cranked so far; it includes "
        "what the scale found missing. Promised is for pairs not begun, and for what the socks on the machine still "
        "need. Used, promised and left always add up to bought. Weigh a lot now and then: the scale counts for more "
        "than the books."
    )
    BINDINGS = [
        Binding("a", "add", "Add a lot"),
        Binding("w", "weigh", "Weigh it"),
        Binding("e", "change", "Change it"),
        Binding("c", "change", show=False),  # as it was before one letter meant one thing
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Show all", tooltip="What was retired, too"),
        Binding("y", "yarn", "New yarn"),
        FIND,
        BACK,
    ]

    @property
    def lot(self) -> Any:
        """The lot under the cursor, a LotStock; None on a yarn's own line."""
        return self.marked.lot if self.marked else None

    def read_again(self, mark: str = "") -> None:
        found = holdings(stocks(self.app.book, retired=self.with_old))
        listed = self.query_one(Lots)
        # A lot is what most keys are about, so the cursor begins on the first one.
        listed.fill(found, mark or listed.mark or next((one.id for one in found if one.lot), ""))
        self.say_more()

    def say_more(self) -> None:
        marked, unit = self.marked, self.app.settings.mass_unit
        if marked is None:
            said = ["No yarn on the shelf yet: y makes one, then a adds what was bought of it."]
        elif marked.lot:
            said = lot_says(marked.lot, unit) or ["None of it has been used yet."]
        else:
            said = yarn_says(marked.stock, unit) + ([] if marked.stock.lots else ["a adds one."])
        self.query_one(More).say(said)

    # --- keys ----------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        if action == "add":
            return self.marked is not None
        return action not in ("weigh", "change", "retire") or self.lot is not None

    def action_add(self) -> None:
        self.visit(lot_form(self.app, self.marked.stock.yarn), self.kept)

    def action_change(self) -> None:
        self.visit(lot_form(self.app, self.marked.stock.yarn, self.lot.lot), self.kept)

    def action_weigh(self) -> None:
        self.visit(weigh_form(self.app, self.lot), self.kept)

    def action_yarn(self) -> None:
        self.visit(screen_of("yarn", self.app), self.kept)

    @on(DataTable.RowSelected)
    def _show_ledger(self) -> None:
        def seen(session_id: str | None) -> None:
            if session_id is not None:
                self.dismiss(session_id)
            else:
                self.read_again()

        marked = self.marked
        if marked is None or marked.lot is None:
            self.app.notify("Each lot has its own ledger: go to a lot below its yarn, or a adds one.", markup=False)
            return
        self.app.push_screen(LotScreen(marked.stock.yarn.id, marked.lot.lot.id), seen)

    def action_retire(self) -> None:
        lot = self.lot.lot
        name = lot_words(lot)
        off = f"Retire {name}? Its grams no longer count; o shows it again.", "retire it", "keep it"
        self.retire(lot, off, (f"Put {name} back on the list?", "put it back", "leave it retired"))


class LedgerLines(Listed[LedgerRow]):
    """The ledger. Enter shows the page of a line's session."""

    BINDINGS = [Binding("enter", "select_cursor", "Its session")]
    COLUMNS = LEDGER_COLUMNS

    def style_of(self, record: LedgerRow) -> str:
        return "dim strike" if record.struck else ""

    def count_words(self) -> str:
        return many(len(self.records), "line")


class LotScreen(ListScreen["str | None"]):
    """One lot's ledger. Dismisses with the id of a session to take up, or None."""

    TOPIC = "yarn"
    HEADING = "Yarn stock"
    LIST = LedgerLines
    EXPLAIN = (
        "Everything that happened to one lot, in order, and how much it held after each line. A sock that was not "
        "weighed is worked out from its plan for the stitches cranked; if you weigh the lot in the middle of a "
        "sock, its grams are split there. What the scale finds missing, or over, has a line of its own. Strike "
        "out a weighing that was a mistake: it stays readable at the bottom, and can be put back."
    )
    BINDINGS = [Binding("w", "weigh", "Weigh it"), Binding("r", "strike", "Strike out a weighing"), BACK]

    def __init__(self, yarn_id: str, lot_id: str) -> None:
        super().__init__()
        self._yarn_id, self._lot_id = yarn_id, lot_id
        self._stock: LotStock | None = None
        self._weighings: dict[str, Weighing] = {}

    def read_again(self, mark: str = "") -> None:
        book, unit = self.app.book, self.app.settings.mass_unit
        found = next((one for one in stocks(book, retired=True) if one.yarn.id == self._yarn_id), None)
        weighings = [one for one in book.shelf(Weighing, retired=True) if one.lot == self._lot_id]
        self._weighings = {one.id: one for one in weighings}
        self._stock = next((one for one in found.lots if one.lot.id == self._lot_id), None) if found else None
        if self._stock is None or found is None:
            return
        listed = self.query_one(LedgerLines)
        struck = [one for one in weighings if one.retired]
        listed.fill(ledger(self._stock, book.clock.now().zone_min, unit, struck), mark)
        listed.entitle(f"{found.yarn.name}, {lot_words(self._stock.lot)}, in {unit}")
        self.say_more()

    def say_more(self) -> None:
        if self._stock is None:
            return
        unit, name = self.app.settings.mass_unit, self._stock.names.get(self._about, "")
        said = [f"This line: {name}."] if "/" in self._about else []
        said += [*lot_says(self._stock, unit), f"Left: {mass_of_mg(self._stock.account.left, unit)}."]
        self.query_one(More).say(said)

    @property
    def _about(self) -> str:
        return self.marked.about if self.marked else ""

    # --- keys ----------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        return action != "strike" or self._about in self._weighings

    def action_weigh(self) -> None:
        if self._stock is not None:
            self.visit(weigh_form(self.app, self._stock), self.kept)

    def action_strike(self) -> None:
        one = self._weighings[self._about]
        off = f"Strike the weighing out ({one.name})? It stays readable.", "strike it out", "leave it"
        self.retire(one, off, (f"Put the weighing back ({one.name})?", "put it back", "leave it out"))

    @on(DataTable.RowSelected)
    def _show_session(self) -> None:
        session, slash, _ = self._about.partition("/")
        if slash:
            self.visit(screen_of("page", self.app, session), self.dismiss)
        else:
            self.app.notify("This line has no session.", markup=False)
