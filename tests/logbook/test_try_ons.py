"""What the bench proposes for socks whose try-on was gone past: once a pair, last of all, and kept right."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook import glance
from hosewright.logbook.glance import LATELY, MOST_NEXT, Suggestion, look
from hosewright.logbook.records.year import Promise
from hosewright.session.events import Abandoned, Confirmed, ReadOff, SteppedBack, Struck
from hosewright.session.results import worn_words
from tests.helpers import crank_to, cylinder, drive, machine, plan_of, record, yarn

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.state import State

FIRST, TWIN, GAUGE = "20231114-first", "20231115-twin", "20231101-tube"
SAT_RIGHT = (ReadOff("fit", 1.0, "right"), ReadOff("fit-length", 1.0, "right"))
PROMISE = Promise(id="pair-miller", name="The miller's pair", yarn=yarn().id, made="2023-11-01")


@pytest.fixture
def bench(book: Logbook) -> Logbook:
    """A bench with all it needs, a plan among it that nothing more is proposed for once a sock of it is begun."""
    book.keep(machine(), cylinder(), yarn(), plan_of(), PROMISE)
    return book


def begin(book: Logbook, name: str = FIRST, twin_of: str | None = None, promise: str | None = None) -> Live:
    """A sock cranked, washed and dry: it waits for its try-on."""
    start = record("sock", name)
    said = {
        "title": name.partition("-")[2].capitalize(),
        "plan": plan_of().model_copy(update={"gauge_session": GAUGE}),
        "twin_of": twin_of,
        "promise": promise,
    }
    live = book.start(start.model_copy(update=said))
    crank_to(live, "try-on")
    return live


def gone_past(book: Logbook, name: str = FIRST, twin_of: str | None = None, promise: str | None = None) -> Live:
    live = begin(book, name, twin_of, promise)
    drive(live, Confirmed())
    assert (live.state.status, worn_words(live.state)) == ("finished", "")
    return live


def tries_on(book: Logbook) -> list[tuple[str, str]]:
    """What is proposed to be tried on."""
    return [(one.words, one.session) for one in look(book.store).next if one.words.endswith(": try it on")]


FIRST_WAITS, TWIN_WAITS = [("First: try it on", FIRST)], [("Twin: try it on", TWIN)]


# --- once a pair --------------------------------------------------------------------------------------------------


def test_a_sock_that_waits_for_its_try_on_is_unfinished_and_proposed_once(bench: Logbook) -> None:
    begin(bench)
    assert tries_on(bench) == FIRST_WAITS
    assert [one.where for one in look(bench.store).standing] == ["off the machine"]


def test_a_first_sock_gone_past_is_proposed_behind_its_twin(bench: Logbook) -> None:
    gone_past(bench)
    assert look(bench.store).next == (
        Suggestion("sock", "First: crank its twin", chosen=(("plan", plan_of().id),)),
        Suggestion("open", "First: try it on", FIRST),
    )
    assert tries_on(bench) == FIRST_WAITS


def test_of_a_pair_the_twin_is_proposed_alone(bench: Logbook) -> None:
    gone_past(bench)
    gone_past(bench, TWIN, FIRST)
    assert tries_on(bench) == TWIN_WAITS


def test_the_twin_is_proposed_though_the_first_was_tried_on(bench: Logbook) -> None:
    first = begin(bench)
    drive(first, *SAT_RIGHT, Confirmed())
    assert tries_on(bench) == []
    gone_past(bench, TWIN, FIRST)
    assert tries_on(bench) == TWIN_WAITS


def test_a_pair_whose_twin_was_tried_on_is_done(bench: Logbook) -> None:
    gone_past(bench)
    drive(begin(bench, TWIN, FIRST), *SAT_RIGHT, Confirmed())
    assert tries_on(bench) == []


def test_one_answer_is_enough_and_a_weighing_is_none(bench: Logbook) -> None:
    first = begin(bench)
    drive(first, ReadOff("mass", 36.0, "36 g"), Confirmed())
    assert tries_on(bench) == FIRST_WAITS
    drive(begin(bench, TWIN, FIRST), ReadOff("fit-length", 2.0, "too long"), Confirmed())
    assert tries_on(bench) == []


def test_while_the_twin_is_cranked_its_own_try_on_is_awaited(bench: Logbook) -> None:
    gone_past(bench)
    twin = begin(bench, TWIN, FIRST)
    assert tries_on(bench) == TWIN_WAITS  # as the unfinished session it is
    drive(twin, SteppedBack())
    assert tries_on(bench) == []
    drive(twin, Confirmed(), Confirmed())
    assert tries_on(bench) == TWIN_WAITS


def test_the_twin_decides_whichever_was_changed_last(bench: Logbook) -> None:
    first = gone_past(bench)
    gone_past(bench, TWIN, FIRST)
    drive(first, SteppedBack(), ReadOff("fit", 1.0, "right"), Confirmed())
    assert bench.lines()[0].id == FIRST
    assert tries_on(bench) == TWIN_WAITS


def test_pairs_are_proposed_one_by_one_the_last_changed_first(bench: Logbook) -> None:
    gone_past(bench)
    gone_past(bench, TWIN, FIRST)
    gone_past(bench, "20231116-other")
    assert tries_on(bench) == [("Other: try it on", "20231116-other"), *TWIN_WAITS]


# --- answered after all -------------------------------------------------------------------------------------------


def test_it_is_opened_gone_back_to_and_answered(bench: Logbook) -> None:
    gone_past(bench)
    gone_past(bench, TWIN, FIRST)
    ((_, session),) = tries_on(bench)
    live = bench.take_up(session)
    drive(live, SteppedBack(), *SAT_RIGHT)
    drive(live, Confirmed())
    assert tries_on(bench) == []


def test_an_answer_struck_out_is_none(bench: Logbook) -> None:
    first = begin(bench)
    drive(first, ReadOff("fit", 1.0, "right"), Confirmed())
    assert tries_on(bench) == []
    (seq,) = (reading.seq for reading in first.state.readings)
    drive(first, Struck(seq))
    assert tries_on(bench) == FIRST_WAITS


# --- socks that are no longer here --------------------------------------------------------------------------------


@pytest.mark.parametrize("whose", ["first", "twin", "both"])
def test_a_pair_handed_over_is_not_tried_on(bench: Logbook, whose: str) -> None:
    gone_past(bench, promise=PROMISE.id if whose != "twin" else None)
    gone_past(bench, TWIN, FIRST, PROMISE.id if whose != "first" else None)
    assert tries_on(bench) == TWIN_WAITS
    bench.keep(PROMISE.model_copy(update={"handed_over": "2023-12-01"}))
    assert tries_on(bench) == []
    bench.keep(PROMISE)  # it was noted by mistake
    assert tries_on(bench) == TWIN_WAITS


def test_one_handed_over_and_then_called_off_is_gone_all_the_same(bench: Logbook) -> None:
    gone_past(bench, promise=PROMISE.id)
    bench.keep(PROMISE.model_copy(update={"retired": True}))
    assert tries_on(bench) == FIRST_WAITS  # called off: the sock lies here
    bench.keep(PROMISE.model_copy(update={"retired": True, "handed_over": "2023-12-01"}))
    assert tries_on(bench) == []


def test_one_given_up_is_not_tried_on(bench: Logbook) -> None:
    drive(begin(bench), Abandoned("moths"))
    assert tries_on(bench) == []
    gone_past(bench, "20231116-other")
    drive(begin(bench, TWIN, "20231116-other"), Abandoned("a latch tore the heel"))
    assert tries_on(bench) == [("Other: try it on", "20231116-other")]


# --- behind the rest, among the newest, at little cost --------------------------------------------------------------


def test_it_stands_behind_all_else_and_pushes_nothing_out(bench: Logbook) -> None:
    for number in range(MOST_NEXT):
        gone_past(bench, f"20231116-pair{number}")
    seen = look(bench.store).next
    assert len(seen) == MOST_NEXT
    assert all(one.words.endswith(": crank its twin") for one in seen)


def test_only_the_newest_sessions_are_looked_through(bench: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    gone_past(bench)
    for number in range(2):
        drive(bench.start(record("search", f"20231116-search{number}")), Abandoned("of no use"))
    assert tries_on(bench) == FIRST_WAITS
    monkeypatch.setattr(glance, "LATELY", 2)
    assert [one for one in look(bench.store).next if one.doing == "open"] == []
    assert LATELY > 2


def test_a_sock_started_before_pairs_were_promised_names_none(bench: Logbook) -> None:
    gone_past(bench)
    for (name,) in bench.store.db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        bench.store.db.execute(f'DROP TRIGGER "{name}"')
    start = json.loads(bench.store.record_text(1))
    del start["promise"]
    bench.store.db.execute("UPDATE sessions SET record = ?", (json.dumps(start),))
    assert tries_on(bench) == FIRST_WAITS


def test_no_pair_is_folded_to_see_whether_it_was_tried_on(bench: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    gone_past(bench)
    drive(begin(bench, TWIN, FIRST), *SAT_RIGHT, Confirmed())
    gone_past(bench, "20231116-other")
    gone_past(bench, "20231117-othertwin", "20231116-other")

    def folding(*_: object) -> State:
        raise AssertionError("a finished pair was folded")

    monkeypatch.setattr("hosewright.logbook.projections.fold", folding)
    assert [one.session for one in look(bench.store).next if one.session] == ["20231117-othertwin"]


def test_after_a_pair_the_next_sock_from_its_gauge_is_proposed(bench: Logbook) -> None:
    proven = Suggestion("plan", "Grey: a pair has proven its gauge, plan the next sock", chosen=(("gauge", GAUGE),))
    drive(begin(bench), *SAT_RIGHT, Confirmed())
    assert proven not in look(bench.store).next
    drive(begin(bench, TWIN, FIRST), *SAT_RIGHT, Confirmed())
    assert proven in look(bench.store).next
    bench.keep(plan_of().model_copy(update={"id": "next-socks", "name": "Next socks"}))
    assert proven not in look(bench.store).next, "one is planned already"
