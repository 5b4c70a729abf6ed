"""Promised pairs in words: how far each is, its hours and its money, what this week holds, and a list's columns."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from hosewright.craft.workload import WEEK_DAYS, Due, need_for, outlook, week
from hosewright.logbook.records.planned import name_of
from hosewright.phrases.days import NO_DAY, days_to, show_day, weekday_of
from hosewright.phrases.figures import show_money
from hosewright.phrases.lists import Column, many
from hosewright.phrases.times import minutes_words

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from hosewright.craft.workload import Outlook, OwnPace, TimeNeed, Week
    from hosewright.logbook.accounts.pairs import Pair, Sock, YarnCost
    from hosewright.logbook.records.shelf import Wearer, Yarn
    from hosewright.logbook.records.year import Promise
    from hosewright.settings.table import Settings

NO_PACE = "crank a sock first, so that your pace is known"
SOON_DAYS = 7
FAR_DAYS = 3653  # ours: nobody plans further
WIDE = 103  # cells; in fewer each pair has two lines


def for_whom(pair: Pair) -> str:
    """The wearer, with how the promise is called where a name was typed for it or nobody is named."""
    called = pair.promise.name
    if pair.wearer is None:
        return called
    whom = pair.wearer.name
    if called in (whom, usual_name(pair.wearer, pair.yarn)):
        return whom
    return called if whom.casefold() in called.casefold() else f"{whom}, {called}"


def usual_name(wearer: Wearer | None, yarn: Yarn | None) -> str:
    """What a promise is called when nothing was typed: the wearer and the yarn."""
    return f"{wearer.name if wearer else 'A pair'}, {yarn.name if yarn else ''}".strip(", ")[:80]


def due_words(promise: Promise, today: date) -> str:
    """When it is due, or how it ended: "overdue, Fri 20 Nov", "Thu 24 Dec", "no day"."""
    if promise.retired:
        return "called off"
    if promise.handed_over:
        return f"handed over {show_day(promise.handed_over, today)}"
    if promise.by is None:
        return "no day"
    days = days_to(promise.by, today)
    said = show_day(promise.by, today)
    if days < 0:
        return f"overdue, {said}"
    return f"{weekday_of(days, today)}, {said}" if days < 2 else said


def due_sign(promise: Promise, today: date) -> tuple[str, str]:
    """A sign and the role of its colour: past its day, within a week of it, promised, handed over, or called off."""
    if promise.retired:
        return "×", "muted"
    if promise.handed_over:
        return "■", "done"
    days = days_to(promise.by, today) if promise.by else SOON_DAYS
    return ("!", "fault") if days < 0 else ("◆", "due") if days < SOON_DAYS else ("◇", "promised")


def sock_words(sock: Sock) -> str:
    """How far one sock is, as fully as it is known."""
    said = f"{sock.stage}: {sock.fit}" if sock.fit else sock.stage
    if sock.part:
        said += f", {sock.part}"
    return f"{said} (sock {sock.number} of a string)" if sock.number else said


def left_words(pair: Pair, pace: OwnPace, off_crank_min: float = 0.0) -> str:
    """Hours left of a pair, or why they are not known."""
    if pair.left is None:
        return "no plan yet"
    need = need_for(pair.left, pace, off_crank_min)
    if need is None:
        return f"{pair.left.rows} rows, {pair.left.passes} passes"
    if round(need.minutes):
        return minutes_words(need.minutes)
    return "under 1 min" if pair.left.rows or pair.left.passes or pair.left.socks else "nothing"


def need_words(need: TimeNeed) -> str:
    """Hours with their spread, and what they count."""
    spread = f" ± {minutes_words(need.error)}" if round(need.error) else ""
    if round(need.off_crank):
        return f"{minutes_words(need.cranking)}{spread} of cranking and {minutes_words(need.off_crank)} off the crank"
    return f"{minutes_words(need.cranking)}{spread} of cranking"


def time_for(pairs: Iterable[Pair], pace: OwnPace, settings: Settings, today: date) -> tuple[Week, Outlook]:
    """What this week holds of these pairs; what all of them take, and the day they end."""
    promised = [pair for pair in pairs if not (pair.promise.handed_over or pair.promise.retired)]
    dues = [Due(days_to(one.promise.by, today) if one.promise.by else None, one.left) for one in promised]
    minutes, off = settings.hours_a_week * 60.0 or None, settings.off_crank_min
    return (
        week(dues, pace, minutes_a_week=minutes, off_crank_min=off),
        outlook(dues, pace, minutes_a_week=minutes, off_crank_min=off),
    )


def is_this_week(pair: Pair, today: date) -> bool:
    """Whether it is due this week, or overdue."""
    return pair.promise.by is not None and days_to(pair.promise.by, today) < WEEK_DAYS


def week_words(held: Week, settings: Settings, today: date) -> str:
    """One sentence: "This week: 11 pairs, 9 h 40 min of cranking; by Friday 6 h are needed."."""
    if not held.pairs:
        return "Nothing is due this week."
    said = f"This week: {many(held.pairs, 'pair')}"
    if held.overdue:
        said += f" ({held.overdue} overdue)"
    if held.unknown:
        said += f", {held.unknown} without a plan"
    if held.need is None:
        return f"{said}; for hours, {NO_PACE}."
    if held.unknown == held.pairs:
        return f"{said}, so no hours are known."
    if not round(held.need.minutes):
        return f"{said}; nothing of it is left to crank."
    said += f", {need_words(held.need)}"
    if held.passed is not None:
        needed = f"{_by(held.passed.day, today)} {minutes_words(held.passed.minutes)}"
        return f"{said}; {needed} are needed, and you have {settings.hours_a_week} h a week."
    first = next(day for day in held.days if round(day.minutes))
    if first.day != held.days[-1].day:
        said += f"; {_by(first.day, today)} {minutes_words(first.minutes)} are needed"
    if settings.hours_a_week:
        said += f"; you have {settings.hours_a_week} h a week"
    return f"{said}."


def all_words(every: Outlook, held: Week, settings: Settings, today: date) -> str:
    """One sentence: "All 11 pairs: 31 h of cranking; at 6 h a week they are done by Sat 6 Feb, 2 pairs too late.".

    Empty while nothing tells how long they take, nothing is left to crank, or the week says it all.
    """
    if every.need is None or not round(every.need.minutes):
        return ""
    known = f", {every.unknown} without a plan" if every.unknown else ""
    pairs = {1: "One pair in all", 2: "Both pairs"}.get(every.pairs, f"All {every.pairs} pairs")
    said = f"{pairs}{known}: {need_words(every.need)}"
    if every.ends is None:
        return f"{said}." if every.pairs > held.pairs else ""
    if every.pairs > held.pairs:
        said, they = f"{said}; at {settings.hours_a_week} h a week", "they are" if every.pairs > 1 else "it is"
    else:
        said, they = f"At {settings.hours_a_week} h a week", "all of it is"
    if every.ends > FAR_DAYS:
        return f"{said} {they} not done in ten years."
    late = f", {many(every.late, 'pair')} too late" if every.late else ""
    return f"{said} {they} done by {show_day((today + timedelta(every.ends)).isoformat(), today)}{late}."


def week_days(held: Week, today: date) -> list[str]:
    """A line for each day something is due: what is needed by its end, all before it counted in."""
    return [f"{_by(day.day, today)}: {minutes_words(day.minutes)}" for day in held.days if round(day.minutes)]


def _by(days: int, today: date) -> str:
    return f"by {weekday_of(days, today)}" if days else "today"


# --- money ------------------------------------------------------------------------------------------------------


def money_words(promise: Promise, money: str = "") -> str:
    """Price and paid, as far as either is given: "28, paid 10", "28, paid", "28, not paid"."""
    price, paid = promise.price, promise.paid
    if price is None:
        return f"paid {show_money(paid, money)}" if paid else ""
    said = show_money(price, money)
    if paid >= price:
        more = paid - price
        return f"{said}, paid" + (f" and {show_money(more, money)} more" if more else "")
    return f"{said}, paid {show_money(paid, money)}" if paid else f"{said}, not paid"


def cost_words(cost: YarnCost, money: str = "") -> str:
    """What its yarn cost: "6.40", "3.20 so far, 6.40 in all", "6.40 in all, as far as it is known"."""
    whole = f"{show_money(cost.whole, money)}{' in all' if cost.to_come else ''}"
    said = f"{show_money(cost.so_far, money)} so far, {whole}" if cost.so_far and cost.to_come else whole
    return f"{said}, as far as it is known" if cost.in_part else said


# --- a list -----------------------------------------------------------------------------------------------------


def pair_columns(
    pace: OwnPace, settings: Settings, today: date, room: int = WIDE, money: str = ""
) -> tuple[Column[Pair], ...]:
    """The columns of the list in ``room`` cells: seven, or four with two lines; ``money``: the word after a price."""

    def yarn(pair: Pair) -> str:
        return pair.yarn.name if pair.yarn else ""

    def by(pair: Pair) -> tuple[bool, str, str]:
        return pair.promise.retired or bool(pair.promise.handed_over), pair.promise.by or NO_DAY, pair.promise.made

    def work(pair: Pair) -> float:
        need = need_for(pair.left, pace, settings.off_crank_min) if pair.left else None
        return need.cranking if need else float("inf")

    def standing(pair: Pair) -> str:
        return due_sign(pair.promise, today)[1]

    def when(pair: Pair) -> str:
        return f"{due_sign(pair.promise, today)[0]} {due_words(pair.promise, today)}"

    due: Column[Pair] = Column("Due", when, order=by, style=standing)
    whom = Column("For", for_whom, order=lambda pair: for_whom(pair).casefold(), share=55)
    of = Column("Yarn", yarn, order=lambda pair: yarn(pair).casefold(), share=45)
    left: Column[Pair] = Column(
        "Left", lambda pair: left_words(pair, pace, settings.off_crank_min), number=True, order=work
    )
    first: Column[Pair] = Column("First", lambda pair: pair.first.stage)
    twin: Column[Pair] = Column("Twin", lambda pair: pair.twin.stage)
    price: Column[Pair] = Column("Price", lambda pair: money_words(pair.promise, money))
    if room >= WIDE:
        return due, whom, of, left, first, twin, price
    return due, whom.above(first), of.above(twin), left.above(price)


def marked_lines(pair: Pair, pace: OwnPace, settings: Settings, today: date, cost: YarnCost | None = None) -> list[str]:
    """All that is known of one pair."""
    promise = pair.promise
    of = [f"yarn {pair.yarn.name}" if pair.yarn else "", f"dye lot {pair.lot.name}" if pair.lot else ""]
    of += [f"plan {pair.plan.name}" if pair.plan else "no plan yet: Enter chooses one"]
    first = f"First {name_of(pair.plan) if pair.plan else 'sock'}"
    lines = [
        f"{promise.name}: {due_words(promise, today)}; {', '.join(part for part in of if part)}",
        f"{first:<10}  {sock_words(pair.first)}",
        f"Twin        {sock_words(pair.twin)}",
    ]
    lines += [f"Also        {sock_words(sock)}" for sock in pair.more]
    lines += [
        f"Spoilt      {one.reason}, after {one.done.rows} rows and {one.done.passes} passes" for one in pair.spoilt
    ]
    lines += _left(pair, pace, settings)
    money = money_words(promise, settings.money)
    lines += [f"Price       {money}"] if money else []
    lines += [f"Yarn cost   {cost_words(cost, settings.money)}"] if cost else []
    return lines + ([f"Note        {promise.note}"] if promise.note else [])


def _left(pair: Pair, pace: OwnPace, settings: Settings) -> list[str]:
    if pair.left is None or not (pair.left.rows or pair.left.passes or pair.left.socks):
        return []
    said = f"Left        {pair.left.rows} rows and {pair.left.passes} passes"
    need = need_for(pair.left, pace, settings.off_crank_min)
    if need is None:
        return [f"{said}; for hours, {NO_PACE}"]
    return [f"{said}: {need_words(need)}"]
