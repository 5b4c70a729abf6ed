"""Numbers to be read from across the room, drawn in block characters that every font has."""

from __future__ import annotations

from functools import lru_cache

from hosewright.bench.widgets.line import Sheet

# Seven rows of five dots a digit, one bit a dot.
_DOTS: dict[str, tuple[int, ...]] = {
    "0": (0b01110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110),
    "1": (0b00100, 0b01100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110),
    "2": (0b01110, 0b10001, 0b00001, 0b00110, 0b01000, 0b10000, 0b11111),
    "3": (0b11110, 0b00001, 0b00001, 0b01110, 0b00001, 0b00001, 0b11110),
    "4": (0b00010, 0b00110, 0b01010, 0b10010, 0b11111, 0b00010, 0b00010),
    "5": (0b11111, 0b10000, 0b11110, 0b00001, 0b00001, 0b10001, 0b01110),
    "6": (0b00110, 0b01000, 0b10000, 0b11110, 0b10001, 0b10001, 0b01110),
    "7": (0b11111, 0b00001, 0b00010, 0b00100, 0b00100, 0b01000, 0b01000),
    "8": (0b01110, 0b10001, 0b10001, 0b01110, 0b10001, 0b10001, 0b01110),
    "9": (0b01110, 0b10001, 0b10001, 0b01111, 0b00001, 0b00010, 0b01100),
    "/": (0b00001, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0b10000),
    " ": (0, 0, 0, 0, 0, 0, 0),
}
DOT_ROWS, DOT_COLUMNS = 7, 5


@lru_cache(maxsize=64)
def draw(text: str, dot: int, *, hollow: bool = False) -> tuple[str, ...]:
    """``text`` (digits, spaces and /) as lines of block characters, each dot ``dot`` cells wide and half as high.

    ``hollow``: in dots instead of full blocks.
    """
    cells = _DOTTED if hollow else _HALVES
    half_rows: list[str] = []
    for row in range(DOT_ROWS):
        line = (" " * dot).join(
            "".join(
                ("#" if _DOTS[char][row] >> (DOT_COLUMNS - 1 - column) & 1 else " ") * dot
                for column in range(DOT_COLUMNS)
            )
            for char in text
        )
        half_rows += [line] * dot
    if len(half_rows) % 2:
        half_rows.append(" " * len(half_rows[0]))
    pairs = zip(half_rows[::2], half_rows[1::2], strict=True)
    return tuple("".join(cells[top, below] for top, below in zip(*pair, strict=True)) for pair in pairs)


_HALVES = {("#", "#"): "█", ("#", " "): "▀", (" ", "#"): "▄", (" ", " "): " "}
_DOTTED = {("#", "#"): ":", ("#", " "): "'", (" ", "#"): ".", (" ", " "): " "}


def largest_dot(characters: int, width: int, height: int) -> int:
    """The largest dot with which ``characters`` digits fit in ``width`` x ``height`` cells (0: none fits)."""
    dots_across = characters * DOT_COLUMNS + (characters - 1)
    return max(0, min(width // dots_across, height * 2 // DOT_ROWS))


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
        """Show ``text`` (digits, spaces and /)."""
        self._text = text
        self._lay_out()

    def on_resize(self) -> None:
        """Fit the digits to the new size."""
        self._lay_out()
        self.refresh()

    def _lay_out(self) -> None:
        width, height = self.size
        dot = largest_dot(max(self._least, len(self._text)), width, height)
        lines = draw(self._text, dot, hollow=self._hollow) if dot and self._text else (self._text,)
        above = max(0, (height - len(lines)) // 2)
        left = " " * max(0, (width - len(lines[0])) // 2)
        self.show_rows([*([("", "")] * above), *((left + line, "") for line in lines)])
