"""The rule that the first sessions searched by, kept so that they stand where they stood.

Each drop raises the dial half a turn (rounded down) from where it is, the first stay after a drop is the find, a
second stay without one is the end, and a verdict against older ones counts when it is seen twice.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.session.search import Search

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Verdict
    from hosewright.session.search import Why


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
