"""The shelf as a file: everything kept beside the sessions, as one readable, versioned JSON document.

It holds the last revision of each thing, those no longer in use, too, and what was renamed has its earlier names with
it: the sessions beside it still say those. Taking one in overwrites nothing.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from hosewright.logbook.records.fields import Id, Name
from hosewright.logbook.records.shelf import SHELF, Cylinder, Machine, Noted, Plan, Same, Wearer, Yarn
from hosewright.logbook.records.year import Care, Lot, Promise, Weighing
from hosewright.logbook.travel.merge import Arrival, bring
from hosewright.logbook.travel.session_files import DRAFT, unfit
from hosewright.phrases.harmless import one_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import OnShelf

FORMAT = "hosewright shelf"
VERSION = 1
NAME = "shelf.json"  # beside the session files of a whole logbook


class Earlier(BaseModel):
    """A name that something of the shelf had before it was renamed."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Literal["machine", "cylinder", "yarn", "wearer"]
    id: Id
    name: Name


class ShelfFile(BaseModel):
    """The whole document, a list for each kind of thing; of earlier names, the first one of each thing comes first."""

    model_config = ConfigDict(frozen=True, extra="forbid")

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
    noted: tuple[Noted, ...] = ()
    same: tuple[Same, ...] = ()
    earlier: tuple[Earlier, ...] = ()

    def things(self, kind: str) -> tuple[OnShelf, ...]:
        found: tuple[OnShelf, ...] = getattr(self, kind)
        return found


def write(book: Logbook) -> str:
    """The document for the whole shelf of ``book``. Raises LogbookError when it cannot be read."""
    kinds: dict[str, type[Any]] = dict(SHELF)
    before = book.store.names_before().items()
    earlier = [Earlier.model_validate({"kind": kind, "id": item, "name": name})
               for (kind, item), names in before for name in names if one_line(name)]  # fmt: skip
    return written({kind: book.shelf(cls, retired=True) for kind, cls in kinds.items()}, earlier)


def written(things: Mapping[str, Iterable[OnShelf]], earlier: Iterable[Earlier] = ()) -> str:
    """The document for these things, by their kinds, and for the names they had."""
    told = {kind: [item.model_dump(mode="json") for item in items] for kind, items in things.items()}
    if names := [one.model_dump(mode="json") for one in earlier]:  # without any, as it was written before there were
        told["earlier"] = names
    return json.dumps({"format": FORMAT, "version": VERSION, **told}, ensure_ascii=False, indent=2) + "\n"


def schema_text() -> str:
    """The JSON Schema of such a document, as text."""
    schema = {"$schema": DRAFT, **ShelfFile.model_json_schema(), "title": f"A {FORMAT} file, version {VERSION}"}
    return json.dumps(schema, ensure_ascii=False, indent=2, sort_keys=True) + "\n"


def is_one(text: str) -> bool:
    """Whether a document says that it is a shelf, sound or not."""
    return f'"{FORMAT}"' in text[:200]


def parse(text: str, name: str = "The file") -> ShelfFile:
    """The shelf in a document. Raises LogbookError; ``name`` is how the message calls the document."""
    try:
        return ShelfFile.model_validate_json(text)
    except ValidationError as error:
        raise unfit(name, "shelf", error) from error


def take_in(book: Logbook, filed: ShelfFile, *, dry_run: bool = False) -> list[Arrival]:
    """Put on the shelf what is not there yet, all or nothing; what disagrees stays as it is here, and is named.

    With ``dry_run`` only say what would be. Raises LogbookError, storing nothing.
    """
    before: dict[tuple[str, str], list[str]] = {}
    for one in filed.earlier:
        before.setdefault((one.kind, one.id), []).append(one.name)
    return bring(book, {kind: filed.things(kind) for kind in SHELF}, before, dry_run=dry_run)
