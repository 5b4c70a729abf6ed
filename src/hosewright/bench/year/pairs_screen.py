"""Pairs promised: for whom, by when, how far each is, what this week holds; and what goes along with a pair."""

from __future__ import annotations

from textwrap import shorten
from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.widgets import DataTable

from hosewright.bench.shielded import write_and_tell
from hosewright.bench.widgets.ask import Ask, AskLine, Question
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import BACK, FIND, ORDER, Listed, ListScreen, More, WithMore, find_line
from hosewright.bench.widgets.report_screen import ReportScreen
from hosewright.bench.year.forms import PromiseForm
from hosewright.craft import CraftError
from hosewright.craft.workload import OwnPace
from hosewright.logbook.accounts.pace import recent_pace
from hosewright.logbook.accounts.pairs import (
    Pair,
    given_of_promise,
    loose_socks,
    loose_words,
    pairs,
    yarn_cost,
)
from hosewright.logbook.records.corrected import restated
from hosewright.logbook.records.planned import name_of
from hosewright.paper.care_card import card_html, card_lines, care_card
from hosewright.paper.report import PageSection
from hosewright.paper.writing import write_print
from hosewright.phrases.days import local_day, show_day
from hosewright.phrases.field import Field
from hosewright.phrases.figures import read_money, show_money
from hosewright.words.pairs import (
    all_words,
    for_whom,
    marked_lines,
    money_words,
    pair_columns,
    time_for,
    week_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from textual.app import ComposeResult

    from hosewright.bench.widgets.report_screen import Page
    from hosewright.logbook.accounts.pairs import Sock
    from hosewright.logbook.records.year import Promise
    from hosewright.paper.care_card import CareCard
    from hosewright.phrases.lists import Column


WHOSE = 16  # characters of a name in the question for money: question and answer share a line


class Promised(Listed["Pair"]):
    """The list. Enter changes what is marked."""

    BINDINGS = [Binding("enter", "select_cursor", "Change")]
    TITLE = "Pairs promised"
    NONE = "none yet, a adds one"
    pace = OwnPace()

    def shape(self, room: int) -> Sequence[Column[Pair]]:
        return pair_columns(self.pace, self.app.settings, local_day(self.app.book.clock), room)

    def key_of(self, record: Pair) -> str:
        return record.promise.id


class PairsScreen(ListScreen[None]):
    """What is promised, and how far it is."""

    EXPLAIN = (
        "The pairs you promised, the one due first on top. How far each one is comes from the sessions cranked for "
        "it, so there is nothing to tick off; a spoilt sock is listed but does not count. Hours are for cranking the "
        "working yarn at the pace of your last ten socks, without pauses, and ± says how much that pace varies. In "
        "the settings (e on the bench) you set how many hours you have in a week, for the day they end, how long a "
        "sock takes off the crank, and your currency. What its yarn cost is told where its lot has a price (yarn "
        "stock, y on the bench). Tab goes to the lines below the list."
    )
    BINDINGS = [
        Binding("c", "crank", "Crank it", tooltip="Go on with its sock, or begin the next one"),
        Binding("a", "add", "Add one"),
        Binding("h", "hand_over", "Handed over"),
        Binding("p", "pay", "Paid"),
        Binding("l", "care_card", "Care card", tooltip="The card that goes with the pair"),
        Binding("r", "call_off", "Call off"),
        Binding("o", "old", "Show all", tooltip="Those handed over or called off, too"),
        Binding("z", "join", "Join a sock", tooltip="One cranked on its plan, for nobody named; or part one from it"),
        ORDER,
        FIND,
        BACK,
    ]

    def __init__(self) -> None:
        super().__init__()
        self._pace = OwnPace()

    def compose(self) -> ComposeResult:
        yield Heading("Pairs", id="pairs-week")
        yield find_line("a name, a yarn")
        with WithMore():
            yield Promised(id="pairs-list")
            yield More()
        yield AskLine(id="pairs-ask")
        yield BoundBar()

    def on_mount(self) -> None:
        """Wait for the screen to be up."""

    def on_screen_resume(self) -> None:
        """Read the logbook, at first and after another screen: a sock may have been cranked meanwhile."""
        self.read_again()

    @property
    def _today(self) -> date:
        return local_day(self.app.book.clock)

    def read_again(self, mark: str = "") -> None:
        found, settings, today = pairs(self.app.book, old=self.with_old), self.app.settings, self._today
        self._pace = recent_pace(self.app.book)
        held, every = time_for(found, self._pace, settings, today)
        said = week_words(held, settings, today), all_words(every, held, settings, today)
        self.query_one(Heading).say("\n".join(filter(None, said)))
        listed = self.query_one(Promised)
        listed.pace = self._pace
        listed.fill(found, mark)
        self.say_more()

    def say_more(self) -> None:
        pair, said = self.marked, []
        if pair is not None:
            cost = yarn_cost(self.app.book, pair)
            said = marked_lines(pair, self._pace, self.app.settings, self._today, cost)
            said += [f"{loose_words(pair, one)} z joins it." for one in loose_socks(self.app.book, pair)]
        self.query_one(More).say(said)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_add(self) -> None:
        self._open(None)

    @on(DataTable.RowSelected)
    def _change(self) -> None:
        if self.marked is not None:
            self._open(self.marked.promise)

    def _open(self, item: Promise | None) -> None:
        self.visit(PromiseForm(item), self.kept)

    def action_crank(self) -> None:
        pair = self.marked
        if pair is None:
            return
        sock = pair.next_sock
        if sock is None:
            both = f"Both {name_of(pair.plan)}s" if pair.plan else "Both"
            self.app.notify(f"{both} of this pair are cranked.", markup=False)
        elif sock.session:
            self.app.open_session(sock.session)
        elif pair.plan is None:
            self.app.notify("It has no plan yet: Enter chooses one, or makes one with p.", markup=False)
        else:
            begun = pair.first.session if sock is pair.twin else ""
            chosen = {"plan": pair.plan.id, "promise": pair.promise.id, "which": begun}
            self.app.go_to("sock", chosen)

    def action_join(self) -> None:
        """Join a sock that is of no pair, or part one that is of this."""
        pair = self.marked
        if pair is None:
            return
        promise = pair.promise
        loose = [("join", one.session, f"join {one.title}") for one in loose_socks(self.app.book, pair)]
        own = [sock for sock in (*pair.socks, *pair.more) if sock.session and self._names(sock, promise)]
        parted = [("part", f"{sock.session}/{sock.number}", f"part {self._title(sock)}") for sock in own]
        if not (loose or parted):
            self.app.notify("No sock was cranked on its plan for nobody named, and none is of it yet.", markup=False)
            return
        offers = tuple((words, f"{way} {which}") for way, which, words in (*loose, *parted))
        field = Field("sock", "What to do", "join it to this pair, or part it", choices=offers, required=True)
        form = FormScreen(f"The socks of {promise.name}", [field], {}, lambda values: str(values["sock"]))

        def done(chosen: str) -> None:
            way, which = chosen.split(" ")
            session, _, number = which.partition("/")
            live = self.app.book.take_up(session)
            to = (promise.id, promise.name) if way == "join" else None
            why = live.do(restated("promise", to, int(number or 0), was="" if to else promise.name))
            if why:
                self.app.notify(why, severity="error", markup=False)
            self.read_again(promise.id)

        self.visit(form, done)

    def _names(self, sock: Sock, promise: Promise) -> bool:
        """Whether the session itself says that the sock is of this pair; the first of a twin need not."""
        record = self.app.book.record(self.app.book.store.find(sock.session))
        return (record.socks[sock.number - 1] if sock.number else record).promise == promise.id

    def _title(self, sock: Sock) -> str:
        line = self.app.book.store.find(sock.session)
        return f"sock {sock.number} of {line.title}" if sock.number else line.title

    def action_hand_over(self) -> None:
        pair = self.marked
        if pair is None:
            return
        if pair.promise.handed_over:
            ask = Ask(f"{pair.promise.name}: was it not handed over after all?", "not handed over", "leave it")
            day = None
        else:
            ready = all(sock.stage in ("washed", "tried on") for sock in pair.socks)
            still = "" if ready else f" First sock {pair.first.stage}, twin {pair.twin.stage}."
            if (pair.promise.paid or 0) < (pair.promise.price or 0):
                still += f" Price {money_words(pair.promise, self.app.settings.money)}."
            day = self._today.isoformat()
            asked = f"{pair.promise.name}: handed over today, {show_day(day, self._today)}?{still}"
            ask = Ask(asked, "handed over", "not yet")
        self.ask_and_keep(ask, pair.promise, handed_over=day)

    def action_call_off(self) -> None:
        pair = self.marked
        if pair is None:
            return
        name = pair.promise.name
        off = f"Call off {name}? Socks cranked for it stay in the logbook.", "call it off", "keep it"
        self.retire(pair.promise, off, (f"Promise {name} again?", "promised again", "leave it called off"))

    # --- money ---------------------------------------------------------------------------------------------

    def action_pay(self) -> None:
        pair = self.marked
        if pair is None:
            return
        price, money = pair.promise.price, self.app.settings.money
        of = f", of {show_money(price, money)}" if price is not None else ""
        whom = shorten(for_whom(pair), WHOSE, placeholder="…")
        hint = "empty: all of it" if price is not None else "such as 28 or 28.50"
        self.query_one(AskLine).open(Question("paid", f"{whom} paid so far{of}:", False, hint))

    def on_ask_line_answered(self, event: AskLine.Answered) -> None:
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
        self.keep(pair.promise.model_copy(update={"paid": paid}))

    # --- elsewhere -----------------------------------------------------------------------------------------

    def action_care_card(self) -> None:
        if self.marked is not None:
            self.app.push_screen(CareCardScreen(self.marked.promise))

    def action_back(self) -> None:
        asked = self.query_one(AskLine)
        if asked.display:
            asked.close()
        else:
            super().action_back()


class CareCardScreen(ReportScreen[None]):
    """What goes with the pair."""

    EXPLAIN = (
        "The care card that goes with a pair: fibre, sizes, care in the words of the symbols, and how its gauge "
        "tube was washed. No measurement, price or name is on it. Fibre, wash and care are kept with the yarn, on "
        "the shelf."
    )
    BINDINGS = [Binding("w", "write", "Write a page to print"), Binding("escape", "dismiss", "Back")]

    def __init__(self, promise: Promise) -> None:
        super().__init__()
        self._promise = promise
        self._card: CareCard | None = None

    async def write(self, page: Page) -> None:
        self._card = care_card(given_of_promise(self.app.book, self._promise))
        parts = [PageSection("", tuple(card_lines(self._card)))]
        if self._card.unknown:
            parts.append(PageSection("Not on the card", (self._card.not_noted,)))
        await page.show(self._card.title, parts)

    def action_write(self) -> None:
        card = self._card
        if card is not None:
            write_and_tell(self, lambda: str(write_print(f"care-card-{self._promise.id}.html", card_html(card))))
