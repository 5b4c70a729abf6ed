"""What was changed in two places, side by side, to choose from: a session that went on in both, or a thing's versions.

The bench and ``hosewright logbook choose`` say it alike: a row for each thing there is to say, a column for each way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hosewright.logbook import versions, ways
from hosewright.logbook.records.planned import record_kind
from hosewright.phrases.harmless import one_line
from hosewright.phrases.lists import listed, many
from hosewright.phrases.times import clock_time
from hosewright.session.events import Pressed
from hosewright.session.fold import fold
from hosewright.session.words import now_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import Beside, OnShelf
    from hosewright.logbook.ways import Way

HERE = "this laptop"


@dataclass(frozen=True, slots=True)
class Question:
    """Something to choose: ``rows`` are (what is said, how each way says it), the first of them where each is from.

    ``keep`` is told the place of the way chosen, from 0; it raises LogbookError.
    """

    id: str
    kind: str
    title: str
    rows: tuple[tuple[str, ...], ...]
    keep: Callable[[int], None]

    @property
    def ways(self) -> tuple[str, ...]:
        """Where each way is from."""
        return self.rows[0][1:]

    @property
    def heading(self) -> str:
        """What it is, once: the title of a session mostly says its kind."""
        said = self.title if self.title.casefold().startswith(self.kind) else f"{self.kind} {self.title}"
        return f"{said[0].upper()}{said[1:]}"


def questions(book: Logbook) -> list[Question]:
    """All there is to choose, sessions first. Raises LogbookError."""
    sessions = [of_session(book, session) for session in ways.open_sessions(book.store)]
    things = [_of_thing(book, thing, beside) for thing, beside in versions.open_things(book)]
    return [*sessions, *things]


def of_session(book: Logbook, session: str) -> Question:
    """The ways a session went on, those that were not chosen, too, so that one may think again. Raises LogbookError."""
    every = ways.ways_of(book.store, session)
    record = book.record(every[0].line)
    told = [_way_rows(way) for way in every]

    def keep(place: int) -> None:
        now = book.clock.now()
        book.keep(ways.choice(every, every[place].key, now.at_ms, now.zone_min))

    return Question(session, record_kind(record).lower(), record.title, _columns(told), keep)


def _way_rows(way: Way) -> list[tuple[str, str]]:
    state = fold(way.start.head, way.entries)
    since = way.entries[way.shared :]
    pressed = sum(isinstance(entry.event, Pressed) for entry in since)
    more = [many(pressed, "row or pass", "rows and passes")] if pressed else []
    if len(since) > pressed:
        more.append(many(len(since) - pressed, "other event"))
    last = way.entries[-1] if way.entries else None
    stands = "in its place" if way.in_place else "beside it" if way.stands else "beside it, another in its stead"
    return [
        ("from", way.whose or HERE),
        ("last event", clock_time(last.at_ms, last.zone_min) if last else "none"),
        ("since they parted", listed(more) if more else "nothing"),
        ("stands at", now_words(state)),
        ("events in all", f"{len(way.entries):,}"),
        ("stands", stands),
    ]


def _of_thing(book: Logbook, thing: OnShelf, beside: list[Beside]) -> Question:
    others = [one.of_shelf for one in beside]
    every = [thing, *others]
    dumped: list[dict[str, Any]] = [one.model_dump(mode="json") for one in every]
    names = [name for name in dumped[0] if any(one[name] != dumped[0][name] for one in dumped[1:])]
    told = [
        [
            ("from", whose or HERE),
            *((name.replace("_", " "), one_line(_shown(values[name]))[:60]) for name in names),
        ]
        for whose, values in zip(("", *(one.whose for one in beside)), dumped, strict=True)
    ]

    def keep(place: int) -> None:
        versions.choose(book, every[place], beside)

    return Question(thing.id, beside[0].what, thing.name, _columns(told), keep)


def _shown(value: object) -> str:
    if value is None or value == "" or value == []:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _columns(told: Sequence[Sequence[tuple[str, str]]]) -> tuple[tuple[str, ...], ...]:
    return tuple((told[0][at][0], *(one[at][1] for one in told)) for at in range(len(told[0])))
