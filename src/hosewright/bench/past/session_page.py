"""One session's page: everything decided, counted, measured and seen in it; and two sessions side by side."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Static

from hosewright.bench.doors import screen_of
from hosewright.bench.shielded import tell_done, write_and_tell
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.widgets.report_screen import ReportScreen, SockPicture
from hosewright.counting.put_right import (
    LEFT_OUT,
    left_out,
    put_right,
    start_events,
    start_lines,
    work_events,
    work_lines,
)
from hosewright.logbook.entered_twice import was_words
from hosewright.logbook.records.shelf import Plan
from hosewright.paper.charts import cranked_sock
from hosewright.paper.compare import against, compare, rest_of, side
from hosewright.paper.report import sections
from hosewright.paper.writing import write_pages, write_session
from hosewright.phrases.lists import listed
from hosewright.session.events import TakenIn
from hosewright.session.fold import fold

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.widgets.report_screen import Page
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.paper.charts import DrawnSock
    from hosewright.paper.compare import Comparison, Side
    from hosewright.session.events import Entry, Event


_STAYS = "Nothing is overwritten: what was said first stays readable on the page."
_STRIKES = "An empty reading is struck out. What was counted and read first stays readable on the page."


class PageScreen(ReportScreen["str | None"]):
    """Dismisses with the session's id when it is to be taken up, else None."""

    EXPLAIN = (
        "One session: what came of it, what was planned and cranked, its pace row by row, pauses, faults at their "
        "rows, corrections and readings."
    )
    BINDINGS = [
        Binding("p", "replay", "Play it", tooltip="Step through it like a recording"),
        Binding("y", "yarn", "Yarn card"),
        Binding("v", "compare", "Compare", tooltip="With its twin, where it is one; else with all others like it"),
        Binding("c", "compare", show=False),  # as it was before one letter meant one thing
        Binding("w", "write", "Write a page to print"),
        Binding("x", "export", "Export", tooltip="Write it as a session file, which another logbook can import"),
        Binding("e", "put_right", "Put right", tooltip="Yarn, lot, cylinder, machine, wearer, promise, day or title"),
        Binding("g", "work", "Rows, readings", tooltip="A count or a reading that was wrong"),
        Binding("j", "leave_out", "Leave out", tooltip="Of gauges, pace and statistics; again takes it back in"),
        Binding("t", "take_up", "Take it up"),
        Binding("escape", "dismiss", "Back"),
    ]

    CANNOT = "This session cannot be shown."
    HEADING = "A session"

    def __init__(self, session: str) -> None:
        """``session`` is its id."""
        super().__init__()
        self.session_id = session
        self.was_put_right = False
        self._finished = True
        self._left_out = False
        self._record: SessionRecord | None = None
        self._entries: list[Entry] = []
        self._plans: list[Plan] = []

    async def write(self, page: Page) -> None:
        book, settings = self.app.book, self.app.settings
        line = book.store.find(self.session_id)
        record, self._entries = book.record(line), list(book.store.entries(line.n))
        self._plans = [plan for plan in book.shelf(Plan) if record.id in plan.made_from]
        self._record, self._finished = record, line.status == "finished"
        self._left_out = fold(record.head, self._entries).out is not None
        told = (record, self._entries, settings.length_unit, self._plans, settings.tape_error_mm)
        parts = sections(*told, was_words(book, record))
        await page.show(record.title, parts)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """Only what is unfinished can be taken up, and only what can be read be played."""
        if action == "take_up":
            return not self._finished
        if action in ("put_right", "work", "leave_out"):
            return self._record is not None and not self.app.book.store.why_read_only
        return action not in ("replay", "yarn", "write", "export", "compare") or self._record is not None

    def action_replay(self) -> None:
        if self._record is not None:
            self.app.push_screen(screen_of("replay", self.app, self._record, self._entries))

    def action_yarn(self) -> None:
        if self._record is not None:
            self.visit(screen_of("card", self.app, self._record.yarn.id), self.dismiss)

    def action_compare(self) -> None:
        """Beside the first sock of its pair; one that is no twin beside all others like it."""
        if self._record is not None:
            first = (self._record.twin_of,) if self._record.twin_of is not None else ()
            self.app.push_screen(CompareScreen(*first, self._record.id))

    def action_write(self) -> None:
        """Write the report, and the crank sheet of its plan, as pages to print."""
        if (record := self._record) is not None:
            told = record, self._entries, self.app.settings, self._plans
            write_and_tell(self, lambda: "\n".join(map(str, write_pages(*told))))

    def action_export(self) -> None:
        if self._record is not None:
            write_and_tell(self, partial(self._write_file, self._record), "Exported")

    def _write_file(self, record: SessionRecord) -> str:
        book = self.app.book
        begun = book.begun(book.store.find(record.id))
        said = f"{write_session(book, record.id)}\nAnother logbook takes it in with `hosewright logbook import FILE`."
        told = dict.fromkeys(one.name for one in (record.wearer, begun.wearer) if one is not None)
        if record.kind == "string":
            said += "\nThe people its socks are for are left out."
        elif told:  # whoever was named first by mistake is in it, too
            said += f"\nIt tells the name and the feet of {listed(list(told))}."
        return said

    def action_put_right(self) -> None:
        """What it was begun with that it was not."""
        if self._record is None:
            return
        book, record = self.app.book, self._record
        title, lines = f"Put right: {record.title}", start_lines(book, record)
        self._ask_for(
            FormScreen(title, *lines, lambda typed: start_events(book, record, typed), remark=lambda _: _STAYS)
        )

    def action_work(self) -> None:
        """A count or a reading that was wrong."""
        book = self.app.book
        live = book.take_up(self.session_id)
        lines = work_lines(book, live, self.app.settings)
        if not lines.fields:
            self.notify("Nothing is counted or read off here yet.", markup=False)
            return
        title = f"Rows and readings: {live.record.title}"
        self._ask_for(FormScreen(title, *lines, lambda typed: work_events(typed, lines), remark=lambda _: _STRIKES))

    def action_leave_out(self) -> None:
        """Leave it out of gauges, pace and statistics, or take it in again."""
        if self._left_out:
            self.call_later(self._put_right, [TakenIn()])
            return
        title = "Leave it out of gauges, pace and statistics"
        self._ask_for(FormScreen(title, LEFT_OUT, {"cranked": True}, lambda typed: [left_out(typed)]))

    def _ask_for(self, form: FormScreen[Any]) -> None:
        self.visit(form, partial(self.call_later, self._put_right))

    async def _put_right(self, events: Sequence[Event]) -> None:
        """Store what was put right, and show what follows."""
        live = self.app.book.take_up(self.session_id)
        why, said = put_right(live, events)
        if why:
            self.notify(why, title="Not put right", severity="error", markup=False)
        else:
            self.was_put_right = True
            tell_done(self, "Put right", "\n".join(said or ["The first entry stays readable, below Corrections."]))
        await self.write_again()

    def action_take_up(self) -> None:
        self.dismiss(self.session_id)


class CompareScreen(ReportScreen[None]):
    """Both sessions in columns."""

    EXPLAIN = (
        "Sessions side by side, what differs on top, and of that what concerns the fit. Of gauge tubes it says whether "
        "they differ by more than measuring could. One alone is held against all others like it, a string sock by sock."
    )
    BINDINGS = [Binding("escape", "dismiss", "Back")]

    # Each sock above its own column of the table.
    CSS = """
    #compared { height: auto; }
    #compared Static { width: 4fr; height: 1; }
    #compared SockPicture, #compared .no-sock { width: 5fr; margin: 0 1 1 0; }
    """

    CANNOT = "These cannot be compared."
    HEADING = "Sessions side by side"

    def __init__(self, *ids: str) -> None:
        """Two sessions or more; one alone is held against all others like it."""
        super().__init__()
        self.ids = ids

    async def write(self, page: Page) -> None:
        sides, unit = [self._side(one) for one in self.ids], self.app.settings.length_unit
        if len(sides) == 1:
            each = [replace(sides[0], sock=sock) for sock in range(1, len(sides[0].record.socks) + 1)] or sides
            rests = [rest_of(self.app.book, one) if one.was_cranked else ([], "") for one in each]
            found = [against(one, *rest, unit) for one, rest in zip(each, rests, strict=True) if rest[0]]
            told = [Padding(as_table(one), (0, 0, 1, 0)) for one in found]
            await page.say(Group(*told) if told else "There is no other finished session of its kind to compare with.")
            return
        await page.say(as_table(compare(*sides, unit=unit)))
        socks = [_sock(one) for one in sides]
        if any(socks):
            places = [SockPicture(sock) if sock else Static("", classes="no-sock") for sock in socks]
            await page.mount(Horizontal(Static(""), *places, id="compared"), before=0)

    def _side(self, session_id: str) -> Side:
        book = self.app.book
        line = book.store.find(session_id)
        return side(book.record(line), book.store.entries(line.n), self.app.settings.tape_error_mm)


def _sock(one: Side) -> DrawnSock | None:
    return cranked_sock(one.record, one.story.state, one.story.state.sock)


def as_table(found: Comparison) -> Table:
    """The comparison as a table as wide as the screen."""
    table = Table.grid(padding=(0, 2), expand=True)
    for ratio in (4, *(5 for _ in found.titles)):
        table.add_column(ratio=ratio, overflow="fold")
    table.add_row("", *(Text(title, "bold underline") for title in found.titles))
    for heading, differs in (("WHAT DIFFERS", True), ("WHAT IS THE SAME", False)):
        rows = [line for line in found.lines if line.differs == differs]
        if not rows:
            continue
        table.add_row("")
        table.add_row(Text(heading, "bold"))
        for line in rows:
            style = "" if differs else "dim"
            table.add_row(*(Text(cell, style) for cell in (line.what, *line.cells)))
    whole = Table.grid(expand=True)
    if found.said:
        whole.add_row(Text("\n".join([*found.said, ""])))
    whole.add_row(table)
    if found.notes:
        whole.add_row(Text("\n".join(["", *found.notes]), "dim"))
    return whole
