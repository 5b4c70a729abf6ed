"""What stands on the shelf, in one line each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position
from hosewright.craft.units import show_length, show_mass
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn

if TYPE_CHECKING:
    from hosewright.logbook.records.shelf import Wearer


def item_words(item: Machine | Cylinder | Yarn | Wearer, unit: str = "in") -> str:
    """One line: the name, then what tells it from its neighbours."""
    if isinstance(item, Machine):
        start = item.starting_dial
        said = [] if start is None else [f"starting dial {show_position(start, item.clicks_per_turn)}"]
    elif isinstance(item, Cylinder):
        said = [] if f"{item.slots} slots" in item.name else [f"{item.slots} slots"]
        if item.diameter_mm:
            said.append(show_length(item.diameter_mm, unit))
    elif isinstance(item, Yarn):
        said = [
            item.colour,
            "striped" if item.striped else "",
            item.count or (f"{item.m_per_100g:.0f} m/100g" if item.m_per_100g else ""),
        ]
        said.append(f"{show_mass(item.ball_g)} put-up" if item.ball_g else "")
    else:
        said = [f"foot {show_length(item.foot_length_mm, unit)}" if item.foot_length_mm else item.shoe_size]
        said.append("foot at risk" if item.caution else "")
    said.append("retired" if item.retired else "")
    return ", ".join(part for part in (item.name, *said) if part)
