"""Tubes without a heel: their rows from a length, their names, and what is said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.craft import CraftError
from hosewright.craft.cuffs import hung_hem
from hosewright.craft.measured import Measured, measured
from hosewright.craft.tubes import plan_tube, tube_name

if TYPE_CHECKING:
    from hosewright.craft.heels import EndKind
    from hosewright.craft.sock import TubePlan


def tube(end: EndKind = "chained off", long_mm: Measured | float = 200.0, **more: object) -> TubePlan:
    told: dict[str, object] = {
        "slots": 60,
        "rows_per_mm": 0.42,
        "stitches_per_mm": 0.32,
        "end": end,
        "long_mm": long_mm,
    }
    return plan_tube(**(told | more))  # type: ignore[arg-type]


def test_a_tube_is_as_long_as_was_asked_a_turned_toe_among_it() -> None:
    bare = tube()
    assert [(one.name, one.count) for one in bare.sections] == [("tube", 84)]  # 0.42 rows a mm over 200 mm
    toed = tube("toe")
    assert [(one.name, one.count) for one in toed.sections] == [("tube", 64), ("toe", 40)]  # 30 needles to 10: 20 rows
    assert [(one.name, one.count) for one in tube("drawn up").sections] == [("tube", 84)]
    # 30 to 8 with a plain pass at either end: 44 and 2 passes, 23 rows; 30^2 - 8^2 and 60 stitches.
    own = tube("toe", toe_left_in_work=8, plain_passes=True)
    assert [(one.name, one.count, one.stitches) for one in own.sections] == [("tube", 61, 3660), ("toe", 46, 896)]
    assert bare.circumference_mm == pytest.approx(60 / 0.32)
    assert (bare.needles, bare.stitches_per_sock, toed.stitches_per_sock) == (30, 84 * 60, 64 * 60 + 800)
    hemmed = tube(cuff=hung_hem(60, 20))
    assert [(one.name, one.count, one.stitches) for one in hemmed.sections] == [("hem", 20, 1200), ("tube", 84, 5040)]
    assert hemmed.stitches_per_sock == 6240
    assert any("10 rows deep" in note for note in hemmed.notes)


def test_the_errors_of_a_tube_are_those_of_gauge_length_and_yarn() -> None:
    """By hand: 84 rows, of which the gauge is sure to 3 %, the length to 2 and the yarn to 6: together 7 %."""
    rate, around = measured(0.42, 0.42 * 0.03), measured(0.32, 0.32 * 0.04)
    rough = tube(long_mm=measured(200.0, 4.0), rows_per_mm=rate, stitches_per_mm=around, departs=measured(1.0, 0.06))
    assert rough.leg_rows_error == pytest.approx(84 * 0.07)
    assert rough.circumference_error_mm == pytest.approx(187.5 * 0.04)
    assert rough.notes == ("The tube is 84 ± 6 rows.",)
    assert tube("toe", rows_per_mm=rate).leg_rows_error == pytest.approx(84 * 0.03)  # the toe is measured off with it


def test_the_shortest_tube_has_one_row() -> None:
    assert tube(long_mm=1.2).sections[0].count == 1  # 0.504 of a row
    for end, long_mm in (("chained off", 1.19), ("toe", 48.7)):
        with pytest.raises(CraftError, match="no row for the tube"):
            tube(end, long_mm)  # type: ignore[arg-type]
    assert tube("toe", 48.9).sections[0].count == 1  # 20.5 rows and a bit, 20 of them the toe's
    with pytest.raises(CraftError):
        tube(slots=3)


@pytest.mark.parametrize(
    ("end", "leg_mm", "name"),
    [
        ("toe", 300.0, "tube sock"),
        ("drawn up", 300.0, "tube sock"),
        ("chained off", 249.9, "wrister"),
        ("chained off", 250.0, "leg warmer"),  # ours
    ],
)
def test_a_tube_has_its_name_by_its_end_and_length(end: EndKind, leg_mm: float, name: str) -> None:
    assert tube_name("none", end, leg_mm) == name
    assert tube_name("short-row", "toe", leg_mm) == "sock"
    assert tube_name("afterthought", "toe", 0.0) == "footlet"
