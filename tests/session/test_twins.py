"""A sock beside its twin."""

from __future__ import annotations

from hosewright.session.events import Confirmed, DialMoved, SteppedBack
from hosewright.session.twins import beside_first, dial_moves
from tests.helpers import entries, folded, head, rows, to_step

SOCK = head("sock", dial=30)


def test_where_the_dial_was_moved_goes_to_the_twin_at_the_same_rows() -> None:
    leg = [*to_step(SOCK, "leg"), *rows(3), DialMoved(31), *rows(2), DialMoved(31), DialMoved(30)]
    assert dial_moves(SOCK, entries(leg)) == {"leg": ((3, 31), (5, 30))}


def test_a_move_between_two_parts_belongs_to_the_next_that_counts_rows() -> None:
    heel = [*to_step(SOCK, "heel-lower"), DialMoved(28), Confirmed(), Confirmed(), *rows(4)]
    assert dial_moves(SOCK, entries(heel)) == {"foot": ((0, 28),)}


def test_a_move_that_was_refused_is_none() -> None:
    assert dial_moves(SOCK, entries([SteppedBack(), DialMoved(9999)])) == {}


def test_a_heel_left_short_is_said_before_the_twin_turns_its_own_whole() -> None:
    first = folded(SOCK, *to_step(SOCK, "heel"), *rows(32), Confirmed(early=True))
    said = "The first sock's heel was left short at 32 passes; this one's is planned whole, with 40."
    assert beside_first(first, folded(SOCK)) == [said]
    assert beside_first(first, folded(SOCK, *to_step(SOCK, "heel-pull"))) == [said]
    assert beside_first(first, folded(SOCK, *to_step(SOCK, "toe-pull"))) == []


def test_a_heel_still_under_way_is_not_called_short() -> None:
    first = folded(SOCK, *to_step(SOCK, "heel"), *rows(32))
    assert beside_first(first, folded(SOCK)) == []


def test_all_cranked_the_two_are_compared() -> None:
    first = folded(SOCK, *to_step(SOCK, "part"))
    assert beside_first(first, first) == ["Row for row like the first sock."]
