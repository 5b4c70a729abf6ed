"""The steps of a sock with each kind of cuff and a leg shaped by the dial, and what they say."""

from __future__ import annotations

import pytest

from hosewright.craft import CraftError
from hosewright.craft.cuffs import Cuff, hung_hem, mock_rib, picot_edge, ribber_rib, rolled_edge
from hosewright.craft.heels import NO_PART, PartRow
from hosewright.craft.sock import Section, plan_sock
from hosewright.craft.stripes import read_stripes
from hosewright.craft.turning import Turning
from hosewright.session.cues import cues
from hosewright.session.events import Confirmed, Pressed
from hosewright.session.fold import fold
from hosewright.session.reasons import caution_of
from hosewright.session.results import pieces_of
from hosewright.session.steps import Confirm, CountRows, Head, Measure, Step
from hosewright.session.words import instruction
from tests.helpers import entries, sock_steps, to_step


def steps_with(
    cuff: Cuff | None, *, leg_mm: float = 50.0, dial_changes: tuple[tuple[int, int], ...] = (), extra: int = 0
) -> tuple[Step, ...]:
    plan = plan_sock(
        slots=cuff.slots if cuff else 60,
        rows_per_mm=0.42,
        stitches_per_mm=0.32,
        tube_length_mm=53.0,
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
        (hung_hem(60, 16), ["hem", "fold-hem"]),
        (picot_edge(60, 16), ["hem", "picot-holes", "hem-inside", "fold-hem"]),
        (mock_rib(60, "3x1", 16), ["needles-out", "hem", "fill-needles", "hang-rib"]),
        (mock_rib(60, "3x1", 16, hung=False), ["needles-out", "cuff", "fill-needles"]),
        (ribber_rib(60, "1x1", 20), ["ribber-on", "cuff", "ribber-off"]),
        (rolled_edge(60, 12), ["cuff"]),
    ],
)
def test_every_cuff_has_its_steps(cuff: Cuff | None, expected: list[str]) -> None:
    assert between(steps_with(cuff), "join", "leg") == expected


def rows_of(steps: tuple[Step, ...], name: str) -> CountRows:
    step = next(step for step in steps if step.id == name)
    assert isinstance(step, CountRows)
    return step


def test_a_mock_rib_knows_its_needles_out() -> None:
    rib = rows_of(steps_with(mock_rib(60, "3x1", 16)), "hem")
    assert rib.out_of_work == tuple(range(4, 61, 4))  # every fourth slot, 15 times round 60
    assert rows_of(steps_with(mock_rib(60, "3x1", 16)), "leg").out_of_work == ()


def test_a_picot_is_cranked_to_the_fold_and_as_far_again() -> None:
    steps = steps_with(picot_edge(60, 16))
    assert (rows_of(steps, "hem").target, rows_of(steps, "hem-inside").target) == (8, 8)
    # A first sock that really got 17 rows: its twin has 8 to the fold and 9 after it.
    again = sock_steps([Section("hem", "rows", 17, 17 * 60)], *turned(), cuff=picot_edge(60, 16))
    assert (rows_of(again, "hem").target, rows_of(again, "hem-inside").target) == (8, 9)


@pytest.mark.parametrize(("rows", "before", "after"), [(16, 8, 8), (9, 8, 1), (8, 7, 1), (2, 1, 1)])
def test_a_picot_cut_short_still_has_a_row_after_its_fold(rows: int, before: int, after: int) -> None:
    steps = sock_steps([Section("hem", "rows", rows, rows * 60)], *turned(), cuff=picot_edge(60, 16))
    assert (rows_of(steps, "hem").target, rows_of(steps, "hem-inside").target) == (before, after)


def turned() -> tuple[Turning, Turning]:
    return Turning(30, 10), Turning(30, 10)


def test_rows_for_a_high_instep_come_before_the_heel() -> None:
    assert between(steps_with(None, extra=6), "leg", "heel-needles") == ["ankle"]


def test_a_leg_by_the_dial_ends_with_the_dial_at_the_baseline() -> None:
    changes = ((0, 29), (8, 28), (15, 27), (20, 26))
    steps = steps_with(None, dial_changes=changes)
    assert rows_of(steps, "leg").dial_changes == changes
    assert between(steps, "leg", "heel-needles") == ["dial-back"]


def test_a_cuff_is_cranked_where_its_leg_begins() -> None:
    changes = ((0, 29), (8, 28), (15, 26))
    steps = steps_with(hung_hem(60, 16), dial_changes=changes)
    assert rows_of(steps, "hem").dial_changes == ((0, 29),)
    assert rows_of(steps, "leg").dial_changes == ((8, 28), (15, 26))


def test_changes_beyond_a_shorter_leg_are_left_out() -> None:
    steps = sock_steps([Section("leg", "rows", 10, 600)], *turned(), dial_changes=((0, 28), (8, 27), (12, 26)))
    assert rows_of(steps, "leg").dial_changes == ((0, 28), (8, 27))


def test_every_new_step_says_what_to_do_and_warns_where_hands_are_near_needles() -> None:
    for cuff in (picot_edge(60, 16), mock_rib(60, "3x1", 16), ribber_rib(60, "1x1", 20)):
        steps = steps_with(cuff, dial_changes=((0, 28), (8, 26)))
        head = Head("test", "sock", steps, 26, 60)
        for step in steps:
            if not isinstance(step, Confirm | CountRows):
                continue
            state = fold(head, entries(to_step(head, step.id)))
            told = instruction(state)
            assert "{" not in told
            if step.id in ("needles-out", "fill-needles", "ribber-on", "ribber-off"):
                assert caution_of(state)
                assert "15" in told or "30" in told or step.id == "ribber-off"


def test_the_needles_to_take_out_are_named() -> None:
    head = Head("test", "sock", steps_with(mock_rib(60, "3x1", 16)), 26, 60)
    told = instruction(fold(head, entries(to_step(head, "needles-out"))))
    assert "15 needles come out: 4, 8, 12, 16 and so on" in told


def test_the_first_dial_change_is_cued_before_the_first_row() -> None:
    head = Head("test", "sock", steps_with(None, dial_changes=((0, 28), (8, 26))), 26, 60)
    state = fold(head, entries(to_step(head, "leg")))
    assert cues(state)[0].sentence("row") == "Now: set the dial to 7 turns below zero."


def test_a_try_on_takes_by_how_much() -> None:
    last = steps_with(None)[-1]
    assert isinstance(last, Measure)
    assert [item.id for item in last.fields] == ["fit", "fit-by", "fit-length", "fit-length-by", "mass"]
    assert not any(item.required for item in last.fields)
    head = Head("test", "sock", steps_with(None), 26, 60)
    done = fold(head, entries([*to_step(head, "try-on"), Confirmed()]))
    assert done.status == "finished"


@pytest.mark.parametrize(
    ("cuff", "open_top"),
    [
        (None, True),
        (rolled_edge(60, 12), True),
        (mock_rib(60, "3x1", 16, hung=False), True),
        (ribber_rib(60, "1x1", 20), True),
        (ribber_rib(60, "1x1", 20, selvedge=True), False),
        (hung_hem(60, 16), False),
        (picot_edge(60, 16), False),
        (mock_rib(60, "3x1", 16), False),
    ],
)
def test_a_top_that_would_run_is_chained_off_and_every_sock_is_finished_by_hand(
    cuff: Cuff | None, open_top: bool
) -> None:
    """Common practice, no source: nothing holds the first loops but a hem hung, a chain or a selvedge."""
    chained = ["chain-top"] if open_top else []
    assert between(steps_with(cuff), "graft", "wash") == [*chained, "corners", "ends"]


def test_a_selvedge_is_cranked_first_and_is_part_of_the_cuffs_rows() -> None:
    cuff = ribber_rib(60, "3x1", 20, selvedge=True)
    steps = steps_with(cuff)
    assert between(steps, "join", "leg") == [
        *("selvedge-on", "cuff-both", "ribber-rest", "cuff-cylinder", "ribber-rib", "cuff", "ribber-off")
    ]
    assert [rows_of(steps, name).target for name in ("cuff-both", "cuff-cylinder", "cuff")] == [1, 2, 17]
    with pytest.raises(CraftError, match="must be even, not 57"):
        ribber_rib(57, "2x1", 20, selvedge=True)
    with pytest.raises(CraftError, match="3 rows of the cuff, so 3 rows leave none"):
        ribber_rib(60, "1x1", 3, selvedge=True)


def test_the_separator_yarn_is_drawn_out_of_a_hem_once_a_row_holds_it() -> None:
    head = Head("test", "sock", steps_with(hung_hem(60, 16)), 30, 60)
    before = to_step(head, "leg")
    said = [cues(fold(head, entries([*before, *[Pressed()] * row])))[0].sentence("row") for row in (0, 1, 3)]
    drawn = "hold the weights and draw out the hem's separator yarn"
    assert said == [f"In 1 row: {drawn}.", f"Now: {drawn}.", f"Due 2 rows ago: {drawn}."]
    assert drawn not in str(cues(fold(head, entries([*before, *[Pressed()] * 7]))))
    assert drawn not in str(cues(fold(head, entries(to_step(head, "foot")))))
    plain = Head("test", "sock", steps_with(None), 30, 60)
    assert drawn not in str(cues(fold(plain, entries(to_step(plain, "leg")))))


def test_a_mock_rib_is_hung_loop_by_loop_on_the_needles_it_was_knitted_on() -> None:
    head = Head("test", "sock", steps_with(mock_rib(60, "3x1", 16)), 30, 60)
    said = instruction(fold(head, entries(to_step(head, "hang-rib"))))
    assert "hang each on the needle it was knitted on" in said
    assert "takes the bar beside it, or none" in said


@pytest.mark.parametrize(
    ("cuff", "stitches"),
    [
        (ribber_rib(60, "1x1", 20), 20 * 60),
        (ribber_rib(60, "2x1", 20), 20 * 60),
        # By hand: 1 row on both beds, 2 on the 30 needles of the cylinder alone, 17 of the rib.
        (ribber_rib(60, "3x1", 20, selvedge=True), 60 + 2 * 30 + 17 * 60),
        (mock_rib(60, "3x1", 20, hung=False), 20 * 45),  # a quarter of the needles are out, and nothing knits there
        (hung_hem(60, 20), 20 * 60),
    ],
)
def test_a_stitch_on_the_ribber_takes_yarn_like_any_other(cuff: Cuff, stitches: int) -> None:
    sock = Head("ribbed", "sock", steps_with(cuff), 26, 60)
    (before,) = pieces_of(fold(sock, entries(to_step(sock, "join"))))
    (after,) = pieces_of(fold(sock, entries(to_step(sock, "leg"))))
    assert after.stitches - before.stitches == stitches


@pytest.mark.parametrize(("part_row", "split"), [(NO_PART, 0), ((9, 51), 1)])
@pytest.mark.parametrize("leg_mm", [21.0, 100.0])
def test_stripes_go_on_from_part_to_part_and_through_a_row_that_the_heel_splits(
    leg_mm: float, part_row: PartRow, split: int
) -> None:
    stripes = read_stripes("8 navy, 4 tan, 3 red")
    plan = plan_sock(
        slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, tube_length_mm=53.0, leg_mm=leg_mm, extra_heel_rows=4
    )
    steps = sock_steps(plan.sections, plan.heel, plan.toe, stripes=stripes, part_row=part_row)
    cranked: list[str] = []
    for name in ("leg", "ankle", "foot"):
        step, changes = rows_of(steps, name), dict(rows_of(steps, name).yarn_changes)
        colour = cranked[-1] if cranked else stripes.at(0)
        if name == "foot":
            cranked += ["split"] * split
        for row in range(step.target):
            colour = changes.get(row, colour)
            cranked.append(colour)
    navy, tan, red = stripes.colours
    wound = ([navy] * 8 + [tan] * 4 + [red] * 3) * 10
    assert [(one, two) for one, two in zip(cranked, wound, strict=False) if one not in (two, "split")] == []
    assert (
        len(cranked)
        == sum(section.count for section in plan.sections if section.name in ("leg", "ankle", "foot")) - split
    )
