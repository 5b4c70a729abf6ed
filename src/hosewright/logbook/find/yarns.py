"""Yarn cards: what a yarn did on each cylinder and dial, gathered from every session it was cranked in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.chance import Difference, Mean, difference
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM, gauge_of_rates
from hosewright.craft.measured import measured
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Machine, Noted, Wearer, Yarn, day_words
from hosewright.session.results import choice, tube_gauge, wash_change, worn_words
from hosewright.session.steps import id_in

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge, Readings
    from hosewright.logbook.book import Logbook
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
class TubeLine:
    """A washed tube: its gauge, what the wash did in %, and how it sat on the foot.

    ``noted``: the day as the notebook that it is from has it, with the dial as ``dial_noted``.
    """

    session: str
    title: str
    began_ms: int
    zone_min: int
    gauge: Gauge
    length_change: float | None
    width_change: float | None
    on_foot: str
    noted: str = ""
    dial_noted: str = ""

    @property
    def when(self) -> str:
        """The day, and whether it is from the notebook."""
        return day_words(self.began_ms, self.zone_min, self.noted)

    def rows(self) -> Mean:
        """Rows per mm with both kinds of error."""
        return per_mm(self.gauge.rows, self.gauge.lengths)

    def stitches(self) -> Mean:
        """Stitches per mm with both kinds of error."""
        return per_mm(self.gauge.slots / 2, self.gauge.flat_widths)


@dataclass(frozen=True, slots=True)
class SockLine:
    """A sock: how much yarn it took, in g, and what was said of it; of the notebook's its ``parts``, too."""

    session: str
    title: str
    began_ms: int
    zone_min: int
    status: str
    wearer: str
    mass_g: float | None
    planned_g: float | None
    verdict: str
    noted: str = ""
    parts: str = ""

    @property
    def when(self) -> str:
        """The day, and whether it is from the notebook."""
        return day_words(self.began_ms, self.zone_min, self.noted)


@dataclass(slots=True)
class AtDial:
    """Everything done with the dial at one position, in clicks below zero; None: the notebook does not tell."""

    dial: int | None
    bases: list[Base] = field(default_factory=list)
    tubes: list[TubeLine] = field(default_factory=list)
    socks: list[SockLine] = field(default_factory=list)


@dataclass(slots=True)
class OnCylinder:
    """Everything done on one cylinder, by dial position; ``machine_id`` is the machine it was on first."""

    cylinder: Cylinder
    machine_id: str
    clicks_per_turn: int
    dials: dict[int | None, AtDial] = field(default_factory=dict)

    def in_order(self) -> list[AtDial]:
        """The dial positions from the zero mark down, what is not known last."""
        return [self.dials[dial] for dial in sorted(self.dials, key=lambda dial: (dial is None, dial or 0))]


@dataclass(slots=True)
class YarnCard:
    """A yarn and what it did. ``unread``: sessions that cannot be read, a sentence each."""

    yarn: Yarn
    cylinders: list[OnCylinder] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)

    def tubes(self) -> list[tuple[OnCylinder, AtDial, TubeLine]]:
        """Every washed tube, oldest first."""
        every = [(c, d, tube) for c in self.cylinders for d in c.in_order() for tube in d.tubes]
        return sorted(every, key=lambda item: (item[2].began_ms, item[2].session))


@dataclass(frozen=True, slots=True)
class Holds:
    """The newest tube of a yarn on one cylinder and dial against the one before it."""

    before: TubeLine
    after: TubeLine
    rows: Difference
    stitches: Difference


def yarns_cranked(book: Logbook) -> list[Yarn]:
    """Every yarn that was ever cranked, the last used first, then those of the notebook; as the shelf has them now.

    Raises LogbookError.
    """
    rows = book.store.ask("SELECT yarn_id, max(began) FROM catalogue GROUP BY yarn_id ORDER BY 2 DESC, 1")
    shelf = {yarn.id: yarn for yarn in book.shelf(Yarn, retired=True)}
    used = dict.fromkeys([*(one for one, _ in rows), *(noted.yarn for noted in book.shelf(Noted))])
    return [shelf[one] for one in used if one in shelf]


def yarn_card(book: Logbook, yarn: Yarn, tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> YarnCard:
    """The card of one yarn; a session that cannot be read is named on it. Raises LogbookError.

    ``tape_error_mm`` is the half-width of the tape's error.
    """
    card = YarnCard(yarn)
    of_yarn = "SELECT s.id FROM catalogue c JOIN sessions s ON s.n = c.session WHERE c.yarn_id = ?"
    for (session_id,) in book.store.ask(f"{of_yarn} ORDER BY c.began, s.n", yarn.id):
        try:
            line = book.store.find(session_id)
            _add(card, book.record(line), book.state(line), tape_error_mm)
        except LogbookError as error:
            card.unread.append(f"{session_id}: {error}")
    _add_noted(card, book)
    return card


def still_holds(card: YarnCard) -> list[Holds]:
    """On each cylinder and dial with two washed tubes or more: the newest against the one before.

    Silent on tubes read once with a tape said to be perfect: they have no error to test against.
    """
    found = []
    for on in card.cylinders:
        for at in on.in_order():
            if len(at.tubes) >= 2 and at.dial is not None:
                before, after = sorted(at.tubes, key=lambda tube: (tube.began_ms, tube.session))[-2:]
                try:
                    rows, across = (
                        difference(before.rows(), after.rows()),
                        difference(before.stitches(), after.stitches()),
                    )
                except CraftError:
                    continue
                found.append(Holds(before, after, rows, across))
    return found


def _add(card: YarnCard, record: SessionRecord, state: State, tape_error_mm: float) -> None:
    """Put what a session found on the card."""
    if record.kind == "search":
        if state.baseline is not None:
            base = Base(record.id, record.started_ms, record.zone_min, state.status == "finished")
            _at(card, record, state.baseline).bases.append(base)
    elif record.kind == "tube":
        tube = _tube(record, state, tape_error_mm)
        if tube is not None:
            _at(card, record, state.dial).tubes.append(tube)
    else:
        planned = record.each_sock
        numbers = list(planned) or [0]  # a sock without a plan is one all the same
        _at(card, record, state.dial).socks += [_sock(record, state, one, planned.get(one)) for one in numbers]


def _at(card: YarnCard, record: SessionRecord, dial: int) -> AtDial:
    return _place(card, record.cylinder, record.machine, dial)


def _place(card: YarnCard, cylinder: Cylinder, machine: Machine, dial: int | None) -> AtDial:
    on = next((on for on in card.cylinders if on.cylinder.id == cylinder.id), None)
    if on is None:
        on = OnCylinder(cylinder, machine.id, machine.turn)
        card.cylinders.append(on)
    return on.dials.setdefault(dial, AtDial(dial))


def _add_noted(card: YarnCard, book: Logbook) -> None:
    """Put what the notebook has of the yarn on the card."""
    noted = [one for one in book.shelf(Noted) if one.yarn == card.yarn.id]
    if not noted:
        return
    gauges = {gauge.session: gauge for gauge in book.gauges() if gauge.noted}
    machines = {item.id: item for item in book.shelf(Machine, retired=True)}
    cylinders = {item.id: item for item in book.shelf(Cylinder, retired=True)}
    wearers = {item.id: item.name for item in book.shelf(Wearer, retired=True)}
    for one in sorted(noted, key=lambda one: one.at_ms):
        machine, cylinder = machines.get(one.machine), cylinders.get(one.cylinder)
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
    return TubeLine(one.id, one.name, one.at_ms, 0, known, None, None, on_foot, one.day, one.dial)


def _noted_sock(one: Noted, wearer: str) -> SockLine:
    title, told = f"Sock for {wearer}" if wearer else "Sock", (one.day, one.parts_typed)
    return SockLine(one.id, title, one.at_ms, 0, "finished", wearer, one.mass_g, None, one.worn, *told)


def _sock(record: SessionRecord, state: State, number: int, sock: StringSock | None) -> SockLine:
    """One sock, by its place in a string (0: it is none of one); ``sock`` is what was planned of it."""
    masses = state.values(id_in(number, "mass"))
    wearer = sock.wearer if sock else record.wearer
    grams = sock.plan.grams_per_pair if sock else None
    return SockLine(
        record.id,
        f"{record.title}, sock {number}" if number else record.title,
        record.started_ms,
        record.zone_min,
        state.status,
        wearer.name if wearer else "",
        masses[-1] if masses else None,
        grams / 2 if grams else None,
        worn_words(state, number),
    )


def _tube(record: SessionRecord, state: State, tape_error_mm: float) -> TubeLine | None:
    try:
        gauge = tube_gauge(state, tape_error_mm)
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
        )
    except CraftError:
        return None  # its readings cannot be a tube's: it has no gauge on any list


def per_mm(how_many: float, readings: Readings) -> Mean:
    """So many over a length in mm, with the shares of error of that length."""
    value = how_many / readings.mean
    n = len(readings.values_mm)
    spread = value * readings.spread / math.sqrt(n) / readings.mean
    return Mean(value, spread, n, value * readings.half_width_mm / math.sqrt(3) / readings.mean)
