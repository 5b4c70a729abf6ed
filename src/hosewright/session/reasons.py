"""Why each step is done, what to look for, and what to do when it goes wrong: for the one who is learning.

What each step asks for is said in ``words``; here is the rest of what a teacher at one's elbow would say. All of it
is common practice, no source; the manual of the machine at hand comes first. A remedy that has a key names its
command in braces, which ``remedy_keys`` fills in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.session.hazards import (
    ALL_CRANKING,
    BLUNT,
    CARRIER,
    CRANKING,
    FORKS,
    HOOKS,
    PAIN,
    RIBBER,
    STIFF,
    WEIGHTS,
)
from hosewright.session.steps import Confirm, CountPasses, DialTrial, plain_id

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from hosewright.session.keys import Command
    from hosewright.session.state import State


@dataclass(frozen=True, slots=True)
class Reason:
    """``why`` the step is done, what to ``look`` for, what to do when it goes ``wrong``.

    ``caution``: how someone can be hurt there, beyond what ``words`` says of it; empty where nobody can.
    """

    why: str
    look: str
    wrong: str
    caution: str = ""


# Of commands that a remedy names though they act only in the step it leads to.
_USUAL_KEYS = {"recount": "=", "step_back": "b", "rehang": "r", "take_back": "Backspace", "note": "n"}
_TURNING = f"Move needles only while the crank stands still, and never force it. {PAIN}"

_INTO = Reason(
    "Your rows do not begin at the end of the heel half, and there alone can heel or toe be turned.",
    "The carrier stands just past the last needle of the instep, and no row was counted for it.",
    "Cranked too far? Stop, and take those stitches back by hand: the crank alone would knit on.",
    CRANKING,
)
_OUT_OF = Reason(
    "These stitches complete the row that was begun before, so that every needle has knitted it once.",
    "The carrier stands where your rows begin; nothing was counted for it, since this step counts it.",
    "Cranked past it? Go on to a whole row, and put the counter right in the next step.",
    CRANKING,
)

_CONFIRMS: dict[str, Reason] = {
    "weights": Reason(
        "The weights pull each finished stitch down so that the next can form. The stitch size is only true for the "
        "pull it was found with.",
        "The buckle hangs straight under the middle of the cylinder and swings free.",
        "Does it hang to one side, or touch the stand? Hang it anew before the first row.",
        WEIGHTS,
    ),
    "dial-start": Reason(
        "The dial decides how much yarn each loop takes. Every row count in your plans belongs to one position of it.",
        "The position, counted in turns and clicks down from the zero mark, and reached from the usual side.",
        "Not sure where it stands? Turn it up to the zero mark and count down afresh.",
    ),
    "cast-on": Reason(
        "A needle can only draw yarn through a loop it already holds. The bonnet gives each one a loop to begin with.",
        "A loop in every hook, every latch open, the bonnet hanging evenly all the way round.",
        "A needle without a loop knits nothing: hook one on before the crank moves.",
        HOOKS,
    ),
    "hang-weights": Reason(
        "The weights draw each new stitch down, off its latch, so that the next can form above it.",
        "The buckle hangs free, straight under the middle, and touches nothing.",
        "Leaning to one side? Unhook it and hang it again: an uneven pull makes uneven stitches.",
        WEIGHTS,
    ),
    "join": Reason(
        "From here on it is the yarn you keep. Somebody must hold its tail for the first row, or that row comes loose.",
        "The yarn goes from cone to mast to carrier through every guide, and gives under a light pull.",
        "Out of a guide? Take it back to the mast and thread it again.",
        CARRIER,
    ),
    "thread": Reason(
        "The rows before and after the work are knitted in a yarn that comes out again: they carry the pull, and "
        "nothing of the work is lost when they are drawn out.",
        "A smooth yarn, about as thick as the working yarn, in a colour you can tell from it at a glance.",
        "A knot in the carrier? Draw it through by hand before the crank moves.",
        CARRIER,
    ),
    "clear": Reason(
        "Stitches that stayed up still sit high on their needles. Crank over them and they tuck, or a needle bends.",
        "Every loop below its latch, every latch open, the work hanging snug below the cylinder.",
        "One will not come down? Ease it down with the work hook, one needle at a time.",
        f"{HOOKS} {STIFF}",
    ),
    "tail": Reason(
        "Each toe of the string is closed with its own yarn; cut short, there is nothing to sew with.",
        "An end of that length, hanging down inside and clear of the needles.",
        "Cut too short? {step_back} goes back to the toe's last steps; or graft with a spare length of the same yarn.",
        HOOKS,
    ),
    "part": Reason(
        "With separator rows above it the last working row can leave the needles and stay whole.",
        "The separator yarn in the carrier with its tail held, the end of the working yarn hanging inside.",
        "Is that end too short for the toe? Graft with a spare length of the same yarn.",
        CARRIER,
    ),
    "take-off": Reason(
        "No yarn reaches the hooks any more, so each needle lets go of its loop as it comes past the cam.",
        "The sock drops away a little at a time, the separator rows last of all.",
        "One loop holds on? Open its latch and lift it off with the work hook. Pulling tears it.",
        CRANKING,
    ),
    "close-ends": Reason(
        "Loose ends ravel in the wash. A thread run through the separator rows keeps them, and the tube stays as wide "
        "as it was knitted.",
        "A slack thread, with every working row left free.",
        "Drawn in at one end? Ease the thread out, or the tube will measure too narrow.",
    ),
    "fold-hem": Reason(
        "Knitted double, the top neither rolls nor runs, and it holds on to the leg. One row through both layers "
        "locks the first loops; after it the separator yarn can come out.",
        "One loop of the first working row on every needle, none missed, none twice.",
        "Came out one short? Count round from a needle you can find again, and hang the one that was left.",
        HOOKS,
    ),
    "hang-rib": Reason(
        "Hung on its own needle each rib lies straight; hung one needle along, the whole top slants. Where a needle "
        "was out no loop was knitted, so there is none to hang.",
        "The ribs run straight up into the leg; each loop is on the needle below which its column runs.",
        "A rib leans? Follow its column down with a finger, and move that loop to the needle it leads to.",
        HOOKS,
    ),
    "needles-out": Reason(
        "Where there is no needle the yarn crosses a gap, and the fabric folds in there as a rib does.",
        "Gaps evenly spaced all round, as many needles on the table as the step says, and every stitch on a needle.",
        "Did a stitch slip away? Catch it with the work hook and set it on the needle next to it.",
        HOOKS,
    ),
    "fill-needles": Reason(
        "The rows below the top are knitted on all needles, and a needle put back without a loop knits nothing.",
        "No slot empty, no needle left over, a loop in each hook and each latch open.",
        "Is a column still missing? Lift the bar between the two stitches beside it onto that needle.",
        HOOKS,
    ),
    "picot-holes": Reason(
        "A stitch moved over leaves a hole behind. Folded there, the row of holes becomes a row of points.",
        "Turn about all round: a needle with two loops, then an empty one with its latch open.",
        "A stitch got away? Pick it up with the work hook before the crank moves.",
        HOOKS,
    ),
    "ribber-on": Reason(
        "Stitches knitted from above face inward, and a fabric of both kinds springs back as no other does.",
        "Every ribber needle slides between its neighbours without touching, the two beds in time.",
        "Needles meet? Leave the crank alone, and set the timing by the machine's manual.",
        f"Crank the first round by hand and slowly. {STIFF} {RIBBER}",
    ),
    "selvedge-on": Reason(
        "A row shared by both beds cannot run, so the sock gets a finished edge and needs no chaining.",
        "Turn about all round: one stitch on the cylinder, one on the ribber, none on both.",
        "Needles meet? Leave the crank alone, and set the timing by the machine's manual.",
        f"Crank the first round by hand and slowly. {STIFF} {RIBBER}",
    ),
    "ribber-rest": Reason(
        "The next rows, on the cylinder alone, round the edge off and make it stretch.",
        "Each ribber needle still holds its loop and stays where it is as the carrier comes by.",
        "One moves all the same? Set it back by hand before the crank goes on.",
        HOOKS,
    ),
    "ribber-rib": Reason(
        "The edge is made; from here both beds knit together, in the rib you planned.",
        "A loop on every needle that will knit, and no stitch without a needle.",
        "A needle too many on one bed? Move its stitch across, and take it out of work.",
        HOOKS,
    ),
    "ribber-off": Reason(
        "What follows is plain, and no heel can be turned with the ribber over the cylinder.",
        "Every needle of the cylinder has its loop, and none hangs between the two beds.",
        "A loop fell through? Bring it up from below with the work hook while the ribber is still there.",
        RIBBER,
    ),
    "dial-back": Reason(
        "The foot's rows were worked out at the baseline, and with any other loop their length is another.",
        "The clicks counted as you turn, and the position read off afterwards.",
        "In doubt? Go up to the zero mark and count down again.",
        "Hands off the needles and the crank still while you turn the dial.",
    ),
    "heel-in": _INTO,
    "toe-in": _INTO,
    "heel-out": _OUT_OF,
    "toe-out": _OUT_OF,
    "heel-needles": Reason(
        "A heel is a pocket made on one half of the needles. The other half keeps its stitches and takes no part.",
        "Half the needles up, clear of the cam, each with its loop; the carrier at the end of those still in work.",
        "The carrier stands elsewhere? {step_back} goes back: finish or add the rows that bring it there.",
        HOOKS,
    ),
    "heel-pull": Reason(
        "Going to and fro, the yarn slackens at every turn; the spring takes that up. And only one half knits now, so "
        "the pull must come from under it.",
        "The spring draws the yarn back as the carrier turns; the heel half's stitches are tight, the others rest.",
        "A loop of yarn hangs at the turn? The spring is off or too weak. Stitches ride up? More pull on that half.",
        FORKS,
    ),
    "heel-lower": Reason(
        "The pocket is finished. With all needles at work again its ends are joined to the foot in the next round.",
        "Every needle down, its loop in the hook and its latch open.",
        "One has lost its loop? Fetch it with the work hook before the crank moves.",
        HOOKS,
    ),
    "heel-even": Reason(
        "The carrier goes round again: a spring would drag at the yarn, and weights to one side would slant the foot.",
        "The yarn runs free of the spring, and the buckle hangs in the middle.",
        "The foot slants after some rows? Hang the weights in the middle anew.",
        FORKS,
    ),
    "toe-needles": Reason(
        "A toe is a pocket like the heel. On the same half, its opening comes to lie on top of the foot.",
        "The half that bears the heel still in work, the carrier at its end, all other needles up.",
        "Was the other half left in work? The seam would come under the toes: find the heel and change over.",
        HOOKS,
    ),
    "toe-pull": Reason(
        "As in the heel: slack yarn at every turn, and only half of the stitches to be drawn down.",
        "The spring moves as the carrier turns; the stitches in work are tight.",
        "Yarn hangs loose at the turn? Look to the spring. Stitches ride up? Give that half more pull.",
        FORKS,
    ),
    "toe-lower": Reason(
        "The separator rows go round all needles, so that the open toe hangs safely until it is sewn.",
        "No needle left up, and every latch open.",
        "One left up would draw a long loop: bring it down before the first round.",
        HOOKS,
    ),
    "toe-even": Reason(
        "What follows goes round again, so that spring and forks have nothing more to do.",
        "The yarn runs free, and the buckle hangs in the middle.",
        "Rows slant? Hang the weights in the middle anew.",
        FORKS,
    ),
    "cut-apart": Reason(
        "A string is finished sock by sock, and the rows between are there for the scissors.",
        "Only separator yarn is cut, several rows from the work on either side.",
        "Cut into a working loop? Hold it on a pin straight away, and mend it before it is washed.",
    ),
    "graft": Reason(
        "A needle and yarn make one more row of stitches between the two edges: no ridge, nothing to rub.",
        "Loops taken up in their order, the new ones as loose as those about them.",
        "Out of step? Pull the thread back a few loops; the separator rows have kept them all.",
    ),
    "chain-top": Reason(
        "The first row is a ring of open loops, and the separator yarn is all that holds them. Chained, they cannot "
        "run.",
        "A chain as slack as the rows under it, wide enough to go over the heel.",
        "Too tight to stretch? Undo it a little way and draw the loops longer.",
    ),
    "corners": Reason(
        "Where the two halves meet again the first stitches are pulled apart. A hole there wears wider.",
        "Held against the light no hole is larger than its neighbours, and nothing puckers.",
        "It puckers? Draw the thread out and sew again, more loosely.",
        BLUNT,
    ),
    "ends": Reason(
        "A knot alone works loose in a shoe; an end woven both ways stays.",
        "No end left hanging, and nothing to see from outside.",
        "Does it pull when the sock is stretched? Draw it out and weave it in more slackly.",
        BLUNT,
    ),
    "wash": Reason(
        "A sock lives washed. Only in water do the stitches find the size they will keep.",
        "Water, soap and drying just as the socks will have them.",
        "Felted, or pulled out of shape? Note it: what you measure then is true of such a wash only.",
    ),
}
_OTHERS: dict[str, Reason] = {
    "cast-on-rows": Reason(
        "The first rows are uneven, whoever cranks. In separator yarn that costs nothing.",
        "A stitch on every needle, all of one size, after two or three rows.",
        "Some needles knit nothing: stop, open their latches and hook the loops on.",
        ALL_CRANKING,
    ),
    "trial": Reason(
        "Too small a stitch does not come down and jams; far too large a one makes a limp sock. The edge is looked "
        "for, and the sock knitted one turn below it.",
        "A whole round, not a few needles: stitches that drop back at once, or that do not come down.",
        "Could not tell? Say not sure, and look once more. Weights moved? Say so: earlier looks count no more.",
        f"{CRANKING} {STIFF}",
    ),
    "prove": Reason(
        "One good round may be chance. Ten, the same all the way, and you can trust the stitch size with a sock.",
        "Every stitch drops back, all round, and the crank turns as lightly at the end as at the start.",
        "They stay up? Say so. One look more at the same place decides whether the dial goes a turn lower.",
        ALL_CRANKING,
    ),
    "separator-in": Reason(
        "These rows take the uneven beginning and the pull of the weights, so that the work itself begins well.",
        "Every needle knits, and the rows hang level.",
        "A stitch dropped here: latch it up at once, before it runs up into the work.",
        ALL_CRANKING,
    ),
    "separator-out": Reason(
        "They keep the last row of the work safe when it leaves the needles.",
        "None of the working yarn among them, and at least as many rows as planned.",
        "The separator yarn gives out? Go on with any smooth yarn that shows.",
        ALL_CRANKING,
    ),
    "tube": Reason(
        "This tube shows what the yarn does at this stitch size. All your socks in it are worked out from these rows.",
        "Weights, tension and pace as they were; a row each time the carrier comes back to where it began.",
        "Lost count? Stop, and count the rows under the needles: {recount} puts the counter right.",
        ALL_CRANKING,
    ),
    "hem": Reason(
        "Half of these rows turn inward, out of sight.",
        "Level rows, the buckle in the middle.",
        "A stitch dropped: stop and latch it up now, before the fold hides it.",
        f"{CRANKING} {STIFF}",
    ),
    "hem-inside": Reason(
        "This half lies inside, and is as long as the first.",
        "In the first row after the holes every empty needle takes up the yarn.",
        "One took nothing? Open its latch, and lift the bar between its neighbours onto it.",
        ALL_CRANKING,
    ),
    "cuff": Reason(
        "Plain rows roll to the outside by themselves, and that makes a soft edge. It grips little: it is for a sock "
        "that need not stay up.",
        "Even rows, a loop on every needle, the weights under the middle.",
        "A dropped stitch: stop and fetch it up now, for at the edge it shows.",
        ALL_CRANKING,
    ),
    "cuff-both": Reason(
        "One row from both beds ties the edge.",
        "Yarn in every hook, on the cylinder and above it.",
        "A hook missed the yarn? Lay the yarn in by hand before the crank goes on.",
        f"{CRANKING} {STIFF}",
    ),
    "cuff-cylinder": Reason(
        "Plain fabric here lets the edge lie round and soft.",
        "The cylinder knits; no ribber needle moves.",
        "A ribber needle knits? Set it to rest: one stitch does no harm.",
        f"{CRANKING} {STIFF}",
    ),
    "leg": Reason(
        "Round after round and nothing to change: a good place to find a pace you can keep.",
        "A row each time the carrier comes back to where it began; weights moved up before they reach the floor.",
        "Lost count? Stop, and count the rows of the leg: {recount} puts the counter right.",
        ALL_CRANKING,
    ),
    "ankle": Reason(
        "These rows lower the heel on a high instep, so that the leg does not pull there.",
        "The count, and the buckle in the middle.",
        "One too many does no harm: {note} notes it, so that the twin has it as well.",
        ALL_CRANKING,
    ),
    "foot": Reason(
        "These rows are the length of the foot. One more or less is hardly felt, ten are.",
        "Closed corners at the heel, level rows, the buckle in the middle.",
        "A hole at the corner can be sewn up at the end. Lost count? {recount} puts the counter right.",
        ALL_CRANKING,
    ),
    "dry": Reason(
        "Damp knitting lies longer and wider than dry, and its figures would mislead.",
        "Dry all through, and some hours flat without a pull.",
        "Not sure? Give it another day. Nothing here is in a hurry.",
    ),
    "before-wash": Reason(
        "Set beside the readings after the wash, they tell how far this yarn moves.",
        "Flat and at ease, the tape along one column of stitches.",
        "No time for it? Go on with the lines empty; only this comparison is lost.",
    ),
    "after-wash": Reason(
        "All row counts and widths in this yarn are worked out from these readings.",
        "The working rows alone; the flat width is half the way round. Three readings beat one.",
        "Readings far apart? Smooth it without pulling, and lay the tape on again.",
    ),
    "try-on": Reason(
        "No figure knows as much as the foot. What it says, the next plan takes in.",
        "How it sits round the foot, and where the toe ends.",
        "Not right yet? Say by how much: the next pair learns from it.",
    ),
}
# A cuff after the step that set its needles up; one without such a step is a rolled edge.
_CUFF_AFTER: dict[str, Reason] = {
    "needles-out": Reason(
        "Over each empty place the yarn runs straight across, so that the cuff draws in more than the leg.",
        "A straight ladder of bars above every empty place.",
        "A ladder that closes: a needle stands where none should. Stop, and take it out.",
        f"{CRANKING} {STIFF}",
    ),
    "ribber-on": Reason(
        "A rib springs back, so it draws in more than the leg and holds the sock up.",
        "Every needle knits, and the ribs stand straight.",
        "A stitch dropped: stop and fetch it up from its own side now, for a rib runs quickly.",
        f"{CRANKING} {STIFF}",
    ),
}
_CUFF_AFTER["ribber-rib"] = _CUFF_AFTER["ribber-on"]
_FIRST_PASS = Reason(
    "A pass is one half-round across the heel needles. The carrier goes there and back, so the sides alternate.",
    "Yarn wraps the lifted needle: no wrap, and the gore has a hole.",
    "Wrong needle up? Lower it again before you crank.",
    _TURNING,
)
_EXTRA = Reason(
    "A plain pass goes over all the heel needles: no needle moves. Before they narrow, such passes make the pocket a "
    "little deeper.",
    "Every heel needle knits; the yarn lies close at the edge.",
    "A loop hangs at the edge: the heel spring must take up the slack at each pass.",
    _TURNING,
)
_NARROWING = Reason(
    "At each pass one needle leaves off, and one side slants.",
    "The yarn lies snug round the needle you lifted.",
    "Wrong needle up? Lower it. Cranked already? Pull the pass back, then {take_back}.",
    _TURNING,
)
_WIDENING = Reason(
    "Needles come back; the sides grow together along the gore.",
    "The needle you lower brings loop and wrap down, its latch open.",
    "Did it lose its loop? Put that back on before you crank.",
    _TURNING,
)
_TURNED = Reason(
    "That was the last pass: the same needles are in work as before the first.",
    "All needles of this half down with their loops, the gores closed.",
    "Is one still up? A pass is missing: {recount} puts the counter right.",
    _TURNING,
)
_FOUND = Reason(
    "At the edge some stitches drop back and some do not; one full turn below it leaves room for a thick place in the "
    "yarn or a stiff needle.",
    "Read the dial twice, and come to its place from the same side as always: the screw has a little play.",
    "Not sure how far you turned? Turn up to the zero mark and count from there.",
    HOOKS,
)
_STOPPED = Reason(
    "As things are, another round would show nothing new and might bend a needle or tear the yarn.",
    "Each thing named above, one at a time. Look along the needles: a bent one stands out of line.",
    "Found nothing? Leave the crank alone and ask someone who knows this machine.",
    ALL_CRANKING,
)
# What a tube and a sock do for different ends.
_IN_A_TUBE: dict[str, Reason] = {
    "take-off": Reason(
        "With its separator rows at both ends the tube comes off and no working row opens.",
        "It drops away a little at a time, the separator rows last of all.",
        "One loop holds on? Open its latch and lift it off with the work hook. Pulling tears it.",
        CRANKING,
    ),
    "part": Reason(
        "The tube ends where its count ends; nothing after that is measured.",
        "The separator yarn in the carrier, its tail held.",
        "A row more than counted? {step_back} goes back to the tube, where {recount} puts the counter right.",
        CARRIER,
    ),
}
# Sessions begun before each movement had a step of its own still hold these.
_EARLIER: dict[str, Reason] = {
    "set-dial": Reason(
        "Every row count in your plans belongs to one position of the dial, and to one pull of the weights.",
        "Turns and clicks counted from the zero mark; a loop in every hook; the buckle hanging free.",
        "Not sure where the dial stands? Turn it up to the zero mark and count down afresh.",
        f"{HOOKS} {WEIGHTS}",
    ),
    "hang-hem": _CONFIRMS["fold-hem"],
    "heel-set": Reason(
        _CONFIRMS["heel-needles"].why, _CONFIRMS["heel-pull"].look, _CONFIRMS["heel-pull"].wrong, f"{HOOKS} {FORKS}"
    ),
    "heel-end": Reason(
        _CONFIRMS["heel-lower"].why, _CONFIRMS["heel-lower"].look, _CONFIRMS["heel-even"].wrong, f"{HOOKS} {FORKS}"
    ),
    "toe-set": Reason(
        _CONFIRMS["toe-needles"].why, _CONFIRMS["toe-needles"].look, _CONFIRMS["toe-pull"].wrong, f"{HOOKS} {FORKS}"
    ),
    "toe-end": Reason(
        _CONFIRMS["toe-lower"].why, _CONFIRMS["toe-lower"].look, _CONFIRMS["toe-lower"].wrong, f"{HOOKS} {FORKS}"
    ),
    "chain-off": _CONFIRMS["chain-top"],
}


def reason_of(state: State) -> Reason | None:
    """Why the present step is done, and the rest; None when finished, or for a step of another's making."""
    step = state.step
    if step is None:
        return None
    if isinstance(step, CountPasses):
        if state.count >= step.target:
            return _TURNED
        if state.count == 0 and step is next(one for one in state.head.steps if isinstance(one, CountPasses)):
            return _FIRST_PASS
        return {"plain": _EXTRA, "narrow": _NARROWING, "widen": _WIDENING}[step.turning.at(state.count + 1).stage]
    if isinstance(step, DialTrial) and (state.search.found or state.search.stopped):
        return _FOUND if state.search.found else _STOPPED
    known = plain_id(step.id)
    if known == "cuff":
        return _cuff(state)
    if state.head.kind == "tube" and known in _IN_A_TUBE:
        return _IN_A_TUBE[known]
    return _CONFIRMS.get(known, _EARLIER.get(known)) if isinstance(step, Confirm) else _OTHERS.get(known)


def _cuff(state: State) -> Reason:
    for step in reversed(state.head.steps[: state.index]):
        before = plain_id(step.id)
        if before in _CUFF_AFTER:
            return _CUFF_AFTER[before]
        if before == "join":
            break
    return _OTHERS["cuff"]


def first_pass_words(state: State) -> str:
    """What a pass is, why its sides alternate and what the wrap does, before the first of a session; else empty."""
    first = isinstance(state.step, CountPasses) and reason_of(state) is _FIRST_PASS
    return f"{_FIRST_PASS.why} {_FIRST_PASS.look}" if first else ""


def remedy_keys(commands: Iterable[Command], shown: Callable[[Command], str]) -> dict[str, str]:
    """What fills the braces of a ``Reason``: the key of each command, as ``shown`` writes it, on its usual one where
    ``commands`` have it not."""
    return {**_USUAL_KEYS, **{command.does: shown(command) for command in commands}}
