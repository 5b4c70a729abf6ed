"""A ribbed stretch of a sock, whether cuff, leg or instep: which stitches stand out of the plain, and how it is made.

A ribber knits them on a second bed; without one their needles stay out, and the ladders they leave are latched up later
into the same rib, rung by rung. A rib's pattern is plain stitches and rib stitches in turn, such as 3x1: the ribs of a
leg run straight down, so those over the instep are the leg's. A rib draws in, and is longer or shorter than plain by
what only a ribbed tube tells: nothing of it is taken from a plain one.
Source: common practice, no source, unless a constant says more; counts and what divides are arithmetic.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError, check_slots
from hosewright.craft.cuffs import RIBS, evenness, read_needle_out, ribber_places
from hosewright.craft.measured import measured, nominal
from hosewright.craft.units import MM_PER_INCH, decimal_length, quoted

if TYPE_CHECKING:
    from hosewright.craft.measured import Measured

Way = Literal["ribber", "latched"]
# Rows of the foot that are plain again before the toe, so that every stitch moved has knitted on its needle. Ours.
PLAIN_BEFORE_TOE = 2
LEAST_RIBBED_ROWS = 1
# What a rib's width and its rows may be, as shares of plain's, where no ribbed tube was measured.
WIDTH_SHARES = (0.5, 1.0)
ROWS_SHARES = (0.9, 1.1)

_RIB = re.compile(r"(.*?)[ ,]*(?:\b(latched(?: up)?|mock)\b|\b(?:with the )?ribber\b)?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Rib:
    """The ribs of a sock: ``leg`` are the needle numbers, from 1, whose stitches stand out there, ``instep`` those of
    them that go on along the foot, none for a plain foot. There ``over`` needles are in rib, and the others plain."""

    pattern: str
    way: Way
    slots: int
    leg: tuple[int, ...]
    instep: tuple[int, ...] = ()
    over: int = 0

    @property
    def foot_share(self) -> float:
        """How much of the foot's round is in rib: half, or what a heel on more needles leaves of it."""
        return self.over / self.slots

    @property
    def foot_words(self) -> str:
        """The same in words."""
        return "half of it rib" if 2 * self.over == self.slots else f"{self.over} needles of {self.slots} in rib"

    @property
    def words(self) -> str:
        """As it is typed: "3x1", "3x1 latched"."""
        return f"{self.pattern} latched" if self.way == "latched" else self.pattern

    @property
    def heel(self) -> tuple[int, ...]:
        """Those that are plain again from the heel on."""
        return tuple(number for number in self.leg if number not in self.instep)

    def stitches(self, rows: int, places: tuple[int, ...]) -> int:
        """Stitches cranked in so many rows with these ``places`` ribbed: where a needle is out none is."""
        return rows * (self.slots - (len(places) if self.way == "latched" else 0))


@dataclass(frozen=True, slots=True)
class RibGauge:
    """A washed ribbed tube: rows and stitches per mm as it lies, and its flat width in mm pulled wide."""

    pattern: str
    rows: Measured
    stitches: Measured
    stretched_mm: float | None = None

    def worn_round(self, slots: int) -> Measured:
        """How far round so many slots of it lie when worn, mm: the mean of relaxed and pulled wide, as maker's advice
        has it (one maker's practice, no standard); relaxed where it was not pulled."""
        relaxed = slots / self.stitches
        return relaxed if self.stretched_mm is None else (relaxed + 2 * self.stretched_mm) / 2


def read_rib(text: str) -> tuple[str, Way]:
    """A rib from typed text: "3x1" is the ribber's, "3x1 latched" a mock rib whose ladders are latched up.

    Raises CraftError.
    """
    plain = " ".join(text[:80].lower().replace("×", "x").split())
    found = _RIB.fullmatch(plain)
    if found is not None and found[2]:
        runs = read_needle_out(found[1])
        if max(runs.runs[1::2]) > 1:
            raise CraftError(f"A ladder is latched up one needle wide, so {quoted(runs.words)} cannot be: use 3x1.")
        return runs.words, "latched"
    pattern = re.sub(r" ?[x:/] ?", "x", found[1].strip() if found else plain)
    if pattern not in RIBS:
        raise CraftError(
            f"{quoted(text.strip())} is no rib of the ribber's, which knits {', '.join(RIBS)}: type one of these, or "
            f"“{pattern if re.fullmatch(r'[0-9]{1,2}x1', pattern) else '3x1'} latched” for a mock rib latched up."
        )
    return pattern, "ribber"


def make_rib(slots: int, pattern: str, way: Way = "ribber", *, instep: bool = False, heel_needles: int = 0) -> Rib:
    """The ribs of a leg, and ``instep``: along the foot, too, on the needles past the ``heel_needles``.

    Without a number the heel is turned on half of them. Raises CraftError.
    """
    check_slots(slots)
    if way == "ribber":
        places = ribber_places(slots, pattern)
    else:
        runs = read_needle_out(pattern)
        even = evenness(slots, runs)
        if not even.even:
            raise CraftError(even.words)
        places = runs.out_of(slots)
    over = range((heel_needles or slots // 2) + 1, slots + 1)
    if not instep:
        return Rib(pattern, way, slots, places)
    return Rib(pattern, way, slots, places, tuple(number for number in places if number in over), len(over))


def leg_rate(plain_rows: Measured, own: RibGauge | None) -> Measured:
    """Rows per mm of a ribbed leg: its own tube's, else plain's as unsure as a rib's rows may lie from it.

    Any of them is as likely as any other: a rectangular error, a / sqrt(3).
    """
    if own is not None:
        return own.rows
    least, most = ROWS_SHARES
    middle, half = (most + least) / 2, (most - least) / 2
    return plain_rows * measured(middle, half / math.sqrt(3))


def foot_range(plain_round: float, share: float) -> tuple[float, float]:
    """From where to where round a foot with a ribbed instep may be, mm, where no ribbed tube was measured.

    A ``share`` of it is as wide as a rib may lie, the rest is plain, ``plain_round`` being all of it.
    """
    least, most = (plain_round * (1 - share + share * width) for width in WIDTH_SHARES)
    return least, most


def rib_notes(
    rib: Rib, own: RibGauge | None, plain: tuple[Measured, Measured], leg_mm: float, unit: str = "in"
) -> tuple[str, ...]:
    """What a ribbed leg comes to by its own gauge, or what is not known of it; ``plain``: rows, stitches per mm."""
    rows, stitches = nominal(plain[0]), nominal(plain[1])
    around = rib.slots / stitches
    notes = []
    if own is None:
        least, most = (round(share * rows * leg_mm) for share in ROWS_SHARES)
        narrow, wide = (decimal_length(share * around, unit) for share in WIDTH_SHARES)
        notes.append(
            f"No {rib.words} tube of this yarn was measured here, and a rib's gauge is not plain's: this leg is "
            f"somewhere from {least} to {most} rows (within a tenth of plain's, from memory). Crank a ribbed tube, and "
            "plan again."
        )
        notes.append(
            f"How wide it lies is not known either: from {narrow}, half of plain (a 1x1 rib in theory: Spencer, "
            f"Knitting Technology, 7.3), to plain's {wide} round (from memory)."
        )
    else:
        ribbed = rib.slots / nominal(own.stitches)
        lies = decimal_length(ribbed, unit)
        said = f"By its own tube the ribbed leg lies {lies} round"
        if own.stretched_mm is not None:
            said += f" and stretches to {decimal_length(2 * own.stretched_mm, unit)}"
        per = MM_PER_INCH if unit == "in" else 10.0
        apart = f"{nominal(own.rows) * per:.1f} rows/{'in' if unit == 'in' else 'cm'}"
        worn = rib.foot_share * nominal(own.worn_round(rib.slots)) + (1 - rib.foot_share) * around
        foot = f", the foot, {rib.foot_words}, {decimal_length(worn, unit)} as it is worn" if rib.instep else ""
        notes.append(f"{said}; plain is {decimal_length(around, unit)} round{foot}. Its rows are its own: {apart}.")
    where = "the leg" if not rib.instep else "the leg and the instep"
    if rib.way == "ribber":
        notes.append(
            f"{rib.pattern} over {where}: {rib.slots - len(rib.leg)} needles in the cylinder and {len(rib.leg)} in the "
            "ribber. Before the heel "
            + (
                f"the {len(rib.heel)} ribber stitches of the heel half move to the cylinder, and the instep's "
                f"{len(rib.instep)} wait on the ribber."
                if rib.instep
                else "all of them move to the cylinder, and the ribber comes off."
            )
        )
    else:
        notes.append(
            f"{rib.pattern} over {where}: {len(rib.leg)} needles out, and their ladders latched up rung by rung"
            + (f", {len(rib.heel)} before the heel and {len(rib.instep)} before the toe." if rib.instep else ".")
        )
    notes.append("A rib's stitch is taken to need the yarn of a plain one, at the dial's same place (ours).")
    if rib.instep:
        notes.append(
            f"The foot's rows go by its plain sole. Over them the ribs draw the instep in; the last {PLAIN_BEFORE_TOE} "
            "are plain all round, so that every stitch moved has knitted before the toe (ours)."
        )
    return tuple(notes)
