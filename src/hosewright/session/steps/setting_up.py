"""Before the work itself: the dial, the cast-on, the weights, and the separator yarn that it hangs on."""

from __future__ import annotations

from hosewright.session.steps.hazards import ALL_CRANKING, CARRIER, CLAMPED, HAIR, HOOKS, MANUAL, WEIGHTS
from hosewright.session.steps.said import Said

SETTING_UP: dict[str, Said] = {
    "dial-start": Said(
        title="Set the dial",
        do="Set the dial to {dial}.",
        why="The dial decides how much yarn each loop takes. Every row count in your plans belongs to one position of "
        "it.",
        look="The position, counted in turns and clicks down from the zero mark, and reached from the usual side.",
        wrong="Not sure where it stands? Turn it up to the zero mark and count down again.",
        caution=(CLAMPED, MANUAL),
    ),
    "cast-on": Said(
        title="Hang the cast-on bonnet",
        do="Hook the cast-on bonnet over every needle, draw it down through the cylinder, hang the buckle on it and "
        "see that every latch is open. With work on the needles already, just go on.",
        why="A needle can only draw yarn through a loop it already holds. The bonnet gives each one a loop to begin "
        "with.",
        look="A loop in every hook, every latch open, the bonnet hanging evenly all the way round.",
        wrong="A needle without a loop knits nothing: hook one on before the crank moves.",
        caution=(HAIR, HOOKS),
    ),
    "hang-weights": Said(
        title="Hang the weights",
        do="Hang the usual weights on the buckle{weighed}.{alone}",
        why="The weights draw each new stitch down, off its latch, so that the next can form above it.",
        look="The buckle hangs free, straight under the middle, and touches nothing.",
        wrong="Leaning to one side? Unhook it and hang it again: an uneven pull makes uneven stitches.",
        caution=(WEIGHTS,),
    ),
    "thread": Said(
        title="Thread separator yarn",
        do="Put the separator yarn (waste yarn) in the carrier: if working yarn is there, cut it and tie the "
        "separator yarn in.",
        why="The rows before and after the work are knitted in a yarn that comes out again: they carry the pull, and "
        "nothing of the work is lost when they are drawn out.",
        look="A smooth yarn, about as thick as the working yarn, in a colour you can tell from it at a glance.",
        wrong="A knot in the carrier? Draw it through by hand before the crank moves.",
        caution=(CARRIER,),
        cue="join the separator yarn",
    ),
    "cast-on-rows": Said(
        title="Separator rows",
        do="A few rows of separator yarn over the bonnet.",
        why="The first rows are uneven, whoever cranks. In separator yarn that costs nothing.",
        look="A stitch on every needle, all of one size, after two or three rows.",
        wrong="Some needles knit nothing: stop, open their latches and hook the loops on.",
        caution=ALL_CRANKING,
    ),
    "separator-in": Said(
        title="Separator before",
        do="Separator yarn: rows to hang the work on, taken away later.",
        why="These rows take the uneven beginning and the pull of the weights, so that the work itself begins well.",
        look="Every needle knits, and the rows hang level.",
        wrong="A stitch dropped here: latch it up at once, before it runs up into the work.",
        caution=ALL_CRANKING,
    ),
    "join": Said(
        title="Join the working yarn",
        do="Cut the separator yarn, tie in the working yarn and thread it through mast and "
        "carrier.{tension}{start}{heel_half}",
        why="From here on it is the yarn you keep. Somebody must hold its tail for the first row, or that row comes "
        "loose.",
        look="The yarn goes from cone to mast to carrier through every guide, and gives under a light pull.",
        wrong="Out of a guide? Take it back to the mast and thread it again.",
        caution=(CARRIER,),
    ),
}
