"""The lines of a machine, a cylinder, a yarn, a wearer and a lot: how each is typed, and the record that comes of them.

A form on the bench and ``hosewright shelf`` ask for the same lines.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS, CraftError
from hosewright.craft.care_labels import read_care
from hosewright.craft.colours import read_colours, show_colour
from hosewright.craft.dial import CLICKS_PER_TURN, LEAST_PITCH_MM, MOST_PITCH_MM, read_position, show_turns
from hosewright.craft.feet import FootMeasured, two_feet
from hosewright.craft.shoes import read_size
from hosewright.craft.units import MM_PER_INCH, quoted, read_whole, show_mass
from hosewright.craft.yarn import Count, read_yarn_count
from hosewright.logbook.accounts.stock import lot_words
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.phrases.days import days_of, read_past_day
from hosewright.phrases.field import (
    Field,
    FieldError,
    length,
    mass,
    no_size,
    one_of,
    or_nothing,
    two_sided,
    whole,
    words,
    yes_or_no,
)
from hosewright.phrases.figures import read_money, show_money
from hosewright.planning.choices import machine_remark
from hosewright.planning.explanations import MORE, explained

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    Item = Machine | Cylinder | Yarn | Wearer


NAME = words("name", "Name", "what you call it", 80, required=True, example="the attic one")
# A machine that is only known from a notebook has none: they are asked for before it is cranked.
CLICKS = whole("clicks_per_turn", "Clicks per turn", "count one full turn of the dial", 1, 64, example="4")
NOTE = words("note", "Note", "anything worth knowing later", 4000, example="bought in autumn")


@dataclass(frozen=True, slots=True)
class Lines:
    """What is asked for to make or change one thing.

    ``first``: what stands on the lines before anything is typed, by their names. ``build`` makes the record of what
    was read; ``remark`` says what follows from it.
    """

    title: str
    fields: list[Field]
    first: dict[str, Any]
    build: Callable[[dict[str, Any]], Any]
    remark: Callable[[Mapping[str, Any]], str] | None = None


def lines_of(cls: type[Item], item: Any, unit: str, mass_unit: str) -> Lines:
    """The lines to make a thing of ``cls``, or to change ``item``; lengths in ``unit``, masses in ``mass_unit``."""
    new = item is None
    first: dict[str, Any] = {} if new else dict(item)
    if cls is Machine:
        if not new and item.starting_dial is not None:
            first["starting_dial"] = (item.starting_dial, item.clicks_per_turn)
        title = "A machine" if new else f"Machine: {item.name}"
        return Lines(title, machine_fields(unit), first, _builder(Machine, item), machine_remark)
    if cls is Cylinder:
        title = "A cylinder" if new else f"Cylinder: {item.name}"
        return Lines(title, cylinder_fields(unit), first, _builder(Cylinder, item))
    if cls is Yarn:
        title = "A yarn" if new else f"Yarn: {item.name}"
        first["count"] = _count_of(item)
        return Lines(title, yarn_fields(mass_unit), first, _builder(Yarn, item, _of_count), _yarn_remark)
    title = "Someone's feet" if new else f"Feet: {item.name}"
    sides = {name: tuple(getattr(item, f"{side}_{name}", None) for side in ("left", "right")) for name in SIDED}
    first |= {name: both for name, both in sides.items() if None not in both}
    return Lines(title, wearer_fields(unit), first, _builder(Wearer, item, _of_sides), wearer_remark)


def _builder(
    cls: type[Item], item: Item | None, told: Callable[[dict[str, Any]], dict[str, Any]] = dict
) -> Callable[[dict[str, Any]], Any]:
    """Makes a record of what was read; ``told``: what of it is kept otherwise than it is typed."""

    def build(values: dict[str, Any]) -> Item:
        known = {"id": shelf_id(str(values["name"]))} if item is None else dict(item)
        return cls.model_validate(known | values | told(values))

    return build


# --- machine -------------------------------------------------------------------------------------------------

_THOUSANDS = re.compile(r"[0-9]{1,3}(?:[ ,.][0-9]{3})+")
_HALVES = {
    **dict.fromkeys(("towards you", "towards", "front", "in front", "at the front"), "towards you"),
    **dict.fromkeys(("away from you", "away", "back", "at the back", "behind"), "away from you"),
}
_FORWARDS = ("forwards only", "forward only", "forwards", "forward")
_TURNS = {"clockwise": "clockwise", "anticlockwise": "anticlockwise", "counterclockwise": "anticlockwise"}


def _read_rows(text: str) -> int:
    """20000, "20,000" or "20 000 rows": a whole number, so a mark between thousands is one. Raises CraftError."""
    bare = re.sub(r"\s*rows?\.?\s*$", "", text.strip(), flags=re.IGNORECASE)
    grouped = _THOUSANDS.fullmatch(bare)
    return read_whole(re.sub("[ ,.]", "", bare) if grouped else bare, what="rows", least=1, most=100_000_000)


# A machine's manual comes first: no figure is usual, and without one there is no reminder.
OIL = Field("oil_every_rows", "Oil every", "how many rows, by its manual", _read_rows, example="20,000 rows")


def _show_dial(value: Any) -> str:
    clicks, per_turn = value if isinstance(value, tuple) else (value, CLICKS_PER_TURN)
    return show_turns(clicks, per_turn)


def _read_dial(text: str, before: Mapping[str, Any]) -> int:
    clicks = before.get("clicks_per_turn", CLICKS_PER_TURN)
    if clicks is None:
        raise CraftError("Type the clicks per turn, too: where the dial starts is kept in clicks.")
    return read_position(text, clicks)


def machine_fields(unit: str) -> list[Field]:
    """The lines of a machine, lengths in ``unit``."""
    return explained(
        [
            NAME,
            CLICKS,
            length(
                "thread_pitch_mm",
                "Thread pitch",
                "how far one turn moves the V-cam: measure ten with a caliper, divide by ten",
                unit,
                MOST_PITCH_MM,
                LEAST_PITCH_MM,
                shown=lambda mm: f"{mm / MM_PER_INCH:.3f} in" if unit == "in" else f"{mm:.4g} mm",
                example="1.25 mm",
            ),
            Field(
                "starting_dial",
                "Starting dial",
                "turns below zero where a search begins, such as 7 1/4",
                shown=_show_dial,
                beside=_read_dial,
                example="7 1/4",
            ),
            words(
                "zero_note", "Zero mark", "how you find it again", 200, what="zero mark note", example="a dot of paint"
            ),
            words("weights", "Usual weights", "what hangs on the buckle", 200, what="weights", example="both plates"),
            words("mast_tension", "Yarn-mast tension", "the usual one", 200, example="two turns in"),
            one_of(
                "heel_half",
                "Heel half",
                "towards you, or away from you",
                _HALVES,
                "is neither: type towards you, or away from you.",
                empty="",
                example="away from you",
            ),
            one_of(
                "carrier_turns",
                "Carrier turns",
                "clockwise or anticlockwise, seen from above",
                _TURNS,
                "is neither: type clockwise or anticlockwise, as you see it from above.",
                empty="",
                example="anticlockwise",
            ),
            one_of(
                "crank_goes",
                "Crank goes",
                "both ways, or forwards only",
                {"both ways": "both ways", "both": "both ways", **dict.fromkeys(_FORWARDS, "forwards only")},
                "is neither: type both ways, or forwards only.",
                empty="",
                example="both ways",
            ),
            words(
                "cast_on", "Casting on", "an empty cylinder, by its manual", 1000, example="yarn round every 2nd hook"
            ),
            words("ribber_set", "Ribber", "how it is set, or none", 200, example="post at the second ring"),
            OIL,
            NOTE,
        ]
    )


# --- cylinder ------------------------------------------------------------------------------------------------

_SLOT_WORD = re.compile(r"\s*(slots?|needles?)\.?\s*$", re.IGNORECASE)


def _read_slots(text: str) -> int:
    """64, "64 slots" or "64 needles". Raises CraftError."""
    return read_whole(
        _SLOT_WORD.sub("", text, count=1) or text, what="number of slots", least=LEAST_SLOTS, most=MOST_SLOTS
    )


def cylinder_fields(unit: str) -> list[Field]:
    """The lines of a cylinder, lengths in ``unit``."""
    return explained(
        [
            NAME,
            Field("slots", "Slots", "how many, all the way round", _read_slots, required=True, example="64 slots"),
            length(
                "diameter_mm", "Diameter", "across the needles, if you know it", unit, 1000.0, 20.0, example="4 1/4 in"
            ),
            NOTE,
        ]
    )


# --- yarn ----------------------------------------------------------------------------------------------------


def core(unit: str) -> Field:
    """The line for what the empty core of a ball, or the empty cone, weighs."""
    what = "mass of the core"
    return or_nothing(
        mass(
            "core_g",
            "Core or cone",
            "weighed empty; 0 if it has none",
            unit,
            what=what,
            example="38 g",
            more=MORE["core_g"],
        )
    )


def yarn_fields(mass_unit: str) -> list[Field]:
    """The lines of a yarn, masses in ``mass_unit``."""
    return explained(
        [
            NAME,
            words("fibre", "Fibre", "such as wool 75, nylon 25", 200, example="wool 75, nylon 25"),
            Field(
                "count",
                "Count",
                "as on the label, such as 420 m/100g",
                read_yarn_count,
                lambda count: str(count.typed),
                example="420 m/100g",
            ),
            mass("ball_g", "Put-up", "what one ball or skein weighs, such as 100 g", mass_unit, example="100 g"),
            core(mass_unit),
            words("colour", "Colour", "as the label calls it", 200, example="heather"),
            Field(
                "shades",
                "In pictures",
                "how pictures show it: teal, dark green, #8a5a3c; stripes as navy, tan",
                read_colours,
                lambda shades: ", ".join(map(show_colour, shades)),
                empty=(),
                example="navy, tan",
            ),
            yes_or_no("striped", "Striped", "does it stripe by itself: yes or no", example="yes"),
            whole("repeat_rows", "Stripes repeat", "after how many rows of a leg", 2, 1000, example="24"),
            words("wash", "Wash", "how you wash tube and socks", 200, example="by hand, 30 °C"),
            Field(
                "care",
                "Care",
                "what the label says, such as wash-30, dry flat",
                read_care,
                ", ".join,
                empty=(),
                example="wash-30, dry flat",
            ),
            NOTE,
        ]
    )


def _count_of(item: Yarn | None) -> Count | None:
    if item is None or item.m_per_100g is None:
        return None
    return Count(item.count or f"{item.m_per_100g:.0f} m/100g", item.m_per_100g)


def _of_count(values: dict[str, Any]) -> dict[str, Any]:
    count: Count | None = values["count"]
    return {"count": count.typed if count else "", "m_per_100g": count.m_per_100g if count else None}


def _yarn_remark(values: Mapping[str, Any]) -> str:
    count = values.get("count")
    return f"The count comes to {count.said}." if isinstance(count, Count) else ""


# --- wearer: feet and legs, as far as anyone has measured them ------------------------------------------------

TIGHT_SOCKS = (
    "Take care: on a foot with diabetes, numbness or poor circulation a tight sock can harm without being felt. "
    "No ease is called safe here: measure the foot, make it loose, and ask a podiatrist or nurse."
)
# name, label, help, most and least in mm, example
_MEASURES = (
    ("foot_length_mm", "Foot length", "standing, the longer foot", 400.0, 60.0, "252 mm"),
    ("left_length_mm", "Left foot", "if you measured both", 400.0, 80.0, "250 mm"),
    ("right_length_mm", "Right foot", "the longer one counts", 400.0, 80.0, "252 mm"),
    ("girth_mm", "Ball girth", "round the widest part", 500.0, 60.0, "236 mm"),
    ("left_girth_mm", "Left ball girth", "if you measured both", 500.0, 60.0, "234 mm"),
    ("right_girth_mm", "Right ball girth", "the larger one counts", 500.0, 60.0, "236 mm"),
    ("heel_ankle_mm", "Heel-ankle girth", "round the heel and the bend of the ankle", 700.0, 80.0, "318 mm"),
    ("heel_height_mm", "Heel to ground", "from the bend of the ankle", 250.0, 20.0, "80 mm"),
    ("instep_mm", "Instep girth", "round the foot where laces sit", 600.0, 60.0, "25 cm"),
    ("ankle_mm", "Ankle girth", "where the leg is narrowest", 600.0, 60.0, "22 cm"),
    ("calf_mm", "Calf girth", "where the leg is widest", 900.0, 60.0, "36 cm"),
    ("wrist_mm", "Wrist girth", "round the wrist, for wristers", 400.0, 60.0, "16 cm"),
    ("hand_mm", "Hand girth", "at its widest, over the thumb", 500.0, 60.0, "22 cm"),
    ("fitting_tube_mm", "Fitting sock's tube", "straight part, gore to gore", 400.0, 20.0, "148 mm"),
)


SIDED = ("instep_mm", "ankle_mm", "calf_mm", "wrist_mm", "hand_mm")  # one line each, on which left and right may differ


def _of_sides(values: dict[str, Any]) -> dict[str, Any]:
    told: dict[str, Any] = {}
    for name in SIDED:
        typed = values[name]
        left, right = typed if isinstance(typed, tuple) else (None, None)
        told |= {f"left_{name}": left, f"right_{name}": right, name: max(typed) if left else typed}
    return told


def wearer_fields(unit: str) -> list[Field]:
    """The lines of a wearer, lengths in ``unit``."""
    lines = [
        no_size(length(name, label, help_words, unit, most, least, example=example))
        for name, label, help_words, most, least, example in _MEASURES
    ]
    measures = [two_sided(line) if line.name in SIDED else line for line in lines]
    return explained(
        [
            words("name", "Name", "a job or a nickname is enough", 80, required=True, example="the baker"),
            *measures[:3],
            Field("shoe_size", "or shoe size", "such as EU 42 or UK 8", _read_shoe_size, empty="", example="EU 42"),
            *measures[3:],
            yes_or_no("high_instep", "High instep", "yes offers deeper heels", example="yes"),
            one_of(
                "sized_as",
                "Sized as",
                "men or women, for estimates",
                {"men": "men", "women": "women"},
                "is neither: estimates are for men or women; leave it empty for none.",
                empty="",
                example="women",
            ),
            yes_or_no(
                "caution", "Foot at risk", "yes for diabetes, numb feet, poor circulation; else no", example="no"
            ),
            NOTE,
        ]
    )


def _read_shoe_size(text: str) -> str:
    """A shoe size as typed, once it is one that can be read. Raises CraftError."""
    read_size(text)
    return text.strip()


def wearer_remark(values: Mapping[str, Any]) -> str:
    """What there is to say about what was typed so far."""
    said = [TIGHT_SOCKS] if values.get("caution") else []
    if values.get("left_length_mm") and values.get("right_length_mm"):
        feet = (FootMeasured(values[f"{side}_length_mm"], values.get(f"{side}_girth_mm")) for side in ("left", "right"))
        said += two_feet(*feet).notes
    elif values.get("shoe_size") and not values.get("foot_length_mm"):
        said.append(read_size(values["shoe_size"]).words)
    return "\n".join(said)


# --- a lot ------------------------------------------------------------------------------------------------------

_PUT_UPS = {
    **{name: name for name in ("ball", "cone", "skein")},
    **{f"{name}s": name for name in ("ball", "cone", "skein")},
    "hank": "skein",
    "hanks": "skein",
}


def price(help_words: str, money: str, example: str) -> Field:
    """The line for what something costs, in hundredths; ``money``: the word that may stand after it."""
    return Field("price", "Price", help_words, lambda text: read_money(text, money), show_money, example=example)


def lot_lines(yarn: Yarn, lot: Lot | None, unit: str, today: date, money: str = "") -> Lines:
    """The lines of a lot of ``yarn``, or to change ``lot``; masses in ``unit``, ``money``: the word after a price."""
    first: dict[str, Any] = dict(lot) if lot else {"put_up": "ball", "pieces": 1, "bought": today.isoformat()}

    def build(values: dict[str, Any]) -> Lot:
        grams = values["grams"]
        if grams is None and yarn.ball_g is None:
            raise FieldError("grams", "How much is it? Type what all of it weighs, such as 300 g.")
        known = {"id": shelf_id(f"{yarn.name} {values['name']}")} if lot is None else dict(lot)
        return Lot.model_validate(known | values | {"yarn": yarn.id, "grams": grams or yarn.ball_g * values["pieces"]})

    title = f"A lot of {yarn.name}" if lot is None else f"{yarn.name}, {lot_words(lot)}"
    return Lines(title, lot_fields(unit, yarn, today, money), first, build, _lot_remark(yarn, unit))


def lot_fields(unit: str, yarn: Yarn, today: date, money: str = "") -> list[Field]:
    """The lines of a lot of ``yarn``, masses in ``unit``, ``money``: the word after a price."""
    each = f"; empty: {show_mass(yarn.ball_g, unit)} each" if yarn.ball_g else ""
    return [
        words("name", "Dye lot", "the dye lot on the label, or what you call it", 80, required=True, example="17 B"),
        whole(
            "pieces", "How many", "balls, cones or skeins", 1, 10_000, what="number of them", required=True, example="3"
        ),
        one_of(
            "put_up",
            "Put up as",
            "ball, cone or skein",
            _PUT_UPS,
            "is not a put-up: type ball, cone or skein.",
            required=True,
            example="skein",
        ),
        mass(
            "grams", "Mass in all", f"such as 300 g{each}", unit, what="mass", required=not yarn.ball_g, example="300 g"
        ),
        Field(
            "bought",
            "Bought on",
            "year-month-day",
            lambda text: _read_past_day(text, today),
            required=True,
            example=today.isoformat(),
        ),
        core(unit),
        price("what all of it cost", money, "19.50"),
        NOTE,
    ]


def _read_past_day(text: str, today: date) -> str:
    tomorrow = today + timedelta(days=1)  # the clock of the knitter's zone may be ahead
    day = days_of(read_past_day(text, tomorrow))[0]
    if day > tomorrow:
        raise CraftError(f"{quoted(text)} is still to come: type the day it was bought, {today.isoformat()} or before.")
    return day.isoformat()


def _lot_remark(yarn: Yarn, unit: str) -> Callable[[Mapping[str, Any]], str]:
    def remark(values: Mapping[str, Any]) -> str:
        pieces, grams = values.get("pieces"), values.get("grams")
        if not pieces:
            return ""
        if grams:
            return f"That is {show_mass(grams / pieces, unit)} each." if pieces > 1 else ""
        return f"That is {show_mass(yarn.ball_g * pieces, unit)} in all." if yarn.ball_g else ""

    return remark
