"""The steps of a sock with each kind of cuff and a leg shaped by the dial, and what they say."""

from __future__ import annotations

import pytest

from hosewright.craft.cuffs import Cuff, hung_hem, mock_rib, picot_edge, ribber_rib, rolled_edge
from hosewright.craft.sock import Section, plan_sock
from hosewright.craft.turning import Turning
from hosewright.session.cues import cues
from hosewright.session.events import Confirmed
from hosewright.session.fold import fold
from hosewright.session.procedures import sock_steps
from hosewright.session.steps import Confirm, CountRows, Head, Measure, Step
from hosewright.session.words import instruction
from tests.helpers import entries, to_step


def steps_with(
    cuff: Cuff | None, *, leg_mm: float = 50.0, dial_changes: tuple[tuple[int, int], ...] = (), extra: int = 0
) -> tuple[Step, ...]:
    plan = plan_sock(
        slots=72,
        rows_per_mm=11.11 / 25.4,
        stitches_per_mm=8.5 / 25.4,
        tube_length_mm=50.8,
        leg_mm=leg_mm,
        cuff=cuff,
        extra_heel_rows=extra,
    )
    return sock_steps(plan.sections, plan.heel, plan.toe, cuff=cuff, dial_changes=dial_changes)


def between(steps: tuple[Step, ...], first: str, last: str) -> list[str]:
    ids = [step.id for step in steps]
    return ids[ids.index(first) + 1 : ids.index(last)]


@pytest.mark.parametrize(
    ("cuff", "expected"),
    [
        (None, []),
        (hung_hem(72, 16), ["hem", "hang-hem"]),
        (picot_edge(72, 16), ["hem", "picot-holes", "hem-inside", "hang-hem"]),
        (mock_rib(72, "3x1", 16), ["needles-out", "hem", "fill-needles", "hang-hem"]),
        (mock_rib(72, "3x1", 16, hung=False), ["needles-out", "cuff", "fill-needles"]),
        (ribber_rib(72, "1x1", 20), ["ribber-on", "cuff", "ribber-off"]),
        (rolled_edge(72, 12), ["cuff"]),
    ],
)
def test_every_cuff_has_its_steps(cuff: Cuff | None, expected: list[str]) -> None:
    assert between(steps_with(cuff), "join", "leg") == expected


def rows_of(steps: tuple[Step, ...], name: str) -> CountRows:
    step = next(step for step in steps if step.id == name)
    assert isinstance(step, CountRows)
    return step


def test_a_mock_rib_knows_its_needles_out() -> None:
    rib = rows_of(steps_with(mock_rib(72, "3x1", 16)), "hem")
    assert rib.out_of_work == tuple(range(4, 73, 4))  # every fourth slot, 18 times round 72
    assert rows_of(steps_with(mock_rib(72, "3x1", 16)), "leg").out_of_work == ()


def test_a_picot_is_cranked_to_the_fold_and_as_far_again() -> None:
    steps = steps_with(picot_edge(72, 16))
    assert (rows_of(steps, "hem").target, rows_of(steps, "hem-inside").target) == (8, 8)
    # A first sock that really got 17 rows: its twin has 8 to the fold and 9 after it.
    again = sock_steps([Section("hem", "rows", 17, 17 * 72)], *turned(), cuff=picot_edge(72, 16))
    assert (rows_of(again, "hem").target, rows_of(again, "hem-inside").target) == (8, 9)


def turned() -> tuple[Turning, Turning]:
    return Turning(36, 12), Turning(36, 12)


def test_rows_for_a_high_instep_come_before_the_heel() -> None:
    assert between(steps_with(None, extra=6), "leg", "heel-set") == ["ankle"]


def test_a_leg_by_the_dial_ends_with_the_dial_at_the_baseline() -> None:
    changes = ((0, 33), (8, 32), (15, 31), (20, 30))
    steps = steps_with(None, dial_changes=changes)
    assert rows_of(steps, "leg").dial_changes == changes
    assert between(steps, "leg", "heel-set") == ["dial-back"]


def test_a_cuff_is_cranked_where_its_leg_begins() -> None:
    changes = ((0, 33), (8, 32), (15, 30))
    steps = steps_with(hung_hem(72, 16), dial_changes=changes)
    assert rows_of(steps, "hem").dial_changes == ((0, 33),)
    assert rows_of(steps, "leg").dial_changes == ((8, 32), (15, 30))


def test_changes_beyond_a_shorter_leg_are_left_out() -> None:
    steps = sock_steps([Section("leg", "rows", 10, 720)], *turned(), dial_changes=((0, 32), (8, 31), (12, 30)))
    assert rows_of(steps, "leg").dial_changes == ((0, 32), (8, 31))


def test_every_new_step_says_what_to_do_and_warns_where_hands_are_near_needles() -> None:
    for cuff in (picot_edge(72, 16), mock_rib(72, "3x1", 16), ribber_rib(72, "1x1", 20)):
        steps = steps_with(cuff, dial_changes=((0, 32), (8, 30)))
        head = Head("test", "sock", steps, 30, 72)
        for step in steps:
            if not isinstance(step, Confirm | CountRows):
                continue
            told = instruction(fold(head, entries(to_step(head, step.id))))
            assert "{" not in told.say
            if step.id in ("needles-out", "fill-needles", "ribber-on", "ribber-off"):
                assert told.caution
                assert "18" in told.say or "36" in told.say or step.id == "ribber-off"


def test_the_needles_to_take_out_are_named() -> None:
    head = Head("test", "sock", steps_with(mock_rib(72, "3x1", 16)), 30, 72)
    told = instruction(fold(head, entries(to_step(head, "needles-out"))))
    assert "18 needles come out: 4, 8, 12, 16 and so on" in told.say


def test_the_first_dial_change_is_cued_before_the_first_row() -> None:
    head = Head("test", "sock", steps_with(None, dial_changes=((0, 32), (8, 30))), 30, 72)
    state = fold(head, entries(to_step(head, "leg")))
    assert cues(state)[0].sentence("row") == "Now: set the dial to 8 turns below zero."


def test_a_try_on_takes_by_how_much() -> None:
    last = steps_with(None)[-1]
    assert isinstance(last, Measure)
    assert [item.id for item in last.fields] == ["fit", "fit-by", "fit-length", "fit-length-by", "mass"]
    assert not any(item.required for item in last.fields)
    head = Head("test", "sock", steps_with(None), 30, 72)
    done = fold(head, entries([*to_step(head, "try-on"), Confirmed()]))
    assert done.status == "finished"


def test_a_rolled_edge_is_chained_off_after_the_graft() -> None:
    ids = [step.id for step in steps_with(rolled_edge(72, 12))]
    assert ids[ids.index("graft") + 1] == "chain-off"
    assert "chain-off" not in [step.id for step in steps_with(hung_hem(72, 16))]
