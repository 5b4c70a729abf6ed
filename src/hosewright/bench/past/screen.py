"""Past sessions: found by any word, ordered any way, unfinished ones on top."""

from __future__ import annotations

from contextlib import suppress
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.message import Message
from textual.widgets import DataTable, Input

from hosewright.bench.doors import screen_of
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading, Steady
from hosewright.bench.widgets.list_screen import BACK, FIND, Listed, ListScreen, More, WithMore, find_line
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.sessions import PAGE, Found, Order, count, find, look_through
from hosewright.logbook.find.wanted import FindError, Wanted, read_wanted, wanted_words
from hosewright.logbook.glance import hands_of
from hosewright.phrases.days import clock_day, local_day
from hosewright.phrases.lists import Column, many
from hosewright.session.kinds import STATUS_SIGNS, STATUS_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.app import ComposeResult
    from textual.timer import Timer

    from hosewright.logbook.book import Logbook

MARK = "*"
MARK_WIDTH, DATE_WIDTH = 2, 11
WIDE = 93  # cells; from here on there is room for yarn and cylinder, which most titles name anyway
_NEAR_THE_END = 10
_A_PIECE_S = 0.03  # of looking through sessions, while a key may wait
_A_FRAME_S = 0.02  # Textual paints 60 frames a second


class Sessions(Listed[Found]):
    """Read from the logbook a page at a time, as far as it is scrolled. Enter shows a session's page."""

    BINDINGS = [Binding("enter", "select_cursor", "Show its page")]
    TITLE = "Past sessions"
    NONE = "nothing here yet. Everything you crank is listed on this page"
    PAGED = True

    class Grew(Message):
        """More rows came in below."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.starred: list[Found] = []
        self._wanted, self._falling = Wanted(), True
        self._order_of: Order = "began"
        self.whole = False

    def shape(self, room: int) -> Sequence[Column[Found]]:
        columns: tuple[Column[Found], ...] = (
            Column("", lambda one: MARK if one.id in {marked.id for marked in self.starred} else "", width=1),
            Column("Began", lambda one: clock_day(one.began, one.zone_min), width=DATE_WIDTH),
            Column("Kind", lambda one: one.kind_words.lower(), width=DATE_WIDTH),
        )
        status = Column[Found]("Status", status_words, share=33, style=lambda one: STATUS_SIGNS[one.status][1])
        if room < WIDE:
            return *columns, Column("Title", title_words, share=67), status
        whose = Column[Found]("Title", whose_words, share=22)
        yarn = Column[Found]("Yarn", lambda one: one.yarn, share=20)
        return *columns, whose, yarn, Column("Cylinder", lambda one: one.cylinder, share=11), status

    def show(self, wanted: Wanted, order: Order, *, falling: bool) -> None:
        """Show the first page of these sessions. Raises LogbookError."""
        found = find(self.app.book.store, wanted, order, falling=falling)
        self._wanted, self._order_of, self._falling = wanted, order, falling
        self.whole = len(found) < PAGE
        self.fill(found, else_at=0)

    def more(self) -> None:
        """Read the next page, when there is one. Raises LogbookError."""
        if self.whole or not self.records:
            return
        page = find(self.app.book.store, self._wanted, self._order_of, falling=self._falling, after=self.records[-1])
        self.whole = len(page) < PAGE
        self.add(page)

    def wants_more(self) -> bool:
        """Whether the cursor, or what is seen, has come near the last row read."""
        seen = round(self.scroll_y) + self.size.height
        return not self.whole and max(self.cursor_row, seen) >= self.row_count - _NEAR_THE_END

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        super().watch_scroll_y(old_value, new_value)
        if new_value > old_value:
            self.post_message(self.Grew())

    def star(self, one: Found) -> None:
        """Mark a session, or take its mark away."""
        others = [marked for marked in self.starred if marked.id != one.id]
        self.starred = [*self.starred, one] if len(others) == len(self.starred) else others
        self.say_again(one)


def title_words(one: Found) -> str:
    """The title without its kind, which the column before says already."""
    return one.title.removeprefix(f"{one.kind_words}: ")


def whose_words(one: Found) -> str:
    """What the title says beyond kind, yarn and cylinder, which have columns of their own."""
    rest = title_words(one)
    if one.yarn:
        rest = rest.replace(f"{one.yarn} on {one.cylinder}", "").replace(one.yarn, "")
    return ", ".join(part for part in (part.strip(" :") for part in rest.split(",")) if part)


def status_words(one: Found) -> str:
    """How it is, or how it came out, with the sign of it."""
    if one.left_out:
        return f"{STATUS_SIGNS[one.status][0]} left out: {one.left_out}"
    judged = one.status == "finished" and one.kind != "string"  # each sock of a string has a verdict of its own
    return f"{STATUS_SIGNS[one.status][0]} {(judged and one.verdict) or STATUS_WORDS[one.status]}"


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
HINT = "/ to find: any words, -dropped, yarn:grey, needle:17, since:July"


class PastScreen(ListScreen["str | None"]):
    """Dismisses with the id of a session to take up, or None."""

    DEFAULT_CSS = "PastScreen #past-wanted, PastScreen #past-marked { padding: 0 1; }"
    TOPIC = "formats"
    EXPLAIN = (
        "Every session, the unfinished and drying ones on top. / finds as you type, by the beginnings of words "
        'anywhere, notes and faults too; "new latch" is the whole phrase, -dropped leaves out. In one place only: '
        "yarn:grey, machine:, cylinder:, wearer:, title:, notes:, fault:dropped, lot:, for: (a promise), "
        "verdict:tight or verdict:right, which is round and in length; needle:17, dial:30, gauge:10.4-10.8 of a "
        "tube, pace:>25; kind:stitch-size, gauge-tube, sock or string; status:under-way, drying, finished, given-up "
        "or left-out; since:24/12, until:July 2025 or began:2025. To compare two, press v on one and then on the "
        "other, or mark more with Space first; a twin is compared with its first sock at once. On a session's page v "
        "holds it against all others like it."
    )
    BINDINGS = [
        Binding("t", "take_up", "Take it up"),
        FIND,
        Binding("s", "order", "Sort", tooltip="Order the list by something else"),
        Binding("i", "turn_round", "Reverse", tooltip="Reverse the order"),
        Binding("space", "mark", "Mark", tooltip="Mark it, to compare it with others; again to take the mark away"),
        Binding(
            "v",
            "compare",
            "Compare",
            tooltip="Side by side with those marked; with none marked, mark this one (a twin: its first sock)",
        ),
        Binding("y", "yarn", "Yarn card"),
        Binding("n", "open('needles')", "Needles", tooltip="Needles that keep faulting"),
        Binding("p", "open('pace')", "Pace", tooltip="How fast you crank, month by month"),
        Binding("o", "order", show=False),  # as they were before one letter meant one thing
        Binding("r", "turn_round", show=False),
        Binding("c", "compare", show=False),
        BACK,
    ]

    def __init__(self) -> None:
        super().__init__()
        self._order = 0
        self._falling = ORDERS[0][2]
        self._to_look: Iterator[int] = iter(())
        self._waiting: Timer | None = None

    def compose(self) -> ComposeResult:
        yield Heading("Looking back")
        yield find_line(HINT, waits=False)
        yield Steady(id="past-wanted")
        with WithMore():
            yield Sessions(id="past-table")
            yield More(can_focus=False)
        yield Steady(id="past-marked")
        yield BoundBar()

    @property
    def table(self) -> Sessions:
        return self.query_one(Sessions)

    def read_again(self, mark: str = "") -> None:  # noqa: ARG002  # nothing is kept here
        book = self.app.book
        if self._waiting is not None:
            self._waiting.stop()
        try:
            unit, zone = self.app.settings.length_unit, book.clock.now().zone_min
            wanted = read_wanted(self.query_one("#find", Input).value, zone, local_day(book.clock), unit)
        except FindError as error:  # half typed, most likely: the list stays as it was
            self._say_wanted(str(error))
            return
        if wanted.slow:
            self._to_look = look_through(book.store, wanted, ORDERS[self._order][0], falling=self._falling)
            self._look_on(wanted)
        else:
            self._show_found(wanted)

    def _look_on(self, wanted: Wanted) -> None:
        """Look on for a moment, so that no key is held up, and say how far it is; then show what is found."""
        until = monotonic() + _A_PIECE_S
        for read in self._to_look:
            if monotonic() > until:
                self._say_wanted(f"Looking for {wanted_words(wanted)}: {many(read, 'session')} read so far.")
                self._waiting = self.set_timer(_A_FRAME_S, partial(self._look_on, wanted))
                return
        self._show_found(wanted)

    def _show_found(self, wanted: Wanted) -> None:
        self.table.show(wanted, ORDERS[self._order][0], falling=self._falling)
        self._say_wanted("" if wanted.anything else f"Looking for {wanted_words(wanted)}.")
        every = count(self.app.book.store, Wanted())
        _, name, _, (down, up) = ORDERS[self._order]
        said = f"{self._found(wanted, every)} of {every:,}, by {name}, {down if self._falling else up}"
        self.table.entitle(said=said if self.table.records else "no session matches" if every else "")
        self.say_more()

    def _found(self, wanted: Wanted, every: int) -> str:
        """How many; where each must be folded to tell, only as far as the list was read."""
        if self.table.whole:
            return f"{len(self.table.records):,}"
        if wanted.slow:
            return f"{len(self.table.records)} and more"
        return f"{every if wanted.anything else count(self.app.book.store, wanted):,}"

    def _say_wanted(self, said: str) -> None:
        self.query_one("#past-wanted", Steady).show_or_hide(said)

    def on_resize(self) -> None:
        self.call_after_refresh(self.say_more)

    # --- the list ------------------------------------------------------------------------------------------

    def narrow(self, text: str) -> None:  # noqa: ARG002  # read with the list
        self.read_again()

    def action_order(self) -> None:
        self._order = (self._order + 1) % len(ORDERS)
        self._falling = ORDERS[self._order][2]
        self.read_again()

    def action_turn_round(self) -> None:
        self._falling = not self._falling
        self.read_again()

    @on(DataTable.RowHighlighted)
    @on(Sessions.Grew)
    def _went_down(self) -> None:
        if self.table.wants_more():
            self.table.more()

    def say_more(self) -> None:
        one, marked = self.table.marked, self.table.starred
        told = standing(self.app.book, one) if one else []
        self.query_one(More).say(told if self.has_class("-broad") else [" · ".join(told)])
        others = [other for other in marked if one is None or other.id != one.id]
        words = f"{MARK} is marked: go to another line, then v compares the two" if marked else ""
        if len(others) == 1:
            words = f"v compares this with {MARK} {others[0].title}"
        elif others:
            words = f"v compares this with the {len(others)} others marked {MARK}"
        self.query_one("#past-marked", Steady).show_or_hide(words)

    # --- keys ----------------------------------------------------------------------------------------------

    @on(DataTable.RowSelected)
    def _show(self) -> None:
        one = self.table.marked
        if one is not None:
            self.action_open("page", one.id)

    def action_open(self, what: str, *of: str) -> None:
        opened = screen_of(what, self.app, *of)

        def after(session_id: str | None) -> None:
            if session_id is not None:
                self._take_up(session_id)
            elif getattr(opened, "was_put_right", False):
                self.read_again()

        self.app.push_screen(opened, after)

    def action_take_up(self) -> None:
        one = self.table.marked
        if one is None:
            return
        if one.status == "finished":
            self.app.notify("That session is finished; Enter shows its page.", markup=False)
        else:
            self._take_up(one.id)

    def _take_up(self, session_id: str) -> None:
        self.app.book.take_up(session_id)  # one that cannot be read is said so here, and the list stays
        self.dismiss(session_id)

    def action_mark(self) -> None:
        one = self.table.marked
        if one is not None:
            self.table.star(one)
            self.say_more()

    def action_compare(self) -> None:
        """Side by side with those marked, or with the first sock of its pair; else this one is marked."""
        one, marked = self.table.marked, [other.id for other in self.table.starred]
        if one is None:
            return
        others = [other for other in marked or [one.twin_of or ""] if other not in (one.id, "")]
        if others:
            self.action_open("compare", *others, one.id)
        elif marked:
            self.app.notify("This is the one marked: go to another line, then press v.", markup=False)
        else:
            self.action_mark()

    def action_yarn(self) -> None:
        one = self.table.marked
        if one is not None:
            self.action_open("card", one.yarn_id)


def standing(book: Logbook, one: Found) -> list[str]:
    """All that there is to say of one session, a few words each: only the one looked at is read for it."""
    told = [one.title, f"{one.yarn} / {one.cylinder}", one.machine]
    if book.store.names_now():
        from hosewright.logbook.entered_twice import was_words  # the records, half a bare first frame

        with suppress(LogbookError):  # said below of one that is under way
            told += was_words(book, book.record(book.store.find(one.id)))
    if one.wearer:
        told.append(f"for {one.wearer}")
    if one.verdict:
        told.append(one.verdict)
    if one.left_out:
        told.append(f"left out: {one.left_out}")
    if one.status != "finished":
        try:
            at = hands_of(book.store, one.id)
        except LogbookError as error:
            at = f"cannot be read: {error}"
        told.append(f"given up: {at}" if one.status == "abandoned" else at)
    return told
