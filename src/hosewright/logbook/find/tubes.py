"""Measured tubes with all their readings, for what needs more than the gauge's own numbers."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean
from typing import TYPE_CHECKING

from hosewright.craft.doubts import doubts
from hosewright.craft.errors import CraftError
from hosewright.craft.fit import CylinderSize
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.yarn import tex_from
from hosewright.session.results import tube_gauge, wash_change

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import Cylinder


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube's gauge with its readings, its flat width pulled wide in mm where measured, and what looks wrong."""

    gauge: Gauge
    stretched_width_mm: float | None
    doubts: tuple[str, ...]


def measured_tube(book: Logbook, session_id: str, tape_mm: float = TAPE_HALF_WIDTH_MM) -> Tube | None:
    """The tube of this session; None when it was struck out meanwhile. Raises LogbookError when it cannot be read."""
    line = book.store.line(session_id)
    if line is None:
        return None
    state = book.state(line)
    try:
        gauge = tube_gauge(state, tape_mm)
    except CraftError:
        return None  # its readings cannot be a tube's, so it has no gauge on any list either
    if gauge is None:
        return None
    metres = book.record(line).yarn.m_per_100g
    found = doubts(
        gauge,
        tex_from("m_per_100g", metres) if metres else None,
        wash_change(state, "length"),
        wash_change(state, "width"),
    )
    stretched = state.values("stretched")
    return Tube(gauge, fmean(stretched) if stretched else None, found)


def as_fitted(cylinder: Cylinder | None, slots: int) -> CylinderSize:
    """A cylinder as the arithmetic wants it."""
    return CylinderSize(slots, cylinder.diameter_mm, cylinder.name) if cylinder else CylinderSize(slots)
