"""What the hands will have to do soon."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.session.cues import cues
from hosewright.session.steps import CountRows
from tests.helpers import folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State

SOCK = head("sock")
TUBE = head("tube")


def sentences(state: State, weights_every: int = 0) -> list[str]:
    unit = "row" if isinstance(state.step, CountRows) else "pass"
    return [cue.sentence(unit) for cue in cues(state, weights_every)]


def test_the_end_of_a_part_is_seen_ahead_and_at_it() -> None:
    at = to_step(TUBE, "tube")
    assert sentences(folded(TUBE, *at, *rows(27))) == ["In 3 rows: join the separator yarn."]
    assert sentences(folded(TUBE, *at, *rows(29))) == ["In 1 row: join the separator yarn."]
    assert sentences(folded(TUBE, *at, *rows(30))) == ["Now: join the separator yarn."]
    assert sentences(folded(TUBE, *at, *rows(31))) == []


def test_the_heel_counts_passes() -> None:
    assert sentences(folded(SOCK, *to_step(SOCK, "heel"), *rows(46))) == ["In 2 passes: close the heel."]
    leg = folded(SOCK, *to_step(SOCK, "leg"))
    assert sentences(leg)[-1].endswith("set up the heel.")


def test_weights_are_moved_every_so_many_rows_of_working_yarn() -> None:
    at = to_step(TUBE, "tube")
    assert sentences(folded(TUBE, *at, *rows(7)), 10)[0] == "In 3 rows: move the weights."
    assert sentences(folded(TUBE, *at, *rows(10)), 10)[0] == "Now: move the weights."
    assert sentences(folded(TUBE, *at), 10)[0] == "In 10 rows: move the weights."
    assert not any("weights" in s for s in sentences(folded(TUBE, *to_step(TUBE, "separator-in"), *rows(9)), 10))


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
