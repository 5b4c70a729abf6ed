"""Stripes: rows of each colour down leg and foot, a list of them or a repeat; where a self-striping yarn begins again.

Rows are counted from the leg's first, through leg, ankle and foot. What is above the leg is of the first colour, heel
and toe are of the colour that stands when they are turned, as is common practice, no source; the rest is counting.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.colours import read_colour, show_colour
from hosewright.craft.units import quoted

if TYPE_CHECKING:
    from collections.abc import Iterable

MOST_STRIPES = 60
MOST_STRIPE_ROWS = 1000
STRIPED = ("leg", "ankle", "foot", "tube")

Change = tuple[int, str]  # rows of a part that are cranked before it, and the colour from there on
_STRIPE = re.compile(r"([0-9]{1,4})\s*(?:rows?\s+)?(?:of\s+)?(\S.*)")


@dataclass(frozen=True, slots=True)
class Stripes:
    """``stripes`` are (rows, colour as "#rrggbb"); they come again from the first, or ``once``: the last one stays."""

    stripes: tuple[tuple[int, str], ...]
    once: bool = False

    @property
    def words(self) -> str:
        """As they are typed: "8 navy, 4 tan", "12 navy, 3 tan, once"."""
        said = [f"{rows} {show_colour(colour)}" for rows, colour in self.stripes]
        return ", ".join([*said, *(["once"] if self.once else [])])

    @property
    def repeat(self) -> int:
        """Rows of all of them."""
        return sum(rows for rows, _ in self.stripes)

    @property
    def colours(self) -> tuple[str, ...]:
        """Each once, as they first come."""
        return tuple(dict.fromkeys(colour for _, colour in self.stripes))

    def at(self, row: int) -> str:
        """The colour of a row, from 0."""
        into = min(row, self.repeat - 1) if self.once else row % self.repeat
        ends = accumulate(rows for rows, _ in self.stripes)
        return next(colour for end, (_, colour) in zip(ends, self.stripes, strict=True) if into < end)

    def changes(self, first: int, rows: int, before: str = "") -> tuple[Change, ...]:
        """Where the colour changes in a part whose first row is number ``first``; ``before`` is the colour above it."""
        colours = [before or self.at(first), *(self.at(first + row) for row in range(rows))]
        return tuple((row, later) for row, (one, later) in enumerate(pairwise(colours)) if one != later)

    def shared(self, parts: Iterable[tuple[str, int, float]]) -> dict[str, float]:
        """What of the ``parts`` (name, rows, stitches or metres) is of each colour."""
        found = dict.fromkeys(self.colours, 0.0)
        row, colour = 0, self.at(0)
        for name, rows, amount in parts:
            if name not in STRIPED:
                found[colour] += amount
                continue
            for _ in range(rows):
                colour = self.at(row)
                found[colour] += amount / rows
                row += 1
        return found


def read_stripes(text: str) -> Stripes:
    """Stripes from "8 navy, 4 tan", which come again, or "12 navy, 3 tan, once". Raises CraftError."""
    parts = [part.strip() for part in text[:2000].split(",") if part.strip()]
    once = bool(parts) and parts[-1].casefold() == "once"
    stripes = []
    for part in parts[:-1] if once else parts:
        found = _STRIPE.fullmatch(part)
        if found is None or not 1 <= int(found[1]) <= MOST_STRIPE_ROWS:
            raise CraftError(
                f"{quoted(part)} is no stripe: type rows and a colour, such as “8 navy, 4 tan”; “once” at the end "
                "lets the last colour stay."
            )
        stripes.append((int(found[1]), read_colour(found[2])))
    if not 1 <= len(stripes) <= MOST_STRIPES:
        raise CraftError(f"Type from 1 to {MOST_STRIPES} stripes, each with its rows and its colour.")
    return Stripes(tuple(stripes), once)


def wind_off_rows(cranked: float, repeat: int) -> float:
    """Rows' worth of a self-striping yarn to wind off after ``cranked`` rows, so that what follows begins as they did.

    0 where they end just where the stripes begin again.
    """
    left = -cranked % repeat
    return 0.0 if math.isclose(left, repeat, abs_tol=0.05) or left < 0.05 else left
