"""Setting the machine up, finding the stitch size, and the rows of a gauge tube."""

from __future__ import annotations

from hosewright.session.steps.said import (
    ALL_CRANKING,
    CARRIER,
    CLAMPED,
    CRANKING,
    HAIR,
    HOOKS,
    MANUAL,
    STIFF,
    WEIGHTS,
    Said,
)

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
        do="Hook the cast-on bonnet over every needle, draw it down through the cylinder and hang the buckle on it. "
        "Open every latch. With work on the needles already, just go on.",
        why="A needle can only draw yarn through a loop it already holds. The bonnet gives each one a loop to begin "
        "with.",
        look="A loop in every hook, every latch open, the bonnet hanging evenly all the way round.",
        wrong="A needle without a loop knits nothing: hook one on before the crank moves.",
        caution=(HAIR, HOOKS),
    ),
    "cast-on-waste": Said(
        title="Waste knitting on",
        do="The waste knitting of the work before hangs on the needles still: leave it there, with a loop on every "
        "needle and every latch open, and crank on from it.",
        why="Each needle holds a loop already, and that is all a beginning needs. The work is parted from it later, "
        "as from a bonnet.",
        look="The waste knitting hangs straight and level, a loop in every hook, none dropped at the last parting.",
        wrong="A needle without a loop? Pick one up from the row below with the work hook, and hang it on.",
        caution=(HAIR, HOOKS),
    ),
    "cast-on-own": Said(
        title="Cast on your own way",
        do="Cast on as you noted it from your machine's manual: {cast_on}",
        why="Machines differ in how an empty cylinder is begun, so the manual's way stands here in your own words.",
        look="A loop in every hook that will knit, every latch open, and something below to hang the weights on.",
        wrong="Not as the manual has it any more? The machine's record holds these words: change them there.",
        caution=(MANUAL, HAIR, HOOKS),
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
    # Finding the stitch size, and the rows of a gauge tube.
    "trial": Said(
        title="Find the stitch size",
        why="Too small a stitch does not come down and jams; far too large a one makes a limp sock. The edge is "
        "looked for, and the sock knitted one turn below it.",
        look="A whole round, not a few needles: stitches that drop back at once, or that do not come down.",
        wrong="Could not tell? Say not sure, and look once more. Weights moved? Say so: earlier looks no longer count.",
        caution=(STIFF, CRANKING),
    ),
    "trial, found": Said(
        why="At the edge some stitches drop back and some do not; one full turn below it leaves room for a thick "
        "place in the yarn or a stiff needle.",
        look="Read the dial twice, and come to its place from the same side as always: the screw has a little play.",
        wrong="Not sure how far you turned? Turn up to the zero mark and count from there.",
        caution=(HOOKS,),
    ),
    "trial, stopped": Said(
        why="As things are, another round would show nothing new and might bend a needle or tear the yarn.",
        look="Each thing named above, one at a time. Look along the needles: a bent one stands out of line.",
        wrong="Found nothing? Leave the crank alone and ask someone who knows this machine.",
        caution=ALL_CRANKING,
    ),
    "clear": Said(
        title="Clear the needles",
        do="Before you crank again: draw the work down by hand, see every latch open and every needle clear, and set "
        "the dial to {dial}.",
        why="Stitches that stayed up still sit high on their needles. Crank over them and they tuck, or a needle "
        "bends.",
        look="Every loop below its latch, every latch open, the work hanging snug below the cylinder.",
        wrong="One will not come down? Ease it down with the work hook, one needle at a time.",
        caution=(HOOKS, STIFF),
    ),
    "prove": Said(
        title="Prove it",
        do="Ten clean rows prove the stitch size. If the stitches stay up, say so with s, and look once more.",
        why="One good round may be chance. Ten, the same all the way, and you can trust the stitch size with a sock.",
        look="Every stitch drops back, all round, and the crank turns as lightly at the end as at the start.",
        wrong="They stay up? Say so. One look more at the same place decides whether the dial goes a turn lower.",
        caution=ALL_CRANKING,
    ),
    "tube": Said(
        title="Gauge tube",
        do="Working yarn. The counter is at zero: every row counts. Same weights, same tension, steady pace.",
        why="This tube shows what the yarn does at this stitch size. All your socks in it are worked out from these "
        "rows.",
        look="Weights, tension and pace as they were; a row each time the carrier comes back to where it began.",
        wrong="Lost count? Stop, and count the rows under the needles: {recount} puts the counter right.",
        caution=ALL_CRANKING,
    ),
}
