"""What a session asks of the hands where it stands, in words. What is said of each step is in ``session.steps``."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from hosewright.craft.dial import dial_place, show_position
from hosewright.craft.heels import heel_half_words
from hosewright.craft.units import many
from hosewright.session.beds import moved_at, out_after, rungs_at
from hosewright.session.results import verdict_words
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Wait, id_in, plain_id, sock_of
from hosewright.session.steps.catalogue import said_in

if TYPE_CHECKING:
    from hosewright.craft.turning import CarrierTurns, HeelHalf, Pass, Turning
    from hosewright.session.state import State
    from hosewright.session.steps import MeasureField, Step


@dataclass(frozen=True, slots=True)
class Given:
    """What a session was started with, in the knitter's own words; empty where nothing was said."""

    weights: str = ""
    mast_tension: str = ""
    yarn_start: str = ""
    wash: str = ""
    heel_half: HeelHalf = ""
    carrier_turns: CarrierTurns = ""
    ribber_set: str = ""
    cast_on: str = ""


NOTHING_GIVEN = Given()
SPELT_OUT = 3  # needles that are each named
A_ROW = "A row is one full round: the carrier comes back to where it began."
_ALONE = " Leave them as they are until the stitch size is proven; if they change, the search starts again."
_LAY_IN = " A reinforcing yarn, if you knit one in, is laid in beside the working yarn now."
_CUT_OUT = " Cut a reinforcing yarn, if there is one."


# Labels are frozen into a session with its steps; where a better one was found since, it is said instead.
_LABELS: dict[str, str] = {
    "fit-by": "How much too loose or tight",
    "fit-length-by": "How much too short or long",
}


def label_of(item: MeasureField) -> str:
    """What there is to measure, as screens and pages name it."""
    return _LABELS.get(plain_id(item.id), item.label)


def instruction(state: State, given: Given = NOTHING_GIVEN) -> str:
    """What the present step asks for, with what was ``given`` at the start said where it matters."""
    step = state.step
    if step is None:
        return {"search": _found, "ribber": _ribber_found}.get(state.head.kind, lambda _: "Finished.")(state)
    if isinstance(step, DialTrial):
        return state.search.advice
    if isinstance(step, CountPasses):
        return now_words(state)
    said = said_in(state.head, step.id).do
    if not said:  # of another's making
        return f"{step.title}."
    if isinstance(step, Confirm):
        return said.format_map(_known(state, step, given))
    if isinstance(step, CountRows):
        return _of_rows(state, step, said)
    if isinstance(step, Wait) and state.head.kind != "tube":
        return f"{said} Trying it on comes next."
    return said


def _of_rows(state: State, step: CountRows, said: str) -> str:
    if plain_id(step.id) == "foot" and (split := _split_words(state)):
        said += f" These are its whole rows: {split}."
    first = next(one for one in state.head.steps if isinstance(one, CountRows))
    return f"{said} {A_ROW}" if step is first and not state.count else said


def _known(state: State, step: Confirm, given: Given) -> dict[str, str]:
    """What stands for the braces in what a step asks for."""
    head, where = state.head, where_rows_begin(state, given)
    reinforced = any(one.id.endswith("-reinforce") for one in head.steps)
    return {
        "dial": dial_place(state.dial, head.clicks_per_turn),
        "baseline": dial_place(head.dial, head.clicks_per_turn),
        "weights": given.weights or "your usual ones",
        "weighed": f" ({given.weights})" if given.weights else "",
        "alone": _ALONE if head.kind == "search" else "",
        "tension": f" Yarn-mast tension: {given.mast_tension}." if given.mast_tension else "",
        "start": f" Begin the yarn here: {given.yarn_start}." if given.yarn_start else "",
        "ribber_set": f" Yours: {given.ribber_set}." if given.ribber_set else "",
        "cast_on": given.cast_on or "the machine's record does not say how.",
        "wash": f" How: {given.wash}." if given.wash else "",
        "heel_half": f" {where}" if where and sock_of(step.id) <= 1 else "",
        "rows_begin": _rows_begin_anew(state),
        "part": str(step.stitches),
        "rest": str(head.slots - step.stitches),
        "turned": _turned_next(state),
        "needles": str(head.slots // 2),
        "fewer": str(head.slots // 2 - 1),
        "carrier": _carrier_ahead(state),
        "heel_on": _heel_on(state),
        "toe_on": _toe_on(state),
        "lay_in": "" if reinforced else _LAY_IN,
        "cut_out": "" if reinforced else _CUT_OUT,
        **_out_words(state),
        **_moved_words(state),
    }


def where_rows_begin(state: State, given: Given = NOTHING_GIVEN) -> str:
    """Where the heel half is, its needles, which way the carrier goes, where a row begins; nothing without a heel."""
    heel, toe = _turned(state, "heel"), _turned(state, "toe")
    if heel is None or toe is None:
        return ""
    return heel_half_words(heel, toe, given.heel_half, given.carrier_turns, _part_row(state, "heel"))


def over_words(state: State, undo: str, hang: str) -> str:
    """What more rows than planned mean and what to do; ``undo`` and ``hang`` (again) are the keys. Else empty."""
    step = state.step
    if not isinstance(step, CountRows) or state.count <= step.target:
        return ""
    if step.yarn == "separator" or step.proves:
        return "More of these rows do no harm."
    if state.head.kind == "tube":
        return f"A longer tube is just as good: its gauge is worked out from all {state.count} rows."
    even = " A hem that is hung needs an even number." if plain_id(step.id) == "hem" else ""
    return (
        f"Pressed too often? {undo} takes it back. Cranked: pull back to row {step.target} and use {hang}, "
        f"or leave it, and the twin gets it too.{even}"
    )


def now_words(state: State) -> str:
    """What the hands do next, in one line fit to come back to after the phone has rung.

    One rule wherever a count is told: "5 of 56 rows" are done; "pass 6 of 40", with what to do, is the next.
    """
    step = state.step
    if isinstance(step, CountPasses) and state.count < step.target:
        return f"{standing_words(state)}: {next_pass_words(step, state.count)}"
    return standing_words(state)


def standing_words(state: State) -> str:
    """Where the work stands, without what the hands do: "heel, pass 6 of 40"."""
    step = state.step
    if step is None:
        return "finished"
    if isinstance(step, CountPasses) and state.count < step.target:
        return f"{_name(step)}, pass {state.count + 1} of {step.target}"
    if isinstance(step, CountRows | CountPasses):
        return f"{_name(step)}, {done_words(step, state.count)}"
    if isinstance(step, DialTrial):
        return f"stitch size, dial at {dial_place(state.search.position, state.head.clicks_per_turn)}"
    if isinstance(step, Wait):
        return "drying"
    return _name(step)


def done_words(step: CountRows | CountPasses, count: int) -> str:
    """What is done of a part: "5 of 56 rows done", "all 40 passes done"."""
    return f"all {count} {step.kind} done" if count == step.target else f"{count} of {step.target} {step.kind} done"


def next_pass_words(step: CountPasses, count: int) -> str:
    """The pass after ``count`` in words, a turning point said before it. Raises CraftError past the last pass."""
    doing = step.turning.at(count + 1)
    turns = next((f"from now on needles {way}; " for at, way in turning_points(step) if at == doing.number), "")
    return turns + pass_words(doing)


def turning_points(step: CountPasses) -> tuple[tuple[int, str], ...]:
    """The passes from which the needles go another way, each with which."""
    turning = step.turning
    begins, found = 1, []
    for passes, way in (
        (turning.plain_first, ""),
        (turning.joining, "come down"),
        (turning.narrowing, "go up"),
        (turning.widening, "come down"),
        (turning.joining, "go up"),
    ):
        if passes and way and begins > 1:
            found.append((begins, way))
        begins += passes
    return tuple(found)


def pass_words(doing: Pass) -> str:
    """One pass in words: where the carrier stands, which needle moves, in the order of the hands."""
    parts = [f"carrier on the {doing.carrier}"]
    if doing.lower:
        parts.append(f"{needles(doing.lower)} come{'s' * (len(doing.lower) == 1)} down on the {doing.lowered_on}")
    if doing.lift:
        parts.append(f"{needles(doing.lift)} go{'es' * (len(doing.lift) == 1)} up on the {doing.carrier}")
    plain = not doing.lift and not doing.lower
    parts.append("a plain pass over all the needles" if plain else "then crank")
    return ", ".join(parts)


def heard_pass(step: CountPasses, count: int, *, number: bool = True) -> str:
    """The pass after ``count`` as short as the ear needs it: "8 down left. 26.". Raises CraftError past the last.

    What the hands do comes before its number: so it is heard, also where the next pass cuts it off.
    """
    doing = step.turning.at(count + 1)
    moves = [f"{' and '.join(map(str, doing.lower))} down {doing.lowered_on}"] if doing.lower else []
    moves += [f"{' and '.join(map(str, doing.lift))} up {doing.carrier}"] if doing.lift else []
    said = f"{', '.join(moves) or f'plain, from the {doing.carrier}'}."
    return f"{said} {doing.number}." if number else said


def needles(which: tuple[int, ...]) -> str:
    """Needles by their numbers: "needle 23", "needles 4 and 21"."""
    return f"needle {which[0]}" if len(which) == 1 else "needles " + " and ".join(str(n) for n in which)


def _name(step: Step) -> str:
    return step.title[0].lower() + step.title[1:]


def _carrier_ahead(state: State) -> str:
    later = state.head.steps[state.index :]
    turned = next((step for step in later if isinstance(step, CountPasses)), None)
    return turned.carrier if turned else "left"


def _turned_next(state: State) -> str:
    """What is turned, or laid in, next or was last: heel, toe, or waste yarn."""
    before = plain_id(state.step.id).partition("-")[0] if state.step else ""
    waits = any(plain_id(one.id) == "waste" and sock_of(one.id) == state.sock for one in state.head.steps)
    return "waste yarn" if before == "heel" and waits else before


def _turned(state: State, name: str) -> Turning | None:
    """The heel or toe of the sock at hand, or of the first."""
    wanted = _in_this_sock(state, name)
    return next((one.turning for one in state.head.steps if isinstance(one, CountPasses) and one.id == wanted), None)


def _part_row(state: State, name: str) -> int:
    """The stitches that lead into the heel or toe of the sock at hand, or of the first; 0 where rows begin there."""
    into = _in_this_sock(state, f"{name}-in")
    parts = (step.stitches for step in state.head.steps if isinstance(step, Confirm) and step.id == into)
    return next(parts, 0)


def _in_this_sock(state: State, plain: str) -> str:
    return id_in(max(state.sock, int(state.head.kind == "string")), plain)


def _heel_on(state: State) -> str:
    """The needles of the heel ahead, and where the carrier stands before it."""
    heel, end = _turned(state, "heel"), _carrier_ahead(state)
    half = state.head.slots // 2
    if heel is not None and heel.gusset:
        return (
            f"The carrier stands at the {end} end of the heel half, needles {heel.own[0]} to {heel.own[-1]}. Mark "
            f"needles 1 and {heel.needles}: {many(heel.gusset, 'needle')} of the instep on each side join later."
        )
    if heel is not None and heel.needles != half:
        more = (heel.needles - half) // 2
        return (
            f"The heel is turned on {heel.needles} needles, {more} more on each side than half: mark the first and the "
            f"last. The carrier stands at their {end} end."
        )
    return f"The carrier stands at the {end} end of the heel half."


def _toe_on(state: State) -> str:
    """Which of the needles of a heel on more than half the toe is turned on."""
    heel, toe = _turned(state, "heel"), _turned(state, "toe")
    if heel is None or toe is None or heel.needles == toe.needles:
        return ""
    inside = (heel.needles - toe.needles) // 2
    ends = f"{many(inside, 'needle')} at each end"
    return f" Of the heel's needles {ends} stay with the instep: needle 1 is now the heel's {inside + 1}."


def _split_words(state: State) -> str:
    """Which rows of the foot heel and toe part; none where rows begin there."""
    heel, toe = _part_row(state, "heel"), _part_row(state, "toe")
    if heel and toe:
        return "its first is completed after the heel, its last after the toe"
    return "its first is completed after the heel" if heel else "its last is completed after the toe" if toe else ""


def _rows_begin_anew(state: State) -> str:
    """Said after a heel with a single plain pass, which leaves the carrier at the other end; else empty."""
    before = state.head.steps[: state.index]
    turned = next((step.turning for step in reversed(before) if isinstance(step, CountPasses)), None)
    if turned is None or turned.ends == turned.carrier or _part_row(state, "heel"):
        return ""
    return f" The carrier stands at the {turned.ends} end of the heel half: from here on a row begins and ends there."


def _out_words(state: State) -> dict[str, str]:
    """The needles out of work in the part at hand: how many, and the first few."""
    near = [*state.head.steps[state.index :], *reversed(state.head.steps[: state.index])]
    out = next((step.out_of_work for step in near if isinstance(step, CountRows) and step.out_of_work), ())
    shown = ", ".join(str(number) for number in out[:4])
    return {"out_of_work": str(len(out)), "out": f"{shown} and so on" if len(out) > 4 else shown}


def _moved_words(state: State) -> dict[str, str]:
    """The needles that leave work and come back at the present step, those still out after it, and its ladders."""
    away, back = moved_at(state)
    return {
        "out_now": str(len(away)),
        "out_now_list": needle_list(away),
        "back": str(len(back)),
        "back_list": needle_list(back),
        "kept": str(len(out_after(state.head.steps, state.index))),
        "rungs": str(rungs_at(state)),
    }


def needle_list(which: tuple[int, ...]) -> str:
    """Needles by their numbers, evenly spaced ones in short: "every 4th, 4 to 64", else "3, 5, 9"; "none"."""
    apart = {later - one for one, later in pairwise(which)}
    if len(which) > SPELT_OUT and len(apart) == 1:
        each = apart.pop()
        ending = {1: "st", 2: "nd", 3: "rd"}.get(each if each < 20 else each % 10, "th")
        return f"every {each}{ending}, {which[0]} to {which[-1]}"
    return ", ".join(map(str, which)) or "none"


def _ribber_found(state: State) -> str:
    return (
        f"The ribber is set up: {verdict_words(state)}. The work can stay on the machine for a ribbed tube; or take it "
        "off: hold the weights, cut the yarn, crank it off the needles."
    )


def _found(state: State) -> str:
    if state.baseline is None:
        return "Finished."
    where = show_position(state.baseline, state.head.clicks_per_turn)
    return (
        f"The stitch size for this yarn is {where}. Leave the work on the machine and crank the gauge tube on it, with "
        "the dial as it stands; or take it off: hold the weights, cut the yarn, crank it off the needles."
    )
