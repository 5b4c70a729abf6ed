"""What sessions are looked for by, as it is typed: read, said back in words, and made into conditions.

``yarn:grey`` looks in one place, quotes keep a phrase whole, ``-`` leaves out what fits, and figures may be spans:
``needle:17``, ``gauge:10.4-10.8``, ``pace:>25``. All of it must fit, but of several kinds or standings any one will do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import islice, takewhile
from typing import TYPE_CHECKING, Any

from hosewright.craft import CraftError
from hosewright.craft.units import PER_UNIT_MM
from hosewright.phrases.days import LAST_YEAR, days_of, plain_day, read_past_day
from hosewright.phrases.lists import listed
from hosewright.phrases.times import day_began
from hosewright.session.kinds import KINDS, STATUS_WORDS
from hosewright.session.observations import FAULT_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.session.events import Fault

PLACES = ("title", "yarn", "machine", "cylinder", "wearer", "verdict", "notes")
FAULT = "fault"  # a place, too, but not of words; "seen" is an older name of it
OLD_NAMES = {"seen": FAULT}
FIGURES = ("needle", "dial", "gauge", "pace")
NAMED = ("lot", "for")
DAYS = ("since", "until", "began")
EVERY_PLACE = (*PLACES, FAULT, *FIGURES, *NAMED, "kind", "status", *DAYS)
LEFT_OUT = "left out"

_PART = re.compile(r'(-?)(?:(\w+):)?("[^"]*"?|\S+)')
_LONGEST_DAY = 3  # words: 15 July 2025
_WITH_ITS_YEAR = re.compile(r".*[^\d].*\b\d{4}|\d{4}-.*")  # more than a year alone
_FIGURE = r"([0-9]+(?:[.,][0-9]+)?)"
_SPAN = re.compile(rf"(>=|<=|>|<)?{_FIGURE}|{_FIGURE}(?:-|–|\.\.){_FIGURE}")
_SPANS = {">": "{} > ?", ">=": "{} >= ?", "<": "{} < ?", "<=": "{} <= ?"}
_SPAN_WORDS = {">": "over {}", ">=": "{} or more", "<": "under {}", "<=": "{} or less"}
_LAST_SEQ = "(SELECT max(seq) FROM events e WHERE e.session = c.session)"
_RECORD = "(SELECT record FROM sessions o WHERE o.n = c.session)"
# The latest of each thing on the shelf whose name, or what else is said of it, has the words in it.
_SHELVED = """SELECT id, body FROM shelf s WHERE kind = '{0}' AND json_valid(body)
    AND revision = (SELECT max(revision) FROM shelf l WHERE l.kind = '{0}' AND l.id = s.id)"""
_LOT = f"""(EXISTS (SELECT 1 FROM ({_SHELVED.format("lot")}) WHERE has_words(json_extract(body, '$.name'), ?)
        AND (instr({_RECORD}, '"lot":"' || id || '"') OR c.session IN (
                SELECT session FROM seen WHERE fault = 'knot' AND NOT struck)
            AND instr(joined_lots(c.session, {_LAST_SEQ}), ' ' || id || ' ')))
    OR c.session IN (SELECT session FROM words WHERE words MATCH 'notes : "dye lot"')
        AND has_words(json_extract({_RECORD}, '$.dye_lot'), ?))"""
_FOR = f"""EXISTS (SELECT 1 FROM ({_SHELVED.format("promise")}) p WHERE instr({_RECORD}, '"promise":"' || p.id || '"')
    AND (has_words(json_extract(p.body, '$.name'), ?) OR EXISTS (SELECT 1 FROM ({_SHELVED.format("wearer")}) w
        LEFT JOIN called o ON o.kind = 'wearer' AND o.id = w.id WHERE w.id = json_extract(p.body, '$.wearer')
        AND (has_words(json_extract(w.body, '$.name'), ?) OR has_words(o.name, ?)))))"""
# A sock is right when it is right round and in length, a string when one of its socks is, a tube when it has one word.
_RIGHT = """(c.verdict IN ('right', 'round right, length right')
    OR c.verdict GLOB '*round right, sock [0-9] length right*'
    OR c.verdict GLOB '*round right, sock [0-9][0-9] length right*')"""


class FindError(ValueError):
    """What was typed cannot be looked for; the text is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class Term:
    """One thing looked for: in words as they come after "with", and in SQL of the catalogue ``c``, with its values.

    ``out``: what fits is left out. ``slow``: each session must be folded for it.
    """

    words: str
    sql: str
    values: tuple[Any, ...] = ()
    out: bool = False
    slow: bool = False

    @property
    def condition(self) -> str:
        return f"NOT coalesce({self.sql}, 0)" if self.out else self.sql


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to look for: terms that must all fit, kinds, standings, and the first and the last day it was begun.

    Days are those of a place ``zone_min`` minutes ahead of UTC.
    """

    terms: tuple[Term, ...] = ()
    kinds: tuple[str, ...] = ()
    statuses: tuple[str, ...] = ()
    first: date | None = None
    last: date | None = None
    zone_min: int = 0

    @property
    def anything(self) -> bool:
        """Whether nothing is asked for, so that any session will do."""
        return self == Wanted(zone_min=self.zone_min)

    @property
    def slow(self) -> bool:
        """Whether each session must be folded to tell."""
        return any(term.slow for term in self.terms)

    @property
    def at_once(self) -> Wanted:
        """The same without what each session must be folded for."""
        return replace(self, terms=tuple(term for term in self.terms if not term.slow))

    @property
    def since_ms(self) -> int | None:
        return None if self.first is None else day_began(self.first, self.zone_min)

    @property
    def before_ms(self) -> int | None:
        return None if self.last is None else day_began(self.last + timedelta(1), self.zone_min)

    def conditions(self) -> tuple[list[str], list[Any]]:
        """Conditions on the catalogue ``c`` and their values, those that cost most last."""
        found: list[str] = []
        values: list[Any] = []
        for column, choices in (("kind", self.kinds), ("status", self.statuses)):
            if choices:
                found.append(f"c.{column} IN ({', '.join('?' * len(choices))})")
                values += choices
        for how, at_ms in ((">=", self.since_ms), ("<", self.before_ms)):
            if at_ms is not None:
                found.append(f"c.began {how} ?")
                values.append(at_ms)
        for term in sorted(self.terms, key=lambda term: term.slow):
            found.append(term.condition)
            values += term.values
        return found, values


def wanted_words(wanted: Wanted) -> str:
    """What is looked for, in words: "gauge tubes drying with “grey” in the yarn, begun since 1 Oct 2024"."""
    kinds = [f"{KINDS[kind].lower()}s".replace("stitch sizes", "stitch-size searches") for kind in wanted.kinds]
    standings = listed([STATUS_WORDS[one] for one in wanted.statuses], "or")
    said = []
    for how, out in (("with", False), ("without", True)):
        terms = [term.words for term in wanted.terms if term.out is out]
        if terms:
            said.append(f"{how} {listed(terms, 'or' if out else 'and')}")
    first, last = (one and plain_day(one.isoformat()) for one in (wanted.first, wanted.last))
    if first and last:
        said.append(f"begun on {first}" if first == last else f"begun from {first} to {last}")
    elif first or last:
        said.append(f"begun since {first}" if first else f"begun until {last}")
    return f"{listed(kinds, 'or') or 'sessions'} {standings}".rstrip() + f" {', '.join(said)}".rstrip()


def read_wanted(text: str, zone_min: int = 0, today: date = date(LAST_YEAR, 12, 31), unit: str = "in") -> Wanted:
    """What ``text`` asks for; days are those of a place ``zone_min`` minutes ahead of UTC. Raises FindError.

    A day without its year is the last one before ``today``; a gauge is in rows per ``unit``.
    """
    wanted = Wanted(zone_min=zone_min)
    parts = [(minus, place.lower(), said) for minus, place, said in _PART.findall(text)]
    while parts:
        minus, place, said = parts.pop(0)
        place = OLD_NAMES.get(place, place)
        if place in DAYS or not (place or minus):
            plain = takewhile(lambda one: not (one[0] or one[1]), parts)  # of no place, and leaving nothing out
            more = _day_ahead(place, [said, *(one for _, _, one in islice(plain, _LONGEST_DAY - 1))], today)
            if more:
                del parts[: len(more.split()) - 1]
                place, said = place or "began", more
        whole = said.startswith('"') and said.endswith('"') and len(said) > 1
        wanted = narrowed(wanted, place, said.strip('"'), today, unit, whole=whole, out=bool(minus))
    return wanted


def _day_ahead(place: str, words: list[str], today: date) -> str:
    """The longest day that ``words`` begin with; where no place says that a day comes, only one with its year."""
    if words[0].startswith('"'):
        return ""
    for many in range(len(words), 0, -1):
        said = " ".join(words[:many])
        if not place and not _WITH_ITS_YEAR.fullmatch(said):
            continue
        try:
            read_past_day(said, today)
        except CraftError:
            continue
        return said
    return ""


def narrowed(
    wanted: Wanted,
    place: str,
    said: str,
    today: date = date(LAST_YEAR, 12, 31),
    unit: str = "in",
    *,
    whole: bool = False,
    out: bool = False,
) -> Wanted:
    """``wanted`` with one more thing asked for; ``place`` is empty for a word anywhere. Raises FindError.

    ``whole``: its words are one phrase; ``out``: sessions that it fits are left out.
    """
    if not said.strip():
        return wanted
    if place in DAYS and not out:
        first, last = _days(said, today)
        return replace(
            wanted,
            first=wanted.first if place == "until" else max(first, wanted.first or first),
            last=wanted.last if place == "since" else min(last, wanted.last or last),
        )
    kind = _one_of(KINDS, said, "kind") if place == "kind" else ""
    left_out = place == "status" and LEFT_OUT.startswith(said.lower().replace("-", " ")) and len(said) > 1
    status = _one_of(STATUS_WORDS, said, "status") if place == "status" and not left_out else ""
    if not out and kind:
        return replace(wanted, kinds=(*wanted.kinds, kind))
    if not out and status:
        return replace(wanted, statuses=(*wanted.statuses, status))
    if kind:
        terms = [Term(f"any {KINDS[kind].lower()}", "c.kind = ?", (kind,))]
    elif status:
        terms = [Term(f"any {STATUS_WORDS[status]}", "c.status = ?", (status,))]
    elif left_out:
        terms = [Term("any reason to be left out" if out else "a reason to be left out", "c.left_out <> ''")]
    elif place in DAYS:
        first, last = _days(said, today)
        alone = narrowed(Wanted(zone_min=wanted.zone_min), place, said, today)
        conditions, values = alone.conditions()
        terms = [Term(f"any {wanted_words(alone).partition(' ')[2]}", " AND ".join(conditions), tuple(values))]
    elif place in FIGURES:
        terms = [_figure(place, said, unit)]
    elif place in NAMED:
        what = f"yarn of lot “{said}”" if place == "lot" else f"a promise that names “{said}”"
        terms = [Term(what, _LOT if place == "lot" else _FOR, (said,) * (2 if place == "lot" else 3))]
    elif place == "verdict" and said.lower() == "right":
        terms = [Term("a fit that is right, round and in length", _RIGHT)]
    else:
        if place and place not in (*PLACES, FAULT):
            place, said = "", f"{place}:{said}"  # "10:15" or any other word with a colon in it
        words = _tokens(said)
        terms = [_words(one, place, whole=whole) for one in ([" ".join(words)] if whole and words else words)]
    return replace(wanted, terms=(*wanted.terms, *(replace(term, out=out) for term in terms)))


def _tokens(said: str) -> list[str]:
    """The words of ``said`` as the index has them: letters and figures only."""
    return re.findall(r"[^\W_]+", said)


def _words(said: str, place: str, *, whole: bool) -> Term:
    """A word by its beginning, or a whole phrase: where the index has it, and as a fault that was noted."""
    if place == FAULT:
        faults = faults_called(said)
        if not faults:
            raise FindError(f"{FAULT}: is one of {', '.join(FAULT_WORDS.values())}.")
        return Term(f"a fault “{said}” noted", _noted(faults), faults)
    column = f"{place} : " if place else ""
    sql = "c.session IN (SELECT session FROM words WHERE words MATCH ?)"
    values: tuple[str, ...] = (f'{column}"{said}"' + ("" if whole else " *"),)
    faults = () if place else faults_called(said)
    if faults:
        sql, values = f"({sql} OR {_noted(faults)})", (*values, *faults)
    where = {"": "", "notes": " in the notes", "verdict": " said of the fit"}.get(place, f" in the {place}")
    return Term(f"“{said}”{where}", sql, values)


def _noted(faults: tuple[Fault, ...]) -> str:
    marks = ", ".join("?" * len(faults))
    return f"c.session IN (SELECT session FROM seen WHERE fault IN ({marks}) AND NOT struck)"


def faults_called(said: str) -> tuple[Fault, ...]:
    """The faults with words that begin like these in what the screen calls them; "drops" is "drop" here."""
    begins = [word.removesuffix("s") if len(word) > 3 else word for word in said.casefold().split()]
    return tuple(fault for fault, words in FAULT_WORDS.items() if _begin_in_a_row(begins, words.split()))


def _begin_in_a_row(begins: list[str], words: list[str]) -> bool:
    spans = (words[at : at + len(begins)] for at in range(len(words) - len(begins) + 1))
    return any(all(word.startswith(begin) for word, begin in zip(span, begins, strict=True)) for span in spans)


def has_words(text: object, said: str) -> bool:
    """Whether every word of ``said`` is the beginning of one in ``text``: a function of the conditions."""
    words = _tokens(text.casefold()) if isinstance(text, str) else []
    return all(any(word.startswith(begin) for word in words) for begin in _tokens(said.casefold()))


def _figure(place: str, said: str, unit: str) -> Term:
    """A figure, or a span of them; one alone stands for all that is rounded to it, but of needles and clicks."""
    found = _SPAN.fullmatch(said)
    if found is None:
        example = {"needle": "17", "dial": "30", "gauge": "10.4-10.8", "pace": ">25"}[place]
        raise FindError(f"{place}: is a figure or a span, such as {place}:{example}, not {said[:20]!r}.")
    how, one, low, high = (part.replace(",", ".") if part else part for part in found.groups())
    per = PER_UNIT_MM[unit] if place == "gauge" else 1.0
    if how:
        sql, values, words = _SPANS[how], [float(one)], _SPAN_WORDS[how].format(one)
    elif one:
        half = 0.0 if place in ("needle", "dial") else 0.5 * 10.0 ** -len(one.partition(".")[2])
        sql, values, words = "{} BETWEEN ? AND ?", [float(one) - half, float(one) + half], one
    else:
        sql, values, words = "{} BETWEEN ? AND ?", sorted([float(low), float(high)]), f"{low} to {high}"
    values = [value / per for value in values]
    if place == "needle":
        inside = f"c.session IN (SELECT session FROM seen WHERE {sql.format('needle')} AND NOT struck)"
        return Term(f"something noted at needle {words}", inside, tuple(values))
    if place == "gauge":
        rate = "CASE WHEN json_valid(body) THEN json_extract(body, '$.rows_per_mm') END"
        inside = f"c.session IN (SELECT session FROM gauges WHERE {sql.format(rate)})"
        return Term(f"a gauge of {words} rows/{unit}", inside, tuple(values))
    if place == "dial":
        at = sql.format(f"dial_of(c.session, {_LAST_SEQ})")
        return Term(f"the dial {words} clicks below zero", at, tuple(values), slow=True)
    inside = f"(c.left_out = '' AND {sql.format(f'pace_of(c.session, {_LAST_SEQ})')})"
    return Term(f"a usual pace of {words} rows a minute", inside, tuple(values), slow=True)


def _one_of(called: Mapping[str, str], said: str, what: str) -> str:
    """What ``said`` begins the name of: as the lists show it ("given up", also "given-up"), or as it is stored."""
    begins = said.lower().replace("-", " ")
    found = [
        stored for stored, shown in called.items() if shown.lower().startswith(begins) or stored.startswith(begins)
    ]
    if len(found) != 1:
        typed: Iterable[str] = (shown.lower().replace(" ", "-") for shown in called.values())
        raise FindError(f"{what}: is one of {', '.join([*typed, *(['left-out'] if what == 'status' else [])])}.")
    return found[0]


def _days(said: str, today: date) -> tuple[date, date]:
    """The first and the last day of a day, month or year as people type them."""
    try:
        return days_of(read_past_day(said, today))
    except CraftError as error:
        raise FindError(str(error)) from None
