"""A sock from its top to its toe: the hem or cuff, the leg and the foot; heel and toe, which are turned alike."""

from __future__ import annotations

from dataclasses import replace

from hosewright.session.steps.said import (
    ALL_CRANKING,
    BOTH_BEDS,
    CARRIER,
    CRANKING,
    FORKS,
    HOOKS,
    PAIN,
    PUT_BACK,
    RIBBER,
    STIFF,
    STILL,
    TAKEN_OUT,
    Said,
)

LEG_AND_FOOT: dict[str, Said] = {
    "hem": Said(
        title="Hem",
        do="The hem, cranked double.",
        why="Half of these rows turn inward, out of sight.",
        look="Level rows, the buckle in the middle.",
        wrong="A stitch dropped: stop and latch it up now, before the fold hides it.",
        caution=(CRANKING, STIFF),
    ),
    "hem-inside": Said(
        title="Hem after the fold",
        do="The rest of the hem, as many rows again.",
        why="This half lies inside, and is as long as the first.",
        look="In the first row after the holes every empty needle takes up the yarn.",
        wrong="One took nothing? Open its latch, and lift the bar between its neighbours onto it.",
        caution=ALL_CRANKING,
    ),
    "cuff": Said(
        title="Cuff",
        do="Full rows for the cuff.",
        why="Plain rows roll to the outside by themselves, and that makes a soft edge. It grips little: it is for a "
        "sock that need not stay up.",
        look="Even rows, a loop on every needle, the weights under the middle.",
        wrong="A dropped stitch: stop and fetch it up now, for at the edge it shows.",
        caution=ALL_CRANKING,
    ),
    "cuff, after needles-out": Said(
        why="Over each empty place the yarn runs straight across, so that the cuff draws in more than what follows.",
        look="A straight ladder of bars above every empty place.",
        wrong="A ladder that closes: a needle stands where none should. Stop, and take it out.",
        caution=(CRANKING, STIFF),
    ),
    "cuff, after ribber-on": Said(
        why="A rib springs back, so it draws in more than plain knitting and holds the sock up.",
        look="Every needle knits, and the ribs stand straight.",
        wrong="A stitch dropped: stop and fetch it up from its own side now, for a rib runs quickly.",
        caution=(CRANKING, STIFF),
    ),
    "needles-out": Said(
        title="Take needles out",
        do="For the mock rib {out_of_work} needles come out: {out}. Move the stitch of each onto the needle beside "
        "it, then take the needle out.",
        why="Where there is no needle the yarn crosses a gap, and the fabric folds in there as a rib does.",
        look="Gaps evenly spaced all round, as many needles on the table as the step says, and every stitch on a "
        "needle.",
        wrong="Did a stitch slip away? Catch it with the work hook and set it on the needle next to it.",
        caution=("Take needles out only while the crank stands still.", TAKEN_OUT, HOOKS),
    ),
    "fill-needles": Said(
        title="Put the needles back",
        do="Put the empty needles back in ({out_of_work} of them) and pick up a stitch for each, latches open.",
        why="The rows below the top are knitted on all needles, and a needle put back without a loop knits nothing.",
        look="No slot empty, no needle left over, a loop in each hook and each latch open.",
        wrong="Is a column still missing? Lift the bar between the two stitches beside it onto that needle.",
        caution=("Put needles back only while the crank stands still.", PUT_BACK, HOOKS),
    ),
    "picot-holes": Said(
        title="Move every other stitch",
        do="Move every other stitch onto the needle beside it and leave the empty needles in work: the holes fold "
        "into points.",
        why="A stitch moved over leaves a hole behind. Folded there, the row of holes becomes a row of points.",
        look="Turn about all round: a needle with two loops, then an empty one with its latch open.",
        wrong="A stitch got away? Pick it up with the work hook before the crank moves.",
        caution=(HOOKS,),
    ),
    "ribber-on": Said(
        title="Set up the ribber",
        do="Set up the ribber: {out_of_work} needles leave the cylinder ({out}) and their stitches go to ribber "
        "needles in those places.",
        why="Stitches knitted from above face inward, and a fabric of both kinds springs back as no other does.",
        look="Every ribber needle slides between its neighbours without touching, the two beds in time.",
        wrong="Needles meet? Leave the crank alone, and set the timing by the machine's manual.",
        caution=BOTH_BEDS,
    ),
    "ribber-off": Said(
        title="Take the ribber out",
        do="Move the ribber's stitches to cylinder needles, one in each empty slot, and take the ribber out.",
        why="What follows is plain, and no heel can be turned with the ribber over the cylinder.",
        look="Every needle of the cylinder has its loop, and none hangs between the two beds.",
        wrong="A loop fell through? Bring it up from below with the work hook while the ribber is still there.",
        caution=("Move stitches only while the crank stands still.", RIBBER),
    ),
    "selvedge-on": Said(
        title="Ribber 1x1",
        do="Set up the ribber 1x1: every other needle leaves the cylinder and its stitch goes to the ribber needle "
        "in that place.",
        why="A row shared by both beds cannot run, so the sock gets a finished edge and needs no chaining.",
        look="Turn about all round: one stitch on the cylinder, one on the ribber, none on both.",
        wrong="Needles meet? Leave the crank alone, and set the timing by the machine's manual.",
        caution=BOTH_BEDS,
    ),
    "cuff-both": Said(
        title="Selvedge, both beds",
        do="The selvedge: 1x1 on both beds, with the crank slow.",
        why="One row from both beds ties the edge.",
        look="Yarn in every hook, on the cylinder and above it.",
        wrong="A hook missed the yarn? Lay the yarn in by hand before the crank goes on.",
        caution=(CRANKING, STIFF),
    ),
    "ribber-rest": Said(
        title="Rest the ribber needles",
        do="Set the ribber's needles so that they keep their loops and do not knit.",
        why="The next rows, on the cylinder alone, round the edge off and make it stretch.",
        look="Each ribber needle still holds its loop and stays where it is as the carrier comes by.",
        wrong="One moves all the same? Set it back by hand before the crank goes on.",
        caution=(HOOKS,),
    ),
    "cuff-cylinder": Said(
        title="Selvedge, cylinder",
        do="The cylinder knits alone; the ribber's needles keep their loops.",
        why="Plain fabric here lets the edge lie round and soft.",
        look="The cylinder knits; no ribber needle moves.",
        wrong="A ribber needle knits? Set it to rest: one stitch does no harm.",
        caution=(CRANKING, STIFF),
    ),
    "ribber-rib": Said(
        title="Set the ribber to the rib",
        do="Let the ribber's needles knit again, and set both beds to the rib: in it {out_of_work} places are the "
        "ribber's ({out}), the others the cylinder's.",
        why="The edge is made; from here both beds knit together, in the rib you planned.",
        look="A loop on every needle that will knit, and no stitch without a needle.",
        wrong="A needle too many on one bed? Move its stitch across, and take it out of work.",
        caution=("Move stitches only while the crank stands still.", HOOKS),
    ),
    "fold-hem": Said(
        title="Hang the hem",
        do="Bring the first row of working loops up inside and hang them on the needles, one on each, so that the "
        "hem folds double. The separator yarn stays in until one row is knitted through both.",
        why="Knitted double, the top neither rolls nor runs, and it holds on where it is worn. One row through both "
        "layers locks the first loops; after it the separator yarn can come out.",
        look="One loop of the first working row on every needle, none missed, none twice.",
        wrong="Came out one short? Count round from a needle you can find again, and hang the one that was left.",
        caution=(HOOKS,),
    ),
    "hang-rib": Said(
        title="Hang the hem",
        do="Bring the first row of working loops up inside and hang each on the needle it was knitted on. A needle "
        "put back takes the bar beside it, or none. The separator yarn stays in until one row is knitted through "
        "both.",
        why="Hung on its own needle each rib lies straight; hung one needle along, the whole top slants. Where a "
        "needle was out no loop was knitted, so there is none to hang.",
        look="The ribs run straight on into the rows above; each loop is on the needle below which its column runs.",
        wrong="A rib leans? Follow its column down with a finger, and move that loop to the needle it leads to.",
        caution=(HOOKS,),
    ),
    "leg": Said(
        title="Leg",
        do="Full rows for the leg, round and round at a steady pace, down to the heel.",
        why="Round after round and nothing to change: a good place to find a pace you can keep.",
        look="A row each time the carrier comes back to where it began; weights moved up before they reach the floor.",
        wrong="Lost count? Stop, and count the rows of the leg: {recount} puts the counter right.",
        caution=ALL_CRANKING,
    ),
    "dial-back": Said(
        title="Dial to the baseline",
        do="Set the dial back to {baseline} before you go on.",
        why="The foot's rows were worked out at the baseline, and with any other loop their length is another.",
        look="The clicks counted as you turn, and the position read off afterwards.",
        wrong="In doubt? Go up to the zero mark and count down again.",
        caution=("Hands off the needles and the crank still while you turn the dial.",),
    ),
    "ankle": Said(
        title="Ankle",
        do="Rows before the heel, for a high instep.",
        why="These rows lower the heel on a high instep, so that the leg does not pull there.",
        look="The count, and the buckle in the middle.",
        wrong="One too many does no harm: {note} notes it, so that the twin has it as well.",
        caution=ALL_CRANKING,
    ),
    "foot": Said(
        title="Foot",
        do="The foot, up to where the toe begins.",
        why="These rows are the length of the foot. One more or less is hardly felt, ten are.",
        look="Closed corners at the heel, level rows, the buckle in the middle.",
        wrong="A hole at the corner can be sewn up at the end. Lost count? {recount} puts the counter right.",
        caution=ALL_CRANKING,
    ),
}

# Short, since it stays while passes are cranked: two lines of a small terminal.
_TURNING = ("Move needles only while the crank stands still; hair and fingers clear; never force it.", PAIN)
_IN = Said(
    do="Crank {part} stitches on, to the {carrier} end of the needles that turn the {turned}, and stop there. They are "
    "no row yet: the other {rest} complete it after the {turned}.",
    why="Your rows do not begin at the end of these needles, and from there alone can they be turned.",
    look="The carrier stands just before the first of them, and no row was counted for it.",
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
        do="{heel_on} Lift every needle of the instep out of work; their loops stay on them.",
        why="A heel is a pocket made on the heel's needles alone. The others keep their stitches until it is done.",
        look="The instep's needles up, clear of the cam, each with its loop; the carrier at the end of those still in "
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
    "passes, join": Said(
        why="The gusset: at each pass one needle of the instep joins, so that the corner of the heel moves up over the "
        "instep and gives room there.",
        look="The needle you lower takes the yarn last, at the end of the pass, with its latch open.",
        wrong="Its loop did not knit? Hang the yarn in its hook before you go back over it.",
        caution=_TURNING,
    ),
    "passes, leave": Said(
        why="The gusset again: those needles leave the heel as they came, so that the round closes with all it had.",
        look="The yarn lies snug round the needle you lifted; the gusset lies flat beside the instep.",
        wrong="Wrong needle up? Lower it. Cranked already? Pull the pass back, then {take_back}.",
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
        do="The toe is turned on the same half as the heel. The carrier stands at its {carrier} end.{toe_on} Lift "
        "every needle of the instep out of work again; their loops stay on them.",
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
