"""Words for how a sock fits: from the ease it really has and how far it must stretch over the heel.

The bands are ours. How far a tube can stretch is ours too until the knitter measures its flat width pulled wide,
which then decides whether the heel passes.
"""

from __future__ import annotations

from typing import Literal

Verdict = Literal["loose", "right", "snug", "tight", "will not go on"]

LOOSE_UNDER_EASE = 0.05
RIGHT_UP_TO_EASE = 0.15
SNUG_UP_TO_EASE = 0.25
EASY_OVER_HEEL = 0.65
MOST_OVER_HEEL = 0.90

VERDICT_WORDS: dict[Verdict, str] = {
    "loose": "loose on this foot",
    "right": "right for this foot",
    "snug": "snug, as ribbing would be",
    "tight": "tight on this foot or over its heel",
    "will not go on": "too small to pass over the heel",
}


def verdict_for(ease: float, heel_stretch: float | None, most_stretch: float | None = None) -> Verdict:
    """A word for the fit. All are shares (0.1 is 10 %): ease, stretch over the heel, and the most it stretches.

    ``most_stretch`` as measured on the tube, None to use our band of 90 %. Within the last quarter or so of what
    the tube gives (65 of 90) getting it on is a struggle, so that counts as tight.
    """
    most = MOST_OVER_HEEL if most_stretch is None else most_stretch
    if heel_stretch is not None and heel_stretch > most:
        return "will not go on"
    struggles = heel_stretch is not None and heel_stretch > most * EASY_OVER_HEEL / MOST_OVER_HEEL
    if ease > SNUG_UP_TO_EASE or struggles:
        return "tight"
    if ease < LOOSE_UNDER_EASE:
        return "loose"
    return "right" if ease <= RIGHT_UP_TO_EASE else "snug"
