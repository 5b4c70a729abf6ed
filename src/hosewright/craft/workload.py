"""How long what is promised takes at the crank, at the person's own pace, and what this week holds.

Rows and passes are those of working yarn; a pass is another movement than a row, so each has its own pace. Times are
minutes. Days are counted from today: 0 is today, -1 was yesterday.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from hosewright.craft import CraftError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MAD_TO_SD = 1.482602218505602
WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class Work:
    """Rows and passes still to crank, and ``socks`` whose work off the crank is still ahead."""

    rows: int = 0
    passes: int = 0
    socks: int = 0

    def __add__(self, other: Work) -> Work:
        return Work(self.rows + other.rows, self.passes + other.passes, self.socks + other.socks)


@dataclass(frozen=True, slots=True)
class OwnPace:
    """Rows and passes a minute: the median of ``sessions``, each with its robust standard deviation.

    None: no session tells. A deviation is 0 where only one does.
    """

    rows: float | None = None
    passes: float | None = None
    rows_spread: float = 0.0
    passes_spread: float = 0.0
    sessions: int = 0


@dataclass(frozen=True, slots=True)
class TimeNeed:
    """Minutes at the crank with their standard error, and ``off_crank`` minutes beside them (0: not counted)."""

    cranking: float
    error: float
    off_crank: float = 0.0

    @property
    def minutes(self) -> float:
        return self.cranking + self.off_crank


@dataclass(frozen=True, slots=True)
class Due:
    """A pair due in ``day`` days (negative: overdue; None: no day). ``work``: None where nothing tells how much."""

    day: int | None
    work: Work | None


@dataclass(frozen=True, slots=True)
class DayNeed:
    """Minutes needed by the end of a day, with all that is due before; what is overdue is due today."""

    day: int
    minutes: float


@dataclass(frozen=True, slots=True)
class Week:
    """What today and the six days after hold.

    ``unknown`` of the ``pairs`` have no work that is known, ``need`` is None where no pace is known. ``passed`` is the
    first of ``days`` by which more is needed than the person has in a week.
    """

    pairs: int
    overdue: int
    unknown: int
    need: TimeNeed | None
    days: tuple[DayNeed, ...]
    passed: DayNeed | None


@dataclass(frozen=True, slots=True)
class Outlook:
    """All that is promised, whenever it is due; ``unknown`` of the ``pairs`` have no work that is known.

    ``ends`` is the day the last of it is cranked, ``late`` how many pairs are cranked after their day. None: neither is
    known without the minutes a person has in a week.
    """

    pairs: int
    unknown: int
    need: TimeNeed | None
    ends: int | None
    late: int


def own_pace(per_minute: Sequence[tuple[float | None, float | None]]) -> OwnPace:
    """The person's pace from (rows, passes) a minute of each session, None where one tells nothing.

    The median, and 1.4826 times the median distance from it: neither is moved by a few odd sessions.
    Raises CraftError for a pace that is not above zero.
    """
    rows = [row for row, _ in per_minute if row is not None]
    passes = [turned for _, turned in per_minute if turned is not None]
    if any(not (math.isfinite(pace) and pace > 0) for pace in (*rows, *passes)):
        raise CraftError("A pace is a number of rows or passes a minute above zero.")
    told = sum(row is not None or turned is not None for row, turned in per_minute)
    (row, row_spread), (turned, turned_spread) = _middle(rows), _middle(passes)
    return OwnPace(row, turned, row_spread, turned_spread, told)


def need_for(work: Work, pace: OwnPace, off_crank_min: float = 0.0) -> TimeNeed | None:
    """Minutes for ``work``; None while no pace is known and there is something to crank.

    While only one of the two paces is known it stands for the other, too. ``off_crank_min`` is added for each sock that
    is still to be finished off the crank. Error: the spread of the pace between sessions.
    """
    row, turned = pace.rows or pace.passes, pace.passes or pace.rows
    off = work.socks * off_crank_min
    if row is None or turned is None:
        return TimeNeed(0.0, 0.0, off) if not (work.rows or work.passes) else None
    row_spread = pace.rows_spread if pace.rows else pace.passes_spread
    turned_spread = pace.passes_spread if pace.passes else pace.rows_spread
    for_rows, for_passes = work.rows / row, work.passes / turned
    error = math.hypot(for_rows * row_spread / row, for_passes * turned_spread / turned)
    return TimeNeed(for_rows + for_passes, error, off)


def week(
    dues: Iterable[Due], pace: OwnPace, *, minutes_a_week: float | None = None, off_crank_min: float = 0.0
) -> Week:
    """What this week holds: every pair due by the sixth day from now, the overdue ones with them.

    ``minutes_a_week`` is the time the person has; None: not given, and nothing is said to pass it.
    """
    held = [(due.day, due.work) for due in _by_day(dues) if due.day is not None and due.day < WEEK_DAYS]
    days: dict[int, float] = {}
    so_far = Work()
    for day, work in held:
        so_far += work or Work()
        need = need_for(so_far, pace, off_crank_min)
        if need is not None:
            days[max(0, day)] = need.minutes
    listed = tuple(DayNeed(day, minutes) for day, minutes in days.items())
    passed = None
    if minutes_a_week is not None:
        passed = next((day for day in listed if day.minutes > minutes_a_week), None)
    return Week(
        pairs=len(held),
        overdue=sum(day < 0 for day, _ in held),
        unknown=sum(work is None for _, work in held),
        need=need_for(so_far, pace, off_crank_min),
        days=listed,
        passed=passed,
    )


def outlook(
    dues: Iterable[Due], pace: OwnPace, *, minutes_a_week: float | None = None, off_crank_min: float = 0.0
) -> Outlook:
    """All that is promised, cranked in the order it is due, today and every day as much as any other.

    ``late`` does not count those that are overdue already.
    """
    held = _by_day(dues)
    so_far, late, ends = Work(), 0, None
    for due in held:
        so_far += due.work or Work()
        need = need_for(so_far, pace, off_crank_min)
        if need is None or not need.minutes or not minutes_a_week:
            continue
        ends = math.ceil(need.minutes * WEEK_DAYS / minutes_a_week) - 1
        late += due.work not in (None, Work()) and due.day is not None and 0 <= due.day < ends
    return Outlook(len(held), sum(due.work is None for due in held), need_for(so_far, pace, off_crank_min), ends, late)


def _by_day(dues: Iterable[Due]) -> list[Due]:
    """The first due on top, those without a day last."""
    return sorted(dues, key=lambda due: (due.day is None, due.day or 0))


def _middle(values: list[float]) -> tuple[float | None, float]:
    if not values:
        return None, 0.0
    middle = median(values)
    return middle, MAD_TO_SD * median(abs(value - middle) for value in values)
