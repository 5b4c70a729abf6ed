"""A string of socks on the bench: put together from promises and plans, cranked by keys, one of them spoilt."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from textual.widgets import OptionList, Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.start.sock_screen import StringScreen
from hosewright.counting.measuring import result_words, which_sock
from hosewright.logbook.glance import look
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.year import Lot, Promise
from hosewright.planning import strings
from hosewright.session.events import Confirmed
from hosewright.session.results import pieces_of
from hosewright.session.steps import Measure
from hosewright.settings.table import Settings
from tests.bench.stage import MACHINE, WEARER, YARN, Host, new_book, stock
from tests.bench.test_start import PLAN

if TYPE_CHECKING:
    from pathlib import Path

    import pytest
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook

SIZE = (80, 24)
SHORT = PLAN.model_copy(
    update={
        "id": "short-socks",
        "name": "Short socks",
        "wearer": None,
        "parts": tuple(
            part.model_copy(update={"count": 4, "stitches": 288}) if part.kind == "rows" else part
            for part in PLAN.parts
        ),
    }
)
OTHER_DIAL = PLAN.model_copy(update={"id": "loose-socks", "name": "Loose socks", "dial": 34})
PROMISE = Promise(
    id="ferry-pair", name="The ferryman's pair", yarn=YARN.id, wearer=WEARER.id, plan=PLAN.id, made="2025-10-01"
)


def planned_book(folder: Path) -> Logbook:
    book = new_book(folder)
    stock(book)
    book.keep(PLAN, SHORT, OTHER_DIAL, PROMISE)
    return book


def offered(app: Host) -> list[str]:
    listed = app.screen.query_one("#string-offers", OptionList)
    return [str(listed.get_option_at_index(at).prompt) for at in range(listed.option_count)]


async def mark(pilot: Pilot[None], app: Host, beginning: str) -> None:
    listed = app.screen.query_one("#string-offers", OptionList)
    listed.highlighted = next(at for at, words in enumerate(offered(app)) if words.startswith(beginning))
    await pilot.pause()


async def test_a_pair_promised_and_one_sock_more(tmp_path: Path) -> None:
    app = Host(planned_book(tmp_path))
    app.book.keep(Lot(id="lot-17", name="17 B", yarn=YARN.id, grams=400, bought="2025-09-01"))
    async with app.run_test(size=SIZE) as pilot:
        app.show(StringScreen())
        await pilot.pause()
        assert offered(app)[0] == "promised: The ferryman's pair; Ferry socks"
        await pilot.press("enter")
        await pilot.pause()
        assert not any(words.startswith("promised") for words in offered(app))  # a pair is promised once
        assert "Loose socks   (another dial position)" in offered(app)
        await mark(pilot, app, "Short socks")
        await pilot.press("s", "s", "delete")
        await pilot.pause()
        assert "3 socks: 262 rows and 240 passes" in str(app.screen.query_one("#form-remark", Static).content)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert record.kind == "string"
    assert [(sock.plan.id, sock.promise, sock.twin) for sock in record.socks] == [
        (PLAN.id, PROMISE.id, False),
        (PLAN.id, PROMISE.id, True),
        (SHORT.id, None, False),
    ]
    assert (record.dial, record.weights, record.lot, record.dye_lot) == (30, MACHINE.weights, "lot-17", "17 B")
    assert record.socks[0].wearer == WEARER
    again = SessionRecord.model_validate_json(record.model_dump_json())
    assert again == record
    assert app.book.start(record).state.status == "open"


async def test_the_lot_a_promise_names_is_the_lot_of_its_string(tmp_path: Path) -> None:
    app = Host(planned_book(tmp_path))
    lots = [Lot(id=f"lot-{at}", name=str(at), yarn=YARN.id, grams=200, bought="2025-09-01") for at in (1, 2)]
    app.book.keep(*lots, PROMISE.model_copy(update={"lot": "lot-1"}))
    async with app.run_test(size=SIZE) as pilot:
        app.show(StringScreen())
        await pilot.pause()
        await pilot.press("enter", "ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert (record.lot, record.dye_lot) == ("lot-1", "1")


async def test_nothing_on_the_string_is_said(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(StringScreen())
        await pilot.pause()
        assert "p on the bench plans one" in str(app.screen.query_one("#form-remark", Static).content)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []


def test_of_a_pair_promised_only_what_is_not_begun_is_offered() -> None:
    promised = [(PROMISE.model_copy(update={"by": "2025-11-28"}), 1)]
    (offer,) = strings.offers([PLAN], promised, [], date(2025, 11, 25))  # once, for whom it is
    assert offer.words == "promised: The ferryman's pair, by Fri 28 Nov, one sock to go; Ferry socks"
    assert strings.socks_of(offer) == [strings.Chosen(PLAN, offer.promise)]


def test_every_second_sock_of_a_plan_is_the_twin() -> None:
    one, other = strings.Chosen(PLAN), strings.Chosen(SHORT)
    made = strings.paired([one, one, one, other, one])
    assert [sock.twin for sock in made] == [False, True, False, False, False]


async def test_cranked_by_keys_with_one_spoilt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path))
    book = planned_book(tmp_path)
    offer = strings.Offer(SHORT, None)
    record = strings.string_record(book, strings.paired(strings.socks_of(offer)), 2, {})
    live = book.start(record)
    bench = Bench(book, Settings(press_gap_ms=0), practice=False, troubles=[])
    async with bench.run_test(size=SIZE) as pilot:
        bench.open_session(live.record.id)
        await pilot.pause()
        screen = bench.screen
        assert isinstance(screen, SessionScreen)
        state = screen.live.state
        await pilot.press(*["enter"] * 4, "space", "space", "enter", "enter", *["space"] * 4, *["enter"] * 3)
        assert state.step is not None
        assert state.step.id == "s1-heel"
        await pilot.press("space", "space", "u", *"latch", "enter")
        assert state.step.id == "s1-thread"
        assert [(sock.standing, sock.reason) for sock in pieces_of(state)][:2] == [
            ("spoilt", "latch"),
            ("on the machine", ""),
        ]
        await pilot.press("delete")  # a slip: all is as it was
        assert (state.step.id, state.count, state.spoils) == ("s1-heel", 2, [])
        await pilot.press("j", *"mice", "enter")
        assert state.step.id == "s2-thread"
        assert [sock.standing for sock in pieces_of(state)] == ["spoilt", "on the machine"]
    again = book.take_up(record.id)
    assert pieces_of(again.state) == pieces_of(state)
    said = []
    while again.state.step is not None:
        if isinstance(again.state.step, Measure):
            said.append(which_sock(again))
        assert again.do(Confirmed(early=True)) is None
    assert said == ["Sock 2 of 2: Short socks, twin."]  # the first was left out
    assert result_words(again) == "1 sock cranked in one string.\nSpoilt: sock 1, after 4 rows and 2 passes: mice."
    book.close()


def test_the_bench_proposes_what_is_promised_first(tmp_path: Path) -> None:
    book = planned_book(tmp_path)
    book.keep(PROMISE.model_copy(update={"id": "later", "plan": OTHER_DIAL.id, "by": "2025-12-24"}))
    book.keep(PROMISE.model_copy(update={"by": "2025-12-06"}))
    book.keep(
        PROMISE.model_copy(update={"id": "gone", "plan": SHORT.id, "by": "2025-10-01", "handed_over": "2025-10-01"})
    )
    said = [item.words for item in look(book.store).next if item.doing == "sock"]
    assert said == [
        "Plan Ferry socks: crank it (promised by 6 Dec 2025)",
        "Plan Loose socks: crank it (promised by 24 Dec 2025)",
        "Plan Short socks: crank it",
    ]
    book.close()


def test_the_bench_proposes_the_next_pair_on_a_plan_cranked_before(tmp_path: Path) -> None:
    book = planned_book(tmp_path)
    book.keep(PROMISE.model_copy(update={"id": "late", "name": "A late pair", "by": None}))
    book.keep(PROMISE.model_copy(update={"id": "next", "name": "The next pair", "by": "2025-12-06"}))
    live = book.start(strings.string_record(book, [strings.Chosen(PLAN, PROMISE)], 2, {}))
    while live.state.step is not None:
        live.do(Confirmed(early=True))
    proposed = [item for item in look(book.store).next if item.chosen[1:]]
    assert [item.words for item in proposed] == [
        "The next pair: crank it (promised by 6 Dec 2025)",
        "A late pair: crank it",
    ]
    assert proposed[0].chosen == (("plan", PLAN.id), ("promise", "next"))
    book.close()
