"""Stripes: as they are typed, where they change, the yarn of each; a self-striping yarn that begins again alike."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.stripes import Stripes, read_stripes, wind_off_rows

NAVY, TAN = "#000080", "#d2b48c"


def test_stripes_as_they_are_typed() -> None:
    assert read_stripes("8 navy, 4 tan") == Stripes(((8, NAVY), (4, TAN)))
    assert read_stripes("12 rows of navy, 3 Tan, once") == Stripes(((12, NAVY), (3, TAN)), once=True)
    for text in ("8 navy, 4 tan", "12 navy, 3 tan, once"):
        assert read_stripes(read_stripes(text).words).words == text
    for wrong in ("navy", "0 navy", "8", "once", "4 blurple"):
        with pytest.raises(CraftError):
            read_stripes(wrong)


def test_they_come_again_or_the_last_one_stays() -> None:
    repeat, once = read_stripes("8 navy, 4 tan"), read_stripes("8 navy, 4 tan, once")
    assert repeat.changes(0, 30) == ((8, TAN), (12, NAVY), (20, TAN), (24, NAVY))
    assert once.changes(0, 30) == ((8, TAN),)
    # The foot goes on where the leg's 30 rows left off: 6 rows into navy, and 2 more of it.
    assert repeat.changes(30, 10, NAVY) == ((2, TAN), (6, NAVY))
    assert repeat.changes(32, 4, NAVY) == ((0, TAN),)


def by_hand(stripes: list[tuple[int, str]], rows: int, *, once: bool) -> list[str]:
    """The colour of every row, laid down one by one."""
    laid: list[str] = []
    while len(laid) < rows:
        for count, colour in stripes:
            laid += [colour] * count
        if once:
            laid += [stripes[-1][1]] * rows
    return laid[:rows]


@given(
    stripes=st.lists(st.tuples(st.integers(1, 9), st.sampled_from([NAVY, TAN, "#ffffff"])), min_size=1, max_size=5),
    leg=st.integers(1, 60),
    foot=st.integers(1, 60),
    once=st.booleans(),
)
def test_the_changes_lay_the_colours_down_in_order(
    stripes: list[tuple[int, str]], leg: int, foot: int, once: bool
) -> None:
    own = Stripes(tuple(stripes), once)
    laid, colour = list[str](), own.at(0)
    for first, rows in ((0, leg), (leg, foot)):
        changes = dict(own.changes(first, rows, colour))
        for row in range(rows):
            colour = changes.get(row, colour)
            laid.append(colour)
    assert laid == by_hand(stripes, leg + foot, once=once)
    shared = own.shared([("cuff", 10, 10.0), ("leg", leg, leg), ("heel", 40, 5.0), ("foot", foot, foot)])
    assert sum(shared.values()) == pytest.approx(15 + leg + foot)
    for one in own.colours:
        top_and_heel = 10.0 * (one == own.at(0)) + 5.0 * (one == laid[leg - 1])
        assert shared[one] == pytest.approx(laid.count(one) + top_and_heel)


def test_what_is_wound_off_brings_a_yarn_back_to_where_it_began() -> None:
    assert wind_off_rows(131.0, 24) == pytest.approx(13.0)  # 5 x 24 = 120, 11 into the sixth
    assert wind_off_rows(120.0, 24) == 0.0
    assert wind_off_rows(119.98, 24) == 0.0
