"""The shelf as a file: everything kept beside the sessions, as one readable, versioned JSON document.

It holds the last revision of each thing, those no longer in use, too, and what was renamed has its earlier names with
it: the sessions beside it still say those. Taking one in overwrites nothing.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError, model_validator

from hosewright.logbook.records.fields import Id, Moment, Name, OneLine
from hosewright.logbook.records.shelf import (
    SHELF,
    Chosen,
    Cylinder,
    Machine,
    Noted,
    Plan,
    Same,
    Unknown,
    Wearer,
    Yarn,
    of_kind,
)
from hosewright.logbook.records.year import Care, Lot, Promise, Tried, Weighing
from hosewright.logbook.travel.merge import Arrival, bring
from hosewright.logbook.travel.session_files import schema_of, unfit
from hosewright.logbook.versions import OF_ONE, Shelf, Versions, shelf_of, told
from hosewright.phrases.days import local_day, plain_day
from hosewright.phrases.harmless import one_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import OnShelf

FORMAT = "hosewright shelf"
VERSION = 1
NAME = "shelf.json"  # beside the session files of a whole logbook
_FROM_THE_FIRST = (
    *("machine", "cylinder", "yarn", "wearer", "plan", "lot", "weighing", "promise", "care", "noted", "same"),
)
SHARED = "shared"  # of what comes from someone else's logbook, where nobody said whose
LONGEST_FILE = 80  # characters of a file's name that are kept


class Earlier(BaseModel):
    """A name that something of the shelf had before it was renamed."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Literal["machine", "cylinder", "yarn", "wearer"]
    id: Id
    name: Name


class Written(BaseModel):
    """A version of something, as it was written at ``at_ms`` on ``laptop``; ``stands``: nothing was written over it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: OneLine
    at_ms: Moment
    stands: bool
    laptop: OneLine = ""
    thing: dict[str, Any]

    @property
    def of_shelf(self) -> OnShelf:
        return of_kind(self.kind).model_validate(self.thing)

    @model_validator(mode="after")
    def _is_of_the_shelf(self) -> Written:
        if self.kind == OF_ONE or not self.of_shelf.id:
            raise ValueError(f"there is nothing called {self.kind!r} on a shelf")
        return self


class ShelfFile(BaseModel):
    """The whole document, a list for each kind of thing; of earlier names, the first one of each thing comes first.

    ``versions`` are all there were, where two laptops share a folder (``sync``). A list of another name is of things
    that only a later version knows, which are carried along.
    """

    model_config = ConfigDict(frozen=True, extra="allow")

    format: Literal["hosewright shelf"]
    version: Literal[1]
    machine: tuple[Machine, ...] = ()
    cylinder: tuple[Cylinder, ...] = ()
    yarn: tuple[Yarn, ...] = ()
    wearer: tuple[Wearer, ...] = ()
    plan: tuple[Plan, ...] = ()
    lot: tuple[Lot, ...] = ()
    weighing: tuple[Weighing, ...] = ()
    promise: tuple[Promise, ...] = ()
    care: tuple[Care, ...] = ()
    tried: tuple[Tried, ...] = ()
    noted: tuple[Noted, ...] = ()
    same: tuple[Same, ...] = ()
    chosen: tuple[Chosen, ...] = ()
    earlier: tuple[Earlier, ...] = ()
    versions: tuple[Written, ...] = ()

    def things(self, kind: str) -> tuple[OnShelf, ...]:
        if kind in type(self).model_fields:
            found: tuple[OnShelf, ...] = getattr(self, kind)
            return found
        return tuple(map(of_kind(kind).model_validate, (self.model_extra or {}).get(kind, ())))

    @property
    def lists(self) -> list[str]:
        """Of what kinds there may be things, those only a later version knows behind the others."""
        return [kind for kind in dict.fromkeys([*SHELF, *(self.model_extra or {})]) if kind != OF_ONE]

    @model_validator(mode="after")
    def _other_lists_are_of_things(self) -> ShelfFile:
        for kind, things in (self.model_extra or {}).items():
            if not (isinstance(things, list) and one_line(kind) and kind != OF_ONE):
                raise ValueError(f"{one_line(kind)[:40]!r} is no list of things")
            self.things(kind)
        return self


def write(book: Logbook) -> str:
    """The document for the whole shelf of ``book``. Raises LogbookError when it cannot be read."""
    kinds = dict(SHELF)
    for (kind,) in book.store.ask("SELECT DISTINCT kind FROM shelf ORDER BY kind"):
        kinds.setdefault(kind, Unknown)
    before = book.store.names_before().items()
    earlier = [Earlier.model_validate({"kind": kind, "id": item, "name": name})
               for (kind, item), names in before for name in names if one_line(name)]  # fmt: skip
    return written({kind: book.shelf(cls, retired=True, kind=kind) for kind, cls in kinds.items()}, earlier)


def written(things: Mapping[str, Iterable[OnShelf]], earlier: Iterable[Earlier] = ()) -> str:
    """The document for these things, by their kinds, and for the names they had."""
    told = {kind: [item.model_dump(mode="json") for item in items] for kind, items in things.items()}
    if names := [one.model_dump(mode="json") for one in earlier]:
        told["earlier"] = names
    return _document(told)


def write_versions(shelf: Shelf) -> str:
    """The document for every version of everything on a shelf: the same for whoever has the same."""
    things: dict[str, list[Any]] = {kind: [] for kind in (*SHELF, *sorted({kind for kind, _ in shelf} - SHELF.keys()))}
    every = []
    for (kind, _), versions in sorted(shelf.items(), key=lambda one: (min(one[1].met), one[0])):
        things[kind].append(versions.met[max(versions.stand)].model_dump(mode="json"))
        every += [
            Written(
                kind=kind,
                at_ms=version[0],
                stands=version in versions.stand,
                laptop=versions.whose.get(version, ""),
                thing=item.model_dump(mode="json"),
            )
            for version, item in sorted(versions.met.items(), key=lambda one: one[0])
        ]
    return _document(things | {"versions": [one.model_dump(mode="json") for one in every]})


def _document(told: dict[str, list[Any]]) -> str:
    """What was there from the first is told even where there is none of it; the rest where there is some."""
    said = {name: items for name, items in told.items() if (items or name in _FROM_THE_FIRST) and name != OF_ONE}
    return json.dumps({"format": FORMAT, "version": VERSION, **said}, ensure_ascii=False, indent=2) + "\n"


def schema_text() -> str:
    """The JSON Schema of such a document."""
    return schema_of(ShelfFile, FORMAT)


def is_one(text: str) -> bool:
    """Whether a document says that it is a shelf, sound or not."""
    return f'"{FORMAT}"' in text[:200]


def parse(text: str, name: str = "The file") -> ShelfFile:
    """The shelf in a document. Raises LogbookError; ``name`` is how the message calls the document."""
    try:
        return ShelfFile.model_validate_json(text)
    except ValidationError as error:
        raise unfit(name, "shelf", error) from error


def take_in(book: Logbook, filed: ShelfFile, *, dry_run: bool = False, whose: str = "a file") -> list[Arrival]:
    """Put on the shelf what is not there yet, all or nothing; what disagrees is kept beside what is here.

    Of what someone shared it is kept that it came in ``whose``, and when. With ``dry_run`` only say what would be.
    Raises LogbookError, storing nothing.
    """
    if not filed.versions:  # those say of themselves how they came
        filed = _as_shared(book, filed, whose)
    return bring(book, versions_in(filed, shelf_of(book), book.clock.now().at_ms), whose, dry_run=dry_run)


def _as_shared(book: Logbook, filed: ShelfFile, whose: str) -> ShelfFile:
    """The same, but what someone shared says that it came in ``whose``, today; what is here, as it says here."""
    here = {one.id: one.shared for one in book.shelf(Noted, retired=True)}
    how = f" (in {one_line(whose)[:LONGEST_FILE]}, {plain_day(local_day(book.clock).isoformat())})"
    noted = (
        one.model_copy(update={"shared": here.get(one.id, one.shared.partition(" (")[0] + how)}) if one.shared else one
        for one in filed.noted
    )
    return filed.model_copy(update={"noted": tuple(noted)})


def versions_in(filed: ShelfFile, here: Shelf, now_ms: int) -> Shelf:
    """The versions that a file tells of.

    Where it does not say when they were written, a thing that is ``here`` in one of its versions is that one, and
    another was written now, a thousandth of a second after the one before, so that what comes together keeps its order.
    """
    found: Shelf = {}
    for written in filed.versions:
        thing = written.of_shelf
        versions = found.setdefault((written.kind, thing.id), Versions())
        version = (written.at_ms, told(thing))
        versions.met[version] = thing
        if written.laptop:
            versions.whose[version] = written.laptop
        if written.stands:
            versions.stand.add(version)
    if found:
        return found
    earlier: dict[tuple[str, str], list[str]] = {}
    for one in filed.earlier:
        earlier.setdefault((one.kind, one.id), []).append(one.name)
    for kind in filed.lists:
        for item in filed.things(kind):
            key, text = (kind, item.id), told(item)
            mine = here.get(key, Versions())
            known = max((version for version in mine.met if version[1] == text), default=None)
            versions = found.setdefault(key, Versions())
            for name in () if mine.met else earlier.get(key, ()):
                before = item.model_copy(update={"name": name})
                versions.met[now_ms, told(before)] = before
                now_ms += 1
            version = known or (now_ms, text)
            now_ms += 1
            versions.met[version] = item
            versions.stand = {version}
    return found
