"""What the present screen is for and what each key does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from hosewright.bench.shielded import Shielded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.session.keys import Command


OPENINGS = {
    "words": "Do what the step says, then press Enter. On the right are all steps, x before those that are done.",
    "step by step": "Do what the step says, then press Enter. Below it stands why it is done, what to look for, and "
    "what to do when it goes wrong.",
    "finished": "Nothing is left to do here. The session keeps what it came to, and can be looked back on from the "
    "bench.",
    "trial": "Crank a full row at the dial position shown, watch the stitches rise behind the V-cam, and say what they "
    "did. The ladder shows each position tried; up is towards the zero mark.",
    "counting": "Each press is saved before it is shown. “5 of 56 rows” are done; “pass 6”, with what to do, is the "
    "next. The cylinder is drawn needle by needle: ┃ in work, · out of work, ▔ lifted, ▲ goes up next, ▼ comes down "
    "next, Y the yarn carrier and the side it stands on. While the keyboard goes to another window the count is drawn "
    "in dots and says so, if the terminal tells; inside tmux that takes `set -g focus-events on` in its settings.",
    "measuring": "Type a reading and press Enter: it is saved at once. A line that takes several readings stays for "
    "another, since they make a mean, and Enter alone goes to the next; every other line moves on by itself. A length "
    "takes any unit.",
}


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

                from hosewright.pages import page

                yield Markdown(page(self._topic), open_links=False)
