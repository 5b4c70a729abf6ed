"""The versions that things on the shelf had, here and elsewhere: what follows what, and what was changed in two places.

A version is a thing as it was written at a moment. Of each thing a logbook knows all versions it has met, and which of
them ``stand``: nothing it knows of was written over them. Put together, what stands is what both have standing, or one
has and the other never met: in whatever order logbooks meet, they come to the same (an observed-remove set, as in
Shapiro and others, "A comprehensive study of convergent and commutative replicated data types", INRIA RR-7506, 2011).
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING

from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Beside, of_kind

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import OnShelf

OF_ONE = "beside"  # what stands beside what is told with the thing itself
Version = tuple[int, str]  # when it was written, and the thing as JSON without what is usual, by which alone it is told


@dataclass(slots=True)
class Versions:
    """All versions of one thing that were met, the thing of each, and those that stand.

    ``whose``: where one was written, as far as it is known. In a logbook one of these is in its ``place``, and is what
    everything reads; ``beside`` it are kept the others.
    """

    met: dict[Version, OnShelf] = field(default_factory=dict)
    stand: set[Version] = field(default_factory=set)
    whose: dict[Version, str] = field(default_factory=dict, compare=False)
    place: Version | None = field(default=None, compare=False)
    beside: set[Version] = field(default_factory=set, compare=False)

    def with_those_of(self, other: Versions) -> Versions:
        """Both together, in the places they have here. What says the same stands once, as it was written last."""
        stand = (self.stand & other.stand) | (self.stand - other.met.keys()) | (other.stand - self.met.keys())
        last = {version[1]: version for version in sorted(stand)}
        whose = other.whose | self.whose
        return Versions(self.met | other.met, set(last.values()), whose, self.place, self.beside)


Shelf = dict[tuple[str, str], Versions]


def told(thing: OnShelf) -> str:
    """A thing as it is told from another; what a later version of its record adds with a default changes nothing."""
    return json.dumps(thing.model_dump(mode="json", exclude_defaults=True), sort_keys=True)


def shelf_of(book: Logbook) -> Shelf:
    """Every version of everything on the shelf, by kind and id. Raises LogbookError."""
    found: Shelf = {}
    beside: dict[str, Beside] = {}
    for kind, item, at_ms, body in book.store.ask(
        "SELECT kind, id, at_ms, body FROM shelf ORDER BY kind, id, revision"
    ):
        try:
            thing = of_kind(kind).model_validate_json(body)
        except ValueError as error:
            raise LogbookError(f"The {kind} {item} on the shelf cannot be read.") from error
        if isinstance(thing, Beside):
            beside[item] = thing
            continue
        versions = found.setdefault((kind, item), Versions())
        versions.place = (at_ms, told(thing))
        versions.met[versions.place] = thing
        versions.stand = {versions.place}
    for one in beside.values():
        thing = one.of_shelf
        versions = found.setdefault((one.what, one.of), Versions())
        versions.met[one.at_ms, told(thing)] = thing
        if one.whose:
            versions.whose[one.at_ms, told(thing)] = one.whose
        if not one.retired:
            versions.stand.add((one.at_ms, told(thing)))
            versions.beside.add((one.at_ms, told(thing)))
    return found


def together(here: Shelf, there: Shelf) -> Shelf:
    """Both shelves together."""
    nothing = Versions()
    return {key: here.get(key, nothing).with_those_of(there.get(key, nothing)) for key in {**here, **there}}


def keep_all(book: Logbook, here: Shelf, wanted: Shelf) -> None:
    """Let the shelf, which has all versions of ``here``, have those ``wanted``, which are more, and stand as they do.

    What is in its place stays there as long as it stands; what else stands is kept beside it. Raises LogbookError,
    storing nothing.
    """
    nothing = Versions()
    rows: list[tuple[str, str, int, OnShelf]] = []
    for key, versions in wanted.items():
        if (mine := here.get(key, nothing)) != versions:
            rows += _rows(*key, mine, versions)
    if rows:
        book.put_on_shelf(rows)


def _rows(kind: str, item: str, mine: Versions, wanted: Versions) -> list[tuple[str, str, int, OnShelf]]:
    """The revisions to be added so that a thing has the versions wanted."""
    place = mine.place if mine.place in wanted.stand else max(wanted.stand)
    over = sorted(wanted.met.keys() - mine.met.keys() - wanted.stand)
    beside = wanted.stand - {place}
    rows: list[tuple[str, str, int, OnShelf]] = []
    if place != mine.place:
        rows += [(kind, item, version[0], wanted.met[version]) for version in (*over, place)]
        over = []
    for version in sorted({*over, *(mine.beside ^ beside)}):
        name = sha256(repr((kind, item, version)).encode()).hexdigest()[:16]
        one = Beside(
            id=f"beside-{name}",
            what=kind,
            of=item,
            at_ms=version[0],
            whose=wanted.whose.get(version, ""),
            thing=wanted.met[version].model_dump(mode="json"),
            retired=version not in beside,
        )
        rows.append((OF_ONE, one.id, version[0], one))
    return rows


# --- what is to be chosen ---------------------------------------------------------------------------------------------


def open_things(book: Logbook) -> list[tuple[OnShelf, list[Beside]]]:
    """What was changed in two places: each thing as it is here, and what is kept beside it. Raises LogbookError."""
    found: dict[tuple[str, str], list[Beside]] = {}
    for one in book.shelf(Beside):
        found.setdefault((one.what, one.of), []).append(one)
    shelf = shelf_of(book) if found else {}
    return [
        (versions.met[versions.place], found[key])
        for key, versions in shelf.items()
        if key in found and versions.place is not None
    ]


def choose(book: Logbook, chosen: OnShelf, beside: Iterable[Beside]) -> None:
    """Let ``chosen`` be how a thing is from now on, over what was kept beside it. Raises LogbookError."""
    book.keep(*(one.model_copy(update={"retired": True}) for one in beside), chosen)
