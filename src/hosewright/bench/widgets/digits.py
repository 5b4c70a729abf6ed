"""Digits and arrows to be read from two metres: every stroke two dots thick, so that nothing hangs by a corner.

Drawn by hand: Textual's Digits are three lines high, whatever room there is. A dot is as high as half a line, so a
digit of 8 by 10 dots takes 8 by 5 cells, or 16 by 10 when it is drawn twice as large. The shapes are ours.
"""

from __future__ import annotations

from functools import lru_cache

DOTS_WIDE, DOTS_HIGH = 8, 10
POINT_WIDE = 2  # dots of a decimal point
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
_FULL = {(1, 1): "█", (1, 0): "▀", (0, 1): "▄", (0, 0): " "}
_HOLLOW = {(1, 1): ":", (1, 0): "'", (0, 1): ".", (0, 0): " "}


@lru_cache(maxsize=256)
def drawn(text: str, size: int = 1, *, hollow: bool = False) -> tuple[str, ...]:
    """``text`` in lines of cells, a dot between its signs. ``size`` 1 is 5 lines high, 2 is 10.

    ``hollow``: in dots, which nobody takes for the usual digits from two metres away. Raises KeyError for other signs.
    """
    cells = _HOLLOW if hollow else _FULL
    rows = []
    for y in range(DOTS_HIGH):
        bits = "0".join(f"{int(_SHAPES[sign][2 * y : 2 * y + 2], 16):0{_dots(sign)}b}" for sign in text)
        rows += ["".join(bit * size for bit in bits)] * size
    return tuple(
        "".join(cells[int(one), int(other)] for one, other in zip(upper, lower, strict=True))
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    )


def width_of(text: str, size: int = 1) -> int:
    """Cells that ``text`` is wide."""
    return (sum(_dots(sign) + 1 for sign in text) - 1) * size if text else 0


def _dots(sign: str) -> int:
    return POINT_WIDE if sign == "." else DOTS_WIDE
