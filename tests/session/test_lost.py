"""Lost in a heel: from what is seen to the passes cranked.

Expected by hand: 30 needles turned down to 10. Pass n of the first 20 is cranked with n needles up, the odd ones lifted
on the left before the even ones on the right; then they come down, the last first, so that pass 20 + n leaves 20 - n.
"""

from __future__ import annotations

import pytest

from hosewright.session.answers import LOST
from hosewright.session.events import Recounted
from hosewright.session.lost import Guide, Next
from hosewright.session.steps import CountPasses
from tests.helpers import head

(HEEL,) = (step for step in head("sock").steps if step.id == "heel")
ASKED = ("lost_column", "lost_left", "lost_right", "lost_carrier", "lost_which")


def guided(*answers: str) -> Next:
    assert isinstance(HEEL, CountPasses)
    guide = Guide(HEEL)
    coming = guide.first()
    for about, answer in zip(ASKED, answers, strict=False):
        assert coming.about == about
        coming = guide.take(about, answer)
    return coming


@pytest.mark.parametrize(
    ("answers", "count", "coming"),
    [
        (("5", "3", "2", "right"), 5, "pass 6: carrier on the right, needle 28 goes up on the right"),
        (("10", "5", "5", "L"), 10, "pass 11: carrier on the left, needle 6 goes up on the left"),
        (("38", "1", "1", "left"), 38, "pass 39: carrier on the left, needle 30 comes down on the right"),
        (("-", "1", "1", "left", "2"), 2, "pass 3: carrier on the left, needle 2 goes up on the left"),
        (("-", "3", "2", "?", "34"), 34, "pass 35: carrier on the left, needle 28 comes down on the right"),
    ],
)
def test_what_is_seen_tells_the_pass(answers: tuple[str, ...], count: int, coming: str) -> None:
    said = guided(*answers)
    assert said.about == "sure"
    assert said.words == f"{count} of 40 passes are cranked, next is {coming}, then crank. Set the counter to {count}?"
    assert said.event == Recounted(count, "counted in the work", settles=True)


def test_the_needles_go_before_a_column_that_was_miscounted() -> None:
    said = guided("3", "9", "9", "left")
    assert said.words.startswith("By the needles 18, not 3. 18 of 40 passes are cranked, next is pass 19")


def test_passes_that_look_alike_are_offered_by_what_the_needles_do() -> None:
    said = guided("12", "3", "2", "right")
    assert said == Next(
        "lost_which",
        "Passes cranked, 5 or 35:",
        "It is 5 (needles going up) or 35 (needles coming down).",
    )
    assert "41 (a plain pass)" in guided("40", "0", "0", "right").hint
    with pytest.raises(ValueError, match=r"Type 5 or 35\."):
        guided("12", "3", "2", "right", "6")


def test_all_passes_done() -> None:
    said = guided("40", "0", "0", "left")
    assert said.words == "40 of 40 passes are cranked, all are done. Set the counter to 40?"


@pytest.mark.parametrize(
    ("answers", "why"),
    [
        (("-", "-", "-", "-"), "With nothing to go by, there is no telling the pass. "),
        (("-", "-", "-", "left"), "That could be many passes: look at more of it. "),
        (("-", "20", "0", "left"), "No pass looks like that: look again. "),
    ],
)
def test_what_tells_nothing_is_asked_again(answers: tuple[str, ...], why: str) -> None:
    said = guided(*answers)
    assert said == Next("lost_column", "Stitches in the column of needle 15:", why + LOST["lost_column"].how)


@pytest.mark.parametrize(
    ("answers", "why"),
    [
        (("81",), "type a whole number from 0 to 80"),
        (("5", "31"), "type a whole number from 0 to 30"),
        (("5", "3", "31"), "type a whole number from 0 to 30"),
        (("5", "3", "2", "west"), "Type left or right, or - if you cannot tell"),
    ],
)
def test_an_answer_that_cannot_be_says_what_to_type(answers: tuple[str, ...], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        guided(*answers)
