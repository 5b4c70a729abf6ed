"""The form of each thing on the shelf."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, overload

from hosewright.bench.shelf.wearer_form import NOTE, wearer_fields, wearer_remark
from hosewright.bench.widgets.field import (
    FormField,
    length,
    mass,
    show_yes_or_no,
    shown_length,
    shown_mass,
    whole,
    words,
    yes_or_no,
)
from hosewright.bench.widgets.form import FormScreen
from hosewright.craft.care_labels import read_care
from hosewright.craft.dial import CLICKS_PER_TURN, LEAST_PITCH_MM, MOST_PITCH_MM, read_position, show_turns
from hosewright.craft.errors import LEAST_SLOTS, MOST_SLOTS, CraftError
from hosewright.craft.units import MM_PER_INCH, quoted, read_whole
from hosewright.craft.yarn import Count, read_yarn_count
from hosewright.logbook.records.ids import shelf_id
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from textual.app import App

    from hosewright.bench.widgets.host import Host
    from hosewright.craft.turning import CarrierTurns, HeelHalf

    Item = Machine | Cylinder | Yarn | Wearer


_THOUSANDS = re.compile(r"[0-9]{1,3}(?:[ ,.][0-9]{3})+")


def _read_rows(text: str) -> int:
    """20000, "20,000" or "20 000 rows": a whole number, so a mark between thousands is one. Raises CraftError."""
    bare = re.sub(r"\s*rows?\.?\s*$", "", text.strip(), flags=re.IGNORECASE)
    grouped = _THOUSANDS.fullmatch(bare)
    return read_whole(re.sub("[ ,.]", "", bare) if grouped else bare, what="rows", least=1, most=100_000_000)


# A machine's manual comes first: no figure is usual, and without one there is no reminder.
OIL = FormField("oil_every_rows", "Oil every", "so many rows, by its manual", _read_rows)


@overload
def open_form(app: App[Any], cls: type[Machine], item: Machine | None = None) -> FormScreen[Machine]: ...
@overload
def open_form(app: App[Any], cls: type[Cylinder], item: Cylinder | None = None) -> FormScreen[Cylinder]: ...
@overload
def open_form(app: App[Any], cls: type[Yarn], item: Yarn | None = None) -> FormScreen[Yarn]: ...
@overload
def open_form(app: App[Any], cls: type[Wearer], item: Wearer | None = None) -> FormScreen[Wearer]: ...
def open_form(app: Any, cls: Any, item: Any = None) -> FormScreen[Any]:
    """The form to make a thing of class ``cls``, or to change ``item``. It keeps what it dismisses with."""
    bench: Host = app
    unit, mass_unit = bench.settings.length_unit, bench.settings.mass_unit
    keep = bench.book.keep
    new = item is None
    if cls is Machine:
        fields, start = _machine(unit), _start(item)
        if not new and item.starting_dial is not None:
            start["starting_dial"] = (item.starting_dial, item.clicks_per_turn)
        title = "A machine" if new else f"Machine: {item.name}"
        return FormScreen(title, fields, start, _builder(Machine, item), keep)
    if cls is Cylinder:
        title = "A cylinder" if new else f"Cylinder: {item.name}"
        return FormScreen(title, _cylinder(unit), _start(item), _builder(Cylinder, item), keep)
    if cls is Yarn:
        title = "A yarn" if new else f"Yarn: {item.name}"
        start = _start(item)
        start["count"] = _count_of(item)
        return FormScreen(title, _yarn(mass_unit), start, _build_yarn(item), keep, _yarn_remark)
    title = "Someone's feet" if new else f"Feet: {item.name}"
    return FormScreen(title, wearer_fields(unit), _start(item), _builder(Wearer, item), keep, wearer_remark)


def _start(item: Item | None) -> dict[str, Any]:
    return {} if item is None else dict(item)


def _builder(cls: type[Item], item: Item | None) -> Callable[[dict[str, Any]], Any]:
    def build(values: dict[str, Any]) -> Item:
        if item is not None:
            return cls.model_validate(dict(item) | values)
        return cls.model_validate({"id": shelf_id(str(values["name"]))} | values)

    return build


# --- machine -------------------------------------------------------------------------------------------------


def _show_pitch(unit: str) -> Callable[[float], str]:
    return lambda mm: f"{mm / MM_PER_INCH:.3f} in" if unit == "in" else f"{mm:.4g} mm"


def _show_dial(value: Any) -> str:
    clicks, per_turn = value if isinstance(value, tuple) else (value, CLICKS_PER_TURN)
    return show_turns(clicks, per_turn)


def _read_dial(text: str, before: Mapping[str, Any]) -> int:
    return read_position(text, before.get("clicks_per_turn") or CLICKS_PER_TURN)


_HALVES: dict[str, HeelHalf] = {
    "towards you": "towards you",
    "towards": "towards you",
    "front": "towards you",
    "away from you": "away from you",
    "away": "away from you",
    "back": "away from you",
}
_TURNS: dict[str, CarrierTurns] = {
    "clockwise": "clockwise",
    "anticlockwise": "anticlockwise",
    "counterclockwise": "anticlockwise",
}


def _read_heel_half(text: str) -> HeelHalf:
    """Towards you (or front), away from you (or back). Raises CraftError."""
    half = _HALVES.get(" ".join(text.lower().split()))
    if half is None:
        raise CraftError(f"{quoted(text)} is neither: type towards you, or away from you.")
    return half


def _read_turns(text: str) -> CarrierTurns:
    """Clockwise, or anticlockwise (counterclockwise). Raises CraftError."""
    turns = _TURNS.get("".join(text.lower().replace("-", "").split()))
    if turns is None:
        raise CraftError(f"{quoted(text)} is neither: type clockwise or anticlockwise, as you see it from above.")
    return turns


def _machine(unit: str) -> list[FormField]:
    return [
        FormField("name", "Name", "what you call it", words("name", 80), required=True),
        FormField(
            "clicks_per_turn",
            "Clicks per turn",
            "count them over one full turn of the dial",
            whole("clicks per turn", 1, 64),
            required=True,
        ),
        FormField(
            "thread_pitch_mm",
            "Thread pitch",
            "how far a turn moves the V-cam: measure ten with a caliper, divide by ten",
            length("thread pitch", unit, MOST_PITCH_MM, LEAST_PITCH_MM),
            _show_pitch(unit),
        ),
        FormField(
            "starting_dial",
            "Starting dial",
            "turns below zero, such as 7 1/4",
            read_position,
            _show_dial,
            beside=_read_dial,
        ),
        FormField("zero_note", "Zero mark", "how you find it again", words("zero mark note", 200), empty=""),
        FormField("weights", "Usual weights", "what hangs on the buckle", words("weights", 200), empty=""),
        FormField("mast_tension", "Yarn-mast tension", "the usual one", words("yarn-mast tension", 200), empty=""),
        FormField("heel_half", "Heel half", "towards you, or away from you", _read_heel_half, empty=""),
        FormField(
            "carrier_turns", "Carrier turns", "clockwise or anticlockwise, seen from above", _read_turns, empty=""
        ),
        OIL,
        NOTE,
    ]


# --- cylinder ------------------------------------------------------------------------------------------------


_SLOT_WORD = re.compile(r"\s*(slots?|needles?)\.?\s*$", re.IGNORECASE)


def _read_slots(text: str) -> int:
    """64, "64 slots" or "64 needles". Raises CraftError."""
    return read_whole(_SLOT_WORD.sub("", text, count=1) or text, what="slots", least=LEAST_SLOTS, most=MOST_SLOTS)


def _cylinder(unit: str) -> list[FormField]:
    return [
        FormField("name", "Name", "what you call it", words("name", 80), required=True),
        FormField("slots", "Slots", "how many, all round", _read_slots, required=True),
        FormField(
            "diameter_mm",
            "Diameter",
            "across the needles; may stay empty",
            length("diameter", unit, 1000.0, 20.0),
            shown_length(unit),
        ),
        NOTE,
    ]


# --- yarn ----------------------------------------------------------------------------------------------------


def _yarn(mass_unit: str) -> list[FormField]:
    return [
        FormField("name", "Name", "what you call it", words("name", 80), required=True),
        FormField("fibre", "Fibre", "such as wool 75, nylon 25", words("fibre", 200), empty=""),
        FormField(
            "count",
            "Count",
            "as on the label: 420 m/100g, 460 yd/100g, tex 238, Nm 4.2, Ne 2.5",
            read_yarn_count,
            lambda count: str(count.typed),
        ),
        FormField(
            "ball_g",
            "Put-up",
            "one ball or skein, such as 100 g",
            mass("put-up", mass_unit),
            shown_mass(mass_unit),
        ),
        FormField("colour", "Colour", "as on the label", words("colour", 200), empty=""),
        FormField("striped", "Striped", "yes or no", yes_or_no, show_yes_or_no, empty=False),
        FormField("wash", "Wash", "how tube and socks are washed", words("wash", 200), empty=""),
        FormField("care", "Care", "such as wash-30, dry flat", read_care, ", ".join, empty=()),
        NOTE,
    ]


def _count_of(item: Yarn | None) -> Count | None:
    if item is None or item.m_per_100g is None:
        return None
    return Count(item.count or f"{item.m_per_100g:.0f} m/100g", item.m_per_100g)


def _build_yarn(item: Yarn | None) -> Callable[[dict[str, Any]], Yarn]:
    build = _builder(Yarn, item)

    def build_yarn(values: dict[str, Any]) -> Yarn:
        count: Count | None = values["count"]
        told = {"count": count.typed if count else "", "m_per_100g": count.m_per_100g if count else None}
        made = build(values | told)
        assert isinstance(made, Yarn)
        return made

    return build_yarn


def _yarn_remark(values: Mapping[str, Any]) -> str:
    count = values.get("count")
    return f"The count comes to {count.said}." if isinstance(count, Count) else ""
