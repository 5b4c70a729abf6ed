"""The columns of the list of promised pairs, and what is said of the marked one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.workload import need_for
from hosewright.phrases.columns import Column
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
    from datetime import date

    from hosewright.craft.workload import OwnPace
    from hosewright.logbook.accounts.pairs import Pair
    from hosewright.settings.table import Settings

WIDE = 103  # cells; in fewer each pair has two lines


def pair_columns(pace: OwnPace, settings: Settings, today: date, room: int) -> tuple[Column[Pair], ...]:
    """The columns of the list in ``room`` cells: seven, or four with two lines."""

    def yarn(pair: Pair) -> str:
        return pair.yarn.name if pair.yarn else ""

    def by(pair: Pair) -> tuple[bool, str, str]:
        return pair.promise.retired or bool(pair.promise.handed_over), pair.promise.by or "9999", pair.promise.made

    def work(pair: Pair) -> float:
        need = need_for(pair.left, pace, settings.off_crank_min) if pair.left else None
        return need.cranking if need else float("inf")

    due: Column[Pair] = Column("Due", lambda pair: due_words(pair.promise, today), order=by)
    whom = Column("For", for_whom, order=lambda pair: for_whom(pair).casefold(), share=55)
    of = Column("Yarn", yarn, order=lambda pair: yarn(pair).casefold(), share=45)
    left: Column[Pair] = Column("Left", lambda pair: left_words(pair, pace, settings.off_crank_min), order=work)
    first: Column[Pair] = Column("First sock", lambda pair: pair.first.stage)
    twin: Column[Pair] = Column("Twin", lambda pair: pair.twin.stage)
    price: Column[Pair] = Column(
        "Price", lambda pair: money_words(pair.promise)
    )  # the word for money stands below the list
    if room >= WIDE:
        return due, whom, of, left, first, twin, price
    return due, whom.above(first), of.above(twin), left.above(price)


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
