"""Numbers and words to be read from across the room: digits and arrows of thick strokes, and letters of thin ones.

Drawn by hand: Textual's Digits are three lines high, whatever room there is, and have no letters. A dot is half a line
high. A thick digit of 8 by 10 dots takes 8 by 5 cells, or 16 by 10 drawn twice as large. The shapes are ours.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

# Seven rows of five dots a character, top to bottom, one digit in base 32 a row.
_GLYPHS = {
    "A": "ehhvhhh",
    "B": "uhhuhhu",
    "C": "ehggghe",
    "D": "uhhhhhu",
    "E": "vggsggv",
    "F": "vggsggg",
    "G": "ehgnhhe",
    "H": "hhhvhhh",
    "I": "e44444e",
    "J": "72222ic",
    "K": "hikokih",
    "L": "ggggggv",
    "M": "hrllhhh",
    "N": "hpplljh",
    "O": "ehhhhhe",
    "P": "uhhuggg",
    "Q": "ehhhlid",
    "R": "uhhukih",
    "S": "fgge11u",
    "T": "v444444",
    "U": "hhhhhhe",
    "V": "hhhhha4",
    "W": "hhhllla",
    "X": "hha4ahh",
    "Y": "hha4444",
    "Z": "v1248gv",
    "0": "ehhhhhe",
    "1": "4c4444e",
    "2": "eh168gv",
    "3": "u11e11u",
    "4": "26aiv22",
    "5": "vgu11he",
    "6": "68guhhe",
    "7": "v124488",
    "8": "ehhehhe",
    "9": "ehhf12c",
    "/": "11248gg",
    ",": "0000c48",
    "-": "000e000",
    "!": "4444404",
    " ": "0000000",
}
DOT_ROWS, DOT_COLUMNS = 7, 5
_FULL = {("1", "1"): "█", ("1", "0"): "▀", ("0", "1"): "▄", ("0", "0"): " "}
_HOLLOW = {("1", "1"): ":", ("1", "0"): "'", ("0", "1"): ".", ("0", "0"): " "}

DOTS_WIDE, DOTS_HIGH = 8, 10
POINT_WIDE, SPACE_WIDE = 2, 4  # dots of a decimal point, and between a whole number and its fraction
UP, DOWN = "^", "v"
TICK, REST, UNSURE, AWAY = "t", "=", "?", "x"
# Ten rows of eight dots, two hexadecimal digits a row.
_SHAPES = {
    "0": "3c7ee7c3c3c3c3e77e3c",
    "1": "183878f8181818187e7e",
    "2": "7effc303060e3870ffff",
    "3": "7effc3033e3e03c3ff7e",
    "4": "c6c6c6c6ffff06060606",
    "5": "ffffc0c0fcfe07c3ff7e",
    "6": "3c7ce0c0fcfec3c3ff7e",
    "7": "ffff07060e0c1c183838",
    "8": "7effc3c37e7ec3c3ff7e",
    "9": "7effc3c3ff7f03073e3c",
    "/": "0307060e0c1c183870e0",
    "-": "000000007e7e00000000",
    "+": "000018187e7e18180000",
    UP: "183c7effff3c3c3c3c3c",
    DOWN: "3c3c3c3c3cffff7e3c18",
    ".": "00000000000000000303",
    "±": "18187e7e1818007e7e00",
    TICK: "0303060e0cdcf8783000",
    REST: "00e7e7e7e7e7e7e7e700",
    UNSURE: "7effc3c3071e18001818",
    AWAY: "c3e7663c18183c66e7c3",
    " ": "00000000000000000000",
}


def _in_cells(rows: Sequence[str], size: int, *, hollow: bool) -> tuple[str, ...]:
    """Rows of dots, each of the letters 0 and 1, as lines of block characters; a dot is ``size`` cells wide.

    ``hollow``: in dots, which nobody takes for the usual shapes from two metres away.
    """
    cells = _HOLLOW if hollow else _FULL
    wide = ["".join(dot * size for dot in row) for row in rows for _ in range(size)]
    if len(wide) % 2:
        wide.append("0" * len(wide[0]))
    pairs = zip(wide[::2], wide[1::2], strict=True)
    return tuple("".join(cells[top, below] for top, below in zip(*pair, strict=True)) for pair in pairs)


@lru_cache(maxsize=64)
def _thin(text: str) -> tuple[str, ...]:
    """``text`` (capitals, digits, spaces and / , - !) in thin letters."""
    rows = ["0".join(f"{int(_GLYPHS[char][row], 32):0{DOT_COLUMNS}b}" for char in text) for row in range(DOT_ROWS)]
    return _in_cells(rows, 1, hollow=False)


@lru_cache(maxsize=256)
def drawn(text: str, size: int = 1, *, hollow: bool = False) -> tuple[str, ...]:
    """``text`` in thick digits and signs. ``size`` 1 is 5 lines high, 2 is 10. Raises KeyError for other signs."""
    rows = [
        "0".join(f"{int(_SHAPES[sign][2 * y : 2 * y + 2], 16):0{_dots(sign)}b}" for sign in text)
        for y in range(DOTS_HIGH)
    ]
    return _in_cells(rows, size, hollow=hollow)


def width_of(text: str, size: int = 1) -> int:
    """Cells that ``text`` is wide."""
    return (sum(_dots(sign) + 1 for sign in text) - 1) * size if text else 0


def _dots(sign: str) -> int:
    return POINT_WIDE if sign == "." else SPACE_WIDE if sign == " " else DOTS_WIDE


def large(words: str, width: int) -> tuple[str, ...]:
    """``words`` as lines of block characters at most ``width`` wide, broken between words.

    Empty when a word is too long for a line, or has a character that cannot be drawn.
    """
    rows: list[list[str]] = [[]]
    room = (width + 1) // (DOT_COLUMNS + 1)
    for word in words.upper().split():
        if len(word) > room or any(char not in _GLYPHS for char in word):
            return ()
        if len(" ".join([*rows[-1], word])) > room:
            rows.append([])
        rows[-1].append(word)
    lines: list[str] = []
    for row in rows:
        lines += ([""] if lines else []) + list(_thin(" ".join(row)))
    return tuple(line.rstrip() for line in lines)
