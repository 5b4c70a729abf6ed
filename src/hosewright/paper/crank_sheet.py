"""The crank sheet: a planned sock on paper, to tick off beside the machine, as Markdown and as a page for the wall."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from hosewright.craft.colours import show_colour
from hosewright.craft.dial import CLICKS_PER_TURN, show_position, show_turns
from hosewright.craft.heels import WASTE_PASSES, heel_half_words
from hosewright.craft.ribs import PLAIN_BEFORE_TOE
from hosewright.craft.stripes import STRIPED
from hosewright.craft.turning import comes_in
from hosewright.craft.units import show_length
from hosewright.logbook.accounts.use import thread_metres
from hosewright.logbook.records.planned import cuff, name_of, rib, stripes, turned
from hosewright.paper.charts import planned_sock
from hosewright.paper.html_page import page, svg, typed_small
from hosewright.phrases.harmless import table, typed
from hosewright.phrases.lists import many
from hosewright.session.procedures import CUFFS
from hosewright.session.words import needle_list, pass_words
from hosewright.words.story import planned_rows
from hosewright.words.tight import of_plan

if TYPE_CHECKING:
    from hosewright.craft.turning import Pass, Turning
    from hosewright.logbook.records.shelf import Machine, Plan, PlannedPart, Wearer

BOX = "☐"
ROWS_A_BOX = 10
SOCKS = ("first", "twin")
_STILL = "lift and lower needles only while the crank stands still"
_HANG = "hang the hem, each loop of its first row on the needle that knitted it"
FOR_ANY_FOOT = "no ease is safe for a foot with diabetes, numbness or poor circulation"
AT_RISK = "Take care: a tight sock can harm this foot unfelt (diabetes, numb feet or poor circulation)."
# How much of a sheet each thing takes, in lines of the usual type; measured on printed pages of Letter, the shorter.
_LINES, _USUAL_PT = 31.0, 15.0
_PICTURE_LINES = 4.0  # beyond those of the facts beside it
_TIGHT_LINES = 2.0
_COLUMNS = 4
_BOXES_A_LINE = 12
_STYLE = """
.top { display: flex; gap: 0 1em; align-items: flex-start; }
.top svg { flex: none; width: 5.6cm; max-height: 5.6cm; }
.facts { flex: 1; display: flex; flex-wrap: wrap; gap: 0 2em; font-weight: bold; }
.care { border: 2px solid #1a1a1a; padding: .1em .4em; font-weight: bold; }
.part { display: grid; grid-template-columns: 8.5em 1fr; border-top: 1px solid #6b6b6b; padding: .12em 0; }
.part b { font-size: 1.15em; }
.sock { display: flex; flex-wrap: wrap; align-items: baseline; gap: 0 .7em; }
.sock i { min-width: 3em; font-style: normal; }
.passes { columns: 4; column-gap: 1.2em; list-style: none; padding: 0; margin: .1em 0; }
.passes { font-variant-numeric: tabular-nums; font-size: .87em; }
.passes li { display: flex; justify-content: space-between; break-inside: avoid; border-bottom: 1px dotted #6b6b6b; }
.passes li:nth-child(12n) { border-bottom: 1px solid #1a1a1a; }
.passes b { min-width: 1.6em; text-align: right; }
.turned { font-size: .9em; }
"""


def crank_sheet(
    plan: Plan, machine: Machine | None = None, *, length_unit: str = "in", wearer: Wearer | None = None
) -> str:
    """A planned sock as a Markdown sheet with boxes for both socks, and where it is tight on its ``wearer``. Without
    ``machine`` nothing is known of its dial and its heel half.

    Raises CraftError for an impossible heel.
    """
    clicks_per_turn, parts, where = _on(machine, plan)
    return "\n".join(
        [
            f"# {typed(plan.name)}",
            "",
            *([f"**{AT_RISK}**", ""] if wearer and wearer.caution else []),
            f"- Slots in work: {plan.slots}",
            *([f"- {where}"] if where else []),
            f"- Dial: {_dial(plan, clicks_per_turn)}",
            *(f"- {said[0].upper()}{said[1:]}" for said in asked(plan, length_unit)),
            *(f"- {said}" for said in of_plan(plan, wearer).told),
            "",
            "## Parts",
            "",
            *table(
                ("Part", "Count", "Stitches"),
                [(typed(one.name).capitalize(), f"{one.count} {one.kind}", str(one.stitches)) for one in plan.parts],
            ),
            "Separator yarn before and after: not counted here.",
            "",
            "## Rows",
            "",
            *_row_boxes(plan, clicks_per_turn),
            *(line for names, turning in _groups(parts) for line in _passes(names, turning)),
        ]
    )


def _on(machine: Machine | None, plan: Plan) -> tuple[int, dict[str, Turning], str]:
    """Clicks to a turn of the dial; what is turned, in the order it is cranked; and where its needles are and rows
    begin, nothing where nothing is turned. Raises CraftError.
    """
    half, turns = (machine.heel_half, machine.carrier_turns) if machine else ("", "")
    heel, toe = turned(plan, comes_in(half, turns))
    every = {"heel": heel, "toe": toe}
    parts = {part.name: one for part in plan.parts if part.kind == "passes" and (one := every[part.name])}
    where = heel_half_words(heel or toe, toe, half, turns, plan.part_row) if toe else ""
    return machine.turn if machine else CLICKS_PER_TURN, parts, where


def _dial(plan: Plan, clicks_per_turn: int) -> str:
    if plan.dial is None:
        return "not known, since the gauge is from a notebook: write it down when it is set"
    return f"{show_position(plan.dial, clicks_per_turn)} ({many(plan.dial, 'click')})"


def asked(plan: Plan, unit: str) -> list[str]:
    """What the sock was planned from, its yarn, its top, and the caution that belongs beside the machine."""
    lines = []
    if plan.tube_length_mm is not None:
        lines.append(f"from a sock that fits: {show_length(plan.tube_length_mm, unit)} of straight tube")
    if plan.foot_length_mm is not None:
        ease = show_length(plan.length_ease_mm, unit)
        lines.append(f"foot: {show_length(plan.foot_length_mm, unit)}, ease in length {ease}")
    girths = [(place, mm) for place, mm in (("ankle", plan.ankle_mm), ("calf", plan.calf_mm)) if mm is not None]
    if girths:
        lines.append("typed for it: " + ", ".join(f"{place} {show_length(mm, unit)} round" for place, mm in girths))
    if plan.foot_rows_error:
        lines.append(planned_rows(plan))
    grams = "" if plan.grams_per_pair is None else f", about {plan.grams_per_pair:.0f} g"
    if plan.part_row:
        lines.append(
            f"{plan.part_row} stitches lead into the heel, and {plan.slots - plan.part_row} after it complete the "
            "foot's first row; the toe splits its last row alike"
        )
    if plan.wearer is None:
        lines.append(FOR_ANY_FOOT)
    return [
        *lines,
        f"yarn for the pair: {plan.metres_per_pair:.0f} m{grams}",
        *cuff_lines(plan),
        *rib_lines(plan),
        *stripe_lines(plan),
        *thread_lines(plan),
        _STILL,
    ]


def rib_lines(plan: Plan) -> list[str]:
    """The ribs of leg and instep in words: which needles, and whether a ribbed tube told their gauge."""
    made = rib(plan)
    if made is None or plan.rib is None:
        return []
    whose = "needles out, ladders latched up" if made.way == "latched" else "the ribber's"
    lines = [f"leg in {made.words} rib; {whose}: {needle_list(made.leg)}"]
    if made.instep:
        lines.append(f"over the instep the rib goes on: {needle_list(made.instep)}")
    if plan.rib.rows_per_mm is None:
        lines.append("no ribbed tube was measured: the leg's rows are from plain's, a tenth more or fewer, from memory")
    return lines


def thread_lines(plan: Plan) -> list[str]:
    """The reinforcing yarn in words."""
    if not plan.reinforced:
        return []
    metres = 2 * thread_metres(plan, sum(part.stitches for part in plan.parts if part.kind == "passes"))
    return [f"reinforcing yarn in heel and toe: {metres:.0f} m for the pair"]


def stripe_lines(plan: Plan) -> list[str]:
    """The stripes in words, and after which rows of each part the colour changes."""
    own = stripes(plan)
    if own is None:
        return []
    lines, row, colour = [f"stripes: {own.words}"], 0, own.at(0)
    for part in plan.parts:
        if part.name in STRIPED:
            changes = own.changes(row, part.count, colour)
            row, colour = row + part.count, changes[-1][1] if changes else colour
            said = ", ".join(f"{after} {show_colour(later)}" for after, later in changes)
            lines += [f"{part.name}, change after row: {said}"] if said else []
    return lines


def rib_work(plan: Plan, part: PlannedPart) -> list[tuple[int, str]]:
    """What is done for the ribs before row 1 (0) or after a row of a part: (rows of it cranked, in words)."""
    made = rib(plan)
    if made is None:
        return []
    latched = made.way == "latched"
    if part.name == "leg":
        of = plan.cuff.pattern if plan.cuff and plan.cuff.kind == "ribber" else ""
        if latched:
            return [(0, f"needles out: {needle_list(made.leg)}")]
        return [] if of == made.pattern else [(0, f"ribber set to {made.pattern}: {needle_list(made.leg)}")]
    later: list[tuple[int, str]] = []
    if plan.heel == "afterthought" and part.name == "foot":
        waits = f"; {needle_list(made.instep)} wait until the waste yarn is in" if made.instep else ""
        heel = needle_list(made.heel)
        done = f"latch up the ladders at {heel}, needles back in" if latched else f"ribber stitches {heel} down{waits}"
        later = [(0, done)]
    if part.name == "heel" and plan.heel != "afterthought":
        heel = needle_list(made.heel)
        if latched:
            return [(0, f"latch up the ladders at {heel}, needles back in")]
        waits = f"; {needle_list(made.instep)} wait on the ribber" if made.instep else "; ribber out"
        back = [(part.count, f"ribber needles {needle_list(made.instep)} back into action")] if made.instep else []
        return [(0, f"ribber stitches {heel} to the cylinder{waits}"), *back]
    if part.name == "foot" and made.instep:
        places = needle_list(made.instep)
        end = f"ladders {places} latched up, needles back in" if latched else f"{places} to the cylinder, ribber out"
        return [*later, (part.count - PLAIN_BEFORE_TOE, f"{end}; then plain")]
    return later


def cuff_lines(plan: Plan) -> list[str]:
    """The top of the sock in words: its kind, the needles out of work, what is hung and put back."""
    made = cuff(plan)
    if made is None:
        return []
    lines = [f"top: {made.pattern} {made.kind}".replace(":  ", ": ") + (", hung double" if made.hung else "")]
    if made.out_of_work:
        lines.append("needles out of work at the top: " + ", ".join(str(n) for n in made.out_of_work))
    into_rib = made.kind == "ribber" and plan.rib is not None and plan.rib.way == "ribber"
    return lines + [note.rstrip(".") for note in made.notes[int(into_rib) :]]  # the first sends the ribber away


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
    if made.kind == "ribber" and not (plan.rib and plan.rib.way == "ribber"):
        work.append((made.rows, "move the ribber's stitches to the cylinder, ribber out"))
    if made.hung:
        work.append((made.rows, _HANG))
    return work


def work_at(plan: Plan, part: PlannedPart) -> list[tuple[int, str]]:
    """What is done to the needles within or after a part: (rows or passes of it cranked, in words)."""
    ribs = [(row, what) for row, what in rib_work(plan, part) if row]
    return [*(cuff_work(plan) if part.name in CUFFS else ()), *ribs]


def waste_work(part: PlannedPart, plan: Plan) -> list[str]:
    """What is done before the foot for a heel that is opened later, in words."""
    if part.name != "foot" or plan.heel != "afterthought":
        return []
    return [f"Waste yarn: instep needles up, {WASTE_PASSES} passes over the heel half, working yarn in, instep down"]


def turned_work(part: PlannedPart, plan: Plan) -> list[str]:
    """What is done to the needles before and after a part that is turned, in words."""
    if part.name == "heel" and plan.heel == "afterthought":
        half = plan.slots // 2
        return [
            f"When the {name_of(plan)} is off: {half} loops below the waste yarn on the heel half, "
            f"{half} or {half - 1} above it on the other; instep needles up, heel spring on",
            "Close the heel: instep needles down, separator yarn, take off, graft heel and toe",
        ]
    return [
        f"{part.name.capitalize()} set-up: instep needles up, heel spring on, weights under the half that knits",
        f"Close the {part.name}: instep needles down, heel spring off, weights in the middle",
    ]


def row_marks(part: PlannedPart) -> list[int]:
    """The rows with a box: every ten, and the last."""
    return [*range(ROWS_A_BOX, part.count, ROWS_A_BOX), part.count]


def _row_boxes(plan: Plan, clicks_per_turn: int) -> list[str]:
    """A box every ten rows and at the last, once for each sock."""
    lines = []
    for part in plan.parts:
        ribs = rib_work(plan, part)
        lines += [f"- Before the {part.name}: {what} {BOX} {BOX}" for row, what in ribs if not row]
        lines += [f"- {what} {BOX} {BOX}" for what in waste_work(part, plan)]
        if part.kind != "rows":
            lines += [f"- {typed(what)} {BOX} {BOX}" for what in turned_work(part, plan)]
            lines += [f"- After the {part.name}: {what} {BOX} {BOX}" for row, what in ribs if row]
            continue
        boxes = "  ".join(f"{mark} {BOX}" for mark in row_marks(part))
        lines += [f"- {typed(part.name).capitalize()}, {sock}: {boxes}" for sock in SOCKS]
        lines += [f"- After row {row} of the {part.name}: {what} {BOX} {BOX}" for row, what in work_at(plan, part)]
        if part.name == "leg":
            lines += [
                f"- After row {row} of the leg: dial to {show_position(clicks, clicks_per_turn)} {BOX} {BOX}"
                for row, clicks in plan.dial_changes
            ]
    return [*lines, ""]


def _passes(names: list[str], turning: Turning) -> list[str]:
    heading = " and ".join(typed(name) for name in names).capitalize()
    boxes = tuple(f"{typed(name).capitalize()}, {sock}" for sock in SOCKS for name in names)
    rows = [(str(one.number), pass_words(one), *([BOX] * len(boxes))) for one in turning.passes()]
    return [
        f"## {heading}: {turning.needles} needles down to {turning.left_in_work} and back, {turning.count} passes",
        "",
        "Move the needle, then crank across. Narrowing, lift and then crank; widening, lower and then crank.",
        "",
        *table(("Pass", "Carrier and needle", *boxes), rows),
    ]


# --- the page for the wall ---------------------------------------------------------------------------------------


def sheet_page(
    plan: Plan, machine: Machine | None = None, *, length_unit: str = "in", wearer: Wearer | None = None
) -> str:
    """A planned sock as one sheet of HTML with boxes for both socks, and where it is tight on its ``wearer``. Without
    ``machine`` nothing is known of its dial and its heel half.

    Raises CraftError for an impossible heel.
    """
    clicks_per_turn, parts, where = _on(machine, plan)
    groups = _groups(parts)
    drawn = planned_sock(plan, machine, wearer=wearer)
    caution = wearer is not None and wearer.caution
    facts = [
        f"{plan.slots} slots",
        f"dial {_dial(plan, clicks_per_turn)}",
        *asked(plan, length_unit),
        *(drawn.tight.told if drawn else ()),
    ]
    body = [
        f"<h1>{escape(plan.name)}</h1>",
        *([f'<p class="care">{escape(AT_RISK)}</p>'] if caution else []),
        f'<div class="top"><div class="facts">{"".join(f"<span>{escape(fact)}</span>" for fact in facts)}</div>',
        *([svg(drawn)] if drawn else []),
        "</div>",
        *(_part_boxes(part, plan, clicks_per_turn) for part in plan.parts),
        *(_pass_boxes(names, turning) for names, turning in groups),
        f"<footer>{escape(where)} "
        "L, R: where the carrier stands. ↓ lower that needle, ↑ lift it, in this order, then crank across. "
        "Separator yarn before and after is not counted here.</footer>",
    ]
    lines = _lines(plan, groups) + 1.6 * caution + _PICTURE_LINES * bool(drawn)
    lines += _TIGHT_LINES * bool(drawn and drawn.tight.told)
    small = typed_small(_USUAL_PT, _LINES / lines, "padding: 0; max-width: none; ")
    return page(plan.name, "\n".join(body), f"{_STYLE}{small}")


def _lines(plan: Plan, groups: list[tuple[list[str], Turning]]) -> float:
    """About how many lines of type the sheet takes."""
    rows = sum(
        len(SOCKS) * -(-len(row_marks(part)) // _BOXES_A_LINE) + 0.3 + _changes_of(part, plan)
        for part in plan.parts
        if part.kind == "rows"
    )
    rows += sum(1.3 * len(rib_work(plan, part)) for part in plan.parts if part.kind == "passes")
    passes = sum(2.5 + -(-turning.count // _COLUMNS) for _, turning in groups)
    rows += 1.3 * (plan.heel == "afterthought")
    return 8.0 + rows + passes + 4.1 * sum(part.kind == "passes" for part in plan.parts)


def _changes_of(part: PlannedPart, plan: Plan) -> float:
    ribs = 1.3 * len(rib_work(plan, part))
    if part.name in CUFFS:
        return 1.3 * len(cuff_work(plan)) + ribs
    return ribs + (1.3 * -(-len(plan.dial_changes) // 3) if part.name == "leg" else 0.0)


def _groups(turned: dict[str, Turning]) -> list[tuple[list[str], Turning]]:
    """Heel and toe with how they are turned; together when they are turned alike."""
    found: list[tuple[list[str], Turning]] = []
    for name, turning in turned.items():
        alike = next((names for names, one in found if one == turning), None)
        if alike is not None:
            alike.append(name)
        else:
            found.append(([name], turning))
    return found


def _part_boxes(part: PlannedPart, plan: Plan, per_turn: int) -> str:
    name = escape(part.name.capitalize())
    told = f"<div><b>{name}</b><br>{part.count} {part.kind}</div>"
    before = "".join(_work(f"Before it: {what}") for row, what in rib_work(plan, part) if not row)
    unit = "row" if part.kind == "rows" else "pass"
    after = "".join(_work(f"After {unit} {row}: {what}") for row, what in work_at(plan, part))
    if part.kind == "passes":
        below = f"{_box(f'{part.name}, first, all done')} first &nbsp; {_box(f'{part.name}, twin, all done')} twin"
        lines = [f"{part.count} passes, ticked below. {below}"]
        for at, what in zip((0, 2), turned_work(part, plan), strict=True):
            lines.insert(at, _work(what))
        return f'<div class="part"><div><b>{name}</b></div><div>{before}{"".join(lines)}{after}</div></div>'
    socks = []
    for sock in SOCKS:
        boxes = "".join(f"<span>{mark}{_box(f'{part.name}, {sock}, row {mark}')}</span>" for mark in row_marks(part))
        socks.append(f'<div class="sock"><i>{sock}</i>{boxes}</div>')
    before += "".join(map(_work, waste_work(part, plan)))
    changes = ""
    if part.name == "leg" and plan.dial_changes:
        said = "; ".join(f"after row {row} dial to {show_turns(clicks, per_turn)}" for row, clicks in plan.dial_changes)
        changes = f"<div>{escape(said)} turns below zero</div>"
    return f'<div class="part">{told}<div>{before}{"".join(socks)}{changes}{after}</div></div>'


def _work(what: str) -> str:
    return f"<div>{escape(what)} {''.join(_box(f'{sock}, {what}') for sock in SOCKS)}</div>"


def _box(what: str) -> str:
    return f'<input type="checkbox" aria-label="{escape(what)}">'


def _pass_boxes(names: list[str], turning: Turning) -> str:
    heading = " and ".join(names).capitalize()
    order = ", ".join(f"{name} {sock}" for sock in SOCKS for name in names)
    items = []
    for one in turning.passes():
        boxes = "".join(_box(f"{name}, {sock}, pass {one.number}") for sock in SOCKS for name in names)
        items.append(f"<li><b>{one.number}</b><span>{_moves(one)}</span><span>{boxes}</span></li>")
    return (
        f"<section><h2>{escape(heading)}: {turning.needles} needles down to {turning.left_in_work} and back, "
        f'{turning.count} passes</h2><p class="turned">Boxes in order: {escape(order)}.</p>'
        f'<ol class="passes">{"".join(items)}</ol></section>'
    )


def _moves(one: Pass) -> str:
    side = "L" if one.carrier == "left" else "R"
    moves = [f"↓{number}" for number in one.lower] + [f"↑{number}" for number in one.lift]
    return " ".join([side, *(moves or ["plain"])])
