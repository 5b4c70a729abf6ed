"""Searches on a made-up cylinder: how many trials each takes from one start or another.

``python -m tests.searched`` prints what 30 new yarns take, begun where the machine's own start is and a turn below what
the searches before let expect; and the same for the searches of the sample sessions, played again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random
from statistics import fmean
from typing import TYPE_CHECKING

from hosewright.craft.measured import error, nominal
from hosewright.craft.stitch_size import StitchSize, expected_turns, start_of_search
from hosewright.logbook.travel.session_files import read
from hosewright.session.fold import fold
from hosewright.session.search import Search, search_through
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from hosewright.session.events import Verdict

THIRTY = 30
TURN = 4
MACHINES_START = 36  # clicks: nine turns, where the loosest of these yarns drops back


@dataclass(frozen=True, slots=True)
class Searched:
    """A yarn's search: where it began, its first verdict, its trials; what was expected, and the truth, in turns."""

    m_per_100g: int
    start: int
    first: Verdict
    trials: int
    expected: float
    sure: float
    truth: float


def trials(start: int, edge: int, turn: int = TURN) -> tuple[int, Verdict]:
    """How many looks a search takes, and the first verdict, where stitches stay up at ``edge`` clicks and fewer."""
    looks: list[tuple[int, Verdict]] = []
    search = Search(start, turn)
    while not search.found and not search.stopped:
        looks.append((search.position, "stay" if search.position <= edge else "drop"))
        search = search_through(looks, start, turn)
    return len(looks), looks[0][1]


def simulated(draw: Random, yarns: int) -> tuple[list[Searched], list[Searched]]:
    """So many yarns in turn, from the machine's start and as learnt: 0.4 turn a root of tex, ± 0.4."""
    before: list[Searched] = []
    after: list[Searched] = []
    known: list[StitchSize] = []
    for _ in range(yarns):
        m_per_100g = draw.randrange(320, 520, 10)
        tex = 100_000 / m_per_100g
        truth = 6.5 + 0.4 * (math.sqrt(tex) - 15.5) + draw.gauss(0.0, 0.4)
        edge = round(truth * TURN) - TURN
        expected = expected_turns(known, tex)
        start = MACHINES_START if expected is None else start_of_search(expected, TURN)
        mean, sure = (nominal(expected), error(expected)) if expected else (0.0, 0.0)
        for told, begun in ((before, MACHINES_START), (after, start)):
            count, first = trials(begun, edge)
            told.append(Searched(m_per_100g, begun, first, count, mean, sure, edge / TURN + 1))
        known.append(StitchSize(edge / TURN + 1, tex))
    return before, after


def replayed() -> tuple[list[Searched], list[Searched]]:
    """The finished searches of the samples: as begun, and as they would be by those before on that cylinder."""
    before: list[Searched] = []
    after: list[Searched] = []
    known: dict[tuple[str, str], list[StitchSize]] = {}
    for path in sorted(FOLDER.glob("*-stitch-size-*.json")):
        sample = read(path)
        record, state = sample.session, fold(sample.session.head, sample.entries())
        if state.baseline is None or state.status != "finished":
            continue
        turn, stays = record.head.clicks_per_turn, state.search.stays
        assert stays is not None
        tex = 100_000 / record.yarn.m_per_100g if record.yarn.m_per_100g else None
        here = known.setdefault((record.machine.id, record.cylinder.id), [])
        expected = expected_turns(here, tex)
        start = record.dial if expected is None else start_of_search(expected, turn)
        mean, sure = (nominal(expected), error(expected)) if expected else (0.0, 0.0)
        for told, begun in ((before, record.dial), (after, start)):
            count, first = trials(begun, stays, turn)
            told.append(Searched(round(record.yarn.m_per_100g or 0), begun, first, count, mean, sure, stays / turn + 1))
        here.append(StitchSize(state.baseline / turn, tex))
    return before, after


def show(before: list[Searched], after: list[Searched]) -> str:
    """A line a yarn, and the means."""
    lines = ["m/100 g  found  expected    begun  first  trials, from the machine's start"]
    for old, new in zip(before, after, strict=True):
        said = f"{new.expected:4.1f} ± {new.sure:.1f}" if new.sure else "         -"
        lines.append(
            f"{new.m_per_100g:7}  {new.truth:5.2f}  {said:>10}  {new.start / TURN:5.2f}  {new.first:5}  "
            f"{new.trials:6}  {old.trials:3}"
        )
    means = fmean(one.trials for one in after), fmean(one.trials for one in before)
    return "\n".join([*lines, f"Trials a yarn: {means[0]:.1f}, from the machine's start {means[1]:.1f}."])


if __name__ == "__main__":
    print(show(*simulated(Random(1127), THIRTY)))
    print("\nThe searches of the sample sessions")
    print(show(*replayed()))
