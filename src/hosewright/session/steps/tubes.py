"""A tube without a heel: its rows, how it comes off, and how its end is closed or chained off."""

from __future__ import annotations

from dataclasses import replace

from hosewright.session.steps.finishing import FINISHING
from hosewright.session.steps.said import ALL_CRANKING, BLUNT, Said

_TUBE = Said(
    title="Tube",
    do="Full rows for the tube, round and round at a steady pace, down to its end.",
    why="Nothing is turned in it: its rows alone are its length.",
    look="A row each time the carrier comes back to where it began; weights moved up before they reach the floor.",
    wrong="Lost count? Stop, and count the rows of the tube: {recount} puts the counter right.",
    caution=ALL_CRANKING,
)

TUBES: dict[str, Said] = {
    "tube, sock": _TUBE,
    "tube, string": _TUBE,
    "part-open": replace(
        FINISHING["part"],
        do="Cut the working yarn, leaving an end four times as long as the tube is wide: its last loops are closed "
        "with it. Tie in the separator yarn.",
        wrong="Is that end too short? Close the loops with a spare length of the same yarn.",
    ),
    "draw-up": Said(
        title="Draw the end up",
        do="Thread a blunt needle with the working yarn and take up the loops of the last row, one by one, right "
        "round, drawing the separator yarn out as you go. Go round a second time, draw the end up tight, and fasten "
        "it inside.",
        why="Every loop is on the yarn, so none can run, and drawn up they close the end.",
        look="Each loop taken up once, and no hole in the middle.",
        wrong="A hole stays? Go round once more through the loops, and draw again.",
        caution=(BLUNT,),
    ),
    "chain-end": Said(
        title="Chain off the end",
        do="Chain off the loops of the last row: with a work hook draw each loop loosely through the one before, right "
        "round, and the end of the yarn through the last. Draw the separator yarn out as you go.",
        why="The last row is a ring of open loops. Chained, they cannot run, and the end stays wide.",
        look="A chain as slack as the rows beside it, which stretches as far as they do.",
        wrong="Too tight to stretch? Undo it a little way and draw the loops longer.",
        caution=(BLUNT,),
    ),
}
