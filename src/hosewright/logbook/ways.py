"""Sessions from elsewhere, and the ways a session went on: which of two is the beginning of the other, what was chosen.

A way is a start and its events. Of all that are known none is the beginning of another: the longer one is as good as
both. One stands in the session's place, and is what everything reads; the others are kept beside it, whole. Which one
stands is settled by what was chosen (``Chosen``), alike in every logbook that knows the same ways and choices.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from hashlib import sha256
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from hosewright.logbook.file.called import kind_of
from hosewright.logbook.file.coding import Prepared, encode, head_of, start_of, with_more
from hosewright.logbook.file.errors import LogbookError, unreadable
from hosewright.logbook.projections import gauge_of, put_lists_right, standing_of
from hosewright.logbook.records.corrected import as_it_stands
from hosewright.logbook.records.fields import session_id
from hosewright.logbook.records.sessions import BESIDE, SessionRecord, read_start
from hosewright.logbook.records.shelf import Chosen
from hosewright.session.events import Opened, Paused, Resumed, Undone
from hosewright.session.fold import fold
from hosewright.session.results import verdict_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from hosewright.logbook.file.store import SessionLine, Store
    from hosewright.logbook.records.shelf import OnShelf
    from hosewright.session.events import Entry

NOTHING: Mapping[int, list[Any]] = MappingProxyType({})
What = Literal["new", "goes on", "here already", "disagrees"]
_KEY = 16  # hexadecimal digits


def prepare(
    record: SessionRecord, entries: Sequence[Entry], whose: str = "", more: Mapping[int, list[Any]] = NOTHING
) -> Prepared:
    """Fold a session and work out all that is stored beside its events; ``whose``: where it is from.

    ``more``: what a later version said of its events, by their numbers.
    """
    state = fold(record.head, entries)
    stands = as_it_stands(record, state.restated)
    changed_ms = state.last_ms if entries else record.started_ms
    gauge = gauge_of(stands, state) if record.kind == "tube" else None
    things: list[OnShelf | None] = [record.plan]
    for one in (record,) if stands is record else (record, stands):
        things += [one.machine, one.cylinder, one.yarn, one.wearer]
        things += [thing for sock in one.socks for thing in (sock.wearer, sock.plan)]
    return Prepared(
        record.id,
        record.kind,
        stands.title,
        stands.started_ms,
        state.status,
        changed_ms,
        record.model_dump_json(),
        None if stands is record else stands.model_dump_json(),
        [(seq, at, zone, tick, *with_more(*encode(event), more.get(seq))) for seq, at, zone, tick, event in entries],
        [(reading.seq, reading.field, reading.value, reading.typed) for reading in state.readings],
        (stands.yarn.id, stands.cylinder.id, gauge.model_dump_json()) if gauge else None,
        [(kind_of(type(thing)), thing.id, thing.model_dump_json()) for thing in things if thing is not None],
        verdict_words(state),
        (state.out.reason, state.out.cranked) if state.out else None,
        any(isinstance(entry.event, Undone) for entry in entries),
        standing_of(state),
        whose,
    )


class StandsTo(NamedTuple):
    """How a session from elsewhere stands to what is here.

    ``n``: the session it is the same as, or goes on from event ``shared`` of; or that in whose place it is not, where
    they disagree. None: there is no such session here. ``aside``: that one is set aside.
    """

    what: What
    n: int | None = None
    shared: int = 0
    aside: bool = False


def stands_to(store: Store, one: Prepared) -> StandsTo:
    """How ``one`` stands to what is here. Raises LogbookError."""
    known = store.line(one.id)
    if known is None:
        return StandsTo("new")
    there, events = SessionRecord.model_validate_json(one.record), one.entries()
    most = 0
    for line in (known, *store.asides(one.id)):
        here = list(store.entries(line.n))
        shared = shared_events(here, events) if _same(read_start(line.id, store.begun_text(line.n)), there) else 0
        most = max(most, shared)
        if shared == len(events) and (shared or here == events):
            return StandsTo("here already", line.n, shared, aside=line.n != known.n)
        if shared == len(here) and shared:
            return StandsTo("goes on", line.n, shared, aside=line.n != known.n)
    return StandsTo("disagrees", known.n, most)


def _same(here: SessionRecord, there: SessionRecord) -> bool:
    """Whether two starts are the same, apart from what a later version says beside them."""
    return here == there or here.model_dump(exclude={BESIDE}) == there.model_dump(exclude={BESIDE})


def shared_events(here: Sequence[Entry], there: Sequence[Entry]) -> int:
    """How many events two ways begin with that are the same."""
    return next((n for n, (a, b) in enumerate(zip(here, there, strict=False)) if a != b), min(len(here), len(there)))


def key_of(start: SessionRecord, entries: Iterable[Entry]) -> str:
    """What tells a way from every other, the same in every logbook."""
    *_, last = _keys(start, entries)
    return last


def _keys(start: SessionRecord, entries: Iterable[Entry]) -> Iterator[str]:
    """The key of a way at its start, and after each event. What a version adds with a default is left out of it."""
    told = json.dumps(start.model_dump(mode="json", exclude_defaults=True, exclude={BESIDE}), sort_keys=True)
    summed = sha256(told.encode())
    yield summed.hexdigest()[:_KEY]
    for entry in entries:
        summed.update(repr((*entry[:4], *encode(entry.event))).encode())
        yield summed.hexdigest()[:_KEY]


@dataclass(frozen=True, slots=True)
class Way:
    """One way a session went on.

    ``whose``: where it is from, empty for what was cranked here. ``shared``: with how many events it begins like all
    the others. ``stands``: nothing else was chosen over it. ``in_place``: it is what the lists and everything else say.
    """

    line: SessionLine
    start: SessionRecord
    entries: list[Entry]
    key: str
    whose: str
    shared: int
    stands: bool
    in_place: bool

    def begins_with(self, key: str) -> bool:
        """Whether this is the way with that key, or goes on from it."""
        return key in _keys(self.start, self.entries)

    def did_nothing(self, other: Way) -> bool:
        """Whether nothing was done in it since it parted from the other: it was only looked at, or paused."""
        if not _same(self.start, other.start):
            return False
        shared = shared_events(self.entries, other.entries)
        return all(isinstance(entry.event, Opened | Paused | Resumed) for entry in self.entries[shared:])


def take_in(store: Store, sessions: Sequence[Prepared]) -> list[What]:
    """Store sessions from elsewhere, with the things they name that are not on the shelf yet, in one commit.

    What is here goes on where the other is longer and begins with it; where both went on (``disagrees``) the other is
    kept beside the one that is here. Raises LogbookError, with none of them stored.
    """
    if all(stands_to(store, one).what == "here already" for one in sessions):
        return ["here already" for _ in sessions]
    found: list[What] = []
    with store.one_commit():
        for one in sessions:
            how = stands_to(store, one)
            if how.what == "here already":
                found.append(how.what)
                continue
            for kind, item_id, body in one.named:
                if not store.on_shelf(kind, item_id):
                    store.add_revision(kind, item_id, one.started_ms, body)
            found.append(_store(store, one, how))
    return found


def take_in_each(store: Store, sessions: Sequence[Prepared]) -> list[What | LogbookError]:
    """The same, or, where that cannot be, one at a time, so that one refused leaves the others: what each came to."""
    try:
        return [*take_in(store, sessions)]
    except LogbookError as error:
        if len(sessions) == 1:
            return [error]
        return [what for one in sessions for what in take_in_each(store, [one])]


def _store(store: Store, one: Prepared, how: StandsTo) -> What:
    """What it came to: where one of the two is only looked at, they do not disagree."""
    if how.what == "disagrees":
        store.add_aside(one)
    else:
        n = how.n
        if n is None:
            n = store.add_prepared(one)
        else:
            store.lengthen(n, one, how.shared)
        if one.undone and not how.aside:
            put_lists_right(store, n, head_of(start_of(one.record)), one.entries())
    still_open = how.n is not None and settle(store, one.id)
    if how.what != "disagrees" or still_open:
        return how.what
    return "here already" if store.find(one.id).n == how.n else "goes on"


def ways_of(store: Store, session: str) -> list[Way]:
    """Every way a session went on that is known, the one in its place first. Raises LogbookError."""
    known = store.find(session)
    lines = (known, *store.asides(known.id))
    read = [(line, read_start(line.id, store.begun_text(line.n)), list(store.entries(line.n))) for line in lines]
    first = read[0][2]
    shared = min((shared_events(first, entries) for _, _, entries in read[1:]), default=len(first))
    every = [
        Way(line, start, entries, key_of(start, entries), "" if line is known else line.title, shared,
            stands=True, in_place=line is known)
        for line, start, entries in read
    ]  # fmt: skip
    return _judged(every, _choices(store, known.id)) if every[1:] else every


def _choices(store: Store, session: str) -> list[Chosen]:
    try:
        every = [Chosen.model_validate_json(text) for text in store.shelf_texts("chosen")]
    except ValueError as error:
        raise unreadable("choice") from error
    return [one for one in every if one.session == session and not one.retired]


def _judged(every: list[Way], choices: list[Chosen]) -> list[Way]:
    """The same ways, with which of them stand: of each the latest choice that knew it says so.

    Of one in which nothing was done since it parted from another that one stands in the stead.
    """
    chosen = {way.key: _chosen(way, choices) for way in every}
    return [
        replace(way, stands=chosen[way.key] is not False and not _stands_in_stead(way, every, chosen)) for way in every
    ]


def _chosen(way: Way, choices: list[Chosen]) -> bool | None:
    for one in sorted(choices, key=lambda one: (one.at_ms, one.id), reverse=True):
        chosen = way.begins_with(one.chosen)
        if chosen or way.key in one.over:
            return chosen
    return None


def _stands_in_stead(way: Way, every: list[Way], chosen: dict[str, bool | None]) -> bool:
    for other in every:
        rank, against = chosen[way.key], chosen[other.key]
        if other is not way and against is not False and not (rank and not against) and way.did_nothing(other):
            longer = (len(other.entries), other.key) > (len(way.entries), way.key)
            if (against and not rank) or longer or not other.did_nothing(way):
                return True
    return False


def settle(store: Store, session: str) -> bool:
    """Let a way that stands be in the session's place. Call inside ``one_commit``. Raises LogbookError.

    True where more than one stands, so that it is still to be chosen.
    """
    if not store.asides(session):
        return False
    every = ways_of(store, session)
    stands = sorted((way for way in every if way.stands), key=lambda way: way.key)
    if every[0].stands or not stands:
        return len(stands) > 1
    put = stands[0]
    one = prepare(put.start, put.entries)
    store.change_places(every[0].line.n, one, put.line.n)
    if one.undone:
        put_lists_right(store, put.line.n, head_of(start_of(one.record)), put.entries)
    return len(stands) > 1


def parted_sessions(store: Store) -> list[str]:
    """The sessions that went on in more than one way, each once."""
    return list(dict.fromkeys(line.session for line in store.asides()))


def open_sessions(store: Store) -> list[str]:
    """The sessions of which more than one way stands: which it was is still to be chosen. Raises LogbookError."""
    return [one for one in parted_sessions(store) if sum(way.stands for way in ways_of(store, one)) > 1]


def choice(every: Sequence[Way], key: str, at_ms: int, zone_min: int) -> Chosen:
    """Of ``every`` way a session went on that with ``key``, to be kept; the others stay to be read."""
    over = tuple(sorted(way.key for way in every if way.key != key))
    session = every[0].line.id
    return Chosen(id=session_id(at_ms), session=session, chosen=key, over=over, at_ms=at_ms, zone_min=zone_min)
