"""What is heard of a press, a step and a place, and which tone stands for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.session import events as ev
from hosewright.session.commands import standings
from hosewright.session.cues import NONE
from hosewright.session.events import Confirmed, Event, Pressed, Undone
from hosewright.session.heard import Heard, for_the_ear, heard_of, heard_place
from hosewright.session.words import heard_pass
from tests.helpers import folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State

SOCK, SEARCH = head("sock"), head("search")
FOOT_ROWS = next(step.target for step in SOCK.steps if step.id == "foot")  # type: ignore[union-attr]


def at(step: str, *events: Event) -> State:
    return folded(SOCK, *to_step(SOCK, step), *events)


def heard(event: Event, state: State, number_every: int = 1) -> Heard:
    said = heard_of(event, state, NONE, 3, number_every)
    assert said is not None
    return said


def test_a_row_is_its_number_and_may_be_left_out() -> None:
    assert heard(Pressed(), at("foot", *rows(2))) == Heard("2.", "row", counts=True)
    assert heard(Pressed(), at("foot", *rows(2)), 2).words == "2."
    assert heard(Pressed(), at("foot", *rows(3)), 2).words == ""
    assert heard(Pressed(), at("foot", *rows(2)), 0) == Heard("", "row", counts=True)


def test_what_comes_next_is_heard_when_it_becomes_due_and_when_it_is_now() -> None:
    nearly, now = at("foot", *rows(FOOT_ROWS - 3)), at("foot", *rows(FOOT_ROWS))
    assert heard(Pressed(), nearly, 0) == Heard("In 3 rows: set up the toe.", "cue")
    assert heard(Pressed(), now) == Heard(f"{FOOT_ROWS}. Now: set up the toe.", "cue")
    assert heard(Pressed(), at("foot", *rows(FOOT_ROWS - 2)), 0).words == ""


def test_each_pass_says_which_needle_and_its_number_last() -> None:
    first, turned = at("heel", *rows(5)), at("heel", *rows(30))
    assert heard(Pressed(), first) == Heard("28 up right. 6.", "row")
    assert heard(Pressed(), turned).words == "26 down right. 31."
    assert heard(Pressed(), turned, 0).words == "26 down right."
    assert heard_pass(SOCK.steps[turned.index], 30) == "26 down right. 31."  # type: ignore[arg-type]


def test_past_the_plan_and_doubtful() -> None:
    assert heard(Pressed(), at("foot", *rows(FOOT_ROWS + 2))) == Heard("2 too many.", "over")
    assert heard(Pressed(doubtful=True), at("foot")) == Heard("", "doubtful")


@pytest.mark.parametrize(
    ("state", "said"),
    [
        (at("foot", *rows(2)), f"foot, 2 of {FOOT_ROWS}, set up the toe in {FOOT_ROWS - 2}"),
        (at("foot", *rows(FOOT_ROWS)), f"foot, {FOOT_ROWS} of {FOOT_ROWS}, set up the toe now"),
        (at("foot", *rows(FOOT_ROWS + 1)), f"foot, {FOOT_ROWS + 1} of {FOOT_ROWS}"),
        (at("heel", *rows(30)), "heel, pass 31 of 40, 26 down right"),
        (at("foot", Pressed(), ev.Paused()), f"foot, 1 of {FOOT_ROWS}, set up the toe in {FOOT_ROWS - 1}, paused"),
        (
            folded(SEARCH, *to_step(SEARCH, "trial"), Pressed()),
            "stitch size, dial at 6 and a half turns below zero, row 1",
        ),
    ],
)
def test_where_one_is(state: State, said: str) -> None:
    assert heard_place(state) == said


def test_undoing_and_going_on_say_where_one_is_then() -> None:
    state = at("foot", *rows(2), Undone())
    assert heard(Undone(), state).words == f"foot, 1 of {FOOT_ROWS}, set up the toe in {FOOT_ROWS - 1}"
    assert heard(Confirmed(), at("heel")).words == "heel, pass 1 of 40, 1 up left"
    assert heard(ev.Observed("dropped", 4), at("foot", Pressed())) == Heard("dropped stitch, noted")
    assert heard(ev.Amended(4, needle=17), at("foot", Pressed())) == Heard("needle 17, noted")
    assert heard_of(ev.Amended(4, note="near the seam"), at("foot", Pressed()), NONE, 3, 1) is None
    assert heard(ev.Paused(), at("foot", Pressed(), ev.Paused())).words == "paused"
    assert heard(ev.Resumed(), at("foot", Pressed())).words.startswith("foot, 1 of")
    assert heard_of(ev.Resumed(cranked=True), at("foot"), NONE, 3, 1) is None
    assert heard_of(ev.Opened(), at("foot"), NONE, 3, 1) is None


@pytest.mark.parametrize("state", standings(), ids=lambda state: f"{state.step and state.step.id}")
def test_every_place_has_few_words(state: State) -> None:
    said = heard_place(state)
    assert 0 < len(said.split()) <= 12
    assert "\n" not in said


def test_fractions_are_said_as_people_say_them() -> None:
    assert for_the_ear("the dial to 6 3/4 turns, then 7 1/2") == "the dial to 6 and 3 quarters turns, then 7 and a half"
