"""The work off the machine: parted, closed, finished, washed, measured and tried on."""

from __future__ import annotations

from hosewright.session.steps.said import ALL_CRANKING, BLUNT, CARRIER, CRANKING, HOOKS, SCISSORS, TRYING_ON, Said

FINISHING: dict[str, Said] = {
    "tail": Said(
        title="Leave the tail",
        do="Cut the working yarn, leaving an end four times as long as the toe is wide, and let it hang inside: the "
        "toe of this sock is grafted with it.",
        why="Each toe of the string is closed with its own yarn; cut short, there is nothing to sew with.",
        look="An end of that length, hanging down inside and clear of the needles.",
        wrong="Cut too short? {step_back} goes back to the toe's last steps; or graft with a spare length of the same "
        "yarn.",
        caution=(HOOKS,),
        cue="cut the working yarn, with its tail",
    ),
    "part": Said(
        title="Join the separator yarn",
        do="Cut the working yarn, leaving an end four times as long as the toe is wide: the toe is grafted with it. "
        "Tie in the separator yarn.",
        why="With separator rows above it the last working row can leave the needles and stay whole.",
        look="The separator yarn in the carrier with its tail held, the end of the working yarn hanging inside.",
        wrong="Is that end too short for the toe? Graft with a spare length of the same yarn.",
        caution=(CARRIER,),
    ),
    "part, tube": Said(
        do="Cut the working yarn and tie in the separator yarn.",
        why="The tube ends where its count ends; nothing after that is measured.",
        look="The separator yarn in the carrier, its tail held.",
        wrong="A row more than counted? {step_back} goes back to the tube, where {recount} puts the counter right.",
    ),
    "separator-out": Said(
        title="Separator after",
        do="Separator yarn again, to come off on.",
        why="They keep the last row of the work safe when it leaves the needles.",
        look="None of the working yarn among them, and at least as many rows as planned.",
        wrong="The separator yarn gives out? Go on with any smooth yarn that shows.",
        caution=ALL_CRANKING,
    ),
    "take-off": Said(
        title="Take the sock off",
        do="Cut the yarn, crank the work off the needles and catch it as it comes.",
        why="No yarn reaches the hooks any more, so each needle lets go of its loop as it comes past the cam.",
        look="The sock drops away a little at a time, the separator rows last of all.",
        wrong="One loop holds on? Open its latch and lift it off with the work hook. Pulling tears it.",
        caution=("Take the weights off first, or hold them: they fall with the work.", CRANKING),
        cue="take the work off",
    ),
    "take-off, tube": Said(
        title="Take the tube off",
        why="With its separator rows at both ends the tube comes off and no working row opens.",
        look="It drops away a little at a time, the separator rows last of all.",
    ),
    "take-off, string": Said(
        title="Take the string off",
    ),
    "close-ends": Said(
        title="Zigzag the ends",
        do="Zigzag a thread through the separator rows only and leave the tube open at both ends, so that nothing "
        "pulls on the working rows.",
        why="Loose ends ravel in the wash. A thread run through the separator rows keeps them, and the tube stays as "
        "wide as it was knitted.",
        look="A slack thread, with every working row left free.",
        wrong="Drawn in at one end? Ease the thread out, or the tube will measure too narrow.",
    ),
    "cut-apart": Said(
        title="Part the socks",
        do="Part the socks in the middle of the separator rows between them, and mark each with its number as you go.",
        why="A string is finished sock by sock, and the rows between are there for the scissors.",
        look="Only separator yarn is cut, several rows from the work on either side.",
        wrong="Cut into a working loop? Hold it on a pin straight away, and mend it before it is washed.",
        caution=(SCISSORS,),
    ),
    "graft": Said(
        title="Graft the toe",
        do="Graft the toe closed (Kitchener stitch). Lay the two edges together, purl sides in, and thread a blunt "
        "needle with the working yarn. To begin: front loop as if to purl, back loop as if to knit, both stay. "
        "Then over and over: front loop as if to knit, let it go; next front loop as if to purl, it stays; back "
        "loop as if to purl, let it go; next back loop as if to knit, it stays. Keep the new loops as slack as "
        "their neighbours, then draw out the separator yarn.",
        why="A needle and yarn make one more row of stitches between the two edges: no ridge, nothing to rub.",
        look="Loops taken up in their order, the new ones as loose as those about them.",
        wrong="Out of step? Pull the thread back a few loops; the separator rows have kept them all.",
        caution=(
            "A loop let go too soon runs. Pick it up with a latch needle, its sharp hook pointing away from the "
            "fingers that hold the toe.",
        ),
    ),
    "graft, string": Said(
        title="Graft every toe",
    ),
    "chain-top": Said(
        title="Chain off the top",
        do="Chain off the first loops at the top of the sock: with a work hook draw each loop loosely through the "
        "one before, right round, and the tail through the last. Draw the separator yarn out as you go.",
        why="The first row is a ring of open loops, and the separator yarn is all that holds them. Chained, they "
        "cannot run.",
        look="A chain as slack as the rows under it, wide enough to be pulled on.",
        wrong="Too tight to stretch? Undo it a little way and draw the loops longer.",
        caution=(BLUNT,),
    ),
    "corners": Said(
        title="Close the corner holes",
        do="Turn the sock inside out and close the small holes at the corners of heel and toe: a few stitches "
        "through the loops round each, with an end that hangs there or a spare length of the yarn.",
        why="Where the two halves meet again the first stitches are pulled apart. A hole there wears wider.",
        look="Held against the light no hole is larger than its neighbours, and nothing puckers.",
        wrong="It puckers? Draw the thread out and sew again, more loosely.",
        caution=(BLUNT,),
    ),
    "ends": Said(
        title="Weave in the ends",
        do="Weave every end in on the inside, a few stitches one way and back another, and trim it. Leave it slack "
        "enough that the sock can stretch.",
        why="A knot alone works loose in wear; an end woven both ways stays.",
        look="No end left hanging, and nothing to see from outside.",
        wrong="Does it pull when the sock is stretched? Draw it out and weave it in more slackly.",
        caution=(BLUNT,),
    ),
    "before-wash": Said(
        title="Measure before the wash",
        do="Lay it flat without stretching. These readings tell what the wash does; skip them if you like.",
        why="Set beside the readings after the wash, they tell how far this yarn moves.",
        look="Flat and at ease, the tape along one column of stitches.",
        wrong="No time for it? Go on with the lines empty; only this comparison is lost.",
    ),
    "wash": Said(
        title="Wash it",
        do="Wash it as it will always be washed, and as its gauge tube was: only then does it show its true size. "
        "Lay it flat and in shape, not stretched.{wash} Go on when it is in the wash or laid out to dry.",
        why="A sock lives washed. Only in water do the stitches find the size they will keep.",
        look="Water, soap and drying just as the socks will have them.",
        wrong="Felted, or pulled out of shape? Note it: what you measure then is true of such a wash only.",
    ),
    "wash, tube": Said(
        do="Wash and dry it exactly as the socks will be washed and dried. Do not stretch it.{wash} Go on when it is "
        "in the wash or laid out to dry.",
    ),
    "dry": Said(
        title="Drying",
        do="Leave it as many days as it needs. Go on when it is fully dry and has lain flat.",
        why="Damp knitting lies longer and wider than dry, and its figures would mislead.",
        look="Dry all through, and some hours flat without a pull.",
        wrong="Not sure? Give it another day. Nothing here is in a hurry.",
    ),
    "after-wash": Said(
        title="Measure after the wash",
        do="Dry, laid flat, not stretched. Measure the working rows only, not the separator rows. Several readings "
        "are better than one.",
        why="All row counts and widths in this yarn are worked out from these readings.",
        look="The working rows alone; the flat width is half the way round. Three readings beat one.",
        wrong="Readings far apart? Smooth it without pulling, and lay the tape on again.",
    ),
    "try-on": Said(
        title="Try it on",
        do="Try it on whom it was made for, and say how it sits; if you can, by how much it is off. When the "
        "plan names a wearer, their next plan learns from it.",
        why="No figure knows as much as the foot. What it says, the next plan takes in.",
        look="How it sits round the foot, and where the toe ends.",
        wrong="Not right yet? Say by how much: the next pair learns from it.",
        caution=(TRYING_ON,),
    ),
    "try-on, string": Said(
        title="Try on",
    ),
}
