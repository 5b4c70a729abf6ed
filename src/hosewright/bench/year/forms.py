"""The forms of the year round the machine: a lot of yarn and its weighings, a promised pair, a machine's care."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any

from textual.binding import Binding

from hosewright.bench.shelf import form_of
from hosewright.bench.widgets.entry_screen import FORM_CSS, EntryScreen, FormScreen
from hosewright.craft import MOST_SLOTS, CraftError
from hosewright.craft.stock import to_mg
from hosewright.craft.units import quoted
from hosewright.logbook.accounts.stock import LotStock, lot_words
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import Plan, Wearer, Yarn
from hosewright.logbook.records.year import Care, Lot, Promise, Weighing
from hosewright.phrases.days import local_day, read_day, show_day
from hosewright.phrases.field import Field, FieldError, mass, one_of, or_nothing, to_choose, words
from hosewright.phrases.figures import mass_of_mg, read_money, show_money
from hosewright.phrases.times import local
from hosewright.planning.shelf_lines import NOTE, OIL, core, lot_lines, price
from hosewright.session.observations import FAULT_WORDS
from hosewright.words.care import CAUTION, needles_words
from hosewright.words.pairs import usual_name
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.logbook.records.shelf import Cylinder, Machine
    from hosewright.phrases.times import Moment
    from hosewright.session.events import Fault

_WHY = words("why", "Why", "such as latch bent", 200, what="reason", example="latch bent")

# --- a lot ------------------------------------------------------------------------------------------------------


def lot_form(bench: Bench, yarn: Yarn, lot: Lot | None = None) -> FormScreen[Lot]:
    """The form to note a lot of ``yarn``, or to change ``lot``. It keeps what it dismisses with."""
    settings = bench.settings
    return form_of(lot_lines(yarn, lot, settings.mass_unit, local_day(bench.book.clock), settings.money), bench)


# --- a weighing -------------------------------------------------------------------------------------------------


def weigh_form(bench: Bench, stock: LotStock) -> FormScreen[Weighing]:
    """The form to note what the scale says of a lot, or what went another way. It keeps what it dismisses with.

    What its core weighs is asked with it until it is known.
    """
    unit, lot = bench.settings.mass_unit, stock.lot

    asked = [core(unit)] if lot.core_g is None and lot.put_up != "skein" else []
    known = lot

    def build(values: dict[str, Any]) -> Weighing:
        nonlocal known
        if (core_g := values.pop("core_g", None)) is not None:
            known = lot.model_copy(update={"core_g": core_g})
        at_ms, zone_min, _ = bench.book.clock.now()
        told = {"id": shelf_id(f"weighing {lot.name}"), "lot": lot.id, "at_ms": at_ms, "zone_min": zone_min}
        return Weighing.model_validate(told | values)

    def keep(made: Weighing) -> None:
        bench.book.keep(made, *([known] if known is not lot else []))

    def remark(values: Mapping[str, Any]) -> str:
        return _weigh_remark(stock, values, unit)

    title = f"Weigh {lot_words(lot)}"
    return FormScreen(title, [*weigh_fields(unit), *asked], {"what": "left"}, build, keep, remark)


def weigh_fields(unit: str) -> list[Field]:
    """The lines of a weighing, masses in ``unit``."""
    some = mass("grams", "Mass", "what the scale says; 0 when it is used up", unit, required=True, example="120 g")
    return [
        one_of(
            "what",
            "What",
            "left: all there is of it now; gone: what went another way",
            {"left": "left", "all": "left", "gone": "gone"},
            "is neither: type left for all there is on the scale, gone for what went another way.",
            required=True,
            example="gone",
        ),
        or_nothing(some),
        words("why", "Why", "where it went, such as swatch, darning", 200, what="reason", example="darning"),
    ]


def _weigh_remark(stock: LotStock, values: Mapping[str, Any], unit: str) -> str:
    books = stock.account.held
    said = f"By the books it holds {mass_of_mg(books, unit)}"
    grams = values.get("grams")
    if grams is None or values.get("what") not in ("left", "gone"):
        return f"{said}."
    mg = to_mg(grams)
    if values["what"] == "gone":
        return f"{said}; that leaves {mass_of_mg(books - mg, unit)}."
    if mg == books:
        return f"{said}, as the scale does."
    missing = "unaccounted for" if mg < books else "more than was noted"
    return f"{said}: {mass_of_mg(abs(books - mg), unit)} {missing}."


# --- a promised pair --------------------------------------------------------------------------------------------


def promise_fields(today: date, money: str) -> list[Field]:
    """The lines of a promised pair; what is chosen from the shelf comes first."""
    tail = f" {money}" if money else ""
    return [
        Field("wearer", "For", "who is to wear them", choices=(), blank="nobody named: w makes a wearer"),
        to_choose("yarn", "Yarn", "what they are knitted of", "y", "Choose the yarn first, or make one with y."),
        Field("plan", "Plan", "one of this yarn's", choices=(), blank="none yet: p makes one"),
        Field("lot", "Dye lot", "one of this yarn's", choices=(), blank="none chosen"),
        Field(
            "by", "By", "such as 24 Dec, Friday, in 2 weeks", lambda text: read_day(text, today), example="in 2 weeks"
        ),
        price(f"such as 28 or 28.50{tail}", money, "28.50"),
        Field("paid", "Paid", "so far", lambda text: read_money(text, money), show_money, empty=0, example="10"),
        words("name", "Called", "empty: the wearer and the yarn", 80, what="name", example="the baker's second pair"),
        NOTE,
    ]


class PromiseForm(EntryScreen[Promise]):
    """Dismisses with the promise it kept, or None."""

    CSS_PATH = [FORM_CSS, "forms.tcss"]
    AUTO_FOCUS = "Pick"
    LABELS = 12
    EXPLAIN = (
        "A pair you promised. Enter opens a list or goes to the next line, Ctrl+S saves it. You choose among "
        "plans and dye lots of the yarn above. Type a day as 24 Dec, 24/12/2026, Friday or in 2 weeks; "
        "a month, such as July 2027, is its last day."
    )
    BINDINGS = [
        Binding("w", "make('wearer')", "Make a wearer"),
        Binding("y", "make('yarn')", "Make a yarn"),
        Binding("p", "make('plan')", "Make a plan"),
    ]

    def __init__(self, item: Promise | None = None) -> None:
        super().__init__()
        self._item = item
        self.heading = f"A promised pair: {item.name}" if item else "A promised pair"

    def lay_out(self) -> None:
        for field in promise_fields(self._today, self.app.settings.money):
            first = getattr(self._item, field.name) if self._item else None
            self.add(field, None if field.name == "paid" and not first else first)

    def on_mount(self) -> None:
        self._offer({name: getattr(self._item, name, None) for name in ("wearer", "yarn", "plan", "lot")})

    @property
    def _today(self) -> date:
        return local_day(self.app.book.clock)

    @property
    def _chosen(self) -> dict[str, Any]:
        return {name: self.rows[name].chosen for name in ("wearer", "yarn", "plan", "lot")}

    def _offer(self, wanted: Mapping[str, Any]) -> None:
        book, unit = self.app.book, self.app.settings.length_unit
        wearers, yarns = book.shelf(Wearer), book.shelf(Yarn)
        only = yarns[0].id if len(yarns) == 1 else None
        self.rows["wearer"].offer([(one.name, one.id) for one in wearers], wanted["wearer"])
        self.rows["yarn"].offer([(item_words(one, unit), one.id) for one in yarns], wanted["yarn"] or only)
        self._offer_of_yarn(wanted)

    def _offer_of_yarn(self, wanted: Mapping[str, Any]) -> None:
        """Plans and dye lots of the yarn chosen; the wearer's own plans come first."""
        book, yarn, wearer = self.app.book, self.rows["yarn"].chosen, self.rows["wearer"].chosen
        plans = [one for one in book.shelf(Plan) if one.yarn == yarn]
        plans.sort(key=lambda one: one.wearer != wearer)
        lots = [one for one in book.shelf(Lot) if one.yarn == yarn]
        own = plans[0].id if plans and plans[0].wearer == wearer and wearer else None
        plan = wanted["plan"] if any(one.id == wanted["plan"] for one in plans) else own
        self.rows["plan"].offer([(one.name, one.id) for one in plans], plan)
        only = lots[0].id if len(lots) == 1 and self._item is None else None
        lot = wanted["lot"] if any(one.id == wanted["lot"] for one in lots) else only
        self.rows["lot"].offer([(one.name, one.id) for one in lots], lot)
        self.rows["lot"].display = bool(lots)

    def follow(self, row: EntryRow | None = None) -> None:
        if row is not None and row.field.name in ("yarn", "wearer"):
            self._offer_of_yarn(self._chosen)
        super().follow(row)

    def remark(self, values: Mapping[str, Any]) -> str:
        return f"By {show_day(values['by'], self._today)}." if values.get("by") else ""

    def made(self, kind: str, item: Any) -> None:
        self._offer(self._chosen | {kind: item.id} | ({"yarn": item.yarn} if kind == "plan" else {}))
        self.rows[kind].entry.focus()

    def build(self, values: dict[str, Any]) -> Promise:
        """The promise; without a name it is called after its wearer and yarn."""
        book = self.app.book
        if not values["name"]:
            values["name"] = usual_name(book.get(Wearer, values["wearer"] or ""), book.get(Yarn, values["yarn"]))
        if self._item is not None:
            return Promise.model_validate(dict(self._item) | values)
        return Promise.model_validate({"id": shelf_id(values["name"]), "made": self._today.isoformat()} | values)


# --- a machine's care: needles changed, a part, the ribber, a note, and how often to oil ------------------------

TITLES = {"oiled": "Oiled", "needle": "Needles changed", "part": "A part", "ribber": "Ribber timed", "note": "A note"}
_AT_A_NEEDLE: tuple[Fault, ...] = ("dropped", "tuck", "split", "stayed-up")
_FAULTS = {said: one for one in _AT_A_NEEDLE for said in (one, FAULT_WORDS[one], FAULT_WORDS[one].split()[0])}
_RUN = re.compile(r"([0-9]{1,3})(?:\s*(?:-|to)\s*([0-9]{1,3}))?")


def oil_form(machine: Machine, keep: Callable[[Machine], None]) -> FormScreen[Machine]:
    """How often to oil a machine, by its manual."""
    return FormScreen(
        f"How often to oil: {machine.name}",
        [OIL],
        {"oil_every_rows": machine.oil_every_rows},
        lambda typed: machine.model_copy(update=typed),
        keep,
        lambda _: (
            "The figure of your machine's own manual, in rows; two passes of a heel count as one. Past it the "
            "bench reminds you in a sentence and never stops you. Empty: no reminder."
        ),
    )


def care_form(
    machine: Machine, item: Care, cylinders: Sequence[Cylinder], now: Moment, keep: Callable[[Care], None], *, new: bool
) -> FormScreen[Care]:
    """The form of one thing done. ``item`` is what it starts from; ``new``: nothing of it is kept yet."""

    def build(values: dict[str, Any]) -> Care:
        at_ms, zone_min = values.pop("when") or (now.at_ms, now.zone_min)
        slots = next((one.slots for one in cylinders if one.id == values.get("cylinder")), MOST_SLOTS)
        too_high = [needle for needle in values.get("needles") or () if needle > slots]
        if too_high:
            raise FieldError("needles", f"Needles of that cylinder are numbered 1 to {slots}; {too_high[0]} is not.")
        return Care.model_validate(dict(item) | values | {"at_ms": at_ms, "zone_min": zone_min})

    first = dict(item) | {"when": None if new else (item.at_ms, item.zone_min), "needles": item.needles or None}
    remark = CAUTION if item.what in ("needle", "part", "ribber") else ""
    title = f"{TITLES[item.what]}: {machine.name}"
    return FormScreen(title, care_fields(item.what, cylinders, now), first, build, keep, lambda _: remark)


def care_fields(what: str, cylinders: Sequence[Cylinder], now: Moment) -> list[Field]:
    """The lines of one kind of care."""
    when = Field(
        "when",
        "When",
        "empty: now; or 2025-10-03 14:30",
        lambda text: read_when(text, now),
        lambda when: f"{local(*when):%Y-%m-%d %H:%M}",
        example="2025-10-03 14:30",
    )

    def note(label: str, help_words: str, example: str, *, required: bool = False) -> Field:
        return words("note", label, help_words, 4000, what="note", required=required, example=example)

    if what == "needle":
        names = [one.name for one in cylinders[:3]]
        return [
            Field(
                "needles",
                "Needles",
                "such as 23, or 23 and 30-36",
                read_needles,
                needles_words,
                required=True,
                example="23 and 30-36",
            ),
            Field(
                "cylinder",
                "Cylinder",
                f"which: {', '.join(names)}" if names else "none is on the shelf; may stay empty",
                lambda text: _read_cylinder(text, cylinders),
                lambda item_id: next((one.name for one in cylinders if one.id == item_id), item_id),
                required=bool(cylinders),
                example=names[0] if names else "",
            ),
            one_of(
                "fault",
                "Fault",
                "dropped, tuck, split, stayed up",
                _FAULTS,
                "is not a fault of a needle: type dropped, tuck, split or stayed up, or nothing.",
                shown=lambda fault: fault.replace("-", " "),
                empty="",
                example="stayed up",
            ),
            _WHY,
            NOTE,
            when,
        ]
    if what == "part":
        return [note("Part", "which, and what was done", "new spring in the carrier", required=True), _WHY, when]
    if what == "ribber":
        return [note("What was done", "such as set half a needle on", "set half a needle on"), _WHY, when]
    if what == "note":
        return [note("Note", "what you want to know later", "runs sweetly now", required=True), when]
    return [NOTE, when]


def read_needles(text: str) -> tuple[int, ...]:
    """Needle numbers from "23", "23, 24" or "23 and 30-36". Raises CraftError."""
    found: list[int] = []
    for part in re.split(r"\s*(?:,|;|\band\b)\s*|(?<=[0-9])\s+(?=[0-9])", text.strip().lower()):
        run = _RUN.fullmatch(part)
        if run is None:
            raise CraftError(f"{quoted(part or text)} is not a needle number: type, for example, 23, or 23 and 30-36.")
        first, last = int(run[1]), int(run[2] or run[1])
        if not 1 <= first <= last <= MOST_SLOTS:
            raise CraftError(f"{quoted(part)} names no needles: they are numbered from 1, the lower number first.")
        found += range(first, last + 1)
    return tuple(dict.fromkeys(found))


def _read_cylinder(text: str, cylinders: Sequence[Cylinder]) -> str:
    """The id of the cylinder called so, by its name, part of it, or its slots. Raises CraftError."""
    said = text.strip().casefold()
    exact = [one for one in cylinders if said in (one.name.casefold(), one.id, str(one.slots), f"{one.slots} slots")]
    found = exact or [one for one in cylinders if said in one.name.casefold()]
    if len(found) == 1:
        return found[0].id
    names = ", ".join(one.name for one in (found or cylinders)[:6]) or "none"
    why = "could be several" if found else "is not on the shelf"
    raise CraftError(f"The cylinder {quoted(text)} {why}: type one of these: {names}.")


def read_when(text: str, now: Moment) -> tuple[int, int]:
    """UTC in ms and the local offset from "2025-10-03" (noon) or "2025-10-03 14:30". Raises CraftError."""
    said = text.strip()
    zone = timezone(timedelta(minutes=now.zone_min))
    for form in ("%Y-%m-%d %H:%M", "%Y-%m-%d"):
        try:
            at = datetime.strptime(said, form).replace(tzinfo=zone)
        except ValueError:
            continue
        today = at.date() == local(now.at_ms, now.zone_min).date()
        if form == "%Y-%m-%d":
            if today:
                return now.at_ms, now.zone_min
            at = at.replace(hour=12)
        at_ms = int(at.timestamp() * 1000)
        if at_ms > now.at_ms + 60_000:
            raise CraftError(f"{quoted(said)} is still to come.")
        if at_ms < 0:
            raise CraftError(f"{quoted(said)} is too long ago for this logbook: type a day from 1970 on.")
        return at_ms, now.zone_min
    raise CraftError(f"{quoted(said)} is not a day: type, for example, 2025-10-03, or 2025-10-03 14:30.")
