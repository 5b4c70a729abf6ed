"""Things of the shelf that were entered twice made one, and parted again; what was called otherwise before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.logbook.file.called import KINDS, kind_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Machine, Same, Wearer, Yarn, of_kind

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord

Doubled = Machine | Cylinder | Yarn | Wearer


def merge_into(book: Logbook, thing: Doubled, into: Doubled) -> None:
    """Let ``thing`` be the same as ``into`` from now on, everywhere; both ids go on working.

    Raises LogbookError when they cannot be one.
    """
    what: Any = kind_of(type(thing))
    if thing.id == into.id:
        raise LogbookError(f"{thing.name} cannot be made one with itself.")
    for one in (thing, into):
        told = book.store.names_now().get((what, one.id))
        if told is not None and told.now != one.id:
            raise LogbookError(f"{one.name} is the same as {told.name} already.")
    if isinstance(thing, Cylinder) and isinstance(into, Cylinder) and thing.slots != into.slots:
        raise LogbookError(
            f"They have {thing.slots} and {into.slots} slots, so they cannot be the same. Put the sessions right "
            f"instead: "
            "e on a session's page, or `hosewright logbook correct ID --cylinder`."
        )
    if isinstance(thing, Machine) and isinstance(into, Machine) and thing.turn != into.turn:
        raise LogbookError(
            f"Their dials have {thing.turn} and {into.turn} clicks a turn, so they cannot be the same. Correct the "
            f"one that is wrong first."
        )
    same = Same(id=thing.id, name=thing.name, what=what, thing=thing.id, into=into.id)
    book.keep(same, thing.model_copy(update={"retired": True}))


def part_again(book: Logbook, what: str, thing_id: str) -> Doubled:
    """Let what was made one with another be a thing of its own again, which is returned. Raises LogbookError."""
    same = next((one for one in book.shelf(Same) if (one.what, one.thing) == (what, thing_id)), None)
    thing: Any = next((one for one in book.shelf(of_kind(what), retired=True) if one.id == thing_id), None)
    if same is None or thing is None:
        raise LogbookError("That was never made one with another, so there is nothing to part.")
    again: Doubled = thing.model_copy(update={"retired": False})
    book.keep(same.model_copy(update={"retired": True}), again)
    return again


def was_words(book: Logbook, record: SessionRecord) -> list[str]:
    """What a session was begun with that is called otherwise now: "Fjord was called Twine"."""
    begun = book.begun(book.store.find(record.id))
    names = book.store.names_now()
    said = []
    for kind in KINDS:
        now, was = getattr(record, kind), getattr(begun, kind)
        told = names.get((kind, was.id)) if was is not None else None
        if told is not None and now is not None and told.now == now.id and was.name != now.name:
            said.append(f"{now.name} was called {was.name}")
    return said
