"""The yarn's own colours in the picture: one, stripes, and another yarn from the row it was noted at."""

from __future__ import annotations

import pytest

from hosewright.picture.cells import Filling, draw
from hosewright.picture.dyed import Dyed, dyed, dyed_in
from hosewright.picture.of_sock import knitted, of_plan, of_session
from hosewright.picture.shape import Place
from hosewright.session.events import Observed, Struck
from tests.helpers import folded, head, plan_of, rows, to_step, yarn

NAVY, TAN, ORANGE = "#000080", "#d2b48c", "#ffa500"
BY = knitted(plan_of())


def test_a_yarn_is_drawn_as_its_record_has_it_or_as_its_colour_is_called() -> None:
    plain = yarn().model_copy(update={"colour": "Navy, with flecks"})
    assert dyed(plain).shades == (NAVY,)
    assert dyed(plain.model_copy(update={"shades": (TAN,)})).shades == (TAN,)
    assert dyed(yarn().model_copy(update={"colour": "as the sea"})).shades == ()


def test_stripes_take_turns_in_so_many_rows() -> None:
    shape = of_plan(plan_of())
    colour = Dyed((NAVY, TAN), 6).colours(shape)
    leg = shape.names.index("leg")
    assert [colour(Place(leg, row)) for row in (1, 3, 4, 6, 7)] == [NAVY, NAVY, TAN, TAN, NAVY]
    # A pass of few needles takes as much of the stripe as it has stitches: the heel's begin where the leg's ended.
    heel = shape.names.index("heel")
    at = shape.counts[leg] % 6
    assert colour(Place(heel, 1)) == (NAVY if at < 3 else TAN)
    last = colour(Place(shape.names.index("toe"), shape.counts[-1]))
    assert last in (NAVY, TAN)


def test_a_stripe_noted_where_it_begins_puts_the_stripes_right_and_another_yarn_ends_them() -> None:
    shape = of_plan(plan_of())
    begun = Dyed((NAVY, TAN), 6, ((0, 3, TAN),)).colours(shape)
    assert [begun(Place(0, row)) for row in range(1, 10)] == [NAVY] * 2 + [TAN] * 3 + [NAVY] * 3 + [TAN]
    other = Dyed((NAVY, TAN), 6, ((0, 3, ORANGE),)).colours(shape)
    assert [other(Place(0, row)) for row in (2, 3, 9)] == [NAVY, ORANGE, ORANGE]


@pytest.mark.parametrize("yarn_now", [Dyed((NAVY, TAN)), Dyed((NAVY,), 10)])
def test_without_a_repeat_or_a_second_colour_there_are_no_stripes(yarn_now: Dyed) -> None:
    shape = of_plan(plan_of())
    colour = yarn_now.colours(shape)
    assert {colour(Place(0, row)) for row in range(1, shape.counts[0] + 1)} == {NAVY}


def test_a_colour_change_in_words_that_name_one_shows_from_its_row_on() -> None:
    what = head("sock")
    begun = (*to_step(what, "leg"), *rows(4))
    changed = folded(what, *begun, Observed("colour", note="orange begins"), *rows(3))
    found = of_session(changed, BY)
    assert found is not None
    shape, _ = found
    plain = yarn().model_copy(update={"shades": (NAVY,)})
    colour = dyed_in(plain, changed, shape, 0).colours(shape)
    assert [colour(Place(0, row)) for row in (1, 3, 4, 7)] == [NAVY, NAVY, ORANGE, ORANGE]
    assert colour(Place(1, 1)) == ORANGE
    silent = folded(what, *begun, Observed("colour", note="the next one"), *rows(3))
    assert dyed_in(plain, silent, shape, 0).changes == ()
    seen = next(one for one in changed.observations)
    struck = folded(what, *begun, Observed("colour", note="orange begins"), Struck(seen.seq))
    assert dyed_in(plain, struck, shape, 0).changes == ()


def test_the_second_sock_of_a_string_begins_in_the_yarn_the_first_ended_with() -> None:
    what = head("string")
    leg = to_step(what, "s1-leg")
    state = folded(what, *leg, *rows(2), Observed("colour", note="orange begins"), *to_step(what, "s2-leg")[len(leg) :])
    found = of_session(state, BY, 2)
    assert found is not None
    colour = dyed_in(yarn(), state, found[0], 2).colours(found[0])
    assert colour(Place(0, 1)) == ORANGE


def test_what_is_cranked_has_the_colour_and_what_lies_ahead_has_none() -> None:
    shape = of_plan(plan_of())
    picture = draw(shape, 40, 20)
    lines = Filling(picture, Dyed((NAVY,)).colours(shape)).lines([5, 0, 0, 0])
    inks = [ink for line in lines for run in line for ink in (run.fore, run.back) if ink is not None]
    assert {ink.colour for ink in inks if ink.standing == "done"} == {NAVY}
    assert {ink.colour for ink in inks if ink.standing == "ahead"} == {None}
