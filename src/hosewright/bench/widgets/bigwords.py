"""A few words large enough to be read from the machine, in block characters that every font has."""

from __future__ import annotations

from functools import lru_cache
from itertools import zip_longest

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
    "2": "eh1248v",
    "3": "u11e11u",
    "4": "26aiv22",
    "5": "vgu111u",
    "6": "eggufhe",
    "7": "v112444",
    "8": "ehhehhe",
    "9": "ehhf11e",
    ",": "0000c48",
    "-": "000e000",
    " ": "0000000",
}
_COLUMNS = 5
_HALVES = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}


@lru_cache(maxsize=32)
def large(words: str, width: int) -> tuple[str, ...]:
    """``words`` as lines of block characters at most ``width`` wide, broken between words.

    Empty when a word is too long for a line, or has a character that cannot be drawn.
    """
    rows: list[list[str]] = [[]]
    room = (width + 1) // (_COLUMNS + 1)
    for word in words.upper().split():
        if len(word) > room or any(char not in _GLYPHS for char in word):
            return ()
        if len(" ".join([*rows[-1], word])) > room:
            rows.append([])
        rows[-1].append(word)
    lines: list[str] = []
    for row in rows:
        lines += ([""] if lines else []) + list(_drawn(" ".join(row)))
    return tuple(line.rstrip() for line in lines)


def _drawn(text: str) -> list[str]:
    dots = [" ".join(_dots(_GLYPHS[char][row]) for char in text) for row in range(7)]
    pairs = zip_longest(dots[::2], dots[1::2], fillvalue=" " * len(dots[0]))
    return ["".join(_HALVES[top != " ", below != " "] for top, below in zip(*pair, strict=True)) for pair in pairs]


def _dots(digit: str) -> str:
    return f"{int(digit, 32):0{_COLUMNS}b}".replace("0", " ")
