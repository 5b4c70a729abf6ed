"""Two sessions side by side, what differs first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Static

from hosewright.bench.past.page_parts import Page
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.logbook.file.store import LogbookError
from hosewright.paper.compare import compare, side

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.paper.compare import Comparison, Side


class CompareScreen(Shielded, Screen[None]):
    """Both sessions in columns."""

    AUTO_FOCUS = "Page"
    EXPLAIN = (
        "Two sessions side by side. What differs stands first. Between two gauge tubes it is tested whether the "
        "difference is more than the measuring error."
    )
    BINDINGS = [Binding("escape", "back", "Back")]

    def __init__(self, first: str, second: str) -> None:
        """Compare the sessions with these ids."""
        super().__init__()
        self.ids = (first, second)

    def compose(self) -> ComposeResult:
        """The table and the keys."""
        with Page():
            yield Static("", id="compare-table")
        yield BoundBar()

    def on_mount(self) -> None:
        """Compare them."""
        try:
            first, second = (self._side(one) for one in self.ids)
        except LogbookError as error:
            self.query_one("#compare-table", Static).update(Text(f"These cannot be compared.\n\n{error}"))
            return
        found = compare(first, second, host(self).settings.length_unit)
        self.query_one("#compare-table", Static).update(as_table(found))

    def _side(self, session_id: str) -> Side:
        book = host(self).book
        line = book.store.find(session_id)
        return side(book.record(line), book.store.entries(line.n), host(self).settings.tape_error_mm)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)


def as_table(found: Comparison) -> Table:
    """The comparison as a table as wide as the screen."""
    table = Table.grid(padding=(0, 2), expand=True)
    for ratio in (4, 5, 5):
        table.add_column(ratio=ratio, overflow="fold")
    table.add_row("", Text(found.first, "bold underline"), Text(found.second, "bold underline"))
    for heading, differs in (("WHAT DIFFERS", True), ("WHAT IS THE SAME", False)):
        rows = [line for line in found.lines if line.differs == differs]
        if not rows:
            continue
        table.add_row("")
        table.add_row(Text(heading, "bold"))
        for line in rows:
            style = "" if differs else "dim"
            table.add_row(*(Text(cell, style) for cell in (line.what, line.first, line.second)))
        if differs and found.said:
            table.add_row("")
    if not found.said:
        return table
    whole = Table.grid(expand=True)
    whole.add_row(Text("\n".join(found.said)))
    whole.add_row(table)
    return whole
