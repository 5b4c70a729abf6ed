"""A tube without a heel: a tube sock, a wrister, a leg warmer. A top, a straight tube, and an end.

One that ends in a toe, or is drawn up, is for a foot: its tube is the leg and the foot less its ease, less what a
turned toe adds; no heel shapes it, so it lies as it will where the foot turns. One left open is as long as was asked.
Lengths in mm, rows and stitches whole. Source: common practice, no source; the counts follow from the gauge.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError, check_slots
from hosewright.craft.measured import Measured, as_measured, error, half_up, nominal, show_rows
from hosewright.craft.sock import Section, TubePlan
from hosewright.craft.sock_notes import unlikely_round
from hosewright.craft.turning import Lowering, PlainPasses, Turning, default_left_in_work, depth_rows

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.heels import EndKind, HeelKind

TubeName = Literal["sock", "footlet", "tube sock", "wrister", "leg warmer"]
LEG_WARMER_MM = 250.0  # from here on, what is open at both ends is called a leg warmer. Ours.


def tube_name(heel: HeelKind, end: EndKind, leg_mm: float, parts: Iterable[str] = ()) -> TubeName:
    """What it is called: by its heel, its end, and how long its leg is, in mm; without a foot that is all of it.

    Where only its ``parts`` are known it has a leg when one of them is.
    """
    leg_mm = leg_mm or float("leg" in parts)
    if heel != "none":
        return "sock" if leg_mm > 0 else "footlet"
    if end != "chained off":
        return "tube sock"
    return "leg warmer" if leg_mm >= LEG_WARMER_MM else "wrister"


def plan_tube(
    *,
    slots: int,
    rows_per_mm: Measured | float,
    stitches_per_mm: Measured | float,
    long_mm: Measured | float,
    end: EndKind,
    cuff: Cuff | None = None,
    toe_left_in_work: int | None = None,
    lowering: Lowering = "far",
    plain_passes: PlainPasses = False,
    departs: Measured | float = 1.0,
) -> TubePlan:
    """Plan a tube ``long_mm`` long below its top, a turned toe's depth among it.

    ``departs``, about one, is how its knitting departs from the gauge, as tubes of one yarn do.
    Raises CraftError, with the nearest that can be knitted.
    """
    check_slots(slots)
    half = slots // 2
    toe = None
    if end == "toe":
        left = default_left_in_work(half) if toe_left_in_work is None else toe_left_in_work
        toe = Turning(half, left, lowering, plain_passes)
    rate = as_measured(rows_per_mm) * departs
    exact = rate * long_mm - (depth_rows(toe) if toe else 0)
    rows = half_up(exact)
    if rows < 1:
        raise CraftError("That leaves no row for the tube: type a longer one.")
    sections = [] if cuff is None else [Section(cuff.section, "rows", cuff.rows, cuff.stitches)]
    sections.append(Section("tube", "rows", rows, rows * slots))
    if toe is not None:
        sections.append(Section("toe", "passes", toe.count, toe.stitches))
    around = slots / as_measured(stitches_per_mm)
    notes = [f"The tube is {show_rows(exact)}.", *unlikely_round(slots), *(cuff.notes if cuff is not None else ())]
    return TubePlan(
        slots=slots,
        needles=half,
        toe=toe,
        sections=tuple(sections),
        stitches_per_sock=sum(section.stitches for section in sections),
        circumference_mm=nominal(around),
        circumference_error_mm=error(around),
        notes=tuple(notes),
        cuff=cuff,
        leg_rows_error=error(exact),
    )
