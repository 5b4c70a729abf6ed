"""The cylinder unrolled, held against the closed form pass by pass."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hosewright.craft.turning import default_left_in_work
from hosewright.session.state import State
from hosewright.session.steps import Confirm, CountPasses, CountRows, Head
from hosewright.session.unrolled import Needle, by_hand, unroll

if TYPE_CHECKING:
    from collections.abc import Sequence


def at(slots: int, count: int, **turned: object) -> State:
    half = slots // 2
    step = CountPasses("heel", "Heel", half, default_left_in_work(half), **turned)  # type: ignore[arg-type]
    state = State(Head("s", "sock", (step,), 26, slots))
    state.counts[0] = count
    return state


@pytest.mark.parametrize("slots", range(40, 121))
def test_every_pass_of_every_cylinder_follows_the_closed_form(slots: int) -> None:
    half, left = slots // 2, default_left_in_work(slots // 2)
    narrowing = half - left
    for count in range(2 * narrowing + 1):
        view = unroll(at(slots, count))
        assert len(view.heel) == half
        assert len(view.instep) == slots - half
        assert set(view.instep) == {Needle.LIFTED}
        working = sum(n in (Needle.WORK, Needle.UP_NEXT) for n in view.heel)
        # narrowing takes one needle a pass from H to E, widening gives one back a pass
        assert working == (half - count if count <= narrowing else left + count - narrowing)
        if count == 2 * narrowing:
            assert set(view.heel) == {Needle.WORK}
            continue
        moving = [n for n in view.heel if n in (Needle.UP_NEXT, Needle.DOWN_NEXT)]
        assert moving == [Needle.UP_NEXT if count < narrowing else Needle.DOWN_NEXT]
        assert view.carrier == ("left" if count % 2 == 0 else "right")


def test_the_31st_pass_of_60_slots() -> None:
    # 20 passes lifted 1 to 10 and 21 to 30; the 10 since lowered 10 to 6 and 21 to 25, so 26 is next.
    view = unroll(at(60, 30))
    assert view.carrier == "left"
    assert view.heel.index(Needle.DOWN_NEXT) + 1 == 26
    work, up, down = Needle.WORK, Needle.LIFTED, Needle.DOWN_NEXT
    assert view.heel == (*[up] * 5, *[work] * 20, down, *[up] * 4)


@pytest.mark.parametrize("lowering", ["far", "near", "two-and-one"])
@pytest.mark.parametrize("plain", [False, True])
def test_every_way_of_lowering_ends_with_the_heel_in_work(lowering: str, plain: bool) -> None:
    state = at(60, 0, lowering=lowering, plain_passes=plain)
    step = state.step
    assert isinstance(step, CountPasses)
    seen = set()
    for count in range(step.target + 1):
        state.counts[0] = count
        seen |= set(unroll(state).heel)
    assert set(unroll(state).heel) == {Needle.WORK}
    assert {Needle.UP_NEXT, Needle.DOWN_NEXT, Needle.LIFTED} <= seen


def test_a_mock_rib_shows_its_needles_out_of_work() -> None:
    leg = CountRows("leg", "Leg", 40, out_of_work=(4, 8, 60))
    state = State(Head("s", "sock", (leg,), 26, 60))
    view = unroll(state)
    whole = view.heel + view.instep
    assert [n + 1 for n, needle in enumerate(whole) if needle is Needle.OUT] == [4, 8, 60]
    plain = unroll(State(Head("s", "sock", (replace(leg, out_of_work=()),), 26, 61)))
    assert (len(plain.heel), len(plain.instep), plain.carrier) == (30, 31, None)


def marks(steps: Sequence[Confirm | CountRows | CountPasses], index: int, slots: int = 60) -> str:
    """The needles at a step by their marks, a letter each; empty where none is moved."""
    view = by_hand(State(Head("s", "sock", tuple(steps), 26, slots), index=index))
    letters = {Needle.WORK: "|", Needle.UP_NEXT: "^", Needle.DOWN_NEXT: "v", Needle.HANG_NEXT: "h"}
    letters |= {Needle.FROM_BELOW_NEXT: "b", Needle.FROM_ABOVE_NEXT: "a"}
    return "" if view is None else "".join(letters[needle] for needle in (*view.heel, *view.instep))


def test_steps_done_by_hand_mark_the_needles_they_speak_of() -> None:
    heel = CountPasses("heel", "Heel", 30, 10)
    rest, turned = "|" * 30, "^" * 30
    for at in ("heel", "toe", "opened", "waste"):
        steps = (Confirm(f"s2-{at}-needles", "Lift"), heel, Confirm(f"s2-{at}-lower", "Lower"))
        assert marks(steps, 0) == rest + turned
        assert marks(steps, 2) == rest + turned.replace("^", "v")
    assert marks((Confirm("opened-hang", "Hang"),), 0) == "b" * 30 + "a" * 30
    assert marks((Confirm("fold-hem", "Hang"),), 0) == "h" * 60
    for name in ("join", "heel-pull", "graft"):
        assert marks((Confirm(name, "Something else"), heel), 0) == ""


def test_a_gusset_begins_and_ends_with_its_needles_up() -> None:
    heel = CountPasses("heel", "Heel", 42, 10, gusset=6)
    steps = (Confirm("heel-needles", "Lift"), heel, Confirm("heel-lower", "Lower"))
    up = "^" * 6 + "|" * 30 + "^" * 24
    assert (marks(steps, 0), marks(steps, 2)) == (up, up.replace("^", "v"))


def test_a_mock_rib_is_hung_where_it_was_knitted_and_then_ladders_begin_from_all_needles() -> None:
    hem = CountRows("hem", "Hem", 20, out_of_work=tuple(range(2, 61, 2)))
    leg = CountRows("leg", "Leg", 20, out_of_work=tuple(range(4, 61, 4)))
    out, *others = (Confirm(name, name) for name in ("needles-out", "fill-needles", "hang-rib", "ladders-out"))
    steps: tuple[Confirm | CountRows, ...] = (out, hem, *others, leg)
    assert [marks(steps, at) for at in (0, 2, 3, 4)] == ["|^" * 30, "|v" * 30, "h|" * 30, "|||^" * 15]
