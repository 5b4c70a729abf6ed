"""A session's stored start read without pydantic: it was checked when it was stored, and the bench must open fast."""

from __future__ import annotations

import json
from typing import Any

from hosewright.logbook.typed import has, made
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Field, Head, Measure, Step, Wait

_UNREADABLE = "the start of the session cannot be read"
_STEPS: dict[str, type[Confirm] | type[DialTrial] | type[CountRows] | type[CountPasses] | type[Wait]] = {
    "confirm": Confirm,
    "trial": DialTrial,
    "rows": CountRows,
    "passes": CountPasses,
    "wait": Wait,
}


def head_of(start: dict[str, Any]) -> Head:
    """What the engine needs of a stored start. Raises ValueError when it cannot be read."""
    try:
        said = {name: start[name] for name in ("id", "kind", "dial")}
        said |= {"slots": start["cylinder"]["slots"], "clicks_per_turn": start["machine"]["clicks_per_turn"]}
        return made(Head, said | {"steps": tuple(_step(dict(step)) for step in start["steps"])})
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ValueError(_UNREADABLE) from error


def _step(said: dict[str, Any]) -> Step:
    kind = said.pop("kind")
    if kind == "measure":
        said["fields"] = tuple(made(Field, {**item, "choices": tuple(item["choices"])}) for item in said["fields"])
        return made(Measure, said)
    if kind == "rows":
        said["out_of_work"] = tuple(said.get("out_of_work", ()))
        said["dial_changes"] = tuple((int(row), int(clicks)) for row, clicks in said.get("dial_changes", ()))
    return made(_STEPS[kind], said)


def start_of(text: str) -> dict[str, Any]:
    """A stored start as plain JSON values. Raises ValueError."""
    start = json.loads(text)
    if not has(start, machine=dict, cylinder=dict, yarn=dict, plan=dict | None, twin_of=str | None):
        raise ValueError(_UNREADABLE)
    socks, promise = start.get("socks", []), start.get("promise")
    if not (isinstance(socks, list) and all(has(sock, plan=dict, promise=str | None) for sock in socks)):
        raise ValueError(_UNREADABLE)
    plans = [sock["plan"] for sock in (start, *socks) if sock["plan"] is not None]
    things = (start["machine"], start["cylinder"], start["yarn"], *plans)
    if not (isinstance(promise, str | None) and all(has(thing, id=str, name=str) for thing in things)):
        raise ValueError(_UNREADABLE)
    return dict(start)
