"""Care in words: what is typed, what it means, in the order of a label."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.care_labels import SYMBOLS, Family, Symbol, care_lines, read_care

FAMILIES = get_args(Family)


def test_the_processes_are_those_of_the_standard() -> None:
    # ISO 3758:2012, from memory (ISO 3758:2023, which replaced it, was not read): 70 °C is washed normally only, 60
    # and 50 mildly too, 40 and 30 very mildly too; bleaching three; tumble drying three and natural drying eight;
    # ironing 200, 150, 110 or not.
    by_family = {family: [symbol.id for symbol in SYMBOLS if symbol.family == family] for family in FAMILIES}
    machine = [name for name in by_family["washing"] if re.fullmatch(r"wash-\d+", name)]
    assert machine == ["wash-95", "wash-70", "wash-60", "wash-50", "wash-40", "wash-30"]
    mild = [name for name in by_family["washing"] if name.endswith("-mild") and "very" not in name]
    assert mild == ["wash-60-mild", "wash-50-mild", "wash-40-mild", "wash-30-mild"]
    assert [name for name in by_family["washing"] if "very" in name] == ["wash-40-very-mild", "wash-30-very-mild"]
    assert by_family["washing"][-2:] == ["wash-by-hand", "do-not-wash"]
    assert [len(by_family[family]) for family in FAMILIES[1:]] == [3, 11, 4, 9]
    assert by_family["ironing"] == ["iron-200", "iron-150", "iron-110", "do-not-iron"]
    assert len({symbol.id for symbol in SYMBOLS}) == len({symbol.words for symbol in SYMBOLS}) == len(SYMBOLS)


@pytest.mark.parametrize(
    ("typed", "ids"),
    [
        ("dry flat, wash-30-mild, do not bleach", ("wash-30-mild", "do-not-bleach", "dry-flat")),
        ("Hand wash; dry flat in the shade\nno ironing", ("wash-by-hand", "dry-flat-in-shade", "do-not-iron")),
        ("gentle wash at 30 °C, no tumble drying, line dry", ("wash-30-mild", "do-not-tumble-dry", "dry-on-line")),
        ("WASH AT 40 °C AT MOST (very mild process)", ("wash-40-very-mild",)),
        ("don’t dry clean, wet clean mild", ("do-not-dry-clean", "wet-clean-mild")),
        ("wash-30, wash 30, wash at 30 °C", ("wash-30",)),
        (" , ", ()),
    ],
)
def test_what_people_type(typed: str, ids: tuple[str, ...]) -> None:
    assert read_care(typed) == ids


@pytest.mark.parametrize("symbol", SYMBOLS, ids=lambda symbol: symbol.id)
def test_the_words_of_a_symbol_read_back_to_it(symbol: Symbol) -> None:
    assert read_care(symbol.words) == read_care(symbol.id.upper()) == (symbol.id,)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("wash-30, wash-40", "wash-30 and wash-40 contradict one another: keep one of them."),
        ("dry flat, dry on line", "dry-flat and dry-on-line contradict one another: keep one of them."),
        ("30", "“30” is not a care symbol: type some of wash-30 (-mild, -very-mild)."),
        ("iron 90", "“iron 90” is not a care symbol: type some of iron-200, iron-150, iron-110, do-not-iron."),
    ],
)
def test_what_cannot_be_is_said_with_what_there_is(typed: str, sentence: str) -> None:
    with pytest.raises(CraftError) as told:
        read_care(typed)
    assert str(told.value) == sentence


def test_a_word_of_nothing_lists_them_all() -> None:
    with pytest.raises(CraftError) as told:
        read_care("spin it dry-ish")
    assert "tumble-dry" in str(told.value)
    with pytest.raises(CraftError) as told:
        read_care("zzz")
    listed = str(told.value)
    for symbol in SYMBOLS:
        stem = re.sub(r"-(very-mild|mild|in-shade)$", "", symbol.id)
        ending = symbol.id.removeprefix(stem)
        assert re.search(rf"\b{stem}( \([^)]*{ending}\b[^)]*\))?[,. ]", listed), symbol.id
    with pytest.raises(CraftError, match="wash-95"):
        read_care("shade")


def test_lines_are_in_a_labels_order_and_an_unknown_id_is_told() -> None:
    assert care_lines(["dry-flat", "wash-30-mild"]) == (
        ("washing", "wash at 30 °C at most (mild process)"),
        ("drying", "dry flat"),
    )
    with pytest.raises(CraftError, match="“boil” is not a care symbol"):
        care_lines(["boil"])


@given(st.lists(st.sampled_from(SYMBOLS), max_size=12))
def test_ids_and_their_words_read_back_to_themselves(symbols: list[Symbol]) -> None:
    chosen = {symbol.group: symbol for symbol in SYMBOLS if symbol in symbols}
    ids = read_care(", ".join(symbol.id for symbol in chosen.values()))
    assert sorted(ids) == sorted(symbol.id for symbol in chosen.values())
    families = [FAMILIES.index(family) for family, _ in care_lines(ids)]
    assert families == sorted(families)


@given(st.text(max_size=60))
def test_anything_typed_is_read_or_refused_in_a_sentence(typed: str) -> None:
    with suppress(CraftError):
        assert set(read_care(typed)) <= {symbol.id for symbol in SYMBOLS}
