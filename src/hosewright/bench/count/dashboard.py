"""What the panels at the crank show while rows and passes are counted, as rows of text. Nothing is painted here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.count.large import NEAR_ROWS, Told, sign_of
from hosewright.bench.widgets.panel import AWAY, DONE, DOUBTFUL, DUE, LIVE, RESTING, Frame, row_width
from hosewright.phrases.times import minutes_words, time_of_day
from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses, DialTrial, sock_of
from hosewright.session.twins import had_before
from hosewright.session.unrolled import Needle, unroll
from hosewright.session.words import instruction, next_pass_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.widgets.line import Row, Run
    from hosewright.counting.from_the_record import Watched
    from hosewright.craft.turning import Side
    from hosewright.logbook.classroom import LastSession
    from hosewright.logbook.live import Live
    from hosewright.phrases.times import Moment
    from hosewright.session.cues import Cue
    from hosewright.session.pace import Paces
    from hosewright.session.state import State
    from hosewright.session.words import Given


def look_of(state: State, near: Cue | None, *, keys_here: bool) -> tuple[Frame, str]:
    """The frame of what the hands are at, and the word that goes with it."""
    step, target = state.step, state.target
    if not keys_here:
        return AWAY, "KEYS GO ELSEWHERE"
    if state.abandoned:
        return RESTING, "GIVEN UP"
    if state.paused:
        return RESTING, "PAUSED"
    if state.doubted:
        return DOUBTFUL, f"{state.doubted} DOUBTFUL"
    if step is None:
        return DONE, "FINISHED"
    if isinstance(step, DialTrial) and (state.search.stopped or state.search.found):
        return (DUE, "DO NOT CRANK") if state.search.stopped else (DONE, "FOUND")
    if target is None:
        return LIVE, ""
    if state.count > target:
        return DUE, "MORE THAN PLANNED"
    if state.count == target:
        return DONE, "DONE"
    if near is not None and near.left <= NEAR_ROWS:
        return DUE, ""
    return LIVE, ""


def count_title(state: State) -> str:
    """The count as plain text: of a heel or toe the pass that is next, of rows those done."""
    step = state.step
    if step is None or state.target is None:
        return ""
    name = step.title.upper()
    if isinstance(step, CountPasses):
        if state.count < state.target:
            return f"{name} · pass {state.count + 1} of {state.target}"
        return f"{name} · {state.count} of {state.target} passes"
    return f"{name} · {state.count} of {state.target} rows"


def big_number(state: State, shows: str) -> str:
    """The number to be read from two metres: counted up, left to go, or of the whole sock so far."""
    if shows == "sock":
        return str(sum(count for name, count in cranked(state).items() if sock_of(name) == state.sock))
    if shows == "down" and state.target is not None:
        return str(max(0, state.target - state.count))
    return str(state.count)


def told_of(
    live: Live | LastSession, first: State | None, cue: Cue | None, now: Moment, *, shows: str, frame: Frame, word: str
) -> Told:
    """What stands beside the digits. ``shows``: which number the settings want large; ``word``: the state's."""
    state = live.state
    left = (state.target or 0) - state.count
    words = [f"of {state.target} passes" if state.unit == "pass" else f"{left} to go"] if left > 0 else []
    if left == 0 and not state.paused:
        words.append("Enter goes on")
    words += _times(state, live.paces, left, now)
    if had := had_before(first, state):
        words.append(had)
    return Told(big_number(state, shows), tuple(words), word, cue, sign_of(state, frame))


def pace_words(state: State, paces: Paces) -> str:
    """How fast the crank goes, and how fast usually where that differs."""
    pace = paces.of(passes=isinstance(state.step, CountPasses))
    usual, lately = pace.per_minute, pace.now_per_minute
    if usual is None or lately is None or state.paused:
        return ""
    slower = f" (usually {usual:.0f})" if abs(lately - usual) >= max(1.0, 0.15 * usual) else ""
    return f"{lately:.0f}/min{slower}"


def _times(state: State, paces: Paces, left: int, now: Moment) -> list[str]:
    """How long the present part and the whole work will take."""
    usual = paces.of(passes=isinstance(state.step, CountPasses)).per_minute
    if usual is None or left <= 0 or state.paused:
        return []
    rows, passes = state.ahead
    whole = paces.minutes_for(rows, passes)
    said = [f"{_about(left / usual)} here"]
    if whole is not None and rows + passes != left:
        said.append(f"all done {time_of_day(now.at_ms + whole * 60_000, now.zone_min)}")
    return said


def _about(minutes: float) -> str:
    return "under 1 min" if minutes < 1 else minutes_words(minutes)


def now_words(state: State, given: Given) -> str:
    """What the hands do next in words."""
    step = state.step
    if isinstance(step, CountPasses):
        if state.count > step.target:
            odd = (state.count - step.target) % 2
            back = f"; one more brings the carrier back to the {step.turning.ends}" if odd else ""
            return f"More than planned: take back what was no pass. Those cranked are plain passes{back}."
        if state.count == step.target:
            return "All passes are done: every needle of the heel half is in work again."
        return f"Pass {state.count + 1}: {next_pass_words(step, state.count)}"
    return instruction(state, given)


_SIGNS = {Needle.WORK: "┃", Needle.OUT: "·", Needle.LIFTED: "▔", Needle.DOWN_NEXT: "▼", Needle.UP_NEXT: "▲"}
_LOOKS = {Needle.LIFTED: "muted", Needle.OUT: "muted", Needle.DOWN_NEXT: "bold live", Needle.UP_NEXT: "bold live"}
EVERY = 6  # needles between two numbers
MOST_CELLS = 3  # a needle


def needle_rows(state: State, width: int, watched: Sequence[Watched] = ()) -> list[Row]:
    """The heel half where it is turned, up to three cells a needle, with the carrier on its side; numbers below.

    In leg and foot one line: the needles that are out of work, or how many are in, and those to watch.
    """
    view = unroll(state)
    if view.carrier is not None:
        return _half(view.heel, 1, width, view.carrier)
    if Needle.OUT in (*view.heel, *view.instep):
        return _half((*view.heel, *view.instep), 1, width, None)
    said: Row = ((f"all {state.head.slots} needles in work", "muted"),)
    return [(*said, *_to_watch(watched, width - row_width(said)))]


def _to_watch(watched: Sequence[Watched], width: int) -> list[Run]:
    """Each needle to watch with what it did, as many as fit."""
    runs: list[Run] = []
    for one in watched:
        before = ", " if runs else "   watch "
        room = width - sum(len(text) for text, _ in runs)
        if len(before) + len(f"{one.needle} ({one.words})") > room:
            break
        runs += [(before, "muted"), (str(one.needle), "bold due"), (f" ({one.words})", "")]
    return runs


def _half(needles: Sequence[Needle], first: int, width: int, carrier: Side | None) -> list[Row]:
    margin = 4 if carrier else 0
    cell = max(1, min(MOST_CELLS, (width - 2 * margin) // len(needles)))
    left = max(margin, (width - cell * len(needles)) // 2)
    signs: list[Run] = [("Y ▶".rjust(left - 1) + " " if carrier == "left" else " " * left, "bold live")]
    numbers = [" "] * (left + cell * len(needles) + 3)
    moved = []
    for at, needle in enumerate(needles):
        sign = _SIGNS[needle]
        full = sign * cell if needle is Needle.LIFTED and cell == MOST_CELLS else sign
        signs.append((full.center(cell), _LOOKS.get(needle, "")))
        middle = left + at * cell + cell // 2
        if needle in (Needle.DOWN_NEXT, Needle.UP_NEXT):
            moved.append((middle, str(first + at)))
    for at in range(len(needles)):
        middle, number = left + at * cell + cell // 2, first + at
        if (number % EVERY == 0 or number == 1) and all(abs(middle - other) > EVERY - 2 for other, _ in moved):
            _write(numbers, middle, str(number))
    if carrier == "right":
        signs.append((" ◀ Y", "bold live"))
    for middle, text in moved:
        _write(numbers, middle, text)
    line = "".join(numbers)
    runs: list[Run] = []
    at = 0
    for middle, text in moved:
        start = middle - (len(text) - 1) // 2
        runs += [(line[at:start], "muted"), (line[start : start + len(text)], "bold live")]
        at = start + len(text)
    return [signs, [*runs, (line[at:], "muted")]]


def _write(line: list[str], middle: int, text: str) -> None:
    start = middle - (len(text) - 1) // 2
    if start >= 0 and start + len(text) <= len(line):
        line[start : start + len(text)] = text
