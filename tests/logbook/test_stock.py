"""Accounts of dye lots from sessions, weighings and promises, and what is said before the first row."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from hosewright.craft.turning import Turning
from hosewright.logbook.accounts.enough import before_first_row, stocks
from hosewright.logbook.accounts.pairs import pair_of
from hosewright.logbook.accounts.stock import Claim, LotStock, YarnStock, stock_of
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Plan, PlannedPart
from hosewright.logbook.records.year import Lot, Promise, Weighing
from hosewright.session.events import Abandoned, Confirmed, ReadOff, Spoilt, Struck
from hosewright.session.procedures import tube_steps
from hosewright.session.results import pieces_of
from hosewright.session.steps import CountPasses, CountRows
from tests.helpers import FakeClock, crank_to, drive, record, rows, sock_plan_steps, string_of, yarn

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

G = 1000
HALF_PAIR = 39_000


def plan(plan_id: str = "grey-pair", grams: float | None = 78.0) -> Plan:
    return Plan(
        id=plan_id,
        name="Grey pair",
        machine="bench-machine",
        cylinder="cylinder-60",
        yarn="yarn-grey",
        slots=60,
        dial=26,
        rows_per_mm=0.42,
        stitches_per_mm=0.32,
        heel_left_in_work=10,
        toe_left_in_work=10,
        parts=(PlannedPart(name="foot", kind="rows", count=22, stitches=22 * 60),),
        leg_mm=140.0,
        foot_rows=22,
        metres_per_pair=327.6,
        grams_per_pair=grams,
    )


def lot(name: str = "41", grams: float = 100, bought: str = "2023-11-01") -> Lot:
    return Lot(id=f"lot-{name.lower().replace(' ', '-')}", name=name, yarn="yarn-grey", grams=grams, bought=bought)


def shelve(book: Logbook, *more: Any) -> None:
    for item in (yarn(), plan(), *more):
        book.keep(item)


def sock(book: Logbook, n: int = 1, **also: Any) -> Live:
    """A sock of the plan on lot 41, begun."""
    steps = sock_plan_steps()
    made = record("sock", f"2023111{n}-sock", steps=steps, started_ms=book.clock.now().at_ms)
    told = {"plan": plan(), "lot": "lot-41", "title": f"Sock {n}"} | also
    return book.start(SessionRecord.model_validate(dict(made) | told))


def weigh(book: Logbook, grams: float, what: str = "left", of: str = "lot-41") -> Weighing:
    at_ms = book.clock.now().at_ms
    made = Weighing(id=f"weighing-{at_ms}", lot=of, at_ms=at_ms, what=what, grams=grams)  # type: ignore[arg-type]
    book.keep(made)
    return made


def the_yarn(book: Logbook) -> YarnStock:
    found = stock_of(book, "yarn-grey")
    assert found is not None
    return found


def the_lot(book: Logbook, name: str = "41") -> LotStock:
    return next(one for one in the_yarn(book).lots if one.lot.name == name)


def balanced(book: Logbook) -> None:
    for one in stocks(book):
        for account in (one.account, *(each.account for each in one.lots)):
            assert account.bought == account.used + account.promised + account.left


# --- what a sock takes ------------------------------------------------------------------------------------------


def test_a_sock_that_was_weighed_takes_what_the_scale_said(book: Logbook) -> None:
    shelve(book, lot())
    live = sock(book)
    crank_to(live, "try-on")
    assert the_lot(book).account.worked_out == HALF_PAIR  # until the scale says better
    drive(live, ReadOff("mass", 36.5), Confirmed())
    found = the_lot(book).account
    assert (found.weighed, found.worked_out, found.left) == (36_500, 0, 63_500)
    balanced(book)


def test_a_mass_struck_out_is_the_plan_s_again(book: Logbook) -> None:
    shelve(book, lot())
    live = sock(book)
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 365.0), Struck(live.state.last_seq + 1))
    assert the_lot(book).account.worked_out == HALF_PAIR


def test_a_sock_on_the_machine_takes_its_stitches_and_claims_the_rest(book: Logbook) -> None:
    shelve(book, lot())
    live = sock(book)
    crank_to(live, "leg")
    drive(live, rows(5))
    # By hand: leg 21 mm x 0.42 = 9 rows, foot 53 mm x 0.42 = 22, of 60 stitches; heel and toe 30^2 - 10^2.
    whole = sum(step.target for step in live.record.steps if isinstance(step, CountRows) and step.yarn == "working")
    assert whole == 9 + 22
    share = HALF_PAIR * 5 * 60 / (31 * 60 + 2 * (30**2 - 10**2))
    found = the_lot(book).account
    assert found.worked_out == pytest.approx(share, abs=0.5)
    assert found.promised == HALF_PAIR - found.worked_out
    assert found.left == 100 * G - HALF_PAIR
    (claim,) = the_lot(book).claims
    assert claim.words == "Sock 1, on the machine"


def test_passes_of_a_heel_count_by_the_needles_in_work(book: Logbook) -> None:
    shelve(book, lot())
    live = sock(book)
    crank_to(live, "heel")
    drive(live, rows(10))
    heel = next(step for step in live.record.steps if isinstance(step, CountPasses))
    turning = Turning(heel.needles, heel.left_in_work)
    done = 9 * 60 + sum(len(turning.at(n).in_work) for n in range(1, 11))
    of = 31 * 60 + 2 * turning.stitches
    assert the_lot(book).account.worked_out == pytest.approx(HALF_PAIR * done / of, abs=0.5)


def test_a_sock_given_up_took_its_stitches_and_no_more(book: Logbook) -> None:
    shelve(book, lot())
    live = sock(book)
    crank_to(live, "foot")
    before = the_lot(book).account
    drive(live, Abandoned("mice"))
    after = the_lot(book).account
    assert after.worked_out == before.worked_out > 0
    assert after.promised == 0
    assert after.left == 100 * G - after.worked_out


def test_a_plan_without_grams_goes_by_metres_and_the_yarn_s_count(book: Logbook) -> None:
    # 327.6 m a pair at 420 m per 100 g is 78 g.
    shelve(book, lot())
    live = sock(book, plan=plan(grams=None))
    crank_to(live, "try-on")
    assert the_lot(book).account.worked_out == HALF_PAIR


def test_what_nobody_can_tell_is_named_and_never_zero(book: Logbook) -> None:
    shelve(book, lot())
    live = sock(book, plan=None)
    crank_to(live, "try-on")
    found = the_lot(book)
    assert (found.account.used, found.not_weighed) == (0, ("Sock 1",))
    said = before_first_row(book, [plan()] * 2, "lot-41")
    assert said == ("Never weighed, so not in these figures: Sock 1. Put lot 41 on the scale to be sure.",)
    weigh(book, 61.0)  # now it is among what is unaccounted for
    assert the_lot(book).not_weighed == ()
    assert the_lot(book).account.unaccounted == 39 * G


# --- tubes and searches -----------------------------------------------------------------------------------------


def a_tube(book: Logbook) -> Live:
    made = record("tube", "20231112-tube", steps=tube_steps(60), started_ms=book.clock.now().at_ms)
    return book.start(SessionRecord.model_validate(dict(made) | {"lot": "lot-41"}))


def test_a_tube_is_weighed_or_goes_by_its_own_gauge(book: Logbook) -> None:
    shelve(book, lot())
    live = a_tube(book)
    crank_to(live, "after-wash")
    assert the_lot(book).not_weighed == ("A tube",)
    drive(live, ReadOff("length", 142.0), ReadOff("width", 94.0))
    # 60 rows over 142 mm: l = 5.5 x 142 / 60 mm; 60 x 60 stitches; 420 m weigh 100 g.
    grams = 5.5 * 142 / 60 / 1000 * 60 * 60 / 4.2
    found = the_lot(book)
    assert found.account.worked_out == pytest.approx(grams * G, abs=1)
    assert [line.basis for line in found.lines] == ["by the label", "from the gauge"]
    drive(live, ReadOff("mass", 11.0))
    assert the_lot(book).account.weighed == 11 * G


def test_a_search_took_some_and_says_that_it_was_not_weighed(book: Logbook) -> None:
    shelve(book, lot())
    made = record("search", "20231112-search", started_ms=book.clock.now().at_ms)
    live = book.start(SessionRecord.model_validate(dict(made) | {"lot": "lot-41"}))
    assert the_lot(book).not_weighed == ()
    crank_to(live, "trial")
    drive(live, rows(2))
    assert the_lot(book).not_weighed == ("A search",)


# --- a string ---------------------------------------------------------------------------------------------------


def _string(book: Logbook, socks: int = 3, promise: str | None = None) -> Live:
    made = dict(record("sock", "20231113-string", started_ms=book.clock.now().at_ms))
    told = {"kind": "string", "steps": string_of(socks), "lot": "lot-41", "title": "String"}
    mine = tuple(StringSock(plan=plan(), promise=promise if n < 2 else None) for n in range(socks))
    return book.start(SessionRecord.model_validate(made | told | {"socks": mine}))


def test_a_string_with_a_spoilt_sock(book: Logbook) -> None:
    shelve(book, lot(grams=300))
    live = _string(book)
    crank_to(live, "s2-heel")
    drive(live, Spoilt("ladder"))
    crank_to(live, "s3-leg")
    made = [(one.number, one.standing) for one in pieces_of(live.state)]
    assert made == [(1, "cranked"), (2, "spoilt"), (2, "cranked"), (3, "on the machine")]
    spoilt = HALF_PAIR * 9 * 60 / (31 * 60 + 2 * (30**2 - 10**2))
    found = the_lot(book)
    assert found.account.worked_out == pytest.approx(2 * HALF_PAIR + spoilt, abs=1)
    assert found.account.promised == HALF_PAIR
    named = [found.names[line.about] for line in found.lines if line.what == "used"]
    assert named == ["sock 1 of String", "spoilt sock 2 of String: ladder", "sock 2 of String"]
    crank_to(live, "s1-try-on")
    drive(live, ReadOff("s1-mass", 37.0), Confirmed(), ReadOff("s2-mass", 38.0), Confirmed())
    assert the_lot(book).account.weighed == 75 * G
    assert the_lot(book).account.worked_out == pytest.approx(HALF_PAIR + spoilt, abs=1)
    balanced(book)


def test_a_lot_weighed_between_two_socks_of_a_string(book: Logbook, clock: FakeClock) -> None:
    shelve(book, lot())
    live = _string(book, 2)
    crank_to(live, "s2-leg")
    clock.wait(60_000)
    weigh(book, 60.0)  # 39 g in the first sock, so 1 g is missing
    clock.wait(60_000)
    crank_to(live, "take-off")
    found = the_lot(book)
    assert [(line.what, line.change_mg) for line in found.lines[1:]] == [
        ("used", -HALF_PAIR),
        ("unaccounted", -1 * G),
        ("left", 0),
        ("used", -HALF_PAIR),
    ]
    assert found.account.left == 21 * G


def test_a_lot_weighed_in_the_middle_of_a_sock_cuts_its_grams_there(book: Logbook, clock: FakeClock) -> None:
    shelve(book, lot())
    live = sock(book)
    crank_to(live, "foot")
    on_needles = the_lot(book).account.worked_out
    weigh(book, 80.0)
    clock.wait(1000)
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 39.0))
    found = the_lot(book).account
    assert found.weighed == HALF_PAIR
    assert found.unaccounted == 20 * G - on_needles
    assert found.left == 80 * G - (HALF_PAIR - on_needles)
    balanced(book)


# --- promises ---------------------------------------------------------------------------------------------------


def pair(promise_id: str = "for-ferry", **also: Any) -> Promise:
    told = {"id": promise_id, "name": "Pair for the ferry", "yarn": "yarn-grey", "lot": "lot-41", "plan": "grey-pair"}
    return Promise.model_validate(told | {"made": "2023-11-10"} | also)


def test_a_promise_takes_both_socks_until_they_are_begun(book: Logbook) -> None:
    shelve(book, lot(), pair())
    assert the_lot(book).account.promised == 2 * HALF_PAIR
    first = sock(book, 1, promise="for-ferry")
    found = the_lot(book)
    assert [claim.words for claim in found.claims] == ["Pair for the ferry, one sock", "Sock 1, on the machine"]
    assert found.account.promised == 2 * HALF_PAIR
    crank_to(first, "try-on")
    assert the_lot(book).account.promised == HALF_PAIR
    assert the_lot(book).account.left == 22 * G  # as before: not a gram is counted twice
    crank_to(sock(book, 2, promise="for-ferry"), "try-on")
    assert (the_lot(book).claims, the_lot(book).account.left) == ((), 22 * G)
    balanced(book)


def test_a_sock_given_up_leaves_its_promise_two_socks_to_go(book: Logbook) -> None:
    shelve(book, lot(), pair())
    live = sock(book, 1, promise="for-ferry")
    crank_to(live, "foot")
    drive(live, Abandoned())
    (claim,) = the_lot(book).claims
    assert claim.mg == 2 * HALF_PAIR


def test_a_first_sock_cranked_before_the_promise_counts_by_its_twin(book: Logbook) -> None:
    first = sock(book, 1, lot=None)
    crank_to(first, "try-on")
    shelve(book, lot(bought="2023-11-20"), pair())
    assert the_lot(book).account.promised == 2 * HALF_PAIR
    sock(book, 2, promise="for-ferry", twin_of=first.record.id)
    assert the_lot(book).claims == (Claim("Sock 2, on the machine", HALF_PAIR),)
    assert pair_of(book, pair()).first.session == first.record.id  # the pairs screen says so, too
    assert the_yarn(book).no_lot == ()


def test_a_promise_kept_in_another_yarn_claims_no_more_of_this_one(book: Logbook) -> None:
    shelve(book, lot(), pair(), yarn("Moss"))
    for n in (1, 2):
        crank_to(sock(book, n, promise="for-ferry", lot=None, yarn=yarn("Moss")), "try-on")
    found = the_yarn(book)
    assert (found.account.promised, found.account.used, found.no_lot) == (0, 0, ())


def test_a_sock_given_up_once_it_was_cranked_is_no_sock_of_its_pair(book: Logbook) -> None:
    shelve(book, lot(grams=200), pair())
    live = sock(book, 1, promise="for-ferry")
    crank_to(live, "try-on")
    drive(live, Abandoned("far too short"))
    found = the_lot(book).account
    assert (found.worked_out, found.promised) == (HALF_PAIR, 2 * HALF_PAIR)
    assert pair_of(book, pair()).first.stage == "not begun"


def test_socks_ahead_in_a_string_are_claimed_once(book: Logbook) -> None:
    shelve(book, lot(), pair())
    _string(book, 2, promise="for-ferry")
    found = the_lot(book)
    assert found.account.promised == 2 * HALF_PAIR
    assert [claim.promise for claim in found.claims] == ["", ""]  # both are on the machine


@pytest.mark.parametrize("also", [{"retired": True}, {"handed_over": "2023-12-01"}])
def test_called_off_or_handed_over_claims_nothing(book: Logbook, also: dict[str, Any]) -> None:
    shelve(book, lot(), pair())
    book.keep(pair(**also))
    assert the_lot(book).account.promised == 0


def test_a_promise_of_no_lot_yet_stands_on_the_yarn(book: Logbook) -> None:
    shelve(book, lot(), lot("42", 50), pair(lot=None))
    assert [one.account.promised for one in the_yarn(book).lots] == [0, 0]
    assert the_yarn(book).account.promised == 2 * HALF_PAIR
    assert the_yarn(book).account.left == 72 * G
    balanced(book)
