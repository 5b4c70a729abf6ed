"""Pairs promised: for whom, by when, how far each is, what this week holds; and what goes along with a pair."""

from __future__ import annotations

from textwrap import shorten
from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask, AskLine, Question
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.report_screen import Page
from hosewright.bench.year.forms import PromiseForm
from hosewright.craft.errors import CraftError
from hosewright.craft.workload import OwnPace
from hosewright.logbook.accounts.pairs import Pair, given_of_promise, pairs, recent_pace
from hosewright.logbook.file.store import LogbookError
from hosewright.paper.care_card import TITLE, card_html, card_lines, care_card
from hosewright.paper.report import Section
from hosewright.phrases.days import local_day, show_day
from hosewright.places import data_folder, write_private
from hosewright.words.pair_lines import heading_line, marked_lines, pair_line, widths
from hosewright.words.pairs import for_whom, money_words, read_money, show_money, this_week, week_words

if TYPE_CHECKING:
    from datetime import date

    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.logbook.records.year import Promise
    from hosewright.paper.care_card import CareCard


WHOSE = 16  # characters of a name in the question for money: question and answer share a line
NONE_YET = "none promised yet: a adds one"


class Promised(OptionList):
    """The list. Enter changes what is marked."""

    BINDINGS = [Binding("enter", "select", "Change")]


class PairsScreen(Shielded, Screen[None]):
    """What is promised, and how far it is."""

    CSS_PATH = "pairs_screen.tcss"
    AUTO_FOCUS = "Promised"
    EXPLAIN = (
        "Pairs promised, the one due first on top. How far each is comes from the sessions cranked for it, so nothing "
        "is ticked off by hand; a spoilt sock is listed and does not count. Hours are for cranking working yarn at "
        "your own pace over your last ten socks, pauses taken out, and how much it varies. The settings (e on the "
        "bench) take the hours you have in a week, minutes a sock off the crank, and a word for money. Tab goes to "
        "the lines below the list."
    )
    BINDINGS = [
        Binding("c", "crank", "Crank it", tooltip="Go on with its sock, or begin the next one"),
        Binding("a", "add", "Add one"),
        Binding("h", "hand_over", "Handed over"),
        Binding("p", "pay", "Paid"),
        Binding("l", "care_card", "Care card", tooltip="The card that goes with the pair"),
        Binding("r", "call_off", "Call off"),
        Binding("o", "old", "Old ones", tooltip="Those handed over or called off, too"),
        Binding("escape", "back", "Back"),
    ]
    app: Bench
    with_old = False

    def __init__(self) -> None:
        super().__init__()
        self._pairs: tuple[Pair, ...] = ()
        self._pace = OwnPace()
        self._mark = ""

    def compose(self) -> ComposeResult:
        """Title, the week, the list, what is marked, keys."""
        yield Static("Pairs promised", id="pairs-title")
        yield Static("", id="pairs-week", markup=False)
        yield Static("", id="pairs-heads", markup=False)
        yield Promised(id="pairs-list", markup=False)
        with VerticalScroll(id="pairs-marked"):
            yield Static("", id="pairs-says", markup=False)
        yield AskLine(id="pairs-ask")
        yield BoundBar()

    def on_screen_resume(self) -> None:
        """Read the logbook, at first and after another screen: a sock may have been cranked meanwhile."""
        self._read()

    def on_resize(self) -> None:
        """Fit the columns to the new width."""
        if self._pairs:
            self._lay_out()

    @property
    def _today(self) -> date:
        return local_day(self.app.book.clock)

    @property
    def marked(self) -> Pair | None:
        """What the cursor is on."""
        at = self.query_one(Promised).highlighted
        return self._pairs[at] if at is not None and at < len(self._pairs) else None

    def _read(self, mark: str = "") -> None:
        try:
            self._pairs = pairs(self.app.book, old=self.with_old)
            self._pace = recent_pace(self.app.book)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        self._mark = mark or self._mark
        self._lay_out()

    def _lay_out(self) -> None:
        settings, today, columns = self.app.settings, self._today, widths(self.app.size.width)
        held = this_week(self._pairs, self._pace, settings, today)
        self.query_one("#pairs-week", Static).update(week_words(held, settings, today))
        self.query_one("#pairs-heads", Static).update(heading_line(columns) if self._pairs else "")
        listed = self.query_one(Promised)
        if not self._pairs:
            listed.set_options([Option(NONE_YET, disabled=True)])
            self._say_marked()
            return
        lines = [pair_line(pair, self._pace, settings, today, columns) for pair in self._pairs]
        mark = self._mark
        listed.set_options(Option(Content(line)) for line in lines)
        ids = [pair.promise.id for pair in self._pairs]
        listed.highlighted = ids.index(mark) if mark in ids else 0
        self._say_marked()

    def on_option_list_option_highlighted(self) -> None:
        """Say more of the marked one."""
        pair = self.marked
        self._mark = pair.promise.id if pair else ""
        self._say_marked()

    def _say_marked(self) -> None:
        pair = self.marked
        lines = marked_lines(pair, self._pace, self.app.settings, self._today) if pair else []
        self.query_one("#pairs-says", Static).update("\n".join(lines))

    # --- keys ----------------------------------------------------------------------------------------------

    def action_add(self) -> None:
        """Promise another pair."""
        self._open(None)

    def on_option_list_option_selected(self) -> None:
        """Change the marked one."""
        if self.marked is not None:
            self._open(self.marked.promise)

    def _open(self, item: Promise | None) -> None:
        def done(made: Promise | None) -> None:
            if made is not None:
                self._read(made.id)

        self.app.push_screen(PromiseForm(item), done)

    def action_crank(self) -> None:
        """Go on with the sock on the machine, or begin the next one."""
        pair = self.marked
        if pair is None:
            return
        sock = pair.next_sock
        if sock is None:
            self.app.notify("Both socks of this pair are cranked.", markup=False)
        elif sock.session:
            self.app.open_session(sock.session)
        elif pair.plan is None:
            self.app.notify("It has no plan yet: Enter chooses one, or makes one with p.", markup=False)
        else:
            begun = pair.first.session if sock is pair.twin else ""
            chosen = {"plan": pair.plan.id, "promise": pair.promise.id, "which": begun}
            self.app.go_to("sock", chosen)

    def action_hand_over(self) -> None:
        """It went to its wearer today, or did not after all; asked first."""
        pair = self.marked
        if pair is None:
            return
        if pair.promise.handed_over:
            ask = Ask(f"{pair.promise.name}: take it back, as not handed over?", "not handed over", "leave it")
            day = None
        else:
            ready = all(sock.stage in ("washed", "tried on") for sock in pair.socks)
            still = "" if ready else f" First sock {pair.first.stage}, twin {pair.twin.stage}."
            if (pair.promise.paid or 0) < (pair.promise.price or 0):
                still += f" Price {money_words(pair.promise, self.app.settings.money)}."
            day = self._today.isoformat()
            asked = f"{pair.promise.name}: handed over today, {show_day(day, self._today)}?{still}"
            ask = Ask(asked, "handed over", "not yet")
        self._ask_and_keep(ask, pair.promise, {"handed_over": day})

    def action_call_off(self) -> None:
        """It is promised no more, or again; asked first."""
        pair = self.marked
        if pair is None:
            return
        name, retired = pair.promise.name, pair.promise.retired
        if retired:
            ask = Ask(f"Promise {name} again?", "promised again", "leave it called off")
        else:
            ask = Ask(f"Call off {name}? Socks cranked for it stay in the logbook.", "call it off", "keep it")
        self._ask_and_keep(ask, pair.promise, {"retired": not retired})

    def _ask_and_keep(self, ask: Ask, promise: Promise, change: dict[str, Any]) -> None:
        def answered(sure: bool | None) -> None:
            if sure:
                self._keep(promise, change)

        self.app.push_screen(ask, answered)

    def _keep(self, promise: Promise, change: dict[str, Any]) -> None:
        try:
            self.app.book.keep(promise.model_copy(update=change))
        except LogbookError as error:
            self.app.notify(str(error), title="Not changed", severity="error", markup=False)
        self._read()

    def action_old(self) -> None:
        """Show what is handed over or called off too, or no longer."""
        self.with_old = not self.with_old
        self._read()

    # --- money ---------------------------------------------------------------------------------------------

    def action_pay(self) -> None:
        """Ask how much was paid so far."""
        pair = self.marked
        if pair is None:
            return
        price, money = pair.promise.price, self.app.settings.money
        of = f", of {show_money(price, money)}" if price is not None else ""
        whom = shorten(for_whom(pair), WHOSE, placeholder="…")
        hint = "empty: all of it" if price is not None else "such as 28 or 28.50"
        self.query_one(AskLine).open(Question("paid", f"{whom} paid so far{of}:", False, hint))

    def on_ask_line_answered(self, event: AskLine.Answered) -> None:
        """Keep what was paid; what cannot be read is asked for again."""
        event.stop()
        pair, asked = self.marked, self.query_one(AskLine)
        if pair is None:
            asked.close()
            return
        try:
            everything = not event.text.strip() and pair.promise.price is not None
            paid = pair.promise.price if everything else read_money(event.text, self.app.settings.money)
        except CraftError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        asked.close()
        self._keep(pair.promise, {"paid": paid})

    # --- elsewhere -----------------------------------------------------------------------------------------

    def action_care_card(self) -> None:
        """Show the care card of the marked pair."""

        if self.marked is not None:
            self.app.push_screen(SlipScreen(self.marked.promise))

    def action_back(self) -> None:
        """Leave, or leave the question."""
        asked = self.query_one(AskLine)
        if asked.display:
            asked.close()
        else:
            self.dismiss(None)


class SlipScreen(Shielded, Screen[None]):
    """What goes with the pair."""

    AUTO_FOCUS = "Page"
    EXPLAIN = (
        "The care card that goes with a pair: fibre, size by the scales, care in the words of the symbols, and the "
        "wash its gauge tube was given. No measurement, no price and no name are on it. Fibre, wash and care are "
        "kept with the yarn, on the shelf."
    )
    BINDINGS = [Binding("w", "write", "Write a page to print"), Binding("escape", "back", "Back")]

    def __init__(self, promise: Promise) -> None:
        """Show the care card of this promised pair."""
        super().__init__()
        self._promise = promise
        self._card: CareCard | None = None

    def compose(self) -> ComposeResult:
        """The card and the keys."""
        yield Page()
        yield BoundBar()

    async def on_mount(self) -> None:
        """Write it."""
        page = self.query_one(Page)
        try:
            self._card = care_card(given_of_promise(host(self).book, self._promise))
        except (LogbookError, CraftError) as error:
            await page.say(str(error))
            return
        await page.show(TITLE, [Section("", tuple(card_lines(self._card)))])

    def action_write(self) -> None:
        """Write it as a page to print, beside the logbook."""
        if self._card is None:
            return
        path = data_folder() / "prints" / f"care-card-{self._promise.id}.html"
        try:
            write_private(path, card_html(self._card))
        except OSError as error:
            self.app.notify(f"Not written: {error}", severity="error", markup=False)
            return
        self.app.notify(str(path), title="Written", markup=False, timeout=10)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
