"""What an answer to a question comes to, and what is asked again before it is taken. The limits are ours."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hosewright.session.answers import doubtful_words, how_words, read_answer, to_be_sure, vouching_words
from hosewright.session.events import (
    Abandoned,
    Confirmed,
    DialMoved,
    Event,
    Observed,
    Recounted,
    Rehung,
    Spoilt,
    Voided,
)
from hosewright.session.steps import CountRows
from tests.helpers import folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State

SOCK = head("sock")  # a leg of 9 rows, a heel of 40 passes
LEG = folded(SOCK, *to_step(SOCK, "leg"), *rows(4))
HEEL = folded(SOCK, *to_step(SOCK, "heel"), *rows(5))
FOOT = folded(SOCK, *to_step(SOCK, "foot"), *rows(3))
TRIAL = folded(head("search"), *to_step(head("search"), "trial"))


@pytest.mark.parametrize(
    ("state", "event", "asked"),
    [
        (LEG, Recounted(9), ""),
        (LEG, Recounted(10), "10 is 1 more than the 9 rows planned. Right?"),
        (LEG, Recounted(0), ""),
        (HEEL, Recounted(25), ""),
        (HEEL, Recounted(26), "26 is 21 passes more than the counter says. Right?"),
        (HEEL, Recounted(40), "40 is 35 passes more than the counter says. Right?"),
        (HEEL, Recounted(41), "41 is 1 more than the 40 passes planned. Right?"),
        (folded(SOCK, *to_step(SOCK, "heel"), *rows(30)), Recounted(10), ""),
        (
            folded(SOCK, *to_step(SOCK, "heel"), *rows(30)),
            Recounted(9),
            "9 is 21 passes fewer than the counter says. Right?",
        ),
        (HEEL, Rehung("leg", 9), "That takes off 5 passes of heel. Hang again there?"),
        (HEEL, Rehung("leg", 2), "That takes off 7 rows of leg and 5 passes of heel. Hang again there?"),
        (FOOT, Rehung("heel", 39), "That takes off 1 pass of heel and 3 rows of foot. Hang again there?"),
        (FOOT, Rehung("foot", 0), ""),
        (folded(SOCK, *to_step(SOCK, "heel")), Rehung("leg", 9), ""),  # nothing is lost
        (LEG, Confirmed(), ""),
    ],
)
def test_what_is_unlikely_or_loses_a_part_is_asked_about(state: State, event: Event, asked: str) -> None:
    assert to_be_sure(event, state) == asked


@pytest.mark.parametrize(
    ("about", "state", "typed", "event"),
    [
        *((about, LEG, "n", None) for about in ("early", "over", "give_up", "void_trials", "vouch_many")),
        *((about, LEG, " ", None) for about in ("note", "spoil", "recount", "rehang", "dial")),
        ("early", LEG, "Y", Confirmed(early=True)),
        *((about, LEG, "yes", Confirmed()) for about in ("over", "unclean", "unmeasured", "impossible")),
        *((about, LEG, "no", None) for about in ("unclean", "unmeasured", "impossible")),
        ("give_up", LEG, "y", Abandoned()),
        ("void_trials", TRIAL, "y", Voided(26, "weights changed")),
        ("void_at", TRIAL, "7 turns", Voided(28, "started elsewhere")),
        ("dial", LEG, "27 clicks", DialMoved(27)),
        ("note", LEG, " thin there ", Observed("note", note="thin there")),
        ("spoil", LEG, "moth", Spoilt("moth")),
        ("leave_out", LEG, "moth", Spoilt("moth", again=False)),
        ("recount", LEG, "7, lost count", Recounted(7, "lost count", settles=True)),
        ("rehang", LEG, "3", Rehung("leg", 3, settles=True)),
        ("rehang", HEEL, "3", Rehung("heel", 3, settles=True)),
        ("rehang", HEEL, "leg 3 too tight", Rehung("leg", 3, "too tight", settles=True)),
        ("rehang", HEEL, "row 3 of the leg: too tight", Rehung("leg", 3, "too tight", settles=True)),
        ("rehang", HEEL, "3 of no use", Rehung("heel", 3, "of no use", settles=True)),
    ],
)
def test_an_answer_is_read(about: str, state: State, typed: str, event: Event | None) -> None:
    assert read_answer(about, typed, state) == event


@pytest.mark.parametrize(
    ("about", "state", "typed", "why"),
    [
        ("recount", HEEL, "81", "Heel has 40 passes, so 81 cannot be. Type how many are cranked, such as 21."),
        ("recount", LEG, "501", "Leg has 9 rows, so 501 cannot be. Type how many are cranked, such as 5."),
        ("recount", LEG, "a few", "count"),
        ("rehang", HEEL, "gusset 3", "Type a row number, or a part and a row. The parts: "),
        ("rehang", HEEL, "leg", "Type a row number, or a part and a row. The parts: "),
        ("rehang", folded(SOCK), "3", "Nothing was cranked yet that could be hung again."),
    ],
)
def test_an_answer_that_cannot_be_says_why(about: str, state: State, typed: str, why: str) -> None:
    with pytest.raises(ValueError, match=why.replace(".", r"\.")):
        read_answer(about, typed, state)


def test_as_many_as_a_part_can_have_are_taken() -> None:
    assert read_answer("recount", "80", HEEL) == Recounted(80, settles=True)
    assert read_answer("recount", "500", LEG) == Recounted(500, settles=True)  # of 9 rows: any part may have so many
    steps = [replace(step, target=60) if isinstance(step, CountRows) else step for step in SOCK.steps]
    long = replace(LEG, head=replace(SOCK, steps=tuple(steps)))
    assert read_answer("recount", "600", long) == Recounted(600, settles=True)
    with pytest.raises(ValueError, match="601 cannot be"):
        read_answer("recount", "601", long)


def test_how_a_question_is_answered() -> None:
    assert how_words("recount", LEG) == "Such as 37 lost count."
    assert how_words("recount", HEEL) == "Such as 37 lost count. Lost in the heel? Type ? and Enter."
    assert how_words("note", LEG) == "A few words."
    assert how_words("early", LEG) == ""


def test_doubtful_presses_in_words() -> None:
    assert doubtful_words(replace(LEG, doubted=1), "v").startswith("1 press came too soon")
    assert doubtful_words(replace(LEG, doubted=2), "v") == (
        "2 presses came too close together and were not counted. If they were real: v counts them."
    )
    assert vouching_words(replace(LEG, doubted=10)) == ""
    assert vouching_words(replace(LEG, doubted=11)) == (
        "11 presses came too close together. Count them all? The count will be 15 of 9."
    )
    assert vouching_words(replace(TRIAL, doubted=11)) == (
        "11 presses came too close together. Count them all? The count will be 11."
    )
