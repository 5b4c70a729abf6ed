"""A panel: a frame with its title, what stands in it, and a look that tells how things are without colour.

Painted by hand as one sheet, since Textual paints a whole widget anew when the title on its border changes; so a count
can stand in the title, and a press repaints the few cells that changed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from textwrap import wrap
from typing import TYPE_CHECKING, NamedTuple

from hosewright.bench.widgets.line import Row, Run, Sheet

if TYPE_CHECKING:
    from textual.geometry import Size

Fill = Callable[[int, int], Sequence[Row]]  # columns and lines within the frame to rows


class Frame(NamedTuple):
    """The signs of a frame: its corners from the upper left clockwise, level, upright, and its colour's role."""

    corners: str
    level: str
    upright: str
    role: str = "muted"


PLAIN = Frame("╭╮╯╰", "─", "│")
LIVE = Frame("╭╮╯╰", "─", "│", "live")
DUE = Frame("┏┓┛┗", "━", "┃", "due")
DONE = Frame("╔╗╝╚", "═", "║", "done")
RESTING = Frame("┌┐┘└", "╌", "╎")
DOUBTFUL = Frame("????", "╌", "╎", "due")
AWAY = Frame("xxxx", "┄", "┆", "fault")


def row_width(row: Row) -> int:
    """Cells of a row."""
    return sum(len(text) for text, _ in row)


def bar(share: float, cells: int, full: str = "█") -> str:
    """A bar as long as a ``share`` of so many cells; anything above nothing has a cell."""
    return full * min(cells, max(round(share * cells), int(share > 0)))


def cut(row: Row, width: int) -> list[Run]:
    """The first ``width`` cells of a row, and blanks up to there."""
    found: list[Run] = []
    room = width
    for text, style in row:
        if room <= 0:
            break
        found.append((text[:room], style))
        room -= len(text[:room])
    return [*found, (" " * room, "")] if room > 0 else found


@lru_cache(maxsize=256)
def wrapped(words: str, width: int, style: str = "", *, indent: str = "") -> tuple[Row, ...]:
    """``words`` as rows of ``width`` cells, ``indent`` before all but the first of each line; none without words.

    Most stand as they stood at the press before. While a terminal is drawn narrow, a panel may have no width left.
    """
    lines = (line for part in words.splitlines() for line in wrap(part, max(1, width), subsequent_indent=indent))
    return tuple(((line, style),) for line in lines)


def framed(
    rows: Sequence[Row], title: str, aside: str, width: int, height: int, frame: Frame = PLAIN
) -> tuple[Row, ...]:
    """``rows`` in a frame of ``width`` by ``height`` cells. ``aside`` stands at the right of the title's line."""
    inner = max(0, width - 2)
    corners, role = frame.corners, frame.role
    head = f"{frame.level} {title} " if title else ""
    tail = f" {aside} {frame.level}" if aside and len(head) + len(aside) + 4 <= inner else ""
    head = head[: max(0, inner - len(tail))]
    fill = frame.level * max(0, inner - len(head) - len(tail))
    top: Row = ((corners[0], role), (head, f"bold {role}".strip()), (fill, role), (tail, role), (corners[1], role))
    body: list[Row] = [
        ((frame.upright, role), *cut(row, inner), (frame.upright, role)) for row in rows[: max(0, height - 2)]
    ]
    blank: Row = ((frame.upright, role), (" " * inner, ""), (frame.upright, role))
    body += [blank] * (height - 2 - len(body))
    return top, *body, ((corners[3] + frame.level * inner + corners[2], role),)


def indented(fill: Fill) -> Fill:
    """What ``fill`` makes, a cell in from the frame on both sides."""
    return lambda width, height: [((" ", ""), *row) for row in fill(width - 2, height)]


class Panel(Sheet):
    """A framed sheet that fills its place."""

    def __init__(self, title: str = "", *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._title, self._aside = title, ""
        self._frame = PLAIN
        self._fill: Fill = lambda _width, _height: ()
        self._tall = 0  # lines, where they follow from the rows

    def show_panel(self, fill: Fill, title: str = "", aside: str = "", frame: Frame = PLAIN) -> None:
        """Show the rows that ``fill`` makes for so many columns and lines within the frame, now and at another size.

        What was the title stays where none is given.
        """
        self._fill, self._aside, self._frame = fill, aside, frame
        self._title = title or self._title
        self._lay_out()

    def on_resize(self) -> None:
        self._lay_out()
        self.refresh()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 (Textual's)
        """As many lines as the rows are, for a panel whose style sheet says "auto"; they are told no height then."""
        self._tall = len(self._fill(width - 2, 0)) + 2
        return self._tall

    def _lay_out(self) -> None:
        width, height = self.size
        if self.styles.is_auto_height and width > 2 and len(self._fill(width - 2, 0)) + 2 != self._tall:
            self.refresh(layout=True)
        if width > 2 and height > 2:
            rows = self._fill(width - 2, height - 2)
            self.show_rows(framed(rows, self._title, self._aside, width, height, self._frame))
