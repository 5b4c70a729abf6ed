"""The questions that are asked during a session, and what the answers mean."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.dial import read_position
from hosewright.craft.units import read_whole
from hosewright.session.events import Abandoned, Confirmed, DialMoved, Observed, Recounted, Rehung, Spoilt, Voided
from hosewright.session.rules import MOST_ROWS
from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.events import Event
    from hosewright.session.state import State


@dataclass(frozen=True, slots=True)
class Asking:
    """How a question reads, an example of an answer, and what is said when it was taken."""

    words: str
    hint: str
    done: str
    yes_or_no: bool = False


ASKING: dict[str, Asking] = {
    "early": Asking("Go on short?", "", "Gone on, short of the target.", yes_or_no=True),
    "over": Asking("More than planned. Go on?", "", "Gone on, with more than planned.", yes_or_no=True),
    "unclean": Asking("Faults were noted in these rows. Is the stitch size proven?", "", "Proven.", yes_or_no=True),
    "unmeasured": Asking("Nothing was measured here. Go on?", "", "Gone on without readings.", yes_or_no=True),
    "give_up": Asking("Give this session up? It can be taken up again.", "", "Given up.", yes_or_no=True),
    "spoil": Asking(
        "Why is this sock spoilt? (it is cranked once more)",
        "a latch tore the heel",
        "Noted as a sock of its own. The next begins with separator rows. Del takes it back.",
    ),
    "leave_out": Asking(
        "Why is this sock spoilt? (the next one follows)",
        "a latch tore the heel",
        "Noted as a sock of its own, and left out. Del takes it back.",
    ),
    "note": Asking("A note at this row:", "a few words", "Noted."),
    "recount": Asking("The counter is really at (and why):", "37 lost count", "The count is corrected."),
    "rehang": Asking("Hung again at row (and part, if an earlier one):", "31, or leg 31", "Hung again there."),
    "dial": Asking("The dial stands at:", "7 1/2 turns, or 30 clicks", "The new dial position is noted."),
    "void_trials": Asking(
        "Weights or tension changed? Then no trial counts.",
        "",
        "The trials so far count no more; the search starts again here.",
        yes_or_no=True,
    ),
    "void_at": Asking(
        "Start the search again from:", "8 turns, or 32 clicks", "The earlier trials count no more; search from here."
    ),
}


def read_answer(about: str, text: str, state: State) -> Event | None:
    """The event an answer asks for, or None to leave all as it was. Raises ValueError with a sentence."""
    text = text.strip()
    if ASKING[about].yes_or_no:
        if text.casefold() not in ("y", "yes"):
            return None
        if about == "give_up":
            return Abandoned()
        if about == "void_trials":
            return Voided(state.search.position, "weights changed")
        return Confirmed(early=about == "early")
    if not text:
        return None
    if about == "note":
        return Observed("note", note=text)
    if about in ("spoil", "leave_out"):
        return Spoilt(text, again=about == "spoil")
    if about == "recount":
        number, _, reason = text.partition(" ")
        return Recounted(_count(number.rstrip(",;:")), reason.strip())
    if about == "rehang":
        return _rehang(text, state)
    clicks = read_position(text, state.head.clicks_per_turn)
    return DialMoved(clicks) if about == "dial" else Voided(clicks, "started elsewhere")


def _count(text: str) -> int:
    return read_whole(text, what="count", least=0, most=MOST_ROWS)


def _rehang(text: str, state: State) -> Rehung:
    words = text.split()
    counted = [s for s in state.head.steps[: state.index + 1] if isinstance(s, CountRows | CountPasses)]
    if not counted:
        raise ValueError("Nothing was cranked yet that could be hung again.")
    if words[0][0].isdigit():
        return Rehung(counted[-1].id, _count(words[0]), " ".join(words[1:]))
    at = next((place for place, word in enumerate(words) if word[0].isdigit()), len(words))
    part = " ".join(words[:at]).casefold()
    named = [step for step in counted if part in (step.id, step.title.casefold())]
    if not named or at == len(words):
        parts = ", ".join(dict.fromkeys(step.title.lower() for step in counted))
        raise ValueError(f"Type a row number, or a part and a row. The parts: {parts}.")
    return Rehung(named[-1].id, _count(words[at]), " ".join(words[at + 1 :]))
