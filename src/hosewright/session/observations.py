"""What is seen at a row: faults and other observations by name, what to do at once, and where each was seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.events import Fault, Verdict
    from hosewright.session.state import Observation, State
    from hosewright.session.steps import Step

FAULT_WORDS: dict[Fault, str] = {
    "dropped": "dropped stitch",
    "tuck": "tuck",
    "split": "split yarn",
    "stayed-up": "stitches stayed up",
    "fell-off": "work fell off",
    "yarn-broke": "yarn broke",
    "stiff": "crank stiff",
    "weight": "weight moved",
    "knot": "knot",
    "colour": "colour change",
    "note": "note",
}

VERDICT_WORDS: dict[Verdict, str] = {
    "drop": "dropped back",
    "stay": "stayed up",
    "unsure": "not sure",
    "stiff": "crank stiff",
    "broke": "yarn broke",
    "lower-stop": "dial at its lower stop",
}

# Faults that happen at one needle, which is asked for.
FAULTS_AT_A_NEEDLE: frozenset[Fault] = frozenset({"dropped", "tuck", "split", "stayed-up"})

# Faults that say the stitches do not form as they should; the others say something of the yarn or the work.
FAULTS_OF_A_STITCH: frozenset[Fault] = frozenset({"dropped", "tuck", "split", "stayed-up", "fell-off"})

# What to do at once, each said in one place: a line, and the key that follows. Common practice, no source; the
# machine's own manual goes before it.
_DO_NOT_CRANK = "Do not crank on: needles that pass without yarn cast their loops off."

_AT_ONCE: dict[Fault, str] = {
    "fell-off": f"{_DO_NOT_CRANK} Weights off, catch the live loops,",
    "yarn-broke": f"{_DO_NOT_CRANK} Weights off, catch the live loops, tie the yarn in.",
    "stiff": "Stop, never force it. Weights off; look for a shut latch, a tight loop, yarn caught: free that first.",
    "dropped": "Stop, hold the loop, latch it up: as many rungs as rows since the row it dropped at.",
    "stayed-up": "Before you crank on: draw the work down by hand, see every latch open and clear.",
}
_HANG_AGAIN: dict[Fault, str] = {
    "fell-off": "hang them again at the last whole row; then",
    "yarn-broke": "Where loops ran, hang again at the last whole row; then",
    "stiff": "If loops came off, hang again at the last whole row; then",
}


def first_aid(fault: Fault, hang: str = "") -> str:
    """The next thing to do when ``fault`` is seen; empty where nothing presses.

    ``hang``: the key that says work was hung again at a row or pass; none where none of a part is counted.
    """
    again = f" {_HANG_AGAIN[fault]} {hang}." if hang and fault in _HANG_AGAIN else ""
    return f"{_AT_ONCE.get(fault, '')}{again}"


def seen_words(state: State, most: int) -> str:
    """The last observations of the present step, one a line."""
    here = [s for s in state.observations if s.step == state.index]
    return "\n".join(observation_words(state, s) for s in here[-most:])


def observation_words(state: State, observation: Observation) -> str:
    """An observation with its place, in one line."""
    said = f"{FAULT_WORDS[observation.fault]}{needle_words(observation)}"
    if observation.note:  # words that are a note say so themselves
        said = observation.note if observation.fault == "note" else f"{said}: {observation.note}"
    struck = " (struck out)" if observation.struck else ""
    return f"{place_words(state, observation)}: {said}{struck}"


def joined(state: State) -> list[Observation]:
    """The knots where balls of a lot that was named were joined on, in order."""
    return [seen for seen in state.observations if seen.lot and seen.fault == "knot" and not seen.struck]


def lot_now(state: State, begun: str | None) -> str | None:
    """The lot the yarn comes off now; ``begun``: the one it came off at the start."""
    return next((seen.lot for seen in reversed(joined(state))), begun)


def place_words(state: State, observation: Observation) -> str:
    """Where it was seen: "Heel, pass 24", or between two parts."""
    step = state.head.steps[observation.step] if observation.step < len(state.head.steps) else None
    return place_in(step, observation.count) if isinstance(step, CountRows | CountPasses) else "between"


def place_in(step: Step | None, count: int) -> str:
    """A step, and the row or pass cranked last in it: "Leg, row 34"."""
    if step is None:
        return "finished"
    if isinstance(step, CountPasses):
        return f"{step.title}, pass {count}"
    return f"{step.title}, row {count}" if isinstance(step, CountRows) else step.title


def needle_words(observation: Observation) -> str:
    """At which needle, to stand after its place or what it was; empty where that is not known."""
    return f", needle {observation.needle}" if observation.needle else ""
