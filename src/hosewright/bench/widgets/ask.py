"""One question, answered with one key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from hosewright.bench.shielded import Shielded

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.screen import Screen


class Ask(Shielded, ModalScreen[bool]):
    """Dismisses with True for yes. ``yes`` and ``no`` say what each answer does."""

    CSS_PATH = "ask.tcss"
    AUTO_FOCUS = ""
    BINDINGS = [Binding("y", "answer(True)", "Yes"), Binding("n,escape", "answer(False)", "No")]

    def __init__(self, question: str, yes: str, no: str) -> None:
        """Ask ``question``."""
        super().__init__()
        self._question = question
        self._answers = f"y  {yes}\nn  {no}"

    def compose(self) -> ComposeResult:
        """The question and its two answers."""
        with Vertical(id="ask-box"):
            yield Static(self._question, id="ask-question", markup=False)
            yield Static(self._answers, id="ask-answers", markup=False)

    def action_answer(self, yes: bool) -> None:
        """Answer and go."""
        self.dismiss(yes)


def leave(screen: Screen[Any], *, touched: bool) -> None:
    """Leave ``screen`` without keeping anything, after asking when something was ``touched``."""
    if not touched:
        screen.dismiss(None)
        return

    def answered(sure: bool | None) -> None:
        if sure:
            screen.dismiss(None)

    screen.app.push_screen(Ask("Leave without saving what you typed?", "leave it", "stay here"), answered)
