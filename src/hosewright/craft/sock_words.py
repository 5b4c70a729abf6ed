"""What a planned sock is told beside its numbers, and why one cannot be knitted."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from hosewright.craft.measured import Measured, error, nominal
from hosewright.craft.routes import Route, depth_rows, explain_rows, gauged_rows
from hosewright.craft.units import show_length

if TYPE_CHECKING:
    from hosewright.craft.turning import Turning

LEAST_FOOT_ROWS = 1


def too_short(route: Route, rate: Measured, heel: Turning, toe: Turning, ease_mm: float, unit: str) -> str:
    """Why no rows are left for the foot, and the nearest sock that can be knitted."""
    per_mm = nominal(rate)
    if route.by == "tube":
        return f"The tube is shorter than one row: the shortest is {show_length(LEAST_FOOT_ROWS / per_mm, 'mm')}."
    turned = depth_rows(heel) + depth_rows(toe)
    shortest = (turned + LEAST_FOOT_ROWS) / per_mm + ease_mm
    said = (
        f"The heel and toe alone take {turned} rows, more than this foot has; on these needles the shortest foot "
        f"is {show_length(math.ceil(shortest), unit)}"
    )
    room = math.floor(nominal(route.exact) + turned - LEAST_FOOT_ROWS + 0.5)
    plain = turned - heel.narrowing - toe.narrowing
    lifted = (room - plain) // 2
    lifted -= lifted % 2
    if lifted < 2:
        return f"{said}, so use a cylinder with fewer slots."
    return f"{said}, or leave {heel.needles - lifted} needles in work at heel and toe."


def shape_notes(slots: int, heel: Turning, toe: Turning, extra_rows: int) -> tuple[str, ...]:
    """Halves that differ, gores that differ, and what a deeper heel does."""
    notes = []
    if slots % 2:
        notes.append(f"{slots} slots do not halve: the heel gets {heel.needles} and the instep {slots - heel.needles}.")
    for part, name in ((heel, "heel"), (toe, "toe")):
        if not part.gores_equal:
            notes.append(
                f"From {part.needles} to {part.left_in_work} needles the two gores of the {name} differ by one needle."
            )
    if extra_rows:
        notes.append(f"{extra_rows} extra rows before the heel give a high instep room; the foot stays as long.")
    if heel.extra_passes:
        notes.append(
            f"{heel.extra_passes} plain passes before narrowing make the heel {heel.extra_passes // 2} rows deeper; "
            f"the foot is planned that much shorter."
        )
    return tuple(notes)


def narrowing_notes(route: Route, rate: Measured, turned: int, *, learnt: bool = False) -> tuple[str, ...]:
    """What would narrow the foot's rows: the gauge's part of their error is its share times the rows turned too.

    ``learnt``: worn socks changed the length, and their error is in it.
    """
    if route.error <= 1.0:
        return ()
    gauge = error(rate) / nominal(rate) * gauged_rows(route, turned)
    return explain_rows(route.exact, from_gauge=gauge, learnt=learnt)
