"""The sock drawn to scale: what is drawn is the plan, in length, in area and in order.

The lengths and areas a drawing is held against come from the plan's own counts and gauge; that half of a round is seen
of a sock lying flat, and that a pocket folds in two, is common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hosewright.craft.cuffs import hung_hem, ribber_rib
from hosewright.craft.heels import USUAL_HEEL, HeelAs
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.picture.cells import Filling, draw, in_a_line, in_letters, standing
from hosewright.picture.drawing import sock_svg
from hosewright.picture.of_sock import Knitted, sock_shape
from hosewright.picture.shape import Pocket, Shape, Tube

COLUMNS, LINES = 60, 30


@st.composite
def planned(draw_: st.DrawFn) -> tuple[SockPlan, Knitted]:
    """Plans of socks that a foot can wear."""
    slots = draw_(st.sampled_from((48, 54, 60, 64, 72, 80, 100)))
    rows, stitches = draw_(st.floats(0.3, 0.6)), draw_(st.floats(0.25, 0.45))
    half = slots // 2
    left = draw_(st.integers(2, half - 4))
    cuff = draw_(st.sampled_from((None, hung_hem(slots, 16), ribber_rib(slots, "1x1", 20))))
    least = 0 if cuff else 5  # an afterthought heel wants rows above it
    wide = HeelAs(needles=half + 2 * draw_(st.integers(1, half // 3)))
    gusset = HeelAs("mini-gusset", gusset=draw_(st.integers(1, half // 3)))
    heel = draw_(st.sampled_from((USUAL_HEEL, wide, gusset, HeelAs("afterthought"))))
    plan = plan_sock(
        slots=slots,
        rows_per_mm=rows,
        stitches_per_mm=stitches,
        tube_length_mm=draw_(st.floats(90, 200)),
        leg_mm=draw_(st.floats(least, 350)),
        left_in_work=left,
        plain_passes=draw_(st.sampled_from((False, True) if heel is wide else (False, True, "before", "after"))),
        extra_heel_passes=draw_(st.sampled_from((0, 4, 10))),
        extra_heel_rows=draw_(st.sampled_from((0, 6))),
        cuff=cuff,
        heel_as=heel,
    )
    return plan, Knitted(rows, stitches, slots)


def shape_of(plan: SockPlan, by: Knitted) -> Shape:
    return sock_shape(plan.sections, plan.heel, plan.toe, by)


def polygon_area(points: tuple[tuple[float, float], ...]) -> float:
    """The shoelace formula (Gauss)."""
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairwise((*points, points[0])))) / 2


def seen_mm2(plan: SockPlan, by: Knitted) -> dict[str, float]:
    """What each part covers lying flat: half of its stitches, of a hem half of that."""
    a_stitch = 1 / (by.rows_per_mm * by.stitches_per_mm)
    found = {}
    for section in plan.sections:
        rows = section.count / 2 if section.name == "hem" else section.count
        wide = by.slots if section.kind == "rows" else section.stitches / section.count
        found[section.name] = rows * wide * a_stitch / 2
    return found


@settings(max_examples=60, deadline=None)
@given(planned())
def test_every_part_covers_the_area_of_its_stitches(sock: tuple[SockPlan, Knitted]) -> None:
    plan, by = sock
    shape = shape_of(plan, by)
    for part, name in enumerate(shape.names):
        covered = sum(polygon_area(points) for points in shape.cranked(part, shape.counts[part]))
        assert covered == pytest.approx(seen_mm2(plan, by)[name], rel=1e-6), name


@settings(max_examples=25, deadline=None)
@given(planned())
def test_cells_cover_what_the_plan_says_within_three_percent(sock: tuple[SockPlan, Knitted]) -> None:
    plan, by = sock
    shape = shape_of(plan, by)
    picture = draw(shape, COLUMNS, LINES)
    drawn = [place.part for half in picture.halves for place in half if place is not None]
    wanted = seen_mm2(plan, by)
    assert len(drawn) * picture.mm**2 == pytest.approx(sum(wanted.values()), rel=0.03)
    assert set(drawn) <= set(range(len(shape.parts)))


@settings(max_examples=40, deadline=None)
@given(planned())
def test_lengths_are_the_plans_within_half_a_cell(sock: tuple[SockPlan, Knitted]) -> None:
    """The foot from heel to toe, each pocket, and the leg."""
    plan, by = sock
    shape = shape_of(plan, by)
    picture = draw(shape, COLUMNS, LINES)
    left, bottom = picture.left, shape.box[3]
    row = 1 / by.rows_per_mm
    counts = {section.name: section.count for section in plan.sections}
    rows_seen = sum(
        section.count / 2 if section.name == "hem" else section.count
        for section in plan.sections
        if section.name in ("hem", "cuff", "leg", "ankle")
    )
    assert shape.leg_mm == pytest.approx(rows_seen * row)
    assert shape.foot.long_mm == pytest.approx(counts["foot"] * row)
    assert bottom == pytest.approx(by.slots / by.stitches_per_mm / 2)
    # The leg's mean length over its width, since its last rows bend down over the heel.
    above = sum(place is not None and place.part < len(shape.above) for half in picture.halves for place in half)
    slanted = 1.5 if plan.heel.gusset else 1.0  # they go round a gusset on two slants more
    assert abs(above * picture.mm**2 / shape.wide - shape.leg_mm) <= slanted * picture.mm
    # Where each part of the foot begins and ends, seen from the back of the heel: within half a cell.
    begin = 0.0
    for name in ("heel", "foot", "toe"):
        part = shape.names.index(name)
        one = shape.parts[part]
        end = begin + (one.deep if isinstance(one, Pocket) else counts["foot"] * row)
        columns = [x for half in picture.halves for x, place in enumerate(half) if place and place.part == part]
        assert abs(left + min(columns) * picture.mm - begin) <= picture.mm / 2 + 1e-6, shape.names[part]
        reaches = left + (max(columns) + 1) * picture.mm
        tip = (
            one.deep * 0.02 if isinstance(one, Pocket) else 0.0
        )  # of a tip as narrow as a needle half a cell may be missed
        assert abs(reaches - end) <= picture.mm / 2 + tip + 1e-6, shape.names[part]
        begin = end


@settings(max_examples=25, deadline=None)
@given(planned())
def test_the_picture_fills_row_by_row_and_never_empties(sock: tuple[SockPlan, Knitted]) -> None:
    plan, by = sock
    shape = shape_of(plan, by)
    picture = draw(shape, 40, 20)
    places = [place for half in picture.halves for place in half if place is not None]
    ranks = {"ahead": 0, "inside": 1, "done": 2}
    before = [0] * len(places)
    done = [0] * len(shape.parts)
    for part, count in enumerate(shape.counts):
        for row in range(1, count + 1):
            done[part] = row
            now = [ranks[standing(place, done)] for place in places]
            assert all(new >= old for old, new in zip(before, now, strict=True))
            before = now
    assert set(before) == {2}


@settings(max_examples=40, deadline=None)
@given(planned(), st.integers(0, 10_000))
def test_what_is_filled_is_what_was_cranked(sock: tuple[SockPlan, Knitted], seed: int) -> None:
    """Polygons and places are two ways to say the same: the area of both is that of the stitches cranked."""
    plan, by = sock
    shape = shape_of(plan, by)
    part = shape.names.index("heel")
    turning = plan.heel
    passes = seed % (turning.count + 1)
    covered = sum(polygon_area(points) for points in shape.cranked(part, passes))
    stitches = sum(len(one.in_work) for one in turning.passes()[:passes])
    assert covered == pytest.approx(stitches / (by.rows_per_mm * by.stitches_per_mm) / 2, rel=1e-6, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from((48, 54, 60, 64, 80, 100)), st.data(), st.floats(0, 350), st.booleans())
def test_a_gusset_widens_the_pocket_by_its_needles_and_the_narrowing_takes_them_away(
    slots: int, data: st.DataObject, leg: float, plain: bool
) -> None:
    """Base, widest place and tip, each as deep and as wide as so many rows and stitches of the plan's gauge."""
    rows, stitches = 0.42, 0.31
    gusset, left = data.draw(st.integers(1, slots // 6)), 2 * data.draw(st.integers(1, 8)) + slots // 2 % 2
    plan = plan_sock(
        slots=slots,
        rows_per_mm=rows,
        stitches_per_mm=stitches,
        tube_length_mm=120,
        leg_mm=leg,
        left_in_work=left,
        plain_passes=plain,
        heel_as=HeelAs("mini-gusset", gusset=gusset),
    )
    shape = shape_of(plan, Knitted(rows, stitches, slots))
    half, every = slots // 2, slots // 2 + 2 * gusset
    depths = ((0, half), (plain + 2 * gusset, every), (plain + 2 * gusset + every - left, left))
    cover = [point for part in shape.cranked(shape.names.index("heel"), plan.heel.count) for point in part]
    for depth, needles in depths:
        x = (depths[-1][0] - depth) / rows
        ends = [y for at, y in cover if at == pytest.approx(x, abs=1e-6)]
        assert max(ends) - min(ends) == pytest.approx(needles / stitches), (depth, needles)
        assert max(ends) == pytest.approx(shape.wide), "the sole is straight"
        middle = [shape.at(max(x - 1e-6, 1e-6), y * shape.wide / 50) for y in range(-150, 50)]
        found = [place for place in middle if place is not None and shape.names[place.part] == "heel"]
        assert len(found) * shape.wide / 50 == pytest.approx(needles / stitches, abs=shape.wide / 40)
    assert min(y for _, y in cover) == pytest.approx((half - every) / stitches)
    picture = draw(shape, COLUMNS, LINES)
    seen = [
        sum(p is not None and shape.names[p.part] == "heel" for p in line) for line in zip(*picture.halves, strict=True)
    ]
    assert max(seen) * picture.mm == pytest.approx(every / stitches, abs=2.5 * picture.mm)


def our_sock() -> tuple[SockPlan, Knitted]:
    """Ours: 60 slots, 42 rows and 31 stitches in 10 cm."""
    plan = plan_sock(slots=60, rows_per_mm=0.42, stitches_per_mm=0.31, foot_length_mm=245, leg_mm=130, hem_rows=16)
    return plan, Knitted(0.42, 0.31, 60)


def test_half_blocks_show_what_is_cranked_by_shape_alone() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    picture = draw(shape, 46, 22)
    done = [16, 20, 0, 0, 0]
    lines = ["".join(run.text for run in line) for line in Filling(picture).lines(done)]
    assert len(lines) == 22
    assert all(len(line) == 46 for line in lines)
    assert "▚" in lines[0]
    assert "█" in lines[3]
    assert set(lines[-1].strip()) == {"░", "·"}
    full = "".join("".join(run.text for run in line) for line in Filling(picture).lines(shape.counts))
    assert not set(full) & {"░", "·"}


def test_a_row_works_out_only_the_lines_it_lies_on_anew() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    picture = draw(shape, 46, 22)
    filling = Filling(picture)
    done = [0] * len(shape.parts)
    before = filling.lines(done)
    for part, count in enumerate(shape.counts):
        for row in range(1, count + 1):
            done[part] = row
            after = filling.lines(done)
            anew = {y for y, (old, new) in enumerate(zip(before, after, strict=True)) if old is not new}
            lies = {
                y // 2
                for y, half in enumerate(picture.halves)
                for place in half
                if place is not None and place.part == part and row in (place.row, place.inside)
            }
            assert anew == lies
            before = after


def test_a_hem_is_first_cranked_on_the_inside() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    picture = draw(shape, 46, 22)
    text = ["".join(run.text for run in line) for line in Filling(picture).lines([8, 0, 0, 0, 0])]
    assert "▒" in text[0]
    assert "▚" not in "".join(text)


def test_letters_stand_in_where_there_are_no_blocks() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    lines = in_letters(draw(shape, 30, 14), [16, plan.sections[1].count, 0, 0, 0])
    assert "\n".join(lines).isascii()
    assert "H" in lines[0]
    assert {"h", "f", "t"} <= set("".join(lines))
    assert "F" not in "".join(lines)


def test_one_line_holds_the_whole_sock() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    line = "".join(run.text for run in in_a_line(shape, [16, plan.sections[1].count, 20, 0, 0], 40))
    assert len(line) == 40
    assert [line.find(sign) for sign in "▚█▓░·"] == sorted(line.find(sign) for sign in "▚█▓░·")


def test_a_leg_shaped_by_the_dial_is_wider_at_the_calf() -> None:
    plan, by = our_sock()
    shaped = Knitted(by.rows_per_mm, by.stitches_per_mm, by.slots, ((0, 1.2), (20, 1.1), (40, 1.0)))
    leg = shape_of(plan, shaped).parts[1]
    assert isinstance(leg, Tube)
    assert leg.wide_mm[0] == pytest.approx(1.2 * leg.wide_mm[-1])
    top = shape_of(plan, shaped).box[0]
    assert top <= shape_of(plan, by).box[0]


def test_a_place_is_found_again_in_the_picture() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    picture = draw(shape, 46, 22)
    leg, foot = shape.names.index("leg"), shape.names.index("foot")
    found = picture.find(leg, 1)
    assert found is not None
    last = picture.find(foot, shape.counts[foot])
    first = picture.find(foot, 1)
    assert first is not None
    assert last is not None
    assert first[0] < last[0]
    assert found[1] < first[1]


def test_the_drawing_for_paper_names_its_parts_and_fits_its_frame() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    text = sock_svg(shape, shape.counts, "A sock <for> the shelf", shape.names)
    assert text.startswith("<svg ")
    assert "A sock &lt;for&gt; the shelf" in text
    assert all(f">{name}</text>" in text for name in shape.names)


def test_no_room_is_refused() -> None:
    plan, by = our_sock()
    shape = shape_of(plan, by)
    with pytest.raises(ValueError, match="at least one cell"):
        draw(shape, 0, 4)
    with pytest.raises(ValueError, match="at least one cell"):
        in_a_line(shape, shape.counts, 0)
