"""A gauge or a sock of a notebook: the lines it is typed on, and the record they come to.

The form, the command line and a table read by the same lines: an option and a column are called as their line is. Lines
by names (``Taking``) are read against the shelf before anything is kept.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar, cast, get_args

from pydantic import ValidationError

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS, CraftError
from hosewright.craft.correction import Length, Round
from hosewright.craft.dial import clicks_typed
from hosewright.craft.doubts import doubts, impossible
from hosewright.craft.gauge import MOST_ROWS, NOTED_OVER_MM, gauge_of_rates, noted_rate
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, read_whole
from hosewright.logbook.file.called import with_ids_now
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import (
    NOTED_COLUMNS,
    Cylinder,
    Machine,
    Noted,
    Part,
    Wearer,
    Yarn,
    fit_words,
    parts_words,
    problems,
)
from hosewright.logbook.records.year import Promise
from hosewright.phrases.days import past_day, read_day_gone
from hosewright.phrases.field import Field, FieldError, length, mass, number, read_all, whole, words
from hosewright.phrases.harmless import one_line
from hosewright.phrases.lists import listed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from hosewright.craft.measured import Measured
    from hosewright.logbook.book import Logbook


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
    if rows is not None and stitches is not None:
        gauge = gauge_of_rates(values["rows"], things.cylinder.slots, rows, stitches)
        if wrong := impossible(gauge):
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


def _check_dial(typed: str, machine: Machine) -> None:
    """A dial must be one its machine has; where nobody counted the clicks, anything may stand in the notebook."""
    if typed and machine.clicks_per_turn is not None:
        try:
            clicks_typed(typed, machine.clicks_per_turn)
        except CraftError as error:
            raise FieldError("dial", str(error)) from error


def _rows(values: Mapping[str, Any]) -> Measured | None:
    rate = _per(values, "rows", "length", "the rows and their length")
    if values["length"] is None:
        return rate
    if values["rows"] is None:
        raise FieldError("rows", "Type how many rows that length covers.")
    return noted_rate(values["rows"], values["length"])


def _stitches(values: Mapping[str, Any], slots: int) -> Measured | None:
    rate = _per(values, "stitches", "flat_width", "the flat width")
    return rate if values["flat_width"] is None else noted_rate(slots / 2, values["flat_width"])


def _per(values: Mapping[str, Any], what: str, over: str, instead: str) -> Measured | None:
    """Rows or stitches per mm; with the error that is noted, else that of a length counted over with a tape.

    ``over``: the line that tells the same, in words ``instead``. Raises FieldError where both are typed.
    """
    typed = [(per, values[f"{what}_per_{per}"]) for per in _PER if values.get(f"{what}_per_{per}") is not None]
    if not typed:
        return None
    if len(typed) > 1:
        raise FieldError(f"{what}_per_in", f"Type the {what} to the inch or to the cm: not both.")
    ((per, rate),) = typed
    error = values.get(f"{what}_error")
    if values[over] is not None:
        raise FieldError(over, f"Type {instead}, or how many {what} go to the inch or cm: not both.")
    if error is None:
        return noted_rate(rate * NOTED_OVER_MM / _PER[per], NOTED_OVER_MM)
    return measured(rate / _PER[per], error / _PER[per])


# --- lines by names, from the command line or a table, read against the shelf before anything is kept -----------------


_OF_A_SOCK = ("wearer", "parts", "promise")
MOST_LINES = 20_000

Thing = TypeVar("Thing", Machine, Cylinder, Yarn, Wearer, Promise)


@dataclass(slots=True)
class Taken:
    """One line taken: the record, and whether the logbook has it already. ``line`` is its number in a table, or 0."""

    one: Noted
    line: int = 0
    here_already: bool = False


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a line of a table: its number, the column, and a sentence."""

    line: int
    column: str
    why: str


@dataclass(slots=True)
class Taking:
    """Lines of a notebook as they are read against the shelf. Nothing is kept before ``keep``.

    ``new``: whether what is missing from the shelf is put there, and then it is in ``made``.
    """

    book: Logbook
    unit: str
    mass_unit: str
    today: date
    new: bool = False
    made: list[Machine | Cylinder | Yarn | Wearer] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)
    _shelves: dict[type[Any], list[Any]] = field(default_factory=dict)
    _called: dict[tuple[str, str], str] = field(default_factory=dict)  # once, or as its double is: the id of now
    _ids: set[str] = field(default_factory=set)
    _here: Counter[str] = field(default_factory=Counter)
    _lines: dict[str, Field] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Read what is there already. Raises LogbookError."""
        kinds: tuple[type[Any], ...] = (Yarn, Machine, Cylinder, Wearer, Promise)
        names = self.book.store.names_now()
        for (kind, item), told in names.items():
            self._called |= {(kind, said.casefold()): told.now for said in (item, *told.was.split(", ")) if said}
        doubles = {item for (_, item), told in names.items() if told.now != item}
        for cls in kinds:
            there = [one for one in self.book.shelf(cls, retired=True) if one.id not in doubles]
            self._shelves[cls] = sorted(there, key=lambda one: bool(one.retired))
        # What was put right since is the same line of the notebook all the same, as it was taken in and as it is now.
        revisions = [row[3] for row in self.book.store.revisions() if row[0] == "noted"]
        noted = [Noted.model_validate_json(with_ids_now(body, names)) for body in revisions]
        self._ids = {one.id for one in noted} | {gauge.session for gauge in self.book.gauges()}
        self._here = Counter(content for _, content in {(one.id, _content(one)) for one in noted})
        self._lines = notebook_fields(self.unit, self.mass_unit, self.today)

    def read(self, texts: Mapping[str, str], line: int = 0) -> list[Fault]:
        """Take one line; what is wrong with it, and then it is not taken."""
        before = len(self.made)
        values, errors = read_all([WHAT, *self._lines.values()], texts)
        if not errors:
            try:
                self.taken.append(self._taken(values, texts, line))
            except FieldError as error:
                errors = {error.name: str(error)}
            except ValidationError as error:  # a name of nothing but signs that are taken out
                errors = {"name": "; ".join(problems(error))}
            if errors:
                for one in self.made[before:]:
                    self._shelves[type(one)].remove(one)
                del self.made[before:]
        return [Fault(line, name, why) for name, why in errors.items()]

    def keep(self) -> None:
        """Put everything on the shelf that is not there, all or nothing. Raises LogbookError."""
        new = [one.one for one in self.taken if not one.here_already]
        if new:
            self.book.keep(*self.made, *new)

    def everything(self) -> list[Machine | Cylinder | Yarn | Wearer | Promise]:
        """Everything on the shelf that a line may name, what is new on it too."""
        return [one for shelf in self._shelves.values() for one in shelf]

    def _taken(self, values: Mapping[str, Any], texts: Mapping[str, str], line: int) -> Taken:
        if values["what"] == "gauge" and (found := [name for name in _OF_A_SOCK if texts.get(name, "").strip()]):
            raise FieldError(found[0], "That belongs to a sock, and this is a gauge: type sock, or leave it out.")
        things = Things(
            self._named(Yarn, "yarn", texts),
            self._named(Machine, "machine", texts),
            self._cylinder(texts),
            self._perhaps(Wearer, "wearer", texts),
            self._perhaps(Promise, "promise", texts),
        )
        item_id = texts.get("id", "").strip()
        if item_id and not re.fullmatch(r"[a-z0-9][a-z0-9-]{1,39}", item_id):
            raise FieldError("id", f"{quoted(item_id)} is not an id: it has small letters, figures and hyphens.")
        one = noted_of(values, things, item_id or shelf_id(f"{values['what']} {values['day']}"))
        if item_id in self._ids:
            return Taken(one, line, here_already=True)
        content = _content(one)
        here = not item_id and self._here[content] > 0
        self._here[content] -= here
        self._ids |= {one.id}
        return Taken(one, line, here_already=here)

    def _named(self, cls: type[Thing], kind: str, texts: Mapping[str, str]) -> Thing:
        found = self._perhaps(cls, kind, texts)
        if found is not None:
            return found
        there = [one for one in self._shelf(cls) if not one.retired]
        if len(there) == 1 and kind == "machine":
            return there[0]
        raise FieldError(kind, f"Type which {kind} it was. {self._there(cls, kind)}")

    def _perhaps(self, cls: type[Thing], kind: str, texts: Mapping[str, str]) -> Thing | None:
        """What is named; None where nothing is."""
        said = " ".join(texts.get(kind, "").split())
        if not said:
            return None
        shelf = self._shelf(cls)
        found = [one for one in shelf if said == one.id or said.casefold() == one.name.casefold()]
        found = found or [one for one in shelf if one.id == self._called.get((kind, said.casefold()))]
        if not found and not self.new:
            found = [one for one in shelf if said.casefold() in one.name.casefold()]
        if len({one.retired for one in found}) > 1:
            found = [one for one in found if not one.retired]
        if len(found) == 1:
            return found[0]
        if found:
            ids = listed([f"{one.name} ({one.id})" for one in found[:8]], "or")
            raise FieldError(kind, f"Several are called {quoted(said)}: type the id of one of them. {ids}.")
        if not self.new or kind == "promise":
            new = "" if kind == "promise" else ", or add --new to put it there"
            raise FieldError(
                kind, f"No {kind} on the shelf is called {quoted(said)}: type its name{new}. {self._there(cls, kind)}"
            )
        return self._make(cls, said, texts)

    def _make(self, cls: type[Thing], name: str, texts: Mapping[str, str]) -> Thing:
        if len(name) > 80:
            raise FieldError(cls.__name__.lower(), f"The name is {len(name)} characters long: keep it to 80.")
        said: dict[str, Any] = {"id": shelf_id(name), "name": name}
        if cls is Cylinder:
            said["slots"] = self._slots(texts)
            if said["slots"] is None:
                raise FieldError("slots", f"Type how many slots {quoted(name)} has: it is new on the shelf.")
        made = cls.model_validate(said)
        self._shelf(cls).append(made)
        self.made.append(cast("Any", made))
        return made

    def _cylinder(self, texts: Mapping[str, str]) -> Cylinder:
        slots, named = self._slots(texts), self._perhaps(Cylinder, "cylinder", texts)
        if named is not None:
            if slots not in (None, named.slots):
                raise FieldError("slots", f"{named.name} has {named.slots} slots, not {slots}: type one or the other.")
            return named
        if slots is None:
            raise FieldError("slots", f"Type how many slots the cylinder has. {self._there(Cylinder, 'cylinder')}")
        alike = [one for one in self._shelf(Cylinder) if one.slots == slots]
        found = [one for one in alike if not one.retired] or alike
        if len(found) == 1:
            return found[0]
        if found:
            names = listed([one.name for one in found], "or")
            raise FieldError("cylinder", f"Several cylinders have {slots} slots: type which it was, {names}.")
        if not self.new:
            raise FieldError(
                "slots",
                f"No cylinder on the shelf has {slots} slots: type another number, or add --new to put one there. "
                f"{self._there(Cylinder, 'cylinder')}",
            )
        return self._make(Cylinder, f"{slots} slots", texts)

    def much_like(self, made: Machine | Cylinder | Yarn | Wearer) -> str:
        """What was on the shelf already that may be the same: "Mill machine" where "Mill" is new; else empty."""
        name = made.name.casefold()
        there = [one.name for one in self._shelves[type(made)] if one not in self.made and name in one.name.casefold()]
        return listed(there, "and")

    def _slots(self, texts: Mapping[str, str]) -> int | None:
        said = texts.get("slots", "").strip()
        try:
            return read_whole(said, what="number of slots", least=LEAST_SLOTS, most=MOST_SLOTS) if said else None
        except CraftError as error:
            raise FieldError("slots", str(error)) from error

    def _shelf(self, cls: type[Thing]) -> list[Thing]:
        return self._shelves[cls]

    def _there(self, cls: type[Thing], kind: str) -> str:
        names = [one.name for one in self._shelf(cls) if not one.retired]
        more = f" and {len(names) - 8} more" if len(names) > 8 else ""
        return f"On the shelf: {', '.join(names[:8])}{more}." if names else f"No {kind} is on the shelf yet."


def typed_again(one: Noted, given: Mapping[str, str]) -> dict[str, str]:
    """The texts of a line that comes to ``one``, with what is ``given`` in their place.

    Rows or stitches that are given one way are no longer what they were another way.
    """
    values = lines_of(one, "cm")
    texts = {kind: getattr(one, kind) or "" for kind in ("yarn", "machine", "cylinder", "wearer", "promise")}
    texts |= {name: values[name] for name in ("what", "day", "dial", "note")}
    texts |= {"rows": "" if one.rows is None else str(one.rows), "parts": one.parts_typed}
    texts |= {"mass": f"{one.mass_g!r} g" if one.mass_g else "", "verdict": one.worn or one.fit}
    for what, over in (("rows", "length"), ("stitches", "flat_width")):
        ways = (over, f"{what}_per_in", f"{what}_per_cm", f"{what}_error")
        if not any(way in given for way in ways):
            kept = {way: values[way] for way in ways if values.get(way) is not None}
            texts |= {way: f"{value:.9f}" + " mm" * (way == over) for way, value in kept.items()}
    if "slots" in given:
        texts["cylinder"] = ""
    return texts | dict(given)


def _content(one: Noted) -> str:
    return one.model_dump_json(exclude={"id", "retired"})


def read_table(text: str) -> list[tuple[int, dict[str, str]]]:
    """The lines of a table with their numbers, by column, empty ones left out. Raises CraftError.

    Commas, semicolons or tabs part the columns, whichever the first line has most of.
    """
    first = text.lstrip("\ufeff").partition("\n")[0]
    parting = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), delimiter=parting, strict=True)
    lines: list[tuple[int, dict[str, str]]] = []
    columns: list[str] = []
    began = 1
    try:
        for cells in reader:
            number, began = began, reader.line_num + 1
            told = [_bare(cell) for cell in cells]
            if not any(told):
                continue
            if not columns:
                columns = _columns([cell.lower().replace("-", "_").replace(" ", "_") for cell in told])
                continue
            if len(told) > len(columns) and any(told[len(columns) :]):
                raise CraftError(
                    f"Line {number} has more cells than the first line names columns: put a cell that has "
                    f'{"a comma" if parting == "," else "the sign between columns"} in it in "quotes".'
                )
            lines.append((number, dict(zip(columns, told, strict=False))))
            if len(lines) > MOST_LINES:
                raise CraftError(f"The table has more than {MOST_LINES:,} lines: split it into smaller ones.")
    except csv.Error as error:
        raise CraftError(
            f"Line {began} is not a line of a table ({error}): look for a quote that is not closed."
        ) from None
    if not lines:
        raise CraftError(
            f"The table has no lines: the first names the columns, such as {_COMMON}, each other is a gauge or a sock."
        )
    return lines


_COMMON = "what, day, yarn, machine, slots, dial, rows, length, flat_width"


def _columns(names: Sequence[str]) -> list[str]:
    for name in names:
        if name and name not in NOTED_COLUMNS:
            raise CraftError(f"No column is called {quoted(name)}; there are {listed(NOTED_COLUMNS)}.")
        if name and names.count(name) > 1:
            raise CraftError(f"Two columns are called {quoted(name)}: leave one out.")
    if "day" not in names or "yarn" not in names:
        raise CraftError(f"The first line must name the columns, day and yarn among them, such as {_COMMON}.")
    return list(names)


def _bare(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet from running it as a formula."""
    text = cell.strip()
    return text[1:] if text[:1] == "'" and text[1:2] in "=+-@＝＋－＠" and len(text) > 1 else text
