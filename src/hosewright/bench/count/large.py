"""The large part at the crank: the count, what the hands do next and the state, as large as their place allows.

Rows of text, nothing painted. In a heel or toe the needle's number is the largest, on the side of the hand that moves
it, with an arrow; elsewhere the rows to the next cue stand beside the count.
"""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Literal, NamedTuple

from hosewright.bench.widgets.bigtext import AWAY, DOWN, REST, TICK, UNSURE, UP, drawn, width_of
from hosewright.bench.widgets.panel import AWAY as KEYS_AWAY
from hosewright.bench.widgets.panel import DONE, DOUBTFUL, RESTING
from hosewright.phrases.lists import plural
from hosewright.session.steps import CountPasses

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.widgets.line import Row, Run
    from hosewright.bench.widgets.panel import Frame
    from hosewright.craft.turning import Side
    from hosewright.session.cues import Cue
    from hosewright.session.state import State

LINES = 5  # of a digit drawn once as large
LEAST_BESIDE = 14  # cells of words beside large digits
TALL = 16  # lines from which the count and the cue stand one above the other
_SIGNS = {DONE: TICK, RESTING: REST, DOUBTFUL: UNSURE, KEYS_AWAY: AWAY}
Block = tuple[int, int, "Sequence[str]", str]  # column, line, text and style


class Hand(NamedTuple):
    """What one hand does before the next pass: needles to push ``way`` on its side."""

    side: Side
    needles: tuple[int, ...]
    way: Literal["up", "down"]


class CountWords(NamedTuple):
    """What stands beside the large digits."""

    number: str  # the count as large digits
    words: tuple[str, ...] = ()  # below it: how many are to go, how long it takes
    state: str = ""  # PAUSED and the like
    cue: Cue | None = None  # what comes next outside a heel or toe
    sign: str = ""  # the state as a large sign, or how many more than planned
    due: bool = False  # whether the cue stands out by now


def hands_now(state: State) -> tuple[Hand, ...]:
    """What the hands move before the next pass, the left hand first; nothing outside a heel or toe."""
    step = state.step
    return hands_after(step, state.count) if isinstance(step, CountPasses) else ()


def hands_after(step: CountPasses, passes: int) -> tuple[Hand, ...]:
    """What the hands move after so many passes of a heel or toe; nothing after the last."""
    if passes >= step.target:
        return ()
    ahead = step.turning.at(passes + 1)
    found = []
    if ahead.lowered_on:
        found.append(Hand(ahead.lowered_on, ahead.lower, "down"))
    if ahead.lift:
        found.append(Hand(ahead.carrier, ahead.lift, "up"))
    return tuple(sorted(found, key=lambda hand: hand.side))


def sign_of(state: State, frame: Frame) -> str:
    """The large sign of a state that is not plain running: a tick, two bars, "?", a cross; "+2" past the plan."""
    over = state.count - (state.target or 0)
    return _SIGNS.get(frame, f"+{over}" if over > 0 else "")


def count_rows(state: State, told: CountWords, width: int, height: int, *, hollow: bool = False) -> list[Row]:
    """The count and what the hands do next, as large as ``width`` by ``height`` cells allow."""
    hands = hands_now(state)
    sizes = range(max(1, height // LINES), 0, -1)
    for size in sizes if hands else ():
        if blocks := _above_the_count(hands, told, size, width, height, hollow):
            return _laid(blocks, height)
        for arrow in range(size, 0, -1):
            if blocks := _with_hands(hands, told, size, arrow, width, height, hollow):
                return _laid(blocks, height)
    if height >= TALL and (blocks := _one_above_the_other(state, told, width, height, hollow)):
        return _laid(blocks, height)
    for cue in (True, False):
        for size in sizes:
            if blocks := _with_cue(state, told, size, width, height, hollow, cue=cue):
                return _laid(blocks, height)
        if cue and (blocks := _one_above_the_other(state, told, width, height, hollow)):
            return _laid(blocks, height)
    plain: list[Row] = [((told.number, "bold live"),), *(((words, ""),) for words in _beside_words(told))]
    return plain[:height]


def _with_hands(
    hands: Sequence[Hand], told: CountWords, size: int, arrow: int, width: int, height: int, hollow: bool
) -> list[Block]:
    """Hands at the sides, the count between them or on the free side; nothing when it does not fit."""
    sides = _sides(hands, size, arrow, hollow)
    used = sum(_wide(side) + 3 for side in sides.values() if side)
    if any(_high(side) > height for side in sides.values()):
        return []
    for count in (_count_in_a_row(told, height, hollow), _count_above_its_sign(told, height, hollow)):
        middle = max((x + len(line) for x, _, lines, _ in count for line in lines), default=width)
        if used + middle <= width:
            at = _wide(sides["left"]) + 3 if sides["left"] else 0
            if not sides["right"]:
                at = width - middle
            return [*_at_the_sides(sides, width), *((at + x, y, lines, style) for x, y, lines, style in count)]
    return []


def _count_in_a_row(told: CountWords, height: int, hollow: bool) -> list[Block]:
    """The count with its state's sign behind it, and its words below."""
    words = _beside_words(told)[: max(0, height - LINES - 1)]
    return [*_in_a_row(_count_and_sign(told, hollow), 0, 0), (0, LINES + 1, words, "bold")]


def _count_above_its_sign(told: CountWords, height: int, hollow: bool) -> list[Block]:
    """The count, below it the sign of its state, and beside that the words as far as they are no wider than both.

    Nothing without a sign, and where the lines do not suffice.
    """
    if not told.sign or height < 2 * LINES + 1:
        return []
    count, sign = drawn(told.number, hollow=hollow), drawn(told.sign, hollow=hollow)
    beside = len(sign[0]) + 1
    room = max(len(count[0]), beside + max(map(len, told.state.split()))) - beside
    words = [*wrap(told.state, max(1, room)), *(words for words in told.words if len(words) <= room)]
    return [(0, 0, count, ""), (0, LINES + 1, sign, ""), (beside, LINES + 1, words[:LINES], "bold")]


def _above_the_count(
    hands: Sequence[Hand], told: CountWords, size: int, width: int, height: int, hollow: bool
) -> list[Block]:
    """Hands at the sides, and below them the count with its words beside it; nothing when it does not fit."""
    count = _count_and_sign(told, hollow)
    words = _beside_words(told)[:LINES]
    beside = _wide(count) + 3
    top = height - LINES
    for arrow in range(size, 0, -1):
        sides = _sides(hands, size, arrow, hollow)
        used = sum(_wide(side) + 3 for side in sides.values()) - 3
        if used > width or any(_high(side) >= top for side in sides.values()):
            continue
        if beside + max((len(line) for line in words), default=0) > width:
            return []
        return [*_at_the_sides(sides, width), *_in_a_row(count, 0, top), (beside, top, words, "bold")]
    return []


Part = tuple["Sequence[str]", str]  # lines and their style


def _sides(hands: Sequence[Hand], size: int, arrow: int, hollow: bool) -> dict[Side, list[Part]]:
    sides: tuple[Side, Side] = ("left", "right")
    return {side: _hand_block([hand for hand in hands if hand.side == side], size, arrow, hollow) for side in sides}


def _wide(parts: Sequence[Part]) -> int:
    return max((len(lines[0]) for lines, _ in parts), default=0)


def _high(parts: Sequence[Part]) -> int:
    return sum(len(lines) for lines, _ in parts)


def _at_the_sides(sides: dict[Side, list[Part]], width: int) -> list[Block]:
    blocks: list[Block] = []
    for side, parts in sides.items():
        y = 0
        for lines, style in parts:
            blocks.append((0 if side == "left" else width - _wide(parts), y, lines, style))
            y += len(lines)
    return blocks


def _count_and_sign(told: CountWords, hollow: bool) -> list[Part]:
    """The count once as large, and the sign of its state behind it; as one part, so that both are measured."""
    count = drawn(told.number, hollow=hollow)
    if not told.sign:
        return [(count, "")]
    sign = drawn(told.sign, hollow=hollow)
    return [(tuple(f"{one}   {other}" for one, other in zip(count, sign, strict=True)), "")]


def _in_a_row(parts: Sequence[Part], x: int, y: int) -> list[Block]:
    return [(x, y, lines, style) for lines, style in parts]


def _hand_block(hands: Sequence[Hand], size: int, arrow: int, hollow: bool) -> list[Part]:
    """Number and arrow of each needle a hand moves, one under the other when there are several."""
    moved = [(needle, hand.way) for hand in hands for needle in hand.needles]
    size, arrow = (size, arrow) if len(moved) == 1 else (1, 1)
    found: list[Part] = []
    for needle, way in moved:
        number = drawn(str(needle), size, hollow=hollow)
        sign = drawn(UP if way == "up" else DOWN, arrow, hollow=hollow)
        above = (len(number) - len(sign)) // 2
        blank = " " * len(sign[0])
        signs = [blank] * above + list(sign) + [blank] * (len(number) - len(sign) - above)
        found.append((tuple(f"{one}  {other}" for one, other in zip(number, signs, strict=True)), "live"))
    return found


def _with_cue(
    state: State, told: CountWords, size: int, width: int, height: int, hollow: bool, *, cue: bool
) -> list[Block]:
    """The count, and beside it the target and below that the state's sign or the rows to the next cue.

    Nothing when it does not fit; with ``cue`` that has to fit as well.
    """
    wide = width_of(told.number, size)
    x = wide + 3
    room = width - x
    words = _beside_words(told)
    if room < max((len(line) for line in words), default=0) or size * LINES > height:
        return []
    blocks: list[Block] = [(0, 0, drawn(told.number, size, hollow=hollow), "live")]
    target = f"/{state.target}"
    y = 0
    beside_target = height >= 2 * LINES if cue else height >= LINES + len(words)
    if width_of(target) <= room and beside_target:
        blocks.append((x, 0, drawn(target, hollow=hollow), "muted"))
        y = LINES
    number, style, said = _next(state, told)
    if not number:
        return [] if cue else [*blocks, (x, y, words[: height - y], "bold")]
    large = drawn(number, hollow=hollow)
    beside = x + len(large[0]) + 2
    if not cue:
        return [*blocks, (x, y, words[: height - y], "bold")]
    if not told.sign and height < 2 * LINES:  # side by side the two would be read as one number
        return []
    words = _beside_words(told, with_cue=True)
    if height - y >= LINES and width - beside >= LEAST_BESIDE:
        wrapped = wrap(said, width - beside)  # whole, whatever else has no room
        lines = [*wrapped, *words][:LINES]
        if len(wrapped) <= LINES and max(map(len, lines), default=0) <= width - beside:
            return [*blocks, (x, height - LINES, large, style), (beside, height - LINES, lines, "bold")]
    lines = [*wrap(said, max(1, room)), *words]
    top = y if height >= y + LINES + 1 + len(lines) else 0  # the target stands in the title, too
    if room >= max(len(large[0]), LEAST_BESIDE) and height >= top + LINES + 1 + len(lines):
        shown = blocks if top == y else blocks[:1]
        return [*shown, (x, top, large, style), (x, top + LINES + 1, lines, "bold")]
    return []


def _one_above_the_other(state: State, told: CountWords, width: int, height: int, hollow: bool) -> list[Block]:
    """The count and its target above, the state's sign or the rows to the next cue with its words below."""
    number, style, said = _next(state, told)
    if not number or height < 2 * LINES:
        return []
    lower_most = (height - 1) // LINES
    for lower in range(max(1, lower_most // 2), 0, -1):
        large = drawn(number, lower, hollow=hollow)
        beside = len(large[0]) + 3
        lines = [*wrap(said, max(1, width - beside)), *_beside_words(told, with_cue=True)]
        if beside + LEAST_BESIDE > width or len(lines) > len(large) or max(map(len, lines), default=0) > width - beside:
            continue
        for upper in range(max(1, min(lower_most - lower, 2 * lower)), 0, -1):
            count = drawn(told.number, upper, hollow=hollow)
            target = drawn(f"/{state.target}", hollow=hollow)
            if len(count[0]) + 3 + len(target[0]) <= width:
                top = height - len(large)
                blocks: list[Block] = [(0, 0, count, "live"), (len(count[0]) + 2, 0, target, "muted")]
                return [*blocks, (0, top, large, style), (beside, top, lines, "bold")]
    return []


def _next(state: State, told: CountWords) -> tuple[str, str, str]:
    """What stands large beside the count, its style and its words: the state's sign, or the rows to the next cue."""
    cue = told.cue
    words = _cue_words(state, cue) if cue is not None else ""
    if told.sign:
        return told.sign, "done" if told.sign == TICK else "due", words if told.sign == TICK else ""
    if cue is None:
        return "", "", ""
    return str(max(0, cue.left)), "due" if told.due else "promised", words


def _cue_words(state: State, cue: Cue) -> str:
    if cue.left == 0:
        return f"now: {cue.words}"
    if cue.left < 0:
        return f"{-cue.left} ago: {cue.words}"
    return f"{state.unit if cue.left == 1 else plural(state.unit)}, then {cue.words}"


def _beside_words(told: CountWords, *, with_cue: bool = False) -> list[str]:
    """The state and the words; ``with_cue``: without the rows to go where the cue's large number is the same."""
    same = f"{told.cue.left} to go" if with_cue and told.cue is not None else ""
    return [words for words in (told.state, *told.words) if words and words != same]


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
