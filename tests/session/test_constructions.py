"""Every construction knitted on a cylinder of wood, by what a knitter is taught; the engine is held against it.

The wooden cylinder knows neither steps nor turnings: places stand in a ring, each with the loop it holds, hands lift
and lower by looking (`tests.craft.test_needles`), and what is taught of a construction is written out in `by_hand`:

- a short-row heel on half of the needles, or on more, as many beyond the half at each side; the toe always on half;
- a mini-gusset, whose needles of the instep join the heel's turn and leave it again;
- an afterthought heel: an even number of passes of waste yarn over the half alone, so that the carrier returns; rows go
  on over it. Opened later, its loops below are hung on the half and those above on the rest, and turned in like a toe;
- a tube without a heel, with a toe, drawn up or chained off, which are a tube sock, a wrister, a leg warmer;
- a footlet: a sock without a leg.

Ribbed legs and insteps, with the ribber and latched up, are knitted on two beds in `test_ribbed_by_hand`.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.heels import HeelAs
from hosewright.craft.ribs import make_rib
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.tubes import plan_tube
from hosewright.session.events import Pressed
from hosewright.session.fold import apply
from hosewright.session.procedures import SockParts, steps_of, string_steps
from hosewright.session.results import pieces_of
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, Head, in_working_yarn, plain_id
from hosewright.session.unrolled import Needle, unroll
from tests.craft.test_needles import LOWERINGS, Bed, side_of
from tests.craft.test_needles import by_hand as turned_by_hand
from tests.helpers import entries, some, to_step

if TYPE_CHECKING:
    from hosewright.craft.turning import Lowering, PlainPasses, Side

Made = Literal[
    "short-row",
    "wide",
    "mini-gusset",
    "afterthought",
    "footlet",
    "afterthought footlet",
    "tube sock",
    "drawn up",
    "wrister",
    "leg warmer",
]
MADE: tuple[Made, ...] = Made.__args__  # type: ignore[attr-defined]
TUBES = MADE[6:]
SEPARATOR, WASTE = 8, 2


@dataclass(frozen=True)
class Wanted:
    """``more`` needles beyond the half at each side: of a wide heel, or of a gusset."""

    made: Made
    slots: int
    left: int
    toe_left: int
    lowering: Lowering = "far"
    plain: PlainPasses = False
    more: int = 0
    leg: int = 5
    foot: int = 6
    hem: int = 0
    rib: str = ""

    @property
    def half(self) -> int:
        return self.slots // 2

    @property
    def legless(self) -> bool:
        return "footlet" in self.made


@dataclass(frozen=True)
class Row:
    """What the needles are after a row or pass, round from the part's leftmost, and where the carrier stands then.

    C: in work and knitted; c: lifted, and keeps its loop. Rows have no side.
    """

    signs: str
    carrier: Side | None = None


@dataclass
class Wood:
    """``loop`` is what each place holds: yarn, part and number of its row. ``column`` are all its loops in order."""

    slots: int
    carrier: Side = "left"
    loop: dict[int, tuple[str, str, int]] = field(default_factory=dict)
    column: dict[int, list[tuple[str, str, int]]] = field(default_factory=dict)
    told: list[tuple[str, list[Row]]] = field(default_factory=list)
    knit: int = 0

    def crank(self, places: list[int], loop: tuple[str, str, int]) -> None:
        for place in places:
            self.loop[place] = loop
            self.column.setdefault(place, []).append(loop)
        self.knit += len(places) * (loop[0] == "own")

    def rows(self, part: str, count: int, yarn: str = "own") -> None:
        for number in range(1, count + 1):
            self.crank(list(range(self.slots)), (yarn, part, number))
        self.told.append((part, [Row("C" * self.slots)] * count))

    def turn(self, part: str, own: int, wanted: Wanted, left: int, gusset: int = 0) -> None:
        """Heel or toe on ``own`` needles in the middle of which the half is, from a full row to a full row."""
        first = -((own - wanted.half) // 2) - gusset
        every = own + 2 * gusset
        joins = {n for n in range(1, every + 1) if n <= gusset or n > every - gusset}
        bed = Bed(every, 0.5 if self.carrier == "left" else every + 0.5, set(joins), dict.fromkeys(range(every + 1), 0))
        rows = []
        before = dict(self.loop)
        heel = (every, left, wanted.lowering, wanted.plain, self.carrier, 0, gusset)
        for number, done in enumerate(turned_by_hand(heel, bed), 1):
            self.crank([(first + n - 1) % self.slots for n in done.knit], ("own", part, number))
            signs = "".join("c" if n in bed.up else "C" for n in range(1, every + 1))
            rows.append(Row(signs + "c" * (self.slots - every), side_of(bed)))
        self.carrier = side_of(bed)
        turned = {(first + n) % self.slots for n in range(every)}
        for place in range(self.slots):
            assert (self.loop[place] == before[place]) == (place not in turned), "the instep's loops wait, no other"
        assert bed.up == joins, "every needle that was lifted in the turn came down"
        self.told.append((part, rows))

    def waste(self, half: int) -> None:
        """To and fro over the half; the rest is lifted."""
        rows = []
        start = self.carrier
        for number in range(1, WASTE + 1):
            self.crank(list(range(half)), ("waste", "waste", number))
            self.carrier = "right" if self.carrier == "left" else "left"
            rows.append(Row("C" * half + "c" * (self.slots - half), self.carrier))
        assert self.carrier == start, "an even number of passes brings the carrier back"
        self.told.append(("waste", rows))

    def opened(self) -> tuple[list[int], int]:
        """Waste yarn out: the columns with a loop open below the slit, and the whole loops that are open above it.

        Those below are heads of their columns. Above, the yarn lies in arches between neighbours: one fewer than there
        are columns, and half of one at each end.
        """
        below = []
        for place, column in self.column.items():
            at = next((n for n, (yarn, _, _) in enumerate(column) if yarn == "waste"), None)
            if at is not None:
                assert column[at - 1][0] == "own"
                assert column[at + WASTE][0] == "own", "rows went on over the waste yarn"
                below.append(place)
        assert below == list(range(len(below))), "the slit is whole"
        return below, len(below) - 1


def by_hand(wanted: Wanted) -> Wood:
    wood, half, made = Wood(wanted.slots), wanted.half, wanted.made
    wood.rows("separator-in", SEPARATOR, "separator")
    if made in TUBES:
        wood.rows("tube", wanted.leg)
        if made == "tube sock":
            wood.turn("toe", half, wanted, wanted.toe_left)
        wood.rows("separator-out", SEPARATOR, "separator")
        return wood
    if wanted.hem:  # its first loops are hung on the needles beside the last; each place holds one of its own still
        wood.rows("hem", wanted.hem)
    if not wanted.legless:
        wood.rows("leg", wanted.leg)
    if made.startswith("afterthought"):
        wood.waste(half)
    elif made == "mini-gusset":
        wood.turn("heel", half, wanted, wanted.left, wanted.more)
    else:
        wood.turn("heel", half + 2 * wanted.more, wanted, wanted.left)
    wood.rows("foot", wanted.foot)
    wood.turn("toe", half, wanted, wanted.toe_left)
    wood.rows("separator-out", SEPARATOR, "separator")
    if made.startswith("afterthought"):
        below, above = wood.opened()
        assert (len(below), above) == (half, half - 1)
        # Hung anew: those below on the half, the arches above on the rest, with a half one at an end or at both.
        wood.loop = {place: ("own", "below" if place < half else "above", 0) for place in range(wanted.slots)}
        assert wanted.slots - half - (above + 1) in (0, 1), (
            "above there is a loop for each needle, the odd slot's apart"
        )
        wood.carrier = "left"
        wood.turn("heel", half, wanted, wanted.left)
        wood.rows("opened-separator", SEPARATOR, "separator")
    return wood


def planned(wanted: Wanted) -> tuple[SockParts, int]:
    """The same from the engine, of knitting with a row to the millimetre; and the stitches its plan counts."""
    made, half = wanted.made, wanted.half
    if made in TUBES:
        end = "toe" if made == "tube sock" else "drawn up" if made == "drawn up" else "chained off"
        toe_rows = half - wanted.toe_left + (wanted.plain is True) if made == "tube sock" else 0
        tube = plan_tube(
            slots=wanted.slots,
            rows_per_mm=1.0,
            stitches_per_mm=0.3,
            long_mm=float(wanted.leg + toe_rows),
            end=end,  # type: ignore[arg-type]
            toe_left_in_work=wanted.toe_left,
            lowering=wanted.lowering,
            plain_passes=wanted.plain,
        )
        return SockParts(tube.sections, None, tube.toe, end=end), tube.stitches_per_sock  # type: ignore[arg-type]
    kind = {"wide": "short-row", "footlet": "short-row", "afterthought footlet": "afterthought"}.get(made, made)
    heel = HeelAs(
        kind,  # type: ignore[arg-type]
        needles=half + 2 * wanted.more if made == "wide" else None,
        gusset=wanted.more if made == "mini-gusset" else 0,
    )
    rib = None
    if wanted.rib:
        wide = half + 2 * wanted.more
        way = "latched" if "latched" in wanted.rib else "ribber"
        rib = make_rib(wanted.slots, "1x1", way, instep="instep" in wanted.rib, heel_needles=wide)  # type: ignore[arg-type]
    plan = plan_sock(
        slots=wanted.slots,
        rows_per_mm=1.0,
        stitches_per_mm=0.3,
        tube_length_mm=float(wanted.foot),
        leg_mm=0.0 if wanted.legless else float(wanted.leg),
        hem_rows=wanted.hem,
        left_in_work=wanted.left,
        toe_left_in_work=wanted.toe_left,
        lowering=wanted.lowering,
        plain_passes=wanted.plain,
        heel_as=heel,
        rib=rib,
    )
    assert isinstance(plan, SockPlan)
    later = heel.kind == "afterthought"
    return SockParts(plan.sections, plan.heel, plan.toe, plan.cuff, rib=rib, afterthought=later), plan.stitches_per_sock


def head_of(wanted: Wanted) -> Head:
    return Head("s", "sock", steps_of(planned(wanted)[0]), 26, wanted.slots)


def any_of(pick: random.Random, made: Made, slots: int) -> Wanted:
    half = slots // 2
    more = pick.randrange(1, (slots - 4 - half) // 2 + 1) if made in ("wide", "mini-gusset") else 0
    even = pick.randrange(2, half - 2) // 2 * 2
    left, toe_left = max(2 + half % 2, even + half % 2), 2 + half % 2
    plain: tuple[PlainPasses, ...] = (False, True)
    if made not in ("wide", "tube sock") and not made.startswith("afterthought"):
        plain = (False, "before", "after", True)
    lowering, passes = pick.choice(LOWERINGS), pick.choice(plain)
    hem = 4 if made == "afterthought footlet" else 0 if made in TUBES else pick.choice((0, 4))
    return Wanted(made, slots, left, toe_left, lowering, passes, more, pick.randrange(1, 7), pick.randrange(5, 9), hem)


def every_construction() -> list[Wanted]:
    pick = random.Random(20)
    found = [any_of(pick, made, slots) for slots in range(48, 101) for made in MADE]
    usual = [replace(any_of(pick, "short-row", slots), lowering=how) for slots in range(48, 101) for how in LOWERINGS]
    return found + usual


def drawn(state: State) -> str:
    view = unroll(state)
    signs = {Needle.WORK: "C", Needle.UP_NEXT: "C", Needle.LIFTED: "c", Needle.DOWN_NEXT: "c"}
    return "".join(signs[needle] for needle in (*view.heel, *view.instep))


@pytest.mark.parametrize(
    "wanted", some(every_construction(), 7, 0), ids=lambda one: f"{one.made} {one.slots} {one.lowering}"
)
def test_the_engine_holds_every_loop_that_the_wooden_cylinder_holds(wanted: Wanted) -> None:
    """Part by part, row by row and pass by pass; and the stitches of the plan are those really knitted."""
    wood, head = by_hand(wanted), head_of(wanted)
    counted = [(at, step) for at, step in enumerate(head.steps) if isinstance(step, CountRows | CountPasses)]
    assert [(step.id, step.target) for _, step in counted] == [(part, len(rows)) for part, rows in wood.told]
    for (at, step), (part, rows) in zip(counted, wood.told, strict=True):
        assert in_working_yarn(step) == ("separator" not in part and part != "waste")
        for number, row in enumerate(rows, 1):
            state = State(head, index=at)
            state.counts[at] = number
            assert drawn(state) == row.signs, (part, number)
            assert unroll(state).carrier == row.carrier, (part, number)
    assert wood.knit == planned(wanted)[1]
    done = State(head, index=len(head.steps))
    done.counts[:] = [getattr(step, "target", 0) for step in head.steps]
    (piece,) = pieces_of(done)
    assert piece.stitches == wood.knit


def walked(head: Head) -> list[State]:
    """The states of a whole session after every press, each as a copy."""
    state, found = State(head), []
    for entry in entries(to_step(head, "try-on")):
        apply(state, entry)
        if isinstance(entry.event, Pressed):
            found.append(replace(state, counts=list(state.counts)))
    return found


RIBS = ("", "ribber", "ribber instep", "latched", "latched instep")


@st.composite
def constructions(draw: st.DrawFn) -> Wanted:
    """Any construction, plain or in rib where it has a leg, on any cylinder from 48 to 100 slots."""
    made = draw(st.sampled_from(MADE))
    rib = "" if made in TUBES or "footlet" in made else draw(st.sampled_from(RIBS))
    slots = draw(st.integers(24, 50)) * 2 if rib else draw(st.integers(48, 100))
    wanted = any_of(random.Random(draw(st.integers(0, 2**32))), made, slots)
    return replace(wanted, rib=rib, leg=draw(st.integers(1, 12)), foot=draw(st.integers(6, 12)))


def test_an_afterthought_heel_without_a_row_above_it_is_refused() -> None:
    """On the separator yarn alone no loop of the sock's own waits below the waste yarn."""
    wanted = Wanted("afterthought footlet", 64, 10, 10)
    with pytest.raises(AssertionError):
        by_hand(wanted)
    with pytest.raises(CraftError, match="choose a cuff"):
        planned(wanted)
    assert planned(replace(wanted, hem=4))


@given(constructions())
def test_stitches_in_work_are_never_below_those_left_and_every_needle_lifted_comes_down(wanted: Wanted) -> None:
    head = head_of(wanted)
    for state in walked(head):
        step = state.step
        view = unroll(state)
        needles = (*view.heel, *view.instep)
        assert len(needles) == wanted.slots, "no needle is lost"
        working = sum(needle in (Needle.WORK, Needle.UP_NEXT) for needle in needles)
        if not isinstance(step, CountPasses):
            assert Needle.LIFTED not in needles
            assert working > 0
            continue
        assert working >= step.left_in_work > 0
        if state.count == step.target:
            up = [n for n, needle in enumerate(view.heel, 1) if needle is Needle.LIFTED]
            gusset = step.gusset
            assert up == [*range(1, gusset + 1), *range(step.needles - gusset + 1, step.needles + 1)]


@given(constructions())
def test_both_ends_of_each_construction_join_the_tube_with_all_needles_in_work(wanted: Wanted) -> None:
    """Before a turn and after it every needle of the row works, the turn's own from the first pass on; so do the rows
    that the whole begins and ends with, after which all is cast off."""
    head = head_of(wanted)
    counted = [at for at, step in enumerate(head.steps) if isinstance(step, CountRows | CountPasses)]
    whole = {Needle.WORK}
    for before, at in pairwise(counted):
        step = head.steps[at]
        if not isinstance(step, CountPasses):
            continue
        for joined in (before, next((later for later in counted if later > at), None)):
            view = unroll(State(head, index=joined)) if joined is not None else None
            resting = {Needle.RIBBER, Needle.OUT} if wanted.rib else set()
            assert view is None or {*view.heel, *view.instep} - resting == whole, step.id
        after = head.steps[at + 1 : at + 6]
        assert any(plain_id(one.id).endswith("-lower") for one in after), f"after {step.id} the instep comes down"
    for at in (counted[0], counted[-1]):
        view = unroll(State(head, index=at))
        assert {*view.heel, *view.instep} == whole
    assert any(step.id in ("take-off", "opened-off") for step in head.steps[counted[-1] :]), "all is cast off"


@given(constructions())
def test_the_second_of_a_string_is_made_as_the_first(wanted: Wanted) -> None:
    parts, stitches = planned(wanted)
    head = Head("s", "string", string_steps([parts] * 2), 26, wanted.slots)
    first, second = (
        [replace(step, id=plain_id(step.id), title="") for step in head.steps if step.id.startswith(f"s{sock}-")]
        for sock in (1, 2)
    )
    assert [step for step in first if step.id not in ("tail", "try-on")] == [
        step for step in second if step.id != "try-on"
    ]
    done = State(head, index=len(head.steps))
    done.counts[:] = [getattr(step, "target", 0) for step in head.steps]
    assert [piece.stitches for piece in pieces_of(done)] == [stitches] * 2
