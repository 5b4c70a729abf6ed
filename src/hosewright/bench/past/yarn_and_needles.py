"""What many sessions say together: the card of a yarn, and the needles that keep faulting."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.widgets import Static

from hosewright.bench.doors import screen_of
from hosewright.bench.widgets.report_screen import Page, ReportScreen
from hosewright.logbook.accounts.care import beds, faults_by_needle
from hosewright.logbook.accounts.pace import MonthPace, months_bit_by_bit
from hosewright.logbook.find.yarns import YarnCard, yarn_card, yarns_cranked
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan
from hosewright.paper.yarn_page import needle_sections, pace_sections, yarn_sections
from hosewright.phrases.lists import many

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.logbook.records.shelf import Yarn
    from hosewright.session.steps import SessionKind


A_PAGE = 40  # sessions read and shown one by one at first, and more each time older ones are asked for
A_PAGE_OF_MONTHS = 24
_A_PIECE_S, _A_FRAME_S = 0.03, 0.02  # of reading, while a key may wait; Textual paints 60 frames a second
_TURN = Binding.Group("Other yarns")


class YarnCardScreen(ReportScreen["str | None"]):
    """Dismisses with the id of a session that was started from a card, else None."""

    TOPIC = "gauge"
    EXPLAIN = (
        "What a yarn did on each machine and cylinder: the gauge that holds now, whether and when it changed by "
        "all its tubes, and at each dial position stitch size, gauge, what the wash did, yarn in a sock, verdicts. "
        "Left and Right turn to other yarns. From a card you can start tonight's session."
    )
    BINDINGS = [
        Binding("left", "turn(-1)", "Other yarns", group=_TURN, key_display="←", priority=True),
        Binding("right", "turn(1)", "Other yarns", group=_TURN, key_display="→", priority=True),
        Binding("f", "start('search')", "Stitch-size search"),
        Binding("t", "start('tube')", "Gauge tube"),
        Binding("c", "start('sock')", "Crank a sock"),
        Binding("o", "older", "Show more"),
        Binding("escape", "dismiss", "Back"),
    ]
    BUSY = "Reading what this yarn did ..."

    def __init__(self, yarn: str = "") -> None:
        """``yarn`` is the id of the one to begin with."""
        super().__init__()
        self._wanted = yarn
        self._yarns: list[Yarn] = []
        self._at = 0
        self._newest = A_PAGE
        self.card: YarnCard | None = None

    async def write(self, page: Page) -> None:
        if not self._yarns:
            self._yarns = yarns_cranked(self.app.book)
            self._at = next((n for n, yarn in enumerate(self._yarns) if yarn.id == self._wanted), 0)
        if not self._yarns:
            await page.say("No yarn yet. A card appears once you have cranked with one.")
            return
        yarn, settings, every = self._yarns[self._at], self.app.settings, len(self._yarns)
        self.card = yarn_card(self.app.book, yarn, settings.tape_error_mm, self._newest)
        name = yarn.name + (f" ({self._at + 1} of {every})" if every > 1 else "")
        await page.show(name, yarn_sections(self.card, settings.length_unit))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:
        """Turning needs two yarns, a sock needs a plan of this one, older ones need to be there."""
        if action == "turn":
            return len(self._yarns) > 1
        if action == "start":
            if self.card is None or self.card.yarn.retired:
                return False
            return parameters != ("sock",) or self._newest_plan() is not None
        if action == "older":
            return self.card is not None and bool(self.card.older)
        return True

    def _newest_plan(self) -> Plan | None:
        if self.card is None:
            return None
        plans = [plan for plan in self.app.book.shelf(Plan) if plan.yarn == self.card.yarn.id]
        return plans[-1] if plans else None

    async def action_turn(self, by: int) -> None:
        self._at, self._newest = (self._at + by) % len(self._yarns), A_PAGE
        await self.write_again()

    async def action_older(self) -> None:
        """As many again, the page staying where it is."""
        page = self.query_one(Page)
        place, self._newest = page.scroll_y, self._newest + A_PAGE
        await self.write_again()
        self.call_after_refresh(page.scroll_to, y=place, animate=False)

    def action_start(self, kind: SessionKind) -> None:
        if self.card is None:
            return
        plan = self._newest_plan()
        of_plan = {"plan": plan.id} if plan else {}
        chosen = of_plan if kind == "sock" else self._things(self.card)
        start = screen_of(kind, self.app, **chosen)
        self.visit(start, lambda record: self.dismiss(self.app.book.start(record).record.id))

    def _things(self, card: YarnCard) -> dict[str, str]:
        """The yarn, and the cylinder and machine of its newest tube while they are in use."""
        chosen = {"yarn": card.yarn.id}
        if card.cylinders:
            book, last = self.app.book, card.cylinders[-1]
            in_use = {one.id for one in book.shelf(Cylinder)} | {one.id for one in book.shelf(Machine)}
            named = {"cylinder": last.cylinder.id, "machine": last.machine.id}
            if card.courses:
                named = {"cylinder": card.courses[0].place.cylinder, "machine": card.courses[0].place.machine}
            chosen |= {what: item for what, item in named.items() if item in in_use}
        return chosen


class PaceScreen(ReportScreen[None]):
    """How fast the crank goes, month by month."""

    EXPLAIN = (
        "Rows a minute of each month, from the times between your presses, and how far the month's sessions lie apart; "
        "passes of heel and toe have a pace of their own. Pauses are not in it. For a spreadsheet: hosewright logbook "
        "csv --pace."
    )
    BINDINGS = [Binding("o", "older", "Show more"), Binding("escape", "dismiss", "Back")]
    BUSY = "Reading how fast you cranked ..."

    def __init__(self) -> None:
        super().__init__()
        self._to_read: Iterator[MonthPace | None] | None = None  # None: nothing was read yet
        self._sessions = 0
        self._found: list[MonthPace] = []  # the newest first
        self._most = A_PAGE_OF_MONTHS
        self._through = False

    async def write(self, page: Page) -> None:
        """Show what is read, once that is as many months as are asked for; until then read on for a moment."""
        if self._to_read is None:
            self._to_read = months_bit_by_bit(self.app.book)
        until = monotonic() + _A_PIECE_S
        while not self._through and len(self._found) < self._most:
            month = next(self._to_read, self._to_read)
            self._through = month is self._to_read
            self._sessions += month is None
            if isinstance(month, MonthPace):
                self._found.append(month)
            elif monotonic() > until:
                page.query_one(Static).update(f"{self.BUSY} {many(self._sessions, 'session')} so far")
                self.set_timer(_A_FRAME_S, self.write_again)
                return
        await page.show("How fast you crank", pace_sections(self._found[::-1]))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        return action != "older" or not (self._through or len(self._found) < self._most)

    async def action_older(self) -> None:
        """So many months more, from before those shown."""
        self._most += A_PAGE_OF_MONTHS
        await self.query_one(Page).say(self.BUSY)
        self.call_after_refresh(self.write_again)


class NeedlesScreen(ReportScreen[None]):
    """Faults by needle."""

    EXPLAIN = (
        "Faults whose needle you noted, counted by needle on each cylinder. A needle is named only where chance "
        "would hardly give so many. Where there "
        "are too few faults to judge, none is named. To note a needle, type its number right after the fault at "
        "the crank."
    )
    BINDINGS = [Binding("escape", "dismiss", "Back")]

    async def write(self, page: Page) -> None:
        book = self.app.book
        found = [(bed, faults_by_needle(book.store, bed)) for bed in beds(book.store)]
        await page.show("Needles that keep faulting", needle_sections(found, book.clock.now().zone_min))
