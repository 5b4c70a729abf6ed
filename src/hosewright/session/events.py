"""What can happen in a session. Events are only ever added; a correction is one more event.

The ``kind`` tags are permanent: they stand in the logbook and in session files.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, NamedTuple, get_args

Verdict = Literal["drop", "stay", "unsure", "stiff", "broke", "lower-stop"]
Fault = Literal[
    "dropped",
    "tuck",
    "split",
    "stayed-up",
    "fell-off",
    "yarn-broke",
    "stiff",
    "weight",
    "knot",
    "colour",
    "note",
]
Restatable = Literal["yarn", "lot", "cylinder", "machine", "wearer", "promise", "day", "title"]


@dataclass(frozen=True, slots=True)
class Opened:
    """The session was taken up again after the bench was closed; the time before it is no cranking time."""

    kind: Literal["opened"] = "opened"


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The present step is done. ``early``: a count step was left short of its target on purpose."""

    early: bool = False
    kind: Literal["confirmed"] = "confirmed"


@dataclass(frozen=True, slots=True)
class Pressed:
    """One row, or one pass in a heel or toe, was cranked.

    ``doubtful``: it came too soon after the press before to be a row (a bouncing pedal, a held key). It is stored
    and shown, and not counted.
    """

    doubtful: bool = False
    kind: Literal["pressed"] = "pressed"


@dataclass(frozen=True, slots=True)
class Doubted:
    """The last counted press was itself the first repeat of a held key: it counts no more."""

    kind: Literal["doubted"] = "doubted"


@dataclass(frozen=True, slots=True)
class Vouched:
    """The last doubtful presses were real rows after all."""

    kind: Literal["vouched"] = "vouched"


@dataclass(frozen=True, slots=True)
class TookBack:
    """The last press of the present step was a mistake; in a dial trial without rows yet, the last verdict was.

    What is a mistake is said with ``Undone`` now; older logbooks have this.
    """

    kind: Literal["took-back"] = "took-back"


@dataclass(frozen=True, slots=True)
class Undone:
    """The last thing done that still stood stands no more: all is as it was before it (see ``undoing``)."""

    kind: Literal["undone"] = "undone"


@dataclass(frozen=True, slots=True)
class Redone:
    """What was undone last is done again."""

    kind: Literal["redone"] = "redone"


@dataclass(frozen=True, slots=True)
class Recounted:
    """The counter of the present step is really at ``count``. ``settles``: doubtful presses are reckoned with in it.

    ``step``: the counter of that step, which is done already, was put right; nothing else moves.
    """

    count: int
    reason: str = ""
    settles: bool = False
    step: str = ""
    kind: Literal["recounted"] = "recounted"


@dataclass(frozen=True, slots=True)
class Rehung:
    """Work was lost or pulled back and hung again at row (or pass) ``count`` of the step named ``step``.

    ``settles``: doubtful presses before that are reckoned with in it.
    """

    step: str
    count: int
    reason: str = ""
    settles: bool = False
    kind: Literal["rehung"] = "rehung"


@dataclass(frozen=True, slots=True)
class Judged:
    """How the stitches behaved with the dial ``clicks`` below the zero mark."""

    verdict: Verdict
    clicks: int
    kind: Literal["judged"] = "judged"


@dataclass(frozen=True, slots=True)
class Voided:
    """Something that must stay the same was changed: earlier trials count no more, search on from ``clicks``."""

    clicks: int
    reason: str = ""
    kind: Literal["voided"] = "voided"


@dataclass(frozen=True, slots=True)
class DialMoved:
    """The dial was set to ``clicks`` below the zero mark, outside a dial trial."""

    clicks: int
    reason: str = ""
    kind: Literal["dial-moved"] = "dial-moved"


@dataclass(frozen=True, slots=True)
class ReadOff:
    """A reading: ``value`` in mm, g, or the number of the choice; ``typed`` is what the person typed."""

    field: str
    value: float
    typed: str = ""
    kind: Literal["measured"] = "measured"


@dataclass(frozen=True, slots=True)
class Observed:
    """Something seen at this row. ``needle`` is numbered as on the cylinder, from 1."""

    fault: Fault
    needle: int | None = None
    note: str = ""
    kind: Literal["observed"] = "observed"


@dataclass(frozen=True, slots=True)
class Amended:
    """More is known of the observation stored as event ``seq``: its needle (0: it is not known), a note, its kind.

    ``lot``: a new ball was joined on there, and it is of that lot of the stock, by its id.
    """

    seq: int
    needle: int | None = None
    note: str = ""
    fault: Fault | None = None
    lot: str = ""
    kind: Literal["amended"] = "amended"


@dataclass(frozen=True, slots=True)
class Struck:
    """The observation or reading stored as event ``seq`` is struck out; it stays readable."""

    seq: int
    kind: Literal["struck"] = "struck"


@dataclass(frozen=True, slots=True)
class Reread:
    """The reading stored as event ``seq`` is really ``value``; what was typed first stays readable there."""

    seq: int
    value: float
    typed: str = ""
    kind: Literal["reread"] = "reread"


@dataclass(frozen=True, slots=True)
class Restated:
    """The session was begun with something else than was said: ``what``, really ``value``.

    ``value`` is the whole record, copied as the start of a session is, of a yarn, a cylinder, a machine or a wearer;
    the id and the name of a lot or a promise; a day as ISO 8601 has it; a title. None: no wearer, no lot, no promise.
    ``sock``: of that sock of a string, by its place from 1; ``was``: what had been said. The steps, and what was
    counted, stay as they were.
    """

    what: Restatable
    value: dict[str, Any] | str | None = None
    sock: int = 0
    was: str = ""
    kind: Literal["restated"] = "restated"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """The session is left out of gauges, pace and statistics. ``cranked``: yarn went through the machine all the same.

    Where it did not (the keys were only tried), neither the yarn nor the oil knows of it.
    """

    reason: str
    cranked: bool = True
    kind: Literal["left-out"] = "left-out"


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A session that was left out counts again like any other."""

    kind: Literal["taken-in"] = "taken-in"


@dataclass(frozen=True, slots=True)
class Paused:
    """Hands off the crank. ``auto``: nobody said so, the crank was silent for long."""

    auto: bool = False
    kind: Literal["paused"] = "paused"


@dataclass(frozen=True, slots=True)
class Resumed:
    """Hands on the crank again. ``cranked``: said by the row or verdict that follows, and undone together with it."""

    cranked: bool = False
    kind: Literal["resumed"] = "resumed"


@dataclass(frozen=True, slots=True)
class SteppedBack:
    """Back to the step before, with its count and readings as they were."""

    kind: Literal["stepped-back"] = "stepped-back"


@dataclass(frozen=True, slots=True)
class Spoilt:
    """The present sock of a string is spoilt. ``again``: it is cranked once more, else the next one follows.

    What was cranked of it stays counted as a sock of its own. Struck out, all is as before, while nothing more is
    cranked.
    """

    reason: str
    again: bool = True
    kind: Literal["spoilt"] = "spoilt"


@dataclass(frozen=True, slots=True)
class Abandoned:
    """The session is given up; it can be taken up again."""

    reason: str = ""
    kind: Literal["abandoned"] = "abandoned"


@dataclass(frozen=True, slots=True)
class Reopened:
    """An abandoned session is taken up again where it stood."""

    kind: Literal["reopened"] = "reopened"


Event = (
    Opened
    | Confirmed
    | Pressed
    | Doubted
    | Vouched
    | TookBack
    | Undone
    | Redone
    | Recounted
    | Rehung
    | Judged
    | Voided
    | DialMoved
    | ReadOff
    | Observed
    | Amended
    | Struck
    | Reread
    | Restated
    | LeftOut
    | TakenIn
    | Paused
    | Resumed
    | SteppedBack
    | Spoilt
    | Abandoned
    | Reopened
)

EVENT_TYPES: tuple[type[Event], ...] = get_args(Event)


class Entry(NamedTuple):
    """An event with its place and time.

    ``seq`` counts from 1 and decides the order; ``at_ms`` is UTC in ms since 1970; ``zone_min`` is the local
    offset from UTC in minutes; ``tick_ms`` is a clock that never steps, good only for gaps between presses.
    """

    seq: int
    at_ms: int
    zone_min: int
    tick_ms: int
    event: Event
