"""Whole socks with each kind of heel, walked needle by needle round the cylinder; no line of the engine is asked how.

The walk does as it is told, so it knows the steps by their names and reads from them how much of what: at some of
them hands lift or lower needles, at others the carrier goes round, or to and fro over what is down. How much of what it
has to be is held in `test_constructions`, whose cylinder reads no step.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import TYPE_CHECKING

import pytest

from hosewright.craft import CraftError
from hosewright.craft.heels import HeelAs, part_rows, usual_gusset
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.turning import depth_rows, looks_after, middle_needle, passes_cranked
from hosewright.picture.of_sock import Knitted, of_session
from hosewright.session.cues import cues
from hosewright.session.events import Pressed, Spoilt
from hosewright.session.procedures import SockParts, string_steps
from hosewright.session.reasons import reason_of
from hosewright.session.results import pieces_of, where_work_is
from hosewright.session.rules import refusal
from hosewright.session.steps import Confirm, CountPasses, CountRows, Head, Step, plain_id
from hosewright.session.unrolled import Needle, unroll
from hosewright.session.words import heard_pass, instruction, now_words, turning_points
from tests.craft.test_needles import Bed, by_hand
from tests.helpers import folded, sock_steps, to_step
from tests.session.test_strings import Run

if TYPE_CHECKING:
    from hosewright.craft.turning import PlainPasses

PLAIN: tuple[PlainPasses, ...] = (False, "before", "after", True)


def planned(slots: int, heel: HeelAs, plain: PlainPasses = False, part: int = 0) -> SockPlan:
    return plan_sock(
        slots=slots, rows_per_mm=0.4, stitches_per_mm=0.3, tube_length_mm=35.0, leg_mm=25.0, plain_passes=plain,
        part_row=part, heel_as=heel,
    )  # fmt: skip


class Cylinder:
    """All needles in the order the carrier meets them, the heel half first; ``at`` is the one it meets next.

    ``rounds`` are the rows each needle knitted, ``knit`` all its stitches.
    """

    def __init__(self, slots: int, heel: HeelAs, part: int) -> None:
        self.slots, self.half = slots, slots // 2
        self.more = ((heel.needles or self.half) - self.half) // 2
        self.gusset = heel.gusset
        self.at = (-self.more - part) % slots
        self.up: set[int] = set()
        self.rounds: Counter[int] = Counter()
        self.knit: Counter[int] = Counter()

    def own(self, name: str) -> list[int]:
        """The needles that heel or toe begins and ends with, from the left."""
        beyond = self.more if name == "heel" else 0
        return [n % self.slots for n in range(-beyond, self.half + beyond)]

    def go_round(self, stitches: int) -> None:
        assert not self.up, "a row goes over every needle"
        for _ in range(stitches):
            self.rounds[self.at] += 1
            self.knit[self.at] += 1
            self.at = (self.at + 1) % self.slots

    def lay_in(self, step: CountPasses) -> None:
        """Waste yarn, to and fro over what is down: a loop on each of the half and on no other; the carrier is back."""
        assert step.yarn == "separator"
        begins, laid = self.at, Counter[int]()
        for _ in range(step.target):
            down = [n for n in range(self.slots) if n not in self.up]
            laid.update(down)
            self.at = (down[-1] + 1) % self.slots if self.at == down[0] else down[0]
        assert laid == dict.fromkeys(range(self.half), step.target)
        assert self.at == begins, "an even number of passes"

    def turn(self, name: str, step: CountPasses) -> None:
        own = self.own(name)
        assert set(own) == set(range(self.slots)) - self.up
        from_left = step.carrier == "left"
        assert self.at == (own[0] if from_left else (own[-1] + 1) % self.slots), "the carrier stands at their end"
        gusset = self.gusset if name == "heel" else 0
        all_of_it = [(own[0] - gusset + n) % self.slots for n in range(len(own) + 2 * gusset)]
        h = len(all_of_it)
        joins = {n for n in range(1, h + 1) if n <= gusset or n > h - gusset}
        bed = Bed(h, 0.5 if from_left else h + 0.5, set(joins), dict.fromkeys(range(1, h + 1), 0))
        heel = (h, step.left_in_work, step.lowering, step.plain_passes, step.carrier, step.extra_passes, gusset)
        passes = 0
        for done in by_hand(heel, bed):
            passes += 1
            assert done.knit
            for needle in done.knit:
                self.knit[all_of_it[needle - 1]] += 1
        assert passes == step.target
        assert bed.up == joins
        self.at = own[0] if bed.gap < 1 else (own[-1] + 1) % self.slots

    def take(self, step: Step) -> None:
        name = plain_id(step.id)
        if isinstance(step, CountRows):
            assert step.yarn == "separator" or step.target > 0
            if step.yarn == "working":
                self.go_round(step.target * self.slots)
            assert not self.up, "a row goes over every needle"
        elif isinstance(step, CountPasses):
            self.lay_in(step) if name == "waste" else self.turn(name, step)
        elif isinstance(step, Confirm):
            self.go_round(step.stitches) if step.stitches else None
            part, _, what = name.partition("-")
            if name == "opened-hang":  # below the slit on the heel half, above it on the other: a tube on all needles
                assert not self.up
                self.at = 0
            if what == "needles":
                self.up = set(range(self.slots)) - set(self.own("toe" if part == "toe" else "heel"))
            elif what == "lower":
                self.up = set()


def cases() -> list[tuple[int, HeelAs, PlainPasses, int]]:
    pick = random.Random(7)
    found = []
    for slots in range(48, 101):
        half = slots // 2
        kinds = [HeelAs(needles=half + 2 * more) for more in (1, 3, pick.randrange(1, 9))]
        kinds += [HeelAs("mini-gusset", gusset=g) for g in (1, usual_gusset(slots), pick.randrange(1, 10))]
        for heel in (*kinds, HeelAs("afterthought")):
            part = pick.choice((0, 1, half // 2, slots - 1))
            single_turns_it = heel.needles or (part and heel.kind == "afterthought")
            found.append((slots, heel, pick.choice((False, True) if single_turns_it else PLAIN), part))
    return found


@pytest.mark.parametrize(("slots", "heel", "plain", "part"), cases())
def test_the_tube_is_whole_before_and_after_each_heel(slots: int, heel: HeelAs, plain: PlainPasses, part: int) -> None:
    plan = planned(slots, heel, plain, part)
    heel_row, toe_row = part_rows(part, plan.heel, plan.toe, slots)
    steps = sock_steps(
        plan.sections,
        plan.heel,
        plan.toe,
        8,
        part_row=heel_row,
        toe_row=toe_row,
        afterthought=heel.kind == "afterthought",
    )
    cylinder = Cylinder(slots, heel, part)
    for step in steps:
        cylinder.take(step)
    rows = sum(section.count for section in plan.sections if section.kind == "rows")
    assert set(cylinder.rounds.values()) == {rows}
    assert len(cylinder.rounds) == slots, "every needle knits every row"
    assert not cylinder.up, "every needle that was lifted came down"
    assert cylinder.knit.total() == plan.stitches_per_sock


@pytest.mark.parametrize("heel", [HeelAs(needles=38), HeelAs("mini-gusset", gusset=6), HeelAs("afterthought")])
def test_a_twin_and_a_string_have_the_steps_of_the_first(heel: HeelAs) -> None:
    plan = planned(64, heel)
    later = heel.kind == "afterthought"
    first = sock_steps(plan.sections, plan.heel, plan.toe, afterthought=later)
    string = string_steps([SockParts(plan.sections, plan.heel, plan.toe, afterthought=later)] * 2)
    turned = [step for step in first if isinstance(step, CountPasses)]
    for number in (1, 2):
        same = [step for step in string if isinstance(step, CountPasses) and step.id.startswith(f"s{number}-")]
        assert [step.turning for step in same] == [step.turning for step in turned]


@pytest.mark.parametrize(("heel", "part"), [(HeelAs(needles=38), 0), (HeelAs("afterthought"), 12)])
@pytest.mark.parametrize("plain", ["before", "after"])
def test_a_single_plain_pass_is_refused_where_the_last_row_would_not_close(
    heel: HeelAs, part: int, plain: PlainPasses
) -> None:
    with pytest.raises(CraftError, match="choose none, or one before and one after"):
        planned(64, heel, plain, part)


LATER = plan_sock(
    slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, foot_length_mm=240, leg_mm=60, heel_as=HeelAs("afterthought")
)


def cranked_on(sock: SockPlan = LATER, socks: int = 0) -> Run:
    """A session of a sock, or of a string of ``socks``, with an afterthought heel, where it begins."""
    if socks:
        steps = string_steps([SockParts(sock.sections, sock.heel, sock.toe, afterthought=True)] * socks)
        return Run(Head("string", "string", steps, 26, sock.slots))
    steps = sock_steps(sock.sections, sock.heel, sock.toe, afterthought=True)
    return Run(Head("sock", "sock", steps, 26, sock.slots))


def test_an_afterthought_heel_keeps_the_length_of_the_foot_and_comes_last() -> None:
    usual = plan_sock(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, foot_length_mm=240, leg_mm=60)
    assert LATER.foot_rows == usual.foot_rows
    assert LATER.stitches_per_sock == usual.stitches_per_sock
    assert [section.name for section in LATER.sections] == ["leg", "foot", "toe", "heel"]


def test_an_afterthought_heel_is_cranked_after_the_sock_came_off() -> None:
    run = cranked_on()
    run.on_to("waste")
    assert (now_words(run.state), run.state.target) == (
        "waste yarn, heel half, pass 1 of 2: carrier on the left, a plain pass over all the needles", 2,
    )  # fmt: skip
    assert all(needle is Needle.LIFTED for needle in unroll(run.state).instep)
    assert "apart until the heel is turned in" in reason_of(run.state).why
    run.on_to("opened-loops")
    assert where_work_is(run.state) == "off the machine"
    assert "Take up the 30 loops below the waste yarn" in instruction(run.state)
    assert "30, or 29 where a half loop" in instruction(run.state)
    run.on_to("opened-join")
    assert where_work_is(run.state) == "on the machine"
    run.on_to("heel")
    assert run.state.target == LATER.heel.count
    run.on_to("graft-heel")
    assert where_work_is(run.state) == "off the machine"
    run.on_to("")
    (piece,) = pieces_of(run.state)
    assert (piece.standing, piece.stitches) == ("cranked", LATER.stitches_per_sock)
    assert piece.passes == LATER.heel.count + LATER.toe.count  # none of the waste yarn's
    assert run.stands_again() == run.state


def test_each_afterthought_heel_of_a_string_belongs_to_its_sock() -> None:
    run = cranked_on(socks=2)
    run.on_to("s2-foot")
    assert [piece.standing for piece in pieces_of(run.state)] == ["on the machine"] * 2
    run.on_to("s2-heel")
    one, two = pieces_of(run.state)
    assert (one.standing, one.stitches) == ("cranked", LATER.stitches_per_sock)
    assert two.stitches == LATER.stitches_per_sock - LATER.heel.stitches
    assert refusal(run.state, Spoilt("ran", again=True)) is not None
    run.do(Spoilt("ran", again=False))
    assert run.state.step is not None
    assert run.state.step.id == "graft"
    assert [piece.standing for piece in pieces_of(run.state)] == ["cranked", "spoilt"]


def test_the_picture_fills_the_heel_last() -> None:
    run = cranked_on()
    by = Knitted(0.42, 0.32, 60)
    run.on_to("opened-loops")
    drawn = of_session(run.state, by)
    assert drawn is not None
    shape, done = drawn
    assert shape.names == ("leg", "foot", "toe", "heel")
    assert done == (*shape.counts[:-1], 0)
    run.on_to("")
    whole = of_session(run.state, by)
    assert whole is not None
    assert whole[1] == whole[0].counts


@pytest.mark.parametrize("heel", [HeelAs(needles=38), HeelAs("mini-gusset", gusset=6)])
def test_a_deeper_heel_says_what_it_does_to_the_foot(heel: HeelAs) -> None:
    by_tube = planned(64, heel)
    more = depth_rows(by_tube.heel) - 22  # 32 needles down to 10
    by_foot, usual = (
        plan_sock(slots=64, rows_per_mm=0.4, stitches_per_mm=0.3, foot_length_mm=260, heel_as=one)
        for one in (heel, HeelAs())
    )
    said = f"This heel is {more} rows deeper than a short-row heel over half: the foot"
    assert any(note.startswith(f"{said} keeps the rows of the sock that fits") for note in by_tube.notes)
    assert any(note.startswith(f"{said} gets {more} rows fewer") for note in by_foot.notes)
    assert by_foot.foot_rows == usual.foot_rows - more


def test_the_gusset_is_told_pass_by_pass_to_eye_and_ear() -> None:
    plan = planned(64, HeelAs("mini-gusset", gusset=6))
    run = Run(Head("sock", "sock", sock_steps(plan.sections, plan.heel, plan.toe), 26, 64))
    run.on_to("heel-needles")
    told = instruction(run.state)
    assert told.startswith(
        "The carrier stands at the left end of the heel half, needles 7 to 38. Mark needles 1 and 44"
    )
    run.on_to("heel")
    step = run.state.step
    assert isinstance(step, CountPasses)
    assert heard_pass(step, 0) == "39 down right. 1."
    assert heard_pass(step, 1) == "6 down left. 2."
    assert heard_pass(step, 12) == "1 up left. 13."
    assert heard_pass(step, 72) == "1 up left. 73."
    assert turning_points(step) == ((13, "go up"), (43, "come down"), (73, "go up"))
    assert [cue.words for cue in cues(run.state)[:2]] == ["needles begin to go up", "needles begin to come down"]
    run.do(*[Pressed()] * 12)
    assert reason_of(run.state).why.startswith("At each pass one needle leaves off")
    run.do(*[Pressed()] * 60)
    assert "leave the heel as they came" in reason_of(run.state).why


@pytest.mark.parametrize("heel", [HeelAs(needles=38), HeelAs("mini-gusset", gusset=6)])
def test_a_lost_count_is_found_in_these_heels_too(heel: HeelAs) -> None:
    turning = planned(64, heel).heel
    always = set.intersection(*(set(one.in_work) for one in turning.passes()))
    assert middle_needle(turning) in always
    for n in range(turning.count + 1):
        left, right, carrier = looks_after(turning, n)[0]
        assert passes_cranked(turning, column=n, left=left, right=right, carrier=carrier) == (n,)


@pytest.mark.parametrize(("needles", "more"), [(34, 1), (38, 3)])
def test_a_wide_heel_says_how_many_more_needles_it_has_on_each_side(needles: int, more: int) -> None:
    def told(heel: HeelAs) -> str:
        plan = planned(64, heel)
        head = Head("sock", "sock", sock_steps(plan.sections, plan.heel, plan.toe), 26, 64)
        return instruction(folded(head, *to_step(head, "heel-needles")))

    assert f"The heel is turned on {needles} needles, {more} more on each side than half" in told(
        HeelAs(needles=needles)
    )
    assert "more on each side" not in told(HeelAs())
