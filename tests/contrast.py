"""Whether a theme can be read: contrast by WCAG 2.2, and the pairs of colours the screens put together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.color import Color

from hosewright.bench.widgets.line import ROLES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.theme import Theme

TEXT_RATIO = 4.5  # W3C, WCAG 2.2, success criterion 1.4.3 (level AA)
MARK_RATIO = 3.0  # W3C, WCAG 2.2, success criterion 1.4.11; for large letters 1.4.3
FLASH_TINT = 0.4  # of bench/count/screen.tcss

_GROUNDS = ("background", "surface", "panel")
# A cell in reverse has its word's colour for a ground and the screen's ground for a word: the same two colours.
_WORDS = tuple(dict.fromkeys(("foreground", "text", *ROLES.values())))
_OTHER_WORDS = (
    ("block-cursor-foreground", "block-cursor-background"),
    ("block-cursor-blurred-foreground", "block-cursor-blurred-background"),
)
# A line one types on is lighter than the screen: what lies on it is laid on that.
_TYPED = (
    ("input-cursor-foreground", "input-cursor-background"),
    ("input-selection-foreground", "input-selection-background"),
)
_MARKS = ("primary", "secondary", "accent", "success", "warning", "error")


def relative_luminance(colour: Color) -> float:
    """Relative luminance, 0 for black to 1 for white; any transparency is left out.

    Source: W3C, WCAG 2.2, "relative luminance" (with the threshold 0.04045 of its May 2021 correction).
    """
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (colour.r / 255, colour.g / 255, colour.b / 255)
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Color, other: Color) -> float:
    """The contrast ratio of two opaque colours, 1 to 21, whichever is in front.

    Source: W3C, WCAG 2.2, "contrast ratio".
    """
    darker, lighter = sorted((relative_luminance(one), relative_luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def palette(theme: Theme) -> dict[str, str]:
    """Every colour the screens know by name, as the app hands them to the style sheets."""
    return {**theme.to_color_system().generate(), **theme.variables}


def laid_on(colour: str, ground: Color) -> Color:
    """What is seen when ``colour`` (with its transparency, or "auto 60%") is painted on ``ground``."""
    words, _, share = colour.partition(" ")
    alpha = float(share.rstrip("%")) / 100 if share else 1.0
    front = ground.get_contrast_text(1.0) if words == "auto" else Color.parse(words)
    return ground + front.multiply_alpha(alpha)


def faint_pairs(theme: Theme) -> list[tuple[str, str, float, float]]:
    """The pairs of a theme below their limit, as (front, ground, contrast, limit)."""
    return [pair for pair in pairs(theme) if pair[2] < pair[3]]


def pairs(theme: Theme) -> Iterator[tuple[str, str, float, float]]:
    """Every pair the screens use, as (front, ground, contrast, limit)."""
    colours = palette(theme)
    background = Color.parse(colours["background"])
    together = [(word, ground, TEXT_RATIO) for word in _WORDS for ground in _GROUNDS]
    together += [(word, ground, TEXT_RATIO) for word, ground in (*_OTHER_WORDS, *_TYPED)]
    together += [(mark, ground, MARK_RATIO) for mark in _MARKS for ground in ("background", "surface")]
    together.append(("scrollbar", "scrollbar-background", MARK_RATIO))
    for front, ground, limit in together:
        under = Color.parse(colours["panel"]) if (front, ground) in _TYPED else background
        behind = laid_on(colours[ground], under)
        yield front, ground, contrast(laid_on(colours[front], behind), behind), limit
    # At a target the digits flash: a tint is laid on them and on their ground alike. They are large letters.
    tint = Color.parse(colours["success"])
    behind = background.blend(tint, FLASH_TINT)
    for role, word in ROLES.items():
        digits = laid_on(colours[word], background).blend(tint, FLASH_TINT)
        yield f"{role} in a flash", "background", contrast(digits, behind), MARK_RATIO
    # Reverse video swaps the two: the ground is written on the foreground, at the same contrast.
