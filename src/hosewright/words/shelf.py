"""What is on the shelf, in one line each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.colours import show_colour
from hosewright.craft.dial import show_position
from hosewright.craft.units import show_length, show_mass
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn

if TYPE_CHECKING:
    from collections.abc import Callable

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
    dial = "" if start is None else f"starting dial {show_position(start, item.clicks_per_turn)}"
    return [dial], [f"weights {item.weights}" if item.weights else ""]


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
    foot = f"{item.foot_rows} rows in the foot"
    return [f"{item.slots} slots", foot, f"{item.metres_per_pair:.0f} m for the pair"], []


_FACTS: dict[type[Any], Callable[[Any, str], tuple[list[str], list[str]]]] = {
    Machine: _machine,
    Cylinder: _cylinder,
    Yarn: _yarn,
    Wearer: _wearer,
    Plan: _plan,
}
