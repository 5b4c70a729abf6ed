"""Two routes to the rows in the foot: (a) from a sock that fits, (b) from the length of a foot.

(a) rows = tube x rows per length, the tube being the straight part only, corner of the heel gore to corner of
the toe gore. (b) rows = (foot - ease) x rows per length, less what the heel and the toe add to the sole: about
H - E rows each, a centre-line first estimate that a worn sock corrects. Source: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from hosewright.craft.measured import Measured, error, half_up, nominal, show_rows
from hosewright.craft.turning import default_left_in_work
from hosewright.craft.units import show_length

if TYPE_CHECKING:
    from hosewright.craft.turning import Turning

LENGTH_EASE_MM = 12.7
LONGEST_FOOT_MM = 323.0
TAPE_ERROR_MM = 1.0
AGREE_SIGMAS = 2.0


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


def depth_rows(turning: Turning) -> int:
    """Rows a heel or toe adds to the sole: H - E, one more with a plain pass before and after, half the extra passes.

    Half the passes at its middle needles, since the pocket folds in two there; the half row that a single plain pass
    adds is left out.
    """
    return turning.count // 2


def deeper_rows(heel: Turning) -> int:
    """Rows by which a heel is deeper than the usual one on its needles: less than 0 when it is shallower."""
    usual = replace(heel, left_in_work=default_left_in_work(heel.needles), extra_passes=0)
    return depth_rows(heel) - depth_rows(usual)


def by_tube(rows_per_mm: Measured, tube_mm: Measured | float, unit: str) -> Route:
    """Route (a): the straight part of a sock that fits, washed and flat; a length's own error is carried."""
    exact = rows_per_mm * tube_mm
    words = f"From the sock that fits: {show_length(nominal(tube_mm), unit)} of tube is {show_rows(exact)}."
    return Route("tube", half_up(exact), exact, nominal(tube_mm), words)


def by_foot(rows_per_mm: Measured, foot_mm: Measured | float, ease_mm: float, turned_rows: int, unit: str) -> Route:
    """Route (b): foot length less ease, less the heel's and toe's depth together (``turned_rows``).

    The foot's own error, when it has one, is carried along with the gauge's.
    """
    exact = rows_per_mm * (foot_mm - ease_mm) - turned_rows
    tube_mm = nominal(exact) / nominal(rows_per_mm)
    words = (
        f"From the foot: {show_length(nominal(foot_mm), unit)} less {show_length(ease_mm, unit)} of ease, less "
        f"{turned_rows} rows for heel and toe, is {show_rows(exact)}."
    )
    return Route("foot", half_up(exact), exact, tube_mm, words)


def gauged_rows(route: Route, turned_rows: int) -> float:
    """The rows that the gauge's own error is over: those of the foot, and by route (b) those turned as well.

    What heel and toe add is taken off a foot's length that was multiplied by the gauge whole.
    """
    return nominal(route.exact) + (turned_rows if route.by == "foot" else 0)


def corrected(route: Route, rows_per_mm: Measured, length_mm: Measured | float) -> Route:
    """The route with what worn socks taught, ``length_mm`` longer (negative shorter).

    How sure that is is carried into the rows beside the error of what was measured.
    """
    exact = route.exact + rows_per_mm * length_mm
    return Route(route.by, half_up(exact), exact, route.tube_mm + nominal(length_mm), route.words)


def disagreement(tube: Route, foot: Route, rows_per_mm: Measured, turned_rows: int, deeper: int = 0) -> str:
    """What to say when the two routes differ by more than twice their error; empty when they agree.

    A heel that is ``deeper`` rows deeper than usual comes off the foot's rows, and nobody knows how deep that of
    the sock that fits is: they agree when they do with the one heel or the other, or between. Both share one gauge,
    whose error cancels as far as the lengths are alike; each length also gets a tape's a^2 / 3, so that lengths
    given without an error are not taken as exact.
    """
    apart = nominal(tube.exact) - nominal(foot.exact)
    least, most = sorted((apart, apart - deeper))
    apart = least if least > 0 else min(most, 0.0)  # what no heel between the two explains
    readings = math.sqrt(2 / 3) * TAPE_ERROR_MM * nominal(rows_per_mm)
    allowed = max(1.0, AGREE_SIGMAS * math.hypot(error(tube.exact - foot.exact), readings))
    if abs(apart) <= allowed:
        return ""
    said = f"The sock that fits gives {tube.rows} rows and the foot {foot.rows}"
    if apart > turned_rows / 2:
        return (
            f"{said}: was the sock measured tip to tip? That is {turned_rows} rows too long; measure only the "
            f"straight part, from the corner of the heel gore to the corner of the toe gore."
        )
    which = "longer" if apart > 0 else "shorter"
    return (
        f"{said}, {abs(tube.rows - foot.rows)} rows {which}: the sock that fits is followed; "
        f"measure it and the foot once more."
    )


def implied_foot(
    tube: Route, rows_per_mm: Measured, turned_rows: int, ease_mm: float, unit: str, deeper: int = 0
) -> str:
    """The foot a tube alone is for, which grows with a ``deeper`` heel, and a question when no foot is that long."""
    foot_mm = (nominal(tube.exact) + turned_rows) / nominal(rows_per_mm) + ease_mm
    if foot_mm - max(0, deeper) / nominal(rows_per_mm) > LONGEST_FOOT_MM:
        return (
            f"With heel and toe this would be for a foot of {show_length(foot_mm, unit)}: was the sock measured "
            f"tip to tip? Measure only the straight part, corner of the heel gore to corner of the toe gore."
        )
    return f"With heel and toe this is for a foot of about {show_length(foot_mm, unit)}."


def explain_rows(
    rows: Measured, what: str = "foot", from_gauge: float | None = None, *, learnt: bool = False
) -> tuple[str, ...]:
    """The rows with their error in words and, above one row, what would narrow them.

    ``from_gauge`` is the part of the error that the gauge brings, in rows (all of it when None). A longer tube
    divides that part alone; the rest is the length itself, which only measuring it again narrows, or where it was
    ``learnt`` from worn socks, another of them.
    """
    spread = error(rows)
    said = f"The {what} is {show_rows(rows)}"
    if spread <= 1.0:
        return (f"{said}.",)
    gauge = spread if from_gauge is None else min(from_gauge, spread)
    rest = math.sqrt(max(spread**2 - gauge**2, 0.0))
    if rest >= 1.0:
        rather = "from the length itself: measure that again, several times,"
        if learnt:
            rather = "from what worn socks taught so far: try on another and say by how much it is off,"
        return (f"{said}, {rest:.1f} of it {rather} before the gauge is worth narrowing.",)
    times = math.ceil(10 * gauge / math.sqrt(1.0 - rest**2)) / 10
    return (
        f"{said}; a gauge tube measured over {times:g} times as many rows would bring that to one row, "
        f"and more readings help as far as they scatter.",
    )
