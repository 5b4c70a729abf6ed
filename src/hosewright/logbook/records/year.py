"""What the logbook keeps of the year around the machine: yarn by dye lot, weighings, promised pairs, a machine's care.

Each is kept like anything on the shelf: a change is a new revision, a mistake is retired, nothing is overwritten.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from hosewright.craft import MOST_SLOTS
from hosewright.logbook.records.fields import Core, Grams, Id, Kept, Moment, Name, Note, OneLine, Zone


def _a_day(text: str) -> str:
    return date.fromisoformat(text).isoformat()


Day = Annotated[str, Field(max_length=10), AfterValidator(_a_day)]  # ISO 8601, local
Money = Annotated[int, Field(ge=0, le=100_000_000)]  # in hundredths of whatever money the knitter counts in


class Lot(Kept):
    """Yarn bought together, of one dye lot: ``grams`` in ``pieces`` balls, cones or skeins. ``name`` is the lot's.

    ``core_g`` is what the empty core of a ball, or the empty cone, weighs, 0 when it has none; ``price`` what all of
    it cost, in hundredths. None: not known.
    """

    id: Id
    name: Name
    yarn: Id
    put_up: Literal["ball", "cone", "skein"] = "ball"
    pieces: Annotated[int, Field(ge=1, le=10_000)] = 1
    grams: Grams
    bought: Day
    core_g: Core | None = None
    price: Money | None = None
    note: Note = ""
    retired: bool = False


class Weighing(Kept):
    """What the scale said of a lot: all that is ``left`` of it, or grams ``gone`` another way than into a session."""

    id: Id
    lot: Id
    at_ms: Moment
    zone_min: Zone = 0
    what: Literal["left", "gone"] = "left"
    grams: Annotated[float, Field(ge=0, le=20000, allow_inf_nan=False)]
    why: OneLine = ""
    retired: bool = False

    @property
    def name(self) -> str:
        return f"{self.grams:g} g {self.what}"


class Promise(Kept):
    """A pair promised: for whom, by when, on which yarn. How far it is, the sessions tell.

    ``price`` and ``paid`` are in hundredths. ``handed_over`` is the day. ``retired``: called off.
    """

    id: Id
    name: Name
    yarn: Id
    wearer: Id | None = None
    lot: Id | None = None
    plan: Id | None = None
    made: Day
    by: Day | None = None
    price: Money | None = None
    paid: Money = 0
    handed_over: Day | None = None
    note: Note = ""
    retired: bool = False


class Care(Kept):
    """Something done to a machine. ``needles`` are those changed, ``fault`` and ``why`` say what for."""

    id: Id
    machine: Id
    at_ms: Moment
    zone_min: Zone = 0
    what: Literal["oiled", "needle", "part", "ribber", "note"]
    needles: Annotated[tuple[Annotated[int, Field(ge=1, le=MOST_SLOTS)], ...], Field(max_length=MOST_SLOTS)] = ()
    cylinder: Id | None = None
    fault: Literal["", "dropped", "tuck", "split", "stayed-up"] = ""
    why: OneLine = ""
    note: Note = ""
    retired: bool = False

    @property
    def name(self) -> str:
        return {"needle": "needles changed", "ribber": "ribber timed"}.get(self.what, self.what)


class Tried(Kept):
    """A check that was tried when it knitted badly, and what came of it: it "helped", or was "not" it.

    ``needle`` was "moved" from its slot ``to`` another, each numbered as the slot on the cylinder; then "needle" says
    that the fault went along with it, "slot" that it stayed, "gone" that it is seen at neither.
    """

    id: Id
    machine: Id
    cylinder: Id
    at_ms: Moment
    zone_min: Zone = 0
    symptom: Id
    check: Id
    outcome: Literal["helped", "not", "moved", "needle", "slot", "gone"]
    needle: Annotated[int, Field(ge=1, le=MOST_SLOTS)] | None = None
    to: Annotated[int, Field(ge=1, le=MOST_SLOTS)] | None = None
    retired: bool = False

    @property
    def name(self) -> str:
        return f"{self.check}: {self.outcome}"
