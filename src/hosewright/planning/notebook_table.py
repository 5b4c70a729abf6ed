"""Lines of a notebook by names, from the command line or a table, read against the shelf before anything is kept."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar, cast

from pydantic import ValidationError

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS, CraftError
from hosewright.craft.units import quoted, read_whole
from hosewright.logbook.file.called import with_ids_now
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import NOTED_COLUMNS, Cylinder, Machine, Noted, Wearer, Yarn, problems
from hosewright.logbook.records.year import Promise
from hosewright.phrases.field import Field, FieldError, read_all
from hosewright.phrases.lists import listed
from hosewright.planning.notebook import WHAT, Things, lines_of, notebook_fields, noted_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from hosewright.logbook.book import Logbook

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
