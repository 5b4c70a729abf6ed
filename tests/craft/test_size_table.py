"""The page a seller pins to the wall, and two feet of one wearer."""

from itertools import pairwise

import pytest

from hosewright.craft import CraftError
from hosewright.craft.feet import FootMeasured, girth_estimate, two_feet
from hosewright.craft.fit import CylinderSize
from hosewright.craft.measured import measured
from hosewright.craft.size_table import HEADINGS, SizeRow, size_table
from hosewright.craft.turning import depth_rows
from hosewright.paper.size_sheet import table_lines

TUBE = CylinderSize(64)
OWNED = (CylinderSize(54), CylinderSize(60), TUBE, CylinderSize(80))
ROWS = 0.42


def table(cylinders: tuple[CylinderSize, ...] = OWNED, step: int = 10) -> tuple[SizeRow, ...]:
    return size_table(
        rows_per_mm=ROWS, tube=TUBE, circumference=measured(216.0, 1.2), loop_mm=measured(5.5 / ROWS, 0.06),
        cylinders=cylinders, step_mm=step,
    )  # fmt: skip


def test_every_size_from_child_to_large_adult() -> None:
    rows = table()
    assert [(r.group, r.foot_mm) for r in rows] == [
        *(("child", float(mm)) for mm in range(120, 191, 10)),
        *(("women", float(mm)) for mm in range(200, 281, 10)),
        *(("men", float(mm)) for mm in range(220, 321, 10)),
    ]
    (men_270,) = (r for r in rows if (r.group, r.foot_mm) == ("men", 270.0))
    # From memory: shops sell EU 42 1/2, UK 9 and US men 10 for a foot of 27 cm.
    assert men_270.cells()[:5] == ("men", "270", "42.5", "9", "10")
    girth = girth_estimate(270.0, "men")
    assert girth is not None
    assert (men_270.girth.mm, men_270.girth.words) == (girth.mm, girth.words)
    assert men_270.plan is not None
    assert men_270.plan.slots == men_270.fit.cylinder.slots


def test_rows_follow_the_foot_and_cylinders_the_girth() -> None:
    for group in ("child", "women", "men"):
        rows = [r for r in table() if r.group == group]
        slots = [r.fit.cylinder.slots for r in rows]
        assert slots == sorted(slots)
        for one, next_ in pairwise(rows):
            if one.fit.cylinder == next_.fit.cylinder and one.plan and next_.plan:
                assert next_.plan.foot_rows > one.plan.foot_rows


def test_rows_on_the_tubes_own_cylinder_are_the_plain_arithmetic() -> None:
    for row in table((TUBE,)):
        if row.plan is not None:
            turned = depth_rows(row.plan.heel) + depth_rows(row.plan.toe)
            assert row.plan.foot_rows == int((row.foot_mm - 12.7) * ROWS - turned + 0.5)


def test_rows_grow_taller_on_a_wider_pitch() -> None:
    (predicted,) = (r for r in table((CylinderSize(60),)) if (r.group, r.foot_mm) == ("women", 240.0))
    assert predicted.plan is not None
    assert not predicted.fit.measured
    assert predicted.plan.foot_rows < (240.0 - 12.7) * ROWS - 2 * 20


def test_a_foot_too_short_for_every_cylinder_says_why() -> None:
    rows = table((CylinderSize(120),))
    assert rows[0].plan is None
    assert "shortest foot is" in rows[0].note
    assert rows[0].cells()[-3:] == ("-", "-", "-")


def test_the_page_fits_on_a_page() -> None:
    lines = table_lines(table())
    assert len(lines) <= 66
    assert max(len(line) for line in lines[: len(table()) + 1]) <= 110
    assert all(heading in lines[0] for heading in HEADINGS)
    with pytest.raises(CraftError):
        table(step=0)


def test_the_larger_of_two_feet() -> None:
    found = two_feet(FootMeasured(254.0, 240.0), FootMeasured(262.0, 236.0))
    assert (found.length_mm, found.girth_mm, found.length_difference_mm) == (262.0, 240.0, -8.0)
    assert found.own_sizes
    assert "right foot is 8 mm longer" in found.notes[0]
    assert "slimmer" in found.notes[1]
    near = two_feet(FootMeasured(254.0), FootMeasured(250.0))
    assert (near.own_sizes, near.girth_mm) == (False, None)
    assert not two_feet(FootMeasured(255.0), FootMeasured(250.0)).own_sizes
    assert two_feet(FootMeasured(255.0), FootMeasured(255.0)).notes == ()
    assert "Only one foot" in two_feet(FootMeasured(255.0, 230.0), FootMeasured(255.0)).notes[0]
    fuller = two_feet(FootMeasured(255.0, 230.0), FootMeasured(255.0, 238.0))
    assert fuller.girth_mm == 238.0
    assert fuller.notes == ("Round the ball the right foot is 8 mm larger: both socks are planned for it.",)
    for bad in ((50.0, None), (float("nan"), None), (250.0, 5.0)):
        with pytest.raises(CraftError):
            FootMeasured(*bad)
