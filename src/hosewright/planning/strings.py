"""Socks cranked one after another in one string: which pairs can go on it, and the session they make."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from hosewright.logbook.records import planned
from hosewright.logbook.records.sessions import MOST_IN_STRING, SessionRecord, StringSock
from hosewright.logbook.records.shelf import Plan, Wearer
from hosewright.phrases.days import show_day
from hosewright.phrases.lists import many
from hosewright.planning.starting import in_use, new_record
from hosewright.session.procedures import string_steps

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.year import Promise


@dataclass(frozen=True, slots=True)
class Chosen:
    """A sock of the string to be. ``twin``: of the sock before it."""

    plan: Plan
    promise: Promise | None = None
    twin: bool = False

    @property
    def words(self) -> str:
        whose = f" for {self.promise.name}" if self.promise and self.promise.name != self.plan.name else ""
        return f"{self.plan.name}{whose}, {'twin' if self.twin else f'first {planned.name_of(self.plan)}'}"


@dataclass(frozen=True, slots=True)
class Offer:
    """A pair that could go on the string; ``why_not`` says in a few words why it cannot."""

    plan: Plan
    promise: Promise | None
    why_not: str = ""
    socks: int = 2  # of a pair promised only those not begun yet
    due: str = ""  # the day, in words

    @property
    def words(self) -> str:
        due = f", by {self.due}" if self.due else ""
        left = f", one {planned.name_of(self.plan)} to go" if self.socks == 1 else ""
        whose = f"promised: {self.promise.name}{due}{left}; " if self.promise else ""
        return f"{whose}{self.plan.name}" + (f"   ({self.why_not})" if self.why_not else "")


def offers(
    plans: Sequence[Plan], promises: Sequence[tuple[Promise, int]], chosen: Sequence[Chosen], today: date
) -> list[Offer]:
    """Every pair that could be added, those promised first; ``promises`` with their socks to begin, the next due first.

    A string is cranked on one machine and cylinder, with one yarn and the dial in one place.
    """
    taken = {sock.promise.id for sock in chosen if sock.promise}
    like = chosen[0].plan if chosen else None
    known = {plan.id: plan for plan in plans}
    why_not = {plan.id: _why_not(plan, like) if like else "" for plan in plans}
    found = [
        Offer(known[one.plan], one, why_not[one.plan], socks, show_day(one.by, today) if one.by else "")
        for one, socks in promises
        if one.plan in known and one.id not in taken
    ]
    promised = {offer.plan.id for offer in found}  # a pair stands there once, for whom it is
    found += [Offer(plan, None, why_not[plan.id]) for plan in plans if plan.id not in promised]
    return sorted(found, key=lambda offer: bool(offer.why_not))


def _why_not(plan: Plan, like: Plan) -> str:
    if plan.machine != like.machine or plan.cylinder != like.cylinder:
        return "on another machine or cylinder"
    if plan.yarn != like.yarn:
        return "another yarn"
    return "another dial position" if plan.dial != like.dial else ""


def socks_of(offer: Offer) -> list[Chosen]:
    """The socks of a pair that are to be cranked."""
    return [Chosen(offer.plan, offer.promise)] * offer.socks


def paired(chosen: Sequence[Chosen]) -> list[Chosen]:
    """The same socks, every second one of a plan and promise in a row the twin of the one before."""
    made: list[Chosen] = []
    for sock in chosen:
        before = made[-1] if made else None
        twin = before is not None and not before.twin and (before.plan, before.promise) == (sock.plan, sock.promise)
        made.append(replace(sock, twin=twin))
    return made


def string_record(
    book: Logbook, chosen: Sequence[Chosen], separator_rows: int, set_up: Mapping[str, Any], dial: int | None = None
) -> SessionRecord:
    """The start of a string; ``dial`` where its plans do not know.

    Raises ValueError (CraftError where a sock cannot be knitted) with a sentence.
    """
    if not chosen:
        raise ValueError("The string has no sock yet: mark a pair below and press Enter.")
    if len(chosen) > MOST_IN_STRING:
        raise ValueError(f"A string has at most {MOST_IN_STRING} socks; this one has {len(chosen)}.")
    like, name = chosen[0].plan, planned.name_of_all(sock.plan for sock in chosen)
    machine, cylinder, yarn = in_use(book, like)
    wearers = {wearer.id: wearer for wearer in book.shelf(Wearer, retired=True)}
    parts = [planned.sock_parts(sock.plan, planned.sections(sock.plan), machine.carrier_in) for sock in chosen]
    socks = tuple(
        StringSock(
            plan=sock.plan,
            wearer=wearers.get(sock.plan.wearer or ""),
            promise=sock.promise.id if sock.promise else None,
            twin=sock.twin,
        )
        for sock in chosen
    )
    return new_record(
        book,
        "string",
        f"String of {many(len(socks), name)}: {yarn.name} on {cylinder.name}",
        dial if like.dial is None else like.dial,
        string_steps(parts, separator_rows),
        machine=machine,
        cylinder=cylinder,
        yarn=yarn,
        socks=socks,
        **set_up,
    )
