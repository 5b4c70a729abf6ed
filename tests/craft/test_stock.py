"""The yarn ledger: grams neither appear nor vanish, in any order; and whether what is left is enough."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from hosewright.craft import CraftError
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.stock import (
    Account,
    LedgerEntry,
    account,
    held,
    is_enough,
    ledger,
    on_scale,
    prorated,
    show_mass_error,
    socks_in,
    split,
    to_mg,
    together,
)

G = 1000
MASSES = st.integers(min_value=0, max_value=20_000_000)
BASES = st.sampled_from(["weighed", "from the plan", "from the gauge"])
ENTRIES = st.builds(
    LedgerEntry,
    at_ms=st.integers(min_value=0, max_value=50),  # many at the same moment
    what=st.sampled_from(["bought", "used", "gone", "left"]),
    mg=MASSES,
    basis=BASES,
    about=st.sampled_from(["", "a", "b"]),
)
LISTS = st.lists(ENTRIES, max_size=20)


def two_socks() -> list[LedgerEntry]:
    """100 g bought; 38.5 g weighed, 39.25 g by the plan, a 3 g knot; then the scale reads 17 g."""
    return [
        LedgerEntry(0, "bought", 100 * G, "by the label"),
        LedgerEntry(10, "used", 38_500, "weighed", "first"),
        LedgerEntry(20, "used", 39_250, "from the plan", "twin"),
        LedgerEntry(30, "gone", 3 * G),
        LedgerEntry(40, "left", 17 * G),
    ]


# --- by hand ----------------------------------------------------------------------------------------------------


def test_an_account_worked_by_hand() -> None:
    # 100 - 38.5 - 39.25 - 3 = 19.25 g by the books; the scale reads 17, so 2.25 g are unaccounted for.
    found = account(two_socks(), promised_mg=20 * G)
    assert found == Account(100 * G, 38_500, 39_250, 2_250, 3 * G, held=17 * G, promised=20 * G)
    assert found.used == 83 * G
    assert found.left == -3 * G  # more is promised than there is


def test_the_ledger_shows_what_the_scale_found_missing_on_a_line_of_its_own() -> None:
    shown = [(line.what, line.change_mg, line.level_mg) for line in ledger(two_socks())]
    assert shown == [
        ("bought", 100_000, 100_000),
        ("used", -38_500, 61_500),
        ("used", -39_250, 22_250),
        ("gone", -3_000, 19_250),
        ("unaccounted", -2_250, 17_000),
        ("left", 0, 17_000),
    ]


def test_a_scale_that_finds_more_than_the_books_and_one_that_agrees() -> None:
    more = account([LedgerEntry(0, "bought", 50 * G), LedgerEntry(1, "left", 52 * G)])
    assert (more.unaccounted, more.used, more.left) == (-2 * G, -2 * G, 52 * G)
    agrees = ledger([LedgerEntry(0, "bought", 50 * G), LedgerEntry(1, "left", 50 * G)])
    assert [line.what for line in agrees] == ["bought", "left"]


def test_a_lot_noted_after_it_was_used_was_bought_before() -> None:
    late = account([LedgerEntry(90, "bought", 100 * G), LedgerEntry(10, "left", 60 * G)])
    assert (late.unaccounted, late.held) == (40 * G, 60 * G)


# --- nothing appears, nothing vanishes ---------------------------------------------------------------------------


@given(LISTS, MASSES)
def test_bought_is_used_and_promised_and_left(entries: list[LedgerEntry], promised: int) -> None:
    found = account(entries, promised)
    assert found.bought == found.used + found.promised + found.left
    assert found.bought == sum(e.mg for e in entries if e.what == "bought")
    assert found.weighed + found.worked_out == sum(e.mg for e in entries if e.what == "used")
    assert found.gone == sum(e.mg for e in entries if e.what == "gone")


@given(LISTS)
def test_every_line_leads_to_the_next(entries: list[LedgerEntry]) -> None:
    level = 0
    for line in ledger(entries):
        level += line.change_mg
        assert line.level_mg == level
    assert level == account(entries).held


@given(LISTS.flatmap(lambda entries: st.tuples(st.just(entries), st.permutations(entries))))
def test_the_order_of_telling_does_not_matter(told: tuple[list[LedgerEntry], list[LedgerEntry]]) -> None:
    assert ledger(told[0]) == ledger(told[1])


@given(LISTS, st.integers(0, 50), MASSES, BASES)
def test_a_session_moves_exactly_its_grams(entries: list[LedgerEntry], at_ms: int, mg: int, basis: str) -> None:
    session = LedgerEntry(at_ms, "used", mg, basis, "a")  # type: ignore[arg-type]  # one of the three
    before, after = account(entries), account([*entries, session])
    if basis == "weighed":
        assert (after.weighed - before.weighed, after.worked_out) == (mg, before.worked_out)
    else:
        assert (after.worked_out - before.worked_out, after.weighed) == (mg, before.weighed)
    assert (after.bought, after.gone) == (before.bought, before.gone)
    if any(e.what == "left" and e.at_ms >= at_ms for e in entries):  # a later scale already knew that they were gone
        assert after.left == before.left
        assert before.unaccounted - after.unaccounted == mg
    else:
        assert before.left - after.left == mg
        assert after.unaccounted == before.unaccounted


@given(LISTS, LISTS, MASSES)
def test_accounts_together(some: list[LedgerEntry], others: list[LedgerEntry], promised: int) -> None:
    one, two = account(some, promised), account(others)
    both = together([one, two])
    assert both.bought == both.used + both.promised + both.left
    assert (both.left, both.used) == (one.left + two.left, one.used + two.used)
    assert together([]) == Account()


@given(MASSES, st.lists(st.integers(0, 20_000), min_size=1, max_size=8).map(sorted), st.integers(1, 20_000))
def test_a_session_cut_at_weighings_keeps_its_grams(mg: int, marks: list[int], of: int) -> None:
    pieces = split(mg, marks, of)
    assert sum(pieces) == prorated(mg, marks[-1], of)
    assert all(piece >= 0 for piece in pieces)


@given(MASSES, st.integers(0, 20_000), st.integers(1, 20_000))
def test_a_share_is_right_to_half_a_milligram(mg: int, done: int, of: int) -> None:
    assert abs(prorated(mg, done, of) - Fraction(mg * done, of)) <= Fraction(1, 2)
    assert prorated(mg, of, of) == mg


# --- is it enough? ----------------------------------------------------------------------------------------------


def test_the_error_starts_anew_at_a_weighing() -> None:
    # A 1 g scale is a rectangle of half-width 1 g: 1 / sqrt(3).
    assert error(held(two_socks(), measured(1.0, 0.05))) == pytest.approx(1 / math.sqrt(3))
    assert nominal(held(two_socks(), 1.0)) == pytest.approx(17)


def test_figures_from_one_plan_share_their_error() -> None:
    # uncertainties' own arithmetic with one shared factor; two independent ones would give sqrt(2) x 2, not 4 g.
    entries = [LedgerEntry(n, "used", 40 * G, "from the plan", str(n)) for n in range(2)]
    factor = measured(1.0, 0.05)
    found = held([LedgerEntry(0, "bought", 200 * G), *entries], factor)
    theirs = 200 * ufloat(1, 0.02) - 80 * ufloat(1, 0.05)
    assert nominal(found) == pytest.approx(theirs.nominal_value)
    assert error(found) == pytest.approx(theirs.std_dev)
    # and with what is still to come
    all_of_it = found - 40 * factor
    assert error(all_of_it) == pytest.approx(math.hypot(4, 6))


@pytest.mark.parametrize(
    ("over", "spread", "said"),
    [
        (10, 5, "enough"),
        (8.0, 5, "probably enough"),
        (5.0, 5, "about even odds"),
        (0, 5, "about even odds"),
        (-5.0, 5, "about even odds"),
        (-5.1, 5, "short"),
        (0, 0, "about even odds"),
        (1, 0, "enough"),
        (-1, 0, "short"),
    ],
)
def test_odds_in_words(over: float, spread: float, said: str) -> None:
    assert is_enough(measured(over, spread)) == said


def test_a_weighing_keeps_its_scale() -> None:
    assert nominal(on_scale(38.0)) == 38.0
    assert error(on_scale(38.0)) == pytest.approx(0.57735, abs=1e-5)


def test_socks_still_in_it() -> None:
    assert [socks_in(left, 39 * G) for left in (-5 * G, 38_999, 39 * G, 100 * G)] == [0, 0, 1, 2]


def test_what_is_refused() -> None:
    for wrong in (-1.0, math.nan, math.inf):
        with pytest.raises(CraftError):
            to_mg(wrong)
    with pytest.raises(CraftError):
        LedgerEntry(0, "used", -1)
    with pytest.raises(CraftError):
        prorated(5, 1, 0)
    with pytest.raises(CraftError):
        socks_in(5, 0)


@pytest.mark.parametrize(("grams", "mg"), [(0, 0), (0.0004, 0), (0.0005, 1), (11, 11_000), (78.1234, 78_123)])
def test_grams_as_milligrams(grams: float, mg: int) -> None:
    assert to_mg(grams) == mg


@pytest.mark.parametrize(
    ("grams", "spread", "unit", "shown"),
    [
        (78.4, 5.4, "g", "78 ± 5 g"),
        (78.0, 0.2, "g", "78 ± 1 g"),  # no scale here tells less
        (78.5, 0.0, "g", "78.5 g"),
        (78.0, 5.0, "oz", "2.75 ± 0.18 oz"),  # 28.35 g to the ounce
        (1250.0, 20.0, "kg", "1.25 ± 0.02 kg"),
    ],
)
def test_a_mass_is_shown_with_its_error(grams: float, spread: float, unit: str, shown: str) -> None:
    assert show_mass_error(measured(grams, spread), unit) == shown
