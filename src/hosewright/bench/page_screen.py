"""One session's page: everything that was decided, counted, measured and seen in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Markdown

from hosewright.bench.forms.host import host
from hosewright.bench.keybar import BoundBar
from hosewright.logbook.store import LogbookError

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.book import Logbook


class Page(VerticalScroll):
    """The page, scrolled with the arrows."""

    BINDINGS = [
        Binding("down", "scroll_down", "Scroll", key_display="↑↓"),
        Binding("up", "scroll_up", show=False),
    ]


class PageScreen(Screen["str | None"]):
    """Dismisses with the session's id when it is to be taken up, else None."""

    CSS_PATH = "page_screen.tcss"
    AUTO_FOCUS = "Page"
    EXPLAIN = (
        "One session: what was planned and cranked, faults at their rows, corrections, readings, and what it came to."
    )
    BINDINGS = [
        Binding("t", "take_up", "Take it up"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, session_id: str) -> None:
        """Show the session with this id."""
        super().__init__()
        self.session_id = session_id
        self._finished = True

    def compose(self) -> ComposeResult:
        """The page and the keys."""
        with Page(id="page-scroll"):
            yield Markdown("", id="page", open_links=False)
        yield BoundBar()

    async def on_mount(self) -> None:
        """Write the page."""
        book = host(self).book
        try:
            line = book.store.find(self.session_id)
            self._finished = line.status == "finished"
            text = report(book, self.session_id, host(self).settings.length_unit)
        except LogbookError as error:
            text = f"This session cannot be shown.\n\n{error}"
        self.refresh_bindings()
        await self.query_one("#page", Markdown).update(text)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """Only what is unfinished can be taken up."""
        return not (action == "take_up" and self._finished)

    def action_take_up(self) -> None:
        """Go on with it."""
        self.dismiss(self.session_id)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)


def report(book: Logbook, session_id: str, unit: str) -> str:
    """The page of a session as Markdown. Raises LogbookError when it cannot be read."""
    from hosewright.prints.report import session_report

    line = book.store.find(session_id)
    return session_report(book.record(line), list(book.store.entries(line.n)), unit)
