"""Themes: what is wrong with a file is named, and every shipped one can be read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from textual.color import Color
from textual.theme import Theme
from textual.widgets import OptionList

from hosewright.bench.app import Bench
from hosewright.bench.themes import ThemeError, all_themes, read_theme
from hosewright.bench.widgets.ask import AskLine
from hosewright.places import config_folder, shipped_folder
from hosewright.settings.table import Settings
from tests.bench.stage import begin_tube, stock
from tests.contrast import (
    MARK_RATIO,
    TEXT_RATIO,
    contrast,
    faint_pairs,
    laid_on,
    pairs,
    relative_luminance,
)
from tests.helpers import crank_to, record

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from tests.helpers import FakeClock

SHIPPED = sorted(path.stem for path in shipped_folder("themes").glob("*.toml"))
# Okabe and Ito (2008), "Color Universal Design (CUD)", the palette as they give it in RGB.
OKABE_ITO = {
    "orange": (230, 159, 0),
    "sky blue": (86, 180, 233),
    "bluish green": (0, 158, 115),
    "yellow": (240, 228, 66),
    "blue": (0, 114, 178),
    "vermillion": (213, 94, 0),
    "reddish purple": (204, 121, 167),
}


# --- contrast -------------------------------------------------------------------------------------------------


def test_contrast_is_that_of_wcag() -> None:
    white, black = Color.parse("#ffffff"), Color.parse("#000000")
    # W3C, WCAG 2.2, "contrast ratio": from 1 to 21.
    assert contrast(white, black) == pytest.approx(21)
    assert contrast(black, white) == pytest.approx(21)
    assert contrast(white, white) == pytest.approx(1)
    # W3C's published example: #767676 is the lightest grey that passes on white, at 4.54:1; #777777 does not.
    assert contrast(Color.parse("#767676"), white) == pytest.approx(4.54, abs=0.005)
    assert contrast(Color.parse("#777777"), white) < TEXT_RATIO
    # The weights of the three primaries add up to white (ITU-R BT.709).
    assert sum(relative_luminance(Color.parse(c)) for c in ("#ff0000", "#00ff00", "#0000ff")) == pytest.approx(1)
    assert relative_luminance(Color.parse("#ff0000")) == pytest.approx(0.2126)


def test_transparency_is_laid_on_the_ground_first() -> None:
    black = Color.parse("#000000")
    assert laid_on("#ffffff 50%", black).hex in ("#7F7F7F", "#808080")
    assert laid_on("auto 100%", black) == Color.parse("#ffffff")
    assert laid_on("auto", Color.parse("#ffffff")) == black


@pytest.mark.parametrize("name", SHIPPED)
def test_every_pair_of_a_shipped_theme_can_be_read(name: str) -> None:
    theme = read_theme(shipped_folder("themes") / f"{name}.toml")
    assert faint_pairs(theme) == []
    limits = [limit for *_, limit in pairs(theme)]
    assert (limits.count(TEXT_RATIO), limits.count(MARK_RATIO)) == (28, 19)


def test_there_is_a_dark_a_light_a_stark_and_a_colour_blind_safe_theme() -> None:
    themes = {theme.name: theme for theme in all_themes()[0]}
    assert themes["lamplight"].dark
    assert not themes["daylight"].dark
    words = [c for _, _, c, limit in pairs(themes["stark"]) if limit == TEXT_RATIO]
    assert min(words) >= 7  # W3C, WCAG 2.2, success criterion 1.4.6
    every_eye = themes["every-eye"]
    used = [every_eye.primary, every_eye.secondary, every_eye.accent, every_eye.success, every_eye.warning]
    assert {Color.parse(c or "").rgb for c in (*used, every_eye.error)} <= set(OKABE_ITO.values())
    assert "Okabe and Ito (2008)" in (shipped_folder("themes") / "every-eye.toml").read_text()


def test_a_faint_theme_is_found_out(tmp_path: Path) -> None:
    path = tmp_path / "faint.toml"
    path.write_text('primary = "#333333"\nforeground = "#555555"\nbackground = "#222222"\n')
    faint = {(front, ground) for front, ground, *_ in faint_pairs(read_theme(path))}
    assert ("foreground", "background") in faint
    assert ("primary", "background") in faint


def _written(app: Bench) -> Iterator[tuple[str, Color, Color]]:
    """Every run of words on the screen with its two colours as painted."""
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if style is None or not any(letter.isalnum() for letter in segment.text):
                continue
            assert style.color is not None
            assert style.bgcolor is not None
            front, ground = Color.from_rich_color(style.color), Color.from_rich_color(style.bgcolor)
            yield segment.text.strip(), *((ground, front) if style.reverse else (front, ground))


def told_apart() -> Theme:
    """A theme in which no two names have one colour: two pairs that look alike in it are one pair in every theme."""
    shipped = all_themes()[0]
    grounds = ("primary", "secondary", "accent", "foreground", "background", "surface", "panel")
    names = [*grounds, "success", "warning", "error", *sorted({name for one in shipped for name in one.variables})]
    hues = {name: Color(20 + 7 * n, 230 - 6 * n, (97 * n) % 256).hex for n, name in enumerate(names)}
    variables = {name: value for one in shipped for name, value in one.variables.items()}
    own = {name: hues[name] if value.startswith("#") else value for name, value in variables.items()}
    plain: dict[str, Any] = {name: hue for name, hue in hues.items() if name not in variables}
    return Theme("told apart", variables=own, **plain)


async def test_every_word_painted_on_the_screens_can_be_read(book: Logbook, clock: FakeClock) -> None:
    stock(book)
    live = begin_tube(book)
    clock.wait(3 * 3_600_000)
    faint: dict[tuple[str, str, str], float] = {}
    painted: set[tuple[Color, Color]] = set()
    app = Bench(book, Settings())
    async with app.run_test(size=(110, 34)) as pilot:
        for theme in (told_apart(), *all_themes()[0]):
            app.register_theme(theme)

        async def look(where: str) -> None:
            """The screen that is up, in every theme, where it puts colours together that no screen before it does."""
            app.theme = "told apart"
            await pilot.pause(0.05)
            words = list(_written(app))
            assert len(words) > 5, where
            here = {(a, b) for _, a, b in words}
            if here <= painted:
                return
            painted.update(here)
            for name in SHIPPED:
                app.theme = name
                await pilot.pause(0.05)
                faint.update(
                    {(name, where, w): contrast(a, b) for w, a, b in _written(app) if contrast(a, b) < TEXT_RATIO}
                )

        await look("home")
        for key in "estpldymb":
            await pilot.press(key)
            await look(type(app.screen).__name__)
            if key == "e":
                await pilot.press("enter")
                await look("an open list")
                await pilot.press("escape", "pageup")
                await look("the keys")
            await pilot.press("escape")
        app.open_session(live.record.id)
        await look("a step in words")
        await pilot.press(*["enter"] * 4, *["space"] * 10, "enter", "enter", *["space"] * 3, "d", "space")
        await look("counting")
        await pilot.press("equals_sign", "equals_sign", "1", "2")
        assert app.screen.query_one(AskLine).display
        await look("a question")
        await pilot.press("escape", "a")
        assert app.screen.query_one(AskLine).yes_or_no
        await look("a question of yes or no")
        await pilot.press("n", "escape")
        measured = book.start(record("tube"))
        crank_to(measured, "after-wash")
        app.open_session(measured.record.id)
        await look("measuring")
    assert len(painted) > 10
    assert faint == {}


# --- files ----------------------------------------------------------------------------------------------------


def test_everything_wrong_in_a_theme_is_named_at_once_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text(
        '# mine\nbackgruond = "#000000"\nsurface = "blurple"\npanel = 12\ndark = "yes"\nwarning = "ansi_red"\n'
        '[variables]\ntext-mutd = "#ffffff"\nborder = "#12"\nblock-cursor-text-style = "loud"\n'
        'text-muted = "auto 60%"\nscrollbar = "#ffffff 140%"\n'
    )
    with pytest.raises(ThemeError) as caught:
        read_theme(path)
    assert {problem.removeprefix(f"{path}") for problem in caught.value.problems} == {
        ", line 2: backgruond is nothing a theme has; did you mean background?",
        ": the theme has no primary colour.",
        ", line 5: dark is true or false, not 'yes'.",
        ", line 3: surface = 'blurple' is not a colour, such as #e0b565.",
        ", line 4: panel = 12 is not a colour, such as #e0b565.",
        ", line 6: warning = 'ansi_red' is not a colour, such as #e0b565.",
        ", line 8: text-mutd is not a variable of a theme; did you mean text-muted?",
        ", line 9: border = '#12' is not a colour, such as #e0b565 or #e0b565 60%.",
        ", line 10: block-cursor-text-style = 'loud' is not a style, such as bold, underline or none.",
        ", line 12: scrollbar = '#ffffff 140%' is not a colour, such as #e0b565 or #e0b565 60%.",
    }


@pytest.mark.parametrize("text", ["primary = ", "\xff", "variables = 3\nprimary = '#ffffff'", "x = " + "[" * 5000])
def test_no_file_can_do_worse_than_be_left_out(tmp_path: Path, text: str) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(ThemeError, match=r"odd\.toml"):
        read_theme(path)


async def test_a_broken_theme_is_told_and_the_usual_one_is_up(book: Logbook) -> None:
    mine = config_folder() / "themes"
    mine.mkdir(parents=True)
    (mine / "dusk.toml").write_text('primary = "#a0b0c0"\nsurface = "mud-ish"\n')
    (mine / "dawn.toml").write_text('primary = "#a0b0c0"\n')
    app = Bench(book, Settings(theme="dusk"))
    async with app.run_test(notifications=True) as pilot:
        await pilot.pause()
        assert app.theme == "lamplight"
        told = [note.message for note in app._notifications]
        assert any("dusk.toml, line 2: surface = 'mud-ish'" in words for words in told)
        assert any("no theme 'dusk'" in words for words in told)
        assert "dawn" in app.themes
        await pilot.press("e", "pagedown", "enter")
        await pilot.pause()
        assert isinstance(app.focused, OptionList)
        assert app.focused.option_count == len(SHIPPED) + 1


async def test_a_theme_of_ones_own_can_stand_in_for_a_shipped_one(book: Logbook) -> None:
    mine = config_folder() / "themes"
    mine.mkdir(parents=True)
    (mine / "lamplight.toml").write_text('primary = "#a0b0c0"\n')
    app = Bench(book, Settings())
    async with app.run_test():
        assert app.current_theme.primary == "#a0b0c0"
        assert app.themes.count("lamplight") == 1
