"""The cylinder unrolled on the screen: one cell a needle, every sixth numbered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from hosewright.bench.widgets.line import Steady
from hosewright.session.unrolled import Needle, unroll

if TYPE_CHECKING:
    from hosewright.session.state import State

EVERY = 6
MARGIN = 10
_STYLES = {Needle.DOWN_NEXT: "reverse bold", Needle.UP_NEXT: "reverse bold", Needle.LIFTED: "dim", Needle.OUT: "dim"}
_WORDS = {
    Needle.WORK: "in work",
    Needle.OUT: "out of work",
    Needle.LIFTED: "lifted",
    Needle.DOWN_NEXT: "comes down next",
    Needle.UP_NEXT: "goes up next",
}


def numbers(first: int, count: int) -> str:
    """A line of needle numbers, the last digit of each above its cell."""
    line = [" "] * count
    for number in range(first, first + count):
        if number % EVERY == 0 or number == first == 1:
            text = str(number)
            end = number - first + 1
            if end >= len(text):
                line[end - len(text) : end] = text
    return "".join(line)


class CylinderStrip(Steady):
    """Both halves of the cylinder, where the carrier stands, and what the marks mean."""

    DEFAULT_CSS = "CylinderStrip { width: 100%; height: auto; padding: 0 1; }"

    _lines = 0

    def show(self, state: State, *, legend: bool = True) -> None:
        """Show the needles where ``state`` stands; ``legend`` adds a line with what the marks mean."""
        view = unroll(state)
        text = Text(no_wrap=True)
        for name, needles, first in (("heel", view.heel, 1), ("instep", view.instep, len(view.heel) + 1)):
            carrier = view.carrier if name == "heel" else None
            text.append(" " * MARGIN + numbers(first, len(needles)) + "\n", "dim")
            text.append(f"{name:<7}" + (" Y>" if carrier == "left" else "   "))
            for needle in needles:
                text.append(needle.value, _STYLES.get(needle, ""))
            text.append(("<Y" if carrier == "right" else "") + "\n")
        if not legend:
            self._paint(text[:-1])
            return
        seen = [needle for needle in Needle if needle in view.heel or needle in view.instep]
        words = "   ".join(f"{needle.value} {_WORDS[needle]}" for needle in seen)
        text.append(" " * MARGIN + words + ("   Y carrier" if view.carrier else ""), "dim")
        self._paint(text)

    def _paint(self, text: Text) -> None:
        lines = text.plain.count("\n") + 1
        self.show_text(text, layout=lines != self._lines)
        self._lines = lines
