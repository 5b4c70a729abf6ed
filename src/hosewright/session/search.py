"""The search for a yarn's stitch size: which way the dial goes after each verdict.

The rules are common practice, no source. Positions are whole clicks below the zero mark; a larger number is a
larger stitch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.session.dial_words import dial_place

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Verdict

Why = Literal[
    "start",
    "raise",
    "unsure",
    "contradiction",
    "down-a-turn",
    "found",
    "zero",
    "stayed-twice",
    "stiff",
    "broke",
]

_STOPPED: dict[str, str] = {
    "zero": "The zero mark is reached and the stitches never stayed up. Stop: the yarn may be too thin for this "
    "cylinder; check the weights and the V-cam setting.",
    "stayed-twice": "They stayed up again a full turn lower. Stop: check the weights, the yarn tension and whether "
    "this yarn is too thick for this cylinder.",
    "stiff": "Stop now and never force the crank. Find what is stiff (a bent needle, a closed latch, yarn caught, a "
    "stitch too tight), then start the search again.",
    "broke": "Stop now. Find why the yarn broke (snag, tension, stitch too tight), mend it, then start the search "
    "again.",
}


@dataclass(frozen=True, slots=True)
class Search:
    """Where a search stands. ``position`` is where the dial belongs now; ``baseline`` once found."""

    position: int
    clicks_per_turn: int = 4
    why: Why = "start"
    baseline: int | None = None
    evidence: tuple[tuple[int, Verdict], ...] = ()
    doubted: tuple[int, Verdict] | None = None

    @property
    def stopped(self) -> bool:
        """Whether the search ended without a baseline."""
        return self.why in _STOPPED

    @property
    def found(self) -> bool:
        """Whether the search ended with a baseline."""
        return self.baseline is not None

    def after(self, clicks: int, verdict: Verdict) -> Search:
        """The search after ``verdict`` at ``clicks``. Raises ValueError when the search has stopped."""
        if self.stopped:
            raise ValueError(f"the search has stopped: {_STOPPED[self.why]}")
        if verdict in ("stiff", "broke"):
            return self._at(clicks, "stiff" if verdict == "stiff" else "broke", self.evidence)
        if verdict == "unsure":
            return self._at(clicks, "unsure", self.evidence, doubted=self.doubted)
        against = [seen for seen in self.evidence if _contradicts((clicks, verdict), seen)]
        if against and self.doubted != (clicks, verdict):
            return self._at(clicks, "contradiction", self.evidence, doubted=(clicks, verdict))
        kept = (*(seen for seen in self.evidence if seen not in against), (clicks, verdict))
        return self._dropped(clicks, kept) if verdict == "drop" else self._stayed(clicks, kept)

    def _dropped(self, clicks: int, evidence: tuple[tuple[int, Verdict], ...]) -> Search:
        if clicks == 0:
            return self._at(0, "zero", evidence)
        return self._at(max(0, clicks - max(1, self.clicks_per_turn // 2)), "raise", evidence)

    def _stayed(self, clicks: int, evidence: tuple[tuple[int, Verdict], ...]) -> Search:
        lower = clicks + self.clicks_per_turn
        if any(verdict == "drop" for _, verdict in evidence):
            return Search(lower, self.clicks_per_turn, "found", lower, evidence)
        if len(evidence) > 1:
            return self._at(clicks, "stayed-twice", evidence)
        return self._at(lower, "down-a-turn", evidence)

    def _at(
        self,
        clicks: int,
        why: Why,
        evidence: tuple[tuple[int, Verdict], ...],
        doubted: tuple[int, Verdict] | None = None,
    ) -> Search:
        return Search(clicks, self.clicks_per_turn, why, None, evidence, doubted)

    @property
    def advice(self) -> str:
        """One or two sentences for the hands."""
        here = dial_place(self.position, self.clicks_per_turn)
        if self.stopped:
            return _STOPPED[self.why]
        match self.why:
            case "found":
                return (
                    "Stop: they stayed up, so that was half a turn too far. Take it back and go half a turn more, one "
                    f"full turn below where they stayed up: set the dial to {here}. That is the baseline for this "
                    "yarn, provisional until ten clean rows prove it."
                )
            case "raise":
                return f"They dropped back: raise the V-cam. Set the dial to {here}, crank a full row and look again."
            case "unsure":
                return f"Not sure: leave the dial at {here}, crank another full row and look again."
            case "contradiction":
                return (
                    f"That goes against an earlier look. Leave the dial at {here}, crank another full row and look "
                    "again; the second look decides."
                )
            case "down-a-turn":
                return (
                    "They stayed up at the very first position, so no good one is known yet. Go down a full turn: "
                    f"set the dial to {here} and search from there."
                )
            case _:
                return f"Set the dial to {here}, crank a full row slowly and watch the stitches behind the V-cam."


def _contradicts(new: tuple[int, Verdict], old: tuple[int, Verdict]) -> bool:
    # A tighter stitch is the likelier to stay up: staying up where an equal or tighter one dropped, or dropping
    # where an equal or looser one stayed up, cannot both be right.
    (clicks, verdict), (seen_at, seen) = new, old
    if verdict == "stay":
        return seen == "drop" and seen_at <= clicks
    return seen == "stay" and seen_at >= clicks


def search_through(trials: Iterable[tuple[int, Verdict]], start: int | None = None, clicks_per_turn: int = 4) -> Search:
    """The search after all ``trials`` (clicks below zero, verdict), first to last.

    Raises ValueError when there is neither a trial nor a start, or when a trial follows the end of a search.
    """
    trials = list(trials)
    if start is None:
        if not trials:
            raise ValueError("No trial was given: type clicks, a colon and what the stitches did, such as 32:drop.")
        start = trials[0][0]
    search = Search(start, clicks_per_turn)
    for clicks, verdict in trials:
        search = search.after(clicks, verdict)
    return search
