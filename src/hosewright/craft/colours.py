"""Colours as people name them: the names of CSS and hexadecimal figures. A colour is kept as "#rrggbb".

How far two can be told apart is WCAG's contrast ratio.
"""

from __future__ import annotations

import re
from functools import cache

from hosewright.craft import CraftError
from hosewright.craft.units import quoted

MARK_RATIO = 3.0
MOST_SHADES = 12
_HEX = re.compile(r"#?([0-9a-f]{3}|[0-9a-f]{6})")
_WORD = re.compile(r"#[0-9a-f]+|[a-z]+")
_MOST_WORDS = 4  # of one name: "light golden rod yellow"
_OVER = ("ends", "ended", "ending", "stops", "over", "out")  # said after a colour, it is the one that is no more
# W3C, CSS Color Module Level 4, section 6.1, "Named Colors".
_NAMED = """
aliceblue f0f8ff antiquewhite faebd7 aqua 00ffff aquamarine 7fffd4 azure f0ffff beige f5f5dc bisque ffe4c4
black 000000 blanchedalmond ffebcd blue 0000ff blueviolet 8a2be2 brown a52a2a burlywood deb887 cadetblue 5f9ea0
chartreuse 7fff00 chocolate d2691e coral ff7f50 cornflowerblue 6495ed cornsilk fff8dc crimson dc143c cyan 00ffff
darkblue 00008b darkcyan 008b8b darkgoldenrod b8860b darkgray a9a9a9 darkgreen 006400 darkgrey a9a9a9
darkkhaki bdb76b darkmagenta 8b008b darkolivegreen 556b2f darkorange ff8c00 darkorchid 9932cc darkred 8b0000
darksalmon e9967a darkseagreen 8fbc8f darkslateblue 483d8b darkslategray 2f4f4f darkslategrey 2f4f4f
darkturquoise 00ced1 darkviolet 9400d3 deeppink ff1493 deepskyblue 00bfff dimgray 696969 dimgrey 696969
dodgerblue 1e90ff firebrick b22222 floralwhite fffaf0 forestgreen 228b22 fuchsia ff00ff gainsboro dcdcdc
ghostwhite f8f8ff gold ffd700 goldenrod daa520 gray 808080 green 008000 greenyellow adff2f grey 808080
honeydew f0fff0 hotpink ff69b4 indianred cd5c5c indigo 4b0082 ivory fffff0 khaki f0e68c lavender e6e6fa
lavenderblush fff0f5 lawngreen 7cfc00 lemonchiffon fffacd lightblue add8e6 lightcoral f08080 lightcyan e0ffff
lightgoldenrodyellow fafad2 lightgray d3d3d3 lightgreen 90ee90 lightgrey d3d3d3 lightpink ffb6c1
lightsalmon ffa07a lightseagreen 20b2aa lightskyblue 87cefa lightslategray 778899 lightslategrey 778899
lightsteelblue b0c4de lightyellow ffffe0 lime 00ff00 limegreen 32cd32 linen faf0e6 magenta ff00ff maroon 800000
mediumaquamarine 66cdaa mediumblue 0000cd mediumorchid ba55d3 mediumpurple 9370db mediumseagreen 3cb371
mediumslateblue 7b68ee mediumspringgreen 00fa9a mediumturquoise 48d1cc mediumvioletred c71585
midnightblue 191970 mintcream f5fffa mistyrose ffe4e1 moccasin ffe4b5 navajowhite ffdead navy 000080
oldlace fdf5e6 olive 808000 olivedrab 6b8e23 orange ffa500 orangered ff4500 orchid da70d6 palegoldenrod eee8aa
palegreen 98fb98 paleturquoise afeeee palevioletred db7093 papayawhip ffefd5 peachpuff ffdab9 peru cd853f
pink ffc0cb plum dda0dd powderblue b0e0e6 purple 800080 rebeccapurple 663399 red ff0000 rosybrown bc8f8f
royalblue 4169e1 saddlebrown 8b4513 salmon fa8072 sandybrown f4a460 seagreen 2e8b57 seashell fff5ee
sienna a0522d silver c0c0c0 skyblue 87ceeb slateblue 6a5acd slategray 708090 slategrey 708090 snow fffafa
springgreen 00ff7f steelblue 4682b4 tan d2b48c teal 008080 thistle d8bfd8 tomato ff6347 turquoise 40e0d0
violet ee82ee wheat f5deb3 white ffffff whitesmoke f5f5f5 yellow ffff00 yellowgreen 9acd32
"""


@cache
def named_colours() -> dict[str, str]:
    """Every name of CSS, without blanks and small, with its colour."""
    words = _NAMED.split()
    return {name: f"#{figures}" for name, figures in zip(words[::2], words[1::2], strict=True)}


def read_colour(text: str) -> str:
    """A name such as "Dark green" or "teal", or figures such as "#8a5a3c" or "8a5", as "#rrggbb". Raises CraftError."""
    bare = re.sub(r"[\s_-]+", "", text.casefold())
    named = named_colours().get(bare)
    if named is not None:
        return named
    figures = _HEX.fullmatch(bare)
    if figures is None:
        raise CraftError(
            f"{quoted(text)} is not a colour known here: type a plain name, such as teal, dark green or tan, or six "
            f"digits, such as #8a5a3c."
        )
    return _whole(figures[1])


def read_colours(text: str) -> tuple[str, ...]:
    """One colour, or those of stripes with commas between them. Raises CraftError."""
    found = tuple(read_colour(part) for part in text.split(",") if part.strip())
    if len(found) > MOST_SHADES:
        raise CraftError(f"{len(found)} colours are more than a picture shows: type the {MOST_SHADES} widest stripes.")
    return found


def show_colour(colour: str) -> str:
    """The name of a colour that has one, else its figures."""
    return next((name for name, figures in named_colours().items() if figures == colour), colour)


def colour_in(words: str) -> str | None:
    """The colour that ``words`` speak of, "orange begins" or "navy ends, now tan": the last one named that stays."""
    signs = _WORD.findall(words.casefold())
    found = None
    at = 0
    while at < len(signs):
        for many in range(_MOST_WORDS, 0, -1):
            one = _named("".join(signs[at : at + many]))
            if one is not None:
                if signs[at + many : at + many + 1] == [] or signs[at + many] not in _OVER:
                    found = one
                at += many - 1
                break
        at += 1
    return found


def _named(word: str) -> str | None:
    if word.startswith("#"):
        figures = _HEX.fullmatch(word)
        return _whole(figures[1]) if figures else None
    return named_colours().get(word)


def _whole(figures: str) -> str:
    return f"#{figures}" if len(figures) == 6 else "#" + "".join(one * 2 for one in figures)


def contrast(one: str, other: str) -> float:
    """WCAG's contrast ratio of two colours, from 1 for none to 21."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@cache
def told_from(ground: str, colour: str) -> str:
    """``colour``, or where it is too near to ``ground`` the nearest to it, towards black or white, that is not."""
    if contrast(ground, colour) >= MARK_RATIO:
        return colour
    away = max(("#000000", "#ffffff"), key=lambda end: contrast(ground, end))
    mixed = (_mixed(colour, away, part / 20) for part in range(1, 20))
    return next((one for one in mixed if contrast(ground, one) >= MARK_RATIO), away)


def _mixed(one: str, other: str, share: float) -> str:
    pairs = zip(_parts(one), _parts(other), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def _parts(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _luminance(colour: str) -> float:
    """Relative luminance: W3C, WCAG 2.2, with the threshold 0.04045 of its May 2021 correction."""
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (value / 255 for value in _parts(colour))
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
