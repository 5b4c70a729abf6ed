"""What was seen, by name: the faults of the trade, and what the stitches did in a dial trial."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hosewright.session.events import Fault, Verdict

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
