"""Planning a sock: two routes to the rows of its foot, the rows in each part, and how heel and toe are turned.

Routes: (a) rows = tube x rows per length, from a sock that fits, the tube being the straight part only, corner of the
heel gore to corner of the toe gore. (b) rows = (foot - ease) x rows per length, less what the heel and the toe add to
the sole: about H - E rows each, a centre-line first estimate that a worn sock corrects.

Lengths in mm, rows and stitches whole. Sections come in knitting order: hem or cuff, leg, ankle (extra rows for a
high instep), heel, foot, toe; separator rows are waste yarn and not counted here.
Sources: common practice, no source, unless a constant says more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError, check_slots
from hosewright.craft.cuffs import hung_hem
from hosewright.craft.deeper_heel import MOST_EXTRA_ROWS
from hosewright.craft.feet import check_longest_foot
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM, ways_to_narrow
from hosewright.craft.heels import NO_PART, USUAL_HEEL, WASTE_PASSES, HeelAs, part_rows, turn_heel
from hosewright.craft.measured import Measured, as_measured, error, half_up, nominal, show_rows
from hosewright.craft.ribs import LEAST_RIBBED_ROWS, PLAIN_BEFORE_TOE
from hosewright.craft.sock_notes import (
    LEAST_FOOT_ROWS,
    Route,
    explain_rows,
    foot_with_deeper,
    shape_notes,
    too_short,
    unlikely_notes,
)
from hosewright.craft.turning import Lowering, PlainPasses, Turning, deeper_rows, default_left_in_work, depth_rows
from hosewright.craft.units import many, show_alike, show_length

if TYPE_CHECKING:
    from hosewright.craft.correction import Correction
    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.gauge import Gauge, Way
    from hosewright.craft.ribs import Rib
    from hosewright.craft.spread import Spread


LENGTH_EASE_MM = 12.7
LONGEST_LIKELY_FOOT_MM = 323.0
AGREE_SIGMAS = 2.0
LEAST_PER_MM = 0.02
MOST_PER_MM = 5.0
MOST_LENGTH_MM = 2000.0
LEAST_SPLIT_ROWS = 2


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
    foot, ease = show_alike((nominal(foot_mm), ease_mm), unit)
    words = (
        f"From the foot: {foot} less {ease} of ease, less {turned_rows} rows for heel and toe, is {show_rows(exact)}."
    )
    return Route("foot", half_up(exact), exact, tube_mm, words)


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
    readings = math.sqrt(2 / 3) * TAPE_HALF_WIDTH_MM * nominal(rows_per_mm)
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
    if foot_mm - max(0, deeper) / nominal(rows_per_mm) > LONGEST_LIKELY_FOOT_MM:
        return (
            f"With heel and toe this would be for a foot of {show_length(foot_mm, unit)}: was the sock measured "
            f"tip to tip? Measure only the straight part, corner of the heel gore to corner of the toe gore."
        )
    return f"With heel and toe this is for a foot of about {show_length(foot_mm, unit)}."


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the sock: ``count`` rows or passes, and the stitches in it."""

    name: str
    kind: Literal["rows", "passes"]
    count: int
    stitches: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TubePlan:
    """Anything that can be cranked round and round: its sections in order, from the top to the end.

    ``toe`` is None where its end is not turned. Errors are one standard error, of the leg or the tube in rows, of the
    circumference in mm.
    """

    slots: int
    needles: int
    toe: Turning | None
    sections: tuple[Section, ...]
    stitches_per_sock: int
    circumference_mm: float
    notes: tuple[str, ...]
    cuff: Cuff | None = None
    rib: Rib | None = None
    leg_rows_error: float = 0.0
    circumference_error_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SockPlan(TubePlan):
    """A sock that can be knitted. ``routes`` holds every way the foot was worked out, the one followed first.

    The foot's error is one standard error in rows; ``foot_rows_tape_error`` is the part of it that measuring the gauge
    brings.
    """

    heel: Turning
    toe: Turning
    foot_rows: int
    foot_rows_error: float
    routes: tuple[Route, ...]
    foot_rows_tape_error: float = 0.0


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
    departs: Measured | float = 1.0,
    heel_as: HeelAs = USUAL_HEEL,
    rib: Rib | None = None,
    rib_rows_per_mm: Measured | float | None = None,
) -> SockPlan:
    """Plan one sock from the gauge and either a sock that fits (``tube_length_mm``), a foot, or both.

    With both, the sock that fits is followed and the foot shown beside it. ``unit`` is only for the notes.
    ``cuff`` comes from `cuffs` (``hem_rows`` is short for a plain hung hem); the leg is counted below it. A high
    instep gets ``extra_heel_rows``, full rows before the heel, or ``extra_heel_passes`` over the heel needles, an
    even number. ``part_row``: rows begin so many stitches before the heel half, so that the foot's first row is split
    by the heel and its last by the toe; no count changes. ``correction`` is what this wearer's worn socks taught; it
    moves the foot's length, and its error is part of the foot's. ``departs``, about one, is how the sock's own knitting
    departs from the gauge measured, as tubes of one yarn do. ``heel_as`` is the kind of heel; an afterthought heel is
    the last section, since it is turned when the rest is off the machine.
    ``rib`` are the ribs of leg and instep, ``rib_rows_per_mm`` the leg's rows where it is ribbed.
    Raises CraftError, with the nearest that can be knitted, when the plan cannot be.
    """
    _check(slots, rows_per_mm, stitches_per_mm, extra_heel_rows)
    cuff = _cuff(cuff, hem_rows, slots)
    _check_lengths(tube_length_mm, foot_length_mm, leg_mm or None)
    rate = as_measured(rows_per_mm) * departs
    needles = slots // 2
    heel = turn_heel(heel_as, slots, left_in_work, lowering, plain_passes, extra_passes=extra_heel_passes)
    afterthought = heel_as.kind == "afterthought"
    usual = default_left_in_work(needles) if left_in_work is None else left_in_work
    toe_left = usual if toe_left_in_work is None else toe_left_in_work
    toe = Turning(needles, toe_left, lowering, plain_passes, heel.carrier if afterthought else heel.ends)
    routes, notes = _routes(rate, heel, toe, tube_length_mm, foot_length_mm, length_ease_mm, unit)
    if correction is not None:
        routes = tuple(corrected(route, rate, correction.length_mm) for route in routes)
        notes.append(correction.words)
    chosen = routes[0]
    if chosen.rows < LEAST_FOOT_ROWS:
        raise CraftError(too_short(chosen, rate, heel, toe, length_ease_mm, unit))
    notes += _part_row_notes(part_row, slots, chosen.rows, heel, toe)
    leg = (rate if rib_rows_per_mm is None else as_measured(rib_rows_per_mm) * departs) * leg_mm
    # A row that the heel splits is counted as plain.
    whole = chosen.rows - (part_rows(part_row, heel, toe, slots)[0] != NO_PART)
    if rib is not None:
        _check_rib(rib, half_up(leg), whole)
    sections = _sections(
        slots, cuff, half_up(leg), extra_heel_rows, heel, chosen.rows, toe, rib, whole, afterthought=afterthought
    )
    if afterthought and sections[0].name == "foot":
        raise CraftError(
            "An afterthought heel needs rows above it, whose loops wait below its waste yarn: choose a cuff, or type a "
            "leg."
        )
    around = slots / as_measured(stitches_per_mm)
    foot_mm = None if foot_length_mm is None else nominal(foot_length_mm)
    notes += unlikely_notes(slots, chosen.rows, nominal(around), foot_mm)
    if heel.needles > needles:
        more = deeper_rows(replace(heel, extra_passes=0), needles)
        notes.append(
            f"This heel is {many(more, 'row')} deeper than a short-row heel over half: "
            f"{foot_with_deeper(chosen.by, more, rate, unit)}"
        )
    if afterthought:
        notes.append(
            f"{WASTE_PASSES} passes of waste yarn over the heel half keep the heel's place and bring the carrier back. "
            f"When the rest is off the machine {needles} loops below them and {needles} or {needles - 1} above are "
            "hung on all needles, and the heel is turned in and grafted like the toe."
        )
    notes += shape_notes(slots, heel, toe, extra_heel_rows, chosen, rate, unit)
    if cuff is not None:
        on_the_ribber = cuff.kind == "ribber" and rib is not None and rib.way == "ribber"
        notes += cuff.notes[int(on_the_ribber) :]  # the first says that the ribber comes off below it
    turned = depth_rows(heel) + depth_rows(toe)
    over = chosen.gauged_rows(turned)
    tape = error(rows_per_mm) / nominal(rows_per_mm) * over
    learnt = correction is not None and error(correction.length_mm) > 0
    if chosen.error > 1.0:
        notes += explain_rows(chosen.exact, from_gauge=tape, from_tubes=error(departs) * over, learnt=learnt)
    return SockPlan(
        slots=slots,
        needles=needles,
        heel=heel,
        toe=toe,
        sections=sections,
        foot_rows=chosen.rows,
        foot_rows_error=chosen.error,
        foot_rows_tape_error=tape,
        stitches_per_sock=sum(section.stitches for section in sections),
        circumference_mm=nominal(around),
        circumference_error_mm=error(around),
        routes=routes,
        notes=tuple(notes),
        cuff=cuff,
        rib=rib,
        leg_rows_error=error(leg),
    )


def _check_rib(rib: Rib, leg_rows: int, foot_rows: int) -> None:
    """``foot_rows``: without the one that the heel splits."""
    if leg_rows < LEAST_RIBBED_ROWS:
        raise CraftError("A ribbed leg needs a leg: type its length, or leave it plain.")
    if rib.instep and foot_rows < LEAST_RIBBED_ROWS + PLAIN_BEFORE_TOE:
        raise CraftError(
            f"A foot of {foot_rows} rows leaves no row for a ribbed instep: its last {PLAIN_BEFORE_TOE} are plain."
        )


def _part_row_notes(part_row: int, slots: int, foot_rows: int, heel: Turning, toe: Turning) -> tuple[str, ...]:
    """What part rows do. Raises CraftError for one that cannot be."""
    (into_heel, rest), (into_toe, rest_of_last) = part_rows(part_row, heel, toe, slots)
    if (into_heel or into_toe) and foot_rows < LEAST_SPLIT_ROWS:
        raise CraftError("A part row needs two rows of foot or more: one is split by the heel, another by the toe.")
    inside = (len(heel.own) - toe.needles) // 2
    notes = []
    if into_heel:
        said = f"{into_heel} stitches lead into the heel and {rest} complete it afterwards, as the foot's first"
        said += "" if inside else "; its last is split by the toe"
        notes.append(f"{said}. Where rows begin at the heel half none of this is needed.")
    if inside:
        said = f"The toe is turned on half, on needles {inside + 1} to {inside + toe.needles} of the heel's"
        if into_toe:
            said += f": {into_toe} stitches lead into it, and {rest_of_last} after it complete the foot's last row"
        notes.append(f"{said}.")
    return tuple(notes)


def _check(slots: int, rows: Measured | float, stitches: Measured | float, extra: int) -> None:
    check_slots(slots)
    for rate, what in ((rows, "rows"), (stitches, "stitches")):
        if not LEAST_PER_MM <= nominal(rate) <= MOST_PER_MM:
            raise CraftError(
                f"No sock has so many or so few {what} to its length: about 11 rows and 8 stitches an inch is usual."
            )
    if not 0 <= extra <= MOST_EXTRA_ROWS:
        raise CraftError(f"Give from 0 to {MOST_EXTRA_ROWS} extra rows before the heel, not {extra}.")


def _check_lengths(tube: Measured | float | None, foot: Measured | float | None, leg: float | None) -> None:
    for value, what in ((tube, "sock's tube"), (foot, "foot"), (leg, "leg")):
        if value is not None and not 0 < nominal(value) <= MOST_LENGTH_MM:
            raise CraftError(f"The {what} must be more than zero and under 2 m long.")
    if foot is not None:
        check_longest_foot(nominal(foot))


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
        notes.append(disagreement(routes[0], routes[1], rate, turned, deeper_rows(heel, toe.needles)))
    elif tube_mm is not None:
        notes.append(implied_foot(routes[0], rate, turned, ease_mm, unit, deeper_rows(heel, toe.needles)))
    return tuple(routes), [note for note in notes if note]


def _sections(
    slots: int,
    cuff: Cuff | None,
    leg_rows: int,
    extra_rows: int,
    heel: Turning,
    foot_rows: int,
    toe: Turning,
    rib: Rib | None,
    whole_foot_rows: int,
    *,
    afterthought: bool,
) -> tuple[Section, ...]:
    top = () if cuff is None else (Section(cuff.section, "rows", cuff.rows, cuff.stitches),)
    above, foot = slots, foot_rows * slots
    if rib is not None:
        above = rib.stitches(1, rib.leg)
        if rib.instep:
            ribbed = whole_foot_rows - PLAIN_BEFORE_TOE
            foot = rib.stitches(ribbed, rib.instep) + (foot_rows - ribbed) * slots
    turned = (Section("heel", "passes", heel.count, heel.stitches),)
    planned = (
        *top,
        Section("leg", "rows", leg_rows, leg_rows * above),
        Section("ankle", "rows", extra_rows, extra_rows * above),
        *(() if afterthought else turned),
        Section("foot", "rows", foot_rows, foot),
        Section("toe", "passes", toe.count, toe.stitches),
        *(turned if afterthought else ()),
    )
    return tuple(section for section in planned if section.count)


def turned_rows(sock: SockPlan) -> int:
    """Rows that heel and toe add to the sole."""
    return depth_rows(sock.heel) + depth_rows(sock.toe)


def ways_for_sock(gauge: Gauge, sock: SockPlan) -> tuple[Way, ...]:
    """The same ways, in rows over as much of this sock as the gauge's error is over. Raises CraftError."""
    rows = sock.routes[0].gauged_rows(turned_rows(sock))
    return ways_to_narrow(gauge, rows / nominal(gauge.rows_per_mm))


def another_tube(sock: SockPlan, spread: Spread, tubes: int) -> float:
    """The foot's error in rows, one standard error, were its gauge the mean of one more tube than of ``tubes``."""
    over = sock.routes[0].gauged_rows(turned_rows(sock))
    saved = sock.foot_rows_tape_error**2 / (tubes + 1) + (spread.share * over) ** 2 / (tubes * (tubes + 1))
    return math.sqrt(max(sock.foot_rows_error**2 - saved, 0.0))
