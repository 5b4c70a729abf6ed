"""What is drawn in cells by hand, since no widget has such a shape: the ladder of dial trials, a bar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import show_turns
from hosewright.session.observations import VERDICT_WORDS

if TYPE_CHECKING:
    from hosewright.session.search import Search
    from hosewright.session.state import Trial


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


def bar(done: int, of: int, width: int) -> str:
    """How far something is, in ``width`` cells. A line of characters, since Textual's bar lays out at each change."""
    filled = min(width, round(width * done / of)) if of else 0
    return "━" * filled + "·" * (width - filled)
