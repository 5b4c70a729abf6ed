"""Yarn cards: what a yarn did on each cylinder and dial, gathered from every session it was cranked in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.chance import Mean
from hosewright.craft.dial import CLICKS_PER_TURN
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM, gauge_of_rates, measure_gauge
from hosewright.craft.measured import measured
from hosewright.craft.spread import ASSUMED
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.gauges import course_of, dial_of, spread_of, tubes_of
from hosewright.logbook.records.planned import record_name
from hosewright.logbook.records.shelf import Cylinder, Machine, Noted, Wearer, Yarn, day_words
from hosewright.phrases.times import local
from hosewright.session.fold import fold
from hosewright.session.results import choice, tube_gauge, wash_change, worn_words
from hosewright.session.steps import id_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.craft.gauge import Gauge, Readings
    from hosewright.craft.spread import Spread
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.find.gauges import Course
    from hosewright.logbook.records.sessions import SessionRecord, StringSock
    from hosewright.logbook.records.shelf import GaugeRecord
    from hosewright.session.state import State


@dataclass(frozen=True, slots=True)
class Base:
    """A stitch size that was found; ``proven`` by ten clean rows."""

    session: str
    began_ms: int
    zone_min: int
    proven: bool


@dataclass(frozen=True, slots=True)
class _Dated:
    """What was cranked, and when. ``noted``: the day as the notebook that it is from has it."""

    session: str
    title: str
    began_ms: int
    zone_min: int
    noted: str = field(default="", kw_only=True)
    shared: str = field(default="", kw_only=True)

    @property
    def when(self) -> str:
        """The day, and whether it is from the notebook or was shared."""
        return day_words(self.began_ms, self.zone_min, self.noted, self.shared)


@dataclass(frozen=True, slots=True)
class TubeLine(_Dated):
    """A tube: its gauge, what the wash did in %, and how it sat on the foot; not ``washed`` yet, its gauge before it.

    ``dial_noted``: the dial as the notebook has it.
    """

    gauge: Gauge
    length_change: float | None
    width_change: float | None
    on_foot: str
    dial_noted: str = ""
    washed: bool = True

    def rows(self) -> Mean:
        """Rows per mm with both kinds of error."""
        return per_mm(self.gauge.rows, self.gauge.lengths)

    def stitches(self) -> Mean:
        """Stitches per mm with both kinds of error."""
        return per_mm(self.gauge.slots / 2, self.gauge.flat_widths)


@dataclass(frozen=True, slots=True)
class SockLine(_Dated):
    """A sock: how much yarn it took, in g, and what was said of it; of the notebook's its ``parts``, too."""

    status: str
    wearer: str
    mass_g: float | None
    planned_g: float | None
    verdict: str
    parts: str = ""


@dataclass(slots=True)
class AtDial:
    """Everything done with the dial at one position, in clicks below zero; None: the notebook does not tell."""

    dial: int | None
    bases: list[Base] = field(default_factory=list)
    tubes: list[TubeLine] = field(default_factory=list)
    socks: list[SockLine] = field(default_factory=list)


@dataclass(slots=True)
class OnCylinder:
    """Everything done with one cylinder on one machine, by dial position."""

    cylinder: Cylinder
    machine: Machine
    dials: dict[int | None, AtDial] = field(default_factory=dict)

    def in_order(self) -> list[AtDial]:
        """The dial positions from the zero mark down, what is not known last."""
        return [self.dials[dial] for dial in sorted(self.dials, key=lambda dial: (dial is None, dial or 0))]


@dataclass(frozen=True, slots=True)
class Year:
    """What of a yarn is not shown one by one. ``rows`` are the least and most rows per mm of its tubes."""

    year: int
    sessions: int
    tubes: int
    rows: tuple[float, float] | None
    socks: int
    right: int


@dataclass(slots=True)
class YarnCard:
    """A yarn and what it did: its gauge on each machine and cylinder, and the newest of all that was cranked.

    ``many`` is how much that is in all; ``older`` sums up what is not shown. ``unread``: sessions that cannot be read,
    a sentence each.
    """

    yarn: Yarn
    courses: list[Course] = field(default_factory=list)
    spread: Spread = ASSUMED
    machines: dict[str, Machine] = field(default_factory=dict)
    beds: dict[str, Cylinder] = field(default_factory=dict)
    cylinders: list[OnCylinder] = field(default_factory=list)
    many: int = 0
    older: tuple[Year, ...] = ()
    unread: list[str] = field(default_factory=list)

    @property
    def shown(self) -> int:
        """How much of it is shown one by one."""
        return self.many - sum(year.sessions for year in self.older)

    def turn(self, machine: str) -> int:
        """Clicks of a turn of this machine's dial."""
        return self.machines[machine].turn if machine in self.machines else CLICKS_PER_TURN


def yarns_cranked(book: Logbook) -> list[Yarn]:
    """Every yarn that was ever cranked, the last used first, then those of the notebook; as the shelf has them now.

    Raises LogbookError.
    """
    rows = book.store.ask("SELECT yarn_id, max(began) FROM catalogue GROUP BY yarn_id ORDER BY 2 DESC, 1")
    shelf = {yarn.id: yarn for yarn in book.shelf(Yarn, retired=True)}
    used = dict.fromkeys([*(one for one, _ in rows), *(noted.yarn for noted in book.shelf(Noted))])
    return [shelf[one] for one in used if one in shelf]


def yarn_card(
    book: Logbook,
    yarn: Yarn,
    tape_error_mm: float = TAPE_HALF_WIDTH_MM,
    newest: int | None = None,
    *,
    tubes_alone: bool = True,
) -> YarnCard:
    """The card of one yarn; a session that cannot be read is named on it. Raises LogbookError.

    ``tape_error_mm`` is the half-width of the tape's error. Of what was cranked the ``newest`` so many tubes, searches
    and socks are shown one by one, None: all of them; its gauge is always that of every tube. Without
    ``tubes_alone`` a tube that the gauge tells of is not read for itself, which is most of the work.
    """
    machines = {item.id: item for item in book.shelf(Machine, retired=True)}
    beds = {item.id: item for item in book.shelf(Cylinder, retired=True)}
    card = YarnCard(yarn, machines=machines, beds=beds)
    places = tubes_of(book, tape_error_mm, yarn.id)
    card.courses = [course_of(tubes, dial_of(machines.get(place.machine))) for place, tubes in places.items()]
    card.courses.sort(key=lambda course: course.tubes[-1].began_ms, reverse=True)
    card.spread = spread_of(card.courses)
    cranked = book.store.ask(_CRANKED, yarn.id)
    noted = sorted((one for one in book.shelf(Noted) if one.yarn == yarn.id), key=lambda one: one.at_ms)
    card.many = len(cranked) + len(noted)
    told = set() if tubes_alone else {tube.session for tubes in places.values() for tube in tubes}
    room = math.inf if newest is None else newest
    read: list[tuple[SessionRecord, State]] = []
    shown = 0
    while shown < len(cranked) and room > 0:
        session_id = cranked[shown][0]
        shown += 1
        if session_id in told:
            continue
        try:
            if (line := book.store.line(session_id)) is None:
                continue
            record = book.record(line)
            read.append((record, fold(record.head, book.store.entries(line.n))))
            room -= max(len(read[-1][0].socks), 1)
        except LogbookError as error:
            card.unread.append(f"{session_id}: {error}")
    for record, state in reversed(read):
        _add(card, record, state, tape_error_mm)
    kept = int(max(len(noted) - max(room, 0), 0))
    _add_noted(card, book, noted[kept:])
    card.older = _by_year(cranked[shown:], noted[:kept], card.courses)
    return card


_CRANKED = (
    "SELECT s.id, c.began, c.zone_min, c.kind, c.verdict FROM catalogue c JOIN sessions s ON s.n = c.session"
    " WHERE c.yarn_id = ? AND c.left_out = '' AND NOT (c.kind = 'tube' AND c.status = 'abandoned')"
    " ORDER BY c.began DESC, s.n DESC"
)


def _by_year(
    cranked: Iterable[tuple[str, int, int, str, str]], noted: Iterable[Noted], courses: Iterable[Course]
) -> tuple[Year, ...]:
    """The newest year first."""
    rates = {tube.session: tube.rows_per_mm for course in courses for tube in course.tubes}
    found = [(local(at, zone).year, name, kind, verdict) for name, at, zone, kind, verdict in cranked]
    found += [(local(one.at_ms, 0).year, one.id, "sock" if one.what == "sock" else "tube", one.worn) for one in noted]
    years: dict[int, list[tuple[str, str, str]]] = {}
    for year, *one in found:
        years.setdefault(year, []).append((one[0], one[1], one[2]))
    summed = []
    for year, these in sorted(years.items(), reverse=True):
        rows = [rates[name] for name, _, _ in these if name in rates]
        socks = [verdict for _, kind, verdict in these if kind in ("sock", "string")]
        right = sum("round right" in said and "length right" in said for said in socks)
        span = (min(rows), max(rows)) if rows else None
        summed.append(Year(year, len(these), len(rows), span, len(socks), right))
    return tuple(summed)


def _add(card: YarnCard, record: SessionRecord, state: State, tape_error_mm: float) -> None:
    """Put what a session found on the card."""
    if record.kind == "search":
        if state.baseline is not None:
            base = Base(record.id, record.started_ms, record.zone_min, state.status == "finished")
            _place(card, record.cylinder, record.machine, state.baseline).bases.append(base)
    elif record.kind == "tube":
        tube = _tube(record, state, tape_error_mm)
        if tube is not None:
            _place(card, record.cylinder, record.machine, state.dial).tubes.append(tube)
    else:
        planned = record.each_sock
        numbers = list(planned) or [0]  # a sock without a plan is one all the same
        at = _place(card, record.cylinder, record.machine, state.dial)
        at.socks += [_sock(record, state, one, planned.get(one)) for one in numbers]


def _place(card: YarnCard, cylinder: Cylinder, machine: Machine, dial: int | None) -> AtDial:
    here = (on for on in card.cylinders if (on.cylinder.id, on.machine.id) == (cylinder.id, machine.id))
    on = next(here, None)
    if on is None:
        on = OnCylinder(cylinder, machine)
        card.cylinders.append(on)
    return on.dials.setdefault(dial, AtDial(dial))


def _add_noted(card: YarnCard, book: Logbook, noted: Sequence[Noted]) -> None:
    """Put what the notebook has of the yarn on the card."""
    if not noted:
        return
    gauges = {gauge.session: gauge for gauge in book.gauges() if gauge.noted}
    wearers = {item.id: item.name for item in book.shelf(Wearer, retired=True)}
    for one in noted:
        machine, cylinder = card.machines.get(one.machine), card.beds.get(one.cylinder)
        if machine is not None and cylinder is not None:  # else nothing tells what it was cranked on
            at = _place(card, cylinder, machine, one.clicks(machine.clicks_per_turn))
            if one.id in gauges:
                at.tubes.append(_noted_tube(one, gauges[one.id]))
            if one.what == "sock":
                at.socks.append(_noted_sock(one, wearers.get(one.wearer or "", "")))


def _noted_tube(one: Noted, gauge: GaugeRecord) -> TubeLine:
    rows = measured(gauge.rows_per_mm, gauge.rows_per_mm_error)
    stitches = measured(gauge.stitches_per_mm, gauge.stitches_per_mm_error)
    known = gauge_of_rates(gauge.rows, gauge.slots, rows, stitches)
    on_foot = one.fit if one.what == "gauge" else ""
    return TubeLine(
        one.id, one.name, one.at_ms, 0, known, None, None, on_foot, one.dial, noted=one.day, shared=one.shared
    )


def _noted_sock(one: Noted, wearer: str) -> SockLine:
    title, said = f"Sock for {wearer}" if wearer else "Sock", (one.mass_g, None, one.worn, one.parts_typed)
    return SockLine(one.id, title, one.at_ms, 0, "finished", wearer, *said, noted=one.day, shared=one.shared)


def _sock(record: SessionRecord, state: State, number: int, sock: StringSock | None) -> SockLine:
    """One sock, by its place in a string (0: it is none of one); ``sock`` is what was planned of it."""
    masses = state.values(id_in(number, "mass"))
    wearer = sock.wearer if sock else record.wearer
    grams = sock.plan.grams_per_pair if sock else None
    return SockLine(
        record.id,
        f"{record.title}, {record_name(record, number)} {number}" if number else record.title,
        record.started_ms,
        record.zone_min,
        state.status,
        wearer.name if wearer else "",
        masses[-1] if masses else None,
        grams / 2 if grams else None,
        worn_words(state, number),
    )


def _tube(record: SessionRecord, state: State, tape_error_mm: float) -> TubeLine | None:
    """Its gauge after the wash, or as it came off the machine where it was not washed yet."""
    try:
        washed = tube_gauge(state, tape_error_mm)
        gauge = washed or _as_it_came_off(state, tape_error_mm)
    except CraftError:
        return None  # its readings cannot be a tube's: it has no gauge on any list
    if gauge is None:
        return None
    return TubeLine(
        record.id,
        record.title,
        record.started_ms,
        record.zone_min,
        gauge,
        wash_change(state, "length"),
        wash_change(state, "width"),
        choice(state, "on-foot") or "",
        washed=washed is not None,
    )


def _as_it_came_off(state: State, tape_error_mm: float) -> Gauge | None:
    """The gauge before the wash, which no washed one is held against. Raises CraftError."""
    lengths, widths, rows = state.values("raw-length"), state.values("raw-width"), state.count_of("tube")
    if not (lengths and widths and rows):
        return None
    return measure_gauge(
        rows=rows,
        lengths_mm=tuple(lengths),
        slots=state.head.slots,
        flat_widths_mm=tuple(widths),
        tape_error_mm=tape_error_mm,
        state="dry",
    )


def per_mm(how_many: float, readings: Readings) -> Mean:
    """So many over a length in mm, with the shares of error of that length."""
    value = how_many / readings.mean
    n = len(readings.values_mm)
    spread = value * readings.spread / math.sqrt(n) / readings.mean
    return Mean(value, spread, n, value * readings.half_width_mm / math.sqrt(3) / readings.mean)
