"""Observations in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.faults import FAULT_WORDS
from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.state import Sighting, State


def seen_words(state: State, most: int) -> str:
    """The last observations of the present step, one a line."""
    here = [s for s in state.sightings if s.step == state.index]
    return "\n".join(sighting_words(state, s) for s in here[-most:])


def sighting_words(state: State, sighting: Sighting) -> str:
    """An observation with its place, in one line."""
    step = state.head.steps[sighting.step] if sighting.step < len(state.head.steps) else None
    unit = "pass" if isinstance(step, CountPasses) else "row"
    place = f"{step.title}, {unit} {sighting.count}" if isinstance(step, CountRows | CountPasses) else "between"
    needle = f", needle {sighting.needle}" if sighting.needle else ""
    note = f": {sighting.note}" if sighting.note else ""
    struck = " (struck out)" if sighting.struck else ""
    return f"{place}: {FAULT_WORDS[sighting.fault]}{needle}{note}{struck}"
