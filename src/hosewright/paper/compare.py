"""Sessions side by side, what differs first and of that what concerns the fit; one against all others like it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.chance import Difference, Mean, difference, odds_words
from hosewright.craft.dial import show_position
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.units import PER_UNIT_MM, plus_minus, show_length, show_mass, show_number
from hosewright.logbook.find.sessions import LEAST_ALIKE, others_like
from hosewright.logbook.find.yarns import per_mm
from hosewright.logbook.records.planned import record_kind, record_name
from hosewright.phrases.harmless import in_cell, table
from hosewright.phrases.times import clock_time, span
from hosewright.session.kinds import STATUS_WORDS
from hosewright.session.results import choice, pieces_of, tube_gauge
from hosewright.session.steps import CountPasses, CountRows, in_working_yarn, sock_of
from hosewright.session.steps.tubes import plain_title
from hosewright.words.gauges import p_words
from hosewright.words.story import reading_names, tell

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.craft.gauge import Gauge
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.events import Entry
    from hosewright.words.story import Story

NOTHING = "-"
_EACH_ITS_OWN = {"Kind", "Begun", "Status", "For"}
# No sock of a string has its own.
_OF_A_SESSION = {"Corrections", "Pauses", "Separator after", "Separator after, a minute"}
_FIGURE = re.compile(r"(\d+(?:\.\d+)?)(?: (\d+)/(\d+))?")


@dataclass(frozen=True, slots=True)
class Compared:
    """One thing of every session, as words in their order."""

    what: str
    cells: tuple[str, ...]

    @property
    def differs(self) -> bool:
        return len(set(self.cells)) > 1


@dataclass(frozen=True, slots=True)
class Side:
    """A session with all its events told; of a string one ``sock`` by its place, 0 for the whole session."""

    record: SessionRecord
    story: Story
    tape_error_mm: float
    sock: int = 0

    @property
    def title(self) -> str:
        name = record_name(self.record, self.sock).capitalize()
        return f"{name} {self.sock}, {self.record.title}" if self.sock else self.record.title

    @property
    def was_cranked(self) -> bool:
        """False for a sock of a string that was never begun, or spoilt and not cranked again."""
        pieces = pieces_of(self.story.state) if self.sock else ()
        return not self.sock or any(one.number == self.sock and one.standing == "cranked" for one in pieces)

    def has(self, of: str) -> bool:
        """Whether a step or a reading, by its id, is of it."""
        return not self.sock or sock_of(of) == self.sock


@dataclass(frozen=True, slots=True)
class Comparison:
    """What stands above each column, every line with those that differ first, and what is to be said of it.

    Within both lots of lines what concerns the fit is first, and the pace last. ``notes``: the chance of what is said.
    """

    titles: tuple[str, ...]
    lines: tuple[Compared, ...]
    said: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def different(self) -> tuple[Compared, ...]:
        return tuple(line for line in self.lines if line.differs)


def side(
    record: SessionRecord, entries: Iterable[Entry], tape_error_mm: float = TAPE_HALF_WIDTH_MM, sock: int = 0
) -> Side:
    """A session, or one ``sock`` of a string, ready to be compared; ``tape_error_mm`` is half the tape's error."""
    return Side(record, tell(record.head, entries), tape_error_mm, sock)


def rest_of(book: Logbook, one: Side) -> tuple[list[Side], str]:
    """The others like it that were cranked, and what they are, in words. Raises LogbookError."""
    whose = None
    if one.sock:
        wearer = one.record.socks[one.sock - 1].wearer
        whose = (wearer.id, wearer.name) if wearer else ("", "")
    found, words = others_like(book.store, one.record.id, whose)
    rest = []
    for session, sock in found:
        line = book.store.find(session)
        rest.append(side(book.record(line), book.store.entries(line.n), one.tape_error_mm, sock))
    return [other for other in rest if other.was_cranked], words


def compare(*sides: Side, unit: str = "in") -> Comparison:
    """Everything the sessions say, two or more, in a line each; lengths in ``unit``."""
    told = [_facts(one, unit) for one in sides]
    lines = [Compared(name, tuple(facts.get(name, NOTHING) for facts in told)) for name in _in_order(told)]
    ordered = sorted(lines, key=lambda line: not line.differs)  # sorting keeps the order within each
    titles = tuple(one.title for one in sides)
    found = [_gauges(sides[0], other, unit, f" of {other.title}" * (len(sides) > 2)) for other in sides[1:]]
    said, notes = (tuple(one for pair in found for one in pair[at]) for at in (0, 1))
    return Comparison(titles, tuple(ordered), said, notes)


def _in_order(told: Sequence[dict[str, str]]) -> list[str]:
    """The names of all facts, each where the session has it in which it stands first."""
    places: dict[str, int] = {}
    for facts in told:
        for at, name in enumerate(facts):
            places[name] = min(at, places.get(name, at))
    return sorted(places, key=lambda name: places[name])


def against(one: Side, rest: Sequence[Side], others: str, unit: str = "in") -> Comparison:
    """What was different about one session: where most of the ``rest`` are alike and it is not, or where its figure
    is outside all of theirs.

    ``others``: who the rest are, such as "socks for Coxswain". Lengths in ``unit``.
    """
    facts, told = _facts(one, unit), [_facts(other, unit) for other in rest]
    out = _EACH_ITS_OWN | (_OF_A_SESSION if any(side.sock for side in (one, *rest)) else set())
    looked_at = [name for name in _in_order([facts, *told]) if name not in out]
    beside = {
        name: _beside(facts.get(name, NOTHING), [other.get(name, NOTHING) for other in told]) for name in looked_at
    }
    lines = tuple(Compared(name, (facts.get(name, NOTHING), said)) for name, said in beside.items() if said)
    many_others = f"{len(rest)} other {others}"
    said = f"Nothing was different about it, beside {many_others}."
    if lines:
        said = f"What was different about it, beside {many_others}; what concerns the fit first."
    by_chance = "Chance: with so few others, all of this may be chance."
    if len(rest) >= LEAST_ALIKE:
        about = 2 * len(looked_at) / (len(rest) + 1)
        by_chance = (
            f"Chance: {len(looked_at)} things were looked at. Were it one like the others, it would still be the "
            f"highest or the lowest of all in up to {about:.0f} of them."
        )
    return Comparison((one.title, many_others), lines, (said,), (by_chance,) if lines else ())


def _beside(here: str, others: Sequence[str]) -> str:
    """The others in words where ``here`` stands out from them; else empty."""
    ((common, count),) = Counter(others).most_common(1)
    if 2 * count > len(others):
        return "" if here == common else f"{common} ({count} of {len(others)})"
    figures = sorted((figure, words) for words in others if (figure := _figure_in(words)) is not None)
    figure = _figure_in(here)
    if figure is None or not figures or figures[0][0] <= figure <= figures[-1][0]:
        return ""
    return f"{figures[0][1]} to {figures[-1][1]}"


def _figure_in(words: str) -> float | None:
    """The figure that ``words`` begin with: 6.5 of "6 1/2 in"."""
    found = _FIGURE.match(words)
    return None if found is None else float(found[1]) + (int(found[2]) / int(found[3]) if found[2] else 0.0)


def comparison_page(found: Comparison) -> str:
    """A comparison as Markdown, chance in the footnotes."""
    lines = ["# Sessions side by side", "", *(f"- {one}" for one in found.said), *([""] if found.said else [])]
    for heading, rows in (
        ("What differs", found.different),
        ("What is the same", [line for line in found.lines if not line.differs]),
    ):
        if rows:
            cells = [tuple(in_cell(cell) for cell in (row.what, *row.cells)) for row in rows]
            lines += [f"## {heading}", "", *table(("", *map(in_cell, found.titles)), cells)]
    return "\n".join([*lines, *(f"{note}  " for note in found.notes)]).rstrip() + "\n"


def _facts(one: Side, unit: str) -> dict[str, str]:
    record, state = one.record, one.story.state
    turn = record.machine.turn
    rows, paces = _cranked(one)
    steps, socks = state.head.steps, record.each_sock
    wearer = socks[one.sock].wearer if one.sock in socks else record.wearer
    seen = [noted for noted in state.observations if not noted.struck and one.has(steps[noted.step].id)]
    facts = rows | _measured(one, unit)
    facts |= {
        "Dial at the end": show_position(state.dial, turn),
        "Dial at the start": show_position(record.dial, turn),
    }
    if state.baseline is not None:
        facts["Stitch size"] = show_position(state.baseline, turn)
    return facts | {
        "Yarn": record.yarn.name,
        "Yarn, m per 100 g": show_number(record.yarn.m_per_100g, 4) if record.yarn.m_per_100g else NOTHING,
        "Dye lot": record.dye_lot or NOTHING,
        "Cylinder": record.cylinder.name,
        "Slots": str(record.cylinder.slots),
        "Machine": record.machine.name,
        "Weights": record.given.weights or NOTHING,
        "Yarn-mast tension": record.given.mast_tension or NOTHING,
        "For": wearer.name if wearer else NOTHING,
        "Kind": record_kind(record, one.sock),
        "Status": STATUS_WORDS[state.status],
        "Begun": clock_time(record.started_ms, record.zone_min),
        "Observations": str(len(seen)),
        "Needles named": ", ".join(str(n) for n in sorted({s.needle for s in seen if s.needle})) or NOTHING,
        "Corrections": str(len(one.story.corrections) + sum(one.story.taken_back.values())),
        "Pauses": _pauses(one.story),
        **paces,
    }


def _cranked(one: Side) -> tuple[dict[str, str], dict[str, str]]:
    """The rows of each part, those in working yarn first, and how fast each was."""
    working: dict[str, str] = {}
    separators: dict[str, str] = {}
    paces: dict[str, str] = {}
    story = one.story
    for index, step in enumerate(story.state.head.steps):
        if isinstance(step, CountRows | CountPasses) and one.has(step.id):
            title = plain_title(step.title)
            told = working if in_working_yarn(step) else separators
            told[title] = f"{story.state.counts[index]} of {step.target} {step.kind}"
            pace = story.paces[index].per_minute if index in story.paces else None
            if pace is not None:
                paces[f"{title}, a minute"] = f"{pace:.0f}" if pace >= 10 else f"{pace:.1f}"
    return working, separators | paces


def _measured(one: Side, unit: str) -> dict[str, str]:
    state = one.story.state
    facts = {}
    names = reading_names(state.head)
    for item in state.head.fields:
        values = state.values(item.id)
        if not values or not one.has(item.id):
            continue
        name = plain_title(names[item.id])
        if item.quantity == "choice":
            facts[name] = choice(state, item.id) or NOTHING
        elif item.quantity == "mass":
            facts[name] = show_mass(values[-1])
        else:
            facts[name] = show_length(sum(values) / len(values), unit)
    gauge = _gauge(one)
    if gauge is not None:
        for name, mean in _rates(gauge).items():
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


def _rates(gauge: Gauge) -> dict[str, Mean]:
    return {"Rows": per_mm(gauge.rows, gauge.lengths), "Stitches": per_mm(gauge.slots / 2, gauge.flat_widths)}


def _gauges(first: Side, second: Side, unit: str, whose: str) -> tuple[list[str], list[str]]:
    """Whether two tubes' gauges differ by more than measuring does, and the tests of it."""
    one, other = _gauge(first), _gauge(second)
    if one is None or other is None:
        return [], []
    said, notes = [], []
    for what, mean in _rates(one).items():
        try:
            found = difference(mean, _rates(other)[what])
        except CraftError:
            said.append(
                f"{what}{whose}: read with no error at all, so there is nothing to test the difference against."
            )
        else:
            said.append(f"{what}{whose}: {difference_words(found, unit)}")
            notes.append(f"{what}{whose}: {chance_words(found)}")
    return said, notes


def difference_words(found: Difference, unit: str = "in") -> str:
    """A difference per mm in words: "0.1 ± 0.1 more per in, no more than measuring explains."."""
    per = PER_UNIT_MM[unit]
    amount = plus_minus(abs(found.value) * per, found.error * per, 2)
    way = "more" if found.value >= 0 else "fewer"
    verdict = "more" if found.more_than_measuring else "no more"
    return f"{amount} {way} per {unit}, {verdict} than measuring explains."


def chance_words(found: Difference) -> str:
    """The test behind it, and its chance."""
    freedom = "" if found.test == "z test" else f" with {found.freedom:.3g} degrees of freedom"
    sign = "z" if found.test == "z test" else "t"
    chance = f"; by measuring alone {odds_words(found.odds)} would differ so much" if found.more_than_measuring else ""
    return f"{found.test}, {sign} = {found.statistic:.2f}{freedom}, {p_words(found.odds)}{chance}."
