"""Past sessions: found by any word, ordered any way, unfinished ones on top."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual import on
from textual.binding import Binding
from textual.coordinate import Coordinate
from textual.message import Message
from textual.screen import Screen
from textual.widgets import DataTable, Input, Static

from hosewright.bench.past.session_page import PageScreen
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.find.queries import FindError, Wanted, read_wanted
from hosewright.logbook.find.sessions import PAGE, Found, Order, count, find
from hosewright.phrases.days import clock_day
from hosewright.session.events import Reopened
from hosewright.session.kinds import STATUS_WORDS, kind_of
from hosewright.session.words import now_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import Store


HEADINGS = ("", "Began", "Kind", "Title", "Status", "Yarn, cylinder")
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
    told = (judged and one.verdict) or STATUS_WORDS[one.status]
    kind = kind_of(one)
    title = one.title.removeprefix(f"{kind}: ")  # the column before says it already
    return (clock_day(one.began, one.zone_min), kind.lower(), title, told, f"{one.yarn} / {one.cylinder}")


# Orders in the sequence the key goes through them, how each is called, and which way up it begins.
ORDERS: tuple[tuple[Order, str, bool, tuple[str, str]], ...] = (
    ("began", "the day it began", True, ("newest first", "oldest first")),
    ("changed", "the day it was last touched", True, ("newest first", "oldest first")),
    ("title", "title", False, ("z to a", "a to z")),
    ("yarn", "yarn", False, ("z to a", "a to z")),
    ("machine", "machine", False, ("z to a", "a to z")),
    ("cylinder", "cylinder", False, ("z to a", "a to z")),
    ("wearer", "wearer", True, ("z to a", "a to z")),
    ("kind", "kind", False, ("tubes first", "stitch sizes first")),
    ("verdict", "verdict", True, ("z to a", "a to z")),
)
HINT = "/ to find: any words, dropped, yarn:grey, kind:tube, since:2025-01"


class PastScreen(Shielded, Screen["str | None"]):
    """Dismisses with the id of a session to take up, or None."""

    CSS_PATH = "screen.tcss"
    AUTO_FOCUS = "Sessions"
    EXPLAIN = (
        "Every session; unfinished and drying ones stand on top. / finds as you type: beginnings of words anywhere "
        "(notes and faults too), or kept to one place as yarn:grey, machine:, cylinder:, wearer:, title:, "
        "verdict:tight, notes:, fault:dropped; kind:stitch-size, gauge-tube, sock or string; status:under-way, drying, "
        "finished or given-up; days as since:2025-01, until:2025-03-31 or began:2025. To compare two, press c on one "
        "and then on the other; a twin is compared with its first sock at once."
    )
    BINDINGS = [
        Binding("t", "take_up", "Take it up"),
        Binding("slash", "narrow", "Find", key_display="/"),
        Binding("o", "order", "Order", tooltip="Order the list by something else"),
        Binding("r", "turn_round", "Turn round", tooltip="The same order the other way round"),
        Binding("space", "mark", "Mark", tooltip="Mark it, to compare it with others; again to take the mark away"),
        Binding(
            "c",
            "compare",
            "Compare",
            tooltip="Side by side with the one marked; with none marked, mark this one (a twin: its first sock)",
        ),
        Binding("y", "yarn", "Yarn card"),
        Binding("n", "needles", "Needles", tooltip="Needles that keep faulting"),
        Binding("escape", "back", "Back"),
    ]

    def compose(self) -> ComposeResult:
        """Title, filter, table, keys."""
        yield Static("Past sessions", id="past-title")
        yield Input(placeholder=HINT, id="past-filter", compact=True)
        yield Sessions(host(self).book.store, id="past-table")
        yield Static("", id="past-at", markup=False)
        yield Static("", id="past-marked", markup=False)
        yield Static("", id="past-count", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Fill the table."""
        self._order = 0
        self._falling = ORDERS[0][2]
        self._wanted = Wanted()
        self.table.set_columns(self.app.size.width)
        self._fill()

    def on_resize(self) -> None:
        """Give every column its share of the new width."""
        self.table.set_columns(self.app.size.width)

    @property
    def table(self) -> Sessions:
        """The list."""
        return self.query_one(Sessions)

    def _fill(self) -> None:
        self.query_one("#past-at", Static).update("")
        book = host(self).book
        try:
            self._wanted = read_wanted(self.query_one("#past-filter", Input).value, book.clock.now().zone_min)
            self.table.fill(self._wanted, ORDERS[self._order][0], falling=self._falling)
            said = self._counted(book)
        except FindError as error:  # half typed, most likely: the list stays as it was
            said = str(error)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        self.query_one("#past-count", Static).update(said)
        self._say_where()

    def _counted(self, book: Logbook) -> str:
        every = count(book.store, Wanted())
        found = every if self._wanted.anything else count(book.store, self._wanted)
        if not every:
            return "Nothing yet: what is cranked on the bench comes to stand here."
        if not found:
            return "No session matches."
        _, name, _, (down, up) = ORDERS[self._order]
        return f"{found:,} of {every:,}, by {name}, {down if self._falling else up}"

    # --- the list ------------------------------------------------------------------------------------------

    def action_narrow(self) -> None:
        """Type what to find."""
        self.query_one("#past-filter", Input).focus()

    @on(Input.Changed, "#past-filter")
    def _narrowed(self) -> None:
        self._fill()

    @on(Input.Submitted, "#past-filter")
    def _to_table(self) -> None:
        self.table.focus()

    def action_order(self) -> None:
        """Order the list by the next thing."""
        self._order = (self._order + 1) % len(ORDERS)
        self._falling = ORDERS[self._order][2]
        self._fill()

    def action_turn_round(self) -> None:
        """The same order the other way round."""
        self._falling = not self._falling
        self._fill()

    @on(DataTable.RowHighlighted)
    @on(Sessions.Grew)
    def _went_down(self) -> None:
        try:
            if self.table.wants_more():
                self.table.more()
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
        self._say_where()

    def _say_where(self) -> None:
        """What the bar is on, and what is marked."""
        one, marked = self.table.at, self.table.marked
        self.query_one("#past-at", Static).update(standing(host(self).book, one) if one else "")
        line = self.query_one("#past-marked", Static)
        line.display = marked is not None
        if marked is not None:
            here = f"{MARK} is marked: go to another line, then c compares the two"
            there = f"c compares this with {MARK} {marked.title}"
            line.update(here if one and one.id == marked.id else there)

    # --- keys ----------------------------------------------------------------------------------------------

    @on(DataTable.RowSelected)
    def _show(self) -> None:
        one = self.table.at
        if one is not None:
            self.app.push_screen(PageScreen(one.id), self._after)

    def _after(self, session_id: str | None) -> None:
        if session_id is not None:
            self._take_up(session_id)

    def action_take_up(self) -> None:
        """Go on with an unfinished session."""
        one = self.table.at
        if one is None:
            return
        if one.status == "finished":
            self.app.notify("That session is finished; Enter shows its page.", markup=False)
        else:
            self._take_up(one.id)

    def _take_up(self, session_id: str) -> None:
        try:
            live = host(self).book.take_up(session_id)
            if live.state.abandoned:
                live.do(Reopened())
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        self.dismiss(session_id)

    def action_mark(self) -> None:
        """Mark it, or take the mark away; one is marked at a time."""
        one = self.table.at
        if one is not None:
            self.table.mark(one)
            self._say_where()

    def action_compare(self) -> None:
        """Side by side with the one marked, or with the first sock of its pair; else this is the one marked."""
        from hosewright.bench.past.session_page import CompareScreen

        one, marked = self.table.at, self.table.marked
        if one is None:
            return
        other = one.twin_of if marked is None else marked.id
        if other is None:
            self.action_mark()
        elif other == one.id:
            self.app.notify("This is the one marked: go to another line, then press c.", markup=False)
        else:
            self.app.push_screen(CompareScreen(other, one.id))

    def action_yarn(self) -> None:
        """The card of its yarn."""
        from hosewright.bench.past.yarn_and_needles import YarnCardScreen

        one = self.table.at
        if one is not None:
            self.app.push_screen(YarnCardScreen(one.yarn_id), self._after)

    def action_needles(self) -> None:
        """Needles that keep faulting."""
        from hosewright.bench.past.yarn_and_needles import NeedlesScreen

        self.app.push_screen(NeedlesScreen())

    def action_back(self) -> None:
        """Leave the filter, or the screen."""
        narrow = self.query_one("#past-filter", Input)
        if narrow.has_focus or narrow.value:
            narrow.value = ""
            self.table.focus()
        else:
            self.dismiss(None)


def standing(book: Logbook, one: Found) -> str:
    """All that there is to say of one session in a line or two: only the one looked at is read for it."""
    told = [one.title, f"{one.yarn} / {one.cylinder}", one.machine]
    if one.wearer:
        told.append(f"for {one.wearer}")
    if one.verdict:
        told.append(one.verdict)
    if one.status != "finished":
        try:
            at = now_words(book.state(book.store.find(one.id)))
        except LogbookError as error:
            at = f"cannot be read: {error}"
        told.append(f"given up: {at}" if one.status == "abandoned" else at)
    return " · ".join(told)
