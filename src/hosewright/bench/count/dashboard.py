"""What the panels at the crank show while rows and passes are counted, as rows of text. Nothing is painted here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.count.large import CountWords, hands_after, sign_of
from hosewright.bench.widgets.panel import AWAY, DONE, DOUBTFUL, DUE, LIVE, RESTING, Frame, bar, row_width, wrapped
from hosewright.craft.units import show_mass
from hosewright.logbook.records.planned import record_name
from hosewright.phrases.figures import about_mg
from hosewright.phrases.lists import many
from hosewright.phrases.times import minutes_words, time_of_day
from hosewright.session.observations import observation_words
from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses, CountRows, DialTrial, sock_of
from hosewright.session.twins import had_before
from hosewright.session.unrolled import Needle, by_hand, unroll
from hosewright.session.words import instruction, next_pass_words, over_words, pass_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.bench.count.large import Hand
    from hosewright.bench.widgets.line import Row, Run
    from hosewright.counting.from_the_record import Watched, YarnAhead
    from hosewright.craft.turning import Side
    from hosewright.logbook.classroom import LastSession
    from hosewright.logbook.live import Live
    from hosewright.phrases.times import Moment
    from hosewright.session.cues import Cue
    from hosewright.session.pace import Pace, Paces
    from hosewright.session.state import State
    from hosewright.session.steps import Step
    from hosewright.session.words import Given


def look_of(state: State, *, due: bool = False, keys_here: bool) -> tuple[Frame, str]:
    """The frame of what the hands are at, and the word that goes with it. ``due``: whether the next cue stands out."""
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
    if due:
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
    live: Live | LastSession,
    first: State | None,
    cue: Cue | None,
    now: Moment,
    *,
    shows: str,
    frame: Frame,
    word: str,
    due: bool = False,
) -> CountWords:
    """What stands beside the digits. ``shows``: which number the settings want large; ``word``: the state's."""
    state = live.state
    left = (state.target or 0) - state.count
    words = [f"of {state.target} passes" if state.unit == "pass" else f"{left} to go"] if left > 0 else []
    if left == 0 and not state.paused:
        words.append("Enter goes on")
    if had := had_before(first, state):
        words.append(had)
    words += _times(state, live.paces, left, now)
    return CountWords(big_number(state, shows), tuple(words), word, cue, sign_of(state, frame), due)


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
    minutes = left / usual
    said = [f"{'under 1 min' if minutes < 1 else minutes_words(minutes)} here"]
    if whole is not None and rows + passes != left:
        said.append(f"all done {time_of_day(now.at_ms + whole * 60_000, now.zone_min)}")
    return said


def now_words(state: State, given: Given) -> str:
    """What the hands do next in words."""
    step = state.step
    if isinstance(step, CountPasses):
        if state.count > step.target:
            odd = (state.count - step.target) % 2
            back = f"; one more brings the carrier back to the {step.turning.ends}" if odd else ""
            return f"More than planned: take back any press that was not a pass. Those cranked are plain passes{back}."
        if state.count == step.target:
            return "All passes are done: every needle of the heel half is in work again."
        return f"Pass {state.count + 1}: {next_pass_words(step, state.count)}"
    return instruction(state, given)


def past_words(state: State, undo: str, hang: str) -> str:
    """What to do about more than was planned, in one line; ``undo`` and ``hang`` (again) are the keys. Else empty."""
    step = state.step
    if state.target is None or state.count <= state.target:
        return ""
    if isinstance(step, CountPasses):
        back = f"; one more pass ends at the {step.turning.ends}" if (state.count - step.target) % 2 else ""
        return f"{undo} undoes a false press{back}."
    said = over_words(state, undo, hang)
    short = f"Pressed too often? {undo}. Cranked: pull back and press {hang}, or leave it."
    return said if len(said) <= ONE_LINE else short


def title_words(state: State, words: str, room: int) -> str:
    """``words`` as a panel's title of ``room`` cells, of a pass only where what moves if need be; empty if too long."""
    step = state.step
    if isinstance(step, CountPasses) and state.count < step.target and len(words) > room:
        doing = step.turning.at(state.count + 1)
        words = f"Pass {doing.number}: {pass_words(doing)}".removesuffix(", then crank")
    return words if len(words) <= room else ""


ONE_LINE = 78  # cells of a terminal of 80
_SIGNS = {
    Needle.WORK: "┃",
    Needle.OUT: "·",
    Needle.RIBBER: "○",  # the ribber's, in the place of the cylinder's
    Needle.WAITS: "◌",
    Needle.LIFTED: "▔",
    Needle.DOWN_NEXT: "▼",
    Needle.UP_NEXT: "▲",
    Needle.RESTS_NEXT: "◌",
    Needle.KNITS_NEXT: "○",
    Needle.HANG_NEXT: "▽",
    Needle.FROM_BELOW_NEXT: "b",
    Needle.FROM_ABOVE_NEXT: "a",
}
_NEXT = frozenset(needle for needle in Needle if needle.name.endswith("_NEXT"))
_LOOKS = {
    Needle.LIFTED: "muted",
    Needle.OUT: "muted",
    Needle.WAITS: "muted",
    **dict.fromkeys(_NEXT, "bold live"),
}
_MEANS = {  # beside their signs, at a step that is done by hand
    Needle.UP_NEXT: "out of work now",
    Needle.DOWN_NEXT: "into work now",
    Needle.RESTS_NEXT: "ribber, to rest now",
    Needle.KNITS_NEXT: "ribber, to knit now",
    Needle.HANG_NEXT: "hang a loop on it",
    Needle.FROM_BELOW_NEXT: "from below the slit",
    Needle.FROM_ABOVE_NEXT: "from above it",
    Needle.WORK: "in work",
    Needle.OUT: "empty",
    Needle.RIBBER: "on the ribber",
    Needle.WAITS: "rests on the ribber",
    Needle.LIFTED: "up",
}
EVERY = 6  # needles between two numbers
MOST_CELLS = 3  # a needle


def needle_rows(state: State, width: int, watched: Sequence[Watched] = ()) -> list[Row]:
    """The heel half where it is turned, up to three cells a needle, with the carrier on its side; numbers below.

    In leg and foot one line: how many needles are in work, and those to watch. With some out of work, or moved by hand
    in the present step, all of them; too many for one line they stand in two, the heel half and the instep half.
    """
    view = by_hand(state) or unroll(state)
    if view.carrier is not None:
        return _half(view.heel, width, view.carrier)
    every = (*view.heel, *view.instep)
    if set(every) != {Needle.WORK}:
        if len(every) <= width:
            return _half(every, width, None)
        return [_in_one_line(view.heel, 1, width), _in_one_line(view.instep, len(view.heel) + 1, width)]
    said: Row = ((f"all {state.head.slots} needles in work", "muted"),)
    return [(*said, *_to_watch(watched, width - row_width(said)))]


def _in_one_line(needles: Sequence[Needle], first: int, width: int) -> Row:
    """Needles with their numbers in the same line: one before every sixth, or before fewer where that is too long."""
    row: list[Run] = []
    for every in (EVERY, 2 * EVERY, len(needles)):
        row = []
        for at in range(0, len(needles), every):
            row += [(f"{' ' if at else ''}{first + at:>2} ", "muted")]
            row += [(_SIGNS[needle], _LOOKS.get(needle, "")) for needle in needles[at : at + every]]
        if row_width(row) <= width:
            break
    return row


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


def _half(needles: Sequence[Needle], width: int, carrier: Side | None) -> list[Row]:
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
        if needle in _NEXT and not (0 < at < len(needles) - 1 and needles[at - 1] is needle is needles[at + 1]):
            moved.append((left + at * cell + cell // 2, str(at + 1)))
    moved = _with_room(moved)
    for at in range(len(needles)):
        middle, number = left + at * cell + cell // 2, at + 1
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


def _with_room(moved: Sequence[tuple[int, str]]) -> list[tuple[int, str]]:
    """Of the numbers to stand at these cells those that do not touch another: first and last, then as many as go."""
    kept = list(moved[-1:])
    for place in moved[:-1]:
        others = (kept[-2] if len(kept) > 1 else None, kept[-1])
        if all(one is None or abs(place[0] - one[0]) > max(len(place[1]), len(one[1])) for one in others):
            kept.insert(-1, place)
    return kept


def meaning_row(state: State, width: int) -> Row:
    """What the signs of the needles stand for at a step that moves some by hand, as many as fit, those moved first."""
    view = by_hand(state)
    if view is None:
        return ()
    row: list[Run] = []
    there = {*view.heel, *view.instep}
    for needle, means in _MEANS.items():
        said = f"{'   ' if row else ''}{_SIGNS[needle]} {means}"
        if needle in there and row_width(row) + len(said) <= width:
            row.append((said, _LOOKS.get(needle, "")))
    return row


def _write(line: list[str], middle: int, text: str) -> None:
    start = middle - (len(text) - 1) // 2
    if start >= 0 and start + len(text) <= len(line):
        line[start : start + len(text)] = text


# --- what comes next, the pace, the yarn and what was seen ------------------------------------------------------------

PASSES_AHEAD = 3  # said in words after the next one
STEPS_AHEAD = 5
_BARS = "▁▂▃▄▅▆▇█"


def next_rows(
    words: str, cues: Sequence[tuple[str, str]], ahead: Sequence[str], care: str, width: int, height: int
) -> list[Row]:
    """What the hands do now, the cues (words and style), what comes after, and at the bottom what to be careful of."""
    rows = list(wrapped(words, width, "bold"))
    below = wrapped(care, width, "bold due")
    room = height - len(rows) - len(below)
    for said, style in (*cues, *((one, "muted") for one in ahead)):
        lines = wrapped(said, width, style, indent="  ")
        if len(lines) > room:
            break
        room -= len(lines)
        rows += lines
    return [*rows, *[()] * room, *below]


def ahead_words(state: State) -> list[str]:
    """The passes after the next one, and the steps after the present one."""
    found = []
    step = state.step
    if isinstance(step, CountPasses):
        ahead = range(state.count + 1, min(state.count + 1 + PASSES_AHEAD, step.target))
        moved = ((at + 1, ", ".join(map(_hand_words, hands_after(step, at)))) for at in ahead)
        found += [f"Pass {number}: {words or 'a plain pass'}" for number, words in moved]
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
    line = pace_line(tuple(pace.gaps_ms), width)
    rows: list[Row] = [((line, "live"),)] if line else []
    if usual is None or lately is None:
        rows += wrapped(f"A few {unit} tell how fast you crank.", width)
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
    name = record_name(record, state.sock)
    taken = yarn.taken_of(state) if yarn is not None else None
    if yarn is None or taken is None:
        metres = record.yarn.m_per_100g
        label = f"{metres:g} m in 100 g" if metres else record.yarn.count
        lot = f"dye lot {record.dye_lot}" if record.dye_lot else ""
        return [line for words in (record.yarn.name, label, lot) for line in wrapped(words, width)]
    done, whole = (about_mg(mg, unit) for mg in taken)
    full = bar(taken[0] / taken[1] if taken[1] else 0.0, width, "━")
    told = f" of {whole}, {yarn.basis}"
    first: Row = ((f"This {name} ", ""), (done, "bold"), (told, ""))
    rows: list[Row] = [
        first if row_width(first) <= width else ((done, "bold"), (f" of {whole}", "")),
        ((full, "live"), ("·" * (width - len(full)), "muted")),
    ]
    room = height - len(rows)
    stop = yarn.stop_at_g(state)
    if stop is None:
        to_come = about_mg(max(0, taken[1] - taken[0]), unit)
        said = [f"{to_come} still to come; no {name} after it.", f"{to_come} still to come."]
    else:
        core = ", without its core" if yarn.core_g is None else ", core and all" if yarn.core_g else ""
        one = record.kind == "sock"
        after = "The twin takes" if one else f"The {record_name(record)}s after it take"
        at = show_mass(stop, unit)
        said = [
            f"{after} {about_mg(yarn.later(state), unit)}: stop when the ball reads {at}{core}.",
            f"{'For the twin' if one else 'For the rest'} stop at {at}{core}.",
            f"Stop at {at}{core}.",
        ]
    lines = next((found for one in said if len(found := wrapped(one, width)) <= room), wrapped(said[-1], width))
    return [*rows, *lines]


def seen_rows(state: State, note_key: str, width: int, height: int) -> list[Row]:
    """What was seen, the newest first, as many as are whole in ``height``; before anything was, how to note it."""
    standing = [one for one in state.observations if not one.struck]
    if not standing:
        return [*wrapped(f"Nothing noted so far. {note_key} notes what you see.", width, "muted")]
    rows: list[Row] = []
    for one in reversed(standing):
        lines = wrapped(observation_words(state, one), width, indent="  ")
        if rows and len(rows) + len(lines) > height:
            break
        rows += lines
    return rows[:height]
