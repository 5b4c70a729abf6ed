"""The gauges of the logbook, each with its yarn, cylinder and tube, and who is knitted for."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, cast, get_args

from hosewright.craft import CraftError
from hosewright.craft.fit import OnFoot
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G, TAPE_HALF_WIDTH_MM, tube_mass
from hosewright.craft.measured import measured, nominal
from hosewright.craft.response import TubeReading
from hosewright.craft.ribs import RibGauge
from hosewright.craft.yarn import tex_from
from hosewright.logbook.accounts.enough import reaches_for
from hosewright.logbook.accounts.stock import YarnStock, stock_of
from hosewright.logbook.find.evidence import Worn, as_fitted, measured_tube, worn_by
from hosewright.logbook.find.gauges import course_of, dial_of, pooled, repeats_of, spread_among, tubes_of
from hosewright.logbook.records.shelf import Cylinder, GaugeRecord, Machine, Plan, Wearer, Yarn
from hosewright.phrases.lists import many
from hosewright.phrases.times import local
from hosewright.planning.fabric import USUAL_DIAL, Fabric
from hosewright.planning.plan_lines import read_numbers
from hosewright.planning.sock_lines import show_rate
from hosewright.words.gauges import mean_lines, tubes_words

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date

    from hosewright.craft.dial import Dial
    from hosewright.craft.measured import Measured
    from hosewright.craft.spread import Spread
    from hosewright.craft.supply import YarnNeed
    from hosewright.logbook.accounts.enough import Reach
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.called import Names
    from hosewright.logbook.find.evidence import MeasuredTube
    from hosewright.logbook.find.gauges import Course, Place, Shift, Tube


TOGETHER = "together:"  # before the session of the newest of the tubes that a gauge is the mean of


@dataclass(frozen=True, slots=True)
class Knit:
    """The gauge chosen and what belongs to it.

    ``pool`` are the tubes whose mean it is, the oldest first, of which ``gauge`` is the newest; none when it is that of
    one tube. ``since`` are all the tubes of this yarn on this machine and cylinder that no change parts from it;
    ``shift`` is the change before them. ``others`` are the other cylinders owned, ``tube`` its readings where they
    could be read. ``course`` are all its place's tubes, None where its dial position is not known; ``machine``
    is the machine's name where this yarn has gauges of several on the cylinder. ``repeats`` are groups of tubes of the
    yarn that should be alike, of every place: how far tubes differ is told by these, as on its card.
    """

    gauge: GaugeRecord
    yarn: Yarn | None
    cylinder: Cylinder | None
    others: tuple[Cylinder, ...] = ()
    dial: Dial = USUAL_DIAL
    since: tuple[Tube, ...] = ()
    repeats: tuple[tuple[Tube, ...], ...] = ()
    pool: tuple[Tube, ...] = ()
    shift: Shift | None = None
    course: Course | None = None
    machine: str = ""
    cranked_on: Machine | None = None
    tube: MeasuredTube | None = None
    ribs: Mapping[str, RibGauge] = field(default_factory=dict)

    @property
    def tubes(self) -> tuple[TubeReading, ...]:
        """What a click does is told by these, the newest first."""
        return tuple(TubeReading(one.dial, measured(one.loop.value, one.loop.error)) for one in reversed(self.since))

    def of_days(self, days: tuple[date, date] | None) -> Knit:
        """With the tubes cranked from one day to the other in the place of those since the last change.

        Raises CraftError for none, and where the gauge changed between them: nothing lies between two gauges.
        """
        if days is None or self.course is None:
            return self
        tubes = [tube for tube in self.course.tubes if days[0] <= local(tube.began_ms, tube.zone_min).date() <= days[1]]
        if not tubes:
            raise CraftError("No tube of this yarn was cranked here on those days: type others.")
        for shift in self.course.shifts:
            if tubes[0].began_ms <= shift.last.began_ms and shift.first.began_ms <= tubes[-1].began_ms:
                raise CraftError(
                    f"The gauge changed between {shift.last.when} and {shift.first.when}, and no answer lies between "
                    "the two: type days on one side of it."
                )
        return replace(self, since=tuple(tubes))

    @property
    def spread(self) -> Spread:
        """How far tubes of this yarn differ."""
        return spread_among(self.repeats)

    def without(self, left_out: Collection[str]) -> Knit:
        """Without the tubes of these sessions."""
        if not left_out:
            return self
        kept = [tuple(tube for tube in tubes if tube.session not in left_out) for tubes in (self.since, *self.repeats)]
        return replace(self, since=kept[0], repeats=tuple(kept[1:]))

    @property
    def from_notebook(self) -> str:
        """What of it is from the notebook or was shared, in a sentence or two; empty for nothing."""
        if said := not_cranked_here(self.pool, f"of the {many(len(self.pool), 'tube')} of this gauge"):
            return " ".join(said)
        if self.pool or not self.gauge.noted:
            return ""
        return f"The gauge is that of {self.gauge.when}: a tube cranked now would tell whether it still holds."

    @property
    def rates(self) -> tuple[Measured, Measured]:
        """Rows and stitches per mm, with what the tape and the readings leave open."""
        if self.pool:
            rows, stitches = pooled(self.pool, self.spread)
            return measured(rows.value, rows.tape_error), measured(stitches.value, stitches.tape_error)
        if self.tube:
            return self.tube.gauge.rows_per_mm, self.tube.gauge.stitches_per_mm
        gauge = self.gauge
        return (
            measured(gauge.rows_per_mm, gauge.rows_per_mm_error),
            measured(gauge.stitches_per_mm, gauge.stitches_per_mm_error),
        )

    @property
    def fabric(self) -> Fabric:
        """What a sock is worked out from: rates with the knitter's tape's errors where the readings are at hand."""
        gauge, tube = self.gauge, self.tube
        rows, stitches = self.rates
        count = self.yarn.m_per_100g if self.yarn else None
        weighed = None
        if gauge.mass_g is not None and gauge.rows is not None:
            grams = tube_mass(gauge.mass_g) / (gauge.rows * gauge.slots)
            weighed = grams, SCALE_HALF_WIDTH_G / gauge.mass_g
        return Fabric(
            rows=rows,
            stitches=stitches,
            cylinder=as_fitted(self.cylinder, gauge.slots),
            spread=self.spread,
            tubes_measured=max(len(self.pool), 1),
            others=tuple(as_fitted(other, other.slots) for other in self.others),
            dial=self.dial,
            clicks=gauge.dial,
            tubes=self.tubes,
            tex=tex_from("m_per_100g", count) if count else None,
            weighed=weighed,
            on_foot=cast("OnFoot", gauge.on_foot) if gauge.on_foot in get_args(OnFoot) else None,
            stretched_width_mm=tube.stretched_width_mm if tube else None,
            ribs=self.ribs,
        )


def read_knits(book: Logbook, tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> dict[str, Knit]:
    """Every gauge in the logbook by its session, the newest first. Raises LogbookError.

    ``tape_error_mm`` is the half-width of the tape's error.
    """
    yarns = {item.id: item for item in book.shelf(Yarn, retired=True)}
    cylinders = {item.id: item for item in book.shelf(Cylinder, retired=True)}
    machines = {item.id: item for item in book.shelf(Machine, retired=True)}
    dials = {machine: dial_of(item) for machine, item in machines.items()}
    stretches: dict[str, tuple[tuple[Tube, ...], Shift | None, Course]] = {}
    repeats: dict[str, tuple[tuple[Tube, ...], ...]] = {}
    for place, tubes in tubes_of(book, tape_error_mm).items():
        whole = course_of(tubes, dials.get(place.machine, USUAL_DIAL))
        repeats[place.yarn] = (*repeats.get(place.yarn, ()), *repeats_of(whole))
        for part, shift in zip(whole.parts, (None, *whole.shifts), strict=True):
            since = whole.tubes[part.start : part.stop]
            stretches |= {tube.session: (since, shift, whole) for tube in since}
    every = book.gauges(ribbed=True)
    knits, gauges = {}, [gauge for gauge in every if not gauge.rib]
    on: dict[tuple[str, str], set[str]] = {}
    for gauge in gauges:
        on.setdefault((gauge.yarn, gauge.cylinder), set()).add(gauge.machine)
    for gauge in gauges:
        since, shift, course = stretches.get(gauge.session, ((), None, None))
        knits[gauge.session] = Knit(
            gauge,
            yarns.get(gauge.yarn),
            cylinders.get(gauge.cylinder),
            tuple(c for c in cylinders.values() if c.id != gauge.cylinder and not c.retired),
            dials.get(gauge.machine, USUAL_DIAL),
            since,
            repeats.get(gauge.yarn, ()),
            shift=shift,
            course=course,
            cranked_on=machines.get(gauge.machine),
            machine=machines[gauge.machine].name
            if len(on[gauge.yarn, gauge.cylinder]) > 1 and gauge.machine in machines
            else "",
            ribs=_ribs_of(gauge, every),
        )
    return knits


def _alike(gauge: GaugeRecord) -> tuple[str, str, str, int | None]:
    """What a ribbed tube and a plain one have alike when they serve one plan."""
    return gauge.yarn, gauge.machine, gauge.cylinder, gauge.dial


def _ribs_of(plain: GaugeRecord, every: Sequence[GaugeRecord]) -> dict[str, RibGauge]:
    """The newest ribbed tube of each rib of this yarn on the same machine and cylinder, the dial where it was."""
    found: dict[str, RibGauge] = {}
    for one in every:
        if one.rib and _alike(one) == _alike(plain):
            rows = measured(one.rows_per_mm, one.rows_per_mm_error)
            stitches = measured(one.stitches_per_mm, one.stitches_per_mm_error)
            found.setdefault(one.rib, RibGauge(one.rib, rows, stitches, one.stretched_mm))
    return found


def taken_together(knits: Mapping[str, Knit]) -> dict[str, Knit]:
    """``knits``, and before the newest of each place the mean of all tubes at its dial since the last change.

    By the session, and by TOGETHER and the session; where one tube is all there is, it stands alone.
    """
    found: dict[str, Knit] = {}
    seen: set[Place] = set()
    for session, knit in knits.items():
        newest = knit.since[-1] if knit.since else None
        if newest is not None and newest.session == session and newest.place not in seen:
            seen.add(newest.place)
            pool = tuple(tube for tube in knit.since if tube.dial == newest.dial)
            if len(pool) > 1:
                found[f"{TOGETHER}{session}"] = replace(knit, pool=pool)
        found[session] = knit
    return found


def with_readings(book: Logbook, knit: Knit, tape_error_mm: float) -> Knit:
    """``knit`` with its tube's readings. Raises LogbookError."""
    return replace(knit, tube=measured_tube(book, knit.gauge.session, tape_error_mm))


def not_cranked_here(tubes: Sequence[Tube], of: str) -> list[str]:
    """How many tubes are from the notebook, and how many were shared, a sentence each; ``of`` which they are."""
    shared = sum(bool(tube.shared) for tube in tubes)
    noted = sum(bool(tube.noted) for tube in tubes) - shared
    told = (("From the notebook", noted), ("Shared from another logbook", shared))
    return [f"{what}: {count} {of}." for what, count in told if count]


NO_GAUGE = "No gauge yet: crank a gauge tube, wash it and measure it first."


def gauge_words(knit: Knit, unit: str) -> str:
    """A gauge as a list shows it: yarn / cylinder / rows per length, the day or how many tubes since when.

    One from the notebook says so.
    """
    gauge = knit.gauge
    yarn = knit.yarn.name if knit.yarn else gauge.yarn
    cylinder = knit.cylinder.name if knit.cylinder else gauge.cylinder
    rows = show_rate(nominal(knit.rates[0]), unit).replace("/", " rows/")
    of = tubes_words(knit.pool, changed=knit.shift is not None) if knit.pool else gauge.when
    on = f"{cylinder}, {knit.machine}" if knit.machine else cylinder
    return f"{yarn} / {on} / {rows}, {of}"


class PlanShelf:
    """Gauges, wearers, and what the wearers said of their socks. Every reading may raise LogbookError."""

    def __init__(self, book: Logbook, tape_error_mm: float) -> None:
        """``tape_error_mm`` is the half-width of the tape's error."""
        self._book, self._tape_error_mm = book, tape_error_mm
        self.gauges: dict[str, Knit] = {}
        self._names: Names = {}
        self.wearers: dict[str, Wearer] = {}
        self.plan_names: frozenset[str] = frozenset()
        self._worn: dict[str, Worn] = {}
        self._stocks: dict[str, YarnStock | None] = {}

    def read_gauges(self) -> None:
        """Every gauge there is, the newest first, and of several tubes that say the same their mean before it."""
        self.gauges = taken_together(read_knits(self._book, self._tape_error_mm))
        self._names = self._book.store.names_now()

    def called_before(self, name: str) -> str:
        """What the yarn of a gauge was called before, and what else was made one with it."""
        yarn = self.gauges[name].gauge.yarn
        return ", ".join(told.was for (kind, _), told in self._names.items() if (kind, told.now) == ("yarn", yarn))

    def read_wearers(self) -> None:
        self.wearers = {item.id: item for item in self._book.shelf(Wearer)}

    def read_plan_names(self) -> None:
        """What the plans there are, are called: a new one is told from them by its name."""
        self.plan_names = frozenset(plan.name for plan in self._book.shelf(Plan))

    def knit(self, name: str | None, left_out: Collection[str] = ()) -> Knit | None:
        """A gauge of ``gauges``, with its tube's readings; of a mean's tubes without the sessions ``left_out``."""
        knit = self.gauges.get(name or "")
        if knit is None:
            return None
        kept = tuple(tube for tube in knit.pool if tube.session not in left_out)
        session = kept[-1].session if kept else knit.gauge.session
        one = self.gauges[session]
        if one.tube is None:
            one = self.gauges[session] = with_readings(self._book, one, self._tape_error_mm)
        return replace(one.without(left_out), pool=kept)

    def first(self, session: str | None) -> str | None:
        """The gauge to begin with: the mean that this session's tube is part of, else that tube's, else the newest.

        A ribbed tube has none to plan by: it begins with its plain partner's, or its yarn's where it has no partner.
        """
        ribbed = self._ribbed(session)
        if ribbed is not None:
            plain = self._partner(ribbed)
            same_yarn = (name for name, knit in self.gauges.items() if knit.gauge.yarn == ribbed.yarn)
            return self.first(plain) if plain else next(same_yarn, next(iter(self.gauges), None))
        means = (name for name, knit in self.gauges.items() if any(tube.session == session for tube in knit.pool))
        return next(means, session if session in self.gauges else next(iter(self.gauges), None))

    def ribbed_words(self, session: str | None) -> str:
        """What a ribbed tube's gauge, that of this session, is good for in a plan; nothing of a plain one's."""
        ribbed = self._ribbed(session)
        if ribbed is None:
            return ""
        if self._partner(ribbed):
            return f"A ribbed gauge serves the leg of a plan by a plain one: type {ribbed.rib} as the leg's rib."
        return (
            "A ribbed gauge serves the leg of a plan by a plain one: crank a plain tube of this yarn on the same "
            "machine and cylinder, at the same dial, as its partner."
        )

    def _ribbed(self, session: str | None) -> GaugeRecord | None:
        every = self._book.gauges(ribbed=True) if session and session not in self.gauges else ()
        return next((one for one in every if one.session == session and one.rib), None)

    def _partner(self, ribbed: GaugeRecord) -> str | None:
        """The session of the newest plain tube that a ribbed one belongs to: all alike but the rib."""
        plain = (knit.gauge for knit in self.gauges.values())
        return next((one.session for one in plain if _alike(one) == _alike(ribbed)), None)

    def left_out(self, name: str | None, text: str) -> frozenset[str]:
        """The sessions of the tubes whose numbers are typed; the newest of a mean is number 1. Raises CraftError."""
        knit = self.gauges.get(name or "")
        pool = knit.pool[::-1] if knit else ()
        if not pool:
            return frozenset()
        numbers = read_numbers(text)
        wrong = next((number for number in numbers if number > len(pool)), None)
        if wrong is not None:
            raise CraftError(f"There is no tube {wrong} here: type numbers from 1 to {len(pool)}.")
        if len(set(numbers)) == len(pool):
            raise CraftError("Leave at least one tube in: the gauge is worked out from them.")
        return frozenset(pool[number - 1].session for number in numbers)

    def tube_lines(self, name: str | None, left_out: Collection[str], unit: str) -> list[str]:
        """The tubes that a gauge is the mean of, numbered, and what parts them from older ones; none of one tube."""
        knit = self.gauges.get(name or "")
        return mean_lines(knit.pool, left_out, knit.shift, unit) if knit and knit.pool else []

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
