"""A sock beside its twin."""

from __future__ import annotations

from hosewright.session.events import Confirmed, DialMoved, SteppedBack
from hosewright.session.twins import dial_moves
from tests.helpers import entries, head, rows, to_step

SOCK = head("sock", dial=30)


def test_where_the_dial_was_moved_goes_to_the_twin_at_the_same_rows() -> None:
    leg = [*to_step(SOCK, "leg"), *rows(3), DialMoved(31), *rows(2), DialMoved(31), DialMoved(30)]
    assert dial_moves(SOCK, entries(leg)) == {"leg": ((3, 31), (5, 30))}


def test_a_move_between_two_parts_belongs_to_the_next_that_counts_rows() -> None:
    heel = [*to_step(SOCK, "heel-end"), DialMoved(32), Confirmed(), *rows(4)]
    assert dial_moves(SOCK, entries(heel)) == {"foot": ((0, 32),)}


def test_a_move_that_was_refused_is_none() -> None:
    assert dial_moves(SOCK, entries([SteppedBack(), DialMoved(9999)])) == {}
