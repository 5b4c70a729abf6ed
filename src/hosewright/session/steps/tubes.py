"""A tube without a heel: its rows, how it comes off, and how its end is closed or chained off."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, get_args

from hosewright.craft.tubes import TubeName
from hosewright.session.steps import id_in
from hosewright.session.steps.finishing import FINISHING
from hosewright.session.steps.said import ALL_CRANKING, BLUNT, Said

if TYPE_CHECKING:
    from hosewright.session.steps import Head

_SOCK = re.compile(r"\b([Ss])ock(s?)\b")
_TAKEN_OFF = re.compile(r"Take the (.+) off")
_NUMBERED = re.compile(rf"(.+), ({'|'.join(get_args(TubeName))}) [1-9][0-9]?")
MIXED = "piece"  # of a string with socks and other tubes


def called(words: str, name: str) -> str:
    """``words`` about a sock, about what is called ``name`` instead."""
    if name == "sock":
        return words
    return _SOCK.sub(lambda found: (name.capitalize() if found[1] == "S" else name) + found[2], words)


def numbered(title: str, name: str, number: int) -> str:
    """The title of a step of one of the socks, or of what is called ``name``, of a string: "Leg, wrister 2"."""
    return f"{title}, {name} {number}"


def plain_title(title: str) -> str:
    """The title of a step without which one of a string it belongs to."""
    found = _NUMBERED.fullmatch(title)
    return found[1] if found else title


def called_in(head: Head, sock: int = 0) -> str:
    """What is cranked in a session, or as this ``sock`` of a string, by the titles frozen into its steps; else a sock.

    Of a string as a whole what all in it are called, and ``MIXED`` where they differ.
    """
    if head.kind == "string":
        begins = id_in(sock, "") if sock else "s"
        titles = (step.title for step in head.steps if step.id.startswith(begins))
        names = (found[2] for title in titles if (found := _NUMBERED.fullmatch(title)))
        if sock:
            return next(names, "sock")
        every = set(names)
        return (every.pop() if len(every) == 1 else MIXED) if every else "sock"
    title = next((step.title for step in head.steps if step.id == "take-off"), "")
    found = _TAKEN_OFF.fullmatch(title)
    return found[1] if found and found[1] in get_args(TubeName) else "sock"


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
    "try-on, open": Said(
        do="Try it on whom it was made for, and say how it sits; if you can, by how much it is off.",
        why="No figure knows as much as the arm or leg that is in it.",
        look="How it sits round, whether it stays where it should, and how far it reaches.",
        wrong="Not right yet? Say by how much, and plan the next pair wider or longer.",
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
