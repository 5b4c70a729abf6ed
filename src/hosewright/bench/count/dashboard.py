"""What the panels at the crank show while rows and passes are counted, as rows of text. Nothing is painted here."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Literal, NamedTuple

from hosewright.bench.widgets.digits import DOWN, UP, drawn, width_of
from hosewright.bench.widgets.panel import AWAY, DONE, DOUBTFUL, DUE, LIVE, RESTING, Frame
from hosewright.phrases.times import minutes_words, time_of_day
from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses, CountRows, sock_of
from hosewright.session.twins import had_before
from hosewright.session.unrolled import Needle, unroll
from hosewright.session.words import instruction, next_pass_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.widgets.line import Row, Run
    from hosewright.logbook.live import Live
    from hosewright.phrases.times import Moment
    from hosewright.session.cues import Cue
    from hosewright.session.pace import Paces
    from hosewright.session.state import State
    from hosewright.session.words import Given

NEAR_ROWS = 3  # a cue so near changes the look of the count; ours
Side = Literal["left", "right"]
Block = tuple[int, int, "Sequence[str]", str]  # column, line, text and style


class Hand(NamedTuple):
    """What one hand does before the next pass: needles to push ``way`` on its side."""

    side: Side
    needles: tuple[int, ...]
    way: Literal["up", "down"]


def hands_now(state: State) -> tuple[Hand, ...]:
    """What the hands move before the next pass, the left hand first; nothing outside a heel or toe."""
    step = state.step
    if not isinstance(step, CountPasses) or state.count >= step.target:
        return ()
    ahead = step.turning.at(state.count + 1)
    middle = (ahead.in_work[0] + ahead.in_work[-1]) / 2
    found = []
    for moved, way in ((ahead.lower, "down"), (ahead.lift, "up")):
        for side in ("left", "right"):
            on_side = tuple(needle for needle in moved if (needle < middle) == (side == "left"))
            if on_side:
                found.append(Hand(side, on_side, way))  # type: ignore[arg-type]
    return tuple(sorted(found, key=lambda hand: hand.side))


def look_of(state: State, near: Cue | None, *, keys_here: bool) -> tuple[Frame, str]:
    """The frame of the count and the word that goes with it."""
    target = state.target or 0
    if not keys_here:
        return AWAY, "KEYS GO ELSEWHERE"
    if state.paused:
        return RESTING, "PAUSED"
    if state.doubted:
        return DOUBTFUL, f"{state.doubted} DOUBTFUL"
    if state.count > target:
        return DUE, f"{state.count - target} MORE THAN PLANNED"
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
        ahead = min(state.count + 1, state.target)
        return f"{name} · pass {ahead} of {state.target}" if state.count < state.target else f"{name} · all passes done"
    return f"{name} · {state.count} of {state.target} rows"


class Told(NamedTuple):
    """What stands beside the large digits, in words."""

    number: str  # the count as large digits
    words: tuple[str, ...] = ()  # below it: how many are to go, how long it takes
    state: str = ""  # PAUSED and the like
    cue: Cue | None = None  # what comes next outside a heel or toe


def big_number(state: State, shows: str) -> str:
    """The number to be read from two metres: counted up, left to go, or of the whole sock so far."""
    if shows == "sock":
        return str(sum(count for name, count in cranked(state).items() if sock_of(name) == state.sock))
    if shows == "down" and state.target is not None:
        return str(max(0, state.target - state.count))
    return str(state.count)


def progress_words(state: State, paces: Paces, first: State | None, now: Moment, width: int) -> str:
    """How far the present part is, how fast, how long it and the sock will take, in one line of ``width``."""
    step = state.step
    assert isinstance(step, CountRows | CountPasses)
    turned = isinstance(step, CountPasses)
    unit = "passes" if turned else "rows"
    left = step.target - state.count
    words = f"{step.title} {state.count} of {step.target} {unit}"
    if had := had_before(first, state):
        words += f" ({had})"
    if state.doubted:
        words += f", {state.doubted} doubtful"
    if left < 0:
        words += f", {-left} MORE than planned"
    if state.paused:
        return f"{words}   PAUSED"
    if left <= 0:
        return words if left else f"{words}, DONE: Enter goes on"
    words += f", {left} to go"
    times = _time_words(state, paces, turned=turned, left=left, now=now)
    return next((words + said for said in times if len(words + said) <= width), words)


def _time_words(state: State, paces: Paces, *, turned: bool, left: int, now: Moment) -> list[str]:
    """How fast and how long in words, the fullest first; the first that fits is shown."""
    pace = paces.of(passes=turned)
    usual, lately = pace.per_minute, pace.now_per_minute
    if usual is None or lately is None:
        return []
    short, here = f". {lately:.0f}/min", f": {_about(left / usual)}"
    slower = f" (usually {usual:.0f})" if abs(lately - usual) >= max(1.0, 0.15 * usual) else ""
    rows, passes = state.ahead
    whole = paces.minutes_for(rows, passes)
    if whole is None or rows + passes == left:
        return [short + slower + here, short + here, short]
    ends = time_of_day(now.at_ms + whole * 60_000, now.zone_min)
    sock = f" here, {_about(whole)} in all, till {ends}"
    return [short + slower + here + sock, short + here + sock, short + here, short]


def told_of(live: Live, first: State | None, cue: Cue | None, now: Moment, *, shows: str, word: str) -> Told:
    """What stands beside the digits. ``shows``: which number the settings want large; ``word``: the state's."""
    state = live.state
    left = (state.target or 0) - state.count
    unit = "passes" if isinstance(state.step, CountPasses) else "rows"
    words = [f"of {state.target} {unit}" if unit == "passes" else f"{left} to go"] if left > 0 else []
    if left == 0 and not state.paused:
        words.append("Enter goes on")
    words += _times(state, live.paces, left, now)
    if had := had_before(first, state):
        words.append(had)
    return Told(big_number(state, shows), tuple(words), word, cue)


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


def count_rows(state: State, told: Told, width: int, height: int, *, hollow: bool = False) -> list[Row]:
    """The count and what the hands do next, as large as ``width`` by ``height`` cells allow.

    In a heel or toe the needle's number is the largest, on the side of the hand that moves it, with an arrow; elsewhere
    the count is, with the target and the rows to the next cue beside it.
    """
    hands = hands_now(state)
    if hands:
        for size in range(max(1, height // 5), 0, -1):
            for arrow in (size, 1):
                blocks = _with_hands(hands, told, size, arrow, width, height, hollow)
                if blocks:
                    return _laid(blocks, height)
    for size in range(max(1, height // 5), 0, -1):
        blocks = _with_cue(state, told, size, width, height, hollow)
        if blocks:
            return _laid(blocks, height)
    plain: list[Row] = [((told.number, "bold live"),), *(((words, ""),) for words in _beside_words(told))]
    return plain[:height]


def _with_hands(
    hands: Sequence[Hand], told: Told, size: int, arrow: int, width: int, height: int, hollow: bool
) -> list[Block]:
    """Hands at the sides, the count between them or on the free side; nothing when it does not fit."""
    sides = {
        side: _hand_block([hand for hand in hands if hand.side == side], size, arrow, hollow)
        for side in ("left", "right")
    }
    count = drawn(told.number, 1, hollow=hollow)
    middle = max(len(count[0]), *(len(words) for words in _beside_words(told)), 0)
    used = sum(max(len(lines[0]) for lines, _ in side) + 3 for side in sides.values() if side)
    if used + middle > width or any(sum(len(lines) for lines, _ in side) > height for side in sides.values()):
        return []
    blocks: list[Block] = []
    left = 0
    for side, parts in sides.items():
        wide = max((len(lines[0]) for lines, _ in parts), default=0)
        y = 0
        for lines, style in parts:
            blocks.append((0 if side == "left" else width - wide, y, lines, style))
            y += len(lines)
        if side == "left" and parts:
            left = wide + 3
    if not sides["right"]:
        at = width - middle
    elif not sides["left"]:
        at = 0
    else:
        at = left
    return [*blocks, (at, 0, count, "live"), (at, len(count) + 1, _beside_words(told)[: height - 6], "bold")]


def _hand_block(hands: Sequence[Hand], size: int, arrow: int, hollow: bool) -> list[tuple[tuple[str, ...], str]]:
    """Number and arrow of each needle a hand moves, one under the other when there are several."""
    moved = [(needle, hand.way) for hand in hands for needle in hand.needles]
    size, arrow = (size, arrow) if len(moved) == 1 else (1, 1)
    found = []
    for needle, way in moved:
        number = drawn(str(needle), size, hollow=hollow)
        sign = drawn(UP if way == "up" else DOWN, arrow, hollow=hollow)
        above = (len(number) - len(sign)) // 2
        blank = " " * len(sign[0])
        signs = [blank] * above + list(sign) + [blank] * (len(number) - len(sign) - above)
        found.append((tuple(f"{one}  {other}" for one, other in zip(number, signs, strict=True)), "due"))
    return found


def _with_cue(state: State, told: Told, size: int, width: int, height: int, hollow: bool) -> list[Block]:
    """The count, and beside it the target and the rows to the next cue; nothing when it does not fit."""
    wide = width_of(told.number, size)
    x = wide + 3
    room = width - x
    target = f"/{state.target}"
    words = _beside_words(told)
    if room < max((len(line) for line in words), default=0) or size * 5 > height:
        return []
    blocks: list[Block] = [(0, 0, drawn(told.number, size, hollow=hollow), "live")]
    y = 0
    if width_of(target, 1) <= room and height >= 5 + len(words):
        blocks.append((x, 0, drawn(target, hollow=hollow), "muted"))
        y = 5
    cue = told.cue
    if cue is not None and height - y >= 5 and room >= width_of(str(max(0, cue.left)), 1) + 14:
        number = drawn(str(max(0, cue.left)), hollow=hollow)
        beside = x + len(number[0]) + 2
        said = wrap(_cue_words(state, cue), width - beside)[: 5 - min(4, len(words))]
        blocks.append((x, height - 5, number, "due" if cue.left <= NEAR_ROWS else "promised"))
        blocks.append((beside, height - 5, [*said, *words][:5], "bold"))
        return blocks
    blocks.append((x, y, words[: height - y], "bold"))
    return blocks


def _cue_words(state: State, cue: Cue) -> str:
    unit = "pass" if isinstance(state.step, CountPasses) else "row"
    if cue.left == 0:
        return f"now: {cue.words}"
    if cue.left < 0:
        return f"{-cue.left} ago: {cue.words}"
    plural = unit if cue.left == 1 else {"row": "rows", "pass": "passes"}[unit]
    return f"{plural}, then {cue.words}"


def _beside_words(told: Told) -> list[str]:
    return [words for words in (told.state, *told.words) if words]


def _laid(blocks: Sequence[Block], height: int) -> list[Row]:
    """Blocks of text side by side as rows of runs. Blocks of one line do not overlap."""
    rows: list[Row] = []
    for y in range(height):
        here = sorted((x, lines[y - top], style) for x, top, lines, style in blocks if 0 <= y - top < len(lines))
        runs: list[Run] = []
        at = 0
        for x, text, style in here:
            if x > at:
                runs.append((" " * (x - at), ""))
            runs.append((text, style))
            at = max(at, x) + len(text)
        rows.append(runs)
    return rows


_SIGNS = {Needle.WORK: "┃", Needle.OUT: "·", Needle.LIFTED: "▔", Needle.DOWN_NEXT: "▼", Needle.UP_NEXT: "▲"}
_LOOKS = {Needle.LIFTED: "muted", Needle.OUT: "muted", Needle.DOWN_NEXT: "bold due", Needle.UP_NEXT: "bold due"}
EVERY = 6  # needles between two numbers
MOST_CELLS = 3  # a needle


def needle_rows(state: State, width: int) -> list[Row]:
    """The heel half where it is turned, up to three cells a needle, with the carrier on its side; numbers below.

    In leg and foot one line: every needle, or those that are out of work.
    """
    view = unroll(state)
    if view.carrier is None:
        out = [n for n, needle in enumerate((*view.heel, *view.instep), 1) if needle is Needle.OUT]
        if not out:
            return [((f"all {state.head.slots} needles in work", "muted"),)]
        return _half((*view.heel, *view.instep), 1, width, None)
    return _half(view.heel, 1, width, view.carrier)


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
        runs += [(line[at:start], "muted"), (line[start : start + len(text)], "bold due")]
        at = start + len(text)
    return [signs, [*runs, (line[at:], "muted")]]


def _write(line: list[str], middle: int, text: str) -> None:
    start = middle - (len(text) - 1) // 2
    if start >= 0 and start + len(text) <= len(line):
        line[start : start + len(text)] = text


_BARS = "▁▂▃▄▅▆▇█"


def pace_line(gaps_ms: Sequence[int], width: int) -> str:
    """How fast the crank went, the newest at the right: one sign for one or several rows, the fastest the highest."""
    if not gaps_ms or width < 1:
        return ""
    each = -(-len(gaps_ms) // width)
    groups = [gaps_ms[at : at + each] for at in range(0, len(gaps_ms), each)]
    speeds = [60_000 * len(group) / max(1, sum(group)) for group in groups]
    top = max(speeds)
    return "".join(_BARS[min(7, int(speed / top * 7.999))] for speed in speeds)
