"""Planning a sock: rows in each part, and how heel and toe are turned.

Lengths in mm, rows and stitches whole. Sections come in knitting order: hem or cuff, leg, ankle (extra rows for a
high instep), heel, foot, toe; separator rows are waste yarn and not counted here.
Sources: common practice, no source, unless a constant says more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.cuffs import hung_hem
from hosewright.craft.errors import CraftError
from hosewright.craft.measured import Measured, as_measured, error, half_up, nominal
from hosewright.craft.routes import (
    LENGTH_EASE_MM,
    Route,
    by_foot,
    by_tube,
    corrected,
    deeper_rows,
    depth_rows,
    disagreement,
    implied_foot,
)
from hosewright.craft.shoes import LONGEST_FOOT_MM
from hosewright.craft.slots import check_slots
from hosewright.craft.sock_words import LEAST_FOOT_ROWS, narrowing_notes, shape_notes, too_short, unlikely_notes
from hosewright.craft.turning import Lowering, PlainPasses, Turning, default_left_in_work

if TYPE_CHECKING:
    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.learning import Correction


LEAST_PER_MM = 0.02
MOST_PER_MM = 5.0
MOST_LENGTH_MM = 2000.0
MOST_EXTRA_HEEL_ROWS = 50
LEAST_SPLIT_ROWS = 2


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the sock: ``count`` rows or passes, and the stitches in it."""

    name: str
    kind: Literal["rows", "passes"]
    count: int
    stitches: int


@dataclass(frozen=True, slots=True)
class SockPlan:
    """A sock that can be knitted. ``routes`` holds every way the foot was worked out, the one followed first.

    Errors are one standard error: of the foot and the leg in rows, of the circumference in mm.
    """

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
    cuff: Cuff | None = None
    leg_rows_error: float = 0.0
    circumference_error_mm: float = 0.0


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
    plain_passes: PlainPasses = False,
    unit: str = "in",
    cuff: Cuff | None = None,
    extra_heel_rows: int = 0,
    extra_heel_passes: int = 0,
    part_row: int = 0,
    correction: Correction | None = None,
) -> SockPlan:
    """Plan one sock from the gauge and either a sock that fits (``tube_length_mm``), a foot, or both.

    With both, the sock that fits is followed and the foot shown beside it. ``unit`` is only for the notes.
    ``cuff`` comes from `cuffs` (``hem_rows`` is short for a plain hung hem); the leg is counted below it. A high
    instep gets ``extra_heel_rows``, full rows before the heel, or ``extra_heel_passes`` over the heel needles, an
    even number. ``part_row``: rows begin so many stitches before the heel half, so that the foot's first row is split
    by the heel and its last by the toe; no count changes. ``correction`` is what this wearer's worn socks taught; it
    moves the foot's length, and its error is part of the foot's.
    Raises CraftError, with the nearest that can be knitted, when the plan cannot be.
    """
    _check(slots, rows_per_mm, stitches_per_mm, extra_heel_rows)
    cuff = _cuff(cuff, hem_rows, slots)
    _check_lengths(tube_length_mm, foot_length_mm, leg_mm or None)
    rate = as_measured(rows_per_mm)
    needles = slots // 2
    usual = default_left_in_work(needles) if left_in_work is None else left_in_work
    heel = Turning(needles, usual, lowering, plain_passes, extra_passes=extra_heel_passes)
    toe_left = usual if toe_left_in_work is None else toe_left_in_work
    toe = Turning(needles, toe_left, lowering, plain_passes, heel.ends)
    routes, notes = _routes(rate, heel, toe, tube_length_mm, foot_length_mm, length_ease_mm, unit)
    if correction is not None:
        routes = tuple(corrected(route, rate, correction.length_mm) for route in routes)
        notes.append(correction.words)
    chosen = routes[0]
    if chosen.rows < LEAST_FOOT_ROWS:
        raise CraftError(too_short(chosen, rate, heel, toe, length_ease_mm, unit))
    notes += _part_row_notes(part_row, slots, chosen.rows)
    leg = rate * leg_mm
    sections = _sections(slots, cuff, half_up(leg), extra_heel_rows, heel, chosen.rows, toe)
    around = slots / as_measured(stitches_per_mm)
    foot_mm = None if foot_length_mm is None else nominal(foot_length_mm)
    notes += unlikely_notes(slots, chosen.rows, nominal(around), foot_mm)
    notes += shape_notes(slots, heel, toe, extra_heel_rows, chosen, rate, unit)
    notes += cuff.notes if cuff is not None else ()
    turned = depth_rows(heel) + depth_rows(toe)
    notes += narrowing_notes(chosen, rate, turned, learnt=correction is not None and error(correction.length_mm) > 0)
    return SockPlan(
        slots, needles, heel, toe, sections, chosen.rows, chosen.error, sum(section.stitches for section in sections),
        nominal(around), routes, tuple(notes), cuff, error(leg), error(around),
    )  # fmt: skip


def _part_row_notes(part_row: int, slots: int, foot_rows: int) -> tuple[str, ...]:
    """What a part row does. Raises CraftError for one that cannot be."""
    if not part_row:
        return ()
    if not 0 < part_row < slots:
        raise CraftError(f"A part row has from 0 to {slots - 1} stitches on {slots} slots, not {part_row}.")
    if foot_rows < LEAST_SPLIT_ROWS:
        raise CraftError("A part row needs two rows of foot or more: one is split by the heel, another by the toe.")
    return (
        f"{part_row} stitches lead into the heel and {slots - part_row} complete it afterwards, as the foot's first; "
        "its last is split by the toe. Where rows begin at the heel half none of this is needed.",
    )


def _check(slots: int, rows: Measured | float, stitches: Measured | float, extra: int) -> None:
    check_slots(slots)
    for rate, what in ((rows, "Rows"), (stitches, "Stitches")):
        if not LEAST_PER_MM <= nominal(rate) <= MOST_PER_MM:
            raise CraftError(
                f"{what} per length is not one a sock can have: about 11 rows and 8 stitches an inch is usual."
            )
    if not 0 <= extra <= MOST_EXTRA_HEEL_ROWS:
        raise CraftError(f"Give from 0 to {MOST_EXTRA_HEEL_ROWS} extra rows before the heel, not {extra}.")


def _check_lengths(tube: Measured | float | None, foot: Measured | float | None, leg: float | None) -> None:
    for value, what in ((tube, "sock's tube"), (foot, "foot"), (leg, "leg")):
        if value is not None and not 0 < nominal(value) <= MOST_LENGTH_MM:
            raise CraftError(f"The {what} must be more than zero and under 2 m long.")
    if foot is not None and nominal(foot) > LONGEST_FOOT_MM:
        raise CraftError(f"A foot of {nominal(foot):.0f} mm is longer than any (40 cm): measure it, and type its unit.")


def _cuff(cuff: Cuff | None, hem_rows: int, slots: int) -> Cuff | None:
    """The one cuff meant, from either way of asking for it."""
    if cuff is None:
        return hung_hem(slots, hem_rows) if hem_rows else None
    if hem_rows:
        raise CraftError("Give hem rows or a cuff, not both: a mock rib's or a picot's hem rows belong to the cuff.")
    if cuff.slots != slots:
        raise CraftError(f"This cuff was made for {cuff.slots} slots and the sock has {slots}: make it for {slots}.")
    return cuff


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
        notes.append(disagreement(routes[0], routes[1], rate, turned, deeper_rows(heel)))
    elif tube_mm is not None:
        notes.append(implied_foot(routes[0], rate, turned, ease_mm, unit, deeper_rows(heel)))
    return tuple(routes), [note for note in notes if note]


def _sections(
    slots: int, cuff: Cuff | None, leg_rows: int, extra_rows: int, heel: Turning, foot_rows: int, toe: Turning
) -> tuple[Section, ...]:
    top = () if cuff is None else (Section(cuff.section, "rows", cuff.rows, cuff.stitches),)
    planned = (
        *top,
        Section("leg", "rows", leg_rows, leg_rows * slots),
        Section("ankle", "rows", extra_rows, extra_rows * slots),
        Section("heel", "passes", heel.count, heel.stitches),
        Section("foot", "rows", foot_rows, foot_rows * slots),
        Section("toe", "passes", toe.count, toe.stitches),
    )
    return tuple(section for section in planned if section.count)
