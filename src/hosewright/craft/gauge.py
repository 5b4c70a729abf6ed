"""The gauge of a washed tube: rows and stitches per length, circumference, loop length, each with its error.

Standard uncertainty of a repeated reading: u^2 = a^2 / 3 + s^2 / n, with a the tape's half-width (a
rectangular error that repeats do not shrink) and s the spread of n readings. So marks further apart divide the whole
error, more readings only the part that scatters, a finer tape only the part that is the tape's. Source: the rules for
expressing uncertainty in measurement, from memory. Sizes of bands are ours and say so in `sources`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Literal

from hosewright.craft import CraftError, check_slots
from hosewright.craft.loops import DEFAULT_STATE, loop_length_mm, state_named
from hosewright.craft.measured import Measured, error, in_numbers, measured, nominal, show_rows
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, show_length

TAPE_HALF_WIDTH_MM = 1.0
SCALE_HALF_WIDTH_G = 1.0
MOST_ROWS = 5000
MOST_READINGS = 50
MOST_MM = 5000.0
WORTH_NARROWING_ROWS = 1.0
LONG_TUBE_ROWS = 100
FINE_TAPE_MM = 0.5
NOTED_TAPE_MM = 3.0
NOTED_OVER_MM = 100.0


@dataclass(frozen=True, slots=True)
class Readings:
    """Repeated readings of one length in mm with a tape good to plus or minus ``half_width_mm``."""

    values_mm: tuple[float, ...]
    half_width_mm: float = TAPE_HALF_WIDTH_MM

    def __post_init__(self) -> None:
        if not 1 <= len(self.values_mm) <= MOST_READINGS:
            raise CraftError(f"Give from 1 to {MOST_READINGS} readings of a length.")
        if not all(0 < value <= MOST_MM for value in self.values_mm):
            raise CraftError("Every length must be more than zero and at most 5000 mm.")
        if not 0 <= self.half_width_mm < min(self.values_mm):
            raise CraftError("The tape's error must be zero or more, and less than the length measured.")

    @property
    def mean(self) -> float:
        """Mean of the readings, mm."""
        return fmean(self.values_mm)

    @property
    def spread(self) -> float:
        """Sample standard deviation of the readings, mm; 0 for a single reading, whose spread is unknown."""
        return stdev(self.values_mm) if len(self.values_mm) > 1 else 0.0

    @property
    def error(self) -> float:
        """Standard uncertainty of the mean, mm: sqrt(a^2 / 3 + s^2 / n)."""
        return math.sqrt(self.half_width_mm**2 / 3 + self.spread**2 / len(self.values_mm))

    @property
    def value(self) -> Measured:
        """The mean with its error, a new independent variable each time."""
        return measured(self.mean, self.error)


@dataclass(frozen=True, slots=True)
class Gauge:
    """A measured tube. Lengths in mm, mass in g; every measured number carries its standard error."""

    rows: int
    slots: int
    state: str
    lengths: Readings
    flat_widths: Readings
    rows_per_mm: Measured
    stitches_per_mm: Measured
    circumference_mm: Measured
    ratio: Measured
    loop_length_mm: Measured
    mass_g: Measured | None = None
    mass_per_stitch_g: Measured | None = None
    scale_g: float = SCALE_HALF_WIDTH_G

    @property
    def scale_share(self) -> float | None:
        """The scale's half-width as a share of the tube's mass, None when not weighed."""
        return None if self.mass_g is None else self.scale_g / nominal(self.mass_g)

    def rows_in(self, length_mm: float) -> Measured:
        """Rows in ``length_mm``, with the gauge's error carried along."""
        return self.rows_per_mm * length_mm

    def as_numbers(self) -> dict[str, float]:
        """Plain numbers for a file: each measured NAME and NAME_error."""
        named = {
            "rows_per_cm": self.rows_per_mm * MM_PER_CM,
            "rows_per_in": self.rows_per_mm * MM_PER_INCH,
            "stitches_per_cm": self.stitches_per_mm * MM_PER_CM,
            "stitches_per_in": self.stitches_per_mm * MM_PER_INCH,
            "circumference_mm": self.circumference_mm,
            "loop_length_mm": self.loop_length_mm,
            "ratio": self.ratio,
        }
        if self.mass_per_stitch_g is not None:
            named["mass_per_stitch_g"] = self.mass_per_stitch_g
        return {key: number for name, value in named.items() for key, number in in_numbers(name, value).items()}


def measure_gauge(
    *,
    rows: int,
    lengths_mm: tuple[float, ...],
    slots: int,
    flat_widths_mm: tuple[float, ...],
    tape_error_mm: float = TAPE_HALF_WIDTH_MM,
    mass_g: float | None = None,
    scale_g: float = SCALE_HALF_WIDTH_G,
    state: str = DEFAULT_STATE,
) -> Gauge:
    """The gauge of a tube: ``rows`` over the lengths, ``slots`` in work over twice the flat widths.

    ``tape_error_mm`` and ``scale_g`` are half-widths. ``mass_g`` weighs the working rows alone. Raises CraftError.
    """
    if not 1 <= rows <= MOST_ROWS:
        raise CraftError(f"Rows must be a whole number from 1 to {MOST_ROWS}, not {rows}.")
    check_slots(slots, "Slots in work")
    state_named(state)
    lengths = Readings(tuple(lengths_mm), tape_error_mm)
    widths = Readings(tuple(flat_widths_mm), tape_error_mm)
    mass = None if mass_g is None else tube_mass(mass_g, scale_g)
    rows_per_mm = rows / lengths.value
    circumference = 2 * widths.value
    stitches_per_mm = slots / circumference
    return Gauge(
        rows=rows,
        slots=slots,
        state=state,
        lengths=lengths,
        flat_widths=widths,
        rows_per_mm=rows_per_mm,
        stitches_per_mm=stitches_per_mm,
        circumference_mm=circumference,
        ratio=rows_per_mm / stitches_per_mm,
        loop_length_mm=loop_length_mm(rows_per_mm, state),
        mass_g=mass,
        mass_per_stitch_g=None if mass is None else mass / (rows * slots),
        scale_g=scale_g,
    )


def noted_rate(count: float, over_mm: float) -> Measured:
    """So many rows or stitches to the mm, as someone once wrote them down: with the error one must assume of them.

    A notebook does not say what tape was used, nor how it was read: so to NOTED_TAPE_MM either way. Raises CraftError.
    """
    return count / Readings((over_mm,), NOTED_TAPE_MM).value


def gauge_of_rates(rows: int | None, slots: int, rows_per_mm: Measured, stitches_per_mm: Measured) -> Gauge:
    """A gauge known by its rates alone, as one reading of each length that comes to the same with the same error.

    ``rows`` are those it was measured over, where that is known. Raises CraftError.
    """
    over = rows or max(1, round(nominal(rows_per_mm) * NOTED_OVER_MM))
    return Gauge(
        rows=over,
        slots=slots,
        state=DEFAULT_STATE,
        lengths=_one_reading(over, rows_per_mm),
        flat_widths=_one_reading(slots / 2, stitches_per_mm),
        rows_per_mm=rows_per_mm,
        stitches_per_mm=stitches_per_mm,
        circumference_mm=slots / stitches_per_mm,
        ratio=rows_per_mm / stitches_per_mm,
        loop_length_mm=loop_length_mm(rows_per_mm),
    )


def _one_reading(count: float, rate: Measured) -> Readings:
    mm = count / nominal(rate)
    return Readings((mm,), math.sqrt(3) * mm * error(rate) / nominal(rate))


def tube_mass(mass_g: float, scale_g: float = SCALE_HALF_WIDTH_G) -> Measured:
    """A tube's mass in g with its standard error, scale / sqrt(3): ``scale_g`` is the scale's half-width.

    Raises CraftError.
    """
    if not 0 < mass_g < 20_000:
        raise CraftError("The tube's mass must be more than zero and under 20 kg.")
    if not 0 <= scale_g < mass_g:
        raise CraftError("The scale's error must be zero or more, and less than the mass weighed.")
    return measured(mass_g, scale_g / math.sqrt(3))


def relaxation_percent(before: float, after: float) -> float:
    """Change from unwashed to washed in %, (after - before) / before x 100; negative shrank (ISO 5077).

    Raises CraftError.
    """
    if not (0 < before < math.inf and 0 < after < math.inf):
        raise CraftError("Both the length before washing and the length after must be above zero.")
    return (after - before) / before * 100


def relaxation(before: Readings, after: Readings) -> Measured:
    """The same change in % from readings of one length before and after washing, with its error.

    The two are taken as independent: a tape's error is not the same at two places a wash apart.
    """
    return (after.value / before.value - 1.0) * 100.0


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
