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
    from collections.abc import Iterator, Sequence

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


class _Place(NamedTuple):
    """The cells there are, and whether digits are ``hollow``, in dots."""

    width: int
    height: int
    hollow: bool

    def drawn(self, text: str, size: int = 1) -> tuple[str, ...]:
        return drawn(text, size, hollow=self.hollow)


def count_rows(state: State, told: CountWords, width: int, height: int, *, hollow: bool = False) -> list[Row]:
    """The count and what the hands do next, as large as ``width`` by ``height`` cells allow."""
    blocks = next(filter(None, _layouts(state, told, _Place(width, height, hollow))), None)
    if blocks is not None:
        return _laid(blocks, height)
    plain: list[Row] = [((told.number, "bold live"),), *(((words, ""),) for words in _beside_words(told))]
    return plain[:height]


def _layouts(state: State, told: CountWords, place: _Place) -> Iterator[list[Block]]:
    """Ways to lay it out, the one that is read best first; each is empty where it does not fit."""
    hands = hands_now(state)
    sizes = range(max(1, place.height // LINES), 0, -1)
    for size in sizes if hands else ():
        arrows = range(size, 0, -1)
        yield from (_above_the_count(_sides(hands, size, arrow, place), told, place) for arrow in arrows)
        yield from (_with_hands(_sides(hands, size, arrow, place), told, place) for arrow in arrows)
    if place.height >= TALL:
        yield _one_above_the_other(state, told, place)
    yield from (_with_cue(state, told, size, place, cue=True) for size in sizes)
    yield _one_above_the_other(state, told, place)
    yield from (_with_cue(state, told, size, place, cue=False) for size in sizes)


def _with_hands(sides: Sides, told: CountWords, place: _Place) -> list[Block]:
    """Hands at the sides, the count between them or on the free side."""
    left, right = sides
    used = sum(_wide(side) + 3 for side in sides if side)
    if max(map(len, sides)) > place.height:
        return []
    for count in (_count_in_a_row(told, place), _count_above_its_sign(told, place)):
        middle = max((x + _wide(lines) for x, _, lines, _ in count if lines), default=place.width)
        if used + middle <= place.width:
            at = place.width - middle if not right else _wide(left) + 3 if left else 0
            return [*_at_the_sides(sides, place), *((at + x, y, lines, style) for x, y, lines, style in count)]
    return []


def _count_in_a_row(told: CountWords, place: _Place) -> list[Block]:
    """The count with its state's sign behind it, and its words below."""
    words = _beside_words(told)[: max(0, place.height - LINES - 1)]
    return [(0, 0, _count_and_sign(told, place), ""), (0, LINES + 1, words, "bold")]


def _count_above_its_sign(told: CountWords, place: _Place) -> list[Block]:
    """The count, below it the sign of its state, and beside that the words as far as they are no wider than both.

    Nothing without a sign, and where the lines do not suffice.
    """
    if not told.sign or place.height < 2 * LINES + 1:
        return []
    count, sign = place.drawn(told.number), place.drawn(told.sign)
    beside = len(sign[0]) + 1
    room = max(len(count[0]), beside + _wide(told.state.split())) - beside
    words = [*wrap(told.state, max(1, room)), *(words for words in told.words if len(words) <= room)]
    return [(0, 0, count, ""), (0, LINES + 1, sign, ""), (beside, LINES + 1, words[:LINES], "bold")]


def _above_the_count(sides: Sides, told: CountWords, place: _Place) -> list[Block]:
    """Hands at the sides, and below them the count with its words beside it."""
    count = _count_and_sign(told, place)
    words = _beside_words(told)[:LINES]
    beside, top = _wide(count) + 3, place.height - LINES
    used = max(sum(map(_wide, sides)) + 3, beside + _wide(words))
    if used > place.width or max(map(len, sides)) >= top:
        return []
    return [*_at_the_sides(sides, place), (0, top, count, ""), (beside, top, words, "bold")]


Sides = tuple["Sequence[str]", "Sequence[str]"]  # what stands at the left, and at the right


def _sides(hands: Sequence[Hand], size: int, arrow: int, place: _Place) -> Sides:
    left, right = ([hand for hand in hands if hand.side == side] for side in ("left", "right"))
    return _hand_block(left, size, arrow, place), _hand_block(right, size, arrow, place)


def _at_the_sides(sides: Sides, place: _Place) -> list[Block]:
    left, right = sides
    return [(0, 0, left, "live"), (place.width - _wide(right), 0, right, "live")]


def _wide(lines: Sequence[str]) -> int:
    return max(map(len, lines), default=0)


def _count_and_sign(told: CountWords, place: _Place) -> Sequence[str]:
    """The count once as large, and the sign of its state behind it; as one part, so that both are measured."""
    count = place.drawn(told.number)
    return (
        [f"{one}   {other}" for one, other in zip(count, place.drawn(told.sign), strict=True)] if told.sign else count
    )


def _hand_block(hands: Sequence[Hand], size: int, arrow: int, place: _Place) -> list[str]:
    """Number and arrow of each needle a hand moves, one under the other when there are several."""
    moved = [(needle, hand.way) for hand in hands for needle in hand.needles]
    size, arrow = (size, arrow) if len(moved) == 1 else (1, 1)
    found: list[str] = []
    for needle, way in moved:
        number, sign = place.drawn(str(needle), size), place.drawn(UP if way == "up" else DOWN, arrow)
        above = (len(number) - len(sign)) // 2
        blank = " " * len(sign[0])
        signs = [blank] * above + list(sign) + [blank] * (len(number) - len(sign) - above)
        found += [f"{one}  {other}" for one, other in zip(number, signs, strict=True)]
    return found


def _with_cue(state: State, told: CountWords, size: int, place: _Place, *, cue: bool) -> list[Block]:
    """The count, and beside it the target and below that the state's sign or the rows to the next cue.

    With ``cue`` that has to fit as well.
    """
    width, height, _ = place
    x = width_of(told.number, size) + 3
    room = width - x
    words = _beside_words(told)
    if room < _wide(words) or size * LINES > height:
        return []
    blocks: list[Block] = [(0, 0, place.drawn(told.number, size), "live")]
    target = f"/{state.target}"
    y = 0
    beside_target = height >= 2 * LINES if cue else height >= LINES + len(words)
    if width_of(target) <= room and beside_target:
        blocks.append((x, 0, place.drawn(target), "muted"))
        y = LINES
    number, style, said = _next(state, told)
    if not cue:
        return [*blocks, (x, y, words[: height - y], "bold")]
    if not number or (not told.sign and height < 2 * LINES):  # side by side the two would be read as one number
        return []
    large = place.drawn(number)
    beside = x + len(large[0]) + 2
    words = _beside_words(told, with_cue=True)
    if height - y >= LINES and width - beside >= LEAST_BESIDE:
        wrapped = wrap(said, width - beside)  # whole, whatever else has no room
        lines = [*wrapped, *words][:LINES]
        if len(wrapped) <= LINES and _wide(lines) <= width - beside:
            return [*blocks, (x, height - LINES, large, style), (beside, height - LINES, lines, "bold")]
    lines = [*wrap(said, max(1, room)), *words]
    top = y if height >= y + LINES + 1 + len(lines) else 0  # the target stands in the title, too
    if room >= max(len(large[0]), LEAST_BESIDE) and height >= top + LINES + 1 + len(lines):
        shown = blocks if top == y else blocks[:1]
        return [*shown, (x, top, large, style), (x, top + LINES + 1, lines, "bold")]
    return []


def _one_above_the_other(state: State, told: CountWords, place: _Place) -> list[Block]:
    """The count and its target above, the state's sign or the rows to the next cue with its words below."""
    width, height, _ = place
    number, style, said = _next(state, told)
    if not number or height < 2 * LINES:
        return []
    lower_most = (height - 1) // LINES
    target = place.drawn(f"/{state.target}")
    for lower in range(max(1, lower_most // 2), 0, -1):
        large = place.drawn(number, lower)
        beside = len(large[0]) + 3
        lines = [*wrap(said, max(1, width - beside)), *_beside_words(told, with_cue=True)]
        if len(lines) > len(large) or beside + max(LEAST_BESIDE, _wide(lines)) > width:
            continue
        for upper in range(max(1, min(lower_most - lower, 2 * lower)), 0, -1):
            count = place.drawn(told.number, upper)
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
