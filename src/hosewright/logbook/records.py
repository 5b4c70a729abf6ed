"""What the logbook keeps on its shelf, and the frozen start of a session. Lengths in mm, masses in g."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from hosewright.logbook.harmless import harmless as harmless  # looked for here by whoever shows a record
from hosewright.logbook.harmless import one_line
from hosewright.logbook.kept import (
    Clicks,
    DialChange,
    Grams,
    Id,
    Kept,
    Line,
    Millimetres,
    Moment,
    Name,
    Note,
    Positive,
    Slots,
    Zone,
)
from hosewright.logbook.year_records import Care, Lot, Promise, Weighing
from hosewright.session.steps import (
    Confirm,
    CountPasses,
    CountRows,
    DialTrial,
    Head,
    Measure,
    SessionKind,
    Wait,
    sock_of,
)
from hosewright.session.words import Given


class Machine(Kept):
    """A sock machine, as its owner knows it.

    ``weights`` and ``mast_tension`` are the usual ones. ``oil_every_rows`` is its manual's figure; None: no reminder.
    """

    id: Id
    name: Name
    thread_pitch_mm: Millimetres = 1.27
    clicks_per_turn: Annotated[int, Field(ge=1, le=64)] = 4
    starting_dial: Clicks = 32
    zero_note: Line = ""
    weights: Line = "two of three"
    mast_tension: Line = ""
    oil_every_rows: Annotated[int, Field(ge=1, le=100_000_000)] | None = None
    note: Note = ""
    retired: bool = False


class Cylinder(Kept):
    """A needle cylinder. ``diameter_mm`` is across the needles."""

    id: Id
    name: Name
    slots: Slots
    diameter_mm: Millimetres | None = None
    note: Note = ""
    retired: bool = False


class Yarn(Kept):
    """A yarn. ``count`` is what the label says, ``m_per_100g`` what it comes to; ``ball_g`` is the put-up.

    ``striped``: where it starts matters to a twin. ``wash`` is how tube and socks are washed, ``care`` the label's
    symbols by their ids in ``craft.care_labels``.
    """

    id: Id
    name: Name
    fibre: Line = ""
    count: Line = ""
    m_per_100g: Positive | None = None
    ball_g: Grams | None = None
    colour: Line = ""
    striped: bool = False
    wash: Line = ""
    care: Annotated[tuple[Id, ...], Field(max_length=12)] = ()
    note: Note = ""
    retired: bool = False


class Wearer(Kept):
    """A pair of feet. ``caution``: diabetes, numb feet or poor circulation. ``sized_as``: whose estimates fit them.

    ``foot_length_mm`` is the foot to knit for, ``girth_mm`` its ball girth; ``left_`` and ``right_`` are each foot
    where both are known. ``ankle_mm`` and ``calf_mm`` are girths.
    """

    id: Id
    name: Name
    foot_length_mm: Millimetres | None = None
    girth_mm: Millimetres | None = None
    heel_ankle_mm: Millimetres | None = None
    fitting_tube_mm: Millimetres | None = None
    shoe_size: Line = ""
    left_length_mm: Millimetres | None = None
    right_length_mm: Millimetres | None = None
    left_girth_mm: Millimetres | None = None
    right_girth_mm: Millimetres | None = None
    ankle_mm: Millimetres | None = None
    calf_mm: Millimetres | None = None
    high_instep: bool = False
    sized_as: Literal["", "men", "women"] = ""
    caution: bool = False
    note: Note = ""
    retired: bool = False

    @property
    def ball_girth_mm(self) -> float | None:
        """The girth to knit for: the largest that was measured."""
        known = (self.girth_mm, self.left_girth_mm, self.right_girth_mm)
        return max((mm for mm in known if mm is not None), default=None)


class GaugeRecord(Kept):
    """What a washed tube said: rows and stitches per mm with their standard errors."""

    session: Id
    machine: Id
    cylinder: Id
    yarn: Id
    slots: Slots
    dial: Clicks
    rows: Annotated[int, Field(ge=1)]
    at_ms: int
    rows_per_mm: Positive
    rows_per_mm_error: Annotated[float, Field(ge=0)]
    stitches_per_mm: Positive
    stitches_per_mm_error: Annotated[float, Field(ge=0)]
    mass_g: Grams | None = None
    on_foot: Line = ""


class PlannedPart(Kept):
    """One part of a planned sock."""

    name: Name
    kind: Literal["rows", "passes"]
    count: Annotated[int, Field(ge=1, le=100_000)]
    stitches: Annotated[int, Field(ge=0)]


class PlannedCuff(Kept):
    """The top of a planned sock. ``rows`` are those cranked; a ``hung`` one is doubled over. A rib has a pattern."""

    kind: Literal["hem", "picot", "rolled", "mock rib", "ribber"]
    rows: Annotated[int, Field(ge=1, le=400)]
    pattern: Annotated[str, Field(max_length=40), AfterValidator(harmless)] = ""
    hung: bool = False


class Plan(Kept):
    """A planned sock: what was asked for, and what it came to.

    ``hem_rows`` are those of a plain hung hem. ``dial_changes`` are (rows of the leg cranked, clicks below zero).
    ``learnt_length_mm`` and ``learnt_round_mm`` are what this wearer's worn socks changed.
    """

    id: Id
    name: Name
    machine: Id
    cylinder: Id
    yarn: Id
    wearer: Id | None = None
    gauge_session: Id | None = None
    slots: Slots
    dial: Clicks
    rows_per_mm: Positive
    stitches_per_mm: Positive
    tube_length_mm: Millimetres | None = None
    foot_length_mm: Millimetres | None = None
    length_ease_mm: Annotated[float, Field(ge=0, le=200)] = 12.7
    leg_mm: Annotated[float, Field(ge=0, le=2000)] = 0.0
    hem_rows: Annotated[int, Field(ge=0, le=500)] = 0
    heel_left_in_work: Annotated[int, Field(ge=1)]
    toe_left_in_work: Annotated[int, Field(ge=1)]
    lowering: Literal["far", "near", "two-and-one"] = "far"
    plain_passes: bool = False
    cuff: PlannedCuff | None = None
    extra_heel_rows: Annotated[int, Field(ge=0, le=50)] = 0
    extra_heel_passes: Annotated[int, Field(ge=0, le=100, multiple_of=2)] = 0
    dial_changes: Annotated[tuple[DialChange, ...], Field(max_length=100)] = ()
    learnt_length_mm: Annotated[float, Field(ge=-200, le=200)] = 0.0
    learnt_round_mm: Annotated[float, Field(ge=-200, le=200)] = 0.0
    parts: tuple[PlannedPart, ...]
    foot_rows: Annotated[int, Field(ge=1)]
    foot_rows_error: Annotated[float, Field(ge=0)] = 0.0
    metres_per_pair: Positive
    grams_per_pair: Positive | None = None
    retired: bool = False


MOST_IN_STRING = 40  # a string of forty socks is a day's cranking and a heavy thing to hang
StepModel = Annotated[Confirm | DialTrial | CountRows | CountPasses | Measure | Wait, Field(discriminator="kind")]


class StringSock(Kept):
    """One sock of a string: its plan, whose it is, the promise it is for. ``twin``: of the sock before it."""

    plan: Plan
    wearer: Wearer | None = None
    promise: Id | None = None
    twin: bool = False


class SessionRecord(Kept):
    """The frozen start of a session: all it was started with, copied, so that later edits change nothing.

    ``weights`` and ``mast_tension`` are what was hung and set this time; ``yarn_start`` says where in its stripes the
    yarn was begun; ``lot`` and ``dye_lot`` name the yarn on the shelf; ``promise`` is the pair it is for. ``socks``
    are those of a string, first to last, and of nothing else.
    """

    id: Id
    kind: SessionKind
    title: Name
    started_ms: Moment
    zone_min: Zone = 0
    machine: Machine
    cylinder: Cylinder
    yarn: Yarn
    wearer: Wearer | None = None
    plan: Plan | None = None
    dial: Clicks
    twin_of: Id | None = None
    weights: Line = ""
    mast_tension: Line = ""
    yarn_start: Line = ""
    lot: Id | None = None
    dye_lot: Line = ""
    promise: Id | None = None
    socks: Annotated[tuple[StringSock, ...], Field(max_length=MOST_IN_STRING)] = ()
    steps: Annotated[tuple[StepModel, ...], Field(min_length=1, max_length=1000)]

    @model_validator(mode="after")
    def _steps_are_sound(self) -> SessionRecord:
        ids = [step.id for step in self.steps]
        if len(set(ids)) != len(ids):
            raise ValueError("two steps have the same id")
        fields = [item.id for step in self.steps if isinstance(step, Measure) for item in step.fields]
        if len(set(fields)) != len(fields):
            raise ValueError("two things to measure have the same id")
        if (self.kind == "string") != bool(self.socks):
            raise ValueError("a string has socks, and nothing else has any")
        if any(sock_of(name) > len(self.socks) for name in ids) and self.kind == "string":
            raise ValueError("a step belongs to a sock that is not in the string")
        for step in self.steps:
            _refuse_unsound_words(step)
            if isinstance(step, CountRows) and not 1 <= step.target <= 100_000:
                raise ValueError(f"step {step.id}: its target must be 1 to 100000 rows")
            if isinstance(step, CountPasses):
                if step.needles >= self.cylinder.slots:
                    raise ValueError(f"step {step.id}: more needles than the cylinder has")
                _ = step.turning  # refuses a heel that cannot be turned
        return self

    @property
    def each_sock(self) -> dict[str, StringSock]:
        """Every planned sock of it, by what its steps' ids begin with: "" for a session of one sock, else "s1-"..."""
        if self.kind == "sock" and self.plan is not None:
            twin = self.twin_of is not None
            return {"": StringSock(plan=self.plan, wearer=self.wearer, promise=self.promise, twin=twin)}
        return {f"s{number}-": sock for number, sock in enumerate(self.socks, 1)}

    @property
    def given(self) -> Given:
        """What the words of the steps need of it; the machine's usual ways where nothing else was typed."""
        return Given(
            self.weights or self.machine.weights,
            self.mast_tension or self.machine.mast_tension,
            self.yarn_start,
            self.yarn.wash,
        )

    @property
    def head(self) -> Head:
        """What the engine needs."""
        return Head(self.id, self.kind, self.steps, self.dial, self.cylinder.slots, self.machine.clicks_per_turn)


_STEP_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_MOST_WORDS = 80


def _refuse_unsound_words(step: StepModel) -> None:
    """Ids become names of widgets, titles and labels stand on the screen. Raises ValueError for what cannot."""
    ids, said = [step.id], [step.title]
    if isinstance(step, Measure):
        if not 1 <= len(step.fields) <= 40:
            raise ValueError(f"step {step.id[:40]!r}: it has {len(step.fields)} things to measure, not 1 to 40")
        for item in step.fields:
            ids.append(item.id)
            said += [item.label, *item.choices]
            if (item.quantity == "choice") != (0 < len(item.choices) <= 40):
                raise ValueError(f"step {step.id[:40]!r}: a choice has 1 to 40 choices, and nothing else has any")
    for name in ids:
        if not _STEP_ID.fullmatch(name):
            raise ValueError(f"{name[:40]!r} is no id: it takes small letters, figures and hyphens")
    for words in said:
        if not words or words != one_line(words) or len(words) > _MOST_WORDS:
            raise ValueError(f"step {step.id}: {words[:40]!r} is no title, label or choice (1 to 80 plain characters)")


OnShelf = Machine | Cylinder | Yarn | Wearer | Plan | Lot | Weighing | Promise | Care
SHELF: dict[str, type[OnShelf]] = {
    "machine": Machine,
    "cylinder": Cylinder,
    "yarn": Yarn,
    "wearer": Wearer,
    "plan": Plan,
    "lot": Lot,
    "weighing": Weighing,
    "promise": Promise,
    "care": Care,
}


def problems(error: Any) -> list[str]:
    """A pydantic ValidationError as one readable line a problem: where, and what."""
    lines = []
    for item in error.errors(include_url=False, include_context=False, include_input=False):
        where = ".".join(str(part) for part in item["loc"]) or "the whole"
        lines.append(f"{one_line(where)[:80]}: {one_line(item['msg'].removeprefix('Value error, '))[:200]}")
    return lines
