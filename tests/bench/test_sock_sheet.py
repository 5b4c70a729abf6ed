"""The sock on the screen: in the yarn's colour, in letters where there are no blocks, without colour by shape alone."""

from __future__ import annotations

import sys
from io import BytesIO, TextIOWrapper
from typing import TYPE_CHECKING

import pytest
from textual.app import App
from textual.color import Color

from hosewright.bench.themes import all_themes
from hosewright.bench.widgets.sock import NO_WORDS, SockSheet, Words
from hosewright.craft.sock import Section
from hosewright.craft.turning import Turning
from hosewright.picture.dyed import Dyed
from hosewright.picture.of_sock import Knitted, of_plan, sock_shape
from tests.contrast import MARK_RATIO, contrast
from tests.helpers import plan_of

if TYPE_CHECKING:
    from textual.app import ComposeResult

SHAPE = of_plan(plan_of())
NAVY, WHITE = "#000080", "#ffffff"


class Shown(App[None]):
    """A sock on a screen of its own."""

    def __init__(self, done: tuple[int, ...], yarn: Dyed, words: Words = NO_WORDS) -> None:
        super().__init__()
        self.sock = SHAPE, done, yarn, words

    def compose(self) -> ComposeResult:
        yield SockSheet()

    def on_mount(self) -> None:
        for theme in all_themes()[0]:
            self.register_theme(theme)
        self.sheet.show_sock(*self.sock)

    @property
    def sheet(self) -> SockSheet:
        return self.query_one(SockSheet)

    def colours(self) -> set[str]:
        """Those that blocks are painted in, as they reach the terminal."""
        found = set()
        for y in range(self.sheet.size.height):
            for segment in self.sheet.render_line(y):
                if set("█▓▀▄▚") & set(segment.text) and segment.style is not None and segment.style.color is not None:
                    assert segment.style.color.triplet is not None
                    found.add(segment.style.color.triplet.hex)
        return found


@pytest.mark.parametrize("theme", [theme.name for theme in all_themes()[0]])
@pytest.mark.parametrize("colour", [NAVY, WHITE, "#000000", "#ffa500"])
async def test_the_yarns_colour_can_be_told_from_the_ground_in_every_theme(theme: str, colour: str) -> None:
    app = Shown(SHAPE.counts, Dyed((colour,)))
    async with app.run_test(size=(50, 20)) as pilot:
        app.theme = theme
        await pilot.pause()
        ground = Color.parse(app.get_css_variables()["background"])
        (shown,) = app.colours()
        assert contrast(Color.parse(shown), ground) >= MARK_RATIO
        if contrast(Color.parse(colour), ground) >= MARK_RATIO:
            assert shown == colour


async def test_stripes_have_both_colours_and_no_color_has_neither(monkeypatch: pytest.MonkeyPatch) -> None:
    stripes = Dyed(("#ffa500", "#c0c0c0"), 6)
    app = Shown(SHAPE.counts, stripes)
    async with app.run_test(size=(50, 20)):
        assert app.colours() == {"#ffa500", "#c0c0c0"}
        plain = app.sheet.plain
    monkeypatch.setenv("NO_COLOR", "1")
    bare = Shown(SHAPE.counts, stripes)
    async with bare.run_test(size=(50, 20)):
        assert not {"#ffa500", "#c0c0c0"} & bare.colours()
        assert set(bare.sheet.plain) <= set("█▓▀▄▚ \n")
        assert bare.sheet.plain.count("\n") == plain.count("\n")


async def test_a_terminal_without_blocks_gets_letters(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "__stdout__", TextIOWrapper(BytesIO(), encoding="ascii"))
    app = Shown((SHAPE.counts[0], 0, 0, 0), Dyed((NAVY,)))
    async with app.run_test(size=(50, 20)):
        assert app.sheet.plain.isascii()
        assert {"L", "h", "f", "t"} == set(app.sheet.plain) - set(" \n")


async def test_the_words_stand_at_the_parts_where_there_is_room() -> None:
    words = Words(("leg 9 rows", "heel 48 passes", "foot 22 rows", "toe 48 passes"), (), "round 8 in")
    for size, seen, unseen in (
        ((70, 14), words.parts, (words.short,)),
        ((30, 14), words.parts, (words.short,)),
        ((30, 9), (), (*words.parts, words.short)),
        ((70, 1), (words.short,), words.parts),
    ):
        app = Shown(SHAPE.counts, Dyed(), words)
        async with app.run_test(size=size):
            text = app.sheet.plain
            assert all(said in text for said in seen)
            assert not any(said in text for said in unseen)
            assert "█" in text


async def test_where_it_is_narrow_and_high_the_words_stand_under_a_larger_picture() -> None:
    below = ("heel 48 passes", "foot 22 rows", "toe 48 passes")
    app = Shown(SHAPE.counts, Dyed(), Words(("hem 12 rows", "leg 9 rows", *below)[-len(SHAPE.parts) :]))
    async with app.run_test(size=(50, 30)):
        lines = app.sheet.plain.splitlines()
        at = lines.index(below[0])
        assert tuple(lines[at : at + 3]) == below
        assert max(map(len, lines[:at])) > 50 - len(below[0]) - 2


@pytest.mark.parametrize("size", [(60, 12), (90, 14)])
async def test_each_of_the_words_beside_the_leg_has_a_line_of_its_own(size: tuple[int, int]) -> None:
    heel = Turning(30, 12)
    parts = (
        Section("hem", "rows", 12, 0),
        Section("leg", "rows", 57, 0),
        Section("heel", "passes", heel.count, 0),
        Section("foot", "rows", 50, 0),
        Section("toe", "passes", heel.count, 0),
    )
    shape = sock_shape(parts, heel, heel, Knitted(0.405, 0.315, 60))
    said = ("hem 12 rows", "leg 57 rows", "round 20 cm", "tightest at the ball", "loosest at the leg")
    app = Shown(shape.counts, Dyed(), Words((*said[:2], "heel", "foot", "toe"), said[2:]))
    app.sock = shape, *app.sock[1:]
    async with app.run_test(size=size):
        lines = app.sheet.plain.split("\n")
    assert [[one for one in said if one in line] for line in lines if any(one in line for one in said)] == [
        [one] for one in sorted(said, key=lambda one: next(y for y, line in enumerate(lines) if one in line))
    ]
