"""Where a sock will be tight: every place of foot and leg that was measured, held against the tube that lies there.

Only a tape counts here, no estimate: an instep does not follow from a foot's length (Hill et al. 2017, Applied
Ergonomics 59, 243), and a guessed girth would name the wrong place. The stretch is geometry, girth over the relaxed
round less one. Where the ball lies along the foot is the mean of 4082 men (ANSUR II, Gordon et al. 2014: ball of the
foot 200.94 mm from the heel of a foot of 271.18 mm; of 1986 women 182.05 of 246.29, the same share within 0.2 %); that
the instep lies halfway is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, error, nominal

Where = Literal["ball", "instep", "ankle", "calf", "wrist", "hand"]
SideOf = Literal["", "left", "right"]

BALL_ALONG = 200.94 / 271.18  # share of the foot's length, from the heel
INSTEP_ALONG = 0.5
DIFFER_MM = 3.0  # a tape laid twice round one place differs by as much; ours
_AT: dict[str, str] = {"ball": "the ball of the {}foot"} | {where: f"the {{}}{where}" for where in get_args(Where)[1:]}


@dataclass(frozen=True, slots=True)
class Girth:
    """What a tape said, mm: round the ``where`` of both feet or legs, or of one ``side``."""

    where: Where
    mm: float
    side: SideOf = ""

    @property
    def place(self) -> str:
        """In words: "the left instep", "the calf"."""
        return _AT[self.where].format(f"{self.side} " if self.side else "")


def girths(where: Where, both: float | None, left: float | None = None, right: float | None = None) -> list[Girth]:
    """What is known of one place: each side by itself where they differ by more than a tape does, else the larger."""
    if left is not None and right is not None and abs(left - right) > DIFFER_MM:
        return [Girth(where, left, "left"), Girth(where, right, "right")]
    known = [mm for mm in (both, left, right) if mm is not None]
    return [Girth(where, max(known))] if known else []


@dataclass(frozen=True, slots=True)
class Lie:
    """A sock at one place: the ``girth`` it goes round, and how far round it is itself there, relaxed, mm."""

    girth: Girth
    round_mm: Measured

    @property
    def stretch(self) -> float:
        """By which share the knitting is stretched: 0.1 is 10 %; below zero it has room to spare."""
        return self.girth.mm / nominal(self.round_mm) - 1

    @property
    def stretch_error(self) -> float:
        """One standard error of it, from the tube's own."""
        return self.girth.mm / nominal(self.round_mm) * error(self.round_mm) / nominal(self.round_mm)

    @property
    def words(self) -> str:
        """Such as "stretched 12 % round the left instep"."""
        return f"{stretched(self.stretch)} round {self.girth.place}"


def stretched(share: float) -> str:
    """A stretch in words: "stretched 12 %", "just its size" or "3 % to spare"."""
    per_cent = round(abs(share) * 100)
    if not per_cent:
        return "just its size"
    return f"stretched {per_cent} %" if share > 0 else f"{per_cent} % to spare"


def lie(girth: Girth, round_mm: Measured) -> Lie:
    """The tube that is ``round_mm`` round, at that place. Raises CraftError for what cannot be."""
    if not math.isfinite(girth.mm) or girth.mm <= 0 or nominal(round_mm) <= 0:
        raise CraftError("A girth, and a sock's own round, are more than zero.")
    return Lie(girth, round_mm)


def tightest(lies: list[Lie]) -> Lie:
    """Where it is stretched most; of equals the first. Raises ValueError for none."""
    return max(lies, key=lambda one: one.stretch)


def loosest(lies: list[Lie]) -> Lie:
    """Where it is stretched least; of equals the first. Raises ValueError for none."""
    return min(lies, key=lambda one: one.stretch)


def heel_reaches(deep_mm: float, to_ground_mm: float, rows_per_mm: float) -> tuple[float, int]:
    """How much shallower the sock's heel is than the foot's own, mm, and the rows that would make up for it.

    ``deep_mm`` is the pocket's depth, ``to_ground_mm`` from the bend of the ankle straight down to the ground. Both 0
    for a heel that is deep enough. What is missing lies in the tube above, which has to stretch round the heel for it.
    """
    missing = max(0.0, to_ground_mm - deep_mm)
    return missing, math.ceil(missing * rows_per_mm - 1e-9)
