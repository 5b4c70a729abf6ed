"""What machine and yarn did, as pages: needles that keep faulting, and a yarn card: whether its gauge has changed."""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING

from hosewright.craft.chance import odds_words
from hosewright.craft.dial import show_position
from hosewright.craft.units import PER_UNIT_MM, plus_minus, show_mass, show_number
from hosewright.paper.charts import Estimates, Tally, Timeline
from hosewright.paper.report import PageSection, to_markdown
from hosewright.phrases.days import clock_day, past_day
from hosewright.phrases.harmless import table, typed
from hosewright.phrases.lists import many
from hosewright.session.kinds import STATUS_WORDS
from hosewright.words.gauges import course_lines, holds_now
from hosewright.words.pace import NO_PACE_YET, PACE_RULE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.chance import Suspect
    from hosewright.logbook.accounts.care import Bed, ByNeedle, Changed, NeedleFault
    from hosewright.logbook.accounts.pace import MonthPace
    from hosewright.logbook.find.gauges import Course
    from hosewright.logbook.find.yarns import AtDial, OnCylinder, SockLine, TubeLine, YarnCard, Year
    from hosewright.logbook.records.shelf import Yarn


def yarn_page(card: YarnCard, unit: str = "in") -> str:
    """The card as Markdown; gauges per ``unit`` ("in", "cm" or "mm")."""
    return to_markdown(typed(card.yarn.name), yarn_sections(card, unit))


def yarn_sections(card: YarnCard, unit: str = "in") -> list[PageSection]:
    """The card in parts."""
    parts = [PageSection("", tuple(_label(card.yarn))), *over_time(card, unit)]
    several = len({on.machine.id for on in card.cylinders}) > 1
    for on in card.cylinders:
        lines: list[str] = []
        for at in on.in_order():
            lines += _dial(at, on, unit)
        named = f"{typed(on.cylinder.name)}, {typed(on.machine.name)}" if several else typed(on.cylinder.name)
        parts.append(PageSection(f"On {named}", tuple(lines)))
    if card.older:
        parts.append(PageSection("Before that, by year", tuple(_years(card.older, unit))))
    if card.unread:
        said = [f"- {typed(why)}" for why in card.unread[:MOST_LISTED]]
        more = len(card.unread) - MOST_LISTED
        parts.append(PageSection("Not read", tuple(said + ([f"- and {more} more"] if more > 0 else []))))
    if not (card.cylinders or card.older):
        parts.append(
            PageSection("Nothing found yet", ("No stitch size, gauge or sock of this yarn is in the logbook.",))
        )
    return parts


def over_time(card: YarnCard, unit: str = "in") -> list[PageSection]:
    """The gauge on each machine and cylinder: what holds now, whether it changed, its tubes over time."""
    parts = []
    for course in card.courses[:MOST_PLACES]:
        said = course_lines(course, card.spread, card.turn(course.place.machine), unit)
        parts.append(PageSection(f"Gauge on {_named(card, course)}", tuple(f"- {line}" for line in said)))
        where = f"{_named(card, course)}: r" if len(card.courses) > 1 else "R"
        parts.append(
            PageSection("", (), _drawn(course, f"{where}ows per {unit}", card.turn(course.place.machine), unit))
        )
    if len(card.courses) > MOST_PLACES:
        rest = [
            f"- {_named(card, one)}: {holds_now(one, card.spread, card.turn(one.place.machine), unit)}"
            for one in card.courses[MOST_PLACES:]
        ]
        parts.append(PageSection("Gauge elsewhere", tuple(rest[:MOST_LISTED])))
    return parts


def _named(card: YarnCard, course: Course) -> str:
    bed, machine = card.beds.get(course.place.cylinder), card.machines.get(course.place.machine)
    named = typed(bed.name) if bed else f"{course.place.slots} slots"
    if len({one.place.machine for one in card.courses}) > 1:
        named += f", {typed(machine.name if machine else course.place.machine)}"
    return named


def _drawn(course: Course, title: str, clicks_per_turn: int, unit: str) -> Timeline | Estimates:
    """Enough tubes along the calendar, at one dial position; few of them one under another, each at its own."""
    per = PER_UNIT_MM[unit]
    if not course.looks:
        several = len({tube.dial for tube in course.tubes}) > 1
        points = tuple(
            (
                tube.when + (f", {many(tube.dial, 'click')}" if several else ""),
                tube.rows_per_mm * per,
                tube.rows_error * per,
            )
            for tube in course.tubes[-MOST_LISTED:]
        )
        return Estimates(f"{title}, with standard errors", points)
    rows = [rate * per for rate in course.at_dial]
    times = [tube.began_ms for tube in course.tubes]
    ends = [(times[part[0]], times[part[-1]]) for part in course.parts]
    levels = [(*end, level * per) for end, level in zip(ends, course.levels, strict=True)]
    since, drift = times[course.parts[-1].start :], course.drift
    average = tuple((at, value * per) for at, value in zip(since, drift.values, strict=True)) if drift else ()
    at = show_position(course.dial, clicks_per_turn)
    others = ", other dial positions brought there" if len({tube.dial for tube in course.tubes}) > 1 else ""
    return Timeline(
        f"{title} with the dial {at}{others}",
        tuple(zip(times, rows, (tube.rows_error * per for tube in course.tubes), strict=True)),
        tuple(levels),
        average,
        (drift.low * per, drift.high * per) if drift else (),
        tuple((shift.last.began_ms + shift.first.began_ms) // 2 for shift in course.shifts),
    )


def _years(older: Sequence[Year], unit: str) -> list[str]:
    """The years as a table, those before the newest MOST_YEARS in one line."""
    per = PER_UNIT_MM[unit]

    def cells(name: str, years: Sequence[Year]) -> tuple[str, ...]:
        ends = [end * per for year in years if year.rows for end in year.rows]
        tubes, socks, right = (sum(getattr(year, what) for year in years) for what in ("tubes", "socks", "right"))
        rows = f"{min(ends):.2f} to {max(ends):.2f}" if ends else ""
        sessions = sum(year.sessions for year in years)
        return name, f"{sessions:,}", str(tubes or ""), rows, str(socks or ""), str(right or "")

    lines = [cells(str(year.year), (year,)) for year in older[:MOST_YEARS]]
    if older[MOST_YEARS:]:
        lines.append(cells(f"to {older[MOST_YEARS].year}", older[MOST_YEARS:]))
    return table(("Year", "Cranked", "Tubes", f"Rows per {unit}", "Socks", "Right"), lines)


def _label(yarn: Yarn) -> list[str]:
    striped = "striped" if yarn.striped else ""
    said = [text for text in (yarn.fibre, yarn.colour, striped, yarn.count) if text]
    if yarn.m_per_100g is not None and not yarn.count:
        said.append(f"{show_number(yarn.m_per_100g, 4)} m per 100 g")
    if yarn.ball_g is not None:
        said.append(f"{show_mass(yarn.ball_g)} a ball")
    lines = [f"- {typed(', '.join(said))}"] if said else []
    return [*lines, *([f"- {typed(yarn.note)}"] if yarn.note else [])] or ["- Nothing but its name is known."]


def _dial(at: AtDial, on: OnCylinder, unit: str) -> list[str]:
    """Everything at one dial position, ending with an empty line."""
    known = "" if at.dial is None else f"{show_position(at.dial, on.machine.turn)} ({many(at.dial, 'click')})"
    lines = [f"**Dial {known or 'not known in clicks'}**", ""]
    for base in at.bases:
        proven = "proven" if base.proven else "not yet proven"
        lines.append(f"- Stitch size found {clock_day(base.began_ms, base.zone_min)}, {proven}")
    lines += [f"- {_tube(tube, unit)}" for tube in at.tubes]
    lines += [f"- {_sock(sock)}" for sock in at.socks]
    masses = [sock.mass_g for sock in at.socks if sock.mass_g]
    if masses:
        lines.append(f"- Yarn a sock: {show_mass(fmean(masses))}, mean of {len(masses)}")
    return [*lines, ""]


def _tube(tube: TubeLine, unit: str) -> str:
    per = PER_UNIT_MM[unit]
    rows, stitches = tube.rows(), tube.stitches()
    washed = (("long", tube.length_change), ("wide", tube.width_change))
    changes = ", ".join(f"{change:+.1f} % {way}" for way, change in washed if change is not None)
    told = (
        f"{plus_minus(rows.value * per, rows.error * per, 2)} rows and "
        f"{plus_minus(stitches.value * per, stitches.error * per, 2)} stitches per {unit}",
        changes and f"by the wash {changes}",
        tube.on_foot and f"{tube.on_foot} on the foot",
        tube.dial_noted and f"dial noted as {typed(tube.dial_noted)}",
    )
    what = "Gauge" if tube.noted else "Tube" if tube.washed else "Unwashed tube"
    return f"{what} of {tube.when}: {'; '.join(part for part in told if part)}"


def _sock(sock: SockLine) -> str:
    weighs = show_mass(sock.mass_g) if sock.mass_g else ""
    if sock.planned_g:
        weighs += (", " if weighs else "") + f"{show_mass(sock.planned_g)} planned"
    told = [part for part in (weighs, sock.verdict or STATUS_WORDS[sock.status], typed(sock.parts)) if part]
    return f"{typed(sock.title)}, {sock.when}: {'; '.join(told)}"


MOST_PLACES = 3  # with a picture each
MOST_LISTED = 12
MOST_YEARS = 12
_PLURAL: dict[NeedleFault, str] = {"dropped": "drops", "tuck": "tucks", "split": "splits"}
# Common practice, no source.
_ADVICE: dict[NeedleFault, str] = {
    "dropped": "look at its latch",
    "tuck": "look at its latch, and whether the needle sits low",
    "split": "look at its hook for a burr or a bend",
}
MOST_SHOWN = 12


def warning(fault: NeedleFault, suspect: Suspect) -> str:
    """The warning on one needle: "needle 23: 4 of your last 9 drops; look at its latch"."""
    return f"needle {suspect.needle}: {suspect.hits} of your last {suspect.of} {_PLURAL[fault]}; {_ADVICE[fault]}"


def odds_sentence(suspect: Suspect) -> str:
    """How likely that is on a sound machine, in words."""
    return f"The chance that any needle of a sound cylinder comes to so many is {odds_words(suspect.odds)}."


def tally(found: ByNeedle) -> Tally:
    """The faults of one kind by needle, the most first."""
    shown = [(f"needle {needle}", hits) for needle, hits in found.counts[:MOST_SHOWN]]
    shown += [(f"needle {one.needle}, changed since", one.listed) for one in found.changed if one.listed]
    return Tally(f"The last {found.of} {_PLURAL[found.fault]} by needle", tuple(shown))


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def changed_words(fault: NeedleFault, changed: Changed) -> str:
    """What came of a new needle: "needle 23: 4 drops before it was changed on 3 Oct 2025, none since"."""
    day = clock_day(changed.at_ms, changed.zone_min)
    many = f"{changed.before} {_PLURAL[fault] if changed.before != 1 else _PLURAL[fault][:-1]}"
    return f"needle {changed.needle}: {many} before it was changed on {day}, {changed.since or 'none'} since"


def needles_page(beds: Sequence[tuple[Bed, Sequence[ByNeedle]]], zone_min: int = 0) -> str:
    """Every cylinder's needles as Markdown."""
    return to_markdown("Needles that keep faulting", needle_sections(beds, zone_min))


def needle_sections(beds: Sequence[tuple[Bed, Sequence[ByNeedle]]], zone_min: int = 0) -> list[PageSection]:
    """The same in parts."""
    parts: list[PageSection] = []
    for bed, faults in beds:
        said = tuple(f"- {one}" for one in said_of(faults, zone_min))
        parts.append(PageSection(f"{typed(bed.machine)}, {typed(bed.cylinder)}", said))
        parts += [PageSection("", (), tally(found)) for found in faults if found.of > 1]
    return parts or [PageSection("", ("Nothing was cranked yet.",))]


def pace_sections(found: Sequence[MonthPace]) -> list[PageSection]:
    """How fast the crank went month by month: along the calendar, then in figures."""
    if not found:
        return [PageSection("", (NO_PACE_YET,))]
    parts = [PageSection("", (PACE_RULE,))]
    for heading, what in (("Rows a minute", "rows"), ("Passes a minute", "passes")):
        points = tuple(
            (past_day(one.month), float(getattr(one.pace, what)), float(getattr(one.pace, f"{what}_spread")))
            for one in found
            if getattr(one.pace, what) is not None
        )
        if points:
            parts.append(PageSection("", (), Estimates(heading, points)))
    return parts


def said_of(faults: Sequence[ByNeedle], zone_min: int = 0) -> list[str]:
    """What there is to say of one cylinder: warnings with their odds, else that nothing stands out."""
    said = []
    for found in faults:
        for suspect in found.suspects:
            said.append(f"**{_sentence(warning(found.fault, suspect))}** {odds_sentence(suspect)}")
        said += [_sentence(changed_words(found.fault, one)) for one in found.changed]
        if found.unplaced:
            word = _PLURAL[found.fault] if found.unplaced > 1 else _PLURAL[found.fault][:-1]
            said.append(f"{found.unplaced} more {word} with no needle noted.")
    if any(found.suspects for found in faults):
        said.append(
            "How this was tested: exact binomial tail, corrected for looking at every needle and kind of fault."
        )
    else:
        placed = sum(found.of for found in faults)
        if placed:
            first = clock_day(min(found.first_ms for found in faults), zone_min)
            said.insert(
                0, f"{many(placed, 'fault')} with a needle noted since {first}: no needle stands out from chance."
            )
        else:
            said.insert(0, "No faults with a needle noted.")
    return said
