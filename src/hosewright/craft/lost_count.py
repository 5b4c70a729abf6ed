"""Which pass a heel or toe stands at, read from the work when the count was lost.

Needles in the middle are never lifted, so each pass puts one stitch into each of their columns: the stitches of one
such column since the first pass are the passes cranked. The needles that are up and the side the carrier
stands on leave only a few counts, which confirms it or finds a stitch counted wrong.
Source: ours, from the passes of ``craft.turning``.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hosewright.craft.turning import Side, Turning

BEYOND = 2  # passes past the last that are thought of; ours


def middle_needle(turning: Turning) -> int:
    """The needle nearest to the middle of the heel that knits on every pass, numbered from 1 at the left."""
    always = set.intersection(*(set(one.in_work) for one in turning.passes()))
    return min(always, key=lambda needle: (abs(2 * needle - turning.needles - 1), needle))


def passes_cranked(
    turning: Turning,
    *,
    column: int | None = None,
    left: int | None = None,
    right: int | None = None,
    carrier: Side | None = None,
) -> tuple[int, ...]:
    """The counts of passes that agree with what is seen, lowest first; none when no pass of this turning looks so.

    ``column``: the stitches counted in one middle column since the first pass. ``left``, ``right``: the heel's needles
    that are up on either side, whether or not those of the next pass are moved already. ``carrier``: where the carrier
    stands now. What is None was not seen.

    A column that agrees with the rest is the one answer; without the rest it is, too. One that does not agree was
    miscounted: then the next count below and the next above that do agree, which are two at the most.
    """
    if left is None and right is None and carrier is None and column is not None:
        return (column,) if 0 <= column <= turning.count + BEYOND else ()
    agreeing = tuple(
        n
        for n, looks in enumerate(_looks(turning)[: turning.count + 1 + (BEYOND if column is not None else 0)])
        if any(left in (None, up[0]) and right in (None, up[1]) and carrier in (None, side) for *up, side in looks)
    )
    if column is None:
        return agreeing
    if column in agreeing:
        return (column,)
    below, above = [n for n in agreeing if n < column], [n for n in agreeing if n > column]
    return (*below[-1:], *above[:1])


@lru_cache(maxsize=16)
def _looks(turning: Turning) -> tuple[tuple[tuple[int, int, Side], ...], ...]:
    return tuple(looks_after(turning, n) for n in range(turning.count + BEYOND + 1))


def looks_after(turning: Turning, n: int) -> tuple[tuple[int, int, Side], ...]:
    """Needles up on the left, on the right, and the carrier's side after ``n`` passes.

    First as the pass left them, then on the way to the next pass, whose needles come down first and then go up.
    """
    passes = turning.passes()
    done = passes[n - 1].in_work if 1 <= n <= len(passes) else ()
    low, high = (done[0], done[-1]) if done else (1, turning.needles)
    carrier: Side = turning.carrier if n % 2 == 0 else ("right" if turning.carrier == "left" else "left")
    found = [(low - 1, turning.needles - high, carrier)]
    if n < len(passes):
        for needle in passes[n].lower:
            low, high = min(low, needle), max(high, needle)
            found.append((low - 1, turning.needles - high, carrier))
        ready = passes[n].in_work
        found.append((ready[0] - 1, turning.needles - ready[-1], carrier))
    return tuple(dict.fromkeys(found))
