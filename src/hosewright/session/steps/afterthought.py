"""An afterthought heel: waste yarn laid in over the heel half, and the heel that is opened, hung and turned later."""

from __future__ import annotations

from dataclasses import replace

from hosewright.session.steps.finishing import FINISHING
from hosewright.session.steps.said import (
    ALL_CRANKING,
    BLUNT,
    CARRIER,
    FORKS,
    HOOKS,
    SCISSORS,
    STILL,
    WEIGHTS,
    Said,
)
from hosewright.session.steps.sock import HEEL_AND_TOE

AFTERTHOUGHT: dict[str, Said] = {
    "waste-needles": replace(
        HEEL_AND_TOE["heel-needles"],
        why="The waste yarn goes over the heel half alone. It is drawn out later, and the heel turned in there.",
        cue="lay in the waste yarn for the heel",
    ),
    "waste-yarn": Said(
        title="Waste yarn in",
        do="Leave the working yarn uncut: take it out of the carrier and let it hang at the {carrier} end. Thread a "
        "smooth yarn of another colour, and hold its end. Bring the weights forward under the heel half, or draw the "
        "work down there by hand.",
        why="The working yarn waits where it goes on, and an even number of passes brings the carrier back to it. A "
        "smooth yarn of another colour is easily seen and drawn out.",
        look="The waste yarn alone in the carrier; the working yarn clear of the needles, its ball still joined.",
        wrong="Is the working yarn cut? Leave an end to weave in, and tie it in again after these passes.",
        caution=(CARRIER, FORKS),
    ),
    "waste": Said(
        title="Waste yarn, heel half",
        why="These passes keep the loops below and above apart until the heel is turned in. Their number is even, so "
        "that the carrier is back where the working yarn hangs.",
        look="A loop of waste yarn on every needle of the heel half, and none on the instep's.",
        wrong="A needle missed it? Hang the waste yarn in its hook by hand.",
        caution=HEEL_AND_TOE["passes, plain"].caution,
    ),
    "waste-out": Said(
        title="Working yarn in again",
        do="Cut the waste yarn, leaving a short end inside, and thread the working yarn into the carrier again.",
        why="Rows go on as if the heel were there: its loops are kept for it.",
        look="The working yarn in the carrier, with no slack at the end where it hung.",
        wrong="A loop of slack? Draw it back through the mast before the crank moves.",
        caution=(CARRIER,),
    ),
    "waste-lower": replace(
        HEEL_AND_TOE["heel-lower"],
        do="Lower the instep needles into work again, and bring the weights back under the middle.",
        why="The foot is cranked on all needles; over the heel half its first row goes into the waste yarn.",
        cue="go on to the foot",
    ),
    "opened-loops": Said(
        title="Take up the heel loops",
        do="Take up the {needles} loops below the waste yarn on a thin needle or a cord, and those above it on "
        "another: {needles}, or {fewer} where a half loop lies at a corner. Only then cut the waste yarn in the middle "
        "and draw it out, a stitch at a time.",
        why="Both edges of the slit are rows of open loops. Taken up before the yarn is out, none can run.",
        look="Both numbers right, no loop twisted, and only waste yarn cut.",
        wrong="A loop ran? Bring it up with the work hook, rung by rung, to the others.",
        caution=(SCISSORS, BLUNT),
    ),
    "opened-hang": Said(
        title="Hang the heel",
        do="First bring the carrier, with nothing on the needles, to the {carrier} end of the heel half. Let the sock "
        "hang down through the cylinder, its inside towards the middle. Hang the loops from below the slit on the heel "
        "half, one a needle, and those from above it on the other half; where one is short, hang a bar from the corner "
        "on the last. Then hang the weights on the work.",
        why="The slit is a small tube now, and is turned in on one half like a toe.",
        look="A loop on each of the needles, latches open, the corners of the slit between the halves.",
        wrong="One over, or one short? Look at the corners: there a half loop hides, or a bar was taken twice.",
        caution=("Do not crank before the yarn is in: the work would drop off.", HOOKS, WEIGHTS),
        cue="hang the heel on the needles",
    ),
    "opened-join": Said(
        title="Yarn for the heel",
        do="Thread the working yarn into the carrier, and hold its end inside until the first passes have taken it.",
        why="This heel has an end of its own, which is woven in with the others.",
        look="The yarn runs freely from the mast, and its end hangs down inside, clear of the needles.",
        wrong="Does it slip out? Weigh the end down with a clip.",
        caution=(CARRIER,),
    ),
    "opened-needles": Said(
        title="Lift the instep needles",
        do="The carrier stands at the {carrier} end of the heel half. Lift every needle of the other half out of work; "
        "the loops from above the slit stay on them.",
        why="The heel is turned on one half, and grafted to the loops that wait on the other.",
        look="The heel half in work, the carrier at its end, all other needles up with their loops.",
        wrong="Does the carrier stand elsewhere? Lift the needles between first, so that it knits none on its way.",
        caution=(STILL, HOOKS),
        cue="set up the heel",
    ),
    "opened-pull": HEEL_AND_TOE["toe-pull"],
    "opened-reinforce": HEEL_AND_TOE["heel-reinforce"],
    "opened-lower": replace(
        HEEL_AND_TOE["toe-lower"],
        why="The separator rows go round all needles, so that both open edges of the heel hang safely until they are "
        "sewn.",
        cue="close the heel",
    ),
    "opened-reinforced": HEEL_AND_TOE["heel-reinforced"],
    "opened-even": HEEL_AND_TOE["toe-even"],
    "opened-part": replace(
        FINISHING["part"],
        do="Cut the working yarn, leaving an end four times as long as the heel is wide: the heel is grafted with it. "
        "Tie in the separator yarn.",
        wrong="Is that end too short for the heel? Graft with a spare length of the same yarn.",
    ),
    "opened-separator": Said(
        title="Separator after the heel",
        do="Separator yarn again, round all needles, to come off on.",
        why="It keeps the loops of both edges until they are grafted.",
        look="None of the working yarn among them, and at least as many rows as planned.",
        wrong="The separator yarn gives out? Go on with any smooth yarn that shows.",
        caution=ALL_CRANKING,
    ),
    "opened-off": replace(FINISHING["take-off"], title="Take the heel off"),
    "graft-heel": replace(
        FINISHING["graft"],
        title="Graft the heel",
        do="Graft the heel closed as the toe was: its last row to the loops from above the slit, one to one, purl "
        "sides in. Where one is short, take in the bar at the corner. Then draw out the separator yarn.",
        why="The heel is whole then, with the same row of stitches across it as a toe has.",
    ),
}
