"""What was begun, counted or read off wrongly: lines that show how it stands, and the events that put it right."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, cast

from hosewright.counting.hands import joined_on
from hosewright.counting.measuring import ReadingError, read_value, show_value
from hosewright.craft.dial import show_position
from hosewright.logbook.accounts.stock import lot_words, lots_of
from hosewright.logbook.records.corrected import COPIED, restated
from hosewright.logbook.records.planned import record_name
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.phrases.days import local_day, plain_day, read_day_gone, show_day
from hosewright.phrases.field import Field, FieldError, whole, words
from hosewright.phrases.lists import many
from hosewright.phrases.times import local
from hosewright.session.events import Event, LeftOut, Recounted, Reread, Restatable, Restated, Struck
from hosewright.session.observations import place_words
from hosewright.session.rules import MOST_ROWS
from hosewright.session.steps import CountPasses, CountRows, sock_of
from hosewright.session.steps.tubes import called_in
from hosewright.session.words import label_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.state import Reading, State
    from hosewright.session.steps import Head, MeasureField
    from hosewright.settings.table import Settings

CHOSEN: dict[str, type[Any]] = {**COPIED, "lot": Lot, "promise": Promise}  # by name
_LABELS = {
    "yarn": ("Yarn", "what was cranked"),
    "lot": ("Dye lot", "the one it came off first"),
    "machine": ("Machine", "what it was cranked on"),
    "cylinder": ("Cylinder", "the one that was in it"),
    "wearer": ("For", "who is to wear it"),
    "promise": ("Promised pair", "the one it is a sock of"),
}
_NONE = {"lot": "no lot named", "wearer": "nobody named", "promise": "no promised pair"}


class Lines(NamedTuple):
    """The lines of a form, and what stands on them first, by their names."""

    fields: tuple[Field, ...]
    first: dict[str, Any]


# --- the start --------------------------------------------------------------------------------------------------------


def start_lines(book: Logbook, record: SessionRecord) -> Lines:
    """All of a session's start that can be put right. Raises LogbookError."""
    today = local_day(book.clock)
    first: dict[str, Any] = {"title": record.title, "day": day_of(record)}
    fields = [
        words("title", "Title", "what lists call it", 80, required=True),
        Field(
            "day",
            "Day",
            "the day it was begun",
            lambda text: _whole_day(text, today),
            lambda day: show_day(day, today),
            example="24 Dec 2025",
            required=True,
        ),
    ]
    for name, what, sock in _asked(record):
        first[name] = _stands(record, what, sock)
        label, said = _LABELS[what]
        label = f"{label}, {record_name(record, sock)} {sock}" if sock else label
        blank = _NONE.get(what, "none chosen")
        offered = tuple(_offered(book, record, what, sock))
        fields.append(Field(name, label, said, blank=blank, choices=offered, required=what not in _NONE))
    return Lines(tuple(fields), first)


def _asked(record: SessionRecord) -> list[tuple[str, Restatable, int]]:
    """The name of each line for something chosen, what it is of, and of which sock of a string."""
    of_session: list[Restatable] = ["yarn", "lot", "machine", "cylinder"]
    if record.kind == "string":
        each: list[Restatable] = ["wearer", "promise"]
        of_socks = [(f"{what}-{sock}", what, sock) for sock in range(1, len(record.socks) + 1) for what in each]
        return [(str(what), what, 0) for what in of_session] + of_socks
    whose: list[Restatable] = ["wearer", "promise"] if record.kind == "sock" else ["wearer"]
    return [(str(what), what, 0) for what in (*of_session, *whose)]


def _whole_day(text: str, today: date) -> str:
    day = read_day_gone(text, today)
    if len(day) != len("2025-12-24"):
        raise ValueError("Type the day itself, such as 24 Dec 2025.")
    return day


def day_of(record: SessionRecord) -> str:
    """The day a session was begun where the knitter is, as ISO 8601 has it."""
    return local(record.started_ms, record.zone_min).date().isoformat()


def _of_sock(record: SessionRecord, sock: int) -> Any:
    return record.socks[sock - 1] if sock else record


def _stands(record: SessionRecord, what: str, sock: int) -> str | None:
    """The id of what is named now."""
    named = getattr(_of_sock(record, sock), what)
    return cast("str | None", getattr(named, "id", named))


def _offered(book: Logbook, record: SessionRecord, what: str, sock: int) -> list[tuple[str, str]]:
    """What can be chosen, and what is named now though it is on the shelf no more."""
    yarns = {yarn.id: yarn.name for yarn in book.shelf(Yarn, retired=True)}
    if what == "lot":
        found = [(f"{lot_words(lot)}, {yarns.get(lot.yarn, '')}", lot.id) for lot in book.shelf(Lot)]
    else:
        found = [(one.name, one.id) for one in book.shelf(CHOSEN[what])]
    now = _stands(record, what, sock)
    if now is not None and now not in [one for _, one in found]:
        found.append((_was(book, record, what, sock) or now, now))
    return found


def _was(book: Logbook, record: SessionRecord, what: str, sock: int) -> str:
    """What is named now, in words."""
    if what in ("title", "day"):
        return record.title if what == "title" else plain_day(day_of(record))
    named = getattr(_of_sock(record, sock), what)
    if what == "lot":
        return record.dye_lot or (named or "")
    if what == "promise":
        promise = book.get(Promise, named) if named else None
        return promise.name if promise else (named or "")
    return named.name if named else ""


def start_events(book: Logbook, record: SessionRecord, values: Mapping[str, Any]) -> list[Restated]:
    """What in ``values``, by the names of the lines, is otherwise than it stands. Raises FieldError, LogbookError."""
    made: list[Restated] = []
    texts: tuple[tuple[Restatable, str], ...] = (("title", record.title), ("day", day_of(record)))
    for what, now in texts:
        if values.get(what, now) != now:
            made.append(restated(what, values[what], was=_was(book, record, what, 0)))
    for name, what, sock in _asked(record):
        if name in values and values[name] != _stands(record, what, sock):
            made.append(_chosen(book, record, what, sock, values[name], name))
    yarn = next((event.value for event in made if event.what == "yarn"), None)
    lot = next((event for event in made if event.what == "lot"), None)
    yarn_id = yarn["id"] if isinstance(yarn, dict) else record.yarn.id
    if lot is not None and isinstance(lot.value, dict):
        of_yarn = book.get(Lot, lot.value["id"])
        if of_yarn is not None and of_yarn.yarn != yarn_id:
            raise FieldError("lot", "That lot is of another yarn: choose one of this yarn's, or none.")
    elif lot is None and yarn is not None and record.lot is not None:
        made.append(restated("lot", None, was=_was(book, record, "lot", 0)))
    return made


def _chosen(book: Logbook, record: SessionRecord, what: Restatable, sock: int, to: str | None, name: str) -> Restated:
    was = _was(book, record, what, sock)
    if to is None:
        return restated(what, None, sock, was)
    thing = book.get(CHOSEN[what], to)
    if thing is None:
        raise FieldError(name, f"There is no such {what}{' on the shelf' * (what in COPIED)}.")
    return restated(what, thing if what in COPIED else (thing.id, thing.name), sock, was)


def _what_follows(before: SessionRecord, after: SessionRecord, state: State) -> list[str]:
    """What a correction of the start changes, and what it does not, a sentence each."""
    said = []
    if after.yarn.id != before.yarn.id:
        said.append(f"Gauge, yarn account and lists go by {after.yarn.name} now.")
        if before.lot is not None and after.lot is None:
            said.append("No lot is named now, since it was one of the other yarn.")
    old, new = before.cylinder.slots, after.cylinder.slots
    if old != new:
        said.append(
            f"Its stitches are now worked out for {new} slots, not {old}: stitches to the inch and the yarn it took "
            f"change. Rows do not, and the steps stay as they were cranked, for {state.head.slots} slots."
        )
    if after.machine.id != before.machine.id:
        turn = after.machine.turn
        reads = f", on {after.machine.name} {show_position(state.dial, turn)}" if turn != before.machine.turn else ""
        said.append(f"The dial stays as it was counted: {many(state.dial, 'click')} below zero{reads}.")
    if day_of(after) != day_of(before):
        said.append("The times between its rows, and so its pace, stay as they were.")
    return said


# --- rows and readings ------------------------------------------------------------------------------------------------


def work_lines(book: Logbook, live: Live, settings: Settings) -> Lines:
    """The rows of every part that is done, every reading that stands, and the lot of each ball joined on.

    Raises LogbookError.
    """
    state, lots = live.state, lots_of(book, live.record.yarn.id)
    first: dict[str, Any] = {}
    fields = []
    for at, step in enumerate(state.head.steps[: state.index]):
        if isinstance(step, CountRows | CountPasses) and not (state.spoils and state.left_out(at)):
            unit = "passes" if isinstance(step, CountPasses) else "rows"
            name = f"count-{step.id}"
            said = f"{unit} really cranked; {step.target} were asked for"
            fields.append(whole(name, step.title, said, 0, MOST_ROWS, required=True))
            first[name] = state.counts[at]
    for item, read in _readings(state):
        name = f"reading-{read.seq}"
        fields.append(_reading_line(name, item, state.head, settings))
        first[name] = read.value
    for seen in state.observations if lots else ():
        if seen.fault == "knot" and not seen.struck:
            name = f"joined-{seen.seq}"
            offered = tuple((words, lot) for lot, words in lots)
            label = f"Joined on at {place_words(state, seen)}"
            fields.append(Field(name, label, "its lot, if it was another", blank="the same lot", choices=offered))
            first[name] = seen.lot or None
    return Lines(tuple(fields), first)


def _readings(state: State) -> list[tuple[MeasureField, Reading]]:
    fields = state.head.fields
    return [(item, read) for item in fields for read in state.readings if read.field == item.id and not read.struck]


def _reading_line(name: str, item: MeasureField, head: Head, settings: Settings) -> Field:
    length_unit, mass_unit = settings.length_unit, settings.mass_unit

    def read(text: str) -> float:
        try:
            return read_value(text, item, length_unit, mass_unit)
        except ReadingError as error:
            raise ValueError(str(error)) from error

    def show(value: float) -> str:
        return show_value(value, item, length_unit, mass_unit)

    number = sock_of(item.id)
    sock = f", {called_in(head, number)} {number}" if number else ""
    return Field(name, f"{label_of(item)}{sock}", "empty: struck out", read, show)


def work_events(values: Mapping[str, Any], lines: Lines, why: str = "") -> list[Event]:
    """What in ``values``, by the names of the ``lines``, is otherwise than it stands."""
    made: list[Event] = []
    known = {field.name: field for field in lines.fields}
    for name, was in lines.first.items():
        if name not in values or values[name] == was:
            continue
        kind, _, of = name.partition("-")
        if kind == "joined":
            if values[name] is not None:
                made.append(joined_on(int(of), (values[name], known[name].say(values[name]))))
        elif kind == "count":
            made.append(Recounted(values[name], why, step=of))
        elif values[name] is None:
            made.append(Struck(int(of)))
        else:
            made.append(Reread(int(of), values[name], known[name].say(values[name])))
    return made


# --- left out, and taken in -------------------------------------------------------------------------------------------

LEFT_OUT = (
    words(
        "reason",
        "Why",
        "such as felted, cranked by a guest",
        200,
        required=True,
        missing="Say in a few words why it is left out, such as: felted.",
        example="felted",
    ),
    Field(
        "cranked",
        "Yarn went in",
        "no: the keys were only tried",
        choices=(("yes", True), ("no", False)),
        required=True,
    ),
)


def left_out(values: Mapping[str, Any]) -> LeftOut:
    """The event for what stands on the lines of LEFT_OUT."""
    return LeftOut(values["reason"], values["cranked"])


def put_right(live: Live, events: Sequence[Event]) -> tuple[str, list[str]]:
    """Store ``events`` one after another: why one could not be, in a sentence, and what follows, a sentence each.

    Raises LogbookError.
    """
    before = live.record
    for event in events:
        why = live.do(event)
        if why is not None:
            return why, []
    return "", _what_follows(before, live.record, live.state)
