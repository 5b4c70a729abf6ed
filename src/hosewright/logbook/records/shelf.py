"""What the logbook keeps on its shelf: machines, cylinders, yarns, wearers, gauges, plans. Lengths in mm, grams."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Annotated, Any, Literal, get_args

from pydantic import AfterValidator, Field, model_validator

from hosewright.craft import MOST_SLOTS, CraftError
from hosewright.craft.colours import MOST_SHADES
from hosewright.craft.correction import Length, Round
from hosewright.craft.cuffs import Kind as CuffKind
from hosewright.craft.dial import CLICKS_PER_TURN, clicks_typed
from hosewright.craft.heels import MOST_GUSSET, EndKind, HeelKind
from hosewright.craft.ribs import Way as RibWay
from hosewright.craft.turning import CarrierTurns, HeelHalf, comes_in
from hosewright.craft.yarn import tex_from
from hosewright.logbook.file.called import kind_of
from hosewright.logbook.records.fields import (
    Clicks,
    Core,
    DialChange,
    Grams,
    Id,
    Kept,
    Millimetres,
    Moment,
    Name,
    Note,
    OneLine,
    Positive,
    Shade,
    Slots,
    Zone,
)
from hosewright.logbook.records.year import Care, Lot, Promise, Tried, Weighing
from hosewright.phrases.days import clock_day, days_of, past_day
from hosewright.phrases.harmless import harmless as harmless  # looked for here by whoever shows a record
from hosewright.phrases.harmless import one_line
from hosewright.phrases.lists import many
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.craft.turning import Side


FROM_NOTEBOOK = "from the notebook"


CrankGoes = Literal["", "both ways", "forwards only"]


class Machine(Kept):
    """A sock machine, as its owner knows it. Makers differ, so nothing is taken for granted: None and "" are not known.

    ``thread_pitch_mm`` is how far a turn of the dial moves the V-cam. ``weights`` and ``mast_tension`` are the usual
    ones. ``heel_half`` is where the half for the heel is, ``carrier_turns`` which way the crank turns the carrier, seen
    from above, ``crank_goes`` whether it goes back, too. ``ribber_set`` is how its ribber is set, in the knitter's
    words, and ``cast_on`` how an empty cylinder is begun. ``oil_every_rows`` is its manual's figure; None: no reminder.
    A machine that is only known from a notebook has no ``clicks_per_turn`` until someone counts them, which is asked
    before it is cranked.
    """

    id: Id
    name: Name
    thread_pitch_mm: Millimetres | None = None
    clicks_per_turn: Annotated[int, Field(ge=1, le=64)] | None = None
    starting_dial: Clicks | None = None
    zero_note: OneLine = ""
    weights: OneLine = ""
    mast_tension: OneLine = ""
    heel_half: HeelHalf = ""
    carrier_turns: CarrierTurns = ""
    crank_goes: CrankGoes = ""
    ribber_set: OneLine = ""
    cast_on: Note = ""
    oil_every_rows: Annotated[int, Field(ge=1, le=100_000_000)] | None = None
    note: Note = ""
    retired: bool = False

    @property
    def turn(self) -> int:
        """Clicks of a turn, the usual number while nobody counted them."""
        return self.clicks_per_turn or CLICKS_PER_TURN

    @property
    def carrier_in(self) -> Side:
        """The end of the heel half where the carrier comes in."""
        return comes_in(self.heel_half, self.carrier_turns)


class Cylinder(Kept):
    """A needle cylinder. ``diameter_mm`` is across the needles."""

    id: Id
    name: Name
    slots: Slots
    diameter_mm: Millimetres | None = None
    note: Note = ""
    retired: bool = False


class Yarn(Kept):
    """A yarn. ``count`` is what the label says, ``m_per_100g`` what it comes to; ``ball_g`` is the put-up, ``core_g``
    what its core or cone weighs, 0 when it has none.

    ``striped``: where it starts matters to a twin. ``shades`` are its colours in pictures; several take turns, all of
    them once in ``repeat_rows`` rows. ``wash`` is how tube and socks are washed, ``care`` the label's
    symbols by their ids in ``craft.care_labels``.
    """

    id: Id
    name: Name
    fibre: OneLine = ""
    count: OneLine = ""
    m_per_100g: Positive | None = None
    ball_g: Grams | None = None
    core_g: Core | None = None
    colour: OneLine = ""
    striped: bool = False
    shades: Annotated[tuple[Shade, ...], Field(max_length=MOST_SHADES)] = ()
    repeat_rows: Annotated[int, Field(ge=2, le=1000)] | None = None
    wash: OneLine = ""
    care: Annotated[tuple[Id, ...], Field(max_length=12)] = ()
    note: Note = ""
    retired: bool = False

    @property
    def tex(self) -> float | None:
        """Grams per km, as far as its count is known."""
        return None if self.m_per_100g is None else tex_from("m_per_100g", self.m_per_100g)


class Wearer(Kept):
    """A pair of feet. ``caution``: diabetes, numb feet or poor circulation. ``sized_as``: whose estimates fit them.

    ``foot_length_mm`` is the foot to knit for, ``girth_mm`` its ball girth; ``left_`` and ``right_`` are each foot
    where both are known. ``instep_mm``, ``ankle_mm``, ``calf_mm``, ``wrist_mm`` and ``hand_mm`` (over the base of the
    thumb) are girths, the larger where the sides differ.
    ``heel_height_mm`` is from the bend of the ankle down to the ground.
    """

    id: Id
    name: Name
    foot_length_mm: Millimetres | None = None
    girth_mm: Millimetres | None = None
    heel_ankle_mm: Millimetres | None = None
    fitting_tube_mm: Millimetres | None = None
    shoe_size: OneLine = ""
    left_length_mm: Millimetres | None = None
    right_length_mm: Millimetres | None = None
    left_girth_mm: Millimetres | None = None
    right_girth_mm: Millimetres | None = None
    ankle_mm: Millimetres | None = None
    calf_mm: Millimetres | None = None
    instep_mm: Millimetres | None = None
    left_instep_mm: Millimetres | None = None
    right_instep_mm: Millimetres | None = None
    left_ankle_mm: Millimetres | None = None
    right_ankle_mm: Millimetres | None = None
    left_calf_mm: Millimetres | None = None
    right_calf_mm: Millimetres | None = None
    wrist_mm: Millimetres | None = None
    left_wrist_mm: Millimetres | None = None
    right_wrist_mm: Millimetres | None = None
    hand_mm: Millimetres | None = None
    left_hand_mm: Millimetres | None = None
    right_hand_mm: Millimetres | None = None
    heel_height_mm: Millimetres | None = None
    high_instep: bool = False
    sized_as: Literal["", "men", "women"] = ""
    caution: bool = False
    note: Note = ""
    retired: bool = False

    @property
    def foot_mm(self) -> float | None:
        """The foot length to knit for: the longest that was measured."""
        known = (self.foot_length_mm, self.left_length_mm, self.right_length_mm)
        return max((mm for mm in known if mm is not None), default=None)

    @property
    def ball_girth_mm(self) -> float | None:
        """The girth to knit for: the largest that was measured."""
        return max((mm for mm in self.taped("girth") if mm is not None), default=None)

    def taped(self, name: str) -> tuple[float | None, float | None, float | None]:
        """A girth in mm as far as it was measured: of both or the larger, of the left, of the right."""
        both, left, right = (getattr(self, f"{side}{name}_mm") for side in ("", "left_", "right_"))
        return both, left, right


def _known_day(text: str) -> str:
    days_of(text)
    return text


KnownDay = Annotated[str, Field(max_length=10), AfterValidator(_known_day)]  # 2019, 2021-05 or 2020-12-24


def day_words(at_ms: int, zone_min: int, noted: str, shared: str = "") -> str:
    """The day of what was measured, or ``noted``, a day as far as it is known: "May 2021, from the notebook".

    ``shared``: how it came here from someone else's logbook, said in the notebook's place.
    """
    return f"{past_day(noted)}, {shared or FROM_NOTEBOOK}" if noted else clock_day(at_ms, zone_min)


class GaugeRecord(Kept):
    """What a washed tube said: rows and stitches per mm with their standard errors.

    ``rib`` is that of a ribbed tube, as it is typed, and ``stretched_mm`` its flat width pulled wide; a plain one has
    no rib. One from the notebook has its id as ``session`` and as ``noted`` the day as far as it is known; where the
    dial stood, and over how many rows it was measured, need not be known of it.
    """

    session: Id
    machine: Id
    cylinder: Id
    yarn: Id
    slots: Slots
    dial: Clicks | None
    rows: Annotated[int, Field(ge=1)] | None
    at_ms: int
    rows_per_mm: Positive
    rows_per_mm_error: Annotated[float, Field(ge=0)]
    stitches_per_mm: Positive
    stitches_per_mm_error: Annotated[float, Field(ge=0)]
    mass_g: Grams | None = None
    on_foot: OneLine = ""
    noted: KnownDay | Literal[""] = ""
    rib: OneLine = ""
    stretched_mm: Millimetres | None = None
    shared: OneLine = ""

    @property
    def when(self) -> str:
        """The day in words, and whether it is from the notebook or was shared."""
        return day_words(self.at_ms, 0, self.noted, self.shared)


class Part(Kept):
    """One part of a sock."""

    name: Name
    kind: Literal["rows", "passes"]
    count: Annotated[int, Field(ge=1, le=100_000)]

    @property
    def words(self) -> str:
        """As one types it: "leg 56", "heel 40 passes"."""
        return f"{self.name} {self.count}" + (" passes" if self.kind == "passes" else "")


def parts_words(parts: Iterable[Part]) -> str:
    """Parts as one types them: "leg 56, heel 40 passes"."""
    return ", ".join(part.words for part in parts)


def fit_words(fit: str, fit_length: str) -> str:
    """What was said of a sock on the foot: "round tight, length right"."""
    return ", ".join(f"{what} {how}" for what, how in (("round", fit), ("length", fit_length)) if how)


# What is written of each when they go out as a table, and comes in again; ``hosewright enter`` calls its options so.
NOTED_COLUMNS = (
    *("id", "what", "day", "yarn", "machine", "cylinder", "slots", "dial"),
    *("rows", "length", "flat_width", "rows_per_in", "rows_per_cm", "rows_error"),
    *("stitches_per_in", "stitches_per_cm", "stitches_error", "mass"),
    *("wearer", "parts", "verdict", "promise", "note"),
)


_RATES = ("rows_per_mm", "rows_per_mm_error", "stitches_per_mm", "stitches_per_mm_error")


class Noted(Kept):
    """A gauge or a sock that someone wrote in a notebook before there was this logbook. Nothing was cranked here.

    ``day`` is as far as it is known, ``dial`` as it was typed: in turns it means clicks only where the machine's are
    known. Rates are per mm with the errors one must assume (``craft.gauge.noted_rate``); a sock may have none.
    ``fit`` is how tube or sock sat round the foot. ``wearer``, ``parts``, ``fit_length`` and the ``promise`` it is for
    are a sock's. What came in a file that someone shared says in ``shared`` by whom, and in which file.
    """

    id: Id
    what: Literal["gauge", "sock"] = "gauge"
    day: KnownDay
    machine: Id
    cylinder: Id
    yarn: Id
    slots: Slots
    dial: OneLine = ""
    rows: Annotated[int, Field(ge=1, le=100_000)] | None = None
    rows_per_mm: Positive | None = None
    rows_per_mm_error: Annotated[float, Field(ge=0)] = 0.0
    stitches_per_mm: Positive | None = None
    stitches_per_mm_error: Annotated[float, Field(ge=0)] = 0.0
    mass_g: Grams | None = None
    wearer: Id | None = None
    parts: Annotated[tuple[Part, ...], Field(max_length=40)] = ()
    fit: Round | Literal[""] = ""
    fit_length: Length | Literal[""] = ""
    promise: Id | None = None
    note: Note = ""
    shared: OneLine = ""
    retired: bool = False

    @property
    def name(self) -> str:
        return f"{self.what} of {past_day(self.day)}"

    @property
    def at_ms(self) -> int:
        """The middle of the time it may be of, UTC in ms since 1970: where it stands among what was measured."""
        first, last = days_of(self.day)
        return int(datetime.combine(first + (last - first) / 2, time(12), UTC).timestamp() * 1000)

    @property
    def worn(self) -> str:
        """What was said of a sock on the foot, as of one that was cranked: "round tight, length right"."""
        return fit_words(self.fit, self.fit_length) if self.what == "sock" else ""

    @property
    def parts_typed(self) -> str:
        return parts_words(self.parts)

    def clicks(self, clicks_per_turn: int | None) -> int | None:
        """Where the dial stood, in clicks below zero; None where that cannot be told by what was typed."""
        with suppress(CraftError):  # no position that its machine has
            return clicks_typed(self.dial, clicks_per_turn) if self.dial else None
        return None

    def gauge(self, clicks_per_turn: int | None) -> GaugeRecord | None:
        """Its gauge as any other's, None without both rates; ``clicks_per_turn`` are its machine's, None: not known."""
        if self.rows_per_mm is None or self.stitches_per_mm is None:
            return None
        same = ("machine", "cylinder", "yarn", "slots", "rows", "at_ms", "shared", *_RATES)
        told = {name: getattr(self, name) for name in same} | {"session": self.id, "noted": self.day}
        if self.what == "gauge":  # else its mass and fit are those of the whole sock
            told |= {"mass_g": self.mass_g, "on_foot": self.fit}
        return GaugeRecord.model_validate(told | {"dial": self.clicks(clicks_per_turn)})


def as_noted(gauge: GaugeRecord) -> Noted:
    """A gauge that was measured as one from a notebook, under its tube's id."""
    same = ("machine", "cylinder", "yarn", "slots", "rows", "mass_g", *_RATES)
    told = {name: getattr(gauge, name) for name in same} | {"id": gauge.session}
    told |= {"day": local(gauge.at_ms, 0).date().isoformat()}
    told |= {"fit": gauge.on_foot if gauge.on_foot in get_args(Round) else ""}
    return Noted.model_validate(told | {"dial": "" if gauge.dial is None else many(gauge.dial, "click")})


class PlannedPart(Part):
    """One part of a planned sock."""

    stitches: Annotated[int, Field(ge=0)]


class PlannedCuff(Kept):
    """The top of a planned sock. ``rows`` are those cranked; a ``hung`` one is doubled over. A rib has a pattern.

    A ribber's rib with a ``selvedge`` begins with a finished edge.
    """

    kind: CuffKind
    rows: Annotated[int, Field(ge=1, le=400)]
    pattern: Annotated[str, Field(max_length=40), AfterValidator(harmless)] = ""
    hung: bool = False
    selvedge: bool = False


class PlannedRib(Kept):
    """The ribs of a planned leg, and where ``instep`` of its foot, with the rates of the tube they were planned by.

    Without a ribbed tube of its own the leg's rates are not known: None. ``stretched_mm`` is a flat width, pulled wide.
    """

    pattern: Annotated[str, Field(max_length=40), AfterValidator(harmless)]
    way: RibWay = "ribber"
    instep: bool = False
    rows_per_mm: Positive | None = None
    stitches_per_mm: Positive | None = None
    stretched_mm: Millimetres | None = None


class Plan(Kept):
    """A planned sock: what was asked for, and what it came to.

    ``gauge_sessions`` are the tubes whose mean its gauge is, ``gauge_session`` the newest; none for that one alone.
    ``rib`` are the ribs of leg and instep, ``stripes`` as they are typed. ``part_row``: rows begin so many
    stitches before the heel half. ``hem_rows`` are those of a plain hung hem.
    ``dial_changes`` are (rows of the leg cranked, clicks below zero); ``loop_a_click`` is the share of its own by which
    a click further down makes a loop larger, as the gauge's tubes say. ``reinforced``: a second yarn goes along in heel
    and toe.
    ``heel_needles`` are those a heel is turned on, None for half of the slots; of a mini-gusset ``gusset`` more join on
    each side. ``end`` is how the tube ends.
    ``ankle_mm`` and ``calf_mm`` are girths that were typed for it.
    ``learnt_length_mm`` and ``learnt_round_mm`` are what this wearer's worn socks changed. ``dial`` is None where the
    notebook that the gauge is from does not say it. ``foot_rows_error`` is one standard error, of which
    ``foot_rows_tape_error`` is the gauge's measuring, None where it was not told apart.
    """

    id: Id
    name: Name
    machine: Id
    cylinder: Id
    yarn: Id
    wearer: Id | None = None
    gauge_session: Id | None = None
    gauge_sessions: Annotated[tuple[Id, ...], Field(max_length=5000)] = ()
    slots: Slots
    dial: Clicks | None
    rows_per_mm: Positive
    stitches_per_mm: Positive
    tube_length_mm: Millimetres | None = None
    foot_length_mm: Millimetres | None = None
    length_ease_mm: Annotated[float, Field(ge=0, le=200)] = 12.7
    ankle_mm: Millimetres | None = None
    calf_mm: Millimetres | None = None
    leg_mm: Annotated[float, Field(ge=0, le=2000)] = 0.0
    hem_rows: Annotated[int, Field(ge=0, le=500)] = 0
    heel_left_in_work: Annotated[int, Field(ge=1)]
    toe_left_in_work: Annotated[int, Field(ge=1)]
    lowering: Literal["far", "near", "two-and-one"] = "far"
    plain_passes: bool | Literal["before", "after"] = False
    part_row: Annotated[int, Field(ge=0, le=MOST_SLOTS - 1)] = 0
    reinforced: bool = False
    cuff: PlannedCuff | None = None
    rib: PlannedRib | None = None
    stripes: Annotated[str, Field(max_length=2000), AfterValidator(harmless)] = ""
    extra_heel_rows: Annotated[int, Field(ge=0, le=50)] = 0
    extra_heel_passes: Annotated[int, Field(ge=0, le=100, multiple_of=2)] = 0
    heel: HeelKind = "short-row"
    heel_needles: Annotated[int, Field(ge=4, le=MOST_SLOTS)] | None = None
    gusset: Annotated[int, Field(ge=0, le=MOST_GUSSET)] = 0
    end: EndKind = "toe"
    dial_changes: Annotated[tuple[DialChange, ...], Field(max_length=100)] = ()
    loop_a_click: Annotated[float, Field(gt=-1, lt=1)] | None = None
    learnt_length_mm: Annotated[float, Field(ge=-200, le=200)] = 0.0
    learnt_round_mm: Annotated[float, Field(ge=-200, le=200)] = 0.0
    parts: tuple[PlannedPart, ...]
    foot_rows: Annotated[int, Field(ge=0)]
    foot_rows_error: Annotated[float, Field(ge=0)] = 0.0
    foot_rows_tape_error: Annotated[float, Field(ge=0)] | None = None
    metres_per_pair: Positive
    grams_per_pair: Positive | None = None
    retired: bool = False

    @property
    def made_from(self) -> tuple[str, ...]:
        """The sessions of the tubes it is worked out from."""
        return self.gauge_sessions or tuple(filter(None, (self.gauge_session,)))


# What a plan says once it is nobody's: what is cranked stays, and what was measured or learnt of somebody's feet goes.
OF_NOBODYS_FEET: dict[str, float | None] = {
    "tube_length_mm": None,
    "foot_length_mm": None,
    "ankle_mm": None,
    "calf_mm": None,
    "learnt_length_mm": 0.0,
    "learnt_round_mm": 0.0,
}


class Same(Kept):
    """Something that was entered twice: ``thing`` is really ``into``. ``retired``: they were parted again."""

    id: Id
    name: Name
    what: Literal["machine", "cylinder", "yarn", "wearer"]
    thing: Id
    into: Id
    retired: bool = False


class Chosen(Kept):
    """Which way a session went on, where it did so in two places; ``chosen`` and ``over`` are ``ways.key_of`` each."""

    id: Id
    session: Id
    chosen: OneLine
    over: Annotated[tuple[OneLine, ...], Field(max_length=1000)]
    at_ms: Moment
    zone_min: Zone = 0
    retired: bool = False

    @property
    def name(self) -> str:
        return f"how {self.session} went on"


class Beside(Kept):
    """A version of something on the shelf that came from elsewhere, where both were changed: ``thing`` is all of it.

    ``what`` and ``of`` are its kind and its id, ``at_ms`` is when it was changed, ``whose`` where. ``retired``: one of
    the two was chosen.
    """

    id: Id
    what: OneLine
    of: Id
    at_ms: Moment
    whose: OneLine = ""
    thing: dict[str, Any]
    retired: bool = False

    @property
    def name(self) -> str:
        return self.of_shelf.name

    @property
    def of_shelf(self) -> OnShelf:
        """The thing itself, as it came."""
        return of_kind(self.what).model_validate(self.thing)

    @model_validator(mode="after")
    def _is_of_the_shelf(self) -> Beside:
        if self.what == "beside" or self.of_shelf.id != self.of:
            raise ValueError("it is no version of anything on the shelf")
        return self


class Unknown(Kept):
    """Something of a kind that only a later version knows, carried along as it came."""

    id: Id

    @property
    def name(self) -> str:
        return str((self.model_extra or {}).get("name") or self.id)

    @property
    def retired(self) -> bool:
        return bool((self.model_extra or {}).get("retired"))


OnShelf = (
    Machine
    | Cylinder
    | Yarn
    | Wearer
    | Plan
    | Lot
    | Weighing
    | Promise
    | Care
    | Tried
    | Noted
    | Same
    | Chosen
    | Beside
    | Unknown
)
# By the names they are kept by, in files too: those of their classes, which therefore stay.
SHELF: dict[str, type[OnShelf]] = {kind_of(cls): cls for cls in get_args(OnShelf) if cls is not Unknown}


def of_kind(kind: str) -> type[OnShelf]:
    """What the shelf keeps by that name; of a name that only a later version knows, whatever it is."""
    return SHELF.get(kind, Unknown)


def problems(error: Any) -> list[str]:
    """A pydantic ValidationError as one readable line a problem: where, and what."""
    lines = []
    for item in error.errors(include_url=False, include_context=False, include_input=False):
        where = ".".join(str(part) for part in item["loc"]) or "the whole"
        lines.append(f"{one_line(where)[:80]}: {one_line(item['msg'].removeprefix('Value error, '))[:200]}")
    return lines
