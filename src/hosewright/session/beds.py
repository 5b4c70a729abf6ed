"""Where the stitches of needles out of work are: on the ribber, which knits them or keeps them, or nowhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from hosewright.session.steps import CountRows, plain_id

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.session.state import State
    from hosewright.session.steps import Step

Ribber = Literal["off", "knits", "waits"]
Places = tuple[int, ...]
OFF: Ribber = "off"

# What the ribber does from a step on.
_SETS: dict[str, Ribber] = {
    "selvedge-on": "knits",
    "ribber-rest": "waits",
    "ribber-rib": "knits",
    "ribber-on": "knits",
    "ribber-off": "off",
    "rib-on": "knits",
    "rib-change": "knits",
    "rib-heel": "waits",
    "rib-instep": "knits",
    "rib-off": "off",
}
_TAKES_OUT = ("needles-out", "ladders-out")
# After these every needle is in work, whatever comes out next.
_PUTS_ALL_BACK = ("fill-needles", "ribber-off", "rib-off", "ladders-up")


def ribber_after(step_id: str, before: Ribber) -> Ribber:
    """What it does once the step ``step_id`` is done."""
    return _SETS.get(plain_id(step_id), before)


def ribber_at(steps: Sequence[Step], index: int) -> Ribber:
    """What it does when step ``index`` begins."""
    return next((_SETS[name] for step in reversed(steps[:index]) if (name := plain_id(step.id)) in _SETS), OFF)


def out_before(steps: Sequence[Step], index: int) -> Places:
    """The needles out of work before step ``index``: those of the last rows of working yarn, unless put back since."""
    for step in reversed(steps[:index]):
        if plain_id(step.id) in _PUTS_ALL_BACK:
            break
        if isinstance(step, CountRows) and step.yarn == "working":
            return step.out_of_work
    return ()


def out_after(steps: Sequence[Step], index: int) -> Places:
    """Those out of work in the next rows from step ``index`` on; none where only separator yarn follows."""
    rows = next((step for step in steps[index:] if isinstance(step, CountRows)), None)
    return rows.out_of_work if rows is not None and rows.yarn == "working" else ()


def still_out(state: State) -> Places:
    """The needles out of work once the present step is done."""
    steps, at = state.head.steps, state.index
    return () if at < len(steps) and plain_id(steps[at].id) in _PUTS_ALL_BACK else out_after(steps, at)


def moved_at(state: State) -> tuple[Places, Places]:
    """The needles that leave work in the present step, and those that come back."""
    before, after = out_before(state.head.steps, state.index), still_out(state)
    return tuple(n for n in after if n not in before), tuple(n for n in before if n not in after)


def rungs_at(state: State) -> int:
    """Rungs of the ladders that end at the present step: the rows really cranked since their needles came out."""
    ending, found = set(moved_at(state)[1]), 0
    for step, count in reversed(list(zip(state.head.steps, state.counts, strict=True))[: state.index]):
        if plain_id(step.id) in _TAKES_OUT:
            break
        if isinstance(step, CountRows) and ending <= set(step.out_of_work):
            found += count
    return found
