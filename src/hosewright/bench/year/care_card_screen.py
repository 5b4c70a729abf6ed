"""The slip of a pair, as it will stand on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.screen import Screen

from hosewright.bench.past.page_parts import Page
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.craft.errors import CraftError
from hosewright.logbook.accounts.handed_over import of_promise
from hosewright.logbook.file.store import LogbookError
from hosewright.paper.care_card import TITLE, slip, slip_html, slip_lines
from hosewright.paper.report import Section
from hosewright.places import data_folder, write_private

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.records.year import Promise
    from hosewright.paper.care_card import Slip


class SlipScreen(Shielded, Screen[None]):
    """What goes with the pair."""

    AUTO_FOCUS = "Page"
    EXPLAIN = (
        "The slip that goes with a pair: fibre, size by the scales, care in the words of the symbols, and the wash "
        "its gauge tube was given. No measurement, no price and no name stand on it. Fibre, wash and care are kept "
        "with the yarn, on the shelf."
    )
    BINDINGS = [Binding("w", "write", "Write a page to print"), Binding("escape", "back", "Back")]

    def __init__(self, promise: Promise) -> None:
        """Show the slip of this promised pair."""
        super().__init__()
        self._promise = promise
        self._slip: Slip | None = None

    def compose(self) -> ComposeResult:
        """The slip and the keys."""
        yield Page()
        yield BoundBar()

    async def on_mount(self) -> None:
        """Write it."""
        page = self.query_one(Page)
        try:
            self._slip = slip(of_promise(host(self).book, self._promise))
        except (LogbookError, CraftError) as error:
            await page.say(str(error))
            return
        await page.show(TITLE, [Section("", tuple(slip_lines(self._slip)))])

    def action_write(self) -> None:
        """Write it as a page to print, beside the logbook."""
        if self._slip is None:
            return
        path = data_folder() / "prints" / f"slip-{self._promise.id}.html"
        try:
            write_private(path, slip_html(self._slip))
        except OSError as error:
            self.app.notify(f"Not written: {error}", severity="error", markup=False)
            return
        self.app.notify(str(path), title="Written", markup=False, timeout=10)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
