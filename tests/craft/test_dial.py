"""The dial: how far it moves, and typed positions."""

import pytest

from hosewright.craft import CraftError
from hosewright.craft.dial import (
    Dial,
    clicks_typed,
    dial_distance,
    dial_place,
    read_position,
    show_position,
    show_turns,
)


def test_a_screw_of_a_known_pitch() -> None:
    # ISO 261 (from memory): an M8 screw has 1.25 mm a turn, so that eight turns move it a centimetre.
    for per_turn in (1, 3, 4, 8):
        assert Dial(1.25, per_turn).travel_mm(8 * per_turn) == pytest.approx(10.0)
        assert Dial(1.25, per_turn).click_mm == pytest.approx(1.25 / per_turn)


def test_without_a_pitch_no_travel_is_known() -> None:
    assert (Dial().click_mm, Dial().travel_mm(27)) == (None, None)


@pytest.mark.parametrize(
    ("clicks", "words"),
    [
        (27, "6 3/4 turns below zero"),
        (28, "7 turns below zero"),
        (4, "1 turn below zero"),
        (1, "1/4 turn below zero"),
        (3, "3/4 turn below zero"),
        (5, "1 1/4 turns below zero"),
        (0, "at the zero mark"),
    ],
)
def test_positions_in_words_and_back(clicks: int, words: str) -> None:
    assert show_position(clicks) == words
    assert read_position(words) == clicks
    assert read_position(show_turns(clicks)) == clicks
    assert read_position(f"{clicks} clicks") == clicks


def test_every_position_comes_back() -> None:
    for per_turn in (1, 4, 6, 8):
        for clicks in range(100):
            assert read_position(show_turns(clicks, per_turn), per_turn) == clicks


@pytest.mark.parametrize("text", ["6.75 turns", "6¾", "6,75", " 27 CLICKS ", "6 3/4 Turns"])
def test_typed_forms(text: str) -> None:
    assert read_position(text) == 27


@pytest.mark.parametrize(
    "text", ["7.3", "1/3", "2.5 clicks", "-1", "", "x", "9999999", "nan", "inf", "7 1/0", "7 in", "9" * 10000]
)
def test_not_a_click_is_refused(text: str) -> None:
    with pytest.raises(CraftError) as raised:
        read_position(text)
    assert len(str(raised.value)) < 200


def test_odd_dials_are_refused() -> None:
    for pitch in (0.0, -1.25, float("nan"), float("inf"), 50.0):
        with pytest.raises(CraftError):
            Dial(pitch)
    with pytest.raises(CraftError):
        Dial(1.25, 0)
    with pytest.raises(CraftError):
        show_position(-1)


def test_clicks_are_known_without_the_dials_own_and_turns_are_not() -> None:
    assert clicks_typed("6 3/4", 4) == clicks_typed("27 clicks", 4) == clicks_typed("27 clicks", None) == 27
    assert clicks_typed("zero", None) == clicks_typed("0 turns below zero", None) == 0
    assert clicks_typed("6 3/4", None) is None
    for text in ("6.7 clicks", "x"):
        with pytest.raises(CraftError):
            clicks_typed(text, None)


def test_where_the_dial_goes_and_how_far() -> None:
    assert [dial_place(clicks, 4) for clicks in (27, 0)] == ["6 3/4 turns below zero", "the zero mark"]
    assert [dial_distance(clicks, 4) for clicks in (1, 2, 3, 4, 8)] == [
        "1 click",
        "half a turn",
        "3 clicks",
        "a full turn",
        "8 clicks",
    ]
    assert dial_distance(2, 5) == "2 clicks"
    assert dial_distance(1, 1) == "a full turn"
    with pytest.raises(CraftError):
        dial_place(-1, 4)


@pytest.mark.parametrize(
    ("text", "per_turn", "clicks"),
    [("6 turns", 4, 24), ("6 turns", None, None), ("27 clicks", None, 27), ("zero", None, 0), ("at zero", 4, 0)],
)
def test_turns_are_clicks_only_where_somebody_counted_them(text: str, per_turn: int | None, clicks: int | None) -> None:
    assert clicks_typed(text, per_turn) == clicks
