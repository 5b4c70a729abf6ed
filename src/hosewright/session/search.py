"""The search for a yarn's stitch size: what the looks at the stitches say, and where the dial goes next.

It is a function of the looks alone. Positions are whole clicks below the zero mark; a larger number is a larger
stitch. S is the most clicks at which the stitches are known to stay up, D the fewest at which they drop back. The
rules are common practice, no source; that a verdict against older ones must be seen twice is ours.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from hosewright.craft.dial import dial_distance, dial_place, show_turns

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Verdict

Why = Literal[
    "start",
    "drop",
    "stay",
    "stay-again",
    "between",
    "unsure",
    "against",
    "doubt",
    "found",
    "lower",
    "zero",
    "lower-stop",
    "unsure-thrice",
    "stiff",
    "broke",
    "stayed-twice",
]

MOST_CLICKS = 400  # a hundred turns: no knob travels so far, so a larger number is a mistake in typing
MOST_UNSURE = 3  # looks running at one position
_CHECK = "are the usual weights on, does the yarn run with little tension, is it too thick for this cylinder?"
_LOOK = "crank one full round and look again"
_CLEAR = "First draw the work down by hand, and see every latch open and clear."
_TAKE_OFF = "To leave it at that, take the work off: hold the weights, cut the yarn, crank it off the needles."
_LIFT_OFF = "To leave it at that, hold the weights, cut the yarn and lift the work off the needles by hand."
_STOPPED: dict[str, str] = {
    "zero": "The dial is at its zero mark, and the stitches still drop back. Stop here and check: is this yarn too "
    f"thin for this cylinder, are the weights right, is the V-cam set right? {_TAKE_OFF}",
    "lower-stop": "The dial goes no lower, and no stitch is large enough yet. Stop here and check: "
    f"{_CHECK} {_TAKE_OFF}",
    "unsure-thrice": "Not sure three times at one position. Stop here and check: is there light enough to see the "
    "stitches, do the weights hang straight, does the yarn run freely? Then start the search again, more slowly. "
    f"{_TAKE_OFF}",
    "stiff": "Stop now, and never force the crank. Find what holds it (a bent needle, a closed latch, caught yarn, "
    f"too small a stitch) and put it right, then start the search again. {_LIFT_OFF}",
    "broke": "Stop now. Find what broke the yarn (a snag, too much tension, too small a stitch), join it again, then "
    f"start the search again. {_LIFT_OFF}",
    "stayed-twice": f"The stitches stayed up again. Stop here and check: {_CHECK} {_TAKE_OFF}",
}
_STOPS_AT_ONCE = ("stiff", "broke", "lower-stop")


@dataclass(frozen=True, slots=True)
class Search:
    """Where a search stands. ``position`` is where the dial belongs now; ``baseline`` once found.

    ``looked``: where the last look was, and ``seen``: its verdict. ``stays`` is S and ``drops`` D, as far as known.
    """

    position: int
    clicks_per_turn: int = 4
    why: Why = "start"
    baseline: int | None = None
    looked: int | None = None
    seen: Verdict | None = None
    stays: int | None = None
    drops: int | None = None

    @property
    def stopped(self) -> bool:
        return self.why in _STOPPED

    @property
    def found(self) -> bool:
        return self.baseline is not None

    @property
    def advice(self) -> str:
        """A few sentences for the hands."""
        if self.stopped:
            return _STOPPED[self.why]
        told = self._told(dial_place(self.position, self.clicks_per_turn))
        # What stayed up hangs at the hooks still: cranked over, it jams.
        return told if self.seen in (None, "drop", "unsure") else f"{_CLEAR} {told}"

    def _told(self, here: str) -> str:
        moved = dial_distance(abs(self.position - (self.looked or 0)), self.clicks_per_turn)
        turned = f"turn the dial {'up' if self.position < (self.looked or 0) else 'down'} {moved}, to {here}"
        if self.position == self.looked:
            turned = f"leave the dial at {here}"
        capital = turned[0].upper() + turned[1:]
        match self.why:
            case "start":
                return (
                    f"Set the dial to {here}. Crank one full round at walking pace, eyes where the needles leave the "
                    "V-cam: do the stitches drop back at once, or stay up?"
                )
            case "drop":
                return f"They dropped back, so a smaller stitch may do: {turned}, {_LOOK}."
            case "stay":
                return f"They stayed up, so this stitch is too small: {turned}, {_LOOK}."
            case "stay-again":
                return f"They stayed up again, so check: {_CHECK} If all is well, {turned}, {_LOOK}."
            case "between":
                edge = self._edge()
                return f"{edge[0].upper()}{edge[1:]}, and the edge lies between: {turned}, {_LOOK}."
            case "unsure":
                return f"Not sure is a fair answer: {turned}, {_LOOK}."
            case "against":
                return (
                    "That goes against what you saw before, so it counts only if you see it twice running at one "
                    "position. "
                    f"{capital}, {_LOOK}."
                )
            case "doubt":
                return f"They stayed up where they should drop back. One look may be wrong: {turned}, {_LOOK}."
            case "lower":
                return (
                    f"They stayed up twice, so this baseline is too tight. {capital}, and prove that one. Should they "
                    f"stay up there, too, check: {_CHECK}"
                )
            case _:
                return (
                    f"Found: {self._edge()}. {capital}, one full turn below where they stay up. That is the baseline "
                    "for this yarn, once ten clean rows prove it."
                )

    def _edge(self) -> str:
        stays, drops = (
            "the zero mark" if clicks == 0 else f"{show_turns(clicks or 0, self.clicks_per_turn)} turns"
            for clicks in (self.stays, self.drops)
        )
        return f"they stay up at {stays}" if self.drops is None else f"they stay up at {stays} and drop back at {drops}"


@dataclass(slots=True)
class _Evidence:
    """The looks that count. ``doubted``: one that counts if it is seen once more running; ``unsure``: how many of
    those ran at one position; ``proving``: a baseline was found, and what is seen now is seen while it is proved."""

    clicks_per_turn: int
    stays: set[int] = field(default_factory=set)
    drops: set[int] = field(default_factory=set)
    doubted: tuple[int, Verdict] | None = None
    unsure: tuple[int, int] = (0, 0)
    proving: bool = False

    def after(self, search: Search, clicks: int, verdict: Verdict) -> Search:
        self.proving = self.proving or search.found
        running = self.unsure[1] if self.unsure[0] == clicks else 0
        self.unsure = (clicks, running + 1 if verdict == "unsure" else 0)
        if verdict in _STOPS_AT_ONCE:
            return self._at(clicks, verdict, (clicks, verdict))
        if verdict == "unsure":
            why: Why = "unsure-thrice" if self.unsure[1] == MOST_UNSURE else "unsure"
            return self._at(search.position, why, (clicks, verdict))
        return self._seen(clicks, verdict)

    def _seen(self, clicks: int, verdict: Verdict) -> Search:
        stayed, look = verdict == "stay", (clicks, verdict)
        ruled_out = {at for at in self.drops if at <= clicks} if stayed else {at for at in self.stays if at >= clicks}
        failing = stayed and self.proving
        if (ruled_out or failing) and self.doubted != look:
            self.doubted = look
            return self._at(clicks, "doubt", look) if failing else self._standing(look, "against")
        self.doubted = None
        (self.stays if stayed else self.drops).add(clicks)
        self.drops -= ruled_out if stayed else set()
        self.stays -= set() if stayed else ruled_out
        self.proving = self.proving and (stayed or not ruled_out)
        return self._standing(look, "lower" if failing else None)

    def _standing(self, look: tuple[int, Verdict], why: Why | None) -> Search:
        """Where the dial goes by what counts; ``why`` instead of the reason for that."""
        stays, drops = max(self.stays, default=None), min(self.drops, default=None)
        half = (self.clicks_per_turn + 1) // 2
        if stays is not None and (self.proving or (drops is not None and drops <= stays + half)):
            baseline = stays + self.clicks_per_turn
            return self._at(baseline, "lower" if why == "lower" else "found", look, baseline)
        if stays is None:
            assert drops is not None
            return self._at(max(0, drops - half), why or "drop", look) if drops else self._at(0, "zero", look)
        if drops is None:
            again: Why = "stay-again" if len(self.stays) > 1 else "stay"
            return self._at(stays + self.clicks_per_turn, why or again, look)
        return self._at(drops - half, why or "between", look)

    def _at(self, position: int, why: Why, look: tuple[int, Verdict], baseline: int | None = None) -> Search:
        if position > MOST_CLICKS:
            position, why, baseline = look[0], "lower-stop", None
        known = max(self.stays, default=None), min(self.drops, default=None)
        return Search(position, self.clicks_per_turn, why, baseline, *look, *known)


def search_through(trials: Iterable[tuple[int, Verdict]], start: int | None = None, clicks_per_turn: int = 4) -> Search:
    """The search after all ``trials`` (clicks below zero, verdict), first to last.

    Raises ValueError when there is neither a trial nor a start, or when a trial follows the end of a search.
    """
    trials = list(trials)
    if start is None:
        if not trials:
            raise ValueError("No trial was given: type clicks, a colon and what the stitches did, such as 28:drop.")
        start = trials[0][0]
    search, evidence = Search(start, clicks_per_turn), _Evidence(clicks_per_turn)
    for clicks, verdict in trials:
        if search.stopped:
            raise ValueError(f"The search has stopped before {clicks}:{verdict}. {search.advice}")
        search = evidence.after(search, clicks, verdict)
    return search


# --- the rule before ---------------------------------------------------------------------------------------------
# The first sessions searched by it, and stand where they stood. Each drop raises the dial half a turn (rounded down)
# from where it is, the first stay after a drop is the find, a second stay without one is the end, and a verdict against
# older ones counts when it is seen twice.


def search_before(trials: Iterable[tuple[int, Verdict]], start: int, clicks_per_turn: int) -> Search:
    """The search after all ``trials``, first to last; what follows its end changes nothing."""
    search = Search(start, clicks_per_turn)
    evidence: list[tuple[int, Verdict]] = []
    doubted = None
    for clicks, verdict in trials:
        if search.stopped:
            break
        look = clicks, verdict
        against = [seen for seen in evidence if _against(look, seen)]
        if verdict == "unsure":
            search = Search(clicks, clicks_per_turn, "unsure", None, *look)
        elif verdict not in ("drop", "stay"):
            search = Search(clicks, clicks_per_turn, verdict, None, *look)
        elif against and doubted != look:
            doubted = look
            search = Search(clicks, clicks_per_turn, "doubt", None, *look)
        else:
            doubted = None
            evidence = [*(seen for seen in evidence if seen not in against), look]
            search = replace(_moved(clicks, evidence, clicks_per_turn), looked=clicks, seen=verdict)
    return search


def _against(new: tuple[int, Verdict], old: tuple[int, Verdict]) -> bool:
    (clicks, verdict), (seen_at, seen) = new, old
    return (seen == "drop" and seen_at <= clicks) if verdict == "stay" else (seen == "stay" and seen_at >= clicks)


def _moved(clicks: int, evidence: list[tuple[int, Verdict]], turn: int) -> Search:
    stays = max((at for at, verdict in evidence if verdict == "stay"), default=None)
    drops = min((at for at, verdict in evidence if verdict == "drop"), default=None)
    if evidence[-1][1] == "drop":
        position, why = max(0, clicks - max(1, turn // 2)), "drop" if clicks else "zero"
    elif drops is not None:
        position, why = clicks + turn, "found"
    else:
        position, why = (clicks, "stayed-twice") if len(evidence) > 1 else (clicks + turn, "stay")
    reason: Why = why  # type: ignore[assignment]
    return Search(position, turn, reason, position if why == "found" else None, None, None, stays, drops)
