"""Two sessions side by side, what differs first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.chance import Difference, Mean, difference, odds_words
from hosewright.craft.dial import show_position
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.units import PER_UNIT_MM, plus_minus, show_length, show_mass, show_number
from hosewright.logbook.find.yarns import per_mm
from hosewright.phrases.harmless import in_cell, table
from hosewright.phrases.times import clock_time, span
from hosewright.session.kinds import STATUS_WORDS, kind_of
from hosewright.session.results import choice, tube_gauge
from hosewright.session.steps import CountPasses, CountRows
from hosewright.words.findings import fields_of, reading_names
from hosewright.words.gauges import p_words
from hosewright.words.story import tell

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.craft.gauge import Gauge
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.events import Entry
    from hosewright.words.story import Story

NOTHING = "-"


@dataclass(frozen=True, slots=True)
class Compared:
    """One thing of both sessions, as words."""

    what: str
    first: str
    second: str

    @property
    def differs(self) -> bool:
        return self.first != self.second


@dataclass(frozen=True, slots=True)
class Side:
    """A session with all its events told."""

    record: SessionRecord
    story: Story
    tape_error_mm: float


@dataclass(frozen=True, slots=True)
class Comparison:
    """Both sessions' titles, every line with those that differ first, and what is to be said of the gauges."""

    first: str
    second: str
    lines: tuple[Compared, ...]
    said: tuple[str, ...]

    @property
    def different(self) -> tuple[Compared, ...]:
        return tuple(line for line in self.lines if line.differs)


def side(record: SessionRecord, entries: Iterable[Entry], tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> Side:
    """A session ready to be compared; ``tape_error_mm`` is the half-width of the tape's error."""
    return Side(record, tell(record.head, entries), tape_error_mm)


def compare(first: Side, second: Side, unit: str = "in") -> Comparison:
    """Everything the two sessions say, in a line each; lengths in ``unit``."""
    both = [_facts(one, unit) for one in (first, second)]
    names = list(dict.fromkeys(name for facts in both for name in facts))
    lines = [Compared(name, both[0].get(name, NOTHING), both[1].get(name, NOTHING)) for name in names]
    ordered = sorted(lines, key=lambda line: not line.differs)  # sorting keeps the order within each
    return Comparison(first.record.title, second.record.title, tuple(ordered), tuple(_gauges(first, second, unit)))


def comparison_page(found: Comparison) -> str:
    """A comparison as Markdown."""
    lines = ["# Two sessions side by side", "", *(f"- {one}" for one in found.said), *([""] if found.said else [])]
    for heading, rows in (
        ("What differs", found.different),
        ("What is the same", [line for line in found.lines if not line.differs]),
    ):
        if rows:
            cells = [tuple(in_cell(cell) for cell in (row.what, row.first, row.second)) for row in rows]
            lines += [f"## {heading}", "", *table(("", in_cell(found.first), in_cell(found.second)), cells)]
    return "\n".join(lines).rstrip() + "\n"


def _facts(one: Side, unit: str) -> dict[str, str]:
    record, state = one.record, one.story.state
    turn = record.machine.turn
    facts = {
        "Kind": kind_of(record),
        "Begun": clock_time(record.started_ms, record.zone_min),
        "Status": STATUS_WORDS[state.status],
        "Machine": record.machine.name,
        "Cylinder": record.cylinder.name,
        "Slots": str(record.cylinder.slots),
        "Yarn": record.yarn.name,
        "Yarn, m per 100 g": show_number(record.yarn.m_per_100g, 4) if record.yarn.m_per_100g else NOTHING,
        "For": record.wearer.name if record.wearer else NOTHING,
        "Dial at the start": show_position(record.dial, turn),
        "Dial at the end": show_position(state.dial, turn),
    }
    if state.baseline is not None:
        facts["Stitch size"] = show_position(state.baseline, turn)
    facts |= _cranked(one.story)
    facts |= _measured(one, unit)
    seen = [observation for observation in state.observations if not observation.struck]
    facts["Observations"] = str(len(seen))
    facts["Needles named"] = ", ".join(str(n) for n in sorted({s.needle for s in seen if s.needle})) or NOTHING
    facts["Corrections"] = str(len(one.story.corrections) + sum(one.story.taken_back.values()))
    facts["Pauses"] = _pauses(one.story)
    return facts


def _cranked(story: Story) -> dict[str, str]:
    facts = {}
    for index, step in enumerate(story.state.head.steps):
        if isinstance(step, CountRows | CountPasses):
            facts[step.title] = f"{story.state.counts[index]} of {step.target} {step.kind}"
            pace = story.paces[index].per_minute if index in story.paces else None
            if pace is not None:
                facts[f"{step.title}, a minute"] = f"{pace:.0f}" if pace >= 10 else f"{pace:.1f}"
    return facts


def _measured(one: Side, unit: str) -> dict[str, str]:
    state = one.story.state
    facts = {}
    names = reading_names(state.head)
    for item in fields_of(state.head):
        values = state.values(item.id)
        if not values:
            continue
        if item.quantity == "choice":
            facts[names[item.id]] = choice(state, item.id) or NOTHING
        elif item.quantity == "mass":
            facts[names[item.id]] = show_mass(values[-1])
        else:
            facts[names[item.id]] = show_length(sum(values) / len(values), unit)
    gauge = _gauge(one)
    if gauge is not None:
        for name, mean in (("Rows", per_mm(gauge.rows, gauge.lengths)), ("Stitches", _stitches(gauge))):
            per = PER_UNIT_MM[unit]
            facts[f"{name} per {unit}"] = plus_minus(mean.value * per, mean.error * per, 2)
    return facts


def _pauses(story: Story) -> str:
    known = [pause.ms for pause in story.pauses if pause.ms is not None]
    return f"{len(story.pauses)}, {span(sum(known))} in all" if story.pauses else "none"


def _gauge(one: Side) -> Gauge | None:
    try:
        return tube_gauge(one.story.state, one.tape_error_mm)
    except CraftError:
        return None


def _stitches(gauge: Gauge) -> Mean:
    return per_mm(gauge.slots / 2, gauge.flat_widths)


def _gauges(first: Side, second: Side, unit: str) -> list[str]:
    """Whether two tubes' gauges differ by more than measuring does."""
    gauges = [_gauge(one) for one in (first, second)]
    if gauges[0] is None or gauges[1] is None:
        return []
    a, b = gauges[0], gauges[1]
    said = []
    for what, one, other in (
        ("Rows", per_mm(a.rows, a.lengths), per_mm(b.rows, b.lengths)),
        ("Stitches", _stitches(a), _stitches(b)),
    ):
        try:
            said.append(f"{what}: {difference_words(difference(one, other), unit)}")
        except CraftError:
            said.append(f"{what}: read with no error at all, so there is nothing to test the difference against.")
    return said


def difference_words(found: Difference, unit: str = "in") -> str:
    """A difference per mm in words, with its test named: "0.1 ± 0.1 per in more (...)"."""
    per = PER_UNIT_MM[unit]
    amount = plus_minus(abs(found.value) * per, found.error * per, 2)
    way = "more" if found.value >= 0 else "fewer"
    freedom = "" if found.test == "z test" else f" with {found.freedom:.3g} degrees of freedom"
    sign = "z" if found.test == "z test" else "t"
    test = f"{found.test}, {sign} = {found.statistic:.2f}{freedom}, {p_words(found.odds)}"
    if found.more_than_measuring:
        verdict = f"more than measuring explains: by measuring alone {odds_words(found.odds)} would differ so much"
    else:
        verdict = "no more than measuring explains"
    return f"{amount} {way} per {unit}, {verdict} ({test})."
