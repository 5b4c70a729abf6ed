"""What someone typed to find sessions by, read into what to look for.

Plain words are looked for in everything a session says and in the faults noted in it, as beginnings: "gre 64" finds
Grey on 64 slots, "dropped" a dropped stitch. A word may be kept to one place ("yarn:grey", "fault:tuck"), and days are
typed as "since:2025-01", "until:2025-03-31" or "began:2025".
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from hosewright.session.kinds import KINDS, STATUS_WORDS
from hosewright.session.observations import FAULT_WORDS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.session.events import Fault

PLACES = ("title", "yarn", "machine", "cylinder", "wearer", "verdict", "notes")
FAULT = "fault"  # a place, too, but not of words; "seen" is an older name of it
OLD_NAMES = {"seen": FAULT}
DAYS = ("since", "until", "began")
_PART = re.compile(r'(?:(\w+):)?("[^"]*"?|\S+)')
_DAY = re.compile(r"(\d{4})(?:-(\d{1,2})(?:-(\d{1,2}))?)?")


class FindError(ValueError):
    """What was typed cannot be looked for; the text is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class Sought:
    """One word: an SQLite FTS5 expression (none for ``fault:``), and the faults noted that will do as well."""

    match: str
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to look for: words that must all be found, kinds, standings, and a span of days."""

    words: tuple[Sought, ...] = ()
    kinds: tuple[str, ...] = ()
    statuses: tuple[str, ...] = ()
    since_ms: int | None = None
    before_ms: int | None = None

    @property
    def anything(self) -> bool:
        """Whether every session is wanted."""
        return self == Wanted()


def read_wanted(text: str, zone_min: int = 0) -> Wanted:
    """What ``text`` asks for; days are those of a place ``zone_min`` minutes ahead of UTC. Raises FindError."""
    wanted = Wanted()
    for place, said in _PART.findall(text):
        place = place.lower()
        wanted = narrowed(wanted, OLD_NAMES.get(place, place), said.strip('"'), zone_min)
    return wanted


def narrowed(wanted: Wanted, place: str, said: str, zone_min: int = 0) -> Wanted:
    """``wanted`` with one more thing asked for; ``place`` is empty for a word anywhere. Raises FindError."""
    if not said.strip():
        return wanted
    if place == "kind":
        return replace(wanted, kinds=(*wanted.kinds, _one_of(KINDS, said, "kind")))
    if place == "status":
        return replace(wanted, statuses=(*wanted.statuses, _one_of(STATUS_WORDS, said, "status")))
    if place in DAYS:
        first, after = _days(said, zone_min)
        since = wanted.since_ms if place == "until" else max(first, wanted.since_ms or first)
        before = wanted.before_ms if place == "since" else min(after, wanted.before_ms or after)
        return replace(wanted, since_ms=since, before_ms=before)
    if place == FAULT:
        return replace(wanted, words=(*wanted.words, *(Sought("", _noted_as(word)) for word in _tokens(said))))
    if place and place not in PLACES:
        said = f"{place}:{said}"  # "10:15" or any other word with a colon in it
    words = tuple(_sought(word, place if place in PLACES else "") for word in _tokens(said))
    return replace(wanted, words=(*wanted.words, *words))


def _tokens(said: str) -> list[str]:
    """The words of ``said`` as the index has them: letters and figures only."""
    return re.findall(r"[^\W_]+", said)


def _sought(word: str, place: str) -> Sought:
    return Sought(f'{f"{place} : " if place else ""}"{word}" *', () if place else faults_called(word))


def faults_called(word: str) -> tuple[Fault, ...]:
    """The faults with a word that begins like this in what the screen calls them; "drops" is "drop" here."""
    begins = word.casefold()
    if len(begins) > 3:
        begins = begins.removesuffix("s")
    return tuple(fault for fault, words in FAULT_WORDS.items() if any(one.startswith(begins) for one in words.split()))


def _noted_as(word: str) -> tuple[Fault, ...]:
    found = faults_called(word)
    if not found:
        raise FindError(f"{FAULT}: is one of {', '.join(FAULT_WORDS.values())}.")
    return found


def _one_of(called: Mapping[str, str], said: str, what: str) -> str:
    """What ``said`` begins the name of: as the lists show it ("given up", also "given-up"), or as it is stored."""
    begins = said.lower().replace("-", " ")
    found = [
        stored for stored, shown in called.items() if shown.lower().startswith(begins) or stored.startswith(begins)
    ]
    if len(found) != 1:
        typed = [shown.lower().replace(" ", "-") for shown in called.values()]
        raise FindError(f"{what}: is one of {', '.join(typed)}.")
    return found[0]


def _days(said: str, zone_min: int) -> tuple[int, int]:
    """The first moment of a day, month or year and the first after it, in ms."""
    fits = _DAY.fullmatch(said)
    year, month, day = (int(part) if part else None for part in fits.groups()) if fits else (0, None, None)
    try:
        first = date(year or 0, 1 if month is None else month, 1 if day is None else day)
        if day:
            after = first + timedelta(days=1)
        elif month:
            after = (first.replace(day=28) + timedelta(days=4)).replace(day=1)
        else:
            after = first.replace(year=first.year + 1)
    except (ValueError, OverflowError):
        raise FindError(f"A day is typed as 2025, 2025-01 or 2025-01-31, not {said[:20]!r}.") from None
    begin, end = ((_midnight(one) - timedelta(minutes=zone_min)).timestamp() for one in (first, after))
    return int(begin * 1000), int(end * 1000)


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)
