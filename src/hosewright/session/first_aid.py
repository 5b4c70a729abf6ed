"""What to do at once when something goes wrong at the crank, each said in one place: a line, and the key that follows.

Common practice, no source; the machine's own manual goes before it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hosewright.session.events import Fault

_DO_NOT_CRANK = "Do not crank on: needles that pass without yarn cast their loops off."

_AT_ONCE: dict[Fault, str] = {
    "fell-off": f"{_DO_NOT_CRANK} Weights off, catch the live loops,",
    "yarn-broke": f"{_DO_NOT_CRANK} Weights off, catch the live loops, tie the yarn in.",
    "stiff": "Stop, never force it. Weights off; look for a shut latch, a tight loop, yarn caught: free that first.",
    "dropped": "Stop, hold the loop, latch it up: as many rungs as rows since the row it dropped at.",
    "stayed-up": "Before you crank on: draw the work down by hand, see every latch open and clear.",
}
_HANG_AGAIN: dict[Fault, str] = {
    "fell-off": "hang them again at the last whole row; then r.",
    "yarn-broke": "Where loops ran, hang again at the last whole row; then r.",
    "stiff": "If loops came off, hang again at the last whole row; then r.",
}


def first_aid(fault: Fault, *, counting: bool = True) -> str:
    """The next thing to do when ``fault`` is seen; empty where nothing presses.

    ``counting``: rows or passes of a part are counted, so that work can be hung again at one of them.
    """
    return f"{_AT_ONCE.get(fault, '')} {_HANG_AGAIN.get(fault, '') if counting else ''}".strip()
