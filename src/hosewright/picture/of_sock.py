"""The shape of a planned sock, or of the one a session cranks, and how far it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from hosewright.craft.dial import Dial
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import nominal
from hosewright.craft.response import prior_rise
from hosewright.craft.sock import Section
from hosewright.craft.turning import depth_rows
from hosewright.craft.units import decimal_length, show_length
from hosewright.logbook.records.planned import sections, turned
from hosewright.picture.shape import Pocket, Shape, Straight, Tube
from hosewright.session.procedures import PIECES
from hosewright.session.steps import Confirm, CountPasses, CountRows, in_working_yarn, plain_id, sock_of

if TYPE_CHECKING:
    from hosewright.craft.turning import Turning
    from hosewright.logbook.records.shelf import Machine, Plan
    from hosewright.session.state import State
    from hosewright.session.steps import Step

FOOT = "foot"
TUBE = "tube"
HEM = "hem"  # what a cuff that hangs double is called
# Steps that crank a row of the foot in two halves, before and after the pocket between them.
_SPLIT = ("heel-out", "toe-in")


@dataclass(frozen=True, slots=True)
class Knitted:
    """What a sock is drawn by: its gauge per mm, its slots, and the leg's dial.

    ``leg`` are (rows of the leg cranked, how many times as large a loop is from there on as at the foot). ``ribbed``
    are the parts above the heel in rib, ``rib`` the rows and stitches per mm of a ribbed tube, None: not known.
    """

    rows_per_mm: float
    stitches_per_mm: float
    slots: int
    leg: tuple[tuple[int, float], ...] = ()
    ribbed: tuple[str, ...] = ()
    rib: tuple[float, float] | None = None

    def part(self, name: str) -> tuple[float, float]:
        """How tall a row of this part is and how wide it lies, mm; as plain where its rib's gauge is not known."""
        rows, stitches = self.rows_per_mm, self.stitches_per_mm
        if self.rib is not None and name in self.ribbed:
            rows, stitches = self.rib
        return 1 / rows, self.slots / stitches / 2


@lru_cache(maxsize=32)  # of a sock that is cranked the same one is asked for at each press
def sock_shape(parts: tuple[Section, ...], heel: Turning | None, toe: Turning | None, by: Knitted) -> Shape:
    """The shape of ``parts`` in knitting order, as `craft.sock.plan_sock` has them, or of a tube without a heel.

    ValueError without a foot or a tube.
    """
    wide = by.slots / by.stitches_per_mm / 2
    names = [part.name for part in parts]
    heel_last = "toe" in names and "heel" in names[names.index("toe") :]
    row_mm = 1 / by.rows_per_mm
    rows = {part.name: part.count for part in parts if part.kind == "rows"}
    foot_rows = rows.pop(FOOT, 0)
    if foot_rows <= 0 and not rows.get(TUBE):
        raise ValueError("a sock without a foot has no picture")
    above = []
    for name, count in rows.items():
        if count > 0:
            leg = by.leg[::-1] if name == "leg" else ()
            sizes = [next((size for begin, size in leg if begin <= row), 1.0) for row in range(count)]
            inside = count // 2 if name == HEM else 0
            seen = sizes[inside:]
            tall, lies = by.part(name)
            above.append(Tube(name, tuple(tall * s for s in seen), tuple(lies * s for s in seen), inside))
    stitch_mm2 = row_mm / by.stitches_per_mm
    if heel is None or toe is None:
        return Straight(above, Pocket("toe", toe, wide, stitch_mm2, row_mm, heel=False) if toe else None)
    foot = Tube(FOOT, (row_mm,) * foot_rows, (wide,) * foot_rows)
    return Shape(
        above,
        Pocket("heel", heel, wide, stitch_mm2, row_mm, heel=True),
        foot,
        Pocket("toe", toe, wide, stitch_mm2, row_mm, heel=False),
        heel_last=heel_last,
    )


def of_plan(plan: Plan, machine: Machine | None = None) -> Shape:
    """The shape of a kept plan. Raises CraftError."""
    return sock_shape(sections(plan), *turned(plan), knitted(plan, machine))


def knitted(plan: Plan, machine: Machine | None = None) -> Knitted:
    """What a kept plan's sock is drawn by; where it does not say what a click does, by the machine's thread pitch."""
    a_click = _by_pitch(plan, machine) if plan.loop_a_click is None else plan.loop_a_click
    at = plan.dial or 0  # a leg shaped by the dial begins at a known position
    leg = tuple((row, 1 + a_click * (clicks - at)) for row, clicks in plan.dial_changes)
    own, cuff = plan.rib, plan.cuff
    rates = (own.rows_per_mm, own.stitches_per_mm) if own and own.rows_per_mm and own.stitches_per_mm else None
    above = ribbed_parts(own.pattern, cuff.pattern if cuff and cuff.kind == "ribber" else "") if own else ()
    return Knitted(plan.rows_per_mm, plan.stitches_per_mm, plan.slots, leg, above, rates)


def ribbed_parts(pattern: str, cuff: str) -> tuple[str, ...]:
    """The parts above the heel in the leg's rib: the ribber's ``cuff`` of the same pattern, too."""
    return ("leg", "ankle", *(("cuff",) if cuff == pattern else ()))


def of_session(state: State, by: Knitted, sock: int = 0) -> tuple[Shape, tuple[int, ...]] | None:
    """The shape of a session's sock and the rows and passes done of each part; None where it has no sock.

    ``sock`` is its place in a string, 0 for a session of one. A part that was left short or taken further is drawn as
    long as it became.
    """
    span = [at for at, step in enumerate(state.head.steps) if sock_of(step.id) == sock]
    rows: dict[str, int] = {}
    done: dict[str, int] = {}
    turned: dict[str, Turning] = {}
    for at in span:
        step, count = state.head.steps[at], state.counts[at]
        if isinstance(step, CountPasses) and in_working_yarn(step):
            turned[plain_id(step.id)] = step.turning
            done[plain_id(step.id)] = min(count, step.turning.count)
        elif isinstance(step, CountRows) and in_working_yarn(step):
            name = _part(step)
            rows[name] = rows.get(name, 0) + (count if at < state.index else max(count, step.target))
            done[name] = done.get(name, 0) + count
        elif isinstance(step, Confirm) and step.stitches and plain_id(step.id) in _SPLIT:
            rows[FOOT] = rows.get(FOOT, 0) + 1
            done[FOOT] = done.get(FOOT, 0) + (at < state.index)
    heel, toe = turned.get("heel"), turned.get("toe")
    a_tube = state.head.kind != "tube" and rows.get(TUBE)  # and no gauge tube
    if not a_tube and (not rows.get(FOOT) or heel is None or toe is None):
        return None
    parts = (
        *(Section(name, "rows", count, 0) for name, count in rows.items()),
        *(Section(name, "passes", turning.count, 0) for name, turning in turned.items()),
    )
    shape = sock_shape(parts, heel, toe, by)
    return shape, tuple(done.get(name, 0) for name in shape.names)


def place_of(state: State, index: int, shape: Shape) -> int | None:
    """Which part of the shape the step at ``index`` cranks; None for one that cranks none of it."""
    step = state.head.steps[index] if index < len(state.head.steps) else None
    if isinstance(step, CountPasses | CountRows) and in_working_yarn(step):
        name = _part(step)
        return shape.names.index(name) if name in shape.names else None
    return None


def _part(step: Step) -> str:
    """The part of the sock that a step cranks: a hem in two pieces is one."""
    name = plain_id(step.id)
    return next((name.removesuffix(piece) for piece in PIECES if name.endswith(piece)), name)


def _by_pitch(plan: Plan, machine: Machine | None) -> float:
    """By which share a click makes a loop larger, by the machine's thread pitch alone; 0 where that is not known."""
    rise = prior_rise(Dial(machine.thread_pitch_mm, machine.turn)) if machine else None
    return 0.0 if rise is None else nominal(rise) / nominal(loop_length_mm(plan.rows_per_mm))


def measures(shape: Shape, unit: str) -> tuple[tuple[str, ...], str]:
    """What is written at each part, and how far round the sock is; lengths in ``unit``."""
    words = []
    for part, name in zip(shape.parts, shape.names, strict=True):
        if isinstance(part, Pocket):
            deep = show_length(depth_rows(part.turning) * part.row_mm, unit)
            words.append(f"{name} {part.count} passes, {deep}" + (" deep" if part.heel else ""))
        else:
            words.append(f"{name} {part.count} rows, {show_length(part.long_mm, unit)}")
    return tuple(words), _round(shape, unit)


def _round(shape: Shape, unit: str) -> str:
    above = [wide for tube in shape.above for wide in tube.wide_mm] or [shape.wide]
    narrow, own, wide = (decimal_length(2 * mm, unit) for mm in (min(above), shape.wide, max(above)))
    ribbed = f", the rib {narrow}" if min(above) < shape.wide and narrow != own else ""
    return f"round {own}{ribbed}" + (f", at the top {wide}" if wide != own else "")


def in_short(shape: Shape, unit: str) -> str:
    """The measures in a few words."""
    shown = ("leg", "foot", "tube")
    longs = [
        f"{part.name} {decimal_length(part.long_mm, unit)}"
        for part in shape.parts
        if isinstance(part, Tube) and part.name in shown
    ]
    return ", ".join([*longs, _round(shape, unit)])
