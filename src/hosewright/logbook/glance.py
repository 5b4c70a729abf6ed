"""The whole bench in one glance: what is on the machine, what dries, what is unfinished, and what to do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.dial import show_position
from hosewright.logbook.records import Cylinder, Machine, Plan, Yarn
from hosewright.session.steps import Measure, Wait
from hosewright.session.words import hands

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records import SessionRecord
    from hosewright.session.state import State

Where = Literal["machine", "drying", "off"]
Doing = Literal["shelf", "search", "tube", "plan", "sock", "open"]


@dataclass(frozen=True, slots=True)
class Standing:
    """An unfinished session: where its work is, and what the hands do next."""

    id: str
    title: str
    where: Where
    hands: str
    since_ms: int
    paused: bool


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Something to do next; ``session`` when it is to go on with one."""

    doing: Doing
    words: str
    session: str = ""


@dataclass(frozen=True, slots=True)
class Glance:
    """All of it."""

    standing: tuple[Standing, ...]
    next: tuple[Suggestion, ...]

    def at(self, where: Where) -> tuple[Standing, ...]:
        """The sessions whose work is there."""
        return tuple(item for item in self.standing if item.where == where)


def look(book: Logbook) -> Glance:
    """Read the logbook. Raises LogbookError when it cannot be read."""
    standing = []
    for line in book.lines("open", "waiting"):
        record = book.record(line)
        state = book.state(line)
        standing.append(Standing(line.id, record.title, _where(state), hands(state), state.since_ms, state.paused))
    return Glance(tuple(standing), tuple(_next(book, standing)))


def _where(state: State) -> Where:
    if isinstance(state.step, Wait):
        return "drying"
    off = next((i for i, step in enumerate(state.head.steps) if step.id == "take-off"), None)
    return "off" if isinstance(state.step, Measure) or (off is not None and state.index > off) else "machine"


def _next(book: Logbook, standing: list[Standing]) -> list[Suggestion]:
    have = {"a machine": book.shelf(Machine), "a cylinder": book.shelf(Cylinder), "a yarn": book.shelf(Yarn)}
    missing = [word for word, found in have.items() if not found]
    if missing:
        words = " and ".join([", ".join(missing[:-1]), missing[-1]] if len(missing) > 1 else missing)
        return [Suggestion("shelf", f"Put {words} on the shelf")]
    ahead = [
        Suggestion("open", f"{item.title}: measure it if it is dry", item.id)
        for item in standing
        if item.where == "drying"
    ]
    ahead += [Suggestion("open", f"{item.title}: {item.hands}", item.id) for item in standing if item.where == "off"]
    ahead += _unfollowed(book)
    return ahead[:6] or [Suggestion("search", "Find the stitch size for a yarn")]


def _unfollowed(book: Logbook) -> list[Suggestion]:
    """What the last finished sessions lead to and nobody has taken up yet: a tube, a plan, a sock, its twin."""
    records = [(line, book.record(line)) for line in book.lines()[:60]]
    tubes = {(r.yarn.id, r.cylinder.id) for line, r in records if r.kind == "tube" and line.status != "abandoned"}
    socks = [(line, r) for line, r in records if r.kind == "sock" and line.status != "abandoned"]
    plans = book.shelf(Plan)
    found = []
    for line, record in records:
        if record.kind == "search" and line.status == "finished" and (record.yarn.id, record.cylinder.id) not in tubes:
            tubes.add((record.yarn.id, record.cylinder.id))
            where = _baseline_words(book, record, line.id)
            found.append(Suggestion("tube", f"{record.yarn.name} on {record.cylinder.name}: crank a gauge tube{where}"))
    planned = {(plan.yarn, plan.cylinder) for plan in plans}
    for gauge in book.gauges():
        if (gauge.yarn, gauge.cylinder) not in planned:
            planned.add((gauge.yarn, gauge.cylinder))
            yarn = book.get(Yarn, gauge.yarn)
            found.append(Suggestion("plan", f"{yarn.name if yarn else gauge.yarn}: its gauge is known, plan a sock"))
    cranked = {r.plan.id for _, r in socks if r.plan}
    found += [Suggestion("sock", f"{plan.name}: crank it") for plan in plans if plan.id not in cranked]
    twinned = {r.twin_of for _, r in socks if r.twin_of}
    found += [
        Suggestion("sock", f"{record.title}: crank its twin")
        for line, record in socks
        if line.status in ("finished", "waiting") and not record.twin_of and record.id not in twinned
    ]
    return found


def _baseline_words(book: Logbook, record: SessionRecord, session_id: str) -> str:
    state = book.state(book.store.find(session_id))
    if state.baseline is None:
        return ""
    return f" at {show_position(state.baseline, record.machine.clicks_per_turn)}"
