"""Every kind of heel and tube in a logbook: a pair with its twin, a string, the yarn it takes, and plans of before."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import TYPE_CHECKING

import pytest

from hosewright.craft.heels import HeelAs
from hosewright.craft.workload import Work
from hosewright.logbook.accounts.pairs import PairGiven, pair_of
from hosewright.logbook.accounts.stock import stocks
from hosewright.logbook.find.sessions import find
from hosewright.logbook.find.wanted import Wanted
from hosewright.logbook.records import planned
from hosewright.logbook.records.planned import record_kind
from hosewright.logbook.records.shelf import Plan
from hosewright.logbook.records.year import Lot, Promise
from hosewright.logbook.travel.merge import preview
from hosewright.logbook.ways import prepare
from hosewright.paper.care_card import card_text, care_card
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.planning import starting, strings
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.session.events import Confirmed, Pressed, ReadOff
from hosewright.session.reasons import reason_of
from hosewright.session.results import pieces_of, verdict_words
from hosewright.session.steps import CountPasses, CountRows, Measure
from hosewright.session.words import instruction
from tests.bench.stage import YARN, do, stock
from tests.bench.test_plan import knit

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.steps import MeasureField, Step

MADE = {
    "two-and-one": Typed(foot="26 cm", leg="6 cm", lowering="two-and-one"),
    "near": Typed(
        foot="26 cm", leg="6 cm", lowering="near", plain="both", leg_rib="3x1 latched", instep_rib="3x1 latched"
    ),
    "footlet": Typed(foot="26 cm", leg="none", cuff="hem", rows="12"),
    "wide": Typed(foot="26 cm", leg="6 cm", heel_needles="38"),
    "mini-gusset": Typed(foot="26 cm", leg="6 cm", heel="mini-gusset", gusset="4", leg_rib="3x1", instep_rib="3x1"),
    "afterthought": Typed(foot="26 cm", leg="none", heel="afterthought", cuff="hem", rows="12", reinforced="yes"),
    "tube sock": Typed(foot="26 cm", leg="9 cm", heel="none"),
    "footless": Typed(foot="26 cm", leg="9 cm", heel="none", end="drawn up"),
    "wristers": Typed(leg="15 cm", heel="none", end="chained off", cuff="hem", rows="12"),
    "leg warmers": Typed(leg="30 cm", heel="none", end="chained off", cuff="hem", rows="12"),
}


def plan_of(typed: Typed, name: str = "plan") -> Plan:
    worked = work_out(typed, knit(), None)
    assert worked.made is not None, worked.missing or worked.problems
    return to_plan(name, typed, knit(), None, worked)


def crank(live: Live, until: str = "") -> None:
    while (step := live.state.step) is not None and step.id != until:
        if isinstance(step, CountRows | CountPasses):
            do(live, [Pressed()] * (step.target - live.state.count))
        do(live, [Confirmed()])


@pytest.mark.parametrize("made", MADE)
def test_a_pair_is_cranked_and_its_yarn_booked(book: Logbook, made: str) -> None:
    stock(book)
    plan = plan_of(MADE[made])
    promise = Promise(id="pair", name="A pair", yarn=YARN.id, plan=plan.id, made="2026-01-01", lot="lot")
    for thing in (plan, promise, Lot(id="lot", name="88", yarn=YARN.id, grams=200.0, bought="2026-01-01")):
        book.keep(thing)
    whole = Work(
        sum(part.count for part in plan.parts if part.kind == "rows"),
        sum(part.count for part in plan.parts if part.kind == "passes"),
        1,
    )
    assert pair_of(book, promise).left == Work(2 * whole.rows, 2 * whole.passes, 2)
    first = book.start(starting.first_sock(book, plan, 4, {"promise": "pair", "lot": "lot"}))
    crank(first)
    pair = pair_of(book, promise)
    parted = 1 if made == "wide" else 0  # the foot's last row, which the toe on fewer needles parts, is not counted
    done = Work(whole.rows - parted, whole.passes)
    assert (pair.first.stage, pair.first.done) == ("washed", done)
    (made_first,) = starting.firsts(book, plan)
    twin = starting.twin(book, made_first, 4, {"promise": "pair", "lot": "lot"})
    assert [asdict(step) for step in twin.steps] == [asdict(step) for step in first.record.steps]
    crank(book.start(twin))
    assert pair_of(book, promise).left == Work()
    (yarn,) = stocks(book)
    assert plan.grams_per_pair is not None
    used = yarn.lots[0].account.used / 1000
    assert used == pytest.approx(plan.grams_per_pair, rel=0.01, abs=0.5)


NAMES = {
    "wide": "sock",
    "afterthought": "footlet",
    "tube sock": "tube sock",
    "wristers": "wrister",
    "leg warmers": "leg warmer",
}


@pytest.mark.parametrize("made", NAMES)
def test_each_is_called_what_it_is(book: Logbook, made: str) -> None:
    stock(book)
    typed, name = MADE[made], NAMES[made]
    plan = plan_of(typed)
    assert plan.name == f"Moss {name}s"
    book.keep(plan)
    live = book.start(starting.first_sock(book, plan, 4))
    assert live.record.title == f"Moss {name}s, first {name}"
    said = []
    while (step := live.state.step) is not None:
        said += [step.title, instruction(live.state, live.record.given), *(item.label for item in _fields(step))]
        reason = reason_of(live.state)
        said += [reason.why, reason.look, reason.wrong, reason.cue]
        if isinstance(step, CountRows | CountPasses):
            do(live, [Pressed()] * (step.target - live.state.count))
        do(live, [Confirmed()])
    assert f"Mass of the {name}" in said
    assert f"Take the {name} off" in said
    words = " ".join(said)
    if name not in ("sock", "tube sock"):
        assert not re.search(r"\b[Ss]ocks?\b", words)
    if name in ("wrister", "leg warmer"):
        assert not re.search(r"\b(foot|toe|heel)\b", words)
    sheet = crank_sheet(plan)
    assert "above the leg" not in sheet
    assert record_kind(live.record) == name.capitalize()
    card = card_text(care_card(PairGiven("pair", YARN, None, plan, "")))
    assert card.startswith(f"A pair of {name}s")


def _fields(step: Step) -> tuple[MeasureField, ...]:
    return step.fields if isinstance(step, Measure) else ()


def test_socks_of_every_kind_hang_on_one_string(book: Logbook) -> None:
    stock(book)
    plans = [plan_of(typed, name.replace(" ", "-")) for name, typed in MADE.items() if name != "mini-gusset"]
    for plan in plans:
        book.keep(plan)
    chosen = [strings.Chosen(plan) for plan in plans]
    live = book.start(strings.string_record(book, chosen, 4, {}))
    crank(live)
    assert live.state.status == "finished"
    pieces = pieces_of(live.state)
    assert [piece.standing for piece in pieces] == ["cranked"] * len(plans)
    assert [piece.stitches for piece in pieces] == [sum(part.stitches for part in plan.parts) for plan in plans]


def test_lists_and_an_import_call_what_hangs_on_a_string_what_it_is(book: Logbook) -> None:
    stock(book)
    plans = [plan_of(MADE[name], name.replace(" ", "-")) for name in ("wristers", "wide")]
    for plan in plans:
        book.keep(plan)
    live = book.start(strings.string_record(book, [strings.Chosen(plan) for plan in plans], 4, {}))
    fields = [item.id for step in live.record.head.steps for item in _fields(step)]
    for name in ("s1-fit", "s2-fit"):
        assert name in fields
        crank(live, next(step.id for step in live.record.head.steps if name in [item.id for item in _fields(step)]))
        do(live, [ReadOff(name, 1.0)])
    (found,) = find(book.store, Wanted())
    assert found.verdict == "wrister 1 round right, sock 2 round right"
    assert found.called == "piece"
    assert verdict_words(live.state) == "sock 1 round right, sock 2 round right"  # as it is kept, and looked for
    entries = list(book.store.entries(live.n))
    assert preview(book, prepare(live.record, entries)).called == "piece"
    one = book.start(starting.first_sock(book, plans[0], 4))
    assert preview(book, prepare(one.record, list(book.store.entries(one.n)))).called == "wrister"


def test_girths_that_were_typed_are_kept_in_a_plan_and_shown_again(book: Logbook) -> None:
    stock(book)
    plan = plan_of(Typed(leg="35 cm", heel="none", end="chained off", ankle="22 cm", calf="41 cm"))
    book.keep(plan)
    kept = book.get(Plan, plan.id)
    assert kept is not None
    assert (kept.ankle_mm, kept.calf_mm) == (220.0, 410.0)
    sheet = crank_sheet(kept, length_unit="cm")
    assert "Typed for it: ankle 22.0 cm round, calf 41.0 cm round" in sheet
    # By hand: 64 stitches at 0.31372 a mm are 204 mm round; 410 is 101 % more.
    assert "stretched 101 % round the calf" in sheet
    before = kept.model_dump(mode="json")
    del before["ankle_mm"], before["calf_mm"]
    old = Plan.model_validate(before)
    assert (old.ankle_mm, old.calf_mm) == (None, None)
    assert "Typed for it" not in crank_sheet(old)
    worked = work_out(Typed(leg="35 cm", heel="none", end="chained off", calf="41 cm"), knit(), None)
    (told,) = (note for note in worked.notes if "would make it wider there" in note)
    assert "shaped by the dial" not in told


def test_a_plan_of_before_has_a_heel_on_half() -> None:
    kept = plan_of(Typed(foot="26 cm", leg="6 cm")).model_dump(mode="json")
    for name in ("heel", "heel_needles", "gusset", "end"):
        del kept[name]
    before = Plan.model_validate(kept)
    assert planned.turnings(before) == planned.turnings(plan_of(Typed(foot="26 cm", leg="6 cm")))
    assert HeelAs(before.heel, before.heel_needles, before.gusset) == HeelAs()
