"""The list of past sessions: read from the logbook a page at a time, as far as it is scrolled."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.binding import Binding
from textual.coordinate import Coordinate
from textual.message import Message
from textual.widgets import DataTable

from hosewright.logbook.find.queries import Wanted
from hosewright.logbook.find.sessions import PAGE, Found, Order, find
from hosewright.phrases.days import clock_day
from hosewright.session.kinds import STANDS, kind_of

if TYPE_CHECKING:
    from hosewright.logbook.file.store import Store

HEADINGS = ("", "Began", "Kind", "Title", "Stands", "Yarn, cylinder")
MARK = "*"
MARK_WIDTH, DATE_WIDTH = 2, 13
WIDE = 100  # from here on there is room for yarn and cylinder, which most titles name anyway
_AROUND = 4  # the table's own margin, and a scroll bar
_GAP = 2
_NEAR_THE_END = 10


class Sessions(DataTable[Text]):
    """The table. Enter shows a session's page. Raises LogbookError from ``fill`` and ``more``."""

    BINDINGS = [
        Binding("enter", "select_cursor", "Show its page"),
        Binding("home", "scroll_top", show=False),
        Binding("end", "scroll_bottom", show=False),
    ]

    class Grew(Message):
        """More rows came in below."""

    def __init__(self, store: Store, *, id: str) -> None:
        super().__init__(id=id, cursor_type="row", zebra_stripes=False, cell_padding=0)
        self._store = store
        self.found: list[Found] = []
        self.marked: Found | None = None
        self._wanted, self._falling = Wanted(), True
        self._order: Order = "began"
        self._whole = False
        self._columns_shown = len(HEADINGS)

    def set_columns(self, width: int) -> None:
        """Give every column its share of ``width``; what was read already is shown anew."""
        at = self.cursor_row
        self.clear(columns=True)
        room = max(30, width - MARK_WIDTH - 2 * DATE_WIDTH - _AROUND)
        shares = (63, 37) if width < WIDE else (44, 26, 30)
        widths = (MARK_WIDTH, DATE_WIDTH, DATE_WIDTH, *(room * share // 100 for share in shares))
        self._columns_shown = len(widths)
        for heading, wide in zip(HEADINGS, widths, strict=False):
            self.add_column(heading, width=wide)
        self._add(self.found)
        self.move_cursor(row=at)

    def fill(self, wanted: Wanted, order: Order, *, falling: bool) -> None:
        """Show the first page of these sessions. Raises LogbookError."""
        found = find(self._store, wanted, order, falling=falling)
        self._wanted, self._order, self._falling = wanted, order, falling
        self._whole = len(found) < PAGE
        self.found = found
        self.clear()
        self._add(found)

    def more(self) -> None:
        """Read the next page, when there is one. Raises LogbookError."""
        if self._whole or not self.found:
            return
        page = find(self._store, self._wanted, self._order, falling=self._falling, after=self.found[-1])
        self._whole = len(page) < PAGE
        self.found += page
        self._add(page)

    def wants_more(self) -> bool:
        """Whether the cursor, or what is seen, has come near the last row read."""
        seen = round(self.scroll_y) + self.size.height
        return not self._whole and max(self.cursor_row, seen) >= self.row_count - _NEAR_THE_END

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """Ask for more as the wheel goes down."""
        super().watch_scroll_y(old_value, new_value)
        if new_value > old_value:
            self.post_message(self.Grew())

    @property
    def at(self) -> Found | None:
        """The session under the cursor."""
        return self.found[self.cursor_row] if 0 <= self.cursor_row < len(self.found) else None

    def mark(self, one: Found) -> None:
        """Mark a session, or take its mark away; one is marked at a time."""
        before = self.marked
        self.marked = None if before is not None and before.id == one.id else one
        for at, found in enumerate(self.found):
            if found.id == one.id or (before is not None and found.id == before.id):
                self.update_cell_at(Coordinate(at, 0), Text(self._sign(found)))

    def _sign(self, one: Found) -> str:
        return MARK if self.marked is not None and self.marked.id == one.id else ""

    def _add(self, found: list[Found]) -> None:
        for one in found:
            cells = (self._sign(one), *cells_of(one))
            self.add_row(*(self._cell(at, cell) for at, cell in enumerate(cells[: self._columns_shown])), key=one.id)

    def _cell(self, at: int, words: str) -> Text:
        """The words cut to their column, with a gap after them."""
        text = Text(words, no_wrap=True)
        text.truncate(max(1, self.ordered_columns[at].width - _GAP), overflow="ellipsis")
        return text


def cells_of(one: Found) -> tuple[str, str, str, str, str]:
    """A session's row."""
    judged = one.status == "finished" and one.kind != "string"  # each sock of a string has a verdict of its own
    told = (judged and one.verdict) or STANDS[one.status]
    kind = kind_of(one)
    title = one.title.removeprefix(f"{kind}: ")  # the column before says it already
    return (clock_day(one.began, one.zone_min), kind.lower(), title, told, f"{one.yarn} / {one.cylinder}")
