"""The crank sheet: a planned sock on paper, to tick off beside the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import CLICKS_PER_TURN, show_position
from hosewright.craft.turning import comes_in, heel_half_words
from hosewright.craft.units import show_length
from hosewright.logbook.records.planned import cuff, turnings
from hosewright.phrases.figures import clicks_words
from hosewright.phrases.markdown import table, typed
from hosewright.session.procedures import CUFFS
from hosewright.session.words import pass_words

if TYPE_CHECKING:
    from hosewright.craft.turning import Turning
    from hosewright.logbook.records.shelf import Machine, Plan, PlannedPart

BOX = "☐"
ROWS_A_BOX = 10
SOCKS = ("first", "twin")
_STILL = "lift and lower needles only while the crank stands still"
_HANG = "hang the hem, each loop of its first row on the needle that knitted it"
FOR_ANY_FOOT = "no ease is safe for a foot with diabetes, numbness or poor circulation"
AT_RISK = "Take care: a tight sock can harm this foot unfelt (diabetes, numb feet or poor circulation)."


def crank_sheet(plan: Plan, machine: Machine | None = None, *, length_unit: str = "in", caution: bool = False) -> str:
    """A planned sock as a Markdown sheet with boxes for both socks; ``caution`` is the wearer's. Without ``machine``
    nothing is known of its dial and its heel half.

    Raises CraftError for an impossible heel.
    """
    needles = plan.slots // 2
    clicks_per_turn = machine.clicks_per_turn if machine else CLICKS_PER_TURN
    half, turns = (machine.heel_half, machine.carrier_turns) if machine else ("", "")
    heel, toe = turnings(plan, comes_in(half, turns))
    names = [part.name for part in plan.parts if part.kind == "passes"]
    return "\n".join(
        [
            f"# {typed(plan.name)}",
            "",
            *([f"**{AT_RISK}**", ""] if caution else []),
            f"- Slots in work: {plan.slots}",
            f"- {heel_half_words(needles, half, turns, plan.part_row)}",
            f"- Dial: {show_position(plan.dial, clicks_per_turn)} ({clicks_words(plan.dial)})",
            *(f"- {said[0].upper()}{said[1:]}" for said in asked(plan, length_unit)),
            "",
            "## Parts",
            "",
            *table(("Part", "Count", "Stitches"), [_part(part) for part in plan.parts]),
            "Separator yarn before and after: not counted here.",
            "",
            "## Rows",
            "",
            *_row_boxes(plan, clicks_per_turn),
            *_turnings({name: heel if name == "heel" else toe for name in names}, plan.lowering),
        ]
    )


def asked(plan: Plan, unit: str) -> list[str]:
    """What the sock was planned from, its yarn, its top, and the caution that belongs beside the machine."""
    lines = []
    if plan.tube_length_mm is not None:
        lines.append(f"from a sock that fits: {show_length(plan.tube_length_mm, unit)} of straight tube")
    if plan.foot_length_mm is not None:
        ease = show_length(plan.length_ease_mm, unit)
        lines.append(f"foot: {show_length(plan.foot_length_mm, unit)}, ease in length {ease}")
    grams = "" if plan.grams_per_pair is None else f", about {plan.grams_per_pair:.0f} g"
    if plan.part_row:
        lines.append(
            f"{plan.part_row} stitches lead into the heel, and {plan.slots - plan.part_row} after it complete the "
            "foot's first row; the toe splits its last row alike"
        )
    if plan.wearer is None:
        lines.append(FOR_ANY_FOOT)
    return [*lines, f"yarn for the pair: {plan.metres_per_pair:.0f} m{grams}", *cuff_lines(plan), _STILL]


def cuff_lines(plan: Plan) -> list[str]:
    """The top of the sock in words: its kind, the needles out of work, what is hung and put back."""
    made = cuff(plan)
    if made is None:
        return []
    lines = [f"top: {made.pattern} {made.kind}".replace(":  ", ": ") + (", hung double" if made.hung else "")]
    if made.out_of_work:
        lines.append("needles out of work at the top: " + ", ".join(str(n) for n in made.out_of_work))
    return lines + [note.rstrip(".") for note in made.notes]


def cuff_work(plan: Plan) -> list[tuple[int, str]]:
    """What is done to the needles within and after the top: (rows of it cranked, in words)."""
    made = cuff(plan)
    if made is None:  # kept before there were any but hung hems
        return [(part.count, _HANG) for part in plan.parts if part.name == "hem"]
    work = []
    if made.kind == "picot":
        work.append((made.rows // 2, "move every other stitch onto the needle beside it"))
    if made.kind == "mock rib":
        work.append((made.rows, "put the empty needles back"))
    if made.kind == "ribber":
        work.append((made.rows, "move the ribber's stitches to the cylinder, ribber out"))
    if made.hung:
        work.append((made.rows, _HANG))
    return work


def row_marks(part: PlannedPart) -> list[int]:
    """The rows with a box: every ten, and the last."""
    return [*range(ROWS_A_BOX, part.count, ROWS_A_BOX), part.count]


def _part(part: PlannedPart) -> tuple[str, str, str]:
    return (typed(part.name).capitalize(), f"{part.count} {part.kind}", str(part.stitches))


def _row_boxes(plan: Plan, clicks_per_turn: int) -> list[str]:
    """A box every ten rows and at the last, once for each sock."""
    lines = []
    for part in plan.parts:
        if part.kind != "rows":
            continue
        boxes = "  ".join(f"{mark} {BOX}" for mark in row_marks(part))
        lines += [f"- {typed(part.name).capitalize()}, {sock}: {boxes}" for sock in SOCKS]
        if part.name in CUFFS:
            lines += [f"- After row {row} of the {part.name}: {what} {BOX} {BOX}" for row, what in cuff_work(plan)]
        if part.name == "leg":
            lines += [
                f"- After row {row} of the leg: dial to {show_position(clicks, clicks_per_turn)} {BOX} {BOX}"
                for row, clicks in plan.dial_changes
            ]
    return [*lines, ""]


def _turnings(turned: dict[str, Turning], lowering: str) -> list[str]:
    """The passes of heel and toe; one table with boxes for both when they are turned alike."""
    if not turned:
        return []
    if len(set(turned.values())) == 1:
        return _passes(list(turned), next(iter(turned.values())), lowering)
    return [line for name, turning in turned.items() for line in _passes([name], turning, lowering)]


def _passes(names: list[str], turning: Turning, lowering: str) -> list[str]:
    heading = " and ".join(typed(name) for name in names).capitalize()
    boxes = tuple(f"{typed(name).capitalize()}, {sock}" for sock in SOCKS for name in names)
    rows = [(str(one.number), pass_words(one, lowering), *([BOX] * len(boxes))) for one in turning.passes()]
    return [
        f"## {heading}: {turning.needles} needles down to {turning.left_in_work} and back, {turning.count} passes",
        "",
        "Move the needle, then crank across. Narrowing, lift and then crank; widening, lower and then crank.",
        "",
        *table(("Pass", "Carrier and needle", *boxes), rows),
    ]
