"""A gauge or a sock of a notebook: the lines it is typed on, and the record they come to.

The form, the command line and a table (``notebook_table.py``) read by the same lines: an option and a column are called
as their line is.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast, get_args

from hosewright.craft import CraftError
from hosewright.craft.correction import Length, Round
from hosewright.craft.dial import clicks_typed
from hosewright.craft.doubts import doubts, impossible
from hosewright.craft.gauge import MOST_ROWS, NOTED_OVER_MM, gauge_of_rates, noted_rate
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, read_whole
from hosewright.logbook.records.shelf import Cylinder, Machine, Noted, Part, Wearer, Yarn, fit_words, parts_words
from hosewright.phrases.days import past_day, read_day_gone
from hosewright.phrases.field import Field, FieldError, length, mass, number, whole, words
from hosewright.phrases.harmless import one_line

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from hosewright.craft.gauge import Gauge
    from hosewright.craft.measured import Measured
    from hosewright.logbook.records.year import Promise

MOST_PARTS = 40
_PASSES = ("heel", "toe")
_PART = re.compile(r"(.*?\S)[ :=]+([0-9]+)(?: ?(rows?|passes|pass))?")
_NOTHING_TOLD = "Nothing is said about the sock: type its parts, how it sat on the foot, or its rows and stitches."
_PER = {"in": MM_PER_INCH, "cm": MM_PER_CM}

WHAT = Field(
    "what",
    "What it is",
    "a gauge or a sock",
    choices=(("a gauge", "gauge"), ("a sock", "sock")),
    required=True,
    also=(("tube", "gauge"), ("gauge tube", "gauge")),
)


def notebook_fields(unit: str, mass_unit: str, today: date) -> dict[str, Field]:
    """The lines to type on by name, lengths in ``unit``. What stands on the shelf is no line: it is chosen there."""
    fields = [
        Field(
            "day",
            "Day",
            "2019, May 2021 or 24/12/2020",
            lambda text: read_day_gone(text, today),
            past_day,
            required=True,
            missing="Type the day as far as you know it: 2019, May 2021 or 24/12/2020.",
        ),
        words("dial", "Dial", "turns below zero, as written", 200, example="7 1/4"),
        Field("parts", "Parts", "with the rows of each", read_parts, parts_words, empty=(), example=_PARTS_EXAMPLE),
        whole("rows", "Rows", "how many were measured", 1, MOST_ROWS, what="number of rows", example="60"),
        length("length", "Length", "of those rows, washed", unit, example="148 mm"),
        length("flat_width", "Flat width", "across, lying flat", unit, example="102 mm"),
    ]
    for what in ("rows", "stitches"):
        for per in _PER:
            label, called = f"or {what} per {per}", f"number of {what}"
            fields.append(number(f"{what}_per_{per}", label, "where no length is written", 0.1, 100, what=called))
        error = f"error of the {what}"
        fields.append(number(f"{what}_error", f"Error, {what}", "if known", 0, 100, what=error))
    return {
        one.name: one
        for one in (
            *fields,
            mass("mass", "Mass", "of those rows, or of the sock", mass_unit, example="12 g"),
            Field(
                "verdict",
                "On the foot",
                "such as right, or round tight",
                read_verdict,
                lambda verdict: fit_words(*verdict),
                empty=("", ""),
                example="round tight, length right",
            ),
            words("note", "Note", "anything else it says", 4000, example="the grey one, before the new needles"),
        )
    }


_PARTS_EXAMPLE = "leg 56, heel 40 passes, foot 61, toe 40 passes"


def read_parts(text: str) -> tuple[Part, ...]:
    """ "leg 56, heel 40 passes": heel and toe are counted in passes unless they say rows. Raises CraftError."""
    parts = []
    for said in filter(None, (piece.strip() for piece in re.split("[,;\n]", text))):
        found = _PART.fullmatch(one_line(said))
        if found is None:
            raise CraftError(f"{quoted(said)} is not a part with its rows: type them as {_PARTS_EXAMPLE}.")
        name, count, kind = found.groups()
        passes = kind.startswith("pass") if kind else name.lower() in _PASSES
        rows = read_whole(count, what=f"rows of the {name}", least=1, most=100_000)
        parts.append(Part(name=name[:80], kind="passes" if passes else "rows", count=rows))
    if len(parts) > MOST_PARTS:
        raise CraftError(f"A sock of {len(parts)} parts is too long: type at most {MOST_PARTS}.")
    return tuple(parts)


def read_verdict(text: str) -> tuple[str, str]:
    """How it sat round the foot and how long it was, as "round tight, length right"; "right" alone is both.

    Raises CraftError.
    """
    said: dict[str, str] = {}
    both = False
    for piece in filter(None, (" ".join(one.lower().split()) for one in re.split("[,;]", text))):
        way = next((one for one in ("round", "length") if piece.startswith(f"{one} ")), "")
        how = piece.removeprefix(f"{way} ")
        how = f"too {how}" if how in ("long", "short") else how
        if not way and how == "right":
            both = True
            continue
        way = way or ("round" if how in get_args(Round) else "length")
        if how not in get_args(Round if way == "round" else Length) or way in said:
            raise CraftError(
                f"{quoted(text)} cannot be read: type loose, right or tight, for a sock also too short, right or too "
                f"long, as in round tight, length right."
            )
        said[way] = how
    usual = "right" if both else ""
    return said.get("round", usual), said.get("length", usual)


# --- what the lines come to -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Things:
    """What on the shelf it was knitted with, for whom, and which promise it is for."""

    yarn: Yarn
    machine: Machine
    cylinder: Cylinder
    wearer: Wearer | None = None
    promise: Promise | None = None


def noted_of(values: Mapping[str, Any], things: Things, item_id: str) -> Noted:
    """The record of what stands on the lines; raises FieldError with the line where something does not go together."""
    sock = values["what"] == "sock"
    rows, stitches = _rows(values), _stitches(values, things.cylinder.slots)
    if (rows is None) != (stitches is None) or (rows is None and not sock):
        missing, lines = (
            ("rows", "how many rows and their length") if rows is None else ("flat_width", "the flat width")
        )
        raise FieldError(missing, f"A gauge has rows and stitches: type {lines}, or how many go to the inch or cm.")
    _check_dial(values["dial"], things.machine)
    if rows is not None and stitches is not None and (wrong := impossible(_gauge(values, things, rows, stitches))):
        raise FieldError("rows" if values["length"] else "rows_per_in", wrong)
    fit, fit_length = values["verdict"]
    told = (values["parts"], fit_length, things.wearer, things.promise)
    if sock and not (rows or fit or any(told)):
        raise FieldError("parts", _NOTHING_TOLD)
    return Noted(
        id=item_id,
        what=values["what"],
        day=values["day"],
        machine=things.machine.id,
        cylinder=things.cylinder.id,
        yarn=things.yarn.id,
        slots=things.cylinder.slots,
        dial=values["dial"],
        rows=values["rows"],
        rows_per_mm=rows.nominal_value if rows else None,
        rows_per_mm_error=rows.std_dev if rows else 0.0,
        stitches_per_mm=stitches.nominal_value if stitches else None,
        stitches_per_mm_error=stitches.std_dev if stitches else 0.0,
        mass_g=values["mass"],
        wearer=things.wearer.id if sock and things.wearer else None,
        parts=values["parts"] if sock else (),
        fit=cast("Any", fit),
        fit_length=cast("Any", fit_length if sock else ""),
        promise=things.promise.id if sock and things.promise else None,
        note=values["note"],
    )


def lines_of(one: Noted, per: str) -> dict[str, Any]:
    """The values that its lines start from when it is put right, rates to ``per``, "in" or "cm".

    What was typed as a length is a length again, known by the error that was assumed of it.
    """
    values: dict[str, Any] = {name: getattr(one, name) for name in ("what", "day", "dial", "rows", "parts", "note")}
    values |= {"mass": one.mass_g, "verdict": (one.fit, one.fit_length)}
    rows, stitches = (one.rows_per_mm, one.rows_per_mm_error), (one.stitches_per_mm, one.stitches_per_mm_error)
    values |= _typed_as("rows", "length", *rows, one.rows, per)
    return values | _typed_as("stitches", "flat_width", *stitches, one.slots / 2, per)


def _typed_as(
    what: str, over: str, rate: float | None, error: float, count: float | None, per: str
) -> dict[str, float | None]:
    if rate is None:
        return {}
    if count and math.isclose(noted_rate(count, count / rate).std_dev, error, rel_tol=1e-6):
        return {over: count / rate}
    alone = math.isclose(noted_rate(rate * NOTED_OVER_MM, NOTED_OVER_MM).std_dev, error, rel_tol=1e-6)
    return {f"{what}_per_{per}": rate * _PER[per], f"{what}_error": None if alone else error * _PER[per]}


def doubts_about(one: Noted) -> tuple[str, ...]:
    """What looks wrong with it, in sentences."""
    said = []
    try:
        clicks_typed(one.dial or "0", None)
    except CraftError:
        said.append(f"The dial {quoted(one.dial)} is kept as written; no position can be read from it.")
    if one.rows_per_mm is None or one.stitches_per_mm is None:
        return tuple(said)
    rows = measured(one.rows_per_mm, one.rows_per_mm_error)
    gauge = gauge_of_rates(one.rows, one.slots, rows, measured(one.stitches_per_mm, one.stitches_per_mm_error))
    return (*said, *doubts(gauge))


def _gauge(values: Mapping[str, Any], things: Things, rows: Measured, stitches: Measured) -> Gauge:
    return gauge_of_rates(values["rows"], things.cylinder.slots, rows, stitches)


def _check_dial(typed: str, machine: Machine) -> None:
    """A dial must be one its machine has; where nobody counted the clicks, anything may stand in the notebook."""
    if typed and machine.clicks_per_turn is not None:
        try:
            clicks_typed(typed, machine.clicks_per_turn)
        except CraftError as error:
            raise FieldError("dial", str(error)) from error


def _rows(values: Mapping[str, Any]) -> Measured | None:
    rate = _per(values, "rows")
    if values["length"] is None:
        return rate
    if rate is not None:
        raise FieldError("length", "Type the rows and their length, or how many rows go to the inch or cm: not both.")
    if values["rows"] is None:
        raise FieldError("rows", "Type how many rows that length covers.")
    return noted_rate(values["rows"], values["length"])


def _stitches(values: Mapping[str, Any], slots: int) -> Measured | None:
    rate = _per(values, "stitches")
    if values["flat_width"] is None:
        return rate
    if rate is not None:
        raise FieldError("flat_width", "Type the flat width, or how many stitches go to the inch or cm: not both.")
    return noted_rate(slots / 2, values["flat_width"])


def _per(values: Mapping[str, Any], what: str) -> Measured | None:
    """Rows or stitches per mm; with the error that is noted, else that of a length counted over with a tape."""
    typed = [(per, values[f"{what}_per_{per}"]) for per in _PER if values.get(f"{what}_per_{per}") is not None]
    if not typed:
        return None
    if len(typed) > 1:
        raise FieldError(f"{what}_per_in", f"Type the {what} to the inch or to the cm: not both.")
    ((per, rate),) = typed
    error = values.get(f"{what}_error")
    if error is None:
        return noted_rate(rate * NOTED_OVER_MM / _PER[per], NOTED_OVER_MM)
    return measured(rate / _PER[per], error / _PER[per])
