"""The forms of a lot of yarn and of a weighing of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from hosewright.bench.shelf.wearer_form import NOTE
from hosewright.bench.widgets.field import FieldProblem, FormField, mass, shown_mass, whole, words
from hosewright.bench.widgets.form import FormScreen
from hosewright.craft.errors import CraftError
from hosewright.craft.stock import to_mg
from hosewright.craft.units import quoted, show_mass
from hosewright.logbook.accounts.stock import LotStock, lot_words
from hosewright.logbook.records.ids import shelf_id
from hosewright.logbook.records.year import Lot, Weighing
from hosewright.phrases.clock import local
from hosewright.words.stock import mass as mg_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from textual.app import App

    from hosewright.bench.widgets.host import Host
    from hosewright.logbook.records.shelf import Yarn

_PUT_UPS = ("ball", "cone", "skein")
_PLURALS = {f"{name}s": name for name in _PUT_UPS} | {"hank": "skein", "hanks": "skein"}
_NAME_HINT = "the dye lot on the label, or what you call it"
_WHATS = {"left": "left", "all": "left", "gone": "gone"}


def lot_form(app: App[Any], yarn: Yarn, lot: Lot | None = None) -> FormScreen[Lot]:
    """The form to note a lot of ``yarn``, or to change ``lot``. It keeps what it dismisses with."""
    bench: Host = app  # type: ignore[assignment]  # every app here is one
    unit = bench.settings.mass_unit
    today = _today(bench)
    start: dict[str, Any] = {"put_up": "ball", "pieces": 1, "bought": today.isoformat()}
    if lot is not None:
        start = dict(lot)

    def build(values: dict[str, Any]) -> Lot:
        grams = values["grams"]
        if grams is None and yarn.ball_g is None:
            raise FieldProblem("grams", "How much is it? Type what all of it weighs, such as 300 g.")
        told = values | {"yarn": yarn.id, "grams": grams or yarn.ball_g * values["pieces"]}
        if lot is not None:
            return Lot.model_validate(dict(lot) | told)
        return Lot.model_validate({"id": shelf_id(f"{yarn.name} {values['name']}")} | told)

    title = f"A lot of {yarn.name}" if lot is None else f"{yarn.name}, {lot_words(lot)}"
    return FormScreen(title, _lot_fields(unit, yarn, today), start, build, bench.book.keep, _lot_remark(yarn, unit))


def weigh_form(app: App[Any], stock: LotStock) -> FormScreen[Weighing]:
    """The form to note what the scale says of a lot, or what went another way. It keeps what it dismisses with."""
    bench: Host = app  # type: ignore[assignment]  # every app here is one
    unit, lot = bench.settings.mass_unit, stock.lot

    def build(values: dict[str, Any]) -> Weighing:
        at_ms, zone_min, _ = bench.book.clock.now()
        told = {"id": shelf_id(f"weighing {lot.name}"), "lot": lot.id, "at_ms": at_ms, "zone_min": zone_min}
        return Weighing.model_validate(told | values)

    def remark(values: Mapping[str, Any]) -> str:
        return _weigh_remark(stock, values, unit)

    title = f"Weigh {lot_words(lot)}"
    return FormScreen(title, _weigh_fields(unit), {"what": "left"}, build, bench.book.keep, remark)


def _today(bench: Host) -> date:
    at_ms, zone_min, _ = bench.book.clock.now()
    return local(at_ms, zone_min).date()


# --- a lot ------------------------------------------------------------------------------------------------------


def _lot_fields(unit: str, yarn: Yarn, today: date) -> list[FormField]:
    each = f"; empty: {show_mass(yarn.ball_g, unit)} each" if yarn.ball_g else ""
    return [
        FormField("name", "Dye lot", _NAME_HINT, words("dye lot", 80), required=True),
        FormField("pieces", "How many", "balls, cones or skeins", whole("number of them", 1, 10_000), required=True),
        FormField("put_up", "Put up as", "ball, cone or skein", read_put_up, required=True),
        FormField(
            "grams",
            "Mass in all",
            f"such as 300 g{each}",
            mass("mass", unit),
            shown_mass(unit),
            required=not yarn.ball_g,
        ),
        FormField("bought", "Bought on", "year-month-day", _day_reader(today), required=True),
        NOTE,
    ]


def read_put_up(text: str) -> str:
    """ "ball", "cone" or "skein". Raises CraftError."""
    said = text.strip().lower()
    found = _PLURALS.get(said, said)
    if found not in _PUT_UPS:
        raise CraftError(f"{quoted(text)} is no put-up: type ball, cone or skein.")
    return found


def _day_reader(today: date) -> Callable[[str], str]:
    def read(text: str) -> str:
        try:
            day = date.fromisoformat(text.strip())
        except ValueError:
            raise CraftError(f"The day {quoted(text)} cannot be read: type it like {today.isoformat()}.") from None
        if day > today + timedelta(days=1):  # the clock of the knitter's zone may be ahead
            raise CraftError(
                f"{quoted(text)} is still to come: type the day it was bought, {today.isoformat()} or before."
            )
        return day.isoformat()

    return read


def _lot_remark(yarn: Yarn, unit: str) -> Callable[[Mapping[str, Any]], str]:
    def remark(values: Mapping[str, Any]) -> str:
        pieces, grams = values.get("pieces"), values.get("grams")
        if not pieces:
            return ""
        if grams:
            return f"That is {show_mass(grams / pieces, unit)} each." if pieces > 1 else ""
        return f"That is {show_mass(yarn.ball_g * pieces, unit)} in all." if yarn.ball_g else ""

    return remark


# --- a weighing -------------------------------------------------------------------------------------------------


def _weigh_fields(unit: str) -> list[FormField]:
    return [
        FormField(
            "what", "What", "left: all there is of it now; gone: what went another way", read_what, required=True
        ),
        FormField("grams", "Mass", "what the scale says; 0 when it is used up", _mass_or_nothing(unit), required=True),
        FormField("why", "Why", "where it went, such as swatch, darning", words("reason", 200), empty=""),
    ]


def read_what(text: str) -> str:
    """ "left" or "gone". Raises CraftError."""
    said = text.strip().lower()
    if said not in _WHATS:
        raise CraftError(
            f"{quoted(text)} is neither: type left for all there is on the scale, gone for what went another way."
        )
    return _WHATS[said]


def _mass_or_nothing(unit: str) -> Callable[[str], float]:
    read_some = mass("mass", unit)

    def read(text: str) -> float:
        number = text.strip().lower().removesuffix(unit).strip()
        return 0.0 if number and not number.strip("0.,") and "0" in number else float(read_some(text))

    return read


def _weigh_remark(stock: LotStock, values: Mapping[str, Any], unit: str) -> str:
    """What the books say against the scale."""
    books = stock.account.held
    said = f"By the books it holds {mg_words(books, unit)}"
    grams = values.get("grams")
    if grams is None or values.get("what") not in ("left", "gone"):
        return f"{said}."
    mg = to_mg(grams)
    if values["what"] == "gone":
        return f"{said}; that leaves {mg_words(books - mg, unit)}."
    if mg == books:
        return f"{said}, as the scale does."
    missing = "unaccounted for" if mg < books else "more than was noted"
    return f"{said}: {mg_words(abs(books - mg), unit)} {missing}."
