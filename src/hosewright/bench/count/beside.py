"""The panels beside the count: what comes next, the pace, the yarn and what was seen, as rows of text."""

from __future__ import annotations

from functools import lru_cache
from textwrap import wrap as wrapped
from typing import TYPE_CHECKING

from hosewright.bench.count.large import hands_after
from hosewright.bench.widgets.panel import row_width
from hosewright.craft.stock import MG_PER_G
from hosewright.craft.units import show_mass
from hosewright.phrases.lists import many
from hosewright.session.observations import observation_words
from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.count.large import Hand
    from hosewright.bench.widgets.line import Row
    from hosewright.counting.from_the_record import YarnAhead
    from hosewright.logbook.live import Live
    from hosewright.session.pace import Pace
    from hosewright.session.state import State
    from hosewright.session.steps import Step

PASSES_AHEAD = 3  # said in words after the next one
STEPS_AHEAD = 5
_BARS = "▁▂▃▄▅▆▇█"


@lru_cache(maxsize=256)
def wrap(words: str, width: int, subsequent_indent: str = "") -> tuple[str, ...]:
    """``words`` in lines of ``width``. Most stand as they stood at the press before."""
    return tuple(wrapped(words, width, subsequent_indent=subsequent_indent))


def next_rows(
    words: str, cues: Sequence[tuple[str, str]], ahead: Sequence[str], care: str, width: int, height: int
) -> list[Row]:
    """What the hands do now, the cues (words and style), what comes after, and at the bottom what to be careful of."""
    rows: list[Row] = [((line, "bold"),) for line in wrap(words, width)]
    below: list[Row] = [((line, "bold due"),) for part in care.splitlines() for line in wrap(part, width)]
    room = height - len(rows) - len(below)
    for said, style in (*cues, *((one, "muted") for one in ahead)):
        lines = wrap(said, width, subsequent_indent="  ")
        if len(lines) > room:
            break
        room -= len(lines)
        rows += [((line, style),) for line in lines]
    return [*rows, *[()] * room, *below]


def ahead_words(state: State) -> list[str]:
    """The passes after the next one, and the steps after the present one."""
    found = []
    step = state.step
    if isinstance(step, CountPasses):
        ahead = range(state.count + 1, min(state.count + 1 + PASSES_AHEAD, step.target))
        found += [f"Pass {at + 1}: {', '.join(map(_hand_words, hands_after(step, at)))}" for at in ahead]
    after = [_step_words(one) for one in state.head.steps[state.index + 1 : state.index + 1 + STEPS_AHEAD]]
    return [*found, f"After that: {', '.join(after)}"] if after else found


def _hand_words(hand: Hand) -> str:
    return f"{' and '.join(map(str, hand.needles))} {hand.way} on the {hand.side}"


def _step_words(step: Step) -> str:
    title = f"{step.title[0].lower()}{step.title[1:]}"
    if isinstance(step, CountRows):
        return f"{title} ({many(step.target, 'row')})"
    return f"{title} ({step.target} passes)" if isinstance(step, CountPasses) else title


def pace_line(gaps_ms: Sequence[int], width: int) -> str:
    """How fast the crank went, the newest at the right: one sign for one or several rows, the fastest the highest."""
    if not gaps_ms or width < 1:
        return ""
    each = -(-len(gaps_ms) // width)
    groups = [gaps_ms[at : at + each] for at in range(0, len(gaps_ms), each)]
    speeds = [60_000 * len(group) / max(1, sum(group)) for group in groups]
    top = max(speeds)
    return "".join(_BARS[min(7, int(speed / top * 7.999))] for speed in speeds)


def pace_rows(pace: Pace, rest_min: float | None, unit: str, width: int) -> list[Row]:
    """The pace as a line, how fast it is and usually is, and when a rest is due."""
    usual, lately = pace.per_minute, pace.now_per_minute
    rows: list[Row] = [((pace_line(tuple(pace.gaps_ms), width), "live"),)]
    if usual is None or lately is None:
        rows += [((line, ""),) for line in wrap(f"A few {unit} tell how fast you crank.", width)]
    else:
        now, before = f"{lately:.0f} {unit} a minute", f"usually {usual:.0f}"
        one_line = len(f"{now}, {before}") <= width
        rows += [((now, "bold"), (f", {before}", ""))] if one_line else [((now, "bold"),), ((before, ""),)]
    if rest_min is not None:
        near = rest_min <= 1
        rows.append(((f"Rest in {max(1, round(rest_min))} min." if not near else "A rest is due.", "due" * near),))
    return rows


def yarn_rows(yarn: YarnAhead | None, live: Live, unit: str, width: int, height: int) -> list[Row]:
    """What this sock has taken of its yarn, what those after it need, and the weight at which to stop."""
    state, record = live.state, live.record
    taken = yarn.taken_of(state) if yarn is not None else None
    if yarn is None or taken is None:
        metres = record.yarn.m_per_100g
        label = f"{metres:g} m in 100 g" if metres else record.yarn.count
        lot = f"dye lot {record.dye_lot}" if record.dye_lot else ""
        return [((line, ""),) for words in (record.yarn.name, label, lot) if words for line in wrap(words, width)]
    done, whole = (_grams(mg, unit) for mg in taken)
    full = min(width, round(width * taken[0] / taken[1])) if taken[1] else 0
    told = f" of {whole}, {yarn.basis}"
    first: Row = (("This sock ", ""), (done, "bold"), (told, ""))
    rows: list[Row] = [
        first if row_width(first) <= width else ((done, "bold"), (f" of {whole}", "")),
        (("━" * full, "live"), ("·" * (width - full), "muted")),
    ]
    room = height - len(rows)
    stop = yarn.stop_at_g(state)
    if stop is None:
        to_come = _grams(max(0, taken[1] - taken[0]), unit)
        said = [f"{to_come} still to come; no sock after it.", f"{to_come} still to come."]
    else:
        core = ", without its core" if yarn.core_g is None else ", core and all" if yarn.core_g else ""
        one = record.kind == "sock"
        after = "The twin takes" if one else "The socks after it take"
        at = show_mass(stop, unit)
        said = [
            f"{after} {_grams(yarn.later(state), unit)}: stop when the ball reads {at}{core}.",
            f"{'For the twin' if one else 'For the rest'} stop at {at}{core}.",
            f"Stop at {at}{core}.",
        ]
    lines = next((found for one in said if len(found := wrap(one, width)) <= room), wrap(said[-1], width))
    return [*rows, *(((line, ""),) for line in lines)]


def _grams(mg: int, unit: str) -> str:
    return show_mass(round(mg / MG_PER_G) if unit == "g" else mg / MG_PER_G, unit)


def seen_rows(state: State, note_key: str, width: int, height: int) -> list[Row]:
    """What was seen, the newest first, as many as are whole in ``height``; before anything was, how to note it."""
    standing = [one for one in state.observations if not one.struck]
    if not standing:
        return [((line, "muted"),) for line in wrap(f"Nothing noted so far. {note_key} notes what you see.", width)]
    rows: list[Row] = []
    for one in reversed(standing):
        lines = wrap(observation_words(state, one), width, subsequent_indent="  ")
        if rows and len(rows) + len(lines) > height:
            break
        rows += [((line, ""),) for line in lines]
    return rows[:height]
