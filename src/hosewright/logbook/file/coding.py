"""Events to and from the two columns they are stored in: the kind, and a JSON body when there is more to say."""

from __future__ import annotations

import json
from dataclasses import MISSING, fields, replace
from typing import Any

from hosewright.logbook.typed import made
from hosewright.phrases.harmless import LONGEST_TYPED, harmless
from hosewright.session.events import EVENT_TYPES, Event

_DEFAULTS: dict[type[Event], dict[str, object]] = {
    cls: {f.name: f.default for f in fields(cls) if f.name != "kind"} for cls in EVENT_TYPES
}
_TYPES: dict[str, type[Event]] = {str(f.default): cls for cls in EVENT_TYPES for f in fields(cls) if f.name == "kind"}
_TYPED = ("note", "reason", "typed")  # the fields a person types freely
# Events without a body are by far the most common and never change, so one of each will do.
PLAIN: dict[str, Event] = {
    kind: cls()  # type: ignore[call-arg]  # every field has a default
    for kind, cls in _TYPES.items()
    if MISSING not in _DEFAULTS[cls].values()
}


def encode(event: Event) -> tuple[str, str | None]:
    """The kind of ``event`` and its body; fields at their default are left out."""
    if event is PLAIN.get(event.kind):
        return event.kind, None
    said = {
        name: getattr(event, name)
        for name, default in _DEFAULTS[type(event)].items()
        if getattr(event, name) != default
    }
    return event.kind, json.dumps(said, ensure_ascii=False, separators=(",", ":")) if said else None


def decode(kind: str, body: str | None) -> Event:
    """The event of ``kind`` with ``body``. Raises ValueError when there is no such event."""
    if body is None:
        plain = PLAIN.get(kind)
        if plain is not None:
            return plain
    cls = _TYPES.get(kind)
    if cls is None or body is None:
        raise ValueError(f"no event can be read from {kind!r}")
    try:
        return harmless_event(made(cls, json.loads(body)))
    except (TypeError, AttributeError) as error:
        raise ValueError(f"the event {kind!r} does not fit its kind") from error


def harmless_event(event: Event) -> Event:
    """``event`` with what was typed in it made harmless (see ``records.harmless``) and not overlong."""
    changed: dict[str, Any] = {}
    for name in _TYPED:
        text = getattr(event, name, "")
        safe = harmless(text)[:LONGEST_TYPED] if text else text
        if safe != text:
            changed[name] = safe
    return replace(event, **changed) if changed else event
