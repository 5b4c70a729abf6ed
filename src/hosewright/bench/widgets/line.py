"""Text that is painted again only when it changed, without a new layout where its place is fixed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.text import Text


class Steady(Static):
    """A place of fixed size: a press repaints it, and nothing round it is laid out anew."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__("", id=id, classes=classes, markup=False)
        self._said: str | Text = ""

    def show_text(self, text: str | Text, *, layout: bool = False) -> None:
        """Show ``text``; ``layout``: its height follows from it."""
        if text != self._said:
            self._said = text
            self.update(text, layout=layout)


class Sheet(Widget):
    """Lines of styled text painted straight from strips: only the box round the cells that changed is painted again.

    Made by hand: Textual's own widgets paint all of themselves anew, which a press cannot wait for.
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows: list[tuple[str, str]] = []
        self._styles: dict[str, Style] = {}

    def show_rows(self, rows: Sequence[tuple[str, str]]) -> None:
        """Show these (text, style) rows, from the top."""
        before, self._rows = self._rows, list(rows)
        changed = []
        for y in range(max(len(before), len(self._rows))):
            old = before[y] if y < len(before) else ("", "")
            new = self._rows[y] if y < len(self._rows) else ("", "")
            if old != new:
                first, last = changed_cells(old, new)
                if last > first:
                    changed.append(Region(first, y, last - first, 1))
        if changed:
            self.refresh(Region.from_union(changed))

    def notify_style_update(self) -> None:
        """The theme or a class changed: styles are read anew."""
        super().notify_style_update()
        self._styles.clear()

    def render_line(self, y: int) -> Strip:
        text, named = self._rows[y] if y < len(self._rows) else ("", "")
        return Strip([Segment(text, self._style(named))], len(text)).adjust_cell_length(
            self.size.width, self._style("")
        )

    def _style(self, named: str) -> Style:
        """A style in the widget's own colours, which take 70 us to be worked out."""
        style = self._styles.get(named)
        if style is None:
            plain = self._styles.setdefault("", self.rich_style)
            style = self._styles[named] = plain + Style.parse(named) if named else plain
        return style


def changed_cells(old: tuple[str, str], new: tuple[str, str]) -> tuple[int, int]:
    """The first cell that differs, and one past the last; the same twice where only blanks at the end came or went.

    A change of style changes the whole row.
    """
    width = max(len(old[0]), len(new[0]))
    if old[1] != new[1]:
        return 0, width
    one, two = old[0].ljust(width), new[0].ljust(width)
    differing = [at for at in range(width) if one[at] != two[at]]
    return (differing[0], differing[-1] + 1) if differing else (0, 0)
