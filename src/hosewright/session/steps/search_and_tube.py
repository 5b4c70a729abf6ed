"""Finding the stitch size, and the rows of a gauge tube."""

from __future__ import annotations

from hosewright.session.steps.hazards import ALL_CRANKING, CRANKING, HOOKS, STIFF
from hosewright.session.steps.said import Said

SEARCH_AND_TUBE: dict[str, Said] = {
    "trial": Said(
        title="Find the stitch size",
        why="Too small a stitch does not come down and jams; far too large a one makes a limp sock. The edge is "
        "looked for, and the sock knitted one turn below it.",
        look="A whole round, not a few needles: stitches that drop back at once, or that do not come down.",
        wrong="Could not tell? Say not sure, and look once more. Weights moved? Say so: earlier looks count no more.",
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
        do="Ten clean rows prove the stitch size. Should the stitches stay up, say so with s, and look once more.",
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
