"""What a sock is knitted on and of: a measured gauge with its yarn, cylinder and tube. No Textual here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft.dial import Dial
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G, TAPE_HALF_WIDTH_MM, tube_mass
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import Measured, measured
from hosewright.craft.response import Response, TubeReading, fit_response
from hosewright.craft.yarn import YarnPerStitch, tex_from, yarn_per_stitch
from hosewright.logbook.find.tubes import as_fitted, measured_tube
from hosewright.logbook.records.shelf import Cylinder, GaugeRecord, Machine, Yarn
from hosewright.phrases.days import clock_day
from hosewright.planning.lines import show_rate

if TYPE_CHECKING:
    from hosewright.craft.fit import CylinderSize
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.find.tubes import Tube

USUAL_DIAL = Dial()


@dataclass(frozen=True, slots=True)
class Knit:
    """The gauge chosen and what belongs to it.

    ``others`` are the other cylinders owned, ``tubes`` every tube of this yarn on this machine and cylinder (its own
    too), ``alike`` the sessions of those tubes in the same order, ``tube`` its readings where they could be read.
    """

    gauge: GaugeRecord
    yarn: Yarn | None
    cylinder: Cylinder | None
    others: tuple[Cylinder, ...] = ()
    dial: Dial = USUAL_DIAL
    tubes: tuple[TubeReading, ...] = ()
    alike: tuple[str, ...] = ()
    tube: Tube | None = None

    @property
    def rows(self) -> Measured:
        """Rows per mm with their error: the knitter's tape's where the readings are at hand."""
        if self.tube is not None:
            return self.tube.gauge.rows_per_mm
        return measured(self.gauge.rows_per_mm, self.gauge.rows_per_mm_error)

    @property
    def stitches(self) -> Measured:
        """Stitches per mm with their error, as the rows have theirs."""
        if self.tube is not None:
            return self.tube.gauge.stitches_per_mm
        return measured(self.gauge.stitches_per_mm, self.gauge.stitches_per_mm_error)

    @property
    def circumference(self) -> Measured:
        """The tube's own circumference in mm."""
        return self.gauge.slots / self.stitches

    @property
    def loop_mm(self) -> Measured:
        """Yarn in a loop, mm, from the rows."""
        return loop_length_mm(self.rows)

    @property
    def fit_cylinder(self) -> CylinderSize:
        """The tube's own cylinder."""
        return as_fitted(self.cylinder, self.gauge.slots)

    @property
    def owned(self) -> tuple[CylinderSize, ...]:
        """The tube's own cylinder, then the others."""
        return (self.fit_cylinder, *(as_fitted(other, other.slots) for other in self.others))

    @property
    def response(self) -> Response:
        """What a click does to the loop of this yarn here."""
        return fit_response(self.tubes or (TubeReading(self.gauge.dial, self.loop_mm),), self.dial)

    @property
    def per_stitch(self) -> YarnPerStitch:
        """Yarn in a stitch by both ways, where the tube was weighed and the yarn's count is known."""
        gauge, count = self.gauge, self.yarn.m_per_100g if self.yarn else None
        tex = tex_from("m_per_100g", count) if count else None
        if gauge.mass_g is None:
            return yarn_per_stitch(self.loop_mm, tex)
        grams = tube_mass(gauge.mass_g) / (gauge.rows * gauge.slots)
        return yarn_per_stitch(self.loop_mm, tex, grams, SCALE_HALF_WIDTH_G / gauge.mass_g)


def read_knits(book: Logbook) -> dict[str, Knit]:
    """Every gauge in the logbook by its session, the newest first. Raises LogbookError."""
    yarns = {item.id: item for item in book.shelf(Yarn, retired=True)}
    cylinders = {item.id: item for item in book.shelf(Cylinder, retired=True)}
    machines = {item.id: item for item in book.shelf(Machine, retired=True)}
    gauges = book.gauges()
    knits = {}
    for gauge in gauges:
        machine = machines.get(gauge.machine)
        alike = [one for one in gauges if _place(one) == _place(gauge)]
        knits[gauge.session] = Knit(
            gauge,
            yarns.get(gauge.yarn),
            cylinders.get(gauge.cylinder),
            tuple(c for c in cylinders.values() if c.id != gauge.cylinder and not c.retired),
            Dial(machine.thread_pitch_mm, machine.clicks_per_turn) if machine else USUAL_DIAL,
            tuple(TubeReading(one.dial, _loop(one)) for one in alike),
            tuple(one.session for one in alike),
        )
    return knits


def with_readings(book: Logbook, knit: Knit, tape_mm: float) -> Knit:
    """``knit`` with its tube's readings, and with the loops of every tube as sure as the knitter's own tape makes them.

    A gauge is kept with the error of a usual tape; one read to another half-width is worked out anew from its readings.
    Raises LogbookError.
    """
    tubes = knit.tubes
    if tape_mm != TAPE_HALF_WIDTH_MM:
        found = [measured_tube(book, session, tape_mm) for session in knit.alike]
        tubes = tuple(
            reading if tube is None else TubeReading(reading.clicks, loop_length_mm(tube.gauge.rows_per_mm))
            for reading, tube in zip(knit.tubes, found, strict=True)
        )
    return replace(knit, tube=measured_tube(book, knit.gauge.session, tape_mm), tubes=tubes)


def _place(gauge: GaugeRecord) -> tuple[str, str, str]:
    return gauge.yarn, gauge.machine, gauge.cylinder


def _loop(gauge: GaugeRecord) -> Measured:
    return loop_length_mm(measured(gauge.rows_per_mm, gauge.rows_per_mm_error))


def gauge_words(knit: Knit, unit: str) -> str:
    """A gauge as a list shows it: yarn / cylinder / rows per length, and the day."""
    gauge = knit.gauge
    yarn = knit.yarn.name if knit.yarn else gauge.yarn
    cylinder = knit.cylinder.name if knit.cylinder else gauge.cylinder
    rows = show_rate(gauge.rows_per_mm, unit).replace("/", " rows/")
    return f"{yarn} / {cylinder} / {rows}, {clock_day(gauge.at_ms, 0)}"
