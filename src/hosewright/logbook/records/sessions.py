"""The frozen start of a session, as it is stored and as its file has it. Lengths in mm, masses in g."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Annotated, Literal

from pydantic import ConfigDict, Field, model_validator

from hosewright.craft.stripes import MOST_STRIPES
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.fields import (
    Clicks,
    Id,
    Kept,
    Moment,
    Name,
    OneLine,
    Slots,
    Zone,
)
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.phrases.harmless import one_line
from hosewright.session.steps import (
    Confirm,
    CountPasses,
    CountRows,
    DialTrial,
    Head,
    Measure,
    MeasureField,
    SessionKind,
    Wait,
    sock_of,
)
from hosewright.session.words import Given

MOST_IN_STRING = 40  # a string of forty socks is a day's cranking and a heavy thing to hang
for _step in (Confirm, DialTrial, CountRows, CountPasses, Measure, MeasureField, Wait):
    # Of these a field that a later version knows is carried along by ``BESIDE``, for they have no room of their own.
    _step.__pydantic_config__ = ConfigDict(extra="forbid")  # type: ignore[union-attr]
BESIDE = "~"  # in a start: [[place in its file, what a later version said there], ...]
StepModel = Annotated[Confirm | DialTrial | CountRows | CountPasses | Measure | Wait, Field(discriminator="kind")]


class StringSock(Kept):
    """One sock of a string: its plan, whose it is, the promise it is for. ``twin``: of the sock before it."""

    plan: Plan
    wearer: Wearer | None = None
    promise: Id | None = None
    twin: bool = False


class ColourLot(Kept):
    """The lot that a stripe's ``colour`` comes off, and the yarn it is of."""

    colour: Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]
    yarn: Yarn
    lot: Id


class SessionRecord(Kept):
    """The frozen start of a session: all it was started with, copied, so that later edits change nothing.

    ``weights`` and ``mast_tension`` are what was hung and set this time; ``yarn_start`` says where in its stripes the
    yarn was begun; ``lot`` and ``dye_lot`` name the yarn on the shelf; ``promise`` is the pair it is for.
    ``cast_on``: with the bonnet, on waste knitting that hangs there still, or the machine's own way. ``rib`` is that of
    a ribbed tube, as it is typed. ``thread`` is the yarn that goes along in heel and toe, off its ``thread_lot``,
    ``colour_lots`` what stripes come off; a colour that is not there comes off ``lot``.
    ``socks`` are those of a string, first to last, and of nothing else.
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
    weights: OneLine = ""
    mast_tension: OneLine = ""
    yarn_start: OneLine = ""
    lot: Id | None = None
    dye_lot: OneLine = ""
    promise: Id | None = None
    rib: OneLine = ""
    thread: Yarn | None = None
    thread_lot: Id | None = None
    colour_lots: Annotated[tuple[ColourLot, ...], Field(max_length=MOST_STRIPES)] = ()
    cast_on: Literal["bonnet", "waste", "own"] = "bonnet"
    socks: Annotated[tuple[StringSock, ...], Field(max_length=MOST_IN_STRING)] = ()
    steps: Annotated[tuple[StepModel, ...], Field(min_length=1, max_length=1000)]

    @model_validator(mode="after")
    def _steps_are_sound(self) -> SessionRecord:
        if self.machine.clicks_per_turn is None:
            raise ValueError("the clicks in a turn of the machine's dial are not known")
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
            if isinstance(step, Confirm) and not 0 <= step.stitches <= self.head.slots:
                raise ValueError(f"step {step.id}: more stitches than one row has")
            if isinstance(step, CountRows) and not 1 <= step.target <= 100_000:
                raise ValueError(f"step {step.id}: its target must be 1 to 100000 rows")
            if isinstance(step, CountRows) and not all(_COLOUR.fullmatch(colour) for _, colour in step.yarn_changes):
                raise ValueError(f"step {step.id}: a stripe's colour is six figures such as #8a5a3c")
            if isinstance(step, CountPasses):
                if step.needles >= self.head.slots:
                    raise ValueError(f"step {step.id}: more needles than the cylinder has")
                _ = step.turning  # refuses a heel that cannot be turned
        return self

    @cached_property
    def each_sock(self) -> dict[int, StringSock]:
        """Every planned sock of it, by its place in the string; 0 for a session of one sock."""
        if self.kind == "sock" and self.plan is not None:
            twin = self.twin_of is not None
            return {0: StringSock(plan=self.plan, wearer=self.wearer, promise=self.promise, twin=twin)}
        return dict(enumerate(self.socks, 1))

    @property
    def moved_ms(self) -> int:
        """By how much another day it was than the one it was begun with; to be added to the times of its events."""
        return 0

    @property
    def given(self) -> Given:
        """What the words of the steps need of it; the machine's usual ways where nothing else was typed."""
        return Given(
            self.weights or self.machine.weights,
            self.mast_tension or self.machine.mast_tension,
            self.yarn_start,
            self.yarn.wash,
            self.machine.heel_half,
            self.machine.carrier_turns,
            self.machine.ribber_set,
            " ".join(self.machine.cast_on.split()),
        )

    @property
    def head(self) -> Head:
        return Head(self.id, self.kind, self.steps, self.dial, self.cylinder.slots, self.machine.turn)


class CorrectedRecord(SessionRecord):
    """The start of a session as it really was (see ``corrected``), begun, as was thought, at ``begun_ms``.

    Its steps, and what was counted, go by the cylinder and the dial that were named then: ``begun_slots`` and
    ``begun_clicks_per_turn``.
    """

    begun_ms: Moment
    begun_slots: Slots
    begun_clicks_per_turn: Annotated[int, Field(ge=1, le=64)]

    @property
    def head(self) -> Head:
        """What the engine needs."""
        return Head(self.id, self.kind, self.steps, self.dial, self.begun_slots, self.begun_clicks_per_turn)

    @property
    def moved_ms(self) -> int:
        return self.started_ms - self.begun_ms


def record_in(text: str) -> SessionRecord:
    """The start of a session in JSON, as it was begun or with what was put right. Raises ValueError."""
    return (CorrectedRecord if '"begun_slots":' in text else SessionRecord).model_validate_json(text)


def read_start(session: str, text: str) -> SessionRecord:
    """The same of a session of the logbook, by its id. Raises LogbookError."""
    try:
        return record_in(text)
    except ValueError as error:
        raise LogbookError(f"The start of session {session} cannot be read.") from error


_COLOUR = re.compile(r"#[0-9a-f]{6}")
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
            raise ValueError(f"{name[:40]!r} is not an id: it takes small letters, figures and hyphens")
    for words in said:
        if not words or words != one_line(words) or len(words) > _MOST_WORDS:
            raise ValueError(
                f"step {step.id}: {words[:40]!r} is not a title, label or choice (1 to 80 plain characters)"
            )
