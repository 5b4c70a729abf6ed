"""Heel and toe, which are turned alike."""

from __future__ import annotations

from dataclasses import replace

from hosewright.session.steps.said import CARRIER, CRANKING, FORKS, HOOKS, PAIN, STILL, Said

# Short, since it stays while passes are cranked: two lines of a small terminal.
_TURNING = ("Move needles only while the crank stands still; hair and fingers clear; never force it.", PAIN)
_IN = Said(
    do="Crank {part} stitches on, to the {carrier} end of the heel half, and stop there. They are no row yet: "
    "the other {rest} complete it after the {turned}.",
    why="Your rows do not begin at the end of the heel half, and there alone can heel or toe be turned.",
    look="The carrier stands just past the last needle of the instep, and no row was counted for it.",
    wrong="Cranked too far? Stop, and take those stitches back by hand: the crank alone would knit on.",
    caution=(CRANKING,),
)
_OUT = Said(
    title="Complete the row",
    why="These stitches complete the row that was begun before, so that every needle has knitted it once.",
    look="The carrier stands where your rows begin; nothing was counted for it, since this step counts it.",
    wrong="Cranked past it? Go on to a whole row, and put the counter right in the next step.",
    caution=(CRANKING,),
)
_LAY_IN = Said(
    title="Lay in reinforcing yarn",
    do="Lay the reinforcing yarn in beside the working yarn, through the same guides into the carrier, and hold its "
    "end for the first pass.",
    why="Heel and toe wear through first. A thin, strong yarn knitted along with the working yarn takes the rub.",
    look="Two yarns in the carrier, and both run freely as the carrier turns.",
    wrong="Do they twist and catch? Stop, part them back to the mast, and give each its own way up.",
    caution=(CARRIER,),
)
_CUT_OUT = Said(
    title="Cut reinforcing yarn",
    do="Cut the reinforcing yarn, leave an end to weave in, and take it out of the carrier.",
    why="What follows is knitted in the working yarn alone, as its rows were worked out.",
    look="One yarn in the carrier; the end of the other hangs inside, clear of the needles.",
    wrong="Cut the working yarn instead? Tie it in again before the crank moves.",
    caution=(CARRIER,),
)

HEEL_AND_TOE: dict[str, Said] = {
    "heel-in": replace(_IN, title="Crank on to the heel"),
    "heel-needles": Said(
        title="Lift the instep needles",
        do="The carrier stands at the {carrier} end of the heel half. Lift every needle of the other half, the "
        "instep, out of work; their loops stay on them.",
        why="A heel is a pocket made on one half of the needles. The other half keeps its stitches and takes no part.",
        look="Half the needles up, clear of the cam, each with its loop; the carrier at the end of those still in "
        "work.",
        wrong="The carrier stands elsewhere? {step_back} goes back: finish or add the rows that bring it there.",
        caution=(STILL, HOOKS),
        cue="set up the heel",
    ),
    "heel-pull": Said(
        title="Heel spring and weights",
        do="Put the heel spring on, and bring the weights forward under the heel half or hang heel forks "
        "there.{lay_in}",
        why="Going to and fro, the yarn slackens at every turn; the spring takes that up. And only one half knits "
        "now, so the pull must come from under it.",
        look="The spring draws the yarn back as the carrier turns; the heel half's stitches are tight, the others "
        "rest.",
        wrong="A loop of yarn hangs at the turn? The spring is off or too weak. Stitches ride up? More pull on that "
        "half.",
        caution=(FORKS,),
    ),
    "heel-reinforce": _LAY_IN,
    "heel": Said(title="Heel"),
    "passes, first": Said(
        why="A pass is one half-round across the heel needles. The carrier goes there and back, so the sides "
        "alternate.",
        look="Yarn wraps the lifted needle: no wrap, and the gore has a hole.",
        wrong="Wrong needle up? Lower it again before you crank.",
        caution=_TURNING,
    ),
    "passes, plain": Said(
        why="A plain pass goes over all the heel needles: no needle moves. Before they narrow, such passes make the "
        "pocket a little deeper.",
        look="Every heel needle knits; the yarn lies close at the edge.",
        wrong="A loop hangs at the edge: the heel spring must take up the slack at each pass.",
        caution=_TURNING,
    ),
    "passes, narrow": Said(
        why="At each pass one needle leaves off, and one side slants.",
        look="The yarn lies snug round the needle you lifted.",
        wrong="Wrong needle up? Lower it. Cranked already? Pull the pass back, then {take_back}.",
        caution=_TURNING,
    ),
    "passes, widen": Said(
        why="Needles come back; the sides grow together along the gore.",
        look="The needle you lower brings loop and wrap down, its latch open.",
        wrong="Did it lose its loop? Put that back on before you crank.",
        caution=_TURNING,
    ),
    "passes, done": Said(
        why="That was the last pass: the same needles are in work as before the first.",
        look="All needles of this half down with their loops, the gores closed.",
        wrong="Is one still up? A pass is missing: {recount} puts the counter right.",
        caution=_TURNING,
    ),
    "heel-lower": Said(
        title="Lower instep needles",
        do="Lower the instep needles into work again.",
        why="The pocket is finished. With all needles at work again its ends are joined to the foot in the next round.",
        look="Every needle down, its loop in the hook and its latch open.",
        wrong="One has lost its loop? Fetch it with the work hook before the crank moves.",
        caution=(STILL, HOOKS),
        cue="close the heel",
    ),
    "heel-reinforced": _CUT_OUT,
    "heel-even": Said(
        title="Spring off, pull even",
        do="Take the heel spring off and bring the weights back under the middle, or take the forks "
        "out.{cut_out}{rows_begin}",
        why="The carrier goes round again: a spring would drag at the yarn, and weights to one side would slant the "
        "foot.",
        look="The yarn runs free of the spring, and the buckle hangs in the middle.",
        wrong="The foot slants after some rows? Hang the weights in the middle again.",
        caution=(FORKS,),
    ),
    "heel-out": replace(
        _OUT,
        do="Crank {part} stitches on. With the {rest} before the heel they are the first row of the foot; rows go on "
        "from there.",
    ),
    "toe-in": replace(_IN, title="Crank on to the toe"),
    "toe-needles": Said(
        title="Lift the instep needles",
        do="The toe is turned on the same half as the heel. The carrier stands at its {carrier} end. Lift every "
        "needle of the instep out of work again; their loops stay on them.",
        why="A toe is a pocket like the heel. On the same half, its opening comes to lie on top of the foot.",
        look="The half that bears the heel still in work, the carrier at its end, all other needles up.",
        wrong="Was the other half left in work? The seam would come under the toes: find the heel and change over.",
        caution=(STILL, HOOKS),
        cue="set up the toe",
    ),
    "toe-pull": Said(
        title="Heel spring and weights",
        do="Put the heel spring on, and bring the weights forward under the half that knits or hang heel forks "
        "there.{lay_in}",
        why="As in the heel: slack yarn at every turn, and only half of the stitches to be drawn down.",
        look="The spring moves as the carrier turns; the stitches in work are tight.",
        wrong="Yarn hangs loose at the turn? Look to the spring. Stitches ride up? Give that half more pull.",
        caution=(FORKS,),
    ),
    "toe-reinforce": _LAY_IN,
    "toe": Said(title="Toe"),
    "toe-lower": Said(
        title="Lower instep needles",
        do="Lower the instep needles into work again.",
        why="The separator rows go round all needles, so that the open toe hangs safely until it is sewn.",
        look="No needle left up, and every latch open.",
        wrong="One left up would draw a long loop: bring it down before the first round.",
        caution=(STILL, HOOKS),
        cue="close the toe",
    ),
    "toe-reinforced": _CUT_OUT,
    "toe-even": Said(
        title="Spring off, pull even",
        do="Take the heel spring off and bring the weights back under the middle, or take the forks out.{cut_out}",
        why="What follows goes round again, so that spring and forks have nothing more to do.",
        look="The yarn runs free, and the buckle hangs in the middle.",
        wrong="Rows slant? Hang the weights in the middle again.",
        caution=(FORKS,),
    ),
    "toe-out": replace(
        _OUT,
        do="Crank {part} stitches on. With the {rest} before the toe they are the last row of the foot.",
    ),
}
