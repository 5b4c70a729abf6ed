"""What each step asks of the hands, in words; and the cautions, each where it matters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.dial import dial_place, show_position
from hosewright.craft.turning import heel_half_words
from hosewright.session.hazards import (
    BLUNT,
    CLAMPED,
    HAIR,
    MANUAL,
    PUT_BACK,
    SCISSORS,
    STIFF,
    STILL,
    TAKEN_OUT,
    TRYING_ON,
    WEIGHTS,
)
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Measure, Wait, id_in, plain_id, sock_of

if TYPE_CHECKING:
    from hosewright.craft.turning import CarrierTurns, HeelHalf, Pass
    from hosewright.session.state import State
    from hosewright.session.steps import Field, Step


@dataclass(frozen=True, slots=True)
class Instruction:
    """``say`` is what to do; ``caution`` is said only where someone can be hurt."""

    say: str
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """What a session was started with, in the knitter's own words; empty where nothing was said."""

    weights: str = ""
    mast_tension: str = ""
    yarn_start: str = ""
    wash: str = ""
    heel_half: HeelHalf = ""
    carrier_turns: CarrierTurns = ""


NOTHING_GIVEN = Given()
# Steps that only sessions hold which were begun before each movement had a step of its own.
EARLIER = ("weights", "set-dial", "hang-hem", "heel-set", "heel-end", "toe-set", "toe-end", "chain-off")
_CONFIRMS: dict[str, Instruction] = {
    "weights": Instruction(
        "Hang the usual weights on the buckle ({weights}) and set the dial to {dial}.{tension} Leave the weights as "
        "they are until the stitch size is proven: once they change, what was seen before counts no more.",
        f"{WEIGHTS} {MANUAL}",
    ),
    "dial-start": Instruction("Set the dial to {dial}.", f"{CLAMPED} {MANUAL}"),
    "cast-on": Instruction(
        "Hook the cast-on bonnet over every needle, draw it down through the cylinder, hang the buckle on it and see "
        "that every latch is open. With work on the needles already, just go on.",
        HAIR,
    ),
    "hang-weights": Instruction("Hang the usual weights on the buckle{weighed}.{alone}"),
    "join": Instruction(
        "Cut the separator yarn, tie in the working yarn and thread it through mast and carrier.{tension}"
        "{start}{heel_half}"
    ),
    "clear": Instruction(
        "Before you crank again: draw the work down by hand, see every latch open and every needle clear, and set the "
        "dial to {dial}."
    ),
    "set-dial": Instruction("Set the dial to {dial}, hang the weights as usual ({weights}) and cast on.{tension}"),
    "part": Instruction("Cut the working yarn and tie in the separator yarn."),
    # Four times the width: common practice, no source.
    "part-graft": Instruction(
        "Cut the working yarn, leaving an end four times as long as the toe is wide: the toe is grafted with it. "
        "Tie in the separator yarn."
    ),
    "take-off": Instruction(
        "Cut the yarn, crank the work off the needles and catch it as it comes.",
        "Take the weights off first, or hold them: they fall with the work.",
    ),
    "close-ends": Instruction(
        "Zigzag a thread through the separator rows only and leave the tube open at both ends, so that nothing "
        "pulls on the working rows."
    ),
    "wash": Instruction(
        "Wash and dry it exactly as the socks will be washed and dried. Do not stretch it.{wash} Go on when it is in "
        "the wash or laid out to dry."
    ),
    "wash-worn": Instruction(
        "Wash it as it will always be washed, and as its gauge tube was: only then does it show its true size. Lay it "
        "flat and in shape, not stretched.{wash} Go on when it is in the wash or laid out to dry."
    ),
    "hang-hem": Instruction(
        "Hang the first row of working loops on the needles, one on each, so that the hem folds double."
    ),
    "fold-hem": Instruction(
        "Bring the first row of working loops up inside and hang them on the needles, one on each, so that the hem "
        "folds double. The separator yarn stays in until one row is knitted through both."
    ),
    # No needle that was out has a loop in the first row; common practice, no source.
    "hang-rib": Instruction(
        "Bring the first row of working loops up inside and hang each on the needle it was knitted on. A needle put "
        "back takes the bar beside it, or none. The separator yarn stays in until one row is knitted through both."
    ),
    "needles-out": Instruction(
        "For the mock rib {out_of_work} needles come out: {out}. Move the stitch of each onto the needle beside it, "
        "then take the needle out.",
        f"Take needles out only while the crank stands still. {TAKEN_OUT}",
    ),
    "fill-needles": Instruction(
        "Put the empty needles back in ({out_of_work} of them) and pick up a stitch for each, latches open.",
        f"Put needles back only while the crank stands still. {PUT_BACK}",
    ),
    "picot-holes": Instruction(
        "Move every other stitch onto the needle beside it and leave the empty needles in work: the holes fold into "
        "points."
    ),
    "ribber-on": Instruction(
        "Set up the ribber: {out_of_work} needles leave the cylinder ({out}) and their stitches go to ribber needles "
        "in those places.",
        "Needles of both beds are hooked: keep fingers away whenever the crank moves.",
    ),
    "selvedge-on": Instruction(
        "Set up the ribber 1x1: every other needle leaves the cylinder and its stitch goes to the ribber needle in "
        "that place.",
        "Needles of both beds are hooked: keep fingers away whenever the crank moves.",
    ),
    "ribber-rest": Instruction("Set the ribber's needles so that they keep their loops and do not knit."),
    "ribber-rib": Instruction(
        "Let the ribber's needles knit again, and set both beds to the rib: in it {out_of_work} places are the "
        "ribber's ({out}), the others the cylinder's.",
        "Move stitches only while the crank stands still.",
    ),
    "ribber-off": Instruction(
        "Move the ribber's stitches to cylinder needles, one in each empty slot, and take the ribber out.",
        "Move stitches only while the crank stands still.",
    ),
    "dial-back": Instruction("Before going on the dial stands at {baseline} again, where this leg was to end."),
    "heel-in": Instruction(
        "Crank {part} stitches on, to the {carrier} end of the heel half, and stop there. They are no row yet: the "
        "other {rest} complete it after the heel."
    ),
    "heel-out": Instruction(
        "Crank {part} stitches on. With the {rest} before the heel they are the first row of the foot; rows go on from "
        "there."
    ),
    "toe-in": Instruction(
        "Crank {part} stitches on, to the {carrier} end of the heel half, and stop there. They are no row yet: the "
        "other {rest} complete it after the toe."
    ),
    "toe-out": Instruction(
        "Crank {part} stitches on. With the {rest} before the toe they are the last row of the foot."
    ),
    "heel-set": Instruction(
        "Lift the instep needles out of work, carrier at the {carrier} end of the heel half. Ribber out, heel spring "
        "on, weights moved forward or heel forks hung, reinforcing yarn spliced in if you use it. In the heel the "
        "crank goes back and forth.",
        STILL,
    ),
    "heel-end": Instruction(
        "Lower the instep needles, cut the reinforcing yarn, heel spring off, weights back under the middle."
        "{rows_begin}",
        STILL,
    ),
    "toe-set": Instruction(
        "The toe is turned like the heel: instep needles out of work, carrier at the {carrier} end, heel spring on, "
        "weights forward.",
        STILL,
    ),
    "heel-needles": Instruction(
        "The carrier stands at the {carrier} end of the heel half. Lift every needle of the other half, the instep, "
        "out of work; their loops stay on them.",
        STILL,
    ),
    "heel-pull": Instruction(
        "Put the heel spring on, and bring the weights forward under the heel half or hang heel forks there. A "
        "reinforcing yarn, if you knit one in, is laid in beside the working yarn now.{a_pass}"
    ),
    "heel-lower": Instruction("Lower the instep needles into work again.", STILL),
    "heel-even": Instruction(
        "Take the heel spring off and bring the weights back under the middle, or take the forks out. Cut a "
        "reinforcing yarn, if there is one.{rows_begin}"
    ),
    "toe-needles": Instruction(
        "The toe is turned on the same half as the heel. The carrier stands at its {carrier} end. Lift every needle "
        "of the instep out of work again; their loops stay on them.",
        STILL,
    ),
    "toe-pull": Instruction(
        "Put the heel spring on, and bring the weights forward under the half that knits or hang heel forks there. A "
        "reinforcing yarn, if you knit one in, is laid in beside the working yarn now."
    ),
    "toe-lower": Instruction("Lower the instep needles into work again.", STILL),
    "toe-even": Instruction(
        "Take the heel spring off and bring the weights back under the middle, or take the forks out. Cut a "
        "reinforcing yarn, if there is one."
    ),
    # As long as for "part-graft".
    "tail": Instruction(
        "Cut the working yarn, leaving an end four times as long as the toe is wide, and let it hang inside: the toe "
        "of this sock is grafted with it."
    ),
    "toe-end": Instruction("Lower the instep needles again, heel spring off, weights back under the middle.", STILL),
    "thread": Instruction(
        "Put the separator yarn in the carrier: if working yarn is there, cut it and tie the separator yarn in."
    ),
    "cut-apart": Instruction(
        "Part the socks in the middle of the separator rows between them, and mark each with its number as you go.",
        SCISSORS,
    ),
    "graft": Instruction(
        "Graft the toe closed (Kitchener stitch). Lay the two edges together, purl sides in, and thread a blunt needle "
        "with the working yarn. To begin: front loop as if to purl, back loop as if to knit, both stay. Then over and "
        "over: front loop as if to knit, let it go; next front loop as if to purl, it stays; back loop as if to purl, "
        "let it go; next back loop as if to knit, it stays. Keep the new loops as slack as their neighbours, then "
        "draw out the separator yarn.",
        "A loop let go too soon runs. Pick it up with a latch needle, its sharp hook pointing away from the fingers "
        "that hold the toe.",
    ),
    "chain-off": Instruction(
        "Chain off the first loops of the rolled edge: with a work hook draw each loop loosely through the one before, "
        "right round, and the tail through the last. Draw the separator yarn out as you go.",
        BLUNT,
    ),
    "chain-top": Instruction(
        "Chain off the first loops at the top of the sock: with a work hook draw each loop loosely through the one "
        "before, right round, and the tail through the last. Draw the separator yarn out as you go.",
        BLUNT,
    ),
    "corners": Instruction(
        "Turn the sock inside out and close the small holes at the corners of heel and toe: a few stitches through "
        "the loops round each, with an end that hangs there or a spare length of the yarn."
    ),
    "ends": Instruction(
        "Weave every end in on the inside, a few stitches one way and back another, and trim it. Leave it slack "
        "enough that the sock can stretch."
    ),
}
_ROWS: dict[str, str] = {
    "cast-on-rows": "A few rows of separator yarn over the bonnet.",
    "separator-in": "Separator yarn: rows to hang the work on, taken away later.",
    "tube": "Working yarn. The counter is at zero: every row counts. Same weights, same tension, steady pace.",
    "separator-out": "Separator yarn again, to come off on.",
    "prove": "Ten clean rows prove the stitch size. Should the stitches stay up, say so with s, and look once more.",
    "hem": "The hem, cranked double.",
    "cuff-both": "The selvedge: 1x1 on both beds, with the crank slow.",
    "cuff-cylinder": "The cylinder knits alone; the ribber's needles keep their loops.",
    "hem-inside": "The rest of the hem, as many rows again.",
    "cuff": "Full rows for the cuff.",
    "ankle": "Rows before the heel, for a high instep.",
    "leg": "Full rows for the leg, round and round at a steady pace, down to the heel.",
    "foot": "The foot, up to where the toe begins.",
}
A_ROW = "A row is one full round: the carrier comes back to where it began."
A_PASS = (
    "What comes is counted in passes: half-rounds across the heel needles, there and back, so the sides alternate. "
    "The yarn wraps each lifted needle, which closes the gore."
)
_ALONE = (
    " Leave them as they are until the stitch size is proven: once they change, what was seen before counts no more."
)
_SPLIT = "These are its whole rows: its first is completed after the heel, its last after the toe."
_MEASURES: dict[str, str] = {
    "before-wash": "Lay it flat without stretching. These readings tell what the wash does; skip them if you like.",
    "after-wash": "Dry, laid flat, not stretched. Measure the working rows only, not the separator rows. Several "
    "readings are better than one.",
    "try-on": "Try it on the foot it was made for, and say how it sits; if you can, by how much it is off. When the "
    "plan names a wearer, their next plan learns from it.",
}


# Labels are frozen into a session with its steps; where a better one was found since, it is said instead.
_LABELS: dict[str, str] = {
    "fit-by": "How much too loose or tight",
    "fit-length-by": "How much too short or long",
}


def label_of(item: Field) -> str:
    """What there is to measure, as screens and pages name it."""
    return _LABELS.get(plain_id(item.id), item.label)


def instruction(state: State, given: Given = NOTHING_GIVEN) -> Instruction:
    """What the present step asks for, with what was ``given`` at the start said where it matters."""
    step = state.step
    if step is None:
        return Instruction("Finished." if state.head.kind != "search" else _found(state))
    if isinstance(step, Confirm):
        name = plain_id(step.id)
        if name == "wash" and state.head.kind != "tube":
            name = "wash-worn"
        if name == "part" and state.head.kind != "tube":
            name = "part-graft"
        known = _CONFIRMS.get(name, Instruction(step.title + "."))
        where = where_rows_begin(state, given)
        words = {
            "dial": dial_place(state.dial, state.head.clicks_per_turn),
            "weights": given.weights or "your usual ones",
            "weighed": f" ({given.weights})" if given.weights else "",
            "alone": _ALONE if state.head.kind == "search" else "",
            "tension": f" Yarn-mast tension: {given.mast_tension}." if given.mast_tension else "",
            "start": f" Begin the yarn here: {given.yarn_start}." if given.yarn_start else "",
            "wash": f" How: {given.wash}." if given.wash else "",
            "heel_half": f" {where}" if where and sock_of(step.id) <= 1 else "",
            "a_pass": f" {A_PASS}" if sock_of(step.id) <= 1 else "",
            "rows_begin": _rows_begin_anew(state),
            "part": str(step.stitches),
            "rest": str(state.head.slots - step.stitches),
            "carrier": _carrier_ahead(state),
            "baseline": dial_place(state.head.dial, state.head.clicks_per_turn),
            **_out_words(state),
        }
        return Instruction(known.say.format_map(words), known.caution)
    if isinstance(step, DialTrial):
        return Instruction(state.search.advice, STIFF if not state.search.found else "")
    if isinstance(step, CountRows):
        said = _ROWS.get(plain_id(step.id), step.title + ".")
        if plain_id(step.id) == "foot" and _part_row(state):
            said += f" {_SPLIT}"
        first = next(one for one in state.head.steps if isinstance(one, CountRows))
        return Instruction(f"{said} {A_ROW}" if step is first and not state.count else said)
    if isinstance(step, CountPasses):
        return Instruction(now_words(state))
    if isinstance(step, Measure):
        name = plain_id(step.id)
        return Instruction(_MEASURES.get(name, step.title + "."), TRYING_ON if name == "try-on" else "")
    worn = " Trying it on comes next." if state.head.kind != "tube" else ""
    return Instruction(f"For days if need be. Go on when it is quite dry and has rested flat.{worn}")


def where_rows_begin(state: State, given: Given = NOTHING_GIVEN) -> str:
    """Where the heel half is, its needles, which way the carrier goes, where a row begins; nothing without a heel."""
    if not any(isinstance(step, CountPasses) for step in state.head.steps):
        return ""
    return heel_half_words(state.head.slots // 2, given.heel_half, given.carrier_turns, _part_row(state))


def over_words(state: State, undo: str, hang: str) -> str:
    """What more rows than planned mean and what to do; ``undo`` and ``hang`` (again) are the keys. Else empty."""
    step = state.step
    if not isinstance(step, CountRows) or state.count <= step.target:
        return ""
    if step.yarn == "separator" or step.proves:
        return "More of these rows do no harm."
    if state.head.kind == "tube":
        return f"A longer tube is as good: its gauge is worked out from all {state.count} rows."
    even = " A hem that is hung needs an even number." if plain_id(step.id) == "hem" else ""
    return (
        f"Pressed too often? {undo} undoes it. Cranked: pull back to row {step.target} and use {hang}, or leave it, "
        f"and the twin gets it too.{even}"
    )


def now_words(state: State) -> str:
    """What the hands do next, in one line fit to come back to after the phone has rung.

    One rule wherever a count is told: "5 of 56 rows" are done; "pass 6 of 40", with what to do, is the next.
    """
    step = state.step
    if step is None:
        return "finished"
    if isinstance(step, CountPasses):
        if state.count >= step.target:
            return f"{_name(step)}, {done_words(step, state.count)}"
        return f"{_name(step)}, pass {state.count + 1} of {step.target}: {next_pass_words(step, state.count)}"
    if isinstance(step, CountRows):
        return f"{_name(step)}, {done_words(step, state.count)}"
    if isinstance(step, DialTrial):
        return f"stitch size, dial at {dial_place(state.search.position, state.head.clicks_per_turn)}"
    if isinstance(step, Wait):
        return "drying"
    return step.title[0].lower() + step.title[1:]


def done_words(step: CountRows | CountPasses, count: int) -> str:
    """What is done of a part: "5 of 56 rows done", "all 40 passes done"."""
    unit = "rows" if isinstance(step, CountRows) else "passes"
    return f"all {count} {unit} done" if count == step.target else f"{count} of {step.target} {unit} done"


def next_pass_words(step: CountPasses, count: int) -> str:
    """The pass after ``count`` in words, a turning point said before it. Raises CraftError past the last pass."""
    doing = step.turning.at(count + 1)
    turns = next((f"from now on needles {way}; " for at, way in turning_points(step) if at == doing.number), "")
    return turns + pass_words(doing, step.lowering)


def turning_points(step: CountPasses) -> tuple[tuple[int, str], ...]:
    """The passes from which the needles go another way, each with which."""
    turning = step.turning
    first_up, first_down = turning.plain_first + 1, turning.plain_first + turning.narrowing + 1
    down = (first_down, "come down")
    return ((first_up, "go up"), down) if turning.plain_first else (down,)


def pass_words(doing: Pass, lowering: str = "far") -> str:
    """One pass in words: where the carrier stands, which needle moves, in the order of the hands."""
    parts = [f"carrier on the {doing.carrier}"]
    if doing.lower:
        away = "right" if doing.carrier == "left" else "left"
        side = doing.carrier if lowering == "near" else away
        parts.append(f"{needles(doing.lower)} {_come(doing.lower)} down on the {side}")
    if doing.lift:
        parts.append(f"{needles(doing.lift)} {_go(doing.lift)} up on the {doing.carrier}")
    plain = not doing.lift and not doing.lower
    parts.append("a plain pass over all the needles" if plain else "then crank")
    return ", ".join(parts)


def needles(which: tuple[int, ...]) -> str:
    """Needles by their numbers: "needle 23", "needles 4 and 21"."""
    return f"needle {which[0]}" if len(which) == 1 else "needles " + " and ".join(str(n) for n in which)


def _come(which: tuple[int, ...]) -> str:
    return "comes" if len(which) == 1 else "come"


def _go(which: tuple[int, ...]) -> str:
    return "goes" if len(which) == 1 else "go"


def _name(step: Step) -> str:
    return step.title[0].lower() + step.title[1:]


def _carrier_ahead(state: State) -> str:
    later = state.head.steps[state.index :]
    turned = next((step for step in later if isinstance(step, CountPasses)), None)
    return turned.carrier if turned else "left"


def _part_row(state: State) -> int:
    """The stitches that lead into the heel of the sock at hand, or of the first; 0 where rows begin there."""
    into = id_in(max(state.sock, int(state.head.kind == "string")), "heel-in")
    parts = (step.stitches for step in state.head.steps if isinstance(step, Confirm) and step.id == into)
    return next(parts, 0)


def _rows_begin_anew(state: State) -> str:
    """Said after a heel with a single plain pass, which leaves the carrier at the other end; else empty."""
    before = state.head.steps[: state.index]
    turned = next((step.turning for step in reversed(before) if isinstance(step, CountPasses)), None)
    if turned is None or turned.ends == turned.carrier or _part_row(state):
        return ""
    return f" The carrier stands at the {turned.ends} end of the heel half: from here on a row begins and ends there."


def _out_words(state: State) -> dict[str, str]:
    """The needles out of work in the part at hand: how many, and the first few."""
    near = [*state.head.steps[state.index :], *reversed(state.head.steps[: state.index])]
    out = next((step.out_of_work for step in near if isinstance(step, CountRows) and step.out_of_work), ())
    shown = ", ".join(str(number) for number in out[:4])
    return {"out_of_work": str(len(out)), "out": f"{shown} and so on" if len(out) > 4 else shown}


def _found(state: State) -> str:
    if state.baseline is None:
        return "Finished."
    where = show_position(state.baseline, state.head.clicks_per_turn)
    return (
        f"The stitch size for this yarn is {where}. Leave the work on the machine and crank the gauge tube on it, with "
        "the dial as it stands; or take it off: hold the weights, cut the yarn, crank it off the needles."
    )
