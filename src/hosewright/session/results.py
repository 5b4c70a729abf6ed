"""What a session cranked, piece by piece, spoilt ones apart; the gauge of a washed tube; where the work is now."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import accumulate
from statistics import fmean
from typing import TYPE_CHECKING, Literal

from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM, measure_gauge, relaxation_percent
from hosewright.session.beds import OFF, ribber_after
from hosewright.session.steps import (
    Confirm,
    CountPasses,
    CountRows,
    DialTrial,
    Measure,
    Wait,
    id_in,
    in_working_yarn,
    plain_id,
    sock_of,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from hosewright.craft.gauge import Gauge
    from hosewright.session.state import State
    from hosewright.session.steps import Step

Where = Literal["on the machine", "drying", "off the machine"]
_OFF_OR_ON = {"take-off": True, "opened-hang": False, "opened-off": True}


def tube_gauge(state: State, tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> Gauge | None:
    """The gauge from the readings after the wash; None until length and width are measured.

    ``tape_error_mm`` is the half-width of the tape's error in mm. The rows are those really cranked.
    Raises CraftError when the readings cannot be those of a tube.
    """
    lengths, widths = tuple(state.values("length")), tuple(state.values("width"))
    rows = state.count_of("tube")
    if not lengths or not widths or not rows:
        return None
    masses = state.values("mass")
    return measure_gauge(
        rows=rows,
        lengths_mm=lengths,
        slots=state.slots,
        flat_widths_mm=widths,
        tape_error_mm=tape_error_mm,
        mass_g=masses[-1] if masses else None,
    )


def wash_change(state: State, what: Literal["length", "width"]) -> float | None:
    """What the wash did to a tube's length or width, in % of the means; None until both are measured."""
    before, after = state.values(f"raw-{what}"), state.values(what)
    if not before or not after:
        return None
    return relaxation_percent(fmean(before), fmean(after))


def choice(state: State, field_id: str) -> str | None:
    """The last choice that stands for a field, in words."""
    standing = [r for r in state.readings if r.field == field_id and not r.struck]
    if not standing:
        return None
    chosen = (item.choices for item in state.head.fields if item.id == field_id and item.choices)
    return next((choices[int(standing[-1].value)] for choices in chosen), None)


def worn_words(state: State, sock: int = 0) -> str:
    """What was said when a sock (of a string, by its place) was tried on: "round tight, length right", or nothing."""
    said = (("round", choice(state, id_in(sock, "fit"))), ("length", choice(state, id_in(sock, "fit-length"))))
    return ", ".join(f"{what} {how}" for what, how in said if how)


def verdict_words(state: State) -> str:
    """All that was chosen in the readings: "round right, length too long", of a string "sock 2 round tight"."""
    said = []
    for item in state.head.fields:
        if item.quantity == "choice" and (how := choice(state, item.id)):
            which = f"sock {sock_of(item.id)} " if sock_of(item.id) else ""
            what = {"fit": "round ", "fit-length": "length "}.get(plain_id(item.id), "")
            said.append(f"{which}{what}{how}")
    return ", ".join(said)


def cranked(state: State) -> dict[str, int]:
    """Rows and passes of working yarn really cranked, by step, in order of the sock."""
    return {step.id: count for step, count in zip(state.head.steps, state.counts, strict=True) if in_working_yarn(step)}


def where_work_is(state: State) -> Where:
    """Where the work of an unfinished session is: off the machine from the step after it was taken off.

    A heel that is opened later is hung on again, and taken off once more.
    """
    if isinstance(state.step, Wait):
        return "drying"
    done = [_OFF_OR_ON[name] for step in state.head.steps[: state.index] if (name := plain_id(step.id)) in _OFF_OR_ON]
    away = isinstance(state.step, Measure) or (bool(done) and done[-1])
    return "off the machine" if away else "on the machine"


PieceStanding = Literal["ahead", "on the machine", "cranked", "spoilt", "given up", "never begun"]
PieceId = tuple[int, int]


_LAID_IN, _CUT_OUT = "-reinforce", "-reinforced"  # ends of the steps between which a second yarn goes along


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing cranked or to be cranked. A spoilt one is a piece of its own, with its ``reason``.

    ``number`` is its place in a string and ``attempt`` how often that place was begun; a session of one work has the
    piece 0, begun once. ``span`` are the steps it is cranked in, ``counts`` what was counted in each. It is "cranked"
    when all its working yarn is in it, "given up" or "never begun" when its session was given up before that; a sock
    that is no string's was given up with its session, however far it was. ``tried`` are rows of dial trials.
    """

    number: int
    attempt: int
    standing: PieceStanding
    span: Sequence[int]
    steps: Sequence[Step]
    counts: tuple[int, ...]
    slots: int
    tried: int = 0
    reason: str = ""

    @property
    def id(self) -> PieceId:
        return self.number, self.attempt

    @property
    def rows(self) -> int:
        """Rows of working yarn so far, dial trials left out."""
        return self._counted(CountRows)

    @property
    def passes(self) -> int:
        """Passes of working yarn so far."""
        return self._counted(CountPasses)

    def _counted(self, kind: type[CountRows | CountPasses]) -> int:
        parts = zip(self.steps, self.counts, strict=True)
        return sum(count for step, count in parts if isinstance(step, kind) and in_working_yarn(step))

    @property
    def stitches(self) -> int:
        """Stitches of working yarn so far, dial trials too: what yarn is shared out by."""
        return self.tried * self.slots + self._stitches(self.counts)

    @property
    def stitches_planned(self) -> int:
        """Stitches of working yarn in the whole of it."""
        return self._stitches(getattr(step, "target", int(_part(step) > 0)) for step in self.steps)

    @property
    def reinforced(self) -> int:
        """Stitches so far in which a reinforcing yarn goes along."""
        found, along = 0, False
        for step, count in zip(self.steps, self.counts, strict=True):
            if isinstance(step, Confirm):
                along = step.id.endswith(_LAID_IN) or (along and not step.id.endswith(_CUT_OUT))
            elif along:
                found += _of_step(step, count, self.slots, on_ribber=False)
        return found

    def by_colour(self, first: str, *, planned: bool = False) -> dict[str, int]:
        """Its stitches by the colour of their stripe, the ``first`` above the leg; of what is ``planned``, or so far.

        Heel, toe and what a row is split by are of the colour that stands then.
        """
        found, colour, ribber = Counter[str](), first, OFF
        counts = [getattr(step, "target", 1) for step in self.steps] if planned else self.counts
        for step, count in zip(self.steps, counts, strict=True):
            ribber = ribber_after(step.id, ribber)
            done = 0
            for row, later in step.yarn_changes if isinstance(step, CountRows) else ():
                if row >= count:
                    break
                found[colour] += _of_step(step, row - done, self.slots, on_ribber=ribber == "knits")
                done, colour = row, later
            found[colour] += _of_step(step, count - done, self.slots, on_ribber=ribber == "knits")
        return dict(found)

    def with_count(self, at: int, count: int) -> Piece:
        """The same piece with another count in the step ``at`` of its span."""
        return replace(self, counts=(*self.counts[:at], count, *self.counts[at + 1 :]))

    def _stitches(self, counts: Iterable[int]) -> int:
        """A needle's place that is out of work still knits while the ribber has its stitch."""
        total, ribber = 0, OFF
        for step, count in zip(self.steps, counts, strict=True):
            ribber = ribber_after(step.id, ribber)
            total += _of_step(step, count, self.slots, on_ribber=ribber == "knits")
        return total


def pieces_of(state: State) -> tuple[Piece, ...]:
    """Every piece, those of a string in the order of their places, spoilt ones before what replaced them."""
    if state.head.kind == "string":
        last = max((sock_of(step.id) for step in state.head.steps), default=0)
        return tuple(piece for number in range(1, last + 1) for piece in _of_place(state, number))
    steps = state.head.steps
    tried = sum(trial.rows for trial in state.trials)
    span = range(len(steps))
    counts = _with_parts(state, span, state.counts, state.index)
    return (Piece(0, 1, _standing(state, span, 0), span, steps, counts, state.slots, tried),)


def present_piece(state: State) -> PieceId:
    """The id of the piece that is on the machine now."""
    if state.head.kind != "string":
        return 0, 1
    return state.sock, 1 + sum(spoil.sock == state.sock for spoil in state.spoils)


def _of_place(state: State, number: int) -> Iterator[Piece]:
    span, slots = state.span_of(number), state.slots
    steps = tuple(state.head.steps[at] for at in span)
    spoils = [spoil for spoil in state.spoils if spoil.sock == number]
    for attempt, spoil in enumerate(spoils, 1):
        counts = _with_parts(state, span, spoil.counts, spoil.index)
        yield Piece(number, attempt, "spoilt", span, steps, counts, slots, reason=spoil.reason)
    if not spoils or spoils[-1].again:
        counts = _with_parts(state, span, [state.counts[at] for at in span], state.index)
        yield Piece(number, len(spoils) + 1, _standing(state, span, number), span, steps, counts, slots)


def _with_parts(state: State, span: Sequence[int], counts: Sequence[int], index: int) -> tuple[int, ...]:
    """The counts of the steps of ``span``, and 1 for each part row that was cranked before step ``index``."""
    done = zip(span, counts, strict=True)
    return tuple(count or int(at < index and _part(state.head.steps[at]) > 0) for at, count in done)


def _part(step: Step) -> int:
    return step.stitches if isinstance(step, Confirm) else 0


def _standing(state: State, span: Sequence[int], number: int) -> PieceStanding:
    last = max((at for at in span if in_working_yarn(state.head.steps[at])), default=len(state.head.steps))
    if state.index > last and (number or not state.abandoned):
        return "cranked"
    if state.index < span[0]:
        return "never begun" if state.abandoned else "ahead"
    return "given up" if state.abandoned else "on the machine"


def _of_step(step: Step, count: int, slots: int, *, on_ribber: bool) -> int:
    if isinstance(step, CountPasses) and in_working_yarn(step):
        by_pass = [0, *accumulate(len(one.in_work) for one in step.turning.passes())]
        return by_pass[min(max(count, 0), len(by_pass) - 1)]
    if isinstance(step, DialTrial):
        return count * slots
    if isinstance(step, Confirm):
        return count * step.stitches
    if not isinstance(step, CountRows) or not in_working_yarn(step):
        return 0
    return count * (slots if on_ribber else slots - len(step.out_of_work))
