"""Needles that keep faulting, machine by machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.screen import Screen

from hosewright.bench.past.page_parts import Page
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.logbook.accounts.needles import beds, faults_by_needle
from hosewright.logbook.file.store import LogbookError
from hosewright.paper.needles import needle_sections

if TYPE_CHECKING:
    from textual.app import ComposeResult


class NeedlesScreen(Shielded, Screen[None]):
    """Faults by needle."""

    AUTO_FOCUS = "Page"
    EXPLAIN = (
        "Faults with a needle noted, counted by needle on each cylinder. A needle is named only where chance would "
        "hardly give so many: an exact binomial test, allowing for the number of needles. Where the faults are too "
        "few it stays silent. To note a needle, add it to the fault on the crank screen."
    )
    BINDINGS = [Binding("escape", "back", "Back")]

    def compose(self) -> ComposeResult:
        """The page and the keys."""
        yield Page()
        yield BoundBar()

    async def on_mount(self) -> None:
        """Count."""
        book = host(self).book
        page = self.query_one(Page)
        try:
            found = [(bed, faults_by_needle(book.store, bed)) for bed in beds(book.store)]
        except LogbookError as error:
            await page.say(str(error))
            return
        await page.show("Needles that keep faulting", needle_sections(found, book.clock.now().zone_min))

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
