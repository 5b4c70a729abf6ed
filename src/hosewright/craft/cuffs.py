"""Cuffs: a hung hem, a picot edge, a rolled edge, a mock rib by needles out, and the ribber's ribs.

A hung hem is knitted twice as long as it is deep and hung back on its needles. A mock rib leaves some slots without a
needle; the ladder they leave draws together into a rib. Its pattern is a repeat of needles in and out, such as 3x1
(three in, one out), and comes out even when the slots divide by it. A ribber knits some stitches on a second bed: in
2x1 two stitches of three are the cylinder's and one the ribber's.
Source: common practice, no source; counts and what divides are arithmetic.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from hosewright.craft import CraftError, check_slots
from hosewright.craft.units import quoted

MOST_REPEAT = 60
MOST_OUT_TOGETHER = 2
NEAR_SLOTS = 6
NEAR_NEEDLES = 2

_HINT = "needles in and out in turn, such as 3x1 or 2 in 1 out"
Kind = Literal["hem", "picot", "rolled", "mock rib", "ribber"]
MOST_CUFF_ROWS = 400
# A selvedge: one row 1x1 on both beds, two on the cylinder alone. Common practice, no source.
SELVEDGE_BOTH = 1
SELVEDGE_CYLINDER = 2
SELVEDGE_ROWS = SELVEDGE_BOTH + SELVEDGE_CYLINDER
RIBS = {"1x1": (1, 1), "2x1": (2, 1), "3x1": (3, 1)}


@dataclass(frozen=True, slots=True)
class NeedleOut:
    """One repeat: ``runs`` of needles in work and out of work by turns, in first."""

    runs: tuple[int, ...]

    def __post_init__(self) -> None:
        if len(self.runs) < 2 or len(self.runs) % 2 or min(self.runs) < 1 or self.repeat > MOST_REPEAT:
            raise CraftError(f"A needle pattern of {self.runs} has no meaning here: type {_HINT}.")
        if max(self.runs[1::2]) > MOST_OUT_TOGETHER:
            raise CraftError(
                f"{max(self.runs[1::2])} needles out side by side leave a ladder too wide to close: "
                f"at most {MOST_OUT_TOGETHER} together, such as {self.runs[0]}x1."
            )

    @property
    def repeat(self) -> int:
        """Slots in one repeat."""
        return sum(self.runs)

    @property
    def words(self) -> str:
        """The pattern as people write it: "3x1"."""
        return "x".join(str(run) for run in self.runs)

    def out_of(self, slots: int) -> tuple[int, ...]:
        """Needle numbers out of work, from 1, for as many whole repeats as ``slots`` hold; the rest stay in."""
        out: list[int] = []
        place = 0
        for _ in range(slots // self.repeat):
            for number, run in enumerate(self.runs):
                if number % 2:
                    out += range(place + 1, place + run + 1)
                place += run
        return tuple(out)


def read_needle_out(text: str) -> NeedleOut:
    """A pattern from typed text: "3x1", "3:1", "2 in 1 out", "2 in, 1 out, 1 in, 1 out". Raises CraftError."""
    plain = " ".join(text[:80].lower().replace("×", "x").split())
    simple = re.fullmatch(r"([0-9]{1,3}) ?[x:/] ?([0-9]{1,3})", plain)
    longer = re.fullmatch(r"(?:[0-9]{1,3} ?in,? ?[0-9]{1,3} ?out,? ?)+", plain)
    chained = re.fullmatch(r"[0-9]{1,3}(?:x[0-9]{1,3})+", plain)
    if len(text) > 80 or not (simple or longer or chained):
        raise CraftError(f"{quoted(text)} is not a needle pattern: type {_HINT}.")
    return NeedleOut(tuple(int(run) for run in re.findall(r"[0-9]+", plain)))


@dataclass(frozen=True, slots=True)
class Evenness:
    """Whether a pattern goes round evenly, and what nearly does.

    ``left_over`` slots remain after the whole repeats. ``slot_counts`` are the nearest that divide by the repeat,
    ``patterns`` those within two needles of this one that divide these slots, nearest first.
    """

    repeats: int
    left_over: int
    slot_counts: tuple[int, ...]
    patterns: tuple[str, ...]
    words: str

    @property
    def even(self) -> bool:
        return self.left_over == 0


def evenness(slots: int, pattern: NeedleOut) -> Evenness:
    """How ``pattern`` goes round ``slots``, with the slot counts and the patterns near it that come out even."""
    repeats, left_over = divmod(slots, pattern.repeat)
    fewer, more = slots - left_over, slots - left_over + pattern.repeat
    counts = (slots,) if not left_over else tuple(n for n in (fewer, more) if n and abs(n - slots) <= NEAR_SLOTS)
    near = _near_patterns(slots, pattern)
    if not left_over:
        return Evenness(repeats, 0, counts, near, f"{pattern.words} goes round {slots} slots {repeats} times.")
    said = f"{pattern.words} goes round {slots} slots {repeats} times and leaves {left_over} over"
    offers = []
    if near:
        offers.append(f"{' or '.join(near[:3])} on these slots")
    if counts:
        offers.append(f"{pattern.words} on {' or '.join(str(n) for n in counts)} slots")
    return Evenness(
        repeats, left_over, counts, near, f"{said}: these come out even: {', '.join(offers)}." if offers else f"{said}."
    )


def _near_patterns(slots: int, pattern: NeedleOut) -> tuple[str, ...]:
    """Patterns with one run a needle or two longer or shorter that divide the slots, the smallest change first."""
    found = {}
    for place, run in enumerate(pattern.runs):
        for change in range(-NEAR_NEEDLES, NEAR_NEEDLES + 1):
            longest = MOST_OUT_TOGETHER if place % 2 else MOST_REPEAT
            if not change or not 1 <= run + change <= longest:
                continue
            runs = (*pattern.runs[:place], run + change, *pattern.runs[place + 1 :])
            if sum(runs) <= MOST_REPEAT and slots % sum(runs) == 0:
                found["x".join(map(str, runs))] = (abs(change), place % 2, -change)
    return tuple(sorted(found, key=lambda words: found[words]))


@dataclass(frozen=True, slots=True)
class Cuff:
    """The top of a sock: ``rows`` cranked, ``rows_deep`` seen above the leg once a hung one is hung.

    ``out_of_work`` are needle numbers, from 1, without a needle while the cuff is cranked; ``cylinder_needles`` and
    ``ribber_needles`` knit each row together. ``hung`` cuffs are doubled over and hung before the leg. A rib with a
    ``selvedge`` begins with a finished edge, whose rows are among those cranked.
    """

    kind: Kind
    slots: int
    rows: int
    hung: bool
    pattern: str
    out_of_work: tuple[int, ...]
    cylinder_needles: int
    ribber_needles: int
    notes: tuple[str, ...]
    selvedge: bool = False

    @property
    def rows_deep(self) -> int:
        return self.rows // 2 if self.hung else self.rows

    @property
    def stitches(self) -> int:
        """Stitches in the whole cuff; of a selvedge's, the rows on the cylinder alone are on every other needle."""
        resting = SELVEDGE_CYLINDER * (self.slots // 2) if self.selvedge else 0
        return self.rows * (self.cylinder_needles + self.ribber_needles) - resting

    @property
    def section(self) -> str:
        """What the plan calls it: a hung cuff is a hem."""
        return "hem" if self.hung else "cuff"


def make_cuff(
    kind: Kind,
    slots: int,
    rows: int,
    pattern: str = "",
    *,
    hung: bool = False,
    selvedge: bool = False,
    allow_uneven: bool = False,
) -> Cuff:
    """A cuff of any kind; ``pattern`` is a rib's, ``hung`` and ``allow_uneven`` a mock rib's, ``selvedge`` a ribber's.

    Raises CraftError.
    """
    if kind == "hem":
        return hung_hem(slots, rows)
    if kind == "picot":
        return picot_edge(slots, rows)
    if kind == "rolled":
        return rolled_edge(slots, rows)
    if kind == "ribber":
        return ribber_rib(slots, pattern, rows, selvedge=selvedge)
    return mock_rib(slots, pattern, rows, hung=hung, allow_uneven=allow_uneven)


def hung_hem(slots: int, rows: int) -> Cuff:
    """A plain hem of ``rows`` (even), every needle in work. Raises CraftError."""
    check_cuff(slots, rows, hung=True)
    note = f"The hem's {rows} rows hang double, {rows // 2} rows deep at the top."
    return Cuff("hem", slots, rows, True, "", (), slots, 0, (note,))


def picot_edge(slots: int, rows: int) -> Cuff:
    """A hung hem with a row of eyelets at the fold, which makes small points. Rows and slots must be even.

    Raises CraftError.
    """
    check_cuff(slots, rows, hung=True)
    if slots % 2:
        raise CraftError(
            f"A picot edge moves every other stitch, so its slots must be even, not {slots}: "
            f"use {slots - 1} or {slots + 1} slots, or a plain hung hem."
        )
    note = (
        f"After row {rows // 2} move every other stitch onto its neighbour ({slots // 2} of {slots}), leave the empty "
        f"needles in work and crank on; the holes fold into points. It hangs double, {rows // 2} rows deep."
    )
    return Cuff("picot", slots, rows, True, "", (), slots, 0, (note,))


def rolled_edge(slots: int, rows: int) -> Cuff:
    """Plain rows that roll outward by themselves, every needle in work; their first loops are chained off last.

    Raises CraftError.
    """
    check_cuff(slots, rows, hung=False)
    note = (
        f"The {rows} plain rows roll outward into a soft edge. It grips little: not for a sock that must stay up. "
        "Chain its first loops off loosely when the separator yarn comes out, or they run."
    )
    return Cuff("rolled", slots, rows, False, "", (), slots, 0, (note,))


def mock_rib(slots: int, pattern: str, rows: int, *, hung: bool = True, allow_uneven: bool = False) -> Cuff:
    """A mock rib by needles out, such as "3x1" or "2 in 1 out", hung as a hem unless ``hung`` is False.

    When the pattern does not go round evenly this raises CraftError with what does; ``allow_uneven`` keeps it
    and leaves the odd needles in work as one wider rib.
    """
    check_cuff(slots, rows, hung=hung)
    rib = read_needle_out(pattern)
    even = evenness(slots, rib)
    if not even.repeats:
        raise CraftError(
            f"One repeat of {rib.words} is {rib.repeat} needles, more than {slots} slots: choose a shorter one."
        )
    if not even.even and not allow_uneven:
        raise CraftError(even.words)
    out = rib.out_of(slots)
    notes = [even.words]
    if not even.even:
        wide = even.left_over + rib.runs[0]
        notes.append(
            f"The {even.left_over} left over stay in work, so one rib is {wide} needles wide: put it at the back."
        )
    if hung:
        notes.append(
            f"The mock rib's {rows} rows hang double, {rows // 2} rows deep. Put the empty needles back first, then "
            f"hang each loop on the needle it was knitted on."
        )
    else:
        notes.append(
            "Put the empty needles back in before the heel, picking up a stitch for each. Chain the first loops off "
            "loosely when the separator yarn comes out, or they run."
        )
    return Cuff("mock rib", slots, rows, hung, rib.words, out, slots - len(out), 0, tuple(notes))


def ribber_rib(slots: int, pattern: str, rows: int, ribber_slots: int | None = None, *, selvedge: bool = False) -> Cuff:
    """A true rib with the ribber: "1x1", "2x1" or "3x1", cylinder first.

    Each ribber needle takes the place of a cylinder needle, so a row still has as many stitches as slots.
    ``ribber_slots``, where known, must seat the ribber needles evenly (geometry). ``selvedge``: it begins with a
    finished edge, without which its first loops are chained off last. Raises CraftError.
    """
    check_cuff(slots, rows, hung=False)
    if selvedge:
        _check_selvedge(slots, rows)
    out = ribber_places(slots, pattern)
    repeats = len(out)
    if ribber_slots is not None and (ribber_slots < repeats or ribber_slots % repeats):
        seats = [name for name, runs in RIBS.items() if slots % sum(runs) == 0 and _seats(ribber_slots, slots, runs)]
        other = f"; {' or '.join(seats)} can be" if seats else ""
        raise CraftError(
            f"{pattern} on {slots} slots wants {repeats} ribber needles evenly spaced, which a ribber of "
            f"{ribber_slots} slots does not have: no {pattern} here{other}."
        )
    note = (
        f"{pattern}: {slots - repeats} needles in the cylinder and {repeats} in the ribber. Before the heel move the "
        f"ribber's stitches to the cylinder and take the ribber out."
    )
    edge = (
        f"Its selvedge is a finished edge: {SELVEDGE_BOTH} row 1x1 on both beds, {SELVEDGE_CYLINDER} on the cylinder "
        f"alone, then the rib; all {rows} rows together."
        if selvedge
        else "It begins without a selvedge: chain its first loops off loosely when the separator yarn comes out, or "
        "they run."
    )
    return Cuff("ribber", slots, rows, False, pattern, out, slots - repeats, repeats, (note, edge), selvedge)


def ribber_places(slots: int, pattern: str) -> tuple[int, ...]:
    """The needle numbers, from 1, whose stitches the ribber has in a rib of its. Raises CraftError."""
    if pattern not in RIBS:
        raise CraftError(f"The ribber knits {', '.join(RIBS)}, not {quoted(pattern)}.")
    repeat = sum(RIBS[pattern])
    repeats, left_over = divmod(slots, repeat)
    if left_over:
        near = [name for name, runs in RIBS.items() if slots % sum(runs) == 0]
        on_these = f"{' or '.join(near)} on {slots} slots, or " if near else ""
        raise CraftError(
            f"{pattern} goes round {slots} slots {repeats} times and leaves {left_over} over: use {on_these}"
            f"{pattern} on {slots - left_over} or {slots - left_over + repeat}."
        )
    return tuple(range(repeat, slots + 1, repeat))


def _check_selvedge(slots: int, rows: int) -> None:
    if slots % 2:
        raise CraftError(
            f"A selvedge is knitted 1x1, so its slots must be even, not {slots}: choose a rib without a selvedge."
        )
    if rows <= SELVEDGE_ROWS:
        raise CraftError(f"A selvedge takes {SELVEDGE_ROWS} rows of the cuff, so {rows} rows leave none for the rib.")


def _seats(ribber_slots: int, slots: int, runs: tuple[int, int]) -> bool:
    needed = slots // sum(runs)
    return ribber_slots >= needed and ribber_slots % needed == 0


def check_cuff(slots: int, rows: int, *, hung: bool) -> None:
    """Raise CraftError unless a cuff, ``hung`` double or single, can have so many rows on so many slots."""
    check_slots(slots)
    if not 1 <= rows <= MOST_CUFF_ROWS:
        raise CraftError(f"A cuff has from 1 to {MOST_CUFF_ROWS} rows, not {rows}.")
    if hung and rows % 2:
        raise CraftError(
            f"A hung hem folds in two, so its rows must be even: {rows - 1 or 2} or {rows + 1}, not {rows}."
        )
