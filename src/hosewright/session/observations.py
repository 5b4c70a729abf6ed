"""Observations in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.faults import FAULT_WORDS
from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.state import Observation, State


def seen_words(state: State, most: int) -> str:
    """The last observations of the present step, one a line."""
    here = [s for s in state.observations if s.step == state.index]
    return "\n".join(observation_words(state, s) for s in here[-most:])


def observation_words(state: State, observation: Observation) -> str:
    """An observation with its place, in one line."""
    note = f": {observation.note}" if observation.note else ""
    struck = " (struck out)" if observation.struck else ""
    said = f"{FAULT_WORDS[observation.fault]}{needle_words(observation)}{note}{struck}"
    return f"{place_words(state, observation)}: {said}"


def joined(state: State) -> list[Observation]:
    """The knots where balls of a lot that was named were joined on, in order."""
    return [seen for seen in state.observations if seen.lot and seen.fault == "knot" and not seen.struck]


def lot_now(state: State, begun: str | None) -> str | None:
    """The lot the yarn comes off now; ``begun``: the one it came off at the start."""
    return next((seen.lot for seen in reversed(joined(state))), begun)


def place_words(state: State, observation: Observation) -> str:
    """Where it was seen: "Heel, pass 24", or between two parts."""
    step = state.head.steps[observation.step] if observation.step < len(state.head.steps) else None
    if not isinstance(step, CountRows | CountPasses):
        return "between"
    return f"{step.title}, {'pass' if isinstance(step, CountPasses) else 'row'} {observation.count}"


def needle_words(observation: Observation) -> str:
    """At which needle, to stand after its place or what it was; empty where that is not known."""
    return f", needle {observation.needle}" if observation.needle else ""
