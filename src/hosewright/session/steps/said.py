"""One entry of the catalogue, and how someone can be hurt at the machine: common practice, no source.

The manual of the machine at hand comes first. A danger is shown once an evening (see ``reasons``), so that the same one
must be told in the same words wherever it waits.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Said:
    """All that is said of a step.

    ``do`` is what the hands do and ``why``; ``look`` is what to look for and ``wrong`` what to do when it is not so, in
    which a key is named by its command in braces. In ``do`` braces stand for what the session knows, such as {dial}.
    ``caution``: how someone can be hurt, each danger a sentence or two. ``cue`` announces the step, as the end of "in
    3 rows ..."; without one its title does.
    """

    title: str = ""
    do: str = ""
    why: str = ""
    look: str = ""
    wrong: str = ""
    caution: tuple[str, ...] = ()
    cue: str = ""


CLAMPED = "The machine is heavy: clamp it to the table before you crank."
MANUAL = "Your machine's own manual comes first."
HOOKS = "Needles are hooked and sharp: work at them only while the crank stands still."
HAIR = "Tie hair and sleeves back."
CRANKING = "Hair, sleeves and fingers clear of needles and cam; nobody else cranks."
STIFF = "Never force a stiff crank: stop, and find what holds it."
PAIN = "Stop at numbness or pain in hand or wrist."
WEIGHTS = "If the knitting drops off, the weights fall with it: keep feet and small children clear."
CARRIER = "The carrier stands close to the needles: thread it while the crank stands still."
STILL = "Lift and lower needles only while the crank stands still."
TAKEN_OUT = "Count the needles you take out, and lay them where nobody leans or steps."
PUT_BACK = "Count the needles as they go back: none stays on chair or floor."
SCISSORS = "Scissors near loops: cut separator yarn only, and away from the fingers that hold it."
BLUNT = "A work hook is sharp: point it away from the fingers that hold the work."
FORKS = "Weights and forks slip as they are moved: steady them with one hand."
RIBBER = "The ribber is heavy and its needles are sharp: move it with both hands."

ALL_CRANKING = (CRANKING, STIFF, PAIN)
BOTH_BEDS = (
    "Needles of both beds are hooked: keep fingers away whenever the crank moves.",
    "Crank the first round by hand and slowly.",
    STIFF,
    RIBBER,
)

FEET_AT_RISK = (
    "Feet with diabetes, numbness or poor circulation: a tight sock may not be felt, and no ease is called safe. "
    "Measure, make it loose, and ask a podiatrist or nurse."
)
TRYING_ON = (
    "Feet with diabetes, numbness or poor circulation may not feel a tight sock: look at the skin after wearing it, "
    "and ask a podiatrist or nurse."
)
