"""The gauges of the logbook, each with its yarn, cylinder and tube, and who is knitted for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast, get_args

from hosewright.craft.dial import Dial
from hosewright.craft.fit import OnFoot
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G, TAPE_HALF_WIDTH_MM, tube_mass
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured
from hosewright.craft.response import TubeReading
from hosewright.craft.spread import tube_spread
from hosewright.craft.yarn import tex_from
from hosewright.logbook.accounts.enough import reaches_for
from hosewright.logbook.accounts.stock import YarnStock, stock_of
from hosewright.logbook.find.evidence import Worn, as_fitted, measured_tube, worn_by
from hosewright.logbook.records.shelf import Cylinder, GaugeRecord, Machine, Plan, Wearer, Yarn
from hosewright.planning.fabric import USUAL_DIAL, Fabric
from hosewright.planning.sock_lines import show_rate

if TYPE_CHECKING:
    from hosewright.craft.measured import Measured
    from hosewright.craft.spread import Spread
    from hosewright.craft.supply import YarnNeed
    from hosewright.logbook.accounts.enough import Reach
    from hosewright.logbook.book import Logbook
from hosewright.logbook.find.evidence import MeasuredTube


@dataclass(frozen=True, slots=True)
class Knit:
    """The gauge chosen and what belongs to it.

    ``others`` are the other cylinders owned, ``tubes`` every tube of this yarn on this machine and cylinder (its own
    too) with a dial position that is known, ``alike`` the sessions of those tubes in the same order, ``tube`` its
    readings where they could be read.
    """

    gauge: GaugeRecord
    yarn: Yarn | None
    cylinder: Cylinder | None
    others: tuple[Cylinder, ...] = ()
    dial: Dial = USUAL_DIAL
    tubes: tuple[TubeReading, ...] = ()
    alike: tuple[str, ...] = ()
    tube: MeasuredTube | None = None

    @property
    def spread(self) -> Spread:
        """How far tubes of this yarn differ here, from those at one dial position."""
        places: dict[int, list[Measured]] = {}
        for tube in self.tubes:
            places.setdefault(tube.clicks, []).append(tube.loop_mm)
        return tube_spread(list(places.values()))

    @property
    def fabric(self) -> Fabric:
        """What a sock is worked out from: rates with the knitter's tape's errors where the readings are at hand."""
        gauge, tube = self.gauge, self.tube
        count = self.yarn.m_per_100g if self.yarn else None
        weighed = None
        if gauge.mass_g is not None and gauge.rows is not None:
            grams = tube_mass(gauge.mass_g) / (gauge.rows * gauge.slots)
            weighed = grams, SCALE_HALF_WIDTH_G / gauge.mass_g
        return Fabric(
            rows=tube.gauge.rows_per_mm if tube else measured(gauge.rows_per_mm, gauge.rows_per_mm_error),
            stitches=tube.gauge.stitches_per_mm
            if tube
            else measured(gauge.stitches_per_mm, gauge.stitches_per_mm_error),
            cylinder=as_fitted(self.cylinder, gauge.slots),
            spread=self.spread,
            others=tuple(as_fitted(other, other.slots) for other in self.others),
            dial=self.dial,
            clicks=gauge.dial,
            tubes=self.tubes,
            tex=tex_from("m_per_100g", count) if count else None,
            weighed=weighed,
            on_foot=cast("OnFoot", gauge.on_foot) if gauge.on_foot in get_args(OnFoot) else None,
            stretched_width_mm=tube.stretched_width_mm if tube else None,
        )


def read_knits(book: Logbook) -> dict[str, Knit]:
    """Every gauge in the logbook by its session, the newest first. Raises LogbookError."""
    yarns = {item.id: item for item in book.shelf(Yarn, retired=True)}
    cylinders = {item.id: item for item in book.shelf(Cylinder, retired=True)}
    machines = {item.id: item for item in book.shelf(Machine, retired=True)}
    gauges = book.gauges()
    knits = {}
    for gauge in gauges:
        machine = machines.get(gauge.machine)
        alike = [(one, one.dial) for one in gauges if _place(one) == _place(gauge) and one.dial is not None]
        knits[gauge.session] = Knit(
            gauge,
            yarns.get(gauge.yarn),
            cylinders.get(gauge.cylinder),
            tuple(c for c in cylinders.values() if c.id != gauge.cylinder and not c.retired),
            Dial(machine.thread_pitch_mm, machine.turn) if machine else USUAL_DIAL,
            tuple(TubeReading(dial, _loop(one)) for one, dial in alike),
            tuple(one.session for one, _ in alike),
        )
    return knits


def with_readings(book: Logbook, knit: Knit, tape_error_mm: float) -> Knit:
    """``knit`` with its tube's readings, and with the loops of every tube as sure as the knitter's own tape makes them.

    A gauge is kept with the error of a usual tape; one read to another half-width is worked out anew from its readings.
    Raises LogbookError.
    """
    tubes = knit.tubes
    if tape_error_mm != TAPE_HALF_WIDTH_MM:
        found = [measured_tube(book, session, tape_error_mm) for session in knit.alike]
        tubes = tuple(
            reading if tube is None else TubeReading(reading.clicks, loop_length_mm(tube.gauge.rows_per_mm))
            for reading, tube in zip(knit.tubes, found, strict=True)
        )
    return replace(knit, tube=measured_tube(book, knit.gauge.session, tape_error_mm), tubes=tubes)


def _place(gauge: GaugeRecord) -> tuple[str, str, str]:
    return gauge.yarn, gauge.machine, gauge.cylinder


def _loop(gauge: GaugeRecord) -> Measured:
    return loop_length_mm(measured(gauge.rows_per_mm, gauge.rows_per_mm_error))


def gauge_words(knit: Knit, unit: str) -> str:
    """A gauge as a list shows it: yarn / cylinder / rows per length, the day, and whether it is from the notebook."""
    gauge = knit.gauge
    yarn = knit.yarn.name if knit.yarn else gauge.yarn
    cylinder = knit.cylinder.name if knit.cylinder else gauge.cylinder
    rows = show_rate(gauge.rows_per_mm, unit).replace("/", " rows/")
    return f"{yarn} / {cylinder} / {rows}, {gauge.when}"


class PlanShelf:
    """Gauges, wearers, and what the wearers said of their socks. Every reading may raise LogbookError."""

    def __init__(self, book: Logbook, tape_error_mm: float) -> None:
        """``tape_error_mm`` is the half-width of the tape's error."""
        self._book, self._tape_error_mm = book, tape_error_mm
        self.gauges: dict[str, Knit] = {}
        self.wearers: dict[str, Wearer] = {}
        self.plan_names: frozenset[str] = frozenset()
        self._worn: dict[str, Worn] = {}
        self._stocks: dict[str, YarnStock | None] = {}

    def read_gauges(self) -> None:
        self.gauges = read_knits(self._book)

    def read_wearers(self) -> None:
        self.wearers = {item.id: item for item in self._book.shelf(Wearer)}

    def read_plan_names(self) -> None:
        """What the plans there are, are called: a new one is told from them by its name."""
        self.plan_names = frozenset(plan.name for plan in self._book.shelf(Plan))

    def knit(self, session: str | None) -> Knit | None:
        """The gauge of this session, with its tube's readings."""
        knit = self.gauges.get(session or "")
        if knit is not None and knit.tube is None:
            knit = self.gauges[knit.gauge.session] = with_readings(self._book, knit, self._tape_error_mm)
        return knit

    def reaches(self, knit: Knit | None, need: YarnNeed | None) -> list[Reach]:
        """How far each lot of the yarn reaches for the pair; none where its grams are not known."""
        if knit is None or need is None or not need.grams_per_pair:
            return []
        yarn_id = knit.gauge.yarn
        if yarn_id not in self._stocks:
            self._stocks[yarn_id] = stock_of(self._book, yarn_id)
        stock, grams = self._stocks[yarn_id], need.grams_per_pair
        return reaches_for(stock, measured(grams, grams * need.metres_error / need.metres_per_pair)) if stock else []

    def worn(self, wearer: Wearer | None) -> Worn:
        """What this wearer said of every sock made for them."""
        if wearer is None:
            return Worn()
        if wearer.id not in self._worn:
            self._worn[wearer.id] = worn_by(self._book, wearer.id)
        return self._worn[wearer.id]
