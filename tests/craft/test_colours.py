"""Colours by name. The names and figures are held against Textual's own table of those of CSS."""

from __future__ import annotations

import pytest
from tests.contrast import MARK_RATIO
from tests.contrast import contrast as measured_contrast
from textual.color import Color

from hosewright.craft import CraftError
from hosewright.craft.colours import (
    colour_in,
    contrast,
    named_colours,
    read_colour,
    read_colours,
    show_colour,
    told_from,
)


def test_every_name_of_css_has_its_colour() -> None:
    names = named_colours()
    assert len(names) == 148
    for name, colour in names.items():
        assert Color.parse(name).hex6.lower() == colour, name


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("teal", "#008080"),
        ("Dark Green", "#006400"),
        ("dark-olive-green", "#556b2f"),
        ("#8A5A3C", "#8a5a3c"),
        ("8a5a3c", "#8a5a3c"),
        ("#abc", "#aabbcc"),
    ],
)
def test_a_colour_is_read_as_people_name_it(typed: str, meant: str) -> None:
    assert read_colour(typed) == meant
    assert read_colour(show_colour(meant)) == meant


def test_stripes_are_colours_with_commas() -> None:
    assert read_colours("navy, tan,") == ("#000080", "#d2b48c")


@pytest.mark.parametrize("typed", ["heather", "#12345", "reddish, navy", ", ".join(["tan"] * 13)])
def test_what_is_no_colour_is_refused_with_what_to_type(typed: str) -> None:
    with pytest.raises(CraftError, match="type"):
        read_colours(typed)


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("orange begins", "orange"),
        ("now dark green, from the second ball", "darkgreen"),
        ("orange begins, navy ends", "orange"),
        ("navy ends, orange begins", "orange"),
        ("light golden rod yellow", "lightgoldenrodyellow"),
        ("the #8a5a3c one", "#8a5a3c"),
        ("the knot came here", None),
        ("scarred and rotten", None),
    ],
)
def test_a_colour_is_found_in_what_was_noted(words: str, meant: str | None) -> None:
    assert colour_in(words) == (None if meant is None else read_colour(meant))


@pytest.mark.parametrize("ground", ["#101418", "#fbf8f1", "#7f7f7f"])
def test_a_colour_near_its_ground_is_moved_until_it_can_be_told_from_it(ground: str) -> None:
    for colour in named_colours().values():
        shown = told_from(ground, colour)
        assert measured_contrast(Color.parse(shown), Color.parse(ground)) >= MARK_RATIO
        assert contrast(ground, colour) < MARK_RATIO or shown == colour
