"""Caps Lock and other layouts: the key that was meant."""

from __future__ import annotations

import pytest

from hosewright.session.keys import meant, meant_word

LETTERS = frozenset("abcdefghijklmnopqrstuvwxyz") | {"full_stop", "equals_sign"}


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        *(("D", "d"), ("в", "d"), ("В", "d"), ("з", "p"), ("и", "b"), ("і", "s"), ("ы", "s"), ("ў", "o")),
        *(("ю", "full_stop"), ("δ", "d"), ("Δ", "d"), ("ς", "w"), ("σ", "s"), ("ψ", "c"), ("θ", "u"), ("ξ", "j")),
        *(("7", "7"), ("é", "é"), ("escape", "escape"), ("ж", "ж"), ("d", "d")),
    ],
)
def test_a_letter_does_what_its_place_does(typed: str, key: str) -> None:
    assert meant(typed, LETTERS) == key


def test_every_place_of_each_layout_is_a_letter_of_its_own() -> None:
    russian = "йцукенгшщзфывапролдячсмить"  # by rows, as xkeyboard-config 2.35 has them in symbols/ru
    assert "".join(meant(letter, LETTERS) for letter in russian) == "qwertyuiopasdfghjklzxcvbnm"
    assert "".join(meant(letter, LETTERS) for letter in "ςερτυθιοπασδφγηξκλζχψωβνμ") == "wertyuiopasdfghjklzxcvbnm"


def test_a_letter_that_has_a_key_of_its_own_keeps_it() -> None:
    assert meant("D", {"D", "d"}) == "D"
    assert meant("в", {"в", "d"}) == "в"
    assert meant("D", {"x"}) == "D"  # where d does nothing, it stands as it was typed


def test_whole_words_are_taken_by_place_too() -> None:
    assert meant_word("OK", {"ok"}) == "ok"
    assert meant_word("щл", {"ok"}) == "ok"
    assert meant_word("ю", {"."}) == "."
    assert meant_word("вк", {"ok"}) == "вк"
