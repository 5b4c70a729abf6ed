"""Working out the glance: what is on the machine, what dries, what is unfinished, and what to do next."""

from __future__ import annotations

import json
from contextlib import suppress
from itertools import islice
from typing import TYPE_CHECKING, Any, get_args

from hosewright.craft.dial import show_position
from hosewright.logbook.file.faults import unreadable
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.glance import LATELY, Glance, Suggestion, Unfinished, keep, kept, mark_of
from hosewright.logbook.records.plain import head_of, start_of
from hosewright.logbook.typed import has
from hosewright.session.fold import fold
from hosewright.session.results import Where, choice, where_work_is
from hosewright.session.words import hands

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import UnionType

    from hosewright.logbook.file.store import SessionLine, Store
    from hosewright.session.state import State

MOST_NEXT = 6
MOST_REPEATED = 3  # unfinished sessions named again under what to do next
_NO_DAY = "9999"  # sorts behind every day as ISO 8601 writes it
_ON_SHELF: dict[str, type | UnionType] = {"id": str, "name": str, "retired": bool}
# What is read here of the things kept.
_OF_GAUGE: dict[str, type | UnionType] = {"yarn": str, "cylinder": str}
_NEEDED = {"machine": _ON_SHELF, "cylinder": _ON_SHELF, "yarn": _ON_SHELF, "plan": _ON_SHELF | _OF_GAUGE}
_NEEDED |= {"promise": _ON_SHELF | dict.fromkeys(("plan", "by", "handed_over"), str | None)}
_NEEDED["gauge"] = _OF_GAUGE | {"session": str}
_TRIED_ON = ("fit", "fit-length")


def look(store: Store) -> Glance:
    """Read the logbook. Raises LogbookError when it cannot be read."""
    standing = []
    for line in store.lines("open", "waiting"):
        start = _start(store, line)
        state = _folded(store, line, start)
        where = where_work_is(state)
        since = state.since_ms if where == "drying" else state.last_ms
        _, machine = _machine(line, start)
        standing.append(Unfinished(line.id, line.title, machine, where, hands(state), since, state.paused))
    return Glance(tuple(standing), tuple(_next(store, standing)))


def keep_for_next_start(store: Store) -> None:
    """Keep the glance, where anything was stored since it was last kept; a logbook that takes nothing more stays so."""
    if store.why_looking:
        return
    with suppress(LogbookError):
        mark = mark_of(store)
        if kept(store) is None:
            keep(store, mark, look(store))


def on_machine(store: Store, machine_id: str) -> str:
    """A question to ask before another session starts on a machine that has work on it; empty when it has none.

    Raises LogbookError.
    """
    found = []
    for line in store.lines("open"):
        start = _start(store, line)
        if _machine(line, start)[0] == machine_id:
            state = _folded(store, line, start)
            if where_work_is(state) == "on the machine":
                found.append(f"{line.title} ({hands(state)})")
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
    others.sort(key=_begun)
    here = store.line(session_id)
    later = [line for line in others if here is not None and _begun(line) > _begun(here)]
    return next((line.id for line in (*later, *others)), None)


def _begun(line: SessionLine) -> tuple[int, int]:
    return line.started_ms, line.n


def _start(store: Store, line: SessionLine) -> dict[str, Any]:
    try:
        return start_of(store.record_text(line.n))
    except ValueError as error:
        raise LogbookError(f"The start of session {line.id} cannot be read.") from error


def _machine(line: SessionLine, start: dict[str, Any]) -> tuple[str, str]:
    try:
        return start["machine"]["id"], start["machine"]["name"]
    except (KeyError, TypeError) as error:
        raise LogbookError(f"The start of session {line.id} cannot be read.") from error


def _state(store: Store, line: SessionLine) -> State:
    return _folded(store, line, _start(store, line))


def _folded(store: Store, line: SessionLine, start: dict[str, Any]) -> State:
    try:
        return fold(head_of(start), store.entries(line.n))
    except ValueError as error:
        raise LogbookError(f"The start of session {line.id} cannot be read.") from error


def _shelf(store: Store, kind: str) -> dict[str, dict[str, Any]]:
    """What is in use of a kind, by id. Raises LogbookError."""
    found = [_told(text, kind) for text in store.shelf_texts(kind)]
    return {item["id"]: item for item in found if not item["retired"]}


def _told(text: str, kind: str) -> dict[str, Any]:
    """A stored thing as plain JSON. Raises LogbookError for what no record of that kind is."""
    try:
        told = json.loads(text)
    except ValueError as error:
        raise unreadable(kind) from error
    if not has(told, **_NEEDED[kind]):
        raise unreadable(kind)
    return dict(told)


def _next(store: Store, standing: list[Unfinished]) -> list[Suggestion]:
    kinds = {"a machine": "machine", "a cylinder": "cylinder", "a yarn": "yarn"}
    missing = [word for word, kind in kinds.items() if not _shelf(store, kind)]
    if missing:
        words = " and ".join([", ".join(missing[:-1]), missing[-1]] if len(missing) > 1 else missing)
        return [Suggestion("shelf", f"Put {words} on the shelf")]
    by_place = {where: [item for item in standing if item.where == where] for where in get_args(Where)}
    ahead = [Suggestion("open", f"{item.title}: go on with it", item.id) for item in by_place["on the machine"]]
    ahead += [Suggestion("open", f"{item.title}: measure it if it is dry", item.id) for item in by_place["drying"]]
    ahead += [Suggestion("open", f"{item.title}: {item.hands}", item.id) for item in by_place["off the machine"]]
    # They all stand above already: however many there are, what else there is to do is not pushed out.
    del ahead[MOST_REPEATED:]
    ahead += islice(_unfollowed(store), MOST_NEXT - len(ahead))
    return ahead or [Suggestion("search", "Find the stitch size for a yarn")]


def _unfollowed(store: Store) -> Iterator[Suggestion]:
    """What the last finished sessions lead to and nobody has taken up yet: a tube, a plan, a sock, its twin, a try-on.

    One at a time, since only the first few are shown and some are folded for their words.
    """
    lately = [(line, _start(store, line)) for line in store.lines(newest=LATELY)]
    tubes = {_pair(start) for line, start in lately if line.kind == "tube" and line.status != "abandoned"}
    socks = [(line, start) for line, start in lately if line.kind == "sock" and line.status != "abandoned"]
    plans = _shelf(store, "plan")
    for line, start in lately:
        if line.kind == "search" and line.status == "finished" and _pair(start) not in tubes:
            tubes.add(_pair(start))
            what = f"{start['yarn']['name']} on {start['cylinder']['name']}"
            things = tuple((kind, start[kind]["id"]) for kind in ("machine", "cylinder", "yarn"))
            words = f"{what}: crank a gauge tube{_baseline_words(store, line)}"
            yield Suggestion("tube", words, chosen=things)
    planned = {(plan["yarn"], plan["cylinder"]) for plan in plans.values()}
    yarns = _shelf(store, "yarn")
    for text in store.gauge_texts(newest=LATELY):
        gauge = _told(text, "gauge")
        if (gauge["yarn"], gauge["cylinder"]) not in planned and gauge["yarn"] in yarns:
            planned.add((gauge["yarn"], gauge["cylinder"]))
            words = f"{yarns[gauge['yarn']]['name']}: its gauge is known, plan a sock"
            yield Suggestion("plan", words, chosen=(("gauge", gauge["session"]),))
    begun = {start["plan"]["id"] for line, start in lately if line.kind == "sock" and start["plan"]}
    begun |= {sock["plan"]["id"] for _, start in lately for sock in start.get("socks", ())}
    promises = [_told(text, "promise") for text in store.shelf_texts("promise")]
    promised = [one for one in promises if one["plan"] and not (one["handed_over"] or one["retired"])]
    promised.sort(key=lambda one: one["by"] or _NO_DAY)
    due = {one["plan"]: one for one in reversed(promised) if one["by"]}
    for plan in sorted(plans.values(), key=lambda plan: due[plan["id"]]["by"] if plan["id"] in due else _NO_DAY):
        if plan["id"] not in begun:
            by = _promised_by(due[plan["id"]]) if plan["id"] in due else ""
            yield Suggestion("sock", f"Plan {plan['name']}: crank it{by}", chosen=(("plan", plan["id"]),))
    twinned = {start["twin_of"] for _, start in socks}
    for line, start in socks:
        if line.status in ("finished", "waiting") and not start["twin_of"] and line.id not in twinned:
            words = f"{line.title}: crank its twin{_was_wrong(store, line)}"
            yield Suggestion("sock", words, chosen=_plan_of(start))
    starts = [start for line, start in lately if line.status != "abandoned"]
    yield from _pairs_to_begin(promised, begun & plans.keys(), starts)
    yield from _to_try_on(store, socks, {one["id"] for one in promises if one["handed_over"]})
    yield from _another(socks, {(plans[one]["yarn"], plans[one]["cylinder"]) for one in plans.keys() - begun}, yarns)


def _another(
    socks: list[tuple[SessionLine, dict[str, Any]]], planned: set[tuple[str, str]], yarns: dict[str, dict[str, Any]]
) -> Iterator[Suggestion]:
    """The next sock from a gauge that a finished pair has proven, where none is ``planned`` in its yarn already."""
    said = set(planned)
    for line, start in socks:
        pair = _pair(start)
        if line.status == "finished" and start["twin_of"] and pair not in said and pair[0] in yarns:
            said.add(pair)
            proven = (start["plan"] or {}).get("gauge_session")
            words = f"{yarns[pair[0]]['name']}: a pair has proven its gauge, plan the next sock"
            yield Suggestion("plan", words, chosen=(("gauge", proven),) if proven else ())


def _pairs_to_begin(
    promised: list[dict[str, Any]], plans: set[str], starts: list[dict[str, Any]]
) -> Iterator[Suggestion]:
    """Those of ``promised`` with no sock begun, on plans that were cranked before, in the same order."""
    begun = {sock.get("promise") for start in starts for sock in (start, *start.get("socks", ()))}
    for one in promised:
        if one["plan"] in plans and one["id"] not in begun:
            chosen = (("plan", one["plan"]), ("promise", one["id"]))
            yield Suggestion("sock", f"{one['name']}: crank it{_promised_by(one)}", chosen=chosen)


def _to_try_on(
    store: Store, socks: list[tuple[SessionLine, dict[str, Any]]], handed_over: set[str]
) -> Iterator[Suggestion]:
    """Finished ``socks`` whose try-on was gone past without a word, one a pair: its twin, once that is begun.

    ``handed_over`` are the promises whose socks are no longer here.
    """
    pairs: dict[str, list[tuple[SessionLine, dict[str, Any]]]] = {}
    for line, start in socks:
        pairs.setdefault(start["twin_of"] or line.id, []).append((line, start))
    for pair in pairs.values():
        line, _ = max(pair, key=lambda sock: (bool(sock[1]["twin_of"]), _begun(sock[0])))
        gone = any(start.get("promise") in handed_over for _, start in pair)
        if line.status == "finished" and not gone and not _was_tried_on(store, line):
            yield Suggestion("open", f"{line.title}: try it on", line.id)


def _was_tried_on(store: Store, line: SessionLine) -> bool:
    """Whether anything that stands was said of the fit, by the list sessions are found in: no sock is folded for it."""
    return any(said for (said,) in store.ask("SELECT verdict FROM catalogue WHERE session = ?", line.n))


def _promised_by(promise: dict[str, Any]) -> str:
    from hosewright.phrases.days import plain_day

    return f" (promised by {plain_day(promise['by'])})" if promise["by"] else ""


def _plan_of(start: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    return (("plan", start["plan"]["id"]),) if start["plan"] else ()


def _was_wrong(store: Store, line: SessionLine) -> str:
    """What the try-on found wrong, which a twin would repeat; empty when nothing."""
    if not store.has_readings(line.n, *_TRIED_ON):
        return ""
    state = _state(store, line)
    found = [said for name in _TRIED_ON if (said := choice(state, name)) not in (None, "right")]
    return f" (tried on: {' and '.join(str(said) for said in found)}; plan anew if it shall differ)" if found else ""


def _pair(start: dict[str, Any]) -> tuple[str, str]:
    return start["yarn"]["id"], start["cylinder"]["id"]


def _baseline_words(store: Store, line: SessionLine) -> str:
    state = _state(store, line)
    if state.baseline is None:
        return ""
    return f" at {show_position(state.baseline, state.head.clicks_per_turn)}"
