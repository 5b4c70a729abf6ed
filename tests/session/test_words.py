"""What the steps ask for, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from hosewright.craft.sock import Section
from hosewright.craft.turning import Turning
from hosewright.session.events import Confirmed, Judged, Pressed, Recounted
from hosewright.session.procedures import tube_steps
from hosewright.session.reasons import caution_of, first_pass_words, reason_of
from hosewright.session.steps import Confirm, CountPasses, Head, Measure, SessionKind
from hosewright.session.words import (
    A_ROW,
    Given,
    instruction,
    label_of,
    next_pass_words,
    now_words,
    over_words,
    where_rows_begin,
)
from tests.helpers import folded, head, rows, sock_plan_steps, sock_steps, steps_of, to_step

SOCK = head("sock")


def test_where_one_was_when_the_phone_rang() -> None:
    state = folded(SOCK, *to_step(SOCK, "heel"), *rows(30))
    assert now_words(state) == "heel, pass 31 of 40: carrier on the left, needle 26 comes down on the right, then crank"


def test_what_a_row_is_stands_at_the_first_of_all_and_nowhere_else() -> None:
    first = to_step(SOCK, "separator-in")
    assert A_ROW in instruction(folded(SOCK, *first))
    assert A_ROW not in instruction(folded(SOCK, *first, *rows(1)))
    assert A_ROW not in instruction(folded(SOCK, *to_step(SOCK, "leg")))


def test_narrowing_lifts_beside_the_carrier() -> None:
    state = folded(SOCK, *to_step(SOCK, "heel"))
    assert now_words(state) == "heel, pass 1 of 40: carrier on the left, needle 1 goes up on the left, then crank"
    state = folded(SOCK, *to_step(SOCK, "heel"), *rows(40))
    assert now_words(state) == "heel, all 40 passes done"


def test_what_a_pass_is_stands_at_the_first_of_them_and_nowhere_else() -> None:
    first = first_pass_words(folded(SOCK, *to_step(SOCK, "heel")))
    assert "A pass is one half-round across the heel needles" in first
    assert "there and back, so the sides alternate" in first
    assert "wraps the lifted needle" in first
    assert first_pass_words(folded(SOCK, *to_step(SOCK, "heel"), *rows(1))) == ""
    for step in ("heel-needles", "heel-pull", "toe-pull", "toe"):
        there = folded(SOCK, *to_step(SOCK, step))
        assert "half-round" not in instruction(there) + reason_of(there).why + first_pass_words(there)


def test_a_reinforcing_yarn_that_is_planned_has_steps_of_its_own() -> None:
    heel = toe = Turning(30, 10)
    parts = [Section(name, "passes", 40, heel.stitches) for name in ("heel", "toe")]
    plain, twice = (
        Head("r", "sock", sock_steps(parts, heel, toe, reinforced=reinforced), 26, 60) for reinforced in (False, True)
    )
    more = [step.id for step in twice.steps if step not in plain.steps]
    assert more == ["heel-reinforce", "heel-reinforced", "toe-reinforce", "toe-reinforced"]
    order = [step.id for step in twice.steps]
    for part in ("heel", "toe"):
        assert order.index(f"{part}-pull") < order.index(f"{part}-reinforce") < order.index(part)
        assert order.index(part) < order.index(f"{part}-reinforced") < order.index(f"{part}-even")
        for step in ("pull", "even"):
            name = f"{part}-{step}"
            assert "reinforcing yarn, if" in instruction(folded(plain, *to_step(plain, name)))
            assert "reinforcing" not in instruction(folded(twice, *to_step(twice, name)))


def test_counting_rows() -> None:
    tube = head("tube")
    assert now_words(folded(tube, *to_step(tube, "tube"), *rows(7))) == "gauge tube, 7 of 30 rows done"


def test_a_count_says_what_is_done_and_a_pass_that_is_named_is_the_next() -> None:
    leg, heel = (folded(SOCK, *to_step(SOCK, part), *rows(5)) for part in ("leg", "heel"))
    assert now_words(leg) == "leg, 5 of 9 rows done"
    assert now_words(heel).startswith("heel, pass 6 of 40: carrier")
    over = folded(SOCK, *to_step(SOCK, "heel"), *rows(42))
    assert now_words(over) == "heel, 42 of 40 passes done"


def test_a_sock_is_washed_in_words_of_its_own_and_its_grafting_is_told_loop_by_loop() -> None:
    tube = head("tube")
    sock, tubes = folded(SOCK, *to_step(SOCK, "wash")), folded(tube, *to_step(tube, "wash"))
    assert "as the socks will be washed" in instruction(tubes)
    assert "as its gauge tube was" in instruction(sock)
    graft = folded(SOCK, *to_step(SOCK, "graft"))
    begins, _, repeats = instruction(graft).partition("over and over:")
    assert "front loop as if to purl, back loop as if to knit, both stay" in begins
    order = [f"as if to {how}" for how in ("knit, let it go", "purl, it stays", "purl, let it go", "knit, it stays")]
    places = [repeats.index(part) for part in order]
    assert places == sorted(places)
    assert "hook" in caution_of(graft)


def test_an_end_to_graft_with_is_left_before_the_yarn_is_cut() -> None:
    sock, tube = (folded(h, *to_step(h, "part")) for h in (SOCK, head("tube")))
    assert "leaving an end four times as long" in instruction(sock)
    assert instruction(tube) == "Cut the working yarn and tie in the separator yarn."  # a tube is not grafted


def test_an_amount_off_is_asked_for_in_plain_words_in_old_sessions_too() -> None:
    asked = {item.id: label_of(item) for step in SOCK.steps if isinstance(step, Measure) for item in step.fields}
    assert asked["fit-by"] == "How much too loose or tight"
    assert asked["fit-length-by"] == "How much too short or long"
    assert asked["mass"] == "Mass of the sock"


def test_a_trial_names_the_dial_position() -> None:
    search = head("search")
    before = to_step(search, "trial")
    assert now_words(folded(search, *before)) == "stitch size, dial at 6 1/2 turns below zero"
    state = folded(search, *before, Pressed(), Judged("drop", 26))
    assert now_words(state) == "stitch size, dial at 6 turns below zero"
    assert instruction(state) == state.search.advice


def test_the_end_of_a_search_says_what_was_found() -> None:
    search = head("search")
    found = [*to_step(search, "trial"), Pressed(), Judged("drop", 26), Pressed(), Judged("stay", 24)]
    state = folded(search, *found, Confirmed(), Confirmed(), *rows(10), Confirmed())
    assert now_words(state) == "finished"
    assert "7 turns below zero" in instruction(state)


@pytest.mark.parametrize("kind", ["search", "tube", "sock"])
def test_every_step_says_something_of_its_own_with_nothing_left_to_fill_in(kind: SessionKind) -> None:
    steps = sock_plan_steps(hem_rows=16) if kind == "sock" else steps_of(kind)
    what = Head("all", kind, steps, 26, 60)
    said = []
    for index, step in enumerate(steps):
        state = folded(what)
        state.index = index
        told = instruction(state, Given(weights="the short hook with two rings"))
        assert "{" not in told + caution_of(state)
        assert told != step.title + ".", f"step {step.id} has no words of its own"
        assert now_words(state)
        said.append(told)
    assert any("the short hook with two rings" in say for say in said)
    assert any("6 1/2 turns below zero" in say for say in said)


def test_hurt_is_warned_of_where_it_can_happen() -> None:
    sock = head("sock")
    for step in ("heel-needles", "take-off"):
        assert caution_of(folded(sock, *to_step(sock, step)))


@pytest.mark.parametrize("rows_asked", [29, 201, 0, -5])
def test_a_tube_too_short_or_too_long_is_refused(rows_asked: int) -> None:
    with pytest.raises(ValueError, match=f"30 to 200 rows; {rows_asked} was given"):
        tube_steps(rows_asked)


def test_a_recounted_heel_says_the_pass_it_is_at() -> None:
    state = folded(SOCK, *to_step(SOCK, "heel"), *rows(12), Recounted(30))
    assert now_words(state).startswith("heel, pass 31 of 40: carrier on the left, needle 26")


def test_a_sock_says_once_where_the_heel_half_is_and_where_a_row_begins() -> None:
    given = Given(heel_half="away from you", carrier_turns="anticlockwise")
    join = folded(SOCK, *to_step(SOCK, "join"))
    said = instruction(join, given)
    assert "The heel half is the half away from you: needle 1 is at its left end as you sit, needle 30" in said
    assert "comes to the heel half at the right end, by needle 30. A row begins and ends there." in said
    assert said.endswith(where_rows_begin(join, given))
    tube = head("tube")
    assert where_rows_begin(folded(tube), given) == ""
    assert "heel half" not in instruction(folded(tube, *to_step(tube, "join")), given)


def turned(**changes: Any) -> CountPasses:
    return replace(CountPasses("heel", "Heel", 32, 12), **changes)


def test_each_pass_says_its_order_and_the_turning_point_is_said_before_it() -> None:
    far = turned()
    assert next_pass_words(far, 19) == "carrier on the right, needle 23 goes up on the right, then crank"
    assert next_pass_words(far, 20) == (
        "from now on needles come down; carrier on the left, needle 23 comes down on the right, then crank"
    )
    assert next_pass_words(far, 26) == "carrier on the left, needle 26 comes down on the right, then crank"
    near = turned(lowering="near")
    assert next_pass_words(near, 21) == "carrier on the right, needle 23 comes down on the right, then crank"
    both = turned(lowering="two-and-one")
    assert next_pass_words(both, 21) == (
        "carrier on the right, needles 11 and 10 come down on the left, needle 24 goes up on the right, then crank"
    )
    plain = turned(plain_passes=True)
    assert next_pass_words(plain, 0) == next_pass_words(plain, 41).replace("right", "left")
    assert next_pass_words(plain, 0) == "carrier on the left, a plain pass over all the needles"
    assert next_pass_words(plain, 1).startswith("from now on needles go up; carrier on the right, needle 32 goes up")
    assert next_pass_words(plain, 21).startswith("from now on needles come down; carrier on the right, needle 10")


def test_after_a_single_plain_pass_rows_begin_at_the_other_end() -> None:
    for plain, said in (("after", True), ("before", True), (True, False), (False, False)):
        steps = (turned(plain_passes=plain), Confirm("heel-end", "Close the heel"))
        words = instruction(folded(Head("s", "sock", steps, 30, 64), *rows(42), Confirmed()))
        assert ("The carrier stands at the right end of the heel half: from here on a row begins" in words) is said


def test_a_row_too_many_says_what_it_means_and_what_to_do() -> None:
    tube = head("tube")
    assert over_words(folded(tube, *to_step(tube, "tube"), *rows(30)), "Bksp", "r") == ""
    longer = over_words(folded(tube, *to_step(tube, "tube"), *rows(31)), "Bksp", "r")
    assert longer == "A longer tube is just as good: its gauge is worked out from all 31 rows."
    leg = over_words(folded(SOCK, *to_step(SOCK, "leg"), *rows(10)), "Bksp", "r")
    assert leg.startswith("Pressed too often? Bksp takes it back. Cranked: pull back to row 9 and use r, or leave it")
    separator = over_words(folded(SOCK, *to_step(SOCK, "separator-in"), *rows(40)), "Bksp", "r")
    assert separator == "More of these rows do no harm."
