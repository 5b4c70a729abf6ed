"""A sock beside its twin, part by part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.events import DialMoved
from hosewright.session.fold import apply
from hosewright.session.results import cranked
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, id_in, in_working_yarn, plain_id
from hosewright.session.steps.tubes import called, called_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Entry
    from hosewright.session.steps import Head


def differences(first: State, second: State) -> list[str]:
    """Where the second sock differs from the first, one sentence a part; parts still to come are left out."""
    ones, twos = cranked(first), cranked(second)
    found = []
    for index, step in enumerate(second.head.steps):
        if step.id not in twos or index >= second.index:
            continue
        one, two = ones.get(step.id), twos[step.id]
        unit = "passes" if isinstance(step, CountPasses) else "rows"
        if one is None:
            found.append(f"{step.title}: {two} {unit}; the first has no such part.")
        elif one != two:
            found.append(
                f"{step.title}: {two} {unit}, {abs(two - one)} {'more' if two > one else 'fewer'} than the first."
            )
    if first.dial != second.dial and second.step is None:
        way = "lower" if second.dial > first.dial else "higher"
        found.append(f"The dial ended {abs(second.dial - first.dial)} clicks {way} than in the first.")
    return found


def beside_first(first: State, second: State) -> list[str]:
    """What a twin is told of its first sock where ``second`` stands; nothing at most steps.

    At the start and before a heel or toe: where the first was not turned as planned, for a twin is turned whole.
    Once all is cranked: where the two differ.
    """
    step = second.step
    if step is None or step.id in ("part", "take-off"):
        return differences(first, second) or [called("Row for row like the first sock.", called_in(second.head))]
    if second.index == 0:
        return turned_otherwise(first)
    after = second.head.steps[second.index + 1] if second.index + 1 < len(second.head.steps) else None
    return turned_otherwise(first, after.id) if isinstance(after, CountPasses) else []


def turned_otherwise(first: State, only: str = "") -> list[str]:
    """Where a sock's heel and toe (or the one step named) were not turned as planned, as its twin's will be."""
    found = []
    for step, passes in list(zip(first.head.steps, first.counts, strict=True))[: first.index]:
        if isinstance(step, CountPasses) and in_working_yarn(step) and passes != step.target and only in ("", step.id):
            name = f"{called_in(first.head)}'s {step.title[0].lower()}{step.title[1:]}"
            how = "left short at" if passes < step.target else "cranked on to"
            found.append(
                f"The first {name} was {how} {passes} passes; this one's is planned whole, with {step.target}."
            )
    return found


def had_before(first: State | None, state: State) -> str:
    """How many rows or passes the same part had in the first sock, or in the sock before on a string, in words.

    Empty where there is none to match.
    """
    step = state.step
    if not isinstance(step, CountRows | CountPasses):
        return ""
    if first is not None:
        count = cranked(first).get(step.id)
        return "" if count is None else f"the first had {count}"
    before = state.sock - 1
    if before < 1:
        return ""
    same = id_in(before, plain_id(step.id))
    at = next((i for i, other in enumerate(state.head.steps) if other.id == same), None)
    if at is None or state.left_out(at) or getattr(step, "yarn", "working") == "separator":
        return ""
    return f"{called_in(state.head, before)} {before} had {state.counts[at]}"


def dial_moves(head: Head, entries: Iterable[Entry]) -> dict[str, tuple[tuple[int, int], ...]]:
    """Where the dial was really moved in a sock, for its twin: by step, (rows cranked, clicks below zero).

    A move made between two parts, or in a heel or toe, belongs to the start of the next part that counts rows.
    """
    state = State(head)
    found: dict[str, list[tuple[int, int]]] = {}
    for entry in standing(head, entries).entries:
        moved, before = entry.event, state.dial
        apply(state, entry)
        if not isinstance(moved, DialMoved) or state.dial == before:
            continue
        ahead = (step for step in head.steps[state.index :] if isinstance(step, CountRows))
        step = next(ahead, None)
        if step is not None:
            row = state.count if step is state.step else 0
            found.setdefault(step.id, []).append((row, state.dial))
    return {name: tuple(moves) for name, moves in found.items()}
