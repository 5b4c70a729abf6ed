"""Patterns of needles in and out of work round the cylinder, and whether they come out even.

A mock rib leaves some slots without a needle; the ladder they leave draws together into a rib. A pattern is a
repeat of needles in and out, such as 3x1 (three in, one out). It comes out even when the slots divide by it.
Source: common practice, no source; what divides is arithmetic.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from hosewright.craft.errors import CraftError
from hosewright.craft.units import quoted

MOST_REPEAT = 60
MOST_OUT_TOGETHER = 2
NEAR_SLOTS = 6
NEAR_NEEDLES = 2

_HINT = "needles in and out by turns, such as 3x1 or 2 in 1 out"


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
        raise CraftError(f"The needle pattern {quoted(text)} is not one: type {_HINT}.")
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
        """Whether nothing is left over."""
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
        repeats, left_over, counts, near, f"{said}: even are {', '.join(offers)}." if offers else f"{said}."
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
