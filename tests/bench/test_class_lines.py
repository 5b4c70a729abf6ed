"""A learner in words: a line of the list, what stands below it, and a plain line."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from hosewright.logbook.classroom import LearnerLine
from hosewright.words.learners import (
    columns_for,
    heading,
    last_words,
    more_words,
    plain_line,
    quiet_words,
    row,
    under,
)


def test_no_class_at_all_says_so() -> None:
    assert quiet_words(None) == ""
    assert heading(columns_for([], 78)).split()[0] == "LEARNER"


PAST = LearnerLine(
    learner="jill",
    file="x",
    title="Sock: Moss, the miller",
    where="on the machine",
    step="Foot",
    unit="rows",
    count=142,
    target=22,
    pace=15.0,
    fault="knot",
    fault_at="Foot, row 20",
    past=120,
)


@pytest.mark.parametrize(
    ("room", "said"),
    [(13, "120 past plan"), (20, "120 past plan"), (21, "120 more than planned"), (26, "120 rows more than planned")],
)
def test_the_fullest_words_that_fit_say_what_is_past_the_plan(room: int, said: str) -> None:
    assert last_words(PAST, room) == said


@pytest.mark.parametrize(
    ("room", "said"),
    [
        (13, "! paused"),
        (23, "! paused, 120 past plan"),
        (35, "! paused, 120 more than planned"),
        (36, "! paused, 120 rows more than planned"),
    ],
)
def test_waiting_for_help_comes_before_it(room: int, said: str) -> None:
    assert last_words(replace(PAST, waits="paused"), room) == said


@pytest.mark.parametrize("name", ["jo", "wilhelmina-of-the-mill"])
def test_it_is_said_in_the_list_of_the_smallest_terminal(name: str) -> None:
    line = replace(PAST, learner=name)
    at = columns_for([line], 78)
    text, _ = row(line, at, marked=False)
    assert text.endswith("  120 past plan")
    assert len(text) <= 78
    assert under(line, "", at, 78)[0].split(";")[0].strip() == "120 rows more than planned"
    wide = columns_for([line], 200)
    assert "more than planned" not in under(line, "", wide, 200)[0]  # the line above says it
    assert more_words(line, "foot, 142 of 22 rows done")[-1] == (
        "120 rows more than planned. Noted last: knot (Foot, row 20)."
    )


@pytest.mark.parametrize(
    ("changed", "doing", "said"),
    [
        (
            {},
            "foot, 142 of 22 rows done",
            "jill: Sock: Moss, the miller, on the machine: foot, 142 of 22 rows done, 120 more than planned, "
            "15 rows a minute. Noted last: knot (Foot, row 20).",
        ),
        (
            {"past": 0, "fault": "", "waits": "paused", "paused": True, "quiet_ms": 240_000, "more": 2},
            "foot, 9 of 22 rows done",
            "jill: needs help (paused). Sock: Moss, the miller, on the machine: foot, 9 of 22 rows done, paused, "
            "quiet for 4 min. 2 other sessions not finished.",
        ),
        (
            {"past": 0, "fault": "", "where": "finished", "pace": None, "note": "Seen through a network drive."},
            "finished",
            "jill: Sock: Moss, the miller, finished. Seen through a network drive.",
        ),
        ({"where": None}, "", "jill: nothing begun yet."),
        ({"where": None, "trouble": "There is no logbook here yet."}, "", "jill: There is no logbook here yet."),
    ],
)
def test_a_learner_in_words(changed: dict[str, Any], doing: str, said: str) -> None:
    assert plain_line(replace(PAST, **changed), doing) == said


@pytest.mark.parametrize("width", [78, 100, 118, 200])
def test_a_line_fills_its_width_and_no_more(width: int) -> None:
    long = LearnerLine(
        learner="Wilhelmina of the upper mill",
        file="x",
        title="A very long title of a sock for the ferryman's eldest",
        where="on the machine",
        step="Find the stitch size",
        unit="passes",
        count=1000,
        target=1200,
        pace=14.0,
        quiet_ms=4_000_000,
        fault="stitches stayed up",
        waits="work fell off",
    )
    at = columns_for([long], width)
    for line in (long, LearnerLine("x", "x", trouble="y" * 300)):
        for marked in (True, False):
            assert len(row(line, at, marked=marked)[0]) <= width
    assert len(heading(at)) <= width
