"""What would narrow a gauge's error, worked out in rows over the sock that is planned.

From u^2 = a^2 / 3 + s^2 / n for the length between the marks: marks further apart divide the whole error, more
readings only the part that scatters, a finer tape only the part that is the tape's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.errors import CraftError
from hosewright.craft.measured import error, nominal, show_rows
from hosewright.craft.routes import depth_rows, gauged_rows
from hosewright.craft.units import show_length

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge
    from hosewright.craft.sock import SockPlan

WORTH_NARROWING_ROWS = 1.0
LONG_TUBE_ROWS = 100
FINE_TAPE_MM = 0.5


@dataclass(frozen=True, slots=True)
class Way:
    """One thing to do and the error in rows (one standard error) it would leave."""

    what: Literal["reading", "tube", "tape"]
    rows_error: float
    words: str


def ways_to_narrow(gauge: Gauge, planned_mm: float) -> tuple[Way, ...]:
    """One more reading, a tube of 100 rows (200 where this one has 100), a tape read to 0.5 mm: each alone.

    Errors in rows over ``planned_mm`` of sock. Readings are taken to scatter as they have; a single reading shows
    no scatter at all, so one more cannot be promised to narrow anything, and says so. Raises CraftError.
    """
    if not 0 < planned_mm < math.inf:
        raise CraftError("The length planned must be above zero.")
    taken = gauge.lengths
    n = len(taken.values_mm)
    per_mm = nominal(gauge.rows_in(planned_mm)) / taken.mean
    tape = taken.half_width_mm**2 / 3
    again = per_mm * math.sqrt(tape + taken.spread**2 / (n + 1))
    rows = LONG_TUBE_ROWS * (1 + gauge.rows // LONG_TUBE_ROWS)
    longer = per_mm * taken.error * gauge.rows / rows
    said = f"one more reading, scattering as these do, would leave ± {again:.1f} rows"
    if n == 1:
        said = "one reading shows no scatter: a second would tell how far readings differ"
    ways = [
        Way("reading", again, said),
        Way("tube", longer, f"a tube of {rows} rows measured the same way would leave ± {longer:.1f} rows"),
    ]
    if taken.half_width_mm > FINE_TAPE_MM:
        finer = per_mm * math.sqrt(FINE_TAPE_MM**2 / 3 + taken.spread**2 / n)
        ways.append(Way("tape", finer, f"a tape read to {FINE_TAPE_MM} mm would leave ± {finer:.1f} rows"))
    return tuple(ways)


def ways_for_sock(gauge: Gauge, sock: SockPlan) -> tuple[Way, ...]:
    """The same ways, in rows over as much of this sock as the gauge's error is over. Raises CraftError."""
    rows = gauged_rows(sock.routes[0], depth_rows(sock.heel) + depth_rows(sock.toe))
    return ways_to_narrow(gauge, rows / nominal(gauge.rows_per_mm))


def what_narrows(gauge: Gauge, planned_mm: float, unit: str = "in") -> tuple[str, ...]:
    """What would bring the error over ``planned_mm`` of sock down to one row; empty when it is already there.

    Says how long a tube or how many readings would do it, then what the nearest steps alone would leave.
    Raises CraftError.
    """
    rows = gauge.rows_in(planned_mm)
    spread = error(rows)
    if spread <= WORTH_NARROWING_ROWS:
        return ()
    shown = show_length(planned_mm, unit)
    said = [f"Over {shown} this gauge gives {show_rows(rows)}, which is more than one row either way."]
    longer = math.ceil(gauge.rows * spread / WORTH_NARROWING_ROWS)
    said.append(
        f"A tube of {longer} working rows, with the marks at its ends, would bring that to one row; "
        f"this one was measured over {gauge.rows}."
    )
    said.append(_readings_advice(gauge, nominal(rows)))
    said.append(f"From ± {spread:.1f} rows now: {'; '.join(way.words for way in ways_to_narrow(gauge, planned_mm))}.")
    return tuple(said)


def _readings_advice(gauge: Gauge, rows: float) -> str:
    """How many readings would do it, or why no number of them would."""
    taken = gauge.lengths
    n = len(taken.values_mm)
    allowed = (taken.mean * WORTH_NARROWING_ROWS / rows) ** 2
    tape = taken.half_width_mm**2 / 3
    from_tape = rows * math.sqrt(tape) / taken.mean
    if tape < allowed:  # so n > 1: a single reading's whole error is the tape's
        needed = math.ceil(taken.spread**2 / (allowed - tape))
        return f"{needed} readings of the length instead of {n} would also do it, if they scatter as these do."
    finer = math.floor(10 * math.sqrt(max(3 * (allowed - taken.spread**2 / n), 0.0))) / 10
    if finer > 0:
        return (
            f"More readings alone cannot do it, since the tape's own error is {from_tape:.1f} rows; "
            f"reading it to {finer:.1f} mm would."
        )
    return f"More readings alone cannot do it, since the tape's own error is {from_tape:.1f} rows."
