"""The steps of a session and its dial trials, as rows of text."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING

from hosewright.bench.count.large import LINES
from hosewright.bench.widgets.bigtext import drawn
from hosewright.bench.widgets.panel import indented, wrapped
from hosewright.craft.dial import show_position, show_turns
from hosewright.session.observations import VERDICT_WORDS
from hosewright.session.steps import CountPasses, CountRows, sock_of
from hosewright.session.steps.tubes import plain_title

if TYPE_CHECKING:
    from hosewright.bench.widgets.line import Row
    from hosewright.bench.widgets.panel import Fill
    from hosewright.session.search import Search
    from hosewright.session.state import State, Trial


MOST_RUNGS = 9
MOST_SIZE = 2  # of the digits of a position, so that a half turn more does not make them jump
BESIDE = 20  # cells of the words beside a position drawn large
LEAST_LADDER = 5  # its heading and four rungs: where they have no room the position is not drawn large


def step_rows(state: State) -> Fill:
    """What fills a panel with the steps around the present one, each with its count: x done, > present."""
    steps = state.head.steps

    def row(index: int, width: int) -> Row:
        step = steps[index]
        counted = f"{state.counts[index]}/{step.target}" if isinstance(step, CountRows | CountPasses) else ""
        mark = "x" if index < state.index else ">" if index == state.index else " "
        title = step.title
        if sock := sock_of(step.id):
            title = f"{sock} {plain_title(title)}"
        room = width - 3 - len(counted) if counted else width - 2
        style = "bold reverse" if index == state.index else "muted" if index < state.index else ""
        return ((f"{mark} {title[:room]:<{room}} {counted}".rstrip(), style),)

    def fill(width: int, height: int) -> list[Row]:
        first = max(0, min(state.index - height // 2, len(steps) - height))
        return [row(index, width) for index in range(first, min(first + height, len(steps)))]

    return indented(fill)


def trial_rows(state: State, care: str, width: int, height: int, *, hollow: bool, ladders: bool) -> list[Row]:
    """The advice, the dial's position as large digits where they have room, what to be careful of, the trials so far.

    ``height`` 0: as many lines as it takes. ``ladders``: with the trials.
    """
    turn = state.head.clicks_per_turn
    clicks = state.search.position
    told = wrapped(state.search.advice, width, "bold")
    below = wrapped(f"Caution: {care}", width, "bold due") if care else ()
    small: list[Row] = [((f"{show_position(clicks, turn)} ({clicks} clicks)", ""),)]
    lines = ladder(state.trials, state.search, turn) if ladders else []
    room = height - len(told) - len(below) if height else LINES + len(small) + 1 + len(lines)
    where = small
    for size in range(MOST_SIZE if height else 1, 0, -1):
        large = _dial_rows(state, size, width, small, hollow=hollow)
        if large and room >= len(large) + min(len(lines), LEAST_LADDER):
            where = large
            break
    room -= len(where)
    lines = ladder(state.trials, state.search, turn, min(room - 1, MOST_RUNGS)) if ladders else []
    apart: list[Row] = [()] if lines and room > len(lines) else []
    return [*told, *where, *below, *apart, *(((line, ""),) for line in lines)]


def _dial_rows(state: State, size: int, width: int, small: list[Row], *, hollow: bool) -> list[Row]:
    """Where the dial belongs in digits ``size`` times as large, with its words beside or below; nothing if too wide."""
    clicks = state.search.position
    digits = drawn(show_turns(clicks, state.head.clicks_per_turn), size, hollow=hollow)
    if len(digits[0]) > width:
        return []
    fits = len(digits[0]) + BESIDE <= width
    beside = ("", f"({clicks} clicks)", "turns below zero") if clicks and fits else ()
    rows: list[Row] = [
        ((line, "live"), (f"   {said}", "bold")) for line, said in zip_longest(digits, beside, fillvalue="")
    ]
    return rows if fits else [*rows, *small]


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
