"""A ribbed sock knitted on two beds of wood, by the rules a knitter is taught; the engine is held against them.

Nothing here knows how the engine works a sock out: a place has a loop on the cylinder, on the ribber, or a ladder.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft.cuffs import ribber_rib
from hosewright.craft.heels import HeelAs
from hosewright.craft.ribs import make_rib
from hosewright.craft.sock import plan_sock
from hosewright.session.events import Confirmed
from hosewright.session.fold import fold
from hosewright.session.procedures import SockParts, string_steps
from hosewright.session.reasons import reason_of
from hosewright.session.results import pieces_of
from hosewright.session.state import State
from hosewright.session.steps import Confirm, CountPasses, CountRows, Head, plain_id
from hosewright.session.steps.catalogue import CATALOGUE
from hosewright.session.unrolled import Needle, unroll
from hosewright.session.unrolled import by_hand as moved_by_hand
from hosewright.session.words import instruction
from tests.helpers import entries, folded, rows, sock_steps, some, to_step

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.craft.ribs import Way
    from hosewright.craft.sock import SockPlan

CYLINDER, RIBBER, LADDER = "c", "r", "-"


@dataclass
class Beds:
    """Where each place of the round has its loop; ``still`` are places whose needle keeps it and does not knit."""

    slots: int
    at: dict[int, str] = field(default_factory=dict)
    still: set[int] = field(default_factory=set)
    rungs: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.at = dict.fromkeys(range(1, self.slots + 1), CYLINDER)

    def move(self, places: list[int], bed: str) -> None:
        for place in places:
            if bed == LADDER:
                self.rungs[place] = 0
            self.at[place] = bed

    def row(self, over: set[int] | None = None) -> tuple[str, ...]:
        """Knit round, or a pass ``over`` some needles of the cylinder: each place as it stood, a capital knitted."""
        told = []
        for place, bed in self.at.items():
            knits = place not in self.still if over is None else place in over
            if knits and bed == LADDER:
                self.rungs[place] += 1
            told.append(bed.upper() if knits else bed)
        return tuple(told)


def pocket(half: int, left: int) -> Iterator[set[int]]:
    """The needles that knit in each pass: up beside the carrier one by one, down again away from it."""
    low, high, on_left = 1, half, True
    while high - low + 1 > left:
        low, high = (low + 1, high) if on_left else (low, high - 1)
        on_left = not on_left
        yield set(range(low, high + 1))
    while high - low + 1 < half:
        low, high = (low, high + 1) if on_left else (low - 1, high)
        on_left = not on_left
        yield set(range(low, high + 1))


@dataclass(frozen=True)
class Wanted:
    slots: int
    plain: int  # stitches between two ribs
    way: Way
    instep: bool
    cuff: int  # plain stitches between two ribs of the ribber's cuff; 0: no cuff
    leg: int = 9
    ankle: int = 0
    foot: int = 8

    @property
    def left(self) -> int:
        half = self.slots // 2
        return half // 3 + (half - half // 3) % 2


def by_hand(wanted: Wanted) -> tuple[dict[str, list[tuple[str, ...]]], Beds, list[int]]:
    """Every row and pass by the part it is of, the beds at the end, and the rungs of every ladder latched up."""
    beds, half, rungs = Beds(wanted.slots), wanted.slots // 2, list[int]()
    told: dict[str, list[tuple[str, ...]]] = {}

    def every(plain: int) -> list[int]:
        return [place for place in beds.at if place % (plain + 1) == 0]

    def knit(part: str, count: int) -> None:
        told[part] = [beds.row() for _ in range(count)]

    def home(places: list[int]) -> None:
        """Back to the cylinder, a ladder latched up first."""
        rungs.extend(beds.rungs.pop(place) for place in places if beds.at[place] == LADDER)
        beds.move(places, CYLINDER)

    def turn(part: str) -> None:
        assert all(beds.at[place] == CYLINDER for place in range(1, half + 1)), "the half that turns is whole"
        assert not {place for place in beds.still if place <= half}
        told[part] = [beds.row(over) for over in pocket(half, wanted.left)]

    ribbed = every(wanted.plain)
    sign = RIBBER if wanted.way == "ribber" else LADDER
    if wanted.cuff:
        beds.move(every(wanted.cuff), RIBBER)
        knit("cuff", 5)
        home(every(wanted.cuff))
    beds.move(ribbed, sign)
    knit("leg", wanted.leg)
    if wanted.ankle:
        knit("ankle", wanted.ankle)
    stays = [place for place in ribbed if place > half and wanted.instep]
    home([place for place in ribbed if place not in stays])
    beds.still = set(stays) if sign == RIBBER else set()
    turn("heel")
    beds.still = set()
    plain_rows = 2 if wanted.instep else 0
    knit("foot", wanted.foot - plain_rows)
    if plain_rows:
        home(stays)
        knit("foot-plain", plain_rows)
    turn("toe")
    return told, beds, rungs


def engine(wanted: Wanted) -> tuple[Head, int]:
    """The session of the same sock, and the stitches its plan counts."""
    cuff = ribber_rib(wanted.slots, f"{wanted.cuff}x1", 5) if wanted.cuff else None
    plan = plan_sock(
        slots=wanted.slots,
        rows_per_mm=1.0,
        stitches_per_mm=0.32,
        tube_length_mm=float(wanted.foot),
        leg_mm=float(wanted.leg),
        left_in_work=wanted.left,
        extra_heel_rows=wanted.ankle,
        cuff=cuff,
        rib=make_rib(wanted.slots, f"{wanted.plain}x1", wanted.way, instep=wanted.instep),
    )
    steps = sock_steps(plan.sections, plan.heel, plan.toe, cuff=cuff, rib=plan.rib)
    return Head("s", "sock", steps, 26, wanted.slots), plan.stitches_per_sock


def drawn(state: State) -> tuple[str, ...]:
    """The strip of needles in the signs of the wooden beds."""
    view = unroll(state)
    signs = {
        Needle.WORK: "C",
        Needle.UP_NEXT: "C",
        Needle.LIFTED: "c",
        Needle.DOWN_NEXT: "c",
        Needle.RIBBER: "R",
        Needle.WAITS: "r",
        # A ladder gets a rung in every round, and none while the half beside it turns.
        Needle.OUT: "-",
    }
    return tuple(signs[needle] for needle in (*view.heel, *view.instep))


def every_sock() -> list[Wanted]:
    found = []
    for slots in range(48, 101):
        for plain in (1, 2, 3):
            if slots % (plain + 1):
                continue
            cuffs = [0, *(cuff for cuff in (1, 2, 3) if slots % (cuff + 1) == 0)]
            for number, (way, instep) in enumerate((w, i) for w in ("ribber", "latched") for i in (True, False)):
                cuff = cuffs[(slots + plain + number) % len(cuffs)]
                found.append(Wanted(slots, plain, way, instep, cuff, ankle=(slots + number) % 3))  # type: ignore[arg-type]
    return found


@pytest.mark.parametrize(
    "wanted", some(every_sock(), 3, 1), ids=lambda one: f"{one.slots} {one.plain}x1 {one.way} {one.instep}"
)
def test_the_engine_holds_every_loop_where_hands_hold_it(wanted: Wanted) -> None:
    told, beds, rungs = by_hand(wanted)
    head, planned = engine(wanted)
    counted = [step for step in head.steps if plain_id(step.id) in told]
    assert [(step.id, step.target) for step in counted] == [(part, len(done)) for part, done in told.items()]  # type: ignore[union-attr]
    stitches = 0
    for index, step in enumerate(head.steps):
        for number, row in enumerate(told.get(step.id, ())):
            state = State(head, index=index)
            state.counts[index] = number + isinstance(step, CountPasses)  # a pass is drawn as it left the needles
            assert drawn(state) == row, (step.id, number)
            stitches += sum(sign in "CR" for sign in row)
    assert stitches == planned
    assert set(beds.at.values()) == {CYLINDER}, "every needle that left comes back"
    assert not beds.rungs
    done = fold(head, entries(to_step(head, "part")))
    (piece,) = pieces_of(done)
    assert (piece.stitches, piece.stitches_planned) == (stitches, stitches)
    said = {step.id: instruction(at(head, step.id)) for step in head.steps if isinstance(step, Confirm)}
    closing = [name for name in ("ladders-heel", "ladders-up") if name in said]
    for name in closing:
        assert any(f"{count} rungs each" in said[name] for count in set(rungs)), said[name]
    assert len(closing) == (0 if wanted.way == "ribber" else 1 + wanted.instep)


@pytest.mark.parametrize(
    "wanted", some(every_sock(), 9, 0), ids=lambda one: f"{one.slots} {one.plain}x1 {one.way} {one.cuff}"
)
def test_what_the_strip_marks_at_each_step_leads_from_row_to_row(wanted: Wanted) -> None:
    told, _, _ = by_hand(wanted)
    head, _ = engine(wanted)
    hands = ["C"] * wanted.slots
    for index, step in enumerate(head.steps):
        rows_of = told.get(step.id)
        if rows_of is None:
            hands = moved(hands, State(head, index=index))
            continue
        apart = [place for place in range(wanted.slots) if hands[place] != rows_of[0][place]]
        assert apart == ([0] if isinstance(step, CountPasses) else []), step.id  # the first pass lifts needle 1
        hands = list(rows_of[-1])


def moved(hands: list[str], state: State) -> list[str]:
    """The places once the hands did what the strip marks; a ladder stands where a ladder step took a needle out."""
    view, found = moved_by_hand(state), list(hands)
    if view is None or state.step is None:
        return found
    turns = state.step.id in ("heel-needles", "toe-needles")
    for at, needle in enumerate((*view.heel, *view.instep)):
        if needle is Needle.UP_NEXT:
            assert found[at] == "C", "only what is in work leaves it"
            found[at] = "c" if turns else LADDER if state.step.id == "ladders-out" else "R"
        elif needle is Needle.DOWN_NEXT:
            assert found[at] != "C", "only what is out of work comes back"
            found[at] = "C"
        elif needle in (Needle.RESTS_NEXT, Needle.KNITS_NEXT):
            assert found[at].lower() == RIBBER
            found[at] = RIBBER if needle is Needle.RESTS_NEXT else RIBBER.upper()
    return found


def at(head: Head, name: str) -> State:
    return fold(head, entries(to_step(head, name)))


@given(
    slots=st.integers(24, 50).map(lambda half: 2 * half),
    plain=st.sampled_from((1, 2, 3)),
    way=st.sampled_from(("ribber", "latched")),
    instep=st.booleans(),
    leg=st.integers(1, 30),
    foot=st.integers(5, 30),
    part=st.integers(0, 40),
)
def test_no_needle_is_lost_whatever_is_planned(
    slots: int, plain: int, way: Way, instep: bool, leg: int, foot: int, part: int
) -> None:
    slots -= slots % (2 * (plain + 1))
    rib = make_rib(slots, f"{plain}x1", way, instep=instep)
    plan = plan_sock(
        slots=slots,
        rows_per_mm=1.0,
        stitches_per_mm=0.32,
        tube_length_mm=float(foot),
        leg_mm=float(leg),
        part_row=part,
        rib=rib,
    )
    split = (part, slots - part) if part else (0, 0)
    steps = sock_steps(plan.sections, plan.heel, plan.toe, part_row=split, rib=rib)
    head = Head("s", "sock", steps, 26, slots)
    cranked = [step for step in steps if isinstance(step, CountRows | CountPasses)]
    for index, step in enumerate(steps):
        view = unroll(State(head, index=index))
        needles = (*view.heel, *view.instep)
        assert len(needles) == slots
        out = sum(needle in (Needle.OUT, Needle.RIBBER, Needle.WAITS) for needle in needles)
        assert out in (0, len(rib.leg), len(rib.instep)), step.id
        if step in (cranked[0], cranked[-1]):
            assert set(needles) == {Needle.WORK}, "both ends join on needles that all work"
        if isinstance(step, CountPasses):
            assert set(view.heel) <= {Needle.WORK, Needle.UP_NEXT}, "the half that turns begins whole"
    (piece,) = pieces_of(fold(head, entries(to_step(head, "part"))))
    assert piece.stitches == plan.stitches_per_sock == sum(section.stitches for section in plan.sections)


@pytest.mark.parametrize("slots", range(48, 101, 4))
@pytest.mark.parametrize("gusset", [3, 6, 8])
def test_the_needles_of_a_gusset_are_plain_before_they_join_the_heel(slots: int, gusset: int) -> None:
    wide = slots // 2 + 2 * gusset
    rib = make_rib(slots, "3x1", instep=True, heel_needles=wide)
    # Of every fourth needle those beyond the heel's stay on the ribber; the rest go home before the first pass.
    assert rib.instep == tuple(place for place in range(4, slots + 1, 4) if place > wide)
    plan = plan_sock(
        slots=slots,
        rows_per_mm=1.0,
        stitches_per_mm=0.32,
        tube_length_mm=20.0,
        leg_mm=9.0,
        rib=rib,
        heel_as=HeelAs("mini-gusset", gusset=gusset),
    )
    steps = sock_steps(plan.sections, plan.heel, plan.toe, rib=rib)
    head = Head("s", "sock", steps, 26, slots)
    for index, step in enumerate(steps):
        if step.id != "heel":
            continue
        assert isinstance(step, CountPasses)
        for count in range(step.target + 1):
            state = State(head, index=index)
            state.counts[index] = count
            view = unroll(state)
            assert Needle.RIBBER not in (*view.heel, *view.instep)
            waits = [wide + 1 + at for at, needle in enumerate(view.instep) if needle is Needle.WAITS]
            assert tuple(waits) == rib.instep
            assert Needle.WAITS not in view.heel
    (piece,) = pieces_of(fold(head, entries(to_step(head, "part"))))
    assert piece.stitches == plan.stitches_per_sock


def latched(slots: int = 64) -> SockPlan:
    rib = make_rib(slots, "3x1", "latched", instep=True)
    return plan_sock(
        slots=slots, rows_per_mm=1.0, stitches_per_mm=0.32, tube_length_mm=20.0, leg_mm=12.0, extra_heel_rows=2, rib=rib
    )


def test_the_rungs_are_the_rows_really_cranked() -> None:
    plan = latched()
    head = Head("s", "sock", sock_steps(plan.sections, plan.heel, plan.toe, rib=plan.rib), 26, 64)
    more = [*to_step(head, "leg"), *rows(15), Confirmed(), *rows(2), Confirmed()]  # 12 were planned, and 2 of ankle
    told = instruction(fold(head, entries(more)))
    assert "8 ladders of the heel half (every 4th, 4 to 32), 17 rungs each" in told
    later = [*more, *to_step(head, "ladders-up")[len(to_step(head, "ladders-heel")) :]]
    # The instep's went on through the foot's 18 ribbed rows; no heel pass adds a rung.
    assert "8 ladders (every 4th, 36 to 64), 35 rungs each" in instruction(fold(head, entries(later)))


@pytest.mark.parametrize(("way", "says"), [("latched", "leg, ladders"), ("ribber", "leg, ribbed")])
def test_a_ribbed_leg_is_told_of_as_it_is_ribbed(way: Way, says: str) -> None:
    rib = make_rib(64, "3x1", way, instep=True)
    plan = plan_sock(slots=64, rows_per_mm=1.0, stitches_per_mm=0.32, tube_length_mm=20.0, leg_mm=12.0, rib=rib)
    head = Head("s", "sock", sock_steps(plan.sections, plan.heel, plan.toe, rib=plan.rib), 26, 64)
    for part in ("leg", "foot"):
        assert reason_of(folded(head, *to_step(head, part))) == CATALOGUE[says.replace("leg", part)]


def test_each_sock_of_a_string_has_its_own_ribs() -> None:
    plan = latched()
    ribber = make_rib(64, "1x1", instep=True)
    socks = [
        SockParts(plan.sections, plan.heel, plan.toe, rib=plan.rib),
        SockParts(plan.sections, plan.heel, plan.toe),
        SockParts(plan.sections, plan.heel, plan.toe, rib=ribber),
    ]
    head = Head("s", "string", string_steps(socks), 26, 64)
    done = fold(head, entries(to_step(head, "part")))
    seen = {}
    for index, step in enumerate(head.steps):
        if isinstance(step, CountRows):
            view = unroll(State(head, index=index))
            seen[step.id] = {*view.heel, *view.instep} - {Needle.WORK}
    assert [seen[f"s{sock}-leg"] for sock in (1, 2, 3)] == [{Needle.OUT}, set(), {Needle.RIBBER}]
    assert [seen[f"s{sock}-foot"] for sock in (1, 2, 3)] == [{Needle.OUT}, set(), {Needle.RIBBER}]
    assert [seen[f"s{sock}-separator-in"] for sock in (1, 2, 3)] == [set()] * 3
    first, plain, ribbed = pieces_of(done)
    assert first.stitches == plan.stitches_per_sock
    # The ribber knits every stitch that a ladder leaves out: as many as the plain sock.
    assert ribbed.stitches == plain.stitches > first.stitches
    assert "the stitches of 32 needles (every 2nd, 2 to 64) go to ribber needles" in instruction(at(head, "s3-rib-on"))
