"""The reason for the present step on the session screen, one step at a time."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from rich.text import Text

from hosewright.bench.widgets.line import Steady
from hosewright.counting.step_by_step import next_words, reason_parts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.session.keys import Command
    from hosewright.session.state import State

_LABEL = 11  # cells before the words of a part
_FEW_LINES = 22  # of the terminal: below, only why and what to be careful of have room
_FIRST = ("Why", "Careful")
_LEAST = 20  # a narrower terminal shows the beginnings of lines


class ReasonPanel(Steady):
    """Below what the step asks for, or below the count."""

    DEFAULT_CSS = "ReasonPanel { width: 100%; height: auto; padding: 0 2; }"

    def show_step(self, state: State, commands: Sequence[Command], width: int, *, apart: bool) -> None:
        """Show the present step, with its ``commands``, to ``width`` cells.

        ``apart``: an empty line stands between the parts.
        """
        go = next((command.shown for command in commands if command.does == "go_on"), "")
        text = Text(no_wrap=True)
        few = self.app.size.height < _FEW_LINES
        for label, words in reason_parts(state, commands):
            if few and label not in _FIRST:
                continue
            style = "bold" if label == "Careful" else ""
            for number, line in enumerate(wrap(words, max(_LEAST, width - _LABEL))):
                text.append(f"{'' if number else label:<{_LABEL}}", "bold")
                text.append(line + "\n", style)
            if apart:
                text.append("\n")
        ahead = next_words(state, go)
        text.append("\n".join(wrap(ahead, max(_LEAST, width))), "bold")
        text.rstrip()
        self.show_text(text, layout=True)
