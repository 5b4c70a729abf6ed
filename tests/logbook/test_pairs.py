"""How far promised pairs are, told from their sessions alone."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft.workload import OwnPace, Work, need_for
from hosewright.logbook.accounts.pace import recent_pace
from hosewright.logbook.accounts.pairs import NOTHING, how_far, open_for, pair_of, pairs
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Plan, PlannedPart
from hosewright.logbook.records.year import Promise
from hosewright.session.events import Abandoned, Confirmed, Paused, Pressed, ReadOff, Resumed, Spoilt
from hosewright.session.fold import fold
from hosewright.session.results import pieces_of
from hosewright.session.steps import Head
from tests.helpers import BEGUN, FakeClock, crank_to, drive, record, rows, sock_plan_steps, string_of
from tests.strategies import logs

if TYPE_CHECKING:
    from hosewright.logbook.live import Live

# The short sock of the helpers: a leg of 9 rows, a heel, a foot of 22 rows, a toe.
PARTS = (("leg", "rows", 9), ("heel", "passes", 40), ("foot", "rows", 22), ("toe", "passes", 40))
WHOLE = Work(31, 80)
PLAN = Plan(
    id="plan",
    name="Short socks",
    machine="bench-machine",
    cylinder="cylinder-60",
    yarn="yarn-grey",
    slots=60,
    dial=26,
    rows_per_mm=0.42,
    stitches_per_mm=0.32,
    heel_left_in_work=10,
    toe_left_in_work=10,
    parts=tuple(PlannedPart.model_validate({"name": n, "kind": k, "count": c, "stitches": 60}) for n, k, c in PARTS),
    foot_rows=22,
    metres_per_pair=200,
)
PROMISE = Promise(id="smith", name="The smith, grey", yarn="yarn-grey", plan="plan", made="2023-11-01", by="2023-12-24")


def sock(book: Logbook, session_id: str, promise: Promise | None = PROMISE, **more: Any) -> Live:
    start = record("sock", session_id, started_ms=book.clock.now().at_ms)
    return book.start(start.model_copy(update={"promise": promise.id if promise else None, "plan": PLAN, **more}))


def string(book: Logbook, session_id: str, *named: tuple[Promise | None, bool]) -> Live:
    socks = [{"plan": PLAN, "promise": one.id if one else None, "twin": twin} for one, twin in named]
    start = record("sock", session_id, started_ms=book.clock.now().at_ms).model_dump()
    start |= {"kind": "string", "socks": socks, "steps": string_of(len(named))}
    return book.start(SessionRecord.model_validate(start))


@pytest.fixture
def promised(book: Logbook) -> Logbook:
    book.keep(PLAN)
    book.keep(PROMISE)
    return book


def test_the_helpers_sock_is_the_plan(promised: Logbook) -> None:
    live = sock(promised, "20231114-one")
    assert pair_of(promised, PROMISE).first.whole == WHOLE
    assert live.record.plan == PLAN


def test_every_stage_of_a_pair(promised: Logbook) -> None:
    pair = pair_of(promised, PROMISE)
    assert [one.stage for one in pair.socks] == ["not begun", "not begun"]
    assert pair.left == Work(62, 160, 2)
    assert open_for(promised, "plan") == (PROMISE,)
    assert open_for(promised, "another") == ()

    first = sock(promised, "20231114-one")
    drive(first, BEGUN)
    assert pair_of(promised, PROMISE).first.part == "separator before, 0 of 8 rows done"
    crank_to(first, "heel")
    drive(first, rows(5))
    pair = pair_of(promised, PROMISE)
    assert (pair.first.stage, pair.first.part) == ("on the machine", "heel, 5 of 40 passes done")
    assert (pair.first.done, pair.first.left) == (Work(9, 5), Work(22, 75, 1))
    assert pair.left == Work(53, 155, 2)
    assert pair.next_sock == pair.first
    assert open_for(promised, "plan") == (PROMISE,)

    crank_to(first, "graft")
    pair = pair_of(promised, PROMISE)
    assert (pair.first.stage, pair.first.part, pair.first.left) == ("cranked", "graft the toe", Work(socks=1))
    assert pair.next_sock == pair.twin

    second = sock(promised, "20231115-two", twin_of=first.record.id)
    assert open_for(promised, "plan") == ()
    crank_to(first, "dry")
    assert (pair_of(promised, PROMISE).first.stage, pair_of(promised, PROMISE).first.part) == ("washed", "drying")
    crank_to(first, "try-on")
    assert pair_of(promised, PROMISE).first.part == ""
    drive(first, ReadOff("fit", 2), ReadOff("fit-length", 1), Confirmed())
    pair = pair_of(promised, PROMISE)
    assert (pair.first.stage, pair.first.fit) == ("tried on", "round tight, length right")

    crank_to(second, "")
    pair = pair_of(promised, PROMISE)
    assert [one.stage for one in pair.socks] == ["tried on", "washed"]
    assert (pair.left, pair.next_sock, pair.spoilt, pair.more) == (NOTHING, None, (), ())


def test_a_twin_not_begun_is_as_long_as_its_first_really_is(promised: Logbook) -> None:
    first = sock(promised, "20231114-one")
    crank_to(first, "leg")
    drive(first, rows(7), Confirmed(early=True))
    pair = pair_of(promised, PROMISE)
    assert pair.first.whole == pair.twin.whole == Work(29, 80)


def test_a_first_sock_cranked_before_the_promise_counts_by_its_twin(promised: Logbook) -> None:
    first = sock(promised, "20231101-one", promise=None)
    crank_to(first, "graft")
    assert pair_of(promised, PROMISE).first.stage == "not begun"
    twin = sock(promised, "20231114-two", twin_of=first.record.id)
    pair = pair_of(promised, PROMISE)
    assert (pair.first.session, pair.first.stage) == ("20231101-one", "cranked")
    assert (pair.twin.session, pair.twin.stage) == ("20231114-two", "on the machine")
    # Promised to somebody else, it stays theirs; of a first sock that is not in this logbook nothing is known.
    drive(twin, Abandoned())
    other = sock(promised, "20231115-one", PROMISE.model_copy(update={"id": "baker"}))
    sock(promised, "20231116-two", twin_of=other.record.id)
    sock(promised, "20231117-two", twin_of="20200101-gone")
    pair = pair_of(promised, PROMISE)
    assert [one.session for one in pair.socks] == ["20231117-two", "20231116-two"]


def test_a_sock_given_up_is_listed_and_is_no_sock(promised: Logbook) -> None:
    gone = sock(promised, "20231114-one")
    crank_to(gone, "foot")
    drive(gone, rows(3), Abandoned("the yarn was moth-eaten"))
    pair = pair_of(promised, PROMISE)
    assert [one.stage for one in pair.socks] == ["not begun", "not begun"]
    (spoilt,) = pair.spoilt
    assert (spoilt.session, spoilt.reason, spoilt.done) == ("20231114-one", "the yarn was moth-eaten", Work(12, 40))
    again, third, fourth = (sock(promised, f"20231115-{name}") for name in ("two", "three", "four"))
    pair = pair_of(promised, PROMISE)
    assert [one.session for one in (*pair.socks, *pair.more)] == [
        again.record.id,
        third.record.id,
        fourth.record.id,
    ]
    drive(again, Abandoned())
    assert [spoilt.reason for spoilt in pair_of(promised, PROMISE).spoilt][1] == "given up"


def test_a_string_for_two_pairs_with_one_sock_spoilt(promised: Logbook) -> None:
    other = PROMISE.model_copy(update={"id": "baker", "name": "The baker, grey", "by": "2023-12-01"})
    promised.keep(other)
    live = string(promised, "20231114-row", (PROMISE, False), (PROMISE, True), (other, False))
    drive(live, Confirmed())
    crank_to(live, "s2-heel")
    drive(live, rows(4), Spoilt("a latch tore the heel"))
    smith, baker = pair_of(promised, PROMISE), pair_of(promised, other)
    assert (smith.first.stage, smith.first.number, smith.first.part) == ("cranked", 1, "")
    assert (smith.twin.stage, smith.twin.number, smith.twin.done) == ("on the machine", 2, Work())
    (spoilt,) = smith.spoilt
    assert (spoilt.number, spoilt.reason, spoilt.done) == (2, "a latch tore the heel", Work(9, 4))
    assert (baker.first.stage, baker.first.session) == ("not begun", "20231114-row")
    assert baker.twin.session == ""
    assert open_for(promised, "plan") == (other,)
    # The one due first stands on top.
    assert [pair.promise.id for pair in pairs(promised)] == ["baker", "smith"]

    crank_to(live, "s3-leg")
    drive(live, rows(2), Abandoned("fell off"))
    assert [one.stage for one in pair_of(promised, PROMISE).socks] == ["cranked", "cranked"]
    baker = pair_of(promised, other)
    assert (baker.first.session, baker.spoilt[0].reason, baker.spoilt[0].done) == ("", "fell off", Work(2))


def test_a_string_is_washed_and_tried_on_sock_by_sock(promised: Logbook) -> None:
    live = string(promised, "20231114-row", (PROMISE, False), (PROMISE, True))
    crank_to(live, "graft")
    assert pair_of(promised, PROMISE).first.part == "graft every toe"
    crank_to(live, "s1-try-on")
    drive(live, ReadOff("s1-fit", 1), Confirmed())
    pair = pair_of(promised, PROMISE)
    assert (pair.first.fit, pair.twin.stage, pair.twin.fit) == ("round right", "washed", "")


def test_what_is_handed_over_or_called_off_needs_no_more_work(promised: Logbook) -> None:
    for change in ({"handed_over": "2023-12-20"}, {"retired": True}):
        promised.keep(PROMISE.model_copy(update=change))
        assert pairs(promised) == ()
        assert open_for(promised, "plan") == ()
        (pair,) = pairs(promised, old=True)
        assert pair.left == NOTHING


def test_without_a_plan_nothing_tells_how_much_it_is(promised: Logbook) -> None:
    promised.keep(PROMISE.model_copy(update={"plan": None}))
    (pair,) = pairs(promised)
    assert (pair.plan, pair.left) == (None, None)
    first = sock(promised, "20231114-one")
    assert pair_of(promised, pair.promise).left == Work(62, 160, 2)
    drive(first, Abandoned())
    assert pair_of(promised, pair.promise).left is None


def test_the_pace_is_that_of_the_last_socks_without_their_pauses(promised: Logbook, clock: FakeClock) -> None:
    assert recent_pace(promised) == OwnPace()
    # A row every 2 s, 3 s and 6 s, a pass every 5 s in each: 30, 20 and 10 rows a minute, 12 passes.
    clock.step_ms = 0
    for number, step_ms in enumerate((2000, 3000, 6000)):
        live = sock(promised, f"20231114-{number}", promise=None)
        crank_to(live, "leg")
        for row in range(6):
            clock.wait(step_ms)
            drive(live, Pressed())
            if row == 3:
                drive(live, Paused())
                clock.wait(900_000)
                drive(live, Resumed())
        crank_to(live, "heel")
        for _ in range(6):
            clock.wait(5000)
            drive(live, Pressed())
    pace = recent_pace(promised)
    assert (pace.rows, pace.passes, pace.sessions) == (20, 12, 3)
    assert pace.rows_spread == pytest.approx(14.826, abs=1e-3)


@given(st.integers(0, 200), st.floats(1, 60), st.floats(1, 60))
def test_cranking_a_row_never_adds_hours(presses: int, rows_a_minute: float, passes_a_minute: float) -> None:
    pace = OwnPace(rows_a_minute, passes_a_minute)
    with tempfile.TemporaryDirectory() as folder:
        book = Logbook(Path(folder) / "logbook.sqlite", FakeClock())
        try:
            assert _hours_fall(book, presses, pace)
        finally:
            book.close()


def _hours_fall(book: Logbook, presses: int, pace: OwnPace) -> bool:
    book.keep(PLAN)
    book.keep(PROMISE)
    live, last = sock(book, "20231114-one"), float("inf")
    for at in range(presses):
        step = live.state.step
        if step is None:
            break
        counted = getattr(step, "target", None)
        drive(live, Confirmed() if counted is None or live.state.count >= counted else Pressed())
        if at % 20 == 0 or at == presses - 1:
            left = pair_of(book, PROMISE).left
            assert left is not None
            need = need_for(left, pace)
            assert need is not None
            assert need.cranking <= last
            last = need.cranking
    return True


@given(st.booleans(), st.data())
def test_whatever_happens_a_sock_is_somewhere_and_its_rows_add_up(in_string: bool, data: st.DataObject) -> None:
    steps = string_of(3) if in_string else sock_plan_steps()
    head = Head("random", "string" if in_string else "sock", steps, 26, 60)
    state = fold(head, data.draw(logs(head)))
    for piece in pieces_of(state):
        if piece.standing == "spoilt":
            continue
        found = how_far(state, piece)
        assert found.whole is not None
        assert found.left is not None
        assert 0 <= found.done.rows <= found.whole.rows
        assert 0 <= found.done.passes <= found.whole.passes
        if found.stage in ("not begun", "on the machine"):
            assert (found.left.rows, found.left.socks) == (found.whole.rows - found.done.rows, 1)
        else:
            assert (found.left.rows, found.left.passes) == (0, 0)
        assert bool(found.fit) == (found.stage == "tried on")
        assert (found.stage == "not begun") == (state.index < piece.span[0] and not found.fit)
