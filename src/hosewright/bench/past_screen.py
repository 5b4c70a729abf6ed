"""Past sessions, newest first, narrowed by typing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual import on
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import DataTable, Input, Static

from hosewright.bench.forms.host import host
from hosewright.bench.keybar import BoundBar
from hosewright.bench.page_screen import PageScreen
from hosewright.bench.shelf_words import day_words
from hosewright.logbook.store import LogbookError
from hosewright.session.events import Reopened
from hosewright.session.words import hands

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.store import SessionLine

KIND_WORDS = {"search": "stitch size", "tube": "gauge tube", "sock": "sock"}
MOST_SHOWN = 200
HEADINGS = ("Began", "What", "Title", "Yarn, cylinder", "Where it stands")
DATE_WIDTH = 11
_AROUND = 13  # the table's own padding, the cells', and a scroll bar


class Sessions(DataTable[Text]):
    """The table. Enter shows a session's page."""

    BINDINGS = [Binding("enter", "select_cursor", "Show its page")]


class PastScreen(Screen["str | None"]):
    """Dismisses with the id of a session to take up, or None."""

    CSS_PATH = "past_screen.tcss"
    AUTO_FOCUS = "Sessions"
    EXPLAIN = "Every session, newest first. Enter opens its page; / finds by title."
    BINDINGS = [
        Binding("t", "take_up", "Take it up"),
        Binding("slash", "narrow", "Find by title", key_display="/"),
        Binding("escape", "back", "Back"),
    ]

    def compose(self) -> ComposeResult:
        """Title, filter, table, keys."""
        yield Static("Past sessions", id="past-title")
        yield Input(placeholder="/ to find by title", id="past-filter", compact=True)
        yield Sessions(id="past-table", cursor_type="row", zebra_stripes=False)
        yield Static("", id="past-marked", markup=False)
        yield Static("", id="past-count", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Fill the table."""
        self._lines: list[SessionLine] = []
        self._cells: dict[int, tuple[str, ...]] = {}
        self._set_columns()
        self._fill()

    def on_resize(self) -> None:
        """Give every column its share of the new width."""
        at = self.query_one(Sessions).cursor_row
        self._set_columns()
        self._fill()
        self.query_one(Sessions).move_cursor(row=at)

    def _set_columns(self) -> None:
        table = self.query_one(Sessions)
        table.clear(columns=True)
        room = max(30, self.app.size.width - 2 * DATE_WIDTH - _AROUND)
        widths = (DATE_WIDTH, DATE_WIDTH, room * 33 // 100, room * 33 // 100, room * 34 // 100)
        for heading, width in zip(HEADINGS, widths, strict=True):
            table.add_column(heading, width=width)

    def _fill(self) -> None:
        table = self.query_one(Sessions)
        table.clear()
        self.query_one("#past-marked", Static).update("")
        wanted = self.query_one("#past-filter", Input).value.strip().casefold()
        book = host(self).book
        try:
            every = sorted(book.lines(), key=lambda line: (line.started_ms, line.n), reverse=True)
            self._lines = [line for line in every if wanted in line.title.casefold()]
            for line in self._lines[:MOST_SHOWN]:
                if line.n not in self._cells:  # nothing changes a session while its list is up
                    self._cells[line.n] = _cells_or_why(book, line)
                table.add_row(
                    *(Text(cell, no_wrap=True, overflow="ellipsis") for cell in self._cells[line.n]), key=line.id
                )
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        self.query_one("#past-count", Static).update(self._counted(len(every)))

    def _counted(self, every: int) -> str:
        found = len(self._lines)
        if not every:
            return "Nothing yet: what is cranked on the bench comes to stand here."
        if not found:
            return "No session has a title like that."
        if found > MOST_SHOWN:
            return f"The newest {MOST_SHOWN} of {found:,} are shown: type part of a title to narrow them."
        return f"{found} of {every:,}"

    @property
    def _marked(self) -> SessionLine | None:
        table = self.query_one(Sessions)
        at = table.cursor_row
        return self._lines[at] if table.row_count and 0 <= at < len(self._lines) else None

    # --- filter --------------------------------------------------------------------------------------------

    def action_narrow(self) -> None:
        """Type part of a title."""
        self.query_one("#past-filter", Input).focus()

    @on(Input.Changed, "#past-filter")
    def _narrowed(self) -> None:
        self._fill()

    @on(Input.Submitted, "#past-filter")
    def _to_table(self) -> None:
        self.query_one(Sessions).focus()

    @on(DataTable.RowHighlighted)
    def _say_marked(self) -> None:
        line = self._marked
        told = self._cells.get(line.n, ()) if line else ()
        self.query_one("#past-marked", Static).update(" · ".join(told[2:]))

    # --- keys ----------------------------------------------------------------------------------------------

    @on(DataTable.RowSelected)
    def _show(self) -> None:
        line = self._marked
        if line is not None:
            self.app.push_screen(PageScreen(line.id), self._after_page)

    def _after_page(self, session_id: str | None) -> None:
        if session_id is not None:
            self._take_up(session_id)

    def action_take_up(self) -> None:
        """Go on with an unfinished session."""
        line = self._marked
        if line is None:
            return
        if line.status == "finished":
            self.app.notify("That session is finished; Enter shows its page.", markup=False)
        else:
            self._take_up(line.id)

    def _take_up(self, session_id: str) -> None:
        try:
            live = host(self).book.take_up(session_id)
            if live.state.abandoned:
                live.do(Reopened())
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        self.dismiss(session_id)

    def action_back(self) -> None:
        """Leave the filter, or the screen."""
        narrow = self.query_one("#past-filter", Input)
        if narrow.has_focus or narrow.value:
            narrow.value = ""
            self.query_one(Sessions).focus()
        else:
            self.dismiss(None)


def _cells_or_why(book: Logbook, line: SessionLine) -> tuple[str, ...]:
    """A session's row; one that cannot be read says so in its row and hides none of the others."""
    try:
        return cells(book, line)
    except LogbookError as error:
        kind = KIND_WORDS.get(line.kind, line.kind)
        return (day_words(line.started_ms, 0), kind, line.title, "?", f"cannot be read: {error}")


def cells(book: Logbook, line: SessionLine) -> tuple[str, str, str, str, str]:
    """A session's row. Raises LogbookError when it cannot be read."""
    record = book.record(line)
    began = day_words(line.started_ms, record.zone_min)
    kind = KIND_WORDS.get(line.kind, line.kind)
    if record.twin_of:
        kind = "twin sock"
    what = f"{record.yarn.name} / {record.cylinder.name}"
    return (began, kind, line.title, what, standing(book, line))


def standing(book: Logbook, line: SessionLine) -> str:
    """Where a session stands, in words. Raises LogbookError when it cannot be read."""
    if line.status == "finished":
        return "finished"
    at = hands(book.state(line))
    return f"given up: {at}" if line.status == "abandoned" else at
