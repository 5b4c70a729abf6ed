"""What was begun wrongly is put right by an event; the frozen start stays, and all that follows from it follows."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.accounts.pairs import loose_socks, pair_of
from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.evidence import measured_tube
from hosewright.logbook.find.sessions import find
from hosewright.logbook.find.wanted import read_wanted
from hosewright.logbook.find.yarns import yarn_card
from hosewright.logbook.records.corrected import restated
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.logbook.travel.session_files import parse, write
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.rescue import rescue
from hosewright.session.events import (
    Abandoned,
    LeftOut,
    Observed,
    Recounted,
    Redone,
    Reread,
    Restated,
    Struck,
    TakenIn,
    Undone,
)
from hosewright.words.stock import lot_says
from hosewright.words.story import tell
from tests import helpers
from tests.helpers import FakeClock, crank_to, drive, measure_tube

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.live import Live
    from hosewright.session.steps import SessionKind

TWINE = Yarn(id="twine-ab23", name="Twine", m_per_100g=400, colour="fawn")
ATTIC = Machine(id="attic-cd45", name="Attic", clicks_per_turn=6)
ANA = Wearer(id="ana-ef67", name="Ana")
DAY_MS = 86_400_000


def begun(book: Logbook, kind: SessionKind = "tube", session_id: str = "20231114-tube") -> Live:
    return book.start(helpers.record(kind, session_id))


def washed(book: Logbook, session_id: str = "20231114-tube") -> Live:
    """A tube measured to the end."""
    live = begun(book, session_id=session_id)
    crank_to(live, "after-wash")
    measure_tube(live)
    crank_to(live, "none")
    assert live.state.status == "finished"
    return live


def ids(book: Logbook, text: str) -> list[str]:
    return [one.id for one in find(book.store, read_wanted(text))]


def tubes(book: Logbook, yarn: Yarn) -> int:
    """How many tubes the card of a yarn shows, and its gauge rests on."""
    card = yarn_card(book, yarn)
    shown = sum(len(at.tubes) for on in card.cylinders for at in on.in_order())
    assert shown == sum(len(course.tubes) for course in card.courses)
    return shown


def test_another_yarn_and_all_that_follows(book: Logbook) -> None:
    live = washed(book)
    before = book.store.begun_text(live.n)
    grey = live.record.yarn
    book.keep(grey, TWINE)
    drive(live, restated("yarn", TWINE))
    (line,) = book.lines()
    assert book.record(line) == live.record
    assert (live.record.yarn, live.begun.yarn) == (TWINE, grey)
    assert book.store.begun_text(live.n) == before == live.begun.model_dump_json()
    assert [gauge.yarn for gauge in book.gauges()] == [TWINE.id]
    assert (tubes(book, grey), tubes(book, TWINE)) == (0, 1)
    assert (ids(book, "yarn:twine"), ids(book, "yarn:grey"), ids(book, "fawn")) == ([live.record.id], [], [line.id])
    drive(live, Undone())
    assert (live.record, [gauge.yarn for gauge in book.gauges()]) == (live.begun, [grey.id])
    assert (ids(book, "yarn:twine"), ids(book, "yarn:grey")) == ([], [line.id])
    drive(live, Redone())
    assert book.record(line).yarn == TWINE
    assert find_damage(book) == (1, [])


def test_another_cylinder_changes_the_stitches_and_no_row(book: Logbook) -> None:
    live = washed(book)
    (was,) = book.gauges()
    drive(live, restated("cylinder", Cylinder(id="cylinder-54", name="54 slots", slots=54)))
    (now,) = book.gauges()
    assert (was.slots, now.slots, now.cylinder) == (60, 54, "cylinder-54")
    assert now.stitches_per_mm == pytest.approx(was.stitches_per_mm * 54 / 60)
    assert (now.rows_per_mm, now.rows) == (was.rows_per_mm, was.rows)
    assert live.state.head.slots == live.record.head.slots == 60  # the steps stay
    assert live.record.cylinder.slots == 54


def test_needles_seen_before_stand_and_later_ones_go_by_the_new_cylinder(book: Logbook) -> None:
    live = begun(book)
    drive(live, Observed("dropped", 58), restated("cylinder", Cylinder(id="c-54", name="54 slots", slots=54)))
    assert live.do(Observed("dropped", 55)) == "Needles here are numbered 1 to 54."
    again = book.take_up(live.record.id)
    assert ([seen.needle for seen in again.state.observations], again.state.ignored) == ([58], 0)


def test_a_heel_of_more_needles_than_the_right_cylinder_has_can_still_be_read(book: Logbook) -> None:
    live = begun(book, "sock", "20231114-sock")
    drive(live, restated("cylinder", Cylinder(id="c-24", name="24 slots", slots=24)))
    (line,) = book.lines()
    assert book.record(line) == live.record
    assert book.state(line) == live.state
    assert find_damage(book) == (1, [])


def test_another_machine_day_title_and_wearer(book: Logbook) -> None:
    live = washed(book)
    (was,) = book.gauges()
    drive(live, restated("machine", ATTIC), restated("wearer", ANA), restated("day", "2023-11-04"))
    (line,) = book.lines()
    assert (line.started_ms, live.record.started_ms) == (live.begun.started_ms - 10 * DAY_MS,) * 2
    (now,) = book.gauges()
    assert (now.machine, now.at_ms) == (ATTIC.id, was.at_ms - 10 * DAY_MS)
    assert ids(book, "machine:attic wearer:ana until:2023-11-04") == [line.id]
    assert live.record.head.clicks_per_turn == live.begun.machine.clicks_per_turn
    drive(live, restated("title", "The tight one"))
    assert book.lines()[0].title == "The tight one" == live.record.title
    drive(live, restated("wearer", None))
    assert ids(book, "wearer:ana") == []


def test_a_title_follows_what_it_names(book: Logbook) -> None:
    start = helpers.record("tube", "20231114-tube").model_copy(update={"title": "Tube: Grey on 60 slots, Greyhound"})
    live = book.start(start)
    drive(live, restated("yarn", TWINE), restated("cylinder", Cylinder(id="c-64", name="The 64", slots=64)))
    assert live.record.title == "Tube: Twine on The 64, Greyhound"


def test_the_lot_goes_with_the_yarn_unless_it_is_named(book: Logbook) -> None:
    start = helpers.record("tube", "20231114-tube").model_copy(update={"lot": "lot-7-ab23", "dye_lot": "7"})
    live = book.start(start)
    drive(live, restated("yarn", TWINE))
    assert (live.record.lot, live.record.dye_lot) == (None, "")
    drive(live, restated("lot", ("lot-41-cd45", "41")))
    assert (live.record.lot, live.record.dye_lot) == ("lot-41-cd45", "41")


def test_the_ledger_follows_the_lot(book: Logbook) -> None:
    lots = [Lot(id=f"lot-{n}", name=n, yarn=TWINE.id, grams=100, bought="2023-11-01") for n in ("7", "41")]
    book.keep(TWINE, *lots)
    live = washed(book)
    drive(live, restated("yarn", TWINE), restated("lot", ("lot-7", "7")))

    def left() -> list[int]:
        stock = stock_of(book, TWINE.id)
        assert stock is not None
        return [lot.account.left for lot in stock.lots]

    assert left() == [94_800, 100_000]
    drive(live, restated("lot", ("lot-41", "41")))
    assert left() == [100_000, 94_800]


def test_a_sock_joins_a_promise_and_is_parted_from_it(book: Logbook) -> None:
    promise = Promise(id="ana-pair", name="Ana, winter", yarn="yarn-grey", made="2023-11-01")
    book.keep(helpers.yarn(), promise)
    live = begun(book, "sock", "20231114-sock")
    assert pair_of(book, promise).first.session == ""
    drive(live, restated("promise", (promise.id, promise.name)))
    assert pair_of(book, promise).first.session == live.record.id
    drive(live, restated("promise", None))
    assert pair_of(book, promise).first.session == ""


def planned(book: Logbook) -> tuple[Plan, Promise]:
    """A plan of the grey, and a pair promised on it."""
    plan = helpers.plan_of(60).model_copy(update={"yarn": "yarn-grey", "grams_per_pair": 60.0})
    promise = Promise(id="ana-pair", name="Ana, winter", yarn="yarn-grey", plan=plan.id, made="2023-11-01")
    lot = Lot(id="lot-7", name="7", yarn="yarn-grey", grams=40, bought="2023-11-01")
    book.keep(helpers.yarn(), plan, promise, lot)
    return plan, promise


def cranked(book: Logbook, plan: Plan, session_id: str) -> Live:
    """A sock cranked on a bare plan."""
    start = helpers.record("sock", session_id).model_copy(update={"plan": plan, "lot": "lot-7", "dye_lot": "7"})
    live = book.start(start)
    crank_to(live, "take-off")
    return live


def test_a_sock_on_a_bare_plan_is_offered_and_its_grams_count_once(book: Logbook) -> None:
    plan, promise = planned(book)

    def grams() -> tuple[int, int]:
        stock = stock_of(book, "yarn-grey")
        assert stock is not None
        return stock.account.used, stock.account.promised

    assert grams() == (0, 60_000)
    live = cranked(book, plan, "20231114-bare")
    assert grams() == (30_000, 30_000)  # used, and not promised as well
    pair = pair_of(book, promise)
    assert [one.session for one in loose_socks(book, pair)] == [live.record.id]
    drive(live, restated("promise", (promise.id, promise.name)))
    assert grams() == (30_000, 30_000)
    assert loose_socks(book, pair_of(book, promise)) == ()


def test_a_lot_below_zero_says_why_and_what_to_do(book: Logbook) -> None:
    plan, _ = planned(book)
    live = cranked(book, plan, "20231114-first")
    cranked(book, plan, "20231115-second")
    stock = stock_of(book, "yarn-grey")
    assert stock is not None
    (lot,) = stock.lots
    (said,) = [words for words in lot_says(lot, "g") if words.startswith("By the books")]
    assert said == (
        "By the books 20 g more came off it than it held. Weigh what is left of it, or note the ball that is missing."
    )
    drive(live, Observed("knot"))
    stock = stock_of(book, "yarn-grey")
    assert stock is not None
    assert "A ball was joined on in A sock: if it was of another lot, say so there" in " ".join(
        lot_says(stock.lots[0], "g")
    )


def test_each_sock_of_a_string_has_its_own_wearer_and_promise(book: Logbook) -> None:
    live = begun(book, "string", "20231114-string")
    assert live.do(restated("wearer", ANA)) == "Say which sock of the string is meant."
    assert live.do(restated("wearer", ANA, 3)) == "Say which sock of the string is meant."
    assert live.do(restated("yarn", TWINE, 1)) == "Only a string has several socks."
    drive(live, restated("wearer", ANA, 2), restated("promise", ("ana-pair", "Ana, winter"), 2))
    assert [sock.wearer for sock in live.record.socks] == [None, ANA]
    assert live.record.each_sock[2].promise == "ana-pair"
    assert ids(book, "wearer:ana") == [live.record.id]


@pytest.mark.parametrize(
    "event",
    [
        Restated("yarn", None),
        Restated("yarn", "twine"),
        Restated("yarn", {"id": "twine-ab23"}),
        Restated("yarn", {"id": "twine-ab23", "name": "Twine", "striped": "wool"}),
        Restated("machine", {"id": "attic", "name": "Attic", "clicks_per_turn": 0}),
        Restated("cylinder", {"id": "c", "name": "C", "slots": "60"}),
        Restated("cylinder", {"id": "c-1", "name": "C", "slots": True}),
        Restated("day", "14 November"),
        Restated("day", None),
        Restated("title", " "),
        Restated("promise", {"id": "", "name": ""}),
    ],
)
def test_what_is_no_such_thing_is_refused_and_nothing_stored(event: Restated, book: Logbook) -> None:
    live = begun(book)
    assert live.do(event) == f"That is not a {event.what}."
    assert len(list(book.store.entries(live.n))) == 1


def test_left_out_it_has_no_gauge_and_taken_in_it_has(book: Logbook) -> None:
    live = washed(book)
    yarn = live.record.yarn
    book.keep(yarn)
    assert live.do(LeftOut(" ")) == "Say in a few words why it is left out, such as: felted."
    assert live.do(TakenIn()) == "This session is not left out of anything."
    (was,) = book.gauges()
    drive(live, LeftOut("felted"))
    assert book.gauges() == []
    assert (tubes(book, yarn), measured_tube(book, live.record.id)) == (0, None)
    assert [one.left_out for one in find(book.store, read_wanted("felted"))] == ["felted"]
    drive(live, TakenIn())
    assert book.gauges() == [was]
    assert tubes(book, yarn) == 1


def test_a_tube_given_up_has_no_gauge(book: Logbook) -> None:
    live = begun(book)
    crank_to(live, "after-wash")
    measure_tube(live)
    assert len(book.gauges()) == 1
    drive(live, Abandoned("torn"))
    assert book.gauges() == []
    assert tubes(book, live.record.yarn) == 0
    drive(live, Undone())
    assert len(book.gauges()) == 1


def test_keys_that_were_only_tried_took_no_yarn(book: Logbook) -> None:
    book.keep(TWINE, Lot(id="lot-7", name="7", yarn=TWINE.id, grams=100, bought="2023-11-01"))
    live = washed(book)
    drive(live, restated("yarn", TWINE), restated("lot", ("lot-7", "7")))

    def left() -> int:
        stock = stock_of(book, TWINE.id)
        assert stock is not None
        return stock.account.left

    drive(live, LeftOut("felted"))
    assert left() == 94_800
    drive(live, LeftOut("only tried the keys", cranked=False))
    assert left() == 100_000


def test_any_reading_of_a_finished_tube_is_put_right_or_struck(book: Logbook) -> None:
    live = washed(book)
    first = next(one for one in live.state.readings if one.field == "length")
    (was,) = book.gauges()
    drive(live, Reread(first.seq, 142.0, "142 mm"))
    (now,) = book.gauges()
    assert now.rows_per_mm == pytest.approx(was.rows_per_mm / 2)
    assert now.at_ms == was.at_ms  # it is no younger for it
    told = book.store.ask("SELECT value, typed FROM measurements WHERE seq = ?", first.seq)
    assert told == [(142.0, "142 mm")]
    drive(live, Struck(first.seq))
    assert book.gauges() == []
    assert live.do(Reread(first.seq, 71.0)) == "That reading is struck out."
    drive(live, Undone(), Undone())
    assert book.gauges() == [was]
    assert live.do(Reread(1, 71.0)) == "There is no such reading to put right."
    assert live.do(Reread(first.seq, 0.0)) == "Length of the working rows must be more than zero."


def test_a_count_found_wrong_the_next_day(book: Logbook) -> None:
    live = washed(book)
    (was,) = book.gauges()
    drive(live, Recounted(27, "three were the separator's", step="tube"))
    (now,) = book.gauges()
    assert now.rows == 27
    assert now.rows_per_mm == pytest.approx(was.rows_per_mm * 27 / 30)
    assert live.state.status == "finished"
    assert live.do(Recounted(3, step="after-wash")) == "Only the count of a part that is done can be put right there."
    assert live.do(Recounted(-1, step="tube")) == "A count is a whole number from 0 to 100,000."
    corrected = tell(live.record.head, book.store.entries(live.n)).corrections[-1]
    assert corrected.startswith("Gauge tube was really 27, put right on ")


def test_home_does_not_take_an_old_session_for_a_new_one(book: Logbook, clock: FakeClock) -> None:
    live = washed(book)
    (before,) = book.lines()
    clock.wait(400 * DAY_MS)
    drive(live, restated("yarn", TWINE), Recounted(27, step="tube"), LeftOut("felted"))
    (after,) = book.lines()
    assert (after.changed_ms, after.status) == (before.changed_ms, "finished")


def test_a_file_carries_it_and_a_logbook_takes_it_in(book: Logbook, tmp_path: Path) -> None:
    live = washed(book)
    drive(live, restated("yarn", TWINE), Recounted(27, step="tube"), restated("wearer", ANA), LeftOut("felted"))
    filed = parse(write(live.begun, book.store.entries(live.n)))
    assert filed.session == live.begun
    with closing(Logbook(tmp_path / "other.sqlite")) as other:
        assert other.take_in(filed.session, filed.entries())
        assert not other.take_in(filed.session, filed.entries())
        (line,) = other.lines()
        assert other.record(line) == live.record
        assert other.begun(line) == live.begun
        assert {yarn.name for yarn in other.shelf(Yarn)} == {"Grey", "Twine"}
        assert ids(other, "wearer:ana felted") == [line.id]
        assert other.gauges() == []
        assert find_damage(other) == (1, [])


def test_a_file_with_what_is_no_yarn_is_refused(book: Logbook) -> None:
    live = begun(book)
    drive(live, restated("yarn", TWINE))
    text = write(live.begun, book.store.entries(live.n)).replace('"m_per_100g": 400.0', '"m_per_100g": -4')
    with pytest.raises(LogbookError, match="is not a session file"):
        parse(text)


def test_the_start_itself_cannot_be_changed(book: Logbook) -> None:
    live = begun(book)
    drive(live, restated("yarn", TWINE))
    db = book.store.db
    for change in ("record = '{}', begun = NULL", "begun = '{}'", "begun = NULL", "id = 'x'"):
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            db.execute(f"UPDATE sessions SET {change}")
    assert json.loads(book.store.begun_text(live.n))["yarn"]["name"] == "Grey"


def test_what_was_put_right_is_rescued(book: Logbook, tmp_path: Path) -> None:
    live = washed(book)
    drive(live, restated("yarn", TWINE), LeftOut("felted"))
    book.close()
    found = rescue(book.path, tmp_path / "rescued.sqlite")
    assert (found.sessions, found.lost) == ([live.record.id], [])
    with closing(Logbook(tmp_path / "rescued.sqlite")) as other:
        (line,) = other.lines()
        assert (other.record(line), other.begun(line)) == (live.record, live.begun)
