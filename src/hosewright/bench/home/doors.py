"""Home's panels as doors: a click on one does as its key, and the pointer lights its frame; and the panel of keys."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.bench.widgets.keybar import PointedKeys, in_lines
from hosewright.bench.widgets.panel import LIVE, PLAIN, Fill, Frame, Panel, row_width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from hosewright.bench.widgets.line import Row, Run
    from hosewright.session.keys import Command

_GAP = 3


class Door(Panel):
    """A panel that leads where ``key`` does."""

    ALLOW_SELECT = False

    def __init__(self, title: str, key: str, *, id: str) -> None:
        super().__init__(title, id=id)
        self.key = key
        self._shown: tuple[Fill, str] | None = None

    def show_door(self, fill: Fill, aside: str = "", title: str = "") -> None:
        """Show these rows; ``aside`` stands at the right of the title."""
        self._shown = fill, aside
        self.show_panel(fill, title, aside)

    def on_click(self, event: events.Click) -> None:
        event.stop()
        self.app.simulate_key(self.key)

    def on_enter(self) -> None:
        self._light(LIVE)

    def on_leave(self) -> None:
        self._light(PLAIN)

    def _light(self, frame: Frame) -> None:
        if self._shown is not None:
            self.show_panel(self._shown[0], aside=self._shown[1], frame=frame)


class Keys(Panel, PointedKeys):
    """Keys in groups, a line or two each."""

    def __init__(self, groups: Sequence[tuple[str, Sequence[Command]]], *, id: str) -> None:
        super().__init__("THE KEYS", id=id)
        self._groups = groups
        self._at: list[tuple[int, int, int, Command]] = []  # line, first cell, one past the last, and the key there

    def paint(self) -> None:
        self.show_panel(self._in_groups)

    def _in_groups(self, width: int, height: int) -> list[Row]:
        named = max(len(name) for name, _ in self._groups) + 4
        lines = [
            (name if at == 0 else "", line)
            for name, of in self._groups
            for at, line in enumerate(in_lines(of, width - named - 1, _GAP))
        ]
        gaps = len(lines) + len(self._groups) - 1 <= height
        rows: list[Row] = []
        self._at = []
        for name, commands in lines:
            if name and rows and gaps:
                rows.append(())
            row: list[Run] = [(f"  {name:<{named - 2}}", "bold")]
            for command in commands:
                start = row_width(row)
                row += self.runs_of(command)
                self._at.append((len(rows), start, row_width(row), command))
                row.append((" " * _GAP, ""))
            rows.append(row)
        return rows

    def under(self, event: events.MouseEvent) -> Command | None:
        offset = event.get_content_offset(self)
        if offset is None:
            return None
        found = (one for y, x, end, one in self._at if offset.y == y + 1 and x <= offset.x - 1 < end)
        return next(found, None)


def in_words(commands: Sequence[Command], words: dict[str, str]) -> list[Command]:
    """The commands with other words at the foot for those named."""
    return [replace(one, word=words.get(one.does, one.word)) for one in commands]
