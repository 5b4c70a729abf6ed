"""Three years with a built-in truth: what the logbook says of them, and how often its ranges hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.years import CLAIMED, HIDDEN, Workshop, changes_found, coverage, show, take_in, told

if TYPE_CHECKING:
    from pathlib import Path


def test_three_hundred_sessions_give_their_truth(tmp_path: Path) -> None:
    workshop = Workshop(300, 1127)
    take_in(workshop, tmp_path)
    found = told(workshop)
    assert len(found) > 30
    assert all(one.holds for one in found), show(found)


@pytest.mark.parametrize("first", [1, 1001])
def test_ranges_of_95_percent_hold_in_92_to_98_of_100(first: int) -> None:
    shares = coverage(200, first)
    assert len(shares) == 3
    assert all(0.92 <= share <= 0.98 for share in shares.values()), shares


def test_a_change_is_found_and_none_is_claimed_as_often_as_the_table_says() -> None:
    there, not_there = changes_found(400).values()
    assert abs(1 - HIDDEN - there) < 0.05
    assert abs(CLAIMED - not_there) < 0.02
