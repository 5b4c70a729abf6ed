"""What the hands will have to do soon."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hosewright.session.cues import cues
from hosewright.session.events import DialMoved
from hosewright.session.steps import CountRows
from hosewright.settings.table import Settings
from tests.helpers import folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State

SOCK = head("sock")
TUBE = head("tube")


def sentences(state: State, weights_every: int = 0, marker_every: int = 0) -> list[str]:
    unit = "row" if isinstance(state.step, CountRows) else "pass"
    settings = Settings(weights_every=weights_every, marker_every=marker_every)
    return [cue.sentence(unit) for cue in cues(state, settings.cues_every)]


def test_the_end_of_a_part_is_seen_ahead_and_at_it() -> None:
    at = to_step(TUBE, "tube")
    assert sentences(folded(TUBE, *at, *rows(27))) == ["In 3 rows: join the separator yarn."]
    assert sentences(folded(TUBE, *at, *rows(29))) == ["In 1 row: join the separator yarn."]
    assert sentences(folded(TUBE, *at, *rows(30))) == ["Now: join the separator yarn."]
    assert sentences(folded(TUBE, *at, *rows(31))) == []


def test_the_heel_counts_passes() -> None:
    assert sentences(folded(SOCK, *to_step(SOCK, "heel"), *rows(38))) == ["In 2 passes: close the heel."]
    leg = folded(SOCK, *to_step(SOCK, "leg"))
    assert sentences(leg)[-1].endswith("set up the heel.")


def test_the_turning_point_of_a_heel_is_seen_ahead() -> None:
    at = to_step(SOCK, "heel")  # 30 needles down to 10 takes 20 passes, and as many back
    assert sentences(folded(SOCK, *at, *rows(17)))[0] == "In 3 passes: needles begin to come down."
    assert sentences(folded(SOCK, *at, *rows(20)))[0] == "Now: needles begin to come down."
    assert sentences(folded(SOCK, *at, *rows(21))) == ["In 19 passes: close the heel."]


def test_weights_are_moved_every_so_many_rows_of_working_yarn() -> None:
    at = to_step(TUBE, "tube")
    assert sentences(folded(TUBE, *at, *rows(7)), 10)[0] == "In 3 rows: move the weights."
    assert sentences(folded(TUBE, *at, *rows(10)), 10)[0] == "Now: move the weights."
    assert sentences(folded(TUBE, *at), 10)[0] == "In 10 rows: move the weights."
    assert not any("weights" in s for s in sentences(folded(TUBE, *to_step(TUBE, "separator-in"), *rows(9)), 10))


@pytest.mark.parametrize("every", [1, 3, 7, 10, 16, 45])
def test_the_weights_are_announced_for_the_next_of_their_rows_and_for_none_past_the_end(every: int) -> None:
    at = to_step(TUBE, "tube")  # of 30 rows
    for count in range(31):
        due = next(row for row in range(max(count, 1), count + every + 1) if row % every == 0)
        said = [
            one for one in sentences(folded(TUBE, *at, *rows(count)), every) if "weights" in one and "ago" not in one
        ]
        if due > 30:
            assert said == []
        elif due == count:
            assert said == ["Now: move the weights."]
        else:
            ahead = due - count
            assert said == [f"In {ahead} row{'s' * (ahead > 1)}: move the weights."]


def test_weights_are_moved_in_heel_and_toe_every_so_many_passes() -> None:
    for part in ("heel", "toe"):
        at = to_step(SOCK, part)
        assert sentences(folded(SOCK, *at, *rows(9)), 12)[0] == "In 3 passes: move the weights."
        assert sentences(folded(SOCK, *at, *rows(12)), 12)[0] == "Now: move the weights."
        assert sentences(folded(SOCK, *at, *rows(13)), 12)[0] == "Due 1 pass ago: move the weights."
        assert not any("marker" in said for said in sentences(folded(SOCK, *at, *rows(11)), 0, 12))


def test_a_marker_is_hung_every_so_many_rows_beside_the_weights() -> None:
    at = to_step(TUBE, "tube")
    assert sentences(folded(TUBE, *at, *rows(19)), 10, 20)[:2] == [
        "In 1 row: move the weights.",
        "In 1 row: hang a marker on a stitch.",
    ]
    assert not any("marker" in said for said in sentences(folded(TUBE, *at, *rows(19))))


def test_a_leg_schedule_moves_the_dial() -> None:
    steps = tuple(
        replace(step, dial_changes=((2, 31), (4, 30))) if isinstance(step, CountRows) and step.id == "leg" else step
        for step in SOCK.steps
    )
    shaped = replace(SOCK, steps=steps)
    state = folded(shaped, *to_step(shaped, "leg"), *rows(2))
    assert sentences(state)[:2] == [
        "Now: set the dial to 7 3/4 turns below zero.",
        "In 2 rows: set the dial to 7 1/2 turns below zero.",
    ]


def test_there_are_no_cues_where_nothing_is_counted() -> None:
    assert cues(folded(TUBE)) == ()


def test_weights_that_were_missed_are_called_for_a_few_rows_more_and_then_the_next_ones() -> None:
    at = to_step(TUBE, "tube")
    late = sentences(folded(TUBE, *at, *rows(12)), 10)
    assert late[:2] == ["Due 2 rows ago: move the weights.", "In 8 rows: move the weights."]
    assert sentences(folded(TUBE, *at, *rows(11)), 10)[0] == "Due 1 row ago: move the weights."
    assert sentences(folded(TUBE, *at, *rows(16)), 10)[0] == "In 4 rows: move the weights."
    assert not any("ago" in said for said in sentences(folded(TUBE, *at, *rows(5)), 10))


def test_a_dial_change_that_was_missed_stays_called_for_until_the_dial_stands_there() -> None:
    steps = tuple(
        replace(step, dial_changes=((2, 31), (4, 30))) if isinstance(step, CountRows) and step.id == "leg" else step
        for step in SOCK.steps
    )
    shaped = replace(SOCK, steps=steps)
    at = to_step(shaped, "leg")
    assert sentences(folded(shaped, *at, *rows(3)))[0] == "Due 1 row ago: set the dial to 7 3/4 turns below zero."
    assert (
        sentences(folded(shaped, *at, DialMoved(31), *rows(3)))[0]
        == "In 1 row: set the dial to 7 1/2 turns below zero."
    )
    assert sentences(folded(shaped, *at, DialMoved(30), *rows(5)))[0].endswith("set up the heel.")
