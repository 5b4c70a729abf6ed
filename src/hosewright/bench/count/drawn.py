"""What is drawn in cells by hand, since no widget has such a shape: the cylinder, the ladder of dial trials, a bar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from hosewright.bench.widgets.line import Steady
from hosewright.craft.dial import show_turns
from hosewright.session.observations import VERDICT_WORDS
from hosewright.session.unrolled import Needle, unroll

if TYPE_CHECKING:
    from hosewright.session.search import Search
    from hosewright.session.state import State, Trial


MOST_RUNGS = 9


def ladder(trials: list[Trial], search: Search, clicks_per_turn: int, most: int = MOST_RUNGS) -> list[str]:
    """One line a rung: the position in turns below zero, what was seen there, and where the dial belongs.

    At most ``most`` rungs, those nearest the present position.
    """
    rungs = sorted({trial.clicks for trial in trials} | {search.position})
    while len(rungs) > max(1, most):
        rungs.remove(max(rungs, key=lambda clicks: abs(clicks - search.position)))
    lines = ["turns below zero"]
    for clicks in rungs:
        here = "=#=" if clicks == search.position else "|-|"
        words = _seen([trial for trial in trials if trial.clicks == clicks])
        if clicks == search.position and not search.stopped:
            words += ("  " if words else "") + ("<- baseline" if search.found else "<- dial")
        lines.append(f"{show_turns(clicks, clicks_per_turn):>7} {here} {words}".rstrip())
    return lines


def _seen(trials: list[Trial]) -> str:
    void = sum(trial.void for trial in trials)
    words: list[tuple[str, int]] = [(f"({void} void)", 1)] if void else []
    for trial in trials:
        if trial.void:
            continue
        said = VERDICT_WORDS[trial.verdict]
        if trial.verdict == "stay":
            said = said.upper()  # the one that decides
        if words and words[-1][0] == said:
            words[-1] = (said, words[-1][1] + 1)
        else:
            words.append((said, 1))
    return ", ".join(said if times == 1 else f"{said} {times} times" for said, times in words)


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


def bar(done: int, of: int, width: int) -> str:
    """How far something is, in ``width`` cells. A line of characters, since Textual's bar lays out at each change."""
    filled = min(width, round(width * done / of)) if of else 0
    return "━" * filled + "·" * (width - filled)
