"""The three procedures, as lists of steps: find the stitch size, crank a gauge tube, crank a sock.

The order of work is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft.cuffs import SELVEDGE_BOTH, SELVEDGE_CYLINDER, SELVEDGE_ROWS
from hosewright.session.kinds import LEAST_TUBE_ROWS, MOST_TUBE_ROWS, SEPARATOR_ROWS, TUBE_ROWS
from hosewright.session.steps import (
    Confirm,
    CountPasses,
    CountRows,
    DialTrial,
    Field,
    Measure,
    Step,
    Wait,
    id_in,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.sock import Section
    from hosewright.craft.turning import Turning

CAST_ON_ROWS = 3
PROOF_ROWS = 10  # ours
CUFFS = ("hem", "cuff")
PartRow = tuple[int, int]
NO_PART: PartRow = (0, 0)
SPLIT_ROWS = 2  # of the foot, when part rows lead into heel and toe: its first and its last
INSIDE = "-inside"  # of a hem in two parts, what is cranked after the fold
ON_BOTH, ON_CYLINDER = "-both", "-cylinder"  # of a cuff with a selvedge, what is cranked before the rib
PIECES = (INSIDE, ON_BOTH, ON_CYLINDER)

TRIAL_CHOICES = ("loose", "right", "tight")
LENGTH_CHOICES = ("too short", "right", "too long")


def search_steps() -> tuple[Step, ...]:
    """Find the stitch size for a yarn, and prove it."""
    return (
        *_set_up(),
        Confirm("thread", "Thread separator yarn"),
        CountRows("cast-on-rows", "Separator rows", CAST_ON_ROWS, yarn="separator"),
        Confirm("join", "Join the working yarn"),
        DialTrial("trial", "Find the stitch size", rule=2),
        Confirm("clear", "Clear the needles"),
        CountRows("prove", "Prove it", PROOF_ROWS, proves=True),
    )


def tube_steps(rows: int = TUBE_ROWS, separator_rows: int = SEPARATOR_ROWS) -> tuple[Step, ...]:
    """Crank a gauge tube of ``rows`` rows, wash it, and measure it. Raises ValueError outside 30 to 200 rows."""
    if not LEAST_TUBE_ROWS <= rows <= MOST_TUBE_ROWS:
        raise ValueError(f"A gauge tube has {LEAST_TUBE_ROWS} to {MOST_TUBE_ROWS} rows; {rows} was given.")
    return (
        *_set_up(),
        *_separator_before(separator_rows),
        CountRows("tube", "Gauge tube", rows),
        Confirm("part", "Join the separator yarn"),
        CountRows("separator-out", "Separator after", separator_rows, yarn="separator"),
        Confirm("take-off", "Take the tube off"),
        Confirm("close-ends", "Zigzag the ends"),
        Measure(
            "before-wash",
            "Measure before the wash",
            (
                Field("raw-length", "Length of the working rows", "length", required=False, repeats=True),
                Field("raw-width", "Flat width", "length", required=False, repeats=True),
            ),
        ),
        Confirm("wash", "Wash it"),
        Wait("dry", "Drying"),
        Measure(
            "after-wash",
            "Measure after the wash",
            (
                Field("length", "Length of the working rows", "length", repeats=True),
                Field("width", "Flat width", "length", repeats=True),
                Field("stretched", "Flat width, stretched wide", "length", required=False, repeats=True),
                Field("mass", "Mass, separator yarn trimmed off", "mass", required=False),
                Field("on-foot", "Tube on the foot", "choice", required=False, choices=TRIAL_CHOICES),
            ),
        ),
    )


def sock_steps(
    sections: Sequence[Section],
    heel: Turning,
    toe: Turning,
    separator_rows: int = SEPARATOR_ROWS,
    *,
    cuff: Cuff | None = None,
    dial_changes: tuple[tuple[int, int], ...] = (),
    part_row: PartRow = NO_PART,
) -> tuple[Step, ...]:
    """Crank one sock of the planned ``sections`` (from ``craft.sock.plan_sock``), then finish and try it on.

    ``cuff`` says how its first section is knitted (a plain hung hem without it). ``dial_changes`` are those of the
    leg; a cuff above it is cranked where the dial stands at the leg's first row. ``part_row``: where rows do not begin
    at the heel's end, the stitches that lead into heel and toe, and those that complete the round after them: the
    first and the last row of the foot, which then has two fewer to count.
    """
    return (
        *_set_up(),
        *_separator_before(separator_rows),
        *_parts(sections, heel, toe, cuff, dial_changes, part_row),
        *_off(separator_rows),
        Confirm("graft", "Graft the toe"),
        *_finished(open_top=is_open_top(sections, cuff)),
        *_washed(),
        Measure("try-on", "Try it on", _WORN),
    )


@dataclass(frozen=True, slots=True)
class SockParts:
    """What one sock of a string is made of (see ``sock_steps``)."""

    sections: tuple[Section, ...]
    heel: Turning
    toe: Turning
    cuff: Cuff | None = None
    dial_changes: tuple[tuple[int, int], ...] = ()
    part_row: PartRow = NO_PART


def string_steps(socks: Sequence[SockParts], separator_rows: int = SEPARATOR_ROWS) -> tuple[Step, ...]:
    """Crank socks one after another in one string, separator rows between, then take them off, part and finish them.

    The steps of sock 3 have ids that begin with "s3-" (see ``steps.sock_of``). Raises ValueError for no socks.
    """
    if not socks:
        raise ValueError("A string needs at least one sock.")
    steps: list[Step] = [*_set_up()]
    for number, sock in enumerate(socks, 1):
        own: list[Step] = [
            *_separator_before(separator_rows),
            *_parts(sock.sections, sock.heel, sock.toe, sock.cuff, sock.dial_changes, sock.part_row),
        ]
        if number < len(socks):  # the last one's tail is left where the string ends
            own.append(Confirm("tail", "Leave the tail"))
        steps += [_of_sock(step, number) for step in own]
    steps += _off(separator_rows, "Take the string off")
    steps += [Confirm("cut-apart", "Part the socks"), Confirm("graft", "Graft every toe")]
    steps += _finished(open_top=any(is_open_top(sock.sections, sock.cuff) for sock in socks))
    steps += _washed()
    for number in range(1, len(socks) + 1):
        fields = tuple(replace(field, id=id_in(number, field.id)) for field in _WORN)
        steps.append(_of_sock(Measure("try-on", "Try on", fields), number))
    return tuple(steps)


def _of_sock(step: Step, number: int) -> Step:
    return replace(step, id=id_in(number, step.id), title=f"{step.title}, sock {number}")


def _parts(
    sections: Sequence[Section],
    heel: Turning,
    toe: Turning,
    cuff: Cuff | None,
    dial_changes: tuple[tuple[int, int], ...],
    part_row: PartRow,
) -> list[Step]:
    """What is cranked in working yarn, from the cuff to the toe."""
    steps: list[Step] = []
    above = any(section.name in CUFFS for section in sections)
    first = tuple(change for change in dial_changes[:1] if above and change[0] == 0)
    for section in sections:
        if section.kind == "passes":
            steps += _in_a_row(section.name, _turned(section.name, heel if section.name == "heel" else toe), part_row)
        elif section.name in CUFFS:
            steps += _cuff(section, cuff, first)
        elif section.name == "leg" and dial_changes:
            changes = tuple(change for change in dial_changes[len(first) :] if change[0] < section.count)
            steps.append(CountRows("leg", "Leg", section.count, dial_changes=changes))
            steps.append(Confirm("dial-back", "Dial to the baseline"))
        else:
            whole = section.count - SPLIT_ROWS if section.name == "foot" and part_row[0] else section.count
            steps += [CountRows(section.name, section.name.capitalize(), whole)] if whole > 0 else []
    return steps


def _in_a_row(name: str, turned: Sequence[Step], part_row: PartRow) -> list[Step]:
    """Heel or toe with the stitches that lead into it and those that complete their round after it."""
    into, rest = part_row
    if not into:
        return list(turned)
    return [
        Confirm(f"{name}-in", f"Crank on to the {name}", into),
        *turned,
        Confirm(f"{name}-out", "Complete the row", rest),
    ]


_WORN = (
    Field("fit", "Round the foot", "choice", required=False, choices=TRIAL_CHOICES),
    Field("fit-by", "Too wide or too narrow by", "length", required=False),
    Field("fit-length", "Length", "choice", required=False, choices=LENGTH_CHOICES),
    Field("fit-length-by", "Too short or too long by", "length", required=False),
    Field("mass", "Mass of the sock", "mass", required=False),
)


def _off(separator_rows: int, title: str = "Take the sock off") -> tuple[Step, ...]:
    return (
        Confirm("part", "Join the separator yarn"),
        CountRows("separator-out", "Separator after", separator_rows, yarn="separator"),
        Confirm("take-off", title),
    )


def is_open_top(sections: Sequence[Section], cuff: Cuff | None) -> bool:
    """Whether a sock's first loops would run once the separator yarn is out: neither hung nor begun by a selvedge."""
    if cuff is None:
        return all(section.name not in CUFFS for section in sections)
    return not (cuff.hung or cuff.selvedge)


def _set_up() -> tuple[Step, ...]:
    """What comes before the first crank, one movement a step."""
    return (
        Confirm("dial-start", "Set the dial"),
        Confirm("cast-on", "Hang the cast-on bonnet"),
        Confirm("hang-weights", "Hang the weights"),
    )


def _separator_before(rows: int) -> tuple[Step, ...]:
    return (
        Confirm("thread", "Thread separator yarn"),
        CountRows("separator-in", "Separator before", rows, yarn="separator"),
        Confirm("join", "Join the working yarn"),
    )


def _finished(*, open_top: bool) -> list[Step]:
    """By hand, once the toe is closed."""
    chained = [Confirm("chain-top", "Chain off the top")] if open_top else []
    return [*chained, Confirm("corners", "Close the corner holes"), Confirm("ends", "Weave in the ends")]


def _washed() -> tuple[Step, ...]:
    return (Confirm("wash", "Wash it"), Wait("dry", "Drying"))


def _cuff(section: Section, cuff: Cuff | None, dial_changes: tuple[tuple[int, int], ...]) -> list[Step]:
    """The cuff with what must be done to the needles before, within and after it."""
    name, count = section.name, section.count
    kind = cuff.kind if cuff else "hem"
    out = cuff.out_of_work if cuff else ()
    title = name.capitalize()
    steps: list[Step] = []
    if kind == "mock rib":
        steps.append(Confirm("needles-out", "Take needles out"))
    elif cuff and cuff.selvedge:
        steps += _selvedge(name, cuff.slots)
        count = max(1, count - SELVEDGE_ROWS)
    elif kind == "ribber":
        steps.append(Confirm("ribber-on", "Set up the ribber"))
    to_fold = min(cuff.rows // 2, count - 1) if cuff and kind == "picot" else 0
    if to_fold:
        steps += [
            CountRows(name, f"{title} to the fold", to_fold, dial_changes=dial_changes),
            Confirm("picot-holes", "Move every other stitch"),
            CountRows(name + INSIDE, f"{title} after the fold", count - to_fold),
        ]
    else:
        steps.append(CountRows(name, title, count, out_of_work=out, dial_changes=dial_changes))
    if kind == "mock rib":
        steps.append(Confirm("fill-needles", "Put the needles back"))
    elif kind == "ribber":
        steps.append(Confirm("ribber-off", "Take the ribber out"))
    if name == "hem":
        steps.append(Confirm("hang-rib" if kind == "mock rib" else "fold-hem", "Hang the hem"))
    return steps


def _selvedge(name: str, slots: int) -> list[Step]:
    """A finished edge for a rib: 1x1 on both beds, then the cylinder alone (common practice, no source)."""
    out = tuple(range(2, slots + 1, 2))
    return [
        Confirm("selvedge-on", "Ribber 1x1"),
        CountRows(name + ON_BOTH, "Selvedge, both beds", SELVEDGE_BOTH, out_of_work=out),
        Confirm("ribber-rest", "Rest the ribber needles"),
        CountRows(name + ON_CYLINDER, "Selvedge, cylinder", SELVEDGE_CYLINDER, out_of_work=out),
        Confirm("ribber-rib", "Set the ribber to the rib"),
    ]


def _turned(name: str, turning: Turning) -> tuple[Step, ...]:
    return (
        Confirm(f"{name}-needles", "Lift the instep needles"),
        Confirm(f"{name}-pull", "Heel spring and weights"),
        CountPasses(
            name,
            name.capitalize(),
            turning.needles,
            turning.left_in_work,
            turning.lowering,
            turning.plain_passes,
            turning.carrier,
            turning.extra_passes,
        ),
        Confirm(f"{name}-lower", "Lower instep needles"),
        Confirm(f"{name}-even", "Spring off, pull even"),
    )
