"""What more is said of a line than stands beside it: of a measure from where to where, and why it is wanted.

F1 on a line shows it, and ``?`` where lines are asked for one after another.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.phrases.field import Field

MORE: Mapping[str, str] = {  # by the names of lines
    "clicks_per_turn": (
        "Turn the dial once round, from the zero mark back to it, and count. A plan keeps the dial in clicks, so "
        "that you find the place again."
    ),
    "oil_every_rows": "Home reminds you when so many were cranked since it was oiled. Left empty, nothing is said.",
    "thread_pitch_mm": (
        "Of the V-cam, from where it stands before to where it stands after one turn of the dial. The V-cam draws "
        "the needles down; the lower it stands, the larger the stitch. Without it no travel in mm is shown."
    ),
    "starting_dial": (
        "Where a new yarn's search begins, counted from the zero mark down to there. Rather low: too small a "
        "stitch jams, too large a one only looks loose."
    ),
    "zero_note": (
        "The place of the dial from which all turns down are counted, to where it stands. Any will do that you "
        "find again after a knock: a dot of paint, the knob level with its nut."
    ),
    "weights": "They draw each stitch down. Other weights make another stitch, so a gauge holds for these.",
    "mast_tension": (
        "How tight the disc or the spring on the mast holds the yarn. A tighter yarn makes a smaller stitch."
    ),
    "heel_half": (
        "Half of the needles turn heel and toe, the other half rests. Every heel can be turned on the half towards you "
        "and on the one away from you: with the carrier's way it says at which end rows begin, and so which needle "
        "comes first."
    ),
    "carrier_turns": (
        "Which way it goes round the cylinder when you crank forwards. With the heel half it tells at which end a "
        "pass begins."
    ),
    "crank_goes": (
        "Heel and toe are turned to and fro. Where the crank goes forwards only, a plan says that they are ruled out."
    ),
    "slots": "Each has its needle, so a row has as many stitches.",
    "diameter_mm": "Straight across the cylinder, from the hook of one needle to the hook of the one opposite.",
    "core_g": "Taken off what the scale says of a ball begun, so that yarn alone is counted.",
    "count": (
        "How long so much of it is: it gives a sock its metres and grams. 420 m/100g, 460 yd/100g, tex 238, Nm 4.2 or "
        "Ne 2.5. Empty if the label doesn't say."
    ),
    "ball_g": "What a whole one weighs, without its core, by its label: so a plan can say whether one is enough.",
    "striped": "Whether it stripes by itself. Then the bench asks where the yarn begins, so that the twin matches.",
    "repeat_rows": "Count rows from where a colour begins to where the same one begins again.",
    "cast_on": (
        "How an empty cylinder is begun on this machine, in your words from its manual. A start can ask for this way "
        "instead of the bonnet, and then it is shown at that step."
    ),
    "ribber_set": (
        "Its height, where its needles stand and its timing, as you find them again by the machine's manual. It is "
        "shown when the ribber is set up."
    ),
    "rib": (
        "Plain stitches and rib stitches in turn: in 3x1 every fourth is the ribber's. “3x1 latched” needs no ribber: "
        "those needles stay out, and their ladders are latched up. Leave it empty for plain."
    ),
    "stripes": (
        "Rows of each colour in turn, down leg and foot; they come again, or with “, once” at the end the last colour "
        "stays. The top is of the first colour, heel and toe of the one that stands there. A yarn that stripes by "
        "itself needs nothing here: its repeat is a line of the yarn."
    ),
    "high_instep": "A foot that is high where the laces sit: socks pull there, and a deeper heel gives room.",
    "foot_length_mm": (
        "From the wall behind the heel to the tip of the longest toe, standing with all the weight on it."
    ),
    "left_length_mm": "Of the left foot, from the wall behind the heel to the tip of its longest toe.",
    "right_length_mm": "Of the right foot, from the wall behind the heel to the tip of its longest toe.",
    "girth_mm": (
        "Round the foot over the joints of the big and the little toe, standing, the tape snug and not pulled."
    ),
    "left_girth_mm": "Round the left foot over the joints of the big and the little toe.",
    "right_girth_mm": "Round the right foot over the joints of the big and the little toe.",
    "heel_ankle_mm": (
        "Round the foot on the slant, from the bend of the ankle in front to under the heel and back: a sock must "
        "pass over it."
    ),
    "heel_height_mm": (
        "Standing, from the bend of the ankle in front straight down to the ground: so high the sock's heel should "
        "reach."
    ),
    "instep_mm": (
        "Level round the foot at its highest, where laces are tied. Where the feet differ type both: 25 cm left, "
        "26 cm right."
    ),
    "ankle_mm": (
        "Level round the leg, just above the ankle bones. Where the legs differ type both: 22 cm left, 23 cm right."
    ),
    "calf_mm": (
        "Level round the leg at the calf, or where the top of the sock will sit if that is lower. Where the legs "
        "differ type both: 36 cm left, 37 cm right."
    ),
    "wrist_mm": (
        "Round the wrist at its narrowest, the tape snug and not pulled. Where they differ type both: 16 cm left, "
        "17 cm right."
    ),
    "hand_mm": (
        "Round the hand at its widest, over the base of the thumb, the thumb laid in: a wrister must pass over it. "
        "Where they differ type both: 22 cm left, 23 cm right."
    ),
    "fitting_tube_mm": (
        "On a worn sock that fits, flat and not pulled: along the foot, from where the heel's gore ends to where "
        "the toe's begins. Heel and toe are left out, since they are turned by needles."
    ),
    "heel_needles": (
        "A short-row heel is turned on half of the needles, or on more: as many more of the instep on one side as on "
        "the other. More make a wider, deeper heel; the toe stays on half."
    ),
    "gusset": (
        "Needles of the instep on each side of the heel that join the turn one at a time and leave it again: more room "
        "over the instep. From 5 on 45 slots to 8 on 84 is what is published for hand knitting."
    ),
    "left": (
        "Half of the needles turn the heel. From its ends one is lifted a pass, until so many in the middle are "
        "left: a third of the heel half. Fewer make a deeper, more pointed heel, more a shallower one."
    ),
    "tube": (
        "The straight part of its foot, flat and not pulled: from where the heel's gore ends to where the toe's "
        "begins. Heel and toe are left out, since the machine turns those by needles."
    ),
    "foot": (
        "From the heel, against a wall, to the tip of the longest toe, standing. A shoe size does, if there is "
        "nothing better, and is an estimate."
    ),
    "rows": "From the cuff's first row to the row it ends on. Hung double it stands half as high as it was cranked.",
    "leg": (
        "From the lower edge of the cuff to where the heel begins; of a tube that is open at its end, all of it. Or a "
        "name (ankle, crew, mid-calf, knee), by which its height is estimated."
    ),
    "toe": "Needles in the middle of the half that are left when the toe is narrowed: a third of the half is usual.",
    "deeper": "How many rows more than usual the heel has from the leg to the sole, for a high instep.",
    "part": (
        "Stitches from where your rows begin to the first needle of the heel. Where rows begin at the heel, it is "
        "0; else a part of a row is cranked to get there."
    ),
    "ease": (
        "How much shorter the sock is knitted than the foot is, from heel to longest toe, so that it stretches and "
        "does not bag."
    ),
    "ease round": "How much less the sock measures than the foot, round its ball. Loose socks slip, tight ones bind.",
    "dial": (
        "Turns and parts of a turn, counted from the zero mark down to where the dial stands. More is a larger stitch."
    ),
}
_SAME = {"ankle": "ankle_mm", "calf": "calf_mm", "girth": "girth_mm", "heel": "heel_ankle_mm"}


def explained(fields: Iterable[Field]) -> list[Field]:
    """These lines, each with what more is said of it, if anything is."""
    return [one if one.more else replace(one, more=MORE.get(_SAME.get(one.name, one.name), "")) for one in fields]
