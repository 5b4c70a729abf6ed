"""What the present screen is for and what each key does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from hosewright.bench.shielded import Shielded
from hosewright.pages import page

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.session.keys import Command


class HelpScreen(Shielded, ModalScreen[None]):
    """Any of Escape, ? and Enter closes it. A long one is scrolled with the arrows."""

    BINDINGS = [(key, "dismiss", "Close") for key in ("escape", "question_mark", "enter", "f1", "q")]
    DEFAULT_CSS = """
    HelpScreen { align: center middle; }
    HelpScreen VerticalScroll { width: 76; max-width: 100%; max-height: 100%; height: auto; border: round $primary;
        background: $surface; padding: 0 1; }
    HelpScreen Static { height: auto; }
    HelpScreen Markdown { margin: 1 0 0 0; padding: 0 2 0 0; background: $surface; }
    """

    def __init__(self, title: str, commands: Sequence[Command], opening: str = "", topic: str = "") -> None:
        """``topic``: the page that stands below the keys."""
        super().__init__()
        self._title, self._commands, self._opening, self._topic = title, commands, opening, topic

    def compose(self) -> ComposeResult:
        table = Table.grid(padding=(0, 2))
        table.add_column(no_wrap=True, style="bold")
        table.add_column()
        for command in self._commands:
            table.add_row(command.shown, command.help)
        if finds := getattr(self.app, "FINDS", ""):
            table.add_row("Ctrl+P", finds)
        with VerticalScroll() as box:
            box.border_title = self._title.replace("[", r"\[")
            box.border_subtitle = "Esc closes"
            if self._opening:
                yield Static(self._opening + "\n", markup=False)
            yield Static(table)
            if self._topic:
                from textual.widgets import Markdown  # its parser is an eighth of a bare first frame

                yield Markdown(page(self._topic), open_links=False)
