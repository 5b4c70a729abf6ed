"""Readings in words: what a person types into a field, what they and a finished session come to. No screen here."""

from __future__ import annotations

from statistics import fmean, median
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.doubts import CM_PER_INCH, UNIT_MISTAKE_BAND
from hosewright.craft.stock import prorated, to_mg
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, read_length, read_mass, show_length, show_mass
from hosewright.logbook.accounts.use import sock_mg
from hosewright.logbook.find.evidence import tube_doubts
from hosewright.logbook.records.planned import name_of, record_name
from hosewright.phrases.lists import listed, many
from hosewright.session.results import cranked, pieces_of, tube_gauge, worn_words
from hosewright.session.steps import CountPasses, CountRows
from hosewright.session.words import label_of
from hosewright.words.story import on_foot_words, wash_words

if TYPE_CHECKING:
    from hosewright.logbook.live import Live
    from hosewright.session.state import State
    from hosewright.session.steps import MeasureField
    from hosewright.settings.table import Settings


_EXAMPLES = {"in": "5 7/8 in", "cm": "14.8 cm", "mm": "148 mm"}
_SMALL = {"in": "1/4 in", "cm": "0.5 cm", "mm": "5 mm"}
FAR_OFF = 1.3  # times the median of the other readings; ours
MOST_LENGTH_MM = 3000.0  # the longest gauge tube (200 rows) is well under half of it
MOST_MASS_G = 1000.0


class ReadingError(ValueError):
    """A sentence for the person who typed."""


def placeholder(item: MeasureField, length_unit: str, mass_unit: str) -> str:
    """What to type, as an example."""
    if item.quantity == "choice":
        return listed(item.choices, "or")
    example = _EXAMPLES[length_unit] if item.quantity == "length" else {"oz": "0.4 oz"}.get(mass_unit, "12 g")
    if item.id.endswith("-by"):
        example = _SMALL[length_unit]
    return f"such as {example}" if item.required else f"optional, e.g. {example}"


def which_sock(live: Live) -> str:
    """Of a string the sock that the present step is about and whose it is; else nothing."""
    number, socks = live.state.sock, live.record.socks
    if not 0 < number <= len(socks):
        return ""
    sock = socks[number - 1]
    name = sock.plan.name
    whose = f", for {sock.wearer.name}" if sock.wearer and sock.wearer.name.casefold() not in name.casefold() else ""
    what = name_of(sock.plan)
    return f"{what.capitalize()} {number} of {len(socks)}: {name}{whose}, {'twin' if sock.twin else f'first {what}'}."


def read_value(text: str, item: MeasureField, length_unit: str, mass_unit: str) -> float:
    """The reading typed: mm, g, or the number of the choice. Raises ReadingError."""
    label = label_of(item)
    what = "difference" if item.id.endswith("-by") else label[0].lower() + label[1:].partition(",")[0]
    try:
        if item.quantity == "length":
            return read_length(text, length_unit, what=what, most_mm=MOST_LENGTH_MM)
        if item.quantity == "mass":
            return read_mass(text, mass_unit, what=what, most_g=MOST_MASS_G)
    except CraftError as error:
        raise ReadingError(str(error)) from error
    typed = text.strip().casefold()
    fitting = [i for i, choice in enumerate(item.choices) if choice.casefold().startswith(typed)]
    if len(fitting) != 1:
        raise ReadingError(f"Type one of: {', '.join(item.choices)}.")
    return float(fitting[0])


def readings_words(state: State, item: MeasureField, length_unit: str, mass_unit: str) -> str:
    """The readings of a field so far, and their mean when there are several."""
    values = state.values(item.id)
    if not values:
        return ""
    if not item.repeats or len(values) == 1:
        return show_value(values[-1], item, length_unit, mass_unit)
    return f"{show_value(fmean(values), item, length_unit, mass_unit)}, mean of {len(values)}"


def show_value(value: float, item: MeasureField, length_unit: str, mass_unit: str) -> str:
    """A reading of this field, in words."""
    if item.quantity == "choice":
        return item.choices[int(value)]
    return show_length(value, length_unit) if item.quantity == "length" else show_mass(value, mass_unit)


def far_off_words(state: State, field: str, strike: str = "Ctrl+X") -> str:
    """What to say when the last reading of a field is far from the others; empty when it is not.

    ``strike``: what strikes it out.
    """
    *others, last = state.values(field)
    if not others:
        return ""
    times = max(last, median(others)) / min(last, median(others))
    if times < FAR_OFF:
        return ""
    way = "larger" if last > median(others) else "smaller"
    if abs(times / CM_PER_INCH - 1) <= UNIT_MISTAKE_BAND:
        typed, meant = ("cm", "inches") if way == "smaller" else ("inches", "cm")
        return (
            f"That is {times:.1f} times {way} than the other readings, as if {meant} had been taken for {typed}: type "
            f"the unit after the number. {strike} strikes this one out."
        )
    return f"That is {times:.1f} times {way} than the other readings. If it is a mistake, {strike} strikes it out."


def gauge_words(live: Live, settings: Settings) -> str:
    """What the readings come to so far: gauge with errors, and the doubts about it."""
    if live.record.kind != "tube":
        return ""
    try:
        gauge = tube_gauge(live.state, settings.tape_error_mm)
    except CraftError as error:
        return f"{error} Strike out the reading that is wrong."
    if gauge is None:
        return ""
    numbers = gauge.as_numbers()
    lines = [
        f"{live.state.count_of('tube')} rows were cranked on {live.state.slots} needles.",
        *(
            f"{numbers[f'rows_per_{u}']:.{p}f} ± {numbers[f'rows_per_{u}_error']:.{p}f} rows and "
            f"{numbers[f'stitches_per_{u}']:.{p}f} ± {numbers[f'stitches_per_{u}_error']:.{p}f} stitches per {u}"
            for u, p in (("in", 2), ("cm", 3))
        ),
        f"Round: {show_length(numbers['circumference_mm'], settings.length_unit)}"
        f"{_stretched_words(live, settings.length_unit)}; rows to stitches {numbers['ratio']:.2f} to 1"
        + ("." if live.record.rib else " (plain tubes are near 1.3)."),
        *wash_words(live.state),
        *tube_doubts(live.record, live.state, gauge),
        on_foot_words(live.record, live.state, numbers["circumference_mm"], settings.length_unit),
    ]
    return "\n".join(line for line in lines if line)


def _stretched_words(live: Live, unit: str) -> str:
    """How far round a ribbed tube is, pulled wide; nothing of a plain one or before it was measured."""
    wide = live.state.values("stretched") if live.record.rib else ()
    return f", pulled wide {show_length(2 * fmean(wide), unit)}" if wide else ""


# --- what a finished session came to ----------------------------------------------------------------------------------


def result_words(live: Live, back: str = "b") -> str:
    """What a finished session came to; ``back``: what is typed to go back to its readings."""
    if live.state.step is not None or live.state.abandoned:
        return ""
    if live.record.kind == "sock":
        return _sock_words(live, back)
    if live.record.kind == "string":
        return _string_words(live)
    if live.record.kind != "tube":
        return ""
    gauge, tube = live.gauge(live.state), None
    if gauge is not None:  # else its readings may be none that a tube can have
        tube = tube_gauge(live.state)
    if gauge is None or tube is None:
        return "The tube was not measured, so it has no gauge."
    rows, stitches = gauge.rows_per_mm, gauge.stitches_per_mm
    found = (
        f"{rows * MM_PER_INCH:.2f} rows and {stitches * MM_PER_INCH:.2f} stitches to the inch.\n"
        f"To the centimetre {rows * MM_PER_CM:.3f} and {stitches * MM_PER_CM:.3f}."
    )
    doubts = tube_doubts(live.record, live.state, tube)
    if rib := live.record.rib:
        relaxed = tube.as_numbers()["circumference_mm"]
        each = [f"{show_length(relaxed, unit)} round{_stretched_words(live, unit)}" for unit in ("in", "cm")]
        found += f"\n{'; '.join(each)}."
        if not doubts:
            return f"{found}\nType {rib} as the leg's rib in a plan by a plain tube of this yarn."
    if not doubts:
        return f"{found} Plan a sock from it next."
    return "\n".join([found, *doubts, f"{back} goes back to the readings."])


def yarn_used(live: Live) -> tuple[int, str] | None:
    """The yarn in a finished sock in mg, and how that is known; None where nothing tells."""
    state, plan = live.state, live.record.plan
    if masses := state.values("mass"):
        return to_mg(masses[-1]), "of yarn, as weighed"
    whole, (sock,) = sock_mg(plan, live.record.yarn) if plan else None, pieces_of(state)
    if whole is None or not sock.stitches_planned:
        return None
    return prorated(whole, sock.stitches, sock.stitches_planned), "of yarn, by its stitches"


def _string_words(live: Live) -> str:
    """How many socks came off the string, and which were spoilt."""
    socks = pieces_of(live.state)
    whole = sum(sock.standing == "cranked" for sock in socks)
    lines = [f"{many(whole, record_name(live.record))} cranked in one string."]
    lines += [
        f"Spoilt: {record_name(live.record, sock.number)} {sock.number}, after {sock.rows} rows and {sock.passes} "
        f"passes: {sock.reason}."
        for sock in socks
        if sock.standing == "spoilt"
    ]
    return "\n".join(lines)


def _sock_words(live: Live, back: str) -> str:
    """What was cranked beside the plan, how the sock sat, and what to do with the pair now."""
    record, state = live.record, live.state
    asked = {step.id: step for step in state.head.steps if isinstance(step, CountRows | CountPasses)}
    parts = [f"{asked[name].title} {_beside_plan(asked[name], count)}" for name, count in cranked(state).items()]
    seen = sum(not observation.struck for observation in state.observations)
    lines = ["Cranked: " + ", ".join(parts) + "."]
    if seen:
        lines.append(f"{many(seen, 'observation')} noted on the way; the session's page has them all.")
    told = worn_words(state)
    if told:
        heard = " A plan that names its wearer would learn from that."
        if record.wearer:
            heard = f" {record.wearer.name}'s next plan takes that in."
        worn = "Worn" if record.plan is not None and record.plan.end == "chained off" else "On the foot"
        lines.append(f"{worn}: {told}.{heard}")
    else:
        learn = f", so that {record.wearer.name}'s plans learn" if record.wearer else ""
        lines.append(f"How it sits was not noted. {back} goes back to it{learn}.")
    if record.plan is not None:
        first = record.twin_of is None
        lines.append(
            "Crank its twin next: c."
            if first
            else f"The pair has proven its gauge. Plan the next {record_name(record)} of it: p."
        )
    return "\n".join(lines)


def _beside_plan(step: CountRows | CountPasses, count: int) -> str:
    return str(count) if count == step.target else f"{count} ({step.target} planned)"
