"""The lines of the list of promised pairs, and what is said of the marked one. No Textual here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.workload import need_for
from hosewright.prints.pair_words import (
    NO_PACE,
    due_words,
    for_whom,
    left_words,
    money_words,
    need_words,
    sock_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from hosewright.craft.workload import Pace
    from hosewright.logbook.pairs import Pair
    from hosewright.settings import Settings

WIDE = 110
_HEADINGS = ("Due", "For", "Yarn", "First sock", "Twin", "Left", "Price")
_NARROW = (19, 12, 9, 14, 14, 0, 0)
_AROUND = 4  # the list's own margin, and a scroll bar


def widths(width: int) -> tuple[int, ...]:
    """How wide each column is at this width of the terminal; 0 leaves it out."""
    if width < WIDE:
        return (*_NARROW[:5], 0, 0) if width < 82 else (*_NARROW[:5], 12, 0)
    rest = width - _AROUND - 20 - 14 - 14 - 12 - 18 - 6
    return (20, rest * 55 // 100, rest * 45 // 100, 14, 14, 12, 18)


def heading_line(columns: Sequence[int]) -> str:
    """What stands above the columns."""
    return _line(_HEADINGS, columns)


def pair_line(pair: Pair, pace: Pace, settings: Settings, today: date, columns: Sequence[int]) -> str:
    """One pair in one line."""
    cells = (
        due_words(pair.promise, today),
        for_whom(pair),
        pair.yarn.name if pair.yarn else "",
        pair.first.stage,
        pair.twin.stage,
        left_words(pair, pace, settings.off_crank_min),
        money_words(pair.promise, settings.money),
    )
    return _line(cells, columns)


def marked_lines(pair: Pair, pace: Pace, settings: Settings, today: date) -> list[str]:
    """All that is known of one pair."""
    promise = pair.promise
    of = [f"yarn {pair.yarn.name}" if pair.yarn else "", f"dye lot {pair.lot.name}" if pair.lot else ""]
    of += [f"plan {pair.plan.name}" if pair.plan else "no plan yet: Enter chooses one"]
    lines = [
        f"{promise.name}: {due_words(promise, today)}; {', '.join(part for part in of if part)}",
        f"First sock  {sock_words(pair.first)}",
        f"Twin        {sock_words(pair.twin)}",
    ]
    lines += [f"Also        {sock_words(sock)}" for sock in pair.more]
    lines += [
        f"Spoilt      {one.reason}, after {one.done.rows} rows and {one.done.passes} passes" for one in pair.spoilt
    ]
    lines += _left(pair, pace, settings)
    money = money_words(promise, settings.money)
    lines += [f"Price       {money}"] if money else []
    return lines + ([f"Note        {promise.note}"] if promise.note else [])


def _left(pair: Pair, pace: Pace, settings: Settings) -> list[str]:
    if pair.left is None or not (pair.left.rows or pair.left.passes or pair.left.socks):
        return []
    said = f"Left        {pair.left.rows} rows and {pair.left.passes} passes"
    need = need_for(pair.left, pace, settings.off_crank_min)
    if need is None:
        return [f"{said}; for hours, {NO_PACE}"]
    return [f"{said}: {need_words(need)}"]


def _line(cells: Sequence[str], columns: Sequence[int]) -> str:
    found = []
    for cell, width in zip(cells, columns, strict=True):
        if width:
            found.append((cell if len(cell) <= width else cell[: width - 1] + "…").ljust(width))
    return " ".join(found).rstrip()
