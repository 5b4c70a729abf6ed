"""One way to a foot's rows; what a planned sock is told beside its numbers, and why one cannot be knitted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.measured import Measured, error, nominal, show_rows
from hosewright.craft.turning import depth_rows
from hosewright.craft.units import many, show_length

if TYPE_CHECKING:
    from hosewright.craft.turning import Turning

LEAST_FOOT_ROWS = 1
MOST_UNASKED_PASSES = 6
FEW_FOOT_ROWS = 10
LIKELY_SLOTS = (40, 120)
WIDE_FOR_ITS_FOOT = 1.15


@dataclass(frozen=True, slots=True)
class Route:
    """One way to the foot's rows: ``rows`` whole, ``exact`` with its error, ``tube_mm`` the straight part."""

    by: Literal["tube", "foot"]
    rows: int
    exact: Measured
    tube_mm: float
    words: str

    @property
    def error(self) -> float:
        """Standard uncertainty in rows."""
        return error(self.exact)

    def gauged_rows(self, turned_rows: int) -> float:
        """The rows that the gauge's own error is over: those of the foot, and by route (b) those turned as well.

        What heel and toe add is taken off a foot's length that was multiplied by the gauge whole.
        """
        return nominal(self.exact) + (turned_rows if self.by == "foot" else 0)


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


def shape_notes(
    slots: int, heel: Turning, toe: Turning, extra_rows: int, route: Route, rate: Measured, unit: str
) -> tuple[str, ...]:
    """Halves that differ, gores that differ, and what a deeper heel does to a foot come by ``route``."""
    notes = []
    if slots % 2:
        halves = f"the heel gets {heel.needles} and the instep {slots - heel.needles}"
        notes.append(f"{slots} slots do not divide in half: {halves}.")
    for part, name in ((heel, "heel"), (toe, "toe")):
        if not part.gores_equal:
            notes.append(
                f"From {part.needles} to {part.left_in_work} needles the two gores of the {name} differ by one needle."
            )
    if extra_rows:
        notes.append(rows_before(extra_rows, depth_rows(heel), rate, unit))
    if heel.extra_passes:
        more = heel.extra_passes // 2
        notes.append(
            f"{heel.extra_passes} plain passes before narrowing make the heel {many(more, 'row')} deeper; "
            f"{foot_with_deeper(route.by, more, rate, unit)}"
        )
        notes.append(slit(heel.extra_passes))
    return tuple(notes)


def rows_before(extra_rows: int, heel_rows: int, rate: Measured | float, unit: str) -> str:
    """What ``extra_rows`` before a heel ``heel_rows`` deep do."""
    return (
        f"{many(extra_rows, 'row')} before the heel {'makes' if extra_rows == 1 else 'make'} the leg "
        f"{show_length(extra_rows / nominal(rate), unit)} longer, which slides down to the instep; the heel stays "
        f"{many(heel_rows, 'row')} deep and the foot as it was."
    )


def foot_with_deeper(by: Literal["tube", "foot"], more: int, rate: Measured | float, unit: str) -> str:
    """What a heel ``more`` rows deeper does to the foot: by a foot's length it is shorter, by a sock that fits not."""
    if by == "foot":
        return f"the foot gets {many(more, 'row')} fewer to stay as long."
    longer = show_length(more / nominal(rate), unit)
    return f"the foot keeps the rows of the sock that fits, so the sole is {longer} longer than with the usual heel."


def slit(passes: int) -> str:
    """What plain passes do at the corners, where the other half knits nothing; a question past what is usual (ours)."""
    said = (
        f"{passes} plain passes open a slit {passes} passes high at each corner of the heel: sew it up when you finish."
    )
    if passes <= MOST_UNASKED_PASSES:
        return said
    return f"{said} More than {MOST_UNASKED_PASSES} is a lot: did you mean that many? Fewer left in work open none."


def unlikely_round(slots: int) -> tuple[str, ...]:
    """What is said of a slot count that few machines have."""
    if LIKELY_SLOTS[0] <= slots <= LIKELY_SLOTS[1]:
        return ()
    return (f"{slots} slots is an unlikely number for a sock machine: count them once more.",)


def unlikely_notes(slots: int, foot_rows: int, round_mm: float, foot_mm: float | None) -> tuple[str, ...]:
    """What is likely a mistake: few rows of foot, a slot count few machines have, a foot small beside the cylinder.

    ``round_mm`` is how far round the sock is, ``foot_mm`` the foot's length where that is known. Raises CraftError.
    """
    notes = []
    if foot_rows < FEW_FOOT_ROWS:
        notes.append(
            f"Only {many(foot_rows, 'row')} of foot are left between heel and toe: check the length and "
            "its unit, or take a cylinder with fewer slots."
        )
    notes += unlikely_round(slots)
    if foot_mm is not None and round_mm > foot_mm * WIDE_FOR_ITS_FOOT:
        notes.append(
            f"{show_length(round_mm, 'mm')} round is far too wide for a foot {show_length(foot_mm, 'mm')} long: check "
            "the size, or take a cylinder with fewer slots."
        )
    return tuple(notes)


def explain_rows(
    rows: Measured,
    from_gauge: float | None = None,
    *,
    from_tubes: float = 0.0,
    learnt: bool = False,
) -> tuple[str, ...]:
    """The rows with their error in words and, above one row, what would narrow them.

    ``from_gauge`` is the part of the error that measuring the gauge brings, in rows (all of it when None), and
    ``from_tubes`` what tubes of one yarn differ by: where that is most of it nothing is said, since only another tube
    narrows it (see `sock.another_tube`). A longer tube divides the first alone; the rest is the length itself, which
    only measuring it again narrows, or where it was ``learnt`` from worn socks, another of them.
    """
    spread = error(rows)
    said = f"The foot is {show_rows(rows)}"
    if spread <= 1.0:
        return (f"{said}.",)
    gauge = spread if from_gauge is None else min(from_gauge, spread)
    rest = math.sqrt(max(spread**2 - gauge**2 - from_tubes**2, 0.0))
    if math.hypot(rest, from_tubes) >= 1.0:
        if from_tubes > rest:
            return ()
        rather = "from the length itself: measure that again, several times,"
        if learnt:
            rather = "from what worn socks taught so far: try on another and say by how much it is off,"
        return (f"{said}, {rest:.1f} of it {rather} before the gauge is worth narrowing.",)
    times = math.ceil(10 * gauge / math.sqrt(1.0 - rest**2 - from_tubes**2)) / 10
    return (
        f"{said}; a gauge tube measured over {times:g} times as many rows would bring that to one row, "
        f"and more readings help as far as they scatter.",
    )
