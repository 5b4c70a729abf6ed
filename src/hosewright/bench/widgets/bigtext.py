"""Numbers and words to be read from across the room.

Drawn by hand: Textual's Digits are three lines high, whatever room there is, and have no letters.
"""

from __future__ import annotations

from functools import lru_cache

from hosewright.bench.widgets.line import Sheet

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
_HALVES = {("1", "1"): "█", ("1", "0"): "▀", ("0", "1"): "▄", ("0", "0"): " "}
_DOTTED = {("1", "1"): ":", ("1", "0"): "'", ("0", "1"): ".", ("0", "0"): " "}


@lru_cache(maxsize=64)
def draw(text: str, dot: int, *, hollow: bool = False) -> tuple[str, ...]:
    """``text`` (capitals, digits, spaces and / , - !) as lines of block characters that every font has.

    Each dot is ``dot`` cells wide and half as high. ``hollow``: in dots instead of full blocks.
    """
    cells = _DOTTED if hollow else _HALVES
    half_rows: list[str] = []
    for row in range(DOT_ROWS):
        bits = "0".join(f"{int(_GLYPHS[char][row], 32):0{DOT_COLUMNS}b}" for char in text)
        half_rows += ["".join(bit * dot for bit in bits)] * dot
    if len(half_rows) % 2:
        half_rows.append("0" * len(half_rows[0]))
    pairs = zip(half_rows[::2], half_rows[1::2], strict=True)
    return tuple("".join(cells[top, below] for top, below in zip(*pair, strict=True)) for pair in pairs)


def largest_dot(characters: int, width: int, height: int) -> int:
    """The largest dot with which ``characters`` fit in ``width`` x ``height`` cells (0: none fits)."""
    dots_across = characters * DOT_COLUMNS + (characters - 1)
    return max(0, min(width // dots_across, height * 2 // DOT_ROWS))


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
        lines += ([""] if lines else []) + list(draw(" ".join(row), 1))
    return tuple(line.rstrip() for line in lines)


class BigText(Sheet):
    """Digits as large as their place allows. They are set with ``show`` and repaint without a new layout."""

    DEFAULT_CSS = "BigText { width: 1fr; height: 1fr; }"

    def __init__(self, *, least: int = 1, id: str | None = None) -> None:
        """``least``: room is always kept for this many characters, so that 99 -> 100 keeps its size."""
        super().__init__(id=id)
        self._least = least
        self._text = ""
        self._hollow = False

    def show_hollow(self, hollow: bool) -> None:
        """Another shape for the same digits: dots, that no one takes for the usual ones from two metres away."""
        self._hollow = hollow
        self._lay_out()

    def show(self, text: str) -> None:
        self._text = text
        self._lay_out()

    def on_resize(self) -> None:
        self._lay_out()
        self.refresh()

    def _lay_out(self) -> None:
        width, height = self.size
        dot = largest_dot(max(self._least, len(self._text)), width, height)
        lines = draw(self._text, dot, hollow=self._hollow) if dot and self._text else (self._text,)
        above = max(0, (height - len(lines)) // 2)
        left = " " * max(0, (width - len(lines[0])) // 2)
        self.show_rows([*([()] * above), *(((left + line, ""),) for line in lines)])
