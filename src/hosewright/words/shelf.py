"""What is on the shelf and what is from the notebook, in one line each and in columns."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.colours import show_colour
from hosewright.craft.dial import show_position, show_turns
from hosewright.craft.units import PER_UNIT_MM, length_number, plus_minus, show_length, show_mass
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.phrases.days import past_day
from hosewright.phrases.lists import Column

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hosewright.logbook.records.shelf import Noted

    Thing = Machine | Cylinder | Yarn | Wearer | Plan


def item_words(item: Thing, unit: str = "in") -> str:
    """One line: the name, then what tells it from its neighbours."""
    return ", ".join(part for part in (item.name, item_facts(item, unit)) if part)


def item_facts(item: Thing, unit: str = "in", *, full: bool = False) -> str:
    """What tells a thing from its neighbours; ``full``: all of it that has room in a line of its own.

    A wearer's caution is a word, and no more is said of it.
    """
    said, more = _FACTS[type(item)](item, unit)
    return ", ".join(part for part in (*said, *(more if full else ()), "retired" if item.retired else "") if part)


def _machine(item: Machine, _unit: str) -> tuple[list[str], list[str]]:
    start = item.starting_dial
    dial = "" if start is None else f"starting dial {show_position(start, item.turn)}"
    counted = "" if item.clicks_per_turn else "clicks of the dial not counted yet"
    return [dial, counted], [f"weights {item.weights}" if item.weights else ""]


def _cylinder(item: Cylinder, unit: str) -> tuple[list[str], list[str]]:
    slots = "" if f"{item.slots} slots" in item.name else f"{item.slots} slots"
    return [slots, show_length(item.diameter_mm, unit) if item.diameter_mm else ""], []


def _yarn(item: Yarn, _unit: str) -> tuple[list[str], list[str]]:
    thick = item.count or (f"{item.m_per_100g:.0f} m/100g" if item.m_per_100g else "")
    ball = f"{show_mass(item.ball_g)} put-up" if item.ball_g else ""
    shown = f"in pictures {', '.join(map(show_colour, item.shades))}" if item.shades else ""
    repeat = f"stripes repeat after {item.repeat_rows} rows" if item.repeat_rows else ""
    return [item.colour, "striped" if item.striped else "", thick, ball], [item.fibre, shown, repeat]


def _wearer(item: Wearer, unit: str) -> tuple[list[str], list[str]]:
    foot = f"foot {show_length(item.foot_length_mm, unit)}" if item.foot_length_mm else item.shoe_size
    girth = f"girth {show_length(item.ball_girth_mm, unit)}" if item.ball_girth_mm else ""
    return [foot, "foot at risk" if item.caution else ""], [girth]


def _plan(item: Plan, _unit: str) -> tuple[list[str], list[str]]:
    tube = next((part.count for part in item.parts if part.name == "tube"), 0)
    foot = f"{item.foot_rows} rows in the foot" if item.foot_rows else f"{tube} rows in the tube"
    return [f"{item.slots} slots", foot, f"{item.metres_per_pair:.0f} m for the pair"], []


_FACTS: dict[type[Any], Callable[[Any, str], tuple[list[str], list[str]]]] = {
    Machine: _machine,
    Cylinder: _cylinder,
    Yarn: _yarn,
    Wearer: _wearer,
    Plan: _plan,
}


# --- in columns -------------------------------------------------------------------------------------------------


ROOMY = 46  # cells; from here on there is room for what is good to know beside what tells things apart


def shelf_columns(kind: type[Thing], unit: str, room: int) -> Sequence[Column[Any]]:
    """A list of one kind of thing in ``room`` cells, lengths in ``unit``; what is out of use says so by its name."""
    name = Column[Any]("Name", lambda one: one.name + " (retired)" * one.retired, share=1, least=12)
    first, more = _COLUMNS[kind](unit)
    return (name, *first, *(more if room >= ROOMY else ()))


def _number(heading: str, read: Callable[[Any], str]) -> Column[Any]:
    return Column(heading, read, number=True)


def _length(heading: str, unit: str, mm: Callable[[Any], float | None]) -> Column[Any]:
    return _number(f"{heading} {unit}", lambda one: "" if mm(one) is None else length_number(mm(one) or 0.0, unit))


def _machines(_unit: str) -> tuple[list[Column[Any]], list[Column[Any]]]:
    def dial(one: Machine) -> str:
        return "" if one.starting_dial is None else show_turns(one.starting_dial, one.turn)

    return [_number("Turns down", dial)], [Column("Weights", lambda one: one.weights, share=1)]


def _cylinders(unit: str) -> tuple[list[Column[Any]], list[Column[Any]]]:
    slots = _number("Slots", lambda one: str(one.slots))
    return [slots, _length("Across", unit, lambda one: one.diameter_mm)], []


def _yarns(_unit: str) -> tuple[list[Column[Any]], list[Column[Any]]]:
    def colour(one: Yarn) -> str:
        return one.colour if not one.striped or "strip" in one.colour else f"{one.colour} striped".strip()

    thick = _number("m/100 g", lambda one: f"{one.m_per_100g:.0f}" if one.m_per_100g else one.count)
    ball = _number("Ball", lambda one: show_mass(one.ball_g) if one.ball_g else "")
    return [thick, ball], [Column("Colour", colour, share=1)]


def _wearers(unit: str) -> tuple[list[Column[Any]], list[Column[Any]]]:
    def foot(one: Wearer) -> str:
        return length_number(one.foot_length_mm, unit) if one.foot_length_mm else one.shoe_size

    risk = Column[Any]("", lambda one: "! at risk" if one.caution else "", style=lambda _one: "due bold")
    return [_number(f"Foot {unit}", foot), risk], [_length("Girth", unit, lambda one: one.ball_girth_mm)]


def _plans(_unit: str) -> tuple[list[Column[Any]], list[Column[Any]]]:
    figures = [
        _number("Slots", lambda one: str(one.slots)),
        _number("Foot rows", lambda one: str(one.foot_rows or "")),
        _number("Pair", lambda one: f"{one.metres_per_pair:.0f} m"),
    ]
    return figures, [_number("Weighs", lambda one: show_mass(round(one.grams_per_pair)) if one.grams_per_pair else "")]


_COLUMNS: dict[type[Any], Callable[[str], tuple[list[Column[Any]], list[Column[Any]]]]] = {
    Machine: _machines,
    Cylinder: _cylinders,
    Yarn: _yarns,
    Wearer: _wearers,
    Plan: _plans,
}


# --- what is from the notebook ------------------------------------------------------------------------------------


def noted_words(one: Noted, names: Mapping[str, str], unit: str = "in") -> str:
    """All of it but its note: "Gauge of May 2021, Moss, 64 slots, dial 7 1/4: 10.4 ± 0.1 rows and ...".

    ``names`` are those of yarns, cylinders and wearers by id; rates are per ``unit``, "in" or "cm".
    """
    wearer = names.get(one.wearer or "", "")
    head = f"{one.name[0].upper()}{one.name[1:]}" + (f" for {wearer}" if wearer else "")
    about = (names.get(one.yarn, one.yarn), f"{one.slots} slots", one.dial and f"dial {one.dial}")
    worn = one.worn or (f"{one.fit} on the foot" if one.fit else "")
    told = (_rates(one, unit), worn, one.parts_typed, one.shared)
    return f"{', '.join(part for part in (head, *about) if part)}: {'; '.join(part for part in told if part)}"


def _rates(one: Noted, unit: str) -> str:
    if one.rows_per_mm is None or one.stitches_per_mm is None:
        return ""
    rows = _rate(one.rows_per_mm, one.rows_per_mm_error, unit)
    return f"{rows} rows and {_rate(one.stitches_per_mm, one.stitches_per_mm_error, unit)} stitches per {unit}"


_WITH_ERRORS = 90  # cells; from here on there is room for the errors


def noted_columns(names: Mapping[str, str], unit: str, room: int) -> Sequence[Column[Noted]]:
    """What is from the notebook as a list in ``room`` cells; ``names`` and ``unit`` as above."""

    def rows(one: Noted) -> str:
        return _rate(one.rows_per_mm, one.rows_per_mm_error, unit).partition(" ± " if room < _WITH_ERRORS else "\n")[0]

    def what(one: Noted) -> str:
        return one.what + ", shared" * bool(one.shared) + " (retired)" * one.retired

    def yarn(one: Noted) -> str:
        return names.get(one.yarn, one.yarn)

    def worn(one: Noted) -> str:
        wearer = names.get(one.wearer or "", "")
        return ": ".join(part for part in (wearer, one.worn or one.fit) if part)

    return (
        Column("Day", lambda one: past_day(one.day), number=True, order=lambda one: one.at_ms),
        Column("What", what, order=lambda one: one.what),
        Column("Yarn", yarn, share=2, order=yarn),
        Column("Slots", lambda one: str(one.slots), number=True, order=lambda one: one.slots),
        Column("Dial", lambda one: one.dial, share=1),
        Column(f"Rows/{unit}", rows, number=True),
        Column("On the foot", worn, share=2),
    )


def _rate(rate: float | None, error: float, unit: str) -> str:
    return "" if rate is None else plus_minus(rate * PER_UNIT_MM[unit], error * PER_UNIT_MM[unit])
