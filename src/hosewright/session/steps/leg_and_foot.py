"""From the top of a sock to its heel, and its foot: the hem or cuff, the leg, the foot."""

from __future__ import annotations

from hosewright.session.steps.said import ALL_CRANKING, CRANKING, HOOKS, PUT_BACK, RIBBER, STIFF, TAKEN_OUT, Said

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
        why="Over each empty place the yarn runs straight across, so that the cuff draws in more than the leg.",
        look="A straight ladder of bars above every empty place.",
        wrong="A ladder that closes: a needle stands where none should. Stop, and take it out.",
        caution=(CRANKING, STIFF),
    ),
    "cuff, after ribber-on": Said(
        why="A rib springs back, so it draws in more than the leg and holds the sock up.",
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
        caution=(
            "Needles of both beds are hooked: keep fingers away whenever the crank moves.",
            "Crank the first round by hand and slowly.",
            STIFF,
            RIBBER,
        ),
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
        caution=(
            "Needles of both beds are hooked: keep fingers away whenever the crank moves.",
            "Crank the first round by hand and slowly.",
            STIFF,
            RIBBER,
        ),
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
        why="Knitted double, the top neither rolls nor runs, and it holds on to the leg. One row through both layers "
        "locks the first loops; after it the separator yarn can come out.",
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
        look="The ribs run straight up into the leg; each loop is on the needle below which its column runs.",
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
