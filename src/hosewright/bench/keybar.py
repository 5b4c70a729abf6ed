"""The keys of the present screen and step, written out at its foot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.commands import Command

_GAP = "  "


class KeyBar(Static):
    """Every key that does something now, and what it does. A key and its words stay on one line."""

    DEFAULT_CSS = """
    KeyBar { dock: bottom; width: 100%; height: auto; padding: 0 1; background: $panel; color: $foreground; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._commands: Sequence[Command] = ()

    def show(self, commands: Sequence[Command]) -> None:
        """Show these commands in order."""
        if commands != self._commands:
            self._commands = commands
            self._write()

    def on_resize(self) -> None:
        """Break the lines anew."""
        self._write()

    def _write(self) -> None:
        width = (self.app.size.width or 80) - 2
        text, used = Text(no_wrap=True), 0
        for command in self._commands:
            length = len(command.shown) + 1 + len(command.word)
            if used and used + len(_GAP) + length > width:
                text.append("\n")
                used = 0
            elif used:
                text.append(_GAP)
                used += len(_GAP)
            text.append(command.shown, "reverse")
            text.append(" " + command.word)
            used += length
        self.update(text)
