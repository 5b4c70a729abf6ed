"""What the bench shows in one glance: what is on the machine, what dries, what is unfinished, and what to do next.

It reads what is noted of each session in the same commit as its event (``projections``), by SQL into tuples: the first
frame needs neither the engine nor the records.
"""

from __future__ import annotations

import json
from itertools import islice
from types import GenericAlias
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from hosewright import __version__
from hosewright.logbook.file.errors import LogbookError, unreadable
from hosewright.phrases.days import NO_DAY, plain_day
from hosewright.phrases.lists import listed

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import UnionType

    from hosewright.logbook.file.store import Store
    from hosewright.session.results import Where

_MAYBE = str | None
LATELY = 60  # sessions and gauges looked through for what to do next
MOST_NEXT = 6
MOST_REPEATED = 3  # unfinished sessions named again under what to do next
Doing = Literal["shelf", "search", "tube", "plan", "sock", "open"]


class Unfinished(NamedTuple):
    """An unfinished session: where its work is, and what the hands do next.

    ``since_ms``: since when it dries, or when it was last touched. ``machine`` is that machine's name.
    """

    id: str
    title: str
    machine: str
    where: Where
    hands: str
    since_ms: int
    paused: bool
    kind: str


class Suggestion(NamedTuple):
    """Something to do next; ``session`` when it is to go on with one, ``chosen`` the ids of what it is done with."""

    doing: Doing
    words: str
    session: str = ""
    chosen: tuple[tuple[str, str], ...] = ()


class Glance(NamedTuple):
    """All of it."""

    standing: tuple[Unfinished, ...]
    next: tuple[Suggestion, ...]

    def at(self, where: Where) -> tuple[Unfinished, ...]:
        return tuple(item for item in self.standing if item.where == where)


class _Session(NamedTuple):
    """A session, what of its start is needed here, and where it stands."""

    n: int
    id: str
    kind: str
    title: str
    status: str
    started_ms: int
    machine: str
    machine_name: str
    yarn: str
    yarn_name: str
    cylinder: str
    cylinder_name: str
    plan: str | None
    gauge_session: str | None
    twin_of: str | None
    promise: str | None
    tried_on: str | None
    place: Where
    hands: str
    since_ms: int
    paused: int
    found: str

    @property
    def yarn_and_cylinder(self) -> tuple[str, str]:
        return self.yarn, self.cylinder

    @property
    def begun(self) -> tuple[int, int]:
        return self.started_ms, self.n


# The catalogue has names and ids as they are now. A start that lacks one has none of them, which is then said of it.
_SESSIONS = """
    SELECT s.n, s.id, s.kind, s.title, s.status, s.started_ms,
        machine_id, machine, yarn_id, yarn, cylinder_id, cylinder,
        json_extract(record, '$.plan.id'), json_extract(record, '$.plan.gauge_session'), twin_of,
        json_extract(record, '$.promise'), verdict, place, hands, since_ms, paused, found
    FROM (SELECT n, id, kind, title, status, started_ms, changed_ms,
        CASE WHEN json_valid(record) THEN record END AS record FROM sessions {}) AS s
    LEFT JOIN catalogue ON catalogue.session = s.n AND json_type(record, '$.machine.id') = 'text'
        AND json_type(record, '$.yarn.id') = 'text' AND json_type(record, '$.cylinder.id') = 'text'
    LEFT JOIN standing ON standing.session = s.n AND made_by = ? AND typeof(hands) = 'text' AND typeof(found) = 'text'
        AND typeof(since_ms) = 'integer' AND place IN ('on the machine', 'drying', 'off the machine')
        AND seq = (SELECT max(seq) FROM events WHERE events.session = s.n)
    ORDER BY changed_ms DESC, n DESC"""
_NEWEST = "WHERE status <> 'aside' ORDER BY changed_ms DESC, n DESC LIMIT ?"
_UNFINISHED = "WHERE status IN ('open', 'waiting')"
_SOCKS_OF_STRINGS = """
    SELECT n, json_extract(value, '$.plan.id'), json_extract(value, '$.promise')
    FROM sessions, json_each(CASE WHEN json_valid(record) THEN record ELSE json_object() END, '$.socks')
    WHERE kind = 'string' AND n IN (SELECT n FROM sessions ORDER BY changed_ms DESC, n DESC LIMIT ?)"""
_GAUGES = """
    SELECT gauges.yarn, gauges.cylinder, sessions.id FROM gauges JOIN sessions ON n = session
    ORDER BY at_ms DESC, session DESC LIMIT ?"""


def look(store: Store) -> Glance:
    """Read the logbook. Raises LogbookError when it cannot be read."""
    unfinished = tuple(
        Unfinished(one.id, one.title, one.machine_name, one.place, one.hands, one.since_ms, bool(one.paused), one.kind)
        for one in _sessions(store, _UNFINISHED)
    )
    return Glance(unfinished, tuple(_next(store, Glance(unfinished, ()))))


def hands_of(store: Store, session_id: str) -> str:
    """What the hands do next in a session. Raises LogbookError."""
    return "".join(one.hands for one in _sessions(store, "WHERE id = ?", session_id))


def on_machine(store: Store, machine_id: str) -> str:
    """A question to ask before another session starts on a machine that has work on it; empty when it has none.

    Raises LogbookError.
    """
    here = [one for one in _sessions(store, "WHERE status = 'open'") if one.machine == machine_id]
    found = [f"{one.title} ({one.hands})" for one in here if one.place == "on the machine"]
    if not found:
        return ""
    if len(found) == 1:
        return f"{found[0]} is on this machine already. Start another beside it?"
    others = "another" if len(found) == 2 else f"{len(found) - 1} others"
    return f"{found[0]} and {others} are on this machine already. Start one more beside them?"


def next_open(store: Store, session_id: str) -> str | None:
    """The open session begun next after this one, the first after the last; None when no other is open.

    In the order they were begun, which stays, so that going on and on comes past every one. Raises LogbookError.
    """
    others = [line for line in store.lines("open", "waiting") if line.id != session_id]
    others.sort(key=lambda line: (line.started_ms, line.n))
    here = store.line(session_id)
    later = [line for line in others if here is not None and (line.started_ms, line.n) > (here.started_ms, here.n)]
    return next((line.id for line in (*later, *others)), None)


def _sessions(store: Store, which: str, *values: object) -> list[_Session]:
    """The sessions, the last changed first. Raises LogbookError for one whose start lacks what is needed."""
    found = [_Session(*row) for row in store.ask(_SESSIONS.format(which), *values, __version__)]
    for one in found:
        if not all(one[_Session._fields.index("machine") : _Session._fields.index("plan")]):
            raise LogbookError(f"The start of session {one.id} cannot be read.")
    lacking = {one.n: one.id for one in found if one.place is None}
    if not lacking:
        return found
    # Another version left it, or another way of storing events: only then is the engine needed.
    from hosewright.logbook.projections import work_out_standing

    worked_out = {n: standing._asdict() for n, standing in work_out_standing(store, lacking.items()).items()}
    fields = _Session._fields
    return [
        one._replace(**{name: said for name, said in worked_out.get(one.n, {}).items() if name in fields})
        for one in found
    ]


def told_of(store: Store, kind: str, *, retired: bool = False, **needed: type | UnionType) -> list[dict[str, Any]]:
    """What is in use of a kind as plain JSON (with ``retired``, all of it), in order of first coming.

    Raises LogbookError where anything is not as ``needed``: a type, or such as ``list[int]``, by its name.
    """
    needed["retired"] = bool
    found = []
    for text in store.shelf_texts(kind):
        try:
            told = json.loads(text)
        except (TypeError, ValueError) as error:
            raise unreadable(kind) from error
        sound = isinstance(told, dict) and all(name in told and _is(told[name], needed[name]) for name in needed)
        if not sound:
            raise unreadable(kind)
        if retired or not told["retired"]:
            found.append(told)
    return found


def _is(value: object, kind: type | UnionType) -> bool:
    """Whether a stored value is of a type, or, for such as ``list[int]``, a list of nothing else."""
    if isinstance(kind, GenericAlias):
        return isinstance(value, list) and all(type(one) in kind.__args__ for one in value)
    return isinstance(value, kind)


def _next(store: Store, standing: Glance) -> list[Suggestion]:
    kinds = {"a machine": "machine", "a cylinder": "cylinder", "a yarn": "yarn"}
    missing = [word for word, kind in kinds.items() if not told_of(store, kind, id=str, name=str)]
    if missing:
        words = listed(missing)
        return [Suggestion("shelf", f"Put {words} on the shelf")]
    ahead = [Suggestion("open", f"{one.title}: go on with it", one.id) for one in standing.at("on the machine")]
    ahead += [Suggestion("open", f"{one.title}: measure it if it is dry", one.id) for one in standing.at("drying")]
    ahead += [Suggestion("open", f"{one.title}: {one.hands}", one.id) for one in standing.at("off the machine")]
    # They all stand above already: however many there are, what else there is to do is not pushed out.
    del ahead[MOST_REPEATED:]
    ahead += islice(_unfollowed(store), MOST_NEXT - len(ahead))
    return ahead or [Suggestion("search", "Find the stitch size for a yarn")]


def _unfollowed(store: Store) -> Iterator[Suggestion]:
    """What the last finished sessions lead to and nobody has taken up: a tube, a plan, a sock, its twin, a try-on."""
    lately = _sessions(store, _NEWEST, LATELY)
    in_strings = store.ask(_SOCKS_OF_STRINGS, LATELY)
    tubes = {one.yarn_and_cylinder for one in lately if one.kind == "tube" and one.status != "abandoned"}
    socks = [one for one in lately if one.kind == "sock" and one.status != "abandoned"]
    plans = {one["id"]: one for one in told_of(store, "plan", id=str, name=str, yarn=str, cylinder=str)}
    yarns: dict[str, str] = {one["id"]: one["name"] for one in told_of(store, "yarn", id=str, name=str)}
    for one in lately:
        if one.kind == "search" and one.status == "finished" and one.yarn_and_cylinder not in tubes:
            tubes.add(one.yarn_and_cylinder)
            things = (("machine", one.machine), ("cylinder", one.cylinder), ("yarn", one.yarn))
            words = f"{one.yarn_name} on {one.cylinder_name}: crank a gauge tube{one.found}"
            yield Suggestion("tube", words, chosen=things)
    planned = {(plan["yarn"], plan["cylinder"]) for plan in plans.values()}
    for yarn, cylinder, session in store.ask(_GAUGES, LATELY):
        if (yarn, cylinder) not in planned and yarn in yarns:
            planned.add((yarn, cylinder))
            yield Suggestion("plan", f"{yarns[yarn]}: its gauge is known, plan a sock", chosen=(("gauge", session),))
    promises = told_of(store, "promise", retired=True, id=str, name=str, plan=_MAYBE, by=_MAYBE, handed_over=_MAYBE)
    standing = (one for one in promises if one["plan"] and not (one["handed_over"] or one["retired"]))
    promised = sorted(standing, key=lambda one: one["by"] or NO_DAY)
    due = {one["plan"]: one["by"] for one in reversed(promised) if one["by"]}
    begun = {one.plan for one in lately if one.kind == "sock" and one.plan} | {plan for _, plan, _ in in_strings}
    for plan in sorted(plans, key=lambda plan: due.get(plan, NO_DAY)):
        if plan not in begun:
            words = f"Plan {plans[plan]['name']}: crank it{_promised_by(due.get(plan))}"
            yield Suggestion("sock", words, chosen=(("plan", plan),))
    twinned = {one.twin_of for one in socks}
    for one in socks:
        if one.status in ("finished", "waiting") and not one.twin_of and one.id not in twinned:
            chosen = (("plan", one.plan),) if one.plan else ()
            yield Suggestion("sock", f"{one.title}: crank its twin{one.found}", chosen=chosen)
    kept_for = {one.promise for one in lately if one.status != "abandoned"}
    given_up = {one.n for one in lately if one.status == "abandoned"}
    kept_for |= {promise for n, _, promise in in_strings if n not in given_up}
    for pair in promised:  # on plans that were cranked before
        if pair["plan"] in begun and pair["plan"] in plans and pair["id"] not in kept_for:
            both = (("plan", pair["plan"]), ("promise", pair["id"]))
            yield Suggestion("sock", f"{pair['name']}: crank it{_promised_by(pair['by'])}", chosen=both)
    yield from _to_try_on(socks, {one["id"] for one in promises if one["handed_over"]})
    ahead = [plans[one] for one in plans.keys() - begun]
    yield from _another(socks, {(plan["yarn"], plan["cylinder"]) for plan in ahead}, yarns)


def _another(socks: list[_Session], planned: set[tuple[str, str]], yarns: dict[str, str]) -> Iterator[Suggestion]:
    """The next sock from a gauge that a finished pair has proven, where none is ``planned`` in its yarn already."""
    said = set(planned)
    for one in socks:
        if one.status == "finished" and one.twin_of and one.yarn_and_cylinder not in said and one.yarn in yarns:
            said.add(one.yarn_and_cylinder)
            words = f"{yarns[one.yarn]}: a pair has proven its gauge, plan the next sock"
            yield Suggestion("plan", words, chosen=(("gauge", one.gauge_session),) if one.gauge_session else ())


def _to_try_on(socks: list[_Session], handed_over: set[str]) -> Iterator[Suggestion]:
    """Finished ``socks`` whose try-on was gone past without a word, one a pair: its twin, once that is begun.

    ``handed_over`` are the promises whose socks are no longer here.
    """
    pairs: dict[str, list[_Session]] = {}
    for one in socks:
        pairs.setdefault(one.twin_of or one.id, []).append(one)
    for pair in pairs.values():
        last = max(pair, key=lambda sock: (bool(sock.twin_of), sock.begun))
        gone = any(sock.promise in handed_over for sock in pair)
        if last.status == "finished" and not gone and not last.tried_on:
            yield Suggestion("open", f"{last.title}: try it on", last.id)


def _promised_by(day: str | None) -> str:
    return f" (promised by {plain_day(day)})" if day else ""
