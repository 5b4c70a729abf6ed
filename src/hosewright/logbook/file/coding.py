"""What the engine works with, to and from the JSON it is stored as: events, and the start of a session.

Read without pydantic: it was checked when it was stored, and the bench must open fast. An event is two columns: its
kind, and a body when there is more to say.
"""

from __future__ import annotations

import json
from dataclasses import MISSING, dataclass, fields, replace
from functools import cache
from types import UnionType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, TypeVar, Union, get_args, get_origin, get_type_hints

from hosewright.phrases.harmless import LONGEST_TYPED, harmless
from hosewright.session.events import EVENT_TYPES, Entry, Event
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Head, Measure, MeasureField, Step, Wait

if TYPE_CHECKING:
    from hosewright.session.state import Status

_DEFAULTS: dict[type[Event], dict[str, object]] = {
    cls: {f.name: f.default for f in fields(cls) if f.name != "kind"} for cls in EVENT_TYPES
}
_TYPES: dict[str, type[Event]] = {str(f.default): cls for cls in EVENT_TYPES for f in fields(cls) if f.name == "kind"}
MORE = "~"  # in a body: what a later version said in a file of this event, to be told again as it was
_TYPED = ("note", "reason", "typed", "was")  # the fields a person types freely
# Events without a body are by far the most common and never change, so one of each will do.
PLAIN: dict[str, Event] = {
    kind: cls()  # type: ignore[call-arg]  # every field has a default
    for kind, cls in _TYPES.items()
    if MISSING not in _DEFAULTS[cls].values()
}


# The columns of an event, of a session past a number, in order.
EVENTS = "SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events WHERE session = ? AND seq > ? ORDER BY seq"


def entry_of(seq: int, at_ms: int, zone_min: int, tick_ms: int, kind: str, body: str | None) -> Entry:
    """The entry a row of EVENTS tells. Raises ValueError when there is no such event."""
    return Entry(seq, at_ms, zone_min, tick_ms, decode(kind, body))


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


def with_more(kind: str, body: str | None, more: list[Any] | None) -> tuple[str, str | None]:
    """An encoded event that carries ``more`` along, which a later version said of it."""
    if not more:
        return kind, body
    return kind, json.dumps({**json.loads(body or "{}"), MORE: more}, ensure_ascii=False, separators=(",", ":"))


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
        said = json.loads(body)
        said.pop(MORE, None)
        return harmless_event(made(cls, said)) if said or kind not in PLAIN else PLAIN[kind]
    except (TypeError, AttributeError) as error:
        raise ValueError(f"the event {kind!r} does not fit its kind") from error


def harmless_event(event: Event) -> Event:
    """``event`` with what was typed in it made harmless (see ``phrases.harmless``) and not overlong."""
    changed: dict[str, Any] = {}
    for name in _TYPED:
        text = getattr(event, name, "")
        safe = harmless(text)[:LONGEST_TYPED] if text else text
        if safe != text:
            changed[name] = safe
    return replace(event, **changed) if changed else event


# --- dataclasses of stored values, each held against the type its field has -------------------------------------------

# A value of another type would be met far from here, where nobody expects it.


Made = TypeVar("Made")


class _May(NamedTuple):
    """What a field may hold: values of these types, these values, and in a tuple elements of these types."""

    types: frozenset[type]
    values: frozenset[object]
    elements: frozenset[type]


def made(cls: type[Made], said: dict[str, Any]) -> Made:
    """``cls`` with the values ``said`` of its fields. Raises TypeError for a value no such field can have."""
    may = _fields(cls)  # type: ignore[arg-type]  # every class is hashable
    for name, value in said.items():
        allowed = may.get(name)
        if allowed is None or (type(value) not in allowed.types and value not in allowed.values):
            raise TypeError(f"{name} of {cls.__name__} cannot be {value!r}")
        if type(value) is tuple and not all(type(one) in allowed.elements for one in value):
            raise TypeError(f"{name} of {cls.__name__} cannot hold all of {value!r}")
    return cls(**said)


def has(told: object, **needed: type | UnionType) -> bool:
    """Whether a stored object has all these keys, with values of these types."""
    return isinstance(told, dict) and all(
        name in told and isinstance(told[name], kind) for name, kind in needed.items()
    )


@cache
def _fields(cls: type) -> dict[str, _May]:
    return {name: _may(hint) for name, hint in get_type_hints(cls).items()}


def _may(hint: Any) -> _May:
    types: set[type] = set()
    values: set[object] = set()
    elements: set[type] = set()
    for part in get_args(hint) if get_origin(hint) in (Union, UnionType) else (hint,):
        if get_origin(part) is Literal:
            values.update(get_args(part))
        elif get_origin(part) is dict:
            types.add(dict)
        elif get_origin(part) is tuple:
            types.add(tuple)
            elements |= _may(get_args(part)[0]).types
        else:
            types |= {float, int} if part is float else {part}
    return _May(frozenset(types), frozenset(values), frozenset(elements))


# --- the start of a session -------------------------------------------------------------------------------------------


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
        # Where cylinder or machine were put right, the steps still go by those it was begun with.
        slots, clicks = start.get("begun_slots"), start.get("begun_clicks_per_turn")
        said["slots"] = start["cylinder"]["slots"] if slots is None else slots
        said["clicks_per_turn"] = start["machine"]["clicks_per_turn"] if clicks is None else clicks
        return made(Head, said | {"steps": tuple(_step(dict(step)) for step in start["steps"])})
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ValueError(_UNREADABLE) from error


def _step(said: dict[str, Any]) -> Step:
    kind = said.pop("kind")
    if kind == "measure":
        said["fields"] = tuple(
            made(MeasureField, {**item, "choices": tuple(item["choices"])}) for item in said["fields"]
        )
        return made(Measure, said)
    if kind == "rows":
        said["out_of_work"] = tuple(said.get("out_of_work", ()))
        said["yarn_changes"] = tuple((int(row), str(colour)) for row, colour in said.get("yarn_changes", ()))
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


# --- what is put in as rows -----------------------------------------------------------------------------------------


class Standing(NamedTuple):
    """Where a session stands after event ``seq``, as home says it.

    ``place``: where its work is; ``hands``: what they do next; ``since_ms``: since when it dries, or when it was last
    touched. ``found``: what belongs to what it leads to, with a space before it: a search's dial, what a try-on found
    wrong; else empty.
    """

    seq: int
    place: str
    hands: str
    since_ms: int
    paused: bool
    found: str


@dataclass(frozen=True, slots=True)
class Prepared:
    """One session as rows; times are UTC in ms since 1970.

    ``record`` is its frozen start as JSON, ``stands`` the start as it really was, where anything was put right;
    ``events`` are (seq, at_ms, zone_min, tick_ms, kind, body), ``readings`` (seq, field, value, typed), ``gauge``
    (yarn, cylinder, JSON) when it came to one, ``named`` the things of the shelf its start holds, as (kind, id, JSON).
    ``status`` and ``changed_ms`` are where it stands, ``verdict`` what was said of its fit, for lists, and ``left_out``
    why it is left out, and whether it was cranked; ``undone``: something in it was; ``whose``: where it is from.
    """

    id: str
    kind: str
    title: str
    started_ms: int
    status: Status
    changed_ms: int
    record: str
    stands: str | None
    events: list[tuple[int, int, int, int, str, str | None]]
    readings: list[tuple[int, str, float, str]]
    gauge: tuple[str, str, str] | None
    named: list[tuple[str, str, str]]
    verdict: str
    left_out: tuple[str, bool] | None
    undone: bool
    standing: Standing
    whose: str = ""

    def entries(self) -> list[Entry]:
        return [entry_of(*row) for row in self.events]
