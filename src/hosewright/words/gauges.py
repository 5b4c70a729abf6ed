"""A yarn's gauge over time in words: what holds now, whether it changed and how surely, whether it drifts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.chance import DIFFERENT_ODDS, odds_words
from hosewright.craft.changes import LEAST_TO_TELL
from hosewright.craft.dial import show_position
from hosewright.craft.measured import error, in_numbers, nominal
from hosewright.craft.units import MM_PER_INCH, PER_UNIT_MM, plus_minus
from hosewright.logbook.find.gauges import newest_against_others, pooled
from hosewright.phrases.lists import aligned, many
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from hosewright.craft.measured import Measured
    from hosewright.craft.spread import Spread
    from hosewright.logbook.find.gauges import Course, Place, Shift, Tube
    from hosewright.logbook.find.yarns import AtDial, OnCylinder, TubeLine, YarnCard

MOST_LISTED, MOST_EARLIER = 12, 6
LEVEL = f"{DIFFERENT_ODDS * 100:g} %"


def course_lines(course: Course, spread: Spread, clicks_per_turn: int, unit: str = "in") -> list[str]:
    """Everything there is to say of one place, a sentence or two each."""
    return [
        holds_now(course, spread, clicks_per_turn, unit),
        *([shift_words(course.shifts[-1], unit)] if course.shifts else []),
        *_earlier(course.shifts[:-1], unit),
        *_unchanged(course, spread, unit),
        *_drift(course),
        *_tested(course),
    ]


def holds_now(course: Course, spread: Spread, clicks_per_turn: int, unit: str = "in") -> str:
    """The gauge a plan takes: "10.31 ± 0.02 rows and 7.52 ± 0.02 stitches per in at ..., 5 tubes since 3 Jul 2025"."""
    per = PER_UNIT_MM[unit]
    rows, stitches = pooled(course.alike, spread)
    at = f"{show_position(course.dial, clicks_per_turn)} ({many(course.dial, 'click')})"
    return (
        f"{plus_minus(rows.value * per, rows.error * per, 2)} rows and "
        f"{plus_minus(stitches.value * per, stitches.error * per, 2)} stitches per {unit} with the dial {at}, "
        f"{tubes_words(course.alike, changed=bool(course.shifts))}; {spread.words}."
    )


def tubes_words(tubes: Sequence[Tube], *, changed: bool) -> str:
    """How many tubes, and since when where it changed before: "5 tubes since 3 Jul 2025"."""
    if len(tubes) == 1:
        return f"one tube, of {tubes[0].when}"
    return f"{many(len(tubes), 'tube')} {'since' if changed else 'from'} {tubes[0].when}"


def mean_lines(tubes: Sequence[Tube], left_out: Collection[str], shift: Shift | None, unit: str = "in") -> list[str]:
    """The tubes a gauge is the mean of, the newest first and numbered, those left out said to be; and why no older."""
    per = PER_UNIT_MM[unit]
    rows = [
        (
            f"{number:>2}",
            tube.when,
            f"{plus_minus(tube.rows_per_mm * per, tube.rows_error * per, 2)} rows/{unit}",
            "left out" if tube.session in left_out else "",
        )
        for number, tube in enumerate(reversed(tubes), 1)
    ]
    said = [f"The gauge is the mean of {many(len(tubes) - len(left_out), 'tube')}:", *aligned(rows[:MOST_LISTED])]
    if rows[MOST_LISTED:]:
        said.append(f"and {many(len(rows) - MOST_LISTED, 'older one')}, down to {tubes[0].when}")
    if shift is not None:
        said.append(f"No older ones: the gauge changed between {shift.last.when} and {shift.first.when}.")
    return said


def shift_words(shift: Shift, unit: str = "in") -> str:
    """When it changed, by how much and how surely."""
    per = PER_UNIT_MM[unit]
    when = f"Changed between {shift.last.when} and {shift.first.when}"
    if (shift.not_before, shift.not_after) != (shift.last, shift.first):
        when += f" (in 95 of 100 from {shift.not_before.when} to {shift.not_after.when})"
    return (
        f"**{when}: {difference_said(shift.by, unit)}**, from {shift.before * per:.2f} to {shift.after * per:.2f}. "
        f"The chance of this in a yarn that never changed is {odds_words(shift.found.odds)}."
    )


def _earlier(shifts: Sequence[Shift], unit: str) -> list[str]:
    """The changes before the last in a line, the newest of them first."""
    if not shifts:
        return []
    said = [f"{difference_said(shift.by, unit)} by {shift.first.when}" for shift in reversed(shifts)]
    more = f", and {len(said) - MOST_EARLIER} more" if len(said) > MOST_EARLIER else ""
    return [f"Changed before that: {'; '.join(said[:MOST_EARLIER])}{more}."]


def _unchanged(course: Course, spread: Spread, unit: str) -> list[str]:
    if course.shifts:
        return []
    if course.looks:
        return [f"No change in {course.looks} tubes: nothing beyond chance."]
    if len(course.tubes) == 1:
        return []
    few = f"{many(len(course.tubes), 'tube')} are too few to tell whether it changed, {LEAST_TO_TELL} can"
    how = newest_against_others(course, spread)
    if how is None:
        return [f"{few}: the newest is the only one at its dial position."]
    others = "the one before" if len(course.alike) == 2 else f"the {len(course.alike) - 1} before"
    here = " at this dial position" * (len(course.alike) < len(course.tubes))
    return [f"{few}: the newest has {difference_said(how, unit)} than {others}{here}."]


def difference_said(by: Measured, unit: str) -> str:
    """A difference in rows per mm: "0.12 ± 0.09 rows per in fewer"."""
    per = PER_UNIT_MM[unit]
    way = "more" if nominal(by) >= 0 else "fewer"
    return f"{plus_minus(abs(nominal(by)) * per, error(by) * per, 2)} rows per {unit} {way}"


def _drift(course: Course) -> list[str]:
    first, moving = course.drifts_from(), course.drift
    if first is None or moving is None or moving.out is None:
        return []
    side = "above" if moving.values[moving.out] > moving.high else "below"
    return [f"It drifts: on {first.when} the moving average went {side} its limits."]


def _tested(course: Course) -> list[str]:
    """The names of the tests, in a line of their own below what they say."""
    tests = []
    if course.shifts:
        found = course.shifts[-1].found
        tests.append(f"likelihood-ratio test at {LEVEL}, {found.looks:,} places looked at, {p_words(found.odds)}")
    elif course.looks:
        tests.append(f"likelihood-ratio test at {LEVEL}")
    if _drift(course):
        tests.append("EWMA chart")
    return [f"How this was tested: {'; '.join(tests)}."] if tests else []


def p_words(odds: float) -> str:
    """A p-value, never shown as nought: "p = 0.02", "p under 0.001"."""
    return f"p = {odds:.2g}" if odds >= 0.001 else "p under 0.001"


# --- the same as data ------------------------------------------------------------------------------------------------


def yarn_facts(card: YarnCard) -> dict[str, Any]:
    """A yarn card as JSON: lengths as rates per inch, dials in clicks, days as ISO 8601 has them."""
    return {
        **card.yarn.model_dump(mode="json", exclude={"note", "retired"}),
        "changes": [_shift_facts(card, course, shift) for course in card.courses for shift in course.shifts],
        "gauges": [_course_facts(card, course) for course in card.courses],
        "tubes": [
            *(_tube_facts(card, tube) for course in card.courses for tube in course.tubes),
            *(_undialled_facts(on, tube) for on, at in _dials(card) if at.dial is None for tube in at.tubes),
        ],
        "stitch_sizes": [
            {"session": base.session, "dial": at.dial, "day": _day(base.began_ms, base.zone_min), "proven": base.proven}
            | _on(on)
            for on, at in _dials(card)
            for base in at.bases
        ],
        "socks": [
            {
                "session": sock.session,
                "title": sock.title,
                "dial": at.dial,
                "day": sock.noted or _day(sock.began_ms, sock.zone_min),
                "status": sock.status,
                "mass_g": sock.mass_g,
                "planned_g": sock.planned_g,
                "verdict": sock.verdict,
            }
            | _on(on)
            for on, at in _dials(card)
            for sock in at.socks
        ],
        "unread": card.unread,
    }


def _dials(card: YarnCard) -> list[tuple[OnCylinder, AtDial]]:
    return [(on, at) for on in card.cylinders for at in on.in_order()]


def _on(on: OnCylinder) -> dict[str, object]:
    return {"machine": on.machine.name, "cylinder": on.cylinder.name, "slots": on.cylinder.slots}


def _place_facts(card: YarnCard, place: Place) -> dict[str, object]:
    machine, bed = card.machines.get(place.machine), card.beds.get(place.cylinder)
    names = machine.name if machine else place.machine, bed.name if bed else place.cylinder
    return {"machine": names[0], "cylinder": names[1], "slots": place.slots}


def _shift_facts(card: YarnCard, course: Course, shift: Shift) -> dict[str, object]:
    return {
        "day": _day_of(shift.first),
        "last_before": _day_of(shift.last),
        "not_before": _day_of(shift.not_before),
        "not_after": _day_of(shift.not_after),
        **_place_facts(card, course.place),
        "dial": shift.dial,
        "rows_per_in_before": shift.before * MM_PER_INCH,
        "rows_per_in_after": shift.after * MM_PER_INCH,
        **in_numbers("rows_per_in_change", shift.by, MM_PER_INCH),
        "p": shift.found.odds,
        "looks": shift.found.looks,
    }


def _course_facts(card: YarnCard, course: Course) -> dict[str, object]:
    rows, stitches = pooled(course.alike, card.spread)
    how = None if course.looks else newest_against_others(course, card.spread)
    drifts, more = course.drifts_from(), "newest_rows_per_in_more"
    return {
        **_place_facts(card, course.place),
        "dial": course.dial,
        **_per_in("rows", rows.value, rows.error),
        **_per_in("stitches", stitches.value, stitches.error),
        "tubes": [tube.session for tube in course.alike],
        "enough_to_tell": bool(course.looks),
        **({more: None, f"{more}_error": None} if how is None else in_numbers(more, how, MM_PER_INCH)),
        "drifts_from": None if drifts is None else _day_of(drifts),
    }


def _tube_facts(card: YarnCard, tube: Tube) -> dict[str, object]:
    return {
        "session": tube.session,
        "day": _day_of(tube),
        **_place_facts(card, tube.place),
        "dial": tube.dial,
        "from_notebook": bool(tube.noted and not tube.shared),
        "shared": tube.shared or None,
        **_per_in("rows", tube.rows_per_mm, tube.rows_error),
        **_per_in("stitches", tube.stitches_per_mm, tube.stitches_error),
    }


def _per_in(what: str, per_mm: float, error_mm: float) -> dict[str, float]:
    return {f"{what}_per_in": per_mm * MM_PER_INCH, f"{what}_per_in_error": error_mm * MM_PER_INCH}


def _undialled_facts(on: OnCylinder, tube: TubeLine) -> dict[str, object]:
    """One of the notebook of which it is not known where the dial stood."""
    numbers = tube.gauge.as_numbers()
    names = [f"{what}_per_in{error}" for what in ("rows", "stitches") for error in ("", "_error")]
    told = {"session": tube.session, "day": tube.noted, **_on(on), "dial": None}
    told |= {"from_notebook": not tube.shared, "shared": tube.shared or None}
    return told | {name: numbers[name] for name in names}


def _day_of(tube: Tube) -> str:
    return tube.noted or _day(tube.began_ms, tube.zone_min)


def _day(at_ms: int, zone_min: int) -> str:
    return local(at_ms, zone_min).date().isoformat()
