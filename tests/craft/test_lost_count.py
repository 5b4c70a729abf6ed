"""A count of passes lost, and found again in the work: over every way a heel is turned."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, get_args

import pytest

from hosewright.craft.turning import Lowering, Side, Turning, looks_after, middle_needle, passes_cranked

if TYPE_CHECKING:
    from collections.abc import Iterator


@cache
def turnings() -> tuple[Turning, ...]:
    """Every way of turning on 4 to 13 needles, and the heels of cylinders of 54 to 80 slots."""
    return tuple(
        Turning(needles, left, lowering, plain, carrier, extra)
        for needles, lefts in [*((h, range(2, h - 1)) for h in range(4, 11)), (27, (9,)), (32, (12,))]
        for left in lefts
        for lowering in get_args(Lowering)
        if lowering != "near" or (needles - left) % 2 == 0
        for plain in (False, True)
        for carrier in get_args(Side)
        for extra in (0, 2)
    )


def standings() -> Iterator[tuple[Turning, int, tuple[int, int, Side]]]:
    """Every count of every turning, with each look that the hands can leave it with."""
    for turning in turnings():
        for n in range(turning.count + 1):
            for look in looks_after(turning, n):
                yield turning, n, look


def cranked(turning: Turning, n: int) -> tuple[set[int], list[int], Side]:
    """Told needle by needle, with no help from the passes' needles in work: those up, each column's stitches, the side.

    A needle knits on a pass unless it is up; what a pass lifts and lowers is all that moves.
    """
    up: set[int] = set()
    columns = [0] * (turning.needles + 1)
    carrier = turning.carrier
    for number in range(1, n + 1):
        doing = turning.at(number)
        up = (up - set(doing.lower)) | set(doing.lift)
        for needle in range(1, turning.needles + 1):
            columns[needle] += needle not in up
        carrier = "right" if carrier == "left" else "left"
    return up, columns, carrier


def test_a_middle_column_has_a_stitch_for_each_pass_and_the_looks_are_those_of_the_needles() -> None:
    for turning in turnings():
        middle = middle_needle(turning)
        assert abs(2 * middle - turning.needles - 1) <= 3  # beside the middle even where only two stay in work
        for n in (*range(0, turning.count, 3), turning.count):
            up, columns, carrier = cranked(turning, n)
            assert columns[middle] == n
            standing = [up]
            if n < turning.count:
                doing = turning.at(n + 1)
                standing += [up - set(doing.lower[:many]) for many in range(1, len(doing.lower) + 1)]
                standing.append(standing[-1] | set(doing.lift))
            lefts = [len([needle for needle in those if needle < middle]) for those in standing]
            seen = [(left, len(those) - left, carrier) for left, those in zip(lefts, standing, strict=True)]
            assert looks_after(turning, n) == tuple(dict.fromkeys(seen))


def test_what_is_seen_truly_gives_the_count() -> None:
    for turning, n, (left, right, carrier) in standings():
        assert passes_cranked(turning, column=n, left=left, right=right, carrier=carrier) == (n,)


def test_a_column_alone_is_the_count() -> None:
    for turning in turnings():
        assert all(passes_cranked(turning, column=n) == (n,) for n in range(turning.count + 1))


def test_without_the_column_the_true_count_is_among_those_named() -> None:
    for turning, n, (left, right, carrier) in standings():
        found = passes_cranked(turning, left=left, right=right, carrier=carrier)
        assert n in found
        assert all(look_agrees(turning, one, (left, right, carrier)) for one in found)


def look_agrees(turning: Turning, n: int, look: tuple[int, int, Side]) -> bool:
    return look in looks_after(turning, n)


def test_a_column_one_off_still_leads_to_the_true_count_or_to_two_it_is_one_of() -> None:
    alone = 0
    for turning, n, (left, right, carrier) in standings():
        for off in (-1, 1):
            if n + off < 0:
                continue
            found = passes_cranked(turning, column=n + off, left=left, right=right, carrier=carrier)
            assert n in found
            assert len(found) <= 2
            alone += len(found) == 1
    assert alone


def test_the_side_of_the_carrier_alone_tells_odd_from_even() -> None:
    heel = Turning(32, 12)
    assert passes_cranked(heel, carrier="left") == tuple(range(0, 41, 2))
    assert passes_cranked(heel, column=21, carrier="left") == (20, 22)


def test_the_worked_example() -> None:
    """64 slots, 32 down to 12, 26 of 40 passes cranked: by hand, from the passes of the design's own example."""
    heel = Turning(32, 12)
    assert passes_cranked(heel, left=7, right=7, carrier="left") == (14, 26)  # narrowing or widening
    assert passes_cranked(heel, column=26, left=7, right=7, carrier="left") == (26,)
    assert passes_cranked(heel, column=25, left=7, right=7, carrier="left") == (14, 26)


@pytest.mark.parametrize("seen", [{"left": 30, "right": 1}, {"left": 2, "right": 9}, {"column": 90}, {"column": -1}])
def test_what_no_pass_looks_like_gives_none(seen: dict[str, int]) -> None:
    assert passes_cranked(Turning(32, 12), **seen) == ()  # type: ignore[arg-type]
