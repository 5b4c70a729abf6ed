"""A ribbed leg and instep: both beds set up, what moves between them, and ladders that are latched up."""

from __future__ import annotations

from hosewright.session.steps.said import (
    BOTH_BEDS,
    CRANKING,
    HOOKS,
    MANUAL,
    PAIN,
    PUT_BACK,
    RIBBER,
    STIFF,
    STILL,
    TAKEN_OUT,
    Said,
)

_MOVE = "Move stitches only while the crank stands still."
_RIBBED = Said(
    why="Each rib stitch is knitted on the other bed, from behind, so the ribs stand out and the tube springs back.",
    look="Both beds knit at every place of theirs, and the ribs run straight down.",
    wrong="A loop of the ribber's was not drawn through? Stop: a tuck is picked back now, and the timing looked at.",
    caution=(CRANKING, STIFF),
)
_LADDERS = Said(
    why="Over each empty place lies a bar for every row. These bars become the rungs that are latched up into a rib.",
    look="A straight ladder above every empty place, none of them closing.",
    wrong="A stitch ran into a ladder? Fetch it up to its needle now, or the ladder has a rung too many.",
    caution=(CRANKING, STIFF),
)

RIBS: dict[str, Said] = {
    # Setting the ribber up.
    "ribber-plain": Said(
        title="Plain rows first",
        do="A few plain rows on the cylinder alone, with the ribber off.",
        why="Stitches that hang well under the weights are easily seen and moved, and the first ones never do.",
        look="A stitch on every needle, all of one size.",
        wrong="Some needles knit nothing: see to the cylinder first, for the ribber only adds to its faults.",
        caution=(CRANKING, STIFF, PAIN),
    ),
    "ribber-height": Said(
        title="Set the height",
        do="Put the ribber on, its needles drawn in, and set its height as your machine's manual says.{ribber_set}",
        why="Each ribber needle must pass over the cylinder's stitches and still reach the yarn. No height holds for "
        "every machine, so none is named here.",
        look="Round by hand, slowly: ribber needles and cylinder needles pass each other and never touch.",
        wrong="Something touches or drags? Lift the ribber, and begin again from the manual. Bend or file nothing.",
        caution=(MANUAL, RIBBER, HOOKS),
    ),
    "ribber-align": Said(
        title="Align the needles",
        do="Turn the ribber until each of its needles comes out midway between two needles of the cylinder, and "
        "fasten it there.",
        why="A ribber needle that stands nearer to one side rubs there, and its stitches lean.",
        look="The same gap on both sides of a needle, looked at in four places of the round.",
        wrong="Midway here and not over there? The ribber does not sit level or centred: see the manual.",
        caution=(MANUAL, RIBBER, HOOKS),
    ),
    "ribber-timing": Said(
        title="Set the timing",
        do="Turn by hand past one ribber needle and watch. The cylinder's needles draw their loops, and just after "
        "them it draws its own. Set it so, as the manual says.{ribber_set}",
        why="Drawn too early it robs the cylinder's loops of yarn; too late the yarn has gone by, and it tucks or "
        "catches nothing.",
        look="Its latch is open as it comes to the yarn, and closed over the old loop as it goes back.",
        wrong="It takes the yarn and keeps both loops? It goes too late, or not far enough: move it a little, look "
        "again.",
        caution=(MANUAL, RIBBER, STIFF),
    ),
    "ribber-first": Said(
        title="First round in rib",
        do="One round by hand and slowly, an eye on each ribber needle as it draws its loop.",
        why="What is wrong shows at the first needle, and nothing is bent while the crank goes slowly.",
        look="A new loop on every ribber needle, the old one thrown off; yarn in every hook of the cylinder.",
        wrong="Two loops on one needle are a tuck: pick the lower over the upper by hand, and look at the timing.",
        caution=(CRANKING, STIFF, PAIN),
    ),
    "ribber-rows": Said(
        title="Rows in rib",
        do="Ten rows in rib at your own pace. Say what you see as in any work: a tuck with its needle, a dropped "
        "stitch.",
        why="One good round may be chance. Ten tell whether it holds at the pace you crank at.",
        look="Ribs that stand straight, no bar across a rib, no loop left on a ribber needle.",
        wrong="Tucks all round: the timing, the height, or too little weight. At one needle: its latch. At one side: "
        "the alignment.",
        caution=(CRANKING, STIFF, PAIN),
    ),
    "ribber-seen": Said(
        title="How it knits",
        do="Say how the rows came out. It is kept with the machine, and asked again once something was done to it.",
        why="Before the next ribbed sock you want to know whether the ribber was right when you left it.",
        look="All ten rows, looked at from outside and from within.",
        wrong="Not clean yet? {step_back} goes back to the timing, and the rows are cranked once more.",
    ),
    "rib-on": Said(
        title="Set the rib up",
        do="Put the ribber on and set it to the rib: the stitches of {out_now} needles ({out_now_list}) go to ribber "
        "needles in those places, and these needles come out of the cylinder.",
        why="Each stitch is knitted by one bed alone. The ribber's are turned the other way, and that is the rib.",
        look="A loop on every needle of both beds, and no place without one.",
        wrong="A stitch without a needle? Catch it with the work hook, and hang it where it belongs.",
        caution=BOTH_BEDS,
        cue="set up the ribber",
    ),
    "rib-change": Said(
        title="Change the rib",
        do="Set both beds to the leg's rib. To the cylinder: {back} stitches ({back_list}). To the ribber: {out_now} "
        "({out_now_list}).",
        why="Top and leg have different ribs, so some stitches change beds where one ends and the other begins.",
        look="A loop at every place, on the bed that the leg's rib gives it.",
        wrong="Two stitches on one needle? Lift the upper one off, and hang it on its own.",
        caution=(_MOVE, HOOKS, RIBBER),
    ),
    "rib-heel": Said(
        title="Heel half to the cylinder",
        do="Move the {back} ribber stitches of the heel half ({back_list}) to the cylinder, their needles put back in. "
        "Set the instep's ribber needles ({kept}) out of action: they keep their loops and wait.",
        why="The heel is turned on the cylinder alone. The instep's stitches rest meanwhile, on both beds, where they "
        "are.",
        look="Every needle of the heel half in the cylinder with its loop; no ribber needle moves as the cam goes by.",
        wrong="A loop fell through? Bring it up from below with the work hook while you can still see it.",
        caution=(_MOVE, RIBBER, PUT_BACK),
        cue="move the heel half's ribs to the cylinder",
    ),
    "rib-instep": Said(
        title="Instep back into rib",
        do="Set the instep's {kept} ribber needles back into action. The sole stays plain.",
        why="The heel is done, and the whole round knits again: the ribs of the instep go on where they waited.",
        look="Each of these needles still holds its loop, its latch open, and moves as the cam comes by.",
        wrong="One has lost its loop? Hang it on again before the crank moves, or a rib ends there.",
        caution=BOTH_BEDS,
    ),
    "rib-off": Said(
        title="Ribs to the cylinder",
        do="Move the ribber's {back} stitches ({back_list}) to the cylinder, their needles put back in, and take the "
        "ribber out.",
        why="What follows is plain, on the cylinder alone, and the ribber would only be in the way.",
        look="Every needle of the cylinder has its loop, and none hangs between the two beds.",
        wrong="A loop fell through? Bring it up from below with the work hook while the ribber is still there.",
        caution=(_MOVE, RIBBER, PUT_BACK),
        cue="move the ribs to the cylinder",
    ),
    "ladders-out": Said(
        title="Take needles out",
        do="For the rib to latch up {out_now} needles come out: {out_now_list}. Move the stitch of each onto the "
        "needle beside it, then take the needle out.",
        why="Each empty place leaves a ladder of bars, which is latched up later into a stitch turned the other way.",
        look="Gaps evenly spaced, and as many needles on the table as the step says.",
        wrong="Did a stitch slip away? Catch it with the work hook and set it on the needle next to it.",
        caution=("Take needles out only while the crank stands still.", TAKEN_OUT, HOOKS),
        cue="take needles out for the rib",
    ),
    "ladders-heel": Said(
        title="Latch up the heel half",
        do="Latch up the {back} ladders of the heel half ({back_list}), {rungs} rungs each, from the inside of the "
        "tube and from the lowest rung up. Put each needle back and hang its last loop on it. The instep's stay open.",
        why="The heel needs every needle of its half. Latched from the inside, a ladder becomes the stitch that a "
        "ribber knits.",
        look="As many stitches in every column as rungs were named, and a loop on every needle of the heel half.",
        wrong="A rung left out shows as a bar behind the rib: drop back to it and latch that column up again.",
        caution=(STILL, HOOKS, PUT_BACK),
        cue="latch up the heel half's ladders",
    ),
    "ladders-up": Said(
        title="Latch the ladders up",
        do="Latch up the {back} ladders ({back_list}), {rungs} rungs each, from the inside of the tube and from the "
        "lowest rung up. Put each needle back and hang its last loop on it.",
        why="What follows is plain on all needles. Latched from the inside, a ladder becomes the stitch that a ribber "
        "knits.",
        look="As many stitches in every column as rungs were named, and a loop on every needle, latches open.",
        wrong="A rung left out shows as a bar behind the rib: drop back to it and latch that column up again.",
        caution=(STILL, HOOKS, PUT_BACK),
        cue="latch up the ladders",
    ),
    "foot-plain": Said(
        title="Plain rows",
        do="The last rows of the foot, plain on all needles.",
        why="Each stitch that moved is knitted once on its own needle, so that the toe begins on a sound round.",
        look="Every needle knits, those put back as well.",
        wrong="A needle put back knits nothing? Hang the bar beside it on, and open its latch.",
        caution=(CRANKING, STIFF),
    ),
    **{f"{part}, ribbed": _RIBBED for part in ("leg", "ankle", "foot", "tube")},
    **{f"{part}, ladders": _LADDERS for part in ("leg", "ankle", "foot", "tube")},
}
