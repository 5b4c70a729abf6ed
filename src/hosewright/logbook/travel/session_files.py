"""Session files: one readable, versioned JSON document a session. Export then import loses nothing.

``python -m hosewright.logbook.travel.session_files`` writes its JSON Schema anew, worked out from the models here.
"""

from __future__ import annotations

import json
import re
import stat
from datetime import UTC, datetime, timedelta, timezone
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError, field_validator, model_validator

from hosewright.logbook.file.coding import PLAIN, harmless_event
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.corrected import sound
from hosewright.logbook.records.fields import OneLine
from hosewright.logbook.records.sessions import BESIDE, SessionRecord
from hosewright.logbook.records.shelf import problems
from hosewright.logbook.ways import NOTHING
from hosewright.phrases.times import DAY_MS
from hosewright.session import events as ev
from hosewright.session.events import Entry

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence


FORMAT = "hosewright session"
VERSION = 1
# An event takes some 110 bytes of a file and 1 kB of memory while it is read: a session of 100,000 rows, the most a
# counter takes, is 11 MB. A file past this limit is something else, and reading it would only fill the memory.
MOST_BYTES = 32 * 1024 * 1024
_UNKNOWN_FIELD = ("extra_forbidden", "unexpected_keyword_argument")  # as pydantic calls it, of models and dataclasses
_MOST_SHOWN = 6  # things wrong with a file
_OPENED, _BETWEEN, _CLOSED = ',\n  "events": [\n    ', ",\n    ", "\n  ]\n}\n"  # round the events, as they are written

for _kind in ev.EVENT_TYPES:
    _kind.__pydantic_config__ = ConfigDict(extra="forbid")  # type: ignore[union-attr]  # see ``Heard.more``
EventModel = Annotated[ev.Event, Field(discriminator="kind")]
_EVENT: TypeAdapter[ev.Event] = TypeAdapter(EventModel)


class FiledEntry(BaseModel):
    """An event as a file tells it: ``at`` is local time with its offset from UTC."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    seq: Annotated[int, Field(ge=1)]
    at: datetime
    tick_ms: Annotated[int, Field(ge=0, lt=2**62)]
    event: EventModel

    @field_validator("event")
    @classmethod
    def _is_sound(cls, event: ev.Event) -> ev.Event:
        return sound(event) if isinstance(event, ev.Restated) else event

    def entry(self) -> Entry:
        offset = self.at.utcoffset()
        minutes = int(offset.total_seconds() // 60) if offset is not None else 0
        at_ms = (self.at.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)
        return Entry(self.seq, at_ms, minutes, self.tick_ms, harmless_event(self.event))

    def refuse_out_of_place(self, place: int) -> None:
        """Raise ValueError when this cannot be event number ``place`` of a session."""
        if self.seq != place:
            raise ValueError(f"event {place} is numbered {self.seq}; events are numbered 1, 2, 3 without a gap")
        if self.at.utcoffset() is None:
            raise ValueError(f"event {place} has a time without an offset from UTC")
        if not 1 < self.at.year < 9999:  # at either end the calendar runs out when the offset is taken off
            raise ValueError(f"event {place} has a time in the year {self.at.year}")


class SessionFile(BaseModel):
    """The whole document. ``laptop``: where it went on last, in a folder that laptops share."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: Literal["hosewright session"]
    version: Literal[1]
    laptop: OneLine = ""
    session: SessionRecord
    events: tuple[FiledEntry, ...]

    @model_validator(mode="after")
    def _in_order(self) -> SessionFile:
        for place, entry in enumerate(self.events, 1):
            entry.refuse_out_of_place(place)
        if BESIDE in (self.session.model_extra or {}):
            raise ValueError(f"{BESIDE} is the name of nothing in a session")
        return self

    def entries(self) -> list[Entry]:
        return [filed.entry() for filed in self.events]


class Heard(NamedTuple):
    """A session as a file tells it. ``more``: what a later version says of events, by their numbers.

    Each is [place in the entry, what is said there]; so is what it says beside the start, or in its steps, which goes
    along with the start as ``BESIDE``.
    """

    start: SessionRecord
    entries: list[Entry]
    laptop: str = ""
    more: Mapping[int, list[Any]] = NOTHING


def write(
    record: SessionRecord, entries: Iterable[Entry], laptop: str = "", more: Mapping[int, list[Any]] = NOTHING
) -> str:
    """The document for a session: its frozen start set out to be read, then one event a line."""
    beside = (record.model_extra or {}).get(BESIDE)
    if beside or more:
        told: dict[str, Any] = {"format": FORMAT, "version": VERSION, **({"laptop": laptop} if laptop else {})}
        told["session"] = record.model_dump(mode="json", exclude={BESIDE})
        head = json.dumps(_put_back(told, beside or []), ensure_ascii=False, indent=2).removesuffix("\n}")
    else:
        whose = f'  "laptop": {json.dumps(laptop, ensure_ascii=False)},\n' if laptop else ""
        start = record.model_dump_json(indent=2).replace("\n", "\n  ")
        head = f'{{\n  "format": "{FORMAT}",\n  "version": {VERSION},\n{whose}  "session": {start}'
    lines = [
        (one.seq not in more and _told(one))
        or json.dumps(_put_back(_filed(one), more.get(one.seq, [])), ensure_ascii=False)
        for one in entries
    ]
    return head + _OPENED + _BETWEEN.join(lines) + _CLOSED


def _put_back(told: dict[str, Any], more: list[Any]) -> dict[str, Any]:
    for place, value in more:
        _within(told, place[:-1])[place[-1]] = value
    return told


def _within(told: Any, place: Sequence[str | int]) -> Any:
    for step in place:
        told = told[step]
    return told


def _filed(entry: Entry) -> dict[str, Any]:
    zone = timezone(timedelta(minutes=entry.zone_min))
    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=entry.at_ms)
    event = {"kind": entry.event.kind} | _EVENT.dump_python(entry.event, mode="json", exclude_defaults=True)
    return {
        "seq": entry.seq,
        "at": at.astimezone(zone).isoformat(timespec="milliseconds"),
        "tick_ms": entry.tick_ms,
        "event": event,
    }


def read(path: Path) -> SessionFile:
    """The session in a file. Raises LogbookError with what is wrong with it, in a sentence or a few lines."""
    return parse(read_text(path), str(path))


def read_text(path: Path) -> str:
    """The text of a file, when it is one that could be ours. Raises LogbookError."""
    try:
        found = path.stat()
        if stat.S_ISFIFO(found.st_mode) or stat.S_ISCHR(found.st_mode) or stat.S_ISSOCK(found.st_mode):
            raise LogbookError(f"{path} is not a session file: it is a pipe or a device.")
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            raise LogbookError(f"{path} is too large to be a session file ({found.st_size:,} bytes).")
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise LogbookError(f"{path} is not a session file: it is not UTF-8 text.") from error
    except OSError as error:
        raise LogbookError(f"{path} cannot be read: {error.strerror}.") from error


def hear(text: str, name: str = "The file") -> Heard:
    """What ``parse`` finds, and what a later version says beside it, wherever that stands. Raises LogbookError."""
    try:
        filed, unknown = SessionFile.model_validate_json(text), []
    except ValidationError as error:
        places = [_place_of(one["loc"]) for one in error.errors() if one["type"] in _UNKNOWN_FIELD]
        if len(places) < error.error_count():
            raise unfit(name, "session", error) from error
        told = json.loads(text)
        unknown = [[place, _within(told, place[:-1]).pop(place[-1])] for place in places]
        filed = parse(json.dumps(told), name)
    more: dict[int, list[Any]] = {}
    for place, value in unknown:
        if place[0] == "events":
            more.setdefault(place[1] + 1, []).append([place[2:], value])
    beside = [one for one in unknown if one[0][0] != "events"]
    start = filed.session.model_copy(update={BESIDE: beside}) if beside else filed.session
    return Heard(start, filed.entries(), filed.laptop, more)


def _place_of(loc: tuple[str | int, ...]) -> list[str | int]:
    """Where a field stands in the document: as pydantic says it, without the kinds it names on the way."""
    kinds = {place + 1 for place, step in enumerate(loc) if step == "event"}  # events, 3, event, observed, needle
    kinds |= {place + 2 for place, step in enumerate(loc) if step == "steps"}  # session, steps, 0, rows, target
    return [step for place, step in enumerate(loc) if place not in kinds or place == len(loc) - 1]


def parse(text: str, name: str = "The file") -> SessionFile:
    """The session in a document. Raises LogbookError; ``name`` is how the message calls the document."""
    try:
        return SessionFile.model_validate_json(text)
    except ValidationError as error:
        raise unfit(name, "session", error) from error


def unfit(name: str, what: str, error: ValidationError) -> LogbookError:
    """What to raise for a document that is no ``what`` file, with the first things wrong with it, a line each."""
    found = problems(error)
    shown = "\n  ".join(found[:_MOST_SHOWN])
    more = f"\n  and {len(found) - _MOST_SHOWN} more" if len(found) > _MOST_SHOWN else ""
    return LogbookError(f"{name} is not a {what} file hosewright can read:\n  {shown}{more}")


def session_in(text: str, name: str = "The file") -> Heard:
    """The session in a document: what ``parse`` finds, and refuses, but sooner, and what a later version says, too."""
    return _by_lines(text) or hear(text, name)


def _by_lines(text: str) -> Heard | None:
    """The session in a document laid out as ``write`` does, a line an event; None for any other, right or wrong."""
    start, _, rest = text.partition(_OPENED)
    if not rest.endswith(_CLOSED):
        return None
    entries = []
    for place, line in enumerate(rest.removesuffix(_CLOSED).split(_BETWEEN), 1):
        entry = _heard(line) or _modelled(line, place)
        if entry is None or entry.seq != place:
            return None
        entries.append(entry)
    try:
        filed = SessionFile.model_validate_json(f'{start},"events":[]}}')
    except ValidationError:
        return None
    return Heard(filed.session, entries, filed.laptop)


def _modelled(line: str, place: int) -> Entry | None:
    try:
        filed = FiledEntry.model_validate_json(line)
        filed.refuse_out_of_place(place)
    except ValueError:
        return None
    return filed.entry()


# --- the commonest lines ----------------------------------------------------------------------------------------------

# Nearly every line is a press: an event with nothing but its kind. ``_told`` writes the very bytes models would,
# and ``_heard`` takes only lines of exactly that form. One of a million events is written in 0.7 us instead of 5, and
# read in 1.4 instead of 3.6.


_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - times are worked out as they are told, in local time
_MINUTE_MS = 60_000
_LINE = re.compile(
    r'\{"seq": ([1-9][0-9]{0,8}), "at": "'
    r"([0-9]{4}-[0-9]{2}-[0-9]{2}T(?:[01][0-9]|2[0-3]):[0-5][0-9]):([0-5][0-9])\.([0-9]{3})"
    r'([+-](?:[01][0-9]|2[0-3]):[0-5][0-9])", "tick_ms": (0|[1-9][0-9]{0,17}), "event": \{"kind": "([a-z-]+)"\}\}'
)


def _told(entry: Entry) -> str | None:
    """The line for an entry whose event has nothing but its kind; None for any other."""
    event = entry.event
    if event is not PLAIN.get(event.kind):
        return None
    minute, ms = divmod(entry.at_ms, _MINUTE_MS)
    zone_min = entry.zone_min
    return (
        f'{{"seq": {entry.seq}, "at": "{_minute_told(minute + zone_min)}{ms // 1000:02}.{ms % 1000:03}'
        f'{_zone_told(zone_min)}", "tick_ms": {entry.tick_ms}, "event": {{"kind": "{event.kind}"}}}}'
    )


def _heard(line: str) -> Entry | None:
    """The entry a line of that form tells; None for any other line, right or wrong."""
    found = _LINE.fullmatch(line)
    if found is None:
        return None
    seq, minute, second, ms, zone, tick_ms, kind = found.groups()
    event, began = PLAIN.get(kind), _minute_heard(minute, zone)
    if event is None or began is None:
        return None
    begun_ms, zone_min = began
    # Made without the check of its length, as in ``store.entries``.
    return tuple.__new__(Entry, (int(seq), begun_ms + int(second + ms), zone_min, int(tick_ms), event))


@lru_cache(maxsize=256)
def _minute_told(minute: int) -> str:
    return (_EPOCH + timedelta(minutes=minute)).isoformat()[:-2]


@lru_cache(maxsize=256)
def _minute_heard(minute: str, zone: str) -> tuple[int, int] | None:
    """When it began, in ms since 1970, and its offset from UTC in minutes; None for a minute that no calendar has."""
    if not "0001" < minute[:4] < "9999":  # at either end the calendar runs out when the offset is taken off
        return None
    try:
        since = datetime.fromisoformat(minute) - _EPOCH
    except ValueError:  # the 31st of a month with 30 days
        return None
    minutes = int(zone[1:3]) * 60 + int(zone[4:])
    zone_min = -minutes if zone[0] == "-" else minutes
    return since.days * DAY_MS + since.seconds * 1000 - zone_min * _MINUTE_MS, zone_min


@lru_cache(maxsize=256)
def _zone_told(minutes: int) -> str:
    return datetime(1970, 1, 2, tzinfo=timezone(timedelta(minutes=minutes))).isoformat()[19:]


# --- its JSON Schema, beside this module, where other programs find it ------------------------------------------------


SCHEMA_FILE = Path(__file__).with_name("session_file.schema.json")
DRAFT = "https://json-schema.org/draft/2020-12/schema"  # what pydantic's schemas are written in


def schema_of(document: type[BaseModel], called: str) -> str:
    """The JSON Schema of a document, as text."""
    schema = {"$schema": DRAFT, **document.model_json_schema(), "title": f"A {called} file, version {VERSION}"}
    return json.dumps(schema, ensure_ascii=False, indent=2, sort_keys=True) + "\n"


def schema_text() -> str:
    """That of a session file."""
    return schema_of(SessionFile, FORMAT)


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8", newline="\n")
