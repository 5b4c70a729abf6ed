"""A session's stored start read without pydantic: it was checked when it was stored, and the bench must open fast."""

from __future__ import annotations

import json
from typing import Any

from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Field, Head, Measure, Step, Wait

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
        steps = tuple(_step(dict(said)) for said in start["steps"])
        slots, turn = start["cylinder"]["slots"], start["machine"]["clicks_per_turn"]
        return Head(start["id"], start["kind"], steps, start["dial"], slots, turn)
    except (KeyError, TypeError) as error:
        raise ValueError("the start of the session cannot be read") from error


def _step(said: dict[str, Any]) -> Step:
    kind = said.pop("kind")
    if kind == "measure":
        said["fields"] = tuple(Field(**{**item, "choices": tuple(item["choices"])}) for item in said["fields"])
        return Measure(**said)
    if kind == "rows":
        said["out_of_work"] = tuple(said.get("out_of_work", ()))
        said["dial_changes"] = tuple((row, clicks) for row, clicks in said.get("dial_changes", ()))
    return _STEPS[kind](**said)


def start_of(text: str) -> dict[str, Any]:
    """A stored start as plain JSON values. Raises ValueError."""
    start = json.loads(text)
    if not isinstance(start, dict):
        raise ValueError("the start of the session cannot be read")  # noqa: TRY004 - one kind of error for callers
    return start
