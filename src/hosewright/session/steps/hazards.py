"""How someone can be hurt at the machine, each said in one way: common practice, no source.

The manual of the machine at hand comes first. A sentence is shown once an evening (see ``reasons``), so that the
same danger must be told in the same words wherever it waits.
"""

from __future__ import annotations

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
BLUNT = "A work hook is sharp: point it away from the fingers that hold the sock."
FORKS = "Weights and forks slip as they are moved: steady them with one hand."
RIBBER = "The ribber is heavy and its needles are sharp: move it with both hands."

ALL_CRANKING = (CRANKING, STIFF, PAIN)

FEET_AT_RISK = (
    "Feet with diabetes, numbness or poor circulation: a tight sock may not be felt, and no ease is called safe. "
    "Measure, make it loose, and ask a podiatrist or nurse."
)
TRYING_ON = (
    "Feet with diabetes, numbness or poor circulation may not feel a tight sock: look at the skin after wearing it, "
    "and ask a podiatrist or nurse."
)
