"""The lines of the list of promised pairs, and what is said of the marked one. No Textual here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.workload import need_for
from hosewright.words.pairs import (
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

    from hosewright.craft.workload import OwnPace
    from hosewright.logbook.accounts.pairs import Pair
    from hosewright.settings.table import Settings

WIDE = 110  # from here on a pair has one line, below it two
_HEADINGS = ("Due", "For", "Yarn", "Left", "First sock", "Twin", "Price")
_FIRST_LINE = 4  # of these are on the first of two lines
_DUE, _STAGE, _LEFT, _PRICE = 23, 14, 12, 16
_AROUND = 4  # the list's own margin, and a scroll bar


def widths(width: int) -> tuple[int, ...]:
    """How wide each column is at this width of the terminal; those of a second line are left out."""
    more = (_STAGE, _STAGE, _PRICE) if width >= WIDE else ()
    room = width - _AROUND - _DUE - _LEFT - sum(more) - (_FIRST_LINE + len(more) - 1)
    whom = max(8, room * 55 // 100)
    return (_DUE, whom, max(8, room - whom), _LEFT, *more)


def heading_line(columns: Sequence[int]) -> str:
    """What stands above the columns."""
    return _line(_HEADINGS, columns)


def pair_line(pair: Pair, pace: OwnPace, settings: Settings, today: date, columns: Sequence[int]) -> str:
    """One pair, in one line or two."""
    money = money_words(pair.promise)  # the word for money stands below the list
    cells = (
        due_words(pair.promise, today),
        for_whom(pair),
        pair.yarn.name if pair.yarn else "",
        left_words(pair, pace, settings.off_crank_min),
        pair.first.stage,
        pair.twin.stage,
        money,
    )
    line = _line(cells, columns)
    if len(columns) > _FIRST_LINE:
        return line
    below = f"  first sock {pair.first.stage}, twin {pair.twin.stage}"
    return f"{line}\n{below}{f'; price {money}' if money else ''}"


def marked_lines(pair: Pair, pace: OwnPace, settings: Settings, today: date) -> list[str]:
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


def _left(pair: Pair, pace: OwnPace, settings: Settings) -> list[str]:
    if pair.left is None or not (pair.left.rows or pair.left.passes or pair.left.socks):
        return []
    said = f"Left        {pair.left.rows} rows and {pair.left.passes} passes"
    need = need_for(pair.left, pace, settings.off_crank_min)
    if need is None:
        return [f"{said}; for hours, {NO_PACE}"]
    return [f"{said}: {need_words(need)}"]


def _line(cells: Sequence[str], columns: Sequence[int]) -> str:
    cut = [cell if len(cell) <= width else f"{cell[: width - 1]}…" for cell, width in zip(cells, columns, strict=False)]
    return " ".join(cell.ljust(width) for cell, width in zip(cut, columns, strict=True)).rstrip()
