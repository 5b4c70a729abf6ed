"""A typed line, declared once: what is typed is read, and what is shown can be read again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from hosewright.phrases import field as lines
from hosewright.phrases.field import Field, FieldError, read_all

if TYPE_CHECKING:
    from collections.abc import Callable

SHOWS = Field("shows", "The count shows", "which count", choices=(("rows done", "up"), ("rows left", "down")))

CUFFS = Field("cuff", "Cuff", "the top", choices=(("mock rib, hung", 1), ("rolled", 2), ("none", 0)))
RIB = Field(
    "rib", "Rib", "the top", choices=(("mock rib, hung", "mock rib"), ("none", "none")), also=(("mock", "mock rib"),)
)


@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        (lines.words("note", "Note", "what you like", 20), " the back one ", "the back one"),
        (lines.words("note", "Note", "what you like", 20), "  ", ""),
        (lines.length("girth", "Girth", "round it", "cm"), "21.5", 215.0),
        (lines.length("girth", "Girth", "round it", "cm"), "", None),
        (lines.mass("ball", "Ball", "one", "g"), "100", 100.0),
        (lines.whole("slots", "Slots", "all round", 12, 200), "64", 64),
        (lines.number("ease", "Ease", "in per cent", 0, 50), "7.5", 7.5),
        (lines.yes_or_no("striped", "Striped", "yes or no"), "Yes", True),
        (lines.yes_or_no("striped", "Striped", "yes or no"), "", False),
        (SHOWS, "Rows  left", "down"),
        (SHOWS, "up", "up"),
        (RIB, "Mock-rib hung", "mock rib"),
        (RIB, "mock_rib", "mock rib"),
        (RIB, "mock", "mock rib"),
    ],
)
def test_a_line_is_read_and_what_it_says_is_read_again(field: Field, text: str, value: Any) -> None:
    assert field.read(text) == value
    assert field.read(field.say(value)) == value


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        (lines.words("note", "Note", "what you like", 5), "too much", "The note is 8 characters long: keep it to 5."),
        (lines.length("girth", "Girth", "round it", "cm", 300.0, 50.0), "2", "The girth “2” comes to 2.0 cm"),
        (lines.whole("slots", "Slots", "all round", 12, 200, required=True), " ", "Slots is needed: all round."),
        (lines.yes_or_no("striped", "Striped", "yes or no"), "perhaps", "type yes or no"),
        (SHOWS, "sideways", "“sideways” is none of them: The count shows takes rows done or rows left."),
        (RIB, "frilly", "“frilly” is none of them: Rib takes mock rib, hung or none."),
        (CUFFS, "frilly", "Cuff takes mock rib, hung; rolled or none."),
        (Field("yarn", "Yarn", "which", required=True, missing="Choose a yarn first."), "", "Choose a yarn first."),
    ],
)
def test_what_cannot_be_read_is_said_in_one_sentence_with_its_line(field: Field, text: str, said: str) -> None:
    with pytest.raises(FieldError) as found:
        field.read(text)
    assert said in str(found.value)
    assert found.value.name == field.name


def test_all_lines_are_read_at_once_and_one_may_lean_on_those_above() -> None:
    def turns(text: str, above: Any) -> int:
        return int(text) * int(above.get("per_turn", 1))

    fields = [
        lines.whole("per_turn", "Clicks per turn", "count them", 1, 64, required=True),
        Field("dial", "Dial", "turns below zero", beside=turns),
        lines.whole("rows", "Rows", "as cranked", 1, 200),
    ]
    assert read_all(fields, {"per_turn": "8", "dial": "7", "rows": "60"}) == (
        {"per_turn": 8, "dial": 56, "rows": 60},
        {},
    )
    values, errors = read_all(fields, {"dial": "7", "rows": "some"})
    assert values == {"dial": 7}
    assert list(errors) == ["per_turn", "rows"]


@pytest.mark.parametrize("make", [lines.words, lines.whole, lines.length], ids=lambda make: str(make.__name__))
def test_a_sentence_names_the_line_by_its_label(make: Callable[..., Field]) -> None:
    limits = {"words": (3,), "whole": (1, 9), "length": ("mm", 9.0)}[make.__name__]
    with pytest.raises(FieldError, match="The cuff rows "):
        make("rows", "Cuff rows", "as cranked", *limits).read("10 mm of it")
