"""The stitch size to expect of a yarn nobody searched yet, from those found on one machine and cylinder before.

A stitch grows with the root of the yarn's tex, at one tightness (see `loops`), and the loop with the dial, so that the
stitch size in turns below zero is a line against the root of tex: weighted least squares, with a prior for its slope
that joins as one more observation. How far yarns lie from the line is our assumption, refined by those known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.measured import half_up, measured

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.measured import Measured

SLOPE_TURNS = 0.35
SLOPE_SPREAD = 0.15
SCATTER_TURNS = 0.5
SCATTER_WEIGHT = 4
ROOT_TEX_SPREAD = 2.0


@dataclass(frozen=True, slots=True)
class StitchSize:
    """What a yarn's searches found: the mean in turns below zero, and its ``tex``, None where it is not known."""

    turns: float
    tex: float | None
    searches: int = 1


def expected_turns(known: Sequence[StitchSize], tex: float | None) -> Measured | None:
    """The stitch size to expect of a yarn of this ``tex``, in turns below zero with its error; None with none known.

    Of a yarn's scatter about the line half is taken as its own and half as that of one search. A yarn whose tex is not
    known counts as one of the mean of the others, and less; asked for one, the error is wider.
    """
    if not known:
        return None
    roots = [math.sqrt(one.tex) for one in known if one.tex]
    usual = sum(roots) / len(roots) if roots else 0.0
    at = math.sqrt(tex) if tex and roots else usual
    unsure = (SLOPE_TURNS * ROOT_TEX_SPREAD / SCATTER_TURNS) ** 2
    xs = [math.sqrt(one.tex) if one.tex else usual for one in known]
    weights = [1 / ((0.5 + 0.5 / one.searches) + (0.0 if one.tex or not roots else unsure)) for one in known]
    total = sum(weights)
    x_mean = sum(w * x for w, x in zip(weights, xs, strict=True)) / total
    y_mean = sum(w * one.turns for w, one in zip(weights, known, strict=True)) / total
    square = sum(w * (x - x_mean) ** 2 for w, x in zip(weights, xs, strict=True)) / SCATTER_TURNS**2
    cross = sum(w * (x - x_mean) * one.turns for w, x, one in zip(weights, xs, known, strict=True)) / SCATTER_TURNS**2
    # Centred on the weighted mean, the normal equations fall apart into one for each unknown.
    slope = (cross + SLOPE_TURNS / SLOPE_SPREAD**2) / (square + SLOPE_SPREAD**-2)
    seen = sum(
        w * (one.turns - y_mean - slope * (x - x_mean)) ** 2 for w, x, one in zip(weights, xs, known, strict=True)
    )
    scatter = (SCATTER_WEIGHT * SCATTER_TURNS**2 + seen) / (SCATTER_WEIGHT + len(known) - 1)
    blind = 0.0 if tex and roots else (slope * ROOT_TEX_SPREAD) ** 2
    error = math.sqrt(scatter * (1 + 1 / total) + (at - x_mean) ** 2 / (square + SLOPE_SPREAD**-2) + blind)
    return measured(y_mean + slope * (at - x_mean), error)


def start_of_search(expected: Measured, clicks_per_turn: int) -> int:
    """Clicks below zero for a search to begin at: a full turn below what is expected, where stitches drop back."""
    return max(0, half_up(expected * clicks_per_turn)) + clicks_per_turn
