"""Why each step is done, what to look for, and what to do when it goes wrong: for the one who is learning.

What each step asks for is said in ``words``; here is the rest of what a teacher at one's elbow would say. All of it
is common practice, no source; the manual of the machine at hand comes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.session.steps import Confirm, CountPasses, DialTrial, plain_id
from hosewright.session.words import instruction

if TYPE_CHECKING:
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


_HOOKS = "Needles are hooked and sharp: work only while the crank stands still."
_CRANKING = (
    "Hair, sleeves and fingers away from needles and cam. Never force a stiff crank: stop, and find what holds it."
)
_TURNING = "Move needles only while the crank stands still, and never force it."
_WEIGHTS = "Weights fall when work drops: keep feet and small children clear."

_CONFIRMS: dict[str, Reason] = {
    "weights": Reason(
        "The weights pull each finished stitch down so that the next can form. The stitch size is only true for the "
        "pull it was found with.",
        "The buckle hangs straight under the middle of the cylinder and swings free.",
        "Does it hang to one side, or touch the stand? Hang it anew before the first row.",
        "Needles are hooked and sharp: hands off the crank while you hang anything.",
    ),
    "cast-on": Reason(
        "The machine can only knit onto loops that are there already. The bonnet lends every needle its first loop.",
        "One loop in every hook, every latch open, the bonnet drawn down evenly all round.",
        "An empty hook leaves a hole that runs: hook it now, before the crank moves.",
        _WEIGHTS,
    ),
    "join": Reason(
        "What follows is knitted in the yarn you want to keep. The tail must be held, or the first stitches open.",
        "The yarn runs free from cone to mast to carrier, through every guide, with a little tension.",
        "Does the yarn jump out of a guide? Thread it again from the cone on.",
        "The carrier stands close to the needles: thread it while the crank stands still.",
    ),
    "thread": Reason(
        "Separator rows between two socks give you something to cut, so that neither sock loses a stitch.",
        "A yarn of another colour, as smooth and about as thick as the working yarn.",
        "Does the knot sit in the carrier? Pull it through by hand before cranking.",
        _HOOKS,
    ),
    "clear": Reason(
        "Stitches that stayed up still sit high on their needles. Crank over them and they tuck, or a needle bends.",
        "Every loop below its latch, every latch open, the work hanging snug below the cylinder.",
        "One will not come down? Ease it down with the work hook, one needle at a time.",
        f"{_HOOKS} Never force a stiff crank.",
    ),
    "set-dial": Reason(
        "The dial sets how long each loop is, so every figure holds only at the position it was found at.",
        "Count turns and clicks from the zero mark, always coming from the same side.",
        "Lost count? Run the dial right up to the zero mark and count down again.",
        f"{_HOOKS} {_WEIGHTS}",
    ),
    "part": Reason(
        "Separator rows at the end let the work leave the needles without opening a single working stitch.",
        "The separator yarn sits in the carrier, its tail held, the working yarn's end hanging inside.",
        "Was the working yarn cut too short to graft with? Take back a row and leave a longer end.",
        "The carrier stands close to the needles: thread it while the crank stands still.",
    ),
    "take-off": Reason(
        "With the yarn cut, each needle casts its last loop off by itself as it passes the cam.",
        "The work comes away all round, separator rows last.",
        "Does a loop hang on? Open its latch and lift it off with the work hook; do not tug.",
        "Fingers, hair and sleeves away from needles and cam while the crank moves.",
    ),
    "close-ends": Reason(
        "Open ends would run in the wash. A thread through the separator rows holds them and leaves the tube as wide "
        "as it is.",
        "The thread lies loose; the working rows are free at both ends.",
        "Is an end gathered tight? Pull the thread loose, or the tube measures too narrow.",
    ),
    "hang-hem": Reason(
        "A hem hung double cannot roll or run, and it grips the leg.",
        "One loop of the first working row on each needle, right round, none left out and none twice.",
        "Missed one? Count from a marked needle and hang it now: it shows as a hole later.",
        _HOOKS,
    ),
    "needles-out": Reason(
        "Where a needle is missing the yarn bridges the gap; that makes the fabric draw in like ribbing.",
        "The gaps come at even distances right round, and no stitch was left on a needle taken out.",
        "A stitch slipped off: catch it with the work hook and put it on the needle beside.",
        "The needles are hooked and sharp, at both ends of the stitch: lay those taken out where nobody leans.",
    ),
    "fill-needles": Reason(
        "The leg is knitted on every needle; each one put back needs a loop, or it knits nothing.",
        "Every slot filled, a loop in every hook, every latch open.",
        "A gap that stays a ladder: hang the bar between two stitches on the empty needle.",
        "Needles are hooked and sharp.",
    ),
    "picot-holes": Reason(
        "Each stitch moved leaves a hole; folded along the holes the edge turns into a row of points.",
        "Two loops on every other needle, an empty open needle between.",
        "A stitch dropped while moving: fetch it up with the work hook before the crank moves.",
        _HOOKS,
    ),
    "ribber-on": Reason(
        "The ribber knits some stitches inside out, and that makes ribs which really stretch.",
        "Each ribber needle moves freely between its neighbours, and both beds are timed to one another.",
        "Needles touch one another? Do not crank. Set the timing as the machine's manual says.",
        "Crank the first round by hand and slowly. Never force a stiff crank.",
    ),
    "ribber-off": Reason(
        "From here the leg is plain, and the ribber would be in the way of the heel.",
        "A loop on every cylinder needle, none left hanging between the beds.",
        "A loop fell between the beds: catch it from below with the work hook before taking the ribber away.",
        "The ribber is heavy and its needles are sharp: take it out with both hands.",
    ),
    "dial-back": Reason(
        "The foot was planned at the baseline; at any other position it would come out too long or too short.",
        "Count the clicks back, and read the position off once more.",
        "Not sure where it stands? Run it to the zero mark and count down again.",
        "Hands off the needles and the crank still while you turn the dial.",
    ),
    "heel-set": Reason(
        "The heel is a pocket knitted on half the needles, to and fro; the other half must wait out of work.",
        "Half the needles up and out of the cam's way, the heel spring taking up the slack, weights pulling at the "
        "heel half.",
        "Does the yarn hang in a loop at the edge? The heel spring is off, or too weak.",
        "Hooked needles, and weights that fall when they are moved: steady them with one hand.",
    ),
    "heel-end": Reason(
        "The pocket is done; from here all needles knit round again and join it to the foot.",
        "Every needle down and every latch open, the weights under the middle.",
        "A hole at the corner: lift the bar between the two halves onto the nearest needle.",
        "Hooked needles, and weights that fall when they are moved.",
    ),
    "toe-set": Reason(
        "The toe is the same pocket as the heel, on the same half, so that the graft lies on top of the foot.",
        "The same half as in the heel, the carrier at its end, the heel spring taking up the slack.",
        "The wrong half would put the seam under the toes: look for the heel, and take that side.",
        "Hooked needles, and weights that fall when they are moved: steady them with one hand.",
    ),
    "toe-end": Reason(
        "The separator rows go right round, so all needles must knit again.",
        "Every needle down and every latch open, the weights under the middle.",
        "A needle left up holds a long loop: lower it before the first round.",
        "Hooked needles, and weights that fall when they are moved.",
    ),
    "cut-apart": Reason(
        "Each sock is finished by itself; the separator rows are there to be cut.",
        "The cut runs through separator yarn only, some rows away from either sock.",
        "Nicked a working loop? Catch it on a pin at once, then mend it before the wash.",
    ),
    "graft": Reason(
        "The open toe is sewn with a row that looks like knitting, so that no seam rubs.",
        "Each stitch as loose as the rows beside it; loops taken up in the order they lie.",
        "Lost the order? Draw the thread back a few loops: the separator rows still hold them.",
    ),
    "chain-off": Reason(
        "A rolled edge has open loops at its top. Chained, they cannot run, and the edge stays soft.",
        "A chain right round as loose as the rows below: it stretches over the heel.",
        "Does it bind when stretched? Draw it back a little and chain more loosely.",
    ),
    "wash": Reason(
        "A sock is worn washed. Stitches settle in the wash, and only then do they have their true size.",
        "The same water, soap and drying as a worn sock will get.",
        "Came out felted or stretched? Write that down: the figures hold for that wash only.",
    ),
}
_OTHERS: dict[str, Reason] = {
    "cast-on-rows": Reason(
        "The first rows are uneven, whoever cranks. In separator yarn that costs nothing.",
        "A stitch on every needle, all of one size, after two or three rows.",
        "Some needles knit nothing: stop, open their latches and hook the loops on.",
        _CRANKING,
    ),
    "trial": Reason(
        "Too small a stitch does not come down and jams; far too large a one makes a limp sock. The edge is looked "
        "for, and the sock knitted one turn below it.",
        "A whole round, not a few needles: stitches that drop back at once, or that do not come down.",
        "Could not tell? Say not sure, and look once more. Weights moved? Say so: earlier looks count no more.",
        _CRANKING,
    ),
    "prove": Reason(
        "One good round may be chance. Ten, the same all the way, and you can trust the stitch size with a sock.",
        "Every stitch drops back, all round, and the crank turns as lightly at the end as at the start.",
        "They stay up? Say so. One look more at the same place decides whether the dial goes a turn lower.",
        _CRANKING,
    ),
    "separator-in": Reason(
        "Separator rows carry the weights and take the uneven start, so that the first row that counts is a good one.",
        "Every needle knits, the work hangs evenly.",
        "A dropped stitch here: fetch it up now, or it runs into the work.",
        _CRANKING,
    ),
    "separator-out": Reason(
        "They protect the last working row when the work comes off the needles.",
        "No working yarn caught in them; the count is as planned or a little over.",
        "Ran out of separator yarn? Any smooth yarn of another colour will do.",
        _CRANKING,
    ),
    "tube": Reason(
        "The tube tells what the yarn does at this stitch size. Rows and stitches per length come from it, and every "
        "sock after.",
        "The same weights, the same tension, an even pace. Count a row each time the carrier passes the start.",
        "Lost count? Stop and count the rows below the needles; the gauge is only as good as the count.",
        _CRANKING,
    ),
    "hem": Reason(
        "The hem is knitted twice as long as it will be, for it is folded double.",
        "Even rows, the weights under the middle.",
        "A dropped stitch: stop and fetch it up now; inside the fold it cannot be reached.",
        _CRANKING,
    ),
    "hem-inside": Reason(
        "The second half lies inside the fold, so it needs as many rows as the first.",
        "The empty needles have picked up a loop in the first row after the holes.",
        "A needle that picked up nothing: open its latch and hang the bar between its neighbours on it.",
        _CRANKING,
    ),
    "cuff": Reason(
        "Plain rows roll to the outside by themselves, and that makes a soft edge. It grips little: it is for a sock "
        "that need not stay up.",
        "Even rows, a loop on every needle, the weights under the middle.",
        "A dropped stitch: stop and fetch it up now, for at the edge it shows.",
        _CRANKING,
    ),
    "leg": Reason(
        "The leg is plain rows, and the best place to find your own even pace.",
        "A row each time the carrier passes the start; weights moved up before they touch the floor.",
        "Lost count? Stop and count the rows of the leg, then put the counter right.",
        _CRANKING,
    ),
    "ankle": Reason(
        "A high instep needs a few rows more before the heel begins.",
        "The count, and the weights under the middle.",
        "A row too many does no harm; write it down, so that the twin gets it too.",
        _CRANKING,
    ),
    "foot": Reason(
        "These rows make the length of the foot: one too few or too many is hardly felt, ten are.",
        "The corners of the heel are closed, the rows even, the weights under the middle.",
        "A hole at the heel's corner: fetch it up now, or close it with the yarn's end afterwards.",
        _CRANKING,
    ),
    "dry": Reason(
        "A damp tube or sock is longer and wider than a dry one, and would give wrong figures.",
        "Dry right through, and lain flat for some hours without being stretched.",
        "In doubt wait another day: the session waits as long as you like.",
    ),
    "before-wash": Reason(
        "Beside the same readings after the wash they show how much this yarn moves.",
        "Flat, not stretched, the tape along one column of stitches.",
        "No time? Leave the lines empty and go on; only this comparison is lost.",
    ),
    "after-wash": Reason(
        "From these readings come all row counts and the width of every sock in this yarn.",
        "Working rows only; the flat width is half of the way round. Three readings are better than one.",
        "Two readings far apart: smooth it out, do not pull, and measure again.",
    ),
    "try-on": Reason(
        "The foot decides. What it says goes into the next plan.",
        "Loose, right or tight round the foot; too short, right or too long at the toe.",
        "Not right? Say by how much: nothing is spoilt, the next sock learns from it.",
    ),
}
# A cuff after the step that set its needles up; one without such a step is a rolled edge.
_CUFF_AFTER: dict[str, Reason] = {
    "needles-out": Reason(
        "Over each empty place the yarn runs straight across, so that the cuff draws in more than the leg.",
        "A ladder of bars above every empty place, straight up, and no bar caught by a needle beside it.",
        "A ladder that closes: a needle stands where none should. Stop, and take it out.",
        _CRANKING,
    ),
    "ribber-on": Reason(
        "A rib springs back, so it draws in more than the leg and holds the sock up.",
        "Every needle of both beds knits, and the ribs stand straight one above another.",
        "A stitch dropped: stop and fetch it up from its own side now, for a rib runs quickly.",
        _CRANKING,
    ),
}
_EXTRA = Reason(
    "A plain pass goes over all the heel needles: no needle moves. Before they narrow, such passes make the pocket a "
    "little deeper.",
    "Every heel needle knits; the yarn lies close at the edge.",
    "A loop hangs at the edge: the heel spring must take up the slack at each pass.",
    _TURNING,
)
_NARROWING = Reason(
    "One needle fewer at each pass makes one side of the pocket.",
    "The yarn passes round the needle just lifted, close at the edge.",
    "Wrong one lifted? Lower it before cranking, or pull the pass back.",
    _TURNING,
)
_WIDENING = Reason(
    "Needles coming back join both sides of the pocket along the gore.",
    "The needle that comes down still has its loop, its latch open.",
    "A loop jumped off as it came down: hang it again before cranking.",
    _TURNING,
)
_TURNED = Reason(
    "All passes are done, and the heel half stands as it began.",
    "Every needle of this half is down with its loop, the gores closed.",
    "A needle still up means a pass is missing: look at the strip below.",
    _TURNING,
)
_FOUND = Reason(
    "At the edge some stitches drop back and some do not; one full turn below it leaves room for a thick place in the "
    "yarn or a stiff needle.",
    "Read the dial twice, and come to its place from the same side as always: the screw has a little play.",
    "Not sure how far you turned? Turn up to the zero mark and count from there.",
    _CRANKING,
)
_STOPPED = Reason(
    "As things are, another round would show nothing new and might bend a needle or tear the yarn.",
    "Each thing named above, one at a time. Look along the needles: a bent one stands out of line.",
    "Found nothing? Leave the crank alone and ask someone who knows this machine.",
    _CRANKING,
)
# What a tube and a sock do for different ends.
_IN_A_TUBE: dict[str, Reason] = {
    "take-off": Reason(
        "The tube must come off with its separator rows at both ends, so that no working row opens.",
        "The work comes away all round, separator rows last.",
        "Does a loop hang on? Open its latch and lift it off with the work hook; do not tug.",
        "Fingers, hair and sleeves away from needles and cam while the crank moves.",
    ),
    "part": Reason(
        "The tube must end exactly where the count ended: what follows is not measured.",
        "The separator yarn sits in the carrier, its tail held.",
        "Cranked a row too many? Put the counter right before going on: the count is what matters.",
        "The carrier stands close to the needles: thread it while the crank stands still.",
    ),
}


def reason_of(state: State) -> Reason | None:
    """Why the present step is done, and the rest; None when finished, or for a step of another's making."""
    step = state.step
    if step is None:
        return None
    if isinstance(step, CountPasses):
        if state.count >= step.target:
            return _TURNED
        return {"plain": _EXTRA, "narrow": _NARROWING, "widen": _WIDENING}[step.turning.at(state.count + 1).stage]
    if isinstance(step, DialTrial) and (state.search.found or state.search.stopped):
        return _FOUND if state.search.found else _STOPPED
    known = plain_id(step.id)
    if known == "cuff":
        return _cuff(state)
    if state.head.kind == "tube" and known in _IN_A_TUBE:
        return _IN_A_TUBE[known]
    return (_CONFIRMS if isinstance(step, Confirm) else _OTHERS).get(known)


def _cuff(state: State) -> Reason:
    for step in reversed(state.head.steps[: state.index]):
        before = plain_id(step.id)
        if before in _CUFF_AFTER:
            return _CUFF_AFTER[before]
        if before == "join":
            break
    return _OTHERS["cuff"]


def caution_of(state: State) -> str:
    """Everything there is to be careful of in the present step; empty when nobody can be hurt."""
    reason = reason_of(state)
    said, more = instruction(state).caution, reason.caution if reason else ""
    return " ".join(part for part in ("" if said.rstrip(".") in more else said, more) if part)
