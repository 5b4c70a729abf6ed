"""Cuffs: hems, needle-out patterns against the slot count, the ribber's counts, and the plan that uses them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.cuffs import (
    Cuff,
    NeedleOut,
    evenness,
    hung_hem,
    make_cuff,
    mock_rib,
    picot_edge,
    read_needle_out,
    ribber_rib,
    rolled_edge,
)
from hosewright.craft.sock import SockPlan, plan_sock


def sock(slots: int = 60, hem_rows: int = 0, cuff: Cuff | None = None) -> SockPlan:
    return plan_sock(
        slots=slots, rows_per_mm=0.42, stitches_per_mm=0.32, tube_length_mm=160.0, leg_mm=160.0,
        hem_rows=hem_rows, cuff=cuff,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "runs"),
    [
        ("3x1", (3, 1)), ("3X1", (3, 1)), ("3:1", (3, 1)), ("3 × 1", (3, 1)), ("2 in 1 out", (2, 1)),
        ("2in1out", (2, 1)), ("3 in, 1 out, 1 in, 1 out", (3, 1, 1, 1)), ("2x1x1x1", (2, 1, 1, 1)),
    ],
)  # fmt: skip
def test_typed_patterns(text: str, runs: tuple[int, ...]) -> None:
    assert read_needle_out(text).runs == runs
    assert read_needle_out(read_needle_out(text).words).runs == runs


@pytest.mark.parametrize(
    "text", ["", "3", "3x", "3x0", "0x1", "3x1x1", "1 out 2 in", "3x3", "x" * 500, "99x1", "3\x1bx1"]
)
def test_patterns_that_mean_nothing(text: str) -> None:
    with pytest.raises(CraftError) as raised:
        read_needle_out(text)
    assert str(raised.value).isprintable()
    assert len(str(raised.value)) < 200


@given(st.integers(8, 160), st.integers(1, 9), st.integers(1, 2))
def test_every_pattern_on_every_slot_count(slots: int, stay: int, out: int) -> None:
    pattern = NeedleOut((stay, out))
    found = evenness(slots, pattern)
    assert found.repeats * pattern.repeat + found.left_over == slots
    assert found.even == (slots % pattern.repeat == 0)
    needles = pattern.out_of(slots)
    assert len(needles) == found.repeats * out
    assert all(1 <= n <= slots and (n - 1) % pattern.repeat >= stay for n in needles)
    for count in found.slot_counts:
        assert count % pattern.repeat == 0
        assert abs(count - slots) <= 6
    for near in found.patterns:
        assert slots % read_needle_out(near).repeat == 0
        assert near != pattern.words


def test_what_nearly_divides_is_offered() -> None:
    # 70 = 17 x 4 + 2: 68 and 72 slots take 3x1, and 70 slots take 4x1 (5 x 14).
    found = evenness(70, NeedleOut((3, 1)))
    assert (found.repeats, found.left_over, found.slot_counts) == (17, 2, (68, 72))
    assert found.patterns[0] == "4x1"
    with pytest.raises(CraftError, match="leaves 2 over: these come out even: 4x1"):
        mock_rib(70, "3x1", 20)
    kept = mock_rib(70, "3x1", 20, allow_uneven=True)
    assert kept.cylinder_needles == 70 - 17
    assert any("5 needles wide" in note for note in kept.notes)


def test_a_mock_rib_hung_as_a_hem() -> None:
    cuff = mock_rib(60, "3x1", 20)
    assert cuff.out_of_work == tuple(range(4, 61, 4))
    assert (cuff.cylinder_needles, cuff.rows_deep, cuff.stitches, cuff.section) == (45, 10, 20 * 45, "hem")
    plan = sock(cuff=cuff)
    assert plan.cuff == cuff
    assert (plan.sections[0].name, plan.sections[0].count, plan.sections[0].stitches) == ("hem", 20, 900)
    assert plan.stitches_per_sock == sum(s.stitches for s in plan.sections)
    open_ = mock_rib(60, "2 in 1 out", 31, hung=False)
    assert (open_.section, open_.rows_deep, open_.cylinder_needles) == ("cuff", 31, 40)
    assert sock(cuff=open_).sections[0].name == "cuff"


@pytest.mark.parametrize(("pattern", "cylinder", "ribber"), [("1x1", 30, 30), ("2x1", 40, 20), ("3x1", 45, 15)])
def test_ribber_counts_on_sixty(pattern: str, cylinder: int, ribber: int) -> None:
    # Same rule as 100 dial needles for 1x1 rib on a 4 in x 200 machine (knittingmagic.biz): half for 1x1.
    cuff = ribber_rib(60, pattern, 30)
    assert (cuff.cylinder_needles, cuff.ribber_needles, cuff.stitches) == (cylinder, ribber, 30 * 60)
    assert len(cuff.out_of_work) == ribber
    assert not cuff.hung


def test_a_selvedges_rows_on_the_cylinder_alone_are_half_rows() -> None:
    # By hand on 60 slots: 1 row of 60 on both beds, 2 of 30 on the cylinder alone, then 17 of 60 in the rib.
    cuff = ribber_rib(60, "3x1", 20, selvedge=True)
    assert cuff.stitches == 60 + 60 + 1020
    assert sock(cuff=cuff).sections[0].stitches == 1140
    assert ribber_rib(60, "3x1", 20).stitches == 1200


def test_ribs_that_do_not_go_round_offer_what_does() -> None:
    assert ribber_rib(200, "1x1", 10).ribber_needles == 100
    with pytest.raises(
        CraftError, match=r"3x1 goes round 54 slots 13 times and leaves 2 over: use 1x1 or 2x1"
    ) as raised:
        ribber_rib(54, "3x1", 30)
    assert "3x1 on 52 or 56" in str(raised.value)
    with pytest.raises(CraftError, match="20 ribber needles evenly spaced") as raised:
        ribber_rib(60, "2x1", 30, ribber_slots=30)
    assert "1x1 or 3x1 can be" in str(raised.value)
    assert ribber_rib(60, "3x1", 30, ribber_slots=30).ribber_needles == 15
    with pytest.raises(CraftError, match="1x1, 2x1, 3x1"):
        ribber_rib(60, "5x1", 30)


def test_hems_and_picots() -> None:
    assert sock(hem_rows=20).cuff == hung_hem(60, 20)
    assert sock(hem_rows=20).sections == sock(cuff=hung_hem(60, 20)).sections
    assert any("10 rows deep" in note for note in sock(hem_rows=20).notes)
    picot = picot_edge(60, 20)
    assert "After row 10" in picot.notes[0]
    assert "30 of 60" in picot.notes[0]
    with pytest.raises(CraftError, match="60 or 62"):
        picot_edge(61, 20)
    with pytest.raises(CraftError, match="20 or 22"):
        hung_hem(60, 21)
    with pytest.raises(CraftError, match="not both"):
        sock(hem_rows=20, cuff=hung_hem(60, 20))
    with pytest.raises(CraftError, match="made for 64 slots"):
        sock(cuff=hung_hem(64, 20))
    for slots, rows in ((4, 20), (60, 0), (60, 9999)):
        with pytest.raises(CraftError):
            hung_hem(slots, rows)
    with pytest.raises(CraftError, match="more than 8 slots"):
        mock_rib(8, "9x1", 20)


def test_a_rolled_edge_is_plain_and_single() -> None:
    edge = rolled_edge(60, 9)  # odd rows will do: nothing folds
    assert (edge.rows_deep, edge.stitches, edge.section, edge.hung, edge.out_of_work) == (9, 9 * 60, "cuff", False, ())
    planned = sock(cuff=edge)
    assert (planned.sections[0].name, planned.sections[0].count) == ("cuff", 9)
    assert any("Chain its first loops off" in note for note in edge.notes)


def test_a_cuff_of_each_kind_is_that_kinds_own() -> None:
    assert make_cuff("hem", 60, 20) == hung_hem(60, 20)
    assert make_cuff("picot", 60, 20) == picot_edge(60, 20)
    assert make_cuff("rolled", 60, 9) == rolled_edge(60, 9)
    assert make_cuff("ribber", 60, 20, "3x1", selvedge=True) == ribber_rib(60, "3x1", 20, selvedge=True)
    assert make_cuff("mock rib", 60, 31, "2x1") == mock_rib(60, "2x1", 31, hung=False)
    assert make_cuff("mock rib", 70, 30, "3x1", hung=True, allow_uneven=True) == mock_rib(
        70, "3x1", 30, allow_uneven=True
    )


def test_a_selvedge_wants_even_slots_and_rows_of_rib() -> None:
    with pytest.raises(CraftError, match="must be even, not 63"):
        ribber_rib(63, "2x1", 20, selvedge=True)
    assert ribber_rib(63, "2x1", 20).ribber_needles == 21
    with pytest.raises(CraftError, match="takes 3 rows of the cuff, so 3 rows leave none"):  # 1 and 2, common practice
        ribber_rib(60, "1x1", 3, selvedge=True)
