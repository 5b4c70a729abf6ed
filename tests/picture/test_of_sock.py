"""A session's sock: as long as its counts, and filled as far as it is cranked."""

from __future__ import annotations

import pytest

from hosewright.craft.cuffs import Cuff, picot_edge, ribber_rib
from hosewright.craft.sock import plan_sock
from hosewright.picture.of_sock import Knitted, knitted, of_plan, of_session, place_of
from hosewright.session.events import Confirmed, Recounted
from hosewright.session.steps import Head
from tests.helpers import folded, head, machine, plan_of, rows, sock_steps, to_step

BY = knitted(plan_of())


def test_a_plan_and_the_session_begun_from_it_have_one_shape() -> None:
    shape = of_plan(plan_of())
    found = of_session(folded(head("sock")), BY)
    assert found is not None
    begun, done = found
    assert begun.names == shape.names == ("leg", "heel", "foot", "toe")
    assert begun.counts == shape.counts
    assert begun.box == shape.box
    assert done == (0, 0, 0, 0)


def test_it_fills_as_it_is_cranked() -> None:
    what = head("sock")
    state = folded(what, *to_step(what, "heel"), *rows(7))
    found = of_session(state, BY)
    assert found is not None
    shape, done = found
    assert done == (shape.counts[0], 7, 0, 0)
    assert place_of(state, state.index, shape) == 1
    assert place_of(state, 0, shape) is None


def test_a_part_left_short_or_taken_further_is_drawn_as_it_became() -> None:
    what = head("sock")
    to_leg = to_step(what, "leg")
    planned = of_plan(plan_of()).counts[0]
    short = of_session(folded(what, *to_leg, *rows(3), Confirmed(early=True)), BY)
    longer = of_session(folded(what, *to_leg, *rows(planned + 4)), BY)
    back = of_session(folded(what, *to_leg, *rows(planned + 4), Recounted(planned)), BY)
    assert short is not None
    assert longer is not None
    assert back is not None
    assert (short[0].counts[0], short[1][0]) == (3, 3)
    assert (longer[0].counts[0], longer[1][0]) == (planned + 4, planned + 4)
    assert (back[0].counts[0], back[1][0]) == (planned, planned)


def test_each_sock_of_a_string_is_its_own() -> None:
    what = head("string")
    state = folded(what, *to_step(what, "s2-leg"), *rows(2))
    first, second = of_session(state, BY, 1), of_session(state, BY, 2)
    assert first is not None
    assert second is not None
    assert first[1] == first[0].counts
    assert second[1] == (2, 0, 0, 0)
    assert of_session(state, BY) is None  # nothing outside the string's socks has a foot


def test_a_tube_has_no_picture_of_a_sock() -> None:
    assert of_session(folded(head("tube")), BY) is None


@pytest.mark.parametrize("cuff", [picot_edge(60, 16), ribber_rib(60, "1x1", 20, selvedge=True)])
def test_a_top_in_pieces_and_part_rows_are_whole_in_the_picture(cuff: Cuff) -> None:
    plan = plan_sock(
        slots=60, rows_per_mm=0.42, stitches_per_mm=0.31, foot_length_mm=240, leg_mm=60, cuff=cuff, part_row=14
    )
    steps = sock_steps(plan.sections, plan.heel, plan.toe, cuff=plan.cuff, part_row=(14, 46))
    what = Head("ours", "sock", steps, 24, 60)
    begun = of_session(folded(what), Knitted(0.42, 0.31, 60))
    ended = of_session(folded(what, *to_step(what, "part")), Knitted(0.42, 0.31, 60))
    assert begun is not None
    assert ended is not None
    assert dict(zip(begun[0].names, begun[0].counts, strict=True)) == {
        section.name: section.count for section in plan.sections
    }
    assert ended[1] == ended[0].counts


def test_without_a_pitch_a_leg_stays_straight() -> None:
    plan = plan_of().model_copy(update={"dial_changes": ((0, 30), (4, 26))})
    bare = machine().model_copy(update={"thread_pitch_mm": None})
    pitched = machine().model_copy(update={"thread_pitch_mm": 1.2})
    assert {size for _, size in knitted(plan, bare).leg} == {1.0}
    assert knitted(plan, pitched).leg[0][1] > 1.0 == knitted(plan, pitched).leg[-1][1]
    tubes = plan.model_copy(update={"loop_a_click": 0.02})
    assert plan.dial is not None
    assert knitted(tubes, pitched).leg == ((0, 1 + 0.02 * (30 - plan.dial)), (4, 1 + 0.02 * (26 - plan.dial)))
