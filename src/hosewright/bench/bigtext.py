"""Numbers to be read from across the room, drawn in block characters that every font has."""

from __future__ import annotations

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

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


def draw(text: str, dot: int) -> list[str]:
    """``text`` (digits, spaces and /) as lines of block characters, each dot ``dot`` cells wide and half as high."""
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
    return ["".join(_HALVES[top, below] for top, below in zip(upper, lower, strict=True)) for upper, lower in pairs]


_HALVES = {("#", "#"): "█", ("#", " "): "▀", (" ", "#"): "▄", (" ", " "): " "}


def largest_dot(characters: int, width: int, height: int) -> int:
    """The largest dot with which ``characters`` digits fit in ``width`` x ``height`` cells (0: none fits)."""
    dots_across = characters * DOT_COLUMNS + (characters - 1)
    return max(0, min(width // dots_across, height * 2 // DOT_ROWS))


class BigText(Widget):
    """Digits as large as their place allows. They are set with ``show`` and repaint without a new layout."""

    DEFAULT_CSS = "BigText { width: 1fr; height: 1fr; }"

    def __init__(self, *, least: int = 1, id: str | None = None) -> None:
        """``least``: room is always kept for this many characters, so that 99 -> 100 keeps its size."""
        super().__init__(id=id)
        self._least = least
        self._text = ""
        self._lines: list[str] = []

    def show(self, text: str) -> None:
        """Show ``text`` (digits, spaces and /)."""
        self._text = text
        self._lay_out()
        self.refresh()

    def on_resize(self) -> None:
        """Fit the digits to the new size."""
        self._lay_out()
        self.refresh()

    def _lay_out(self) -> None:
        dot = largest_dot(max(self._least, len(self._text)), self.size.width, self.size.height)
        self._lines = draw(self._text, dot) if dot and self._text else [self._text]

    def render_line(self, y: int) -> Strip:
        """One line of the drawing, in the middle of the widget."""
        top = max(0, (self.size.height - len(self._lines)) // 2)
        style = self.rich_style
        inside = 0 <= y - top < len(self._lines)
        line = self._lines[y - top] if inside else ""
        left = max(0, (self.size.width - len(line)) // 2)
        return Strip([Segment(" " * left + line, style)]).adjust_cell_length(self.size.width, style)
