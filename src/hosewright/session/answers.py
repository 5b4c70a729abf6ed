"""The questions that are asked during a session, and what the answers mean."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft.dial import read_position
from hosewright.craft.units import read_whole
from hosewright.phrases.lists import listed, many
from hosewright.session import events as ev
from hosewright.session.rules import MOST_ROWS
from hosewright.session.steps import CountPasses, CountRows, plain_id
from hosewright.session.steps.tubes import called, called_in

if TYPE_CHECKING:
    from hosewright.session.events import Event
    from hosewright.session.state import State


@dataclass(frozen=True, slots=True)
class Asking:
    """How a question reads, an example of an answer, and what is said when it was taken.

    ``how``: how it is answered, in sentences, where an example does not say it.
    """

    words: str
    hint: str
    done: str
    yes_or_no: bool = False
    how: str = ""


# When a recount is asked about or refused, and how many doubtful presses are counted without a question. Ours.
UNLIKELY = 20  # rows or passes off the counter
MOST_TIMES_PASSES, MOST_TIMES_ROWS = 2, 10  # of what is planned
ROWS_IN_ANY_PART = 500
MANY_DOUBTED = 10
_LITTLE_WORDS = ("row", "rows", "pass", "passes", "of", "in", "the", "at")

RECOUNTED = "The count is corrected to {count}."

# The guide of one who is lost in a heel (see ``lost``), and what starts it where a count is asked for.
ASKED_FOR = ("?", "lost")  # what starts the guide where a count is asked for
_OR_NOT = "; - if you cannot tell."
LOST: dict[str, Asking] = {
    "lost_column": Asking(
        "Stitches in one column in the middle:",
        "21",
        "",
        how="Follow the row that hangs on the instep needles to that column and count the stitches above it, the loop "
        f"on the needle too, such as 21{_OR_NOT}",
    ),
    "lost_left": Asking("Needles up on the left:", "7", "", how=f"Of the half that is turned; 0 for none{_OR_NOT}"),
    "lost_right": Asking("Needles up on the right:", "7", "", how=f"Of the half that is turned; 0 for none{_OR_NOT}"),
    "lost_carrier": Asking("The carrier stands on the:", "left", "", how=f"Left or right{_OR_NOT}"),
    "lost_which": Asking("Passes cranked:", "21", ""),
}

ASKING: dict[str, Asking] = {
    "early": Asking("Go on short?", "", "Gone on, short of the target.", yes_or_no=True),
    "over": Asking("More than planned. Go on?", "", "Gone on, with more than planned.", yes_or_no=True),
    "unclean": Asking("Faults were noted in these rows. Is the stitch size proven?", "", "Proven.", yes_or_no=True),
    "unmeasured": Asking("Nothing was measured here. Go on?", "", "Gone on without readings.", yes_or_no=True),
    "impossible": Asking("No tube can have these readings. Keep them?", "", "Kept as measured.", yes_or_no=True),
    "give_up": Asking(
        "Give this session up? It can be taken up again.", "", "Given up. {undo} takes that back.", yes_or_no=True
    ),
    "spoil": Asking(
        "Why is this sock spoilt? (it is cranked once more)",
        "a latch tore the heel",
        "Noted as a sock of its own. The next begins with separator rows. {strike} takes it back.",
    ),
    "leave_out": Asking(
        "Why is this sock spoilt? (the next one follows)",
        "a latch tore the heel",
        "Noted as a sock of its own, and left out. {strike} takes it back.",
    ),
    "note": Asking("A note at this row:", "a few words", "Noted: {seen} ({undo} takes it back).", how="A few words."),
    "recount": Asking("The counter is really at (and why):", "37 lost count", RECOUNTED),
    "rehang": Asking("Hung again at row or pass:", "31, leg 31, or 31 leg", "Hung again at {place}."),
    "vouch_many": Asking("Count the doubtful presses?", "", "Counted after all: the count is {count}.", yes_or_no=True),
    "sure": Asking("Is that right?", "", "", yes_or_no=True),
    **LOST,
    "dial": Asking(
        "The dial stands at:",
        "6 3/4 turns, or 27 clicks",
        "Noted: the dial stands at {dial} ({undo} takes it back).",
    ),
    "void_trials": Asking(
        "Weights or tension changed? Then no trial counts.",
        "",
        "The trials so far no longer count; the search starts again here.",
        yes_or_no=True,
    ),
    "void_at": Asking(
        "Start the search again from:", "7 turns, or 28 clicks", "The earlier trials no longer count; search from here."
    ),
}


def read_answer(about: str, text: str, state: State) -> Event | None:
    """The event an answer asks for, or None to leave all as it was. Raises ValueError with a sentence."""
    text = text.strip()
    if ASKING[about].yes_or_no:
        if text.casefold() not in ("y", "yes"):
            return None
        if about == "give_up":
            return ev.Abandoned()
        if about == "void_trials":
            return ev.Voided(state.search.position, "weights changed")
        if about == "vouch_many":
            return ev.Vouched()
        return ev.Confirmed(early=about == "early")
    if not text:
        return None
    if about == "note":
        return ev.Observed("note", note=text)
    if about in ("spoil", "leave_out"):
        return ev.Spoilt(text, again=about == "spoil")
    if about == "recount":
        number, _, reason = text.partition(" ")
        return ev.Recounted(_recount(number.rstrip(",;:"), state), reason.strip(), settles=True)
    if about == "rehang":
        return _rehang(text, state)
    clicks = read_position(text, state.head.clicks_per_turn)
    return ev.DialMoved(clicks) if about == "dial" else ev.Voided(clicks, "started elsewhere")


def to_be_sure(event: Event, state: State) -> str:
    """What is asked before ``event`` is taken: it is unlikely, or loses a finished part. Empty when it goes without."""
    if isinstance(event, ev.Recounted) and isinstance(state.step, CountRows | CountPasses):
        step, off = state.step, event.count - state.count
        if event.count > step.target:
            planned = many(step.target, step.unit)
            return f"{event.count} is {event.count - step.target} more than the {planned} planned. Right?"
        if abs(off) > UNLIKELY:
            way = "more" if off > 0 else "fewer"
            return f"{event.count} is {many(abs(off), step.unit)} {way} than the counter says. Right?"
    if isinstance(event, ev.Rehung) and event.step != getattr(state.step, "id", ""):
        lost = _lost_by(event, state)
        if lost:
            return f"That takes off {lost}. Hang again there?"
    return ""


def asking(about: str, state: State) -> Asking:
    """A question of ``ASKING``, with what is on the machine called what it is."""
    asked, name = ASKING[about], called_in(state.head, state.sock)
    return asked if name == "sock" else replace(asked, words=called(asked.words, name), done=called(asked.done, name))


def how_words(about: str, state: State) -> str:
    """How a question is answered, with an example, in sentences."""
    asked = ASKING[about]
    said = asked.how or (f"Such as {asked.hint}." if asked.hint else "")
    if about == "recount" and isinstance(state.step, CountPasses):
        said += f" Lost in the {plain_id(state.step.id)}? Type {ASKED_FOR[0]} and Enter."
    return said


def doubtful_words(state: State, vouch: str) -> str:
    """What is said of presses that came too close together; ``vouch`` is the key that counts them."""
    if state.doubted == 1:
        return f"1 press came too soon after the one before and was not counted. If it was real: {vouch} counts it."
    return (
        f"{state.doubted} presses came too close together and were not counted. If they were real: {vouch} counts them."
    )


def vouching_words(state: State) -> str:
    """What is asked before many doubtful presses are counted; empty where they are few."""
    if state.doubted <= MANY_DOUBTED:
        return ""
    comes_to = f"{state.count + state.doubted} of {state.target}" if state.target else f"{state.count + state.doubted}"
    return f"{state.doubted} presses came too close together. Count them all? The count will be {comes_to}."


def _lost_by(event: ev.Rehung, state: State) -> str:
    """What hanging again there takes off the count: "40 rows of the leg and 12 passes of the heel"."""
    at = next((i for i, step in enumerate(state.head.steps) if step.id == event.step), len(state.counts))
    lost = []
    for i, step in enumerate(state.head.steps[: state.index + 1]):
        gone = state.counts[i] - event.count if i == at else state.counts[i] if i > at else 0
        if gone > 0 and isinstance(step, CountRows | CountPasses):
            lost.append(f"{many(gone, step.unit)} of {step.title[0].lower()}{step.title[1:]}")
    return listed(lost)


def _recount(text: str, state: State) -> int:
    count, step = _count(text), state.step
    if isinstance(step, CountRows | CountPasses):
        most = MOST_TIMES_PASSES * step.target
        if isinstance(step, CountRows):
            most = max(MOST_TIMES_ROWS * step.target, ROWS_IN_ANY_PART)
        if count > most:
            raise ValueError(
                f"{step.title} has {many(step.target, step.unit)}, so {count} cannot be. "
                f"Type how many are cranked, such as {step.target // 2 + 1}."
            )
    return count


def _count(text: str) -> int:
    return read_whole(text, what="count", least=0, most=MOST_ROWS)


def _rehang(text: str, state: State) -> ev.Rehung:
    """A row, with the part before it or behind it, then the reason: "31", "leg 31 too tight", "row 10 of the heel"."""
    counted = [s for s in state.head.steps[: state.index + 1] if isinstance(s, CountRows | CountPasses)]
    if not counted:
        raise ValueError("Nothing was cranked yet that could be hung again.")
    words = text.split()
    at = next((place for place, word in enumerate(words) if word[0].isdigit()), None)
    before = [word for word in words[:at] if word.casefold() not in _LITTLE_WORDS]
    part = _part(" ".join(before), counted)
    if at is None or (before and part is None):
        parts = ", ".join(dict.fromkeys(step.title.lower() for step in counted))
        raise ValueError(f"Type a row number, or a part and a row. The parts: {parts}.")
    reason = words[at + 1 :]
    if part is None:
        part, reason = _part_first(reason, counted)
    return ev.Rehung((part or counted[-1]).id, _count(words[at].rstrip(",;:")), " ".join(reason), settles=True)


def _part_first(
    words: list[str], counted: list[CountRows | CountPasses]
) -> tuple[CountRows | CountPasses | None, list[str]]:
    """The part that ``words`` begin with, and the rest; no part and all of them where they begin with none."""
    start = next((i for i, word in enumerate(words) if word.casefold() not in _LITTLE_WORDS), len(words))
    for stop in range(len(words), start, -1):
        if part := _part(" ".join(words[start:stop]), counted):
            return part, words[stop:]
    return None, words


def _part(name: str, counted: list[CountRows | CountPasses]) -> CountRows | CountPasses | None:
    """The last of the parts cranked that is called ``name``, in a string of the sock at hand without its number."""
    name = name.casefold().strip(" ,;:.")
    called = [
        s for s in counted if name in (s.id, plain_id(s.id), s.title.casefold(), s.title.casefold().split(",")[0])
    ]
    return called[-1] if called else None
