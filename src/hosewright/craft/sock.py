"""Planning a sock: rows in each part, how heel and toe are turned, and the yarn it takes.

Lengths in mm, rows and stitches whole. Sections come in knitting order: hem, leg, heel, foot, toe; separator
rows are waste yarn and not counted here. Sources: common practice, no source, unless a constant says more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.errors import CraftError
from hosewright.craft.measured import Measured, as_measured, error, measured, nominal
from hosewright.craft.routes import (
    LENGTH_EASE_MM,
    Route,
    by_foot,
    by_tube,
    depth_rows,
    disagreement,
    explain_rows,
    implied_foot,
    whole,
)
from hosewright.craft.turning import Lowering, Turning, default_left_in_work
from hosewright.craft.units import show_length, show_mass
from hosewright.craft.yarn import YarnPerStitch, tex_from, yarn_per_stitch

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Route", "Section", "SockPlan", "YarnNeed", "explain_rows", "plan_sock", "yarn_for"]

LEAST_SLOTS = 8
MOST_SLOTS = 400
LEAST_PER_MM = 0.02
MOST_PER_MM = 5.0
MOST_LENGTH_MM = 2000.0
MOST_HEM_ROWS = 400
LEAST_FOOT_ROWS = 1
M_PER_KM = 1000.0
MOST_LOOP_MM = 200.0


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the sock: ``count`` rows or passes, and the stitches in it."""

    name: str
    kind: Literal["rows", "passes"]
    count: int
    stitches: int


@dataclass(frozen=True, slots=True)
class SockPlan:
    """A sock that can be knitted. ``routes`` holds every way the foot was worked out, the one followed first."""

    slots: int
    needles: int
    heel: Turning
    toe: Turning
    sections: tuple[Section, ...]
    foot_rows: int
    foot_rows_error: float
    stitches_per_sock: int
    circumference_mm: float
    routes: tuple[Route, ...]
    notes: tuple[str, ...]


def plan_sock(
    *,
    slots: int,
    rows_per_mm: Measured | float,
    stitches_per_mm: Measured | float,
    tube_length_mm: Measured | float | None = None,
    foot_length_mm: Measured | float | None = None,
    length_ease_mm: float = LENGTH_EASE_MM,
    leg_mm: float = 0.0,
    hem_rows: int = 0,
    left_in_work: int | None = None,
    toe_left_in_work: int | None = None,
    lowering: Lowering = "far",
    plain_passes: bool = False,
    unit: str = "in",
) -> SockPlan:
    """Plan one sock from the gauge and either a sock that fits (``tube_length_mm``), a foot, or both.

    With both, the sock that fits is followed and the foot shown beside it. ``unit`` is only for the notes.
    Raises CraftError, with the nearest that can be knitted, when the plan cannot be.
    """
    _check(slots, rows_per_mm, stitches_per_mm, hem_rows)
    for value, what in ((tube_length_mm, "sock's tube"), (foot_length_mm, "foot"), (leg_mm or None, "leg")):
        if value is not None and not 0 < nominal(value) <= MOST_LENGTH_MM:
            raise CraftError(f"The {what} must be more than zero and under 2 m long.")
    rate = as_measured(rows_per_mm)
    needles = slots // 2
    usual = default_left_in_work(needles) if left_in_work is None else left_in_work
    heel = Turning(needles, usual, lowering, plain_passes)
    toe = Turning(needles, usual if toe_left_in_work is None else toe_left_in_work, lowering, plain_passes)
    routes, notes = _routes(rate, heel, toe, tube_length_mm, foot_length_mm, length_ease_mm, unit)
    chosen = routes[0]
    if chosen.rows < LEAST_FOOT_ROWS:
        raise CraftError(_too_short(chosen, rate, heel, toe, length_ease_mm, unit))
    sections = _sections(slots, hem_rows, whole(rate * leg_mm), heel, chosen.rows, toe)
    return SockPlan(
        slots=slots,
        needles=needles,
        heel=heel,
        toe=toe,
        sections=sections,
        foot_rows=chosen.rows,
        foot_rows_error=chosen.error,
        stitches_per_sock=sum(section.stitches for section in sections),
        circumference_mm=slots / nominal(stitches_per_mm),
        routes=routes,
        notes=(
            *notes,
            *_shape_notes(slots, heel, toe, hem_rows),
            *_narrowing(chosen, rate, depth_rows(heel) + depth_rows(toe)),
        ),
    )


def _check(slots: int, rows: Measured | float, stitches: Measured | float, hem_rows: int) -> None:
    if not LEAST_SLOTS <= slots <= MOST_SLOTS:
        raise CraftError(f"Slots must be a whole number from {LEAST_SLOTS} to {MOST_SLOTS}, not {slots}.")
    for rate, what in ((rows, "Rows"), (stitches, "Stitches")):
        if not LEAST_PER_MM <= nominal(rate) <= MOST_PER_MM:
            raise CraftError(
                f"{what} per length is not one a sock can have: about 11 rows and 8 stitches an inch is usual."
            )
    if not 0 <= hem_rows <= MOST_HEM_ROWS or hem_rows % 2:
        raise CraftError(f"A hung hem folds in two, so its rows must be even, 0 to {MOST_HEM_ROWS}, not {hem_rows}.")


def _routes(
    rate: Measured,
    heel: Turning,
    toe: Turning,
    tube_mm: Measured | float | None,
    foot_mm: Measured | float | None,
    ease_mm: float,
    unit: str,
) -> tuple[tuple[Route, ...], list[str]]:
    """Every route known, the one followed first, and what to say about them."""
    if tube_mm is None and foot_mm is None:
        raise CraftError("Give the length of the foot, or of the straight tube of a sock that fits.")
    turned = depth_rows(heel) + depth_rows(toe)
    routes: list[Route] = []
    if tube_mm is not None:
        routes.append(by_tube(rate, tube_mm, unit))
    if foot_mm is not None:
        if not 0 <= ease_mm < nominal(foot_mm):
            raise CraftError("The ease in length must be zero or more, and less than the foot.")
        routes.append(by_foot(rate, foot_mm, ease_mm, turned, unit))
    notes = [route.words for route in routes]
    if len(routes) == 2:
        notes.append(disagreement(routes[0], routes[1], rate, turned))
    elif tube_mm is not None:
        notes.append(implied_foot(routes[0], rate, turned, ease_mm, unit))
    return tuple(routes), [note for note in notes if note]


def _too_short(route: Route, rate: Measured, heel: Turning, toe: Turning, ease_mm: float, unit: str) -> str:
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
    plain = 2 if heel.plain_passes else 0
    lifted = (room - plain) // 2
    lifted -= lifted % 2
    if lifted < 2:
        return f"{said}, so use a cylinder with fewer slots."
    return f"{said}, or leave {heel.needles - lifted} needles in work at heel and toe."


def _sections(
    slots: int, hem_rows: int, leg_rows: int, heel: Turning, foot_rows: int, toe: Turning
) -> tuple[Section, ...]:
    planned = (
        Section("hem", "rows", hem_rows, hem_rows * slots),
        Section("leg", "rows", leg_rows, leg_rows * slots),
        Section("heel", "passes", heel.count, heel.stitches),
        Section("foot", "rows", foot_rows, foot_rows * slots),
        Section("toe", "passes", toe.count, toe.stitches),
    )
    return tuple(section for section in planned if section.count)


def _shape_notes(slots: int, heel: Turning, toe: Turning, hem_rows: int) -> Sequence[str]:
    notes = []
    if slots % 2:
        notes.append(f"{slots} slots do not halve: the heel gets {heel.needles} and the instep {slots - heel.needles}.")
    for part, name in ((heel, "heel"), (toe, "toe")):
        if not part.gores_equal:
            notes.append(
                f"From {part.needles} to {part.left_in_work} needles the two gores of the {name} differ by one needle."
            )
    if hem_rows:
        notes.append(f"The hem's {hem_rows} rows hang double, {hem_rows // 2} rows deep above the leg.")
    return notes


def _narrowing(route: Route, rate: Measured, turned: int) -> tuple[str, ...]:
    """What would narrow the foot's rows: the gauge's part of their error is its share times the rows turned too."""
    rows = nominal(route.exact) + (turned if route.by == "foot" else 0)
    return explain_rows(route.exact, from_gauge=error(rate) / nominal(rate) * rows) if route.error > 1.0 else ()


@dataclass(frozen=True, slots=True)
class YarnNeed:
    """Working yarn in metres and grams; ``enough`` is None when the yarn or the ball is not known."""

    sections: tuple[tuple[str, float], ...]
    metres_per_sock: float
    metres_per_pair: float
    metres_error: float
    grams_per_pair: float | None
    enough: bool | None
    notes: tuple[str, ...]


def yarn_for(
    plan: SockPlan,
    loop_length_mm: Measured | float | YarnPerStitch,
    m_per_100g: float | None = None,
    ball_g: float | None = None,
) -> YarnNeed:
    """Yarn for each part, a sock and a pair: stitches x yarn per stitch; grams when the yarn is known.

    A loop length from the rows alone gets the 5 % model error (our assumption) on top of its own; what
    `yarn_per_stitch` combined from weighing already has its error and keeps it. Tails are not counted.
    """
    used = loop_length_mm if isinstance(loop_length_mm, YarnPerStitch) else yarn_per_stitch(_loop(loop_length_mm))
    loop_m = nominal(used.combined_mm) / 1000
    share = error(used.combined_mm) / nominal(used.combined_mm)
    parts = tuple((section.name, section.stitches * loop_m) for section in plan.sections)
    sock = plan.stitches_per_sock * loop_m
    pair = 2 * sock
    notes = [f"A pair takes {pair:.0f} ± {pair * share:.0f} m, without tails and swatches."]
    grams, enough = None, None
    if m_per_100g is not None:
        grams = pair * tex_from("m_per_100g", m_per_100g) / M_PER_KM
    if ball_g is not None and not 0 < ball_g < 100_000:
        raise CraftError("The ball's mass must be more than zero and under 100 kg.")
    if grams is not None and ball_g is not None:
        need = measured(grams, grams * share)
        enough = grams <= ball_g
        notes.append(_ball_note(need, ball_g))
    return YarnNeed(parts, sock, pair, pair * share, grams, enough, tuple(notes))


def _loop(loop_mm: Measured | float) -> Measured | float:
    if not 0 < nominal(loop_mm) < MOST_LOOP_MM:
        raise CraftError(f"Yarn per stitch must be more than zero and under {MOST_LOOP_MM:.0f} mm.")
    return loop_mm


def _ball_note(need: Measured, ball_g: float) -> str:
    grams, spread = nominal(need), error(need)
    ball = show_mass(ball_g)
    if abs(grams - ball_g) <= spread:
        return (
            f"The pair needs about {grams:.0f} g and the ball has {ball}: too close to call, "
            f"so weigh the ball again after the first sock."
        )
    if grams < ball_g:
        return f"One ball of {ball} is enough: the pair needs about {grams:.0f} g."
    return f"One ball of {ball} is not enough: the pair needs about {grams:.0f} g, {grams - ball_g:.0f} g more."
