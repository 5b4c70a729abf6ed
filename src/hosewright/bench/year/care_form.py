"""The forms of a machine's care: needles changed, a part, the ribber, a note, and how often to oil."""

from __future__ import annotations

import re
from datetime import datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any

from hosewright.bench.shelf.forms import OIL
from hosewright.bench.widgets.field import FieldProblem, FormField, words
from hosewright.bench.widgets.form import FormScreen
from hosewright.craft.errors import MOST_SLOTS, CraftError
from hosewright.craft.units import quoted
from hosewright.logbook.records.year import Care
from hosewright.phrases.clock import local
from hosewright.session.faults import FAULT_WORDS
from hosewright.words.care import CAUTION, needles_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.logbook.records.shelf import Cylinder, Machine
    from hosewright.phrases.clock import Moment
    from hosewright.session.events import Fault

    Build = Callable[[dict[str, Any]], Care]

TITLES = {"oiled": "Oiled", "needle": "Needles changed", "part": "A part", "ribber": "Ribber timed", "note": "A note"}
_FAULTS: tuple[Fault, ...] = ("dropped", "tuck", "split", "stayed-up")
_RUN = re.compile(r"([0-9]{1,3})(?:\s*(?:-|to)\s*([0-9]{1,3}))?")


def oil_form(machine: Machine, keep: Callable[[Machine], None]) -> FormScreen[Machine]:
    """How often to oil a machine, by its manual."""

    def build(values: dict[str, Any]) -> Machine:
        return machine.model_copy(update=values)

    return FormScreen(
        f"How often to oil: {machine.name}",
        [OIL],
        {"oil_every_rows": machine.oil_every_rows},
        build,
        keep,
        lambda _: (
            "The figure of your machine's own manual, in rows; two passes of a heel count as one. Past it the "
            "bench reminds you in a sentence and never stops you. Empty: no reminder."
        ),
    )


def care_form(
    machine: Machine,
    item: Care,
    cylinders: Sequence[Cylinder],
    now: Moment,
    keep: Callable[[Care], None],
    *,
    new: bool,
) -> FormScreen[Care]:
    """The form of one thing done. ``item`` is what it starts from; ``new``: nothing of it is kept yet."""
    fields = [*_fields(item.what, cylinders), _when(now)]
    start = dict(item) | {"when": None if new else (item.at_ms, item.zone_min), "needles": item.needles or None}
    remark = CAUTION if item.what in ("needle", "part", "ribber") else ""
    title = f"{TITLES[item.what]}: {machine.name}"
    return FormScreen(title, fields, start, _builder(item, cylinders, now), keep, lambda _: remark)


def _fields(what: str, cylinders: Sequence[Cylinder]) -> list[FormField]:
    why = FormField("why", "Why", "such as latch bent", words("reason", 200), empty="")
    note = words("note", 4000)
    more = FormField("note", "Note", "anything worth knowing later", note, empty="")
    if what == "needle":
        return [
            FormField("needles", "Needles", "such as 23, or 23 and 30-36", read_needles, needles_words, required=True),
            FormField(
                "cylinder",
                "Cylinder",
                _cylinder_hint(cylinders),
                lambda text: _read_cylinder(text, cylinders),
                lambda item_id: _cylinder_name(item_id, cylinders),
                required=bool(cylinders),
            ),
            FormField("fault", "Fault", "dropped, tuck, split, stayed up", _read_fault, _fault_word, empty=""),
            why,
            more,
        ]
    if what == "part":
        return [FormField("note", "Part", "which, and what was done", note, required=True), why]
    if what == "ribber":
        return [FormField("note", "What was done", "such as set half a needle on", note, empty=""), why]
    if what == "note":
        return [FormField("note", "Note", "what you want to know later", note, required=True)]
    return [more]


def _builder(item: Care, cylinders: Sequence[Cylinder], now: Moment) -> Build:
    def build(values: dict[str, Any]) -> Care:
        at_ms, zone_min = values.pop("when") or (now.at_ms, now.zone_min)
        slots = next((one.slots for one in cylinders if one.id == values.get("cylinder")), MOST_SLOTS)
        too_high = [needle for needle in values.get("needles") or () if needle > slots]
        if too_high:
            raise FieldProblem("needles", f"Needles of that cylinder are numbered 1 to {slots}; {too_high[0]} is not.")
        return Care.model_validate(dict(item) | values | {"at_ms": at_ms, "zone_min": zone_min})

    return build


# --- needles -------------------------------------------------------------------------------------------------


def read_needles(text: str) -> tuple[int, ...]:
    """Needle numbers from "23", "23, 24" or "23 and 30-36". Raises CraftError."""
    found: list[int] = []
    for part in re.split(r"\s*(?:,|;|\band\b)\s*|(?<=[0-9])\s+(?=[0-9])", text.strip().lower()):
        run = _RUN.fullmatch(part)
        if run is None:
            raise CraftError(f"{quoted(part or text)} is no needle number: type such as 23, or 23 and 30-36.")
        first, last = int(run[1]), int(run[2] or run[1])
        if not 1 <= first <= last <= MOST_SLOTS:
            raise CraftError(f"{quoted(part)} names no needles: they are numbered from 1, the lower number first.")
        found += range(first, last + 1)
    return tuple(dict.fromkeys(found))


def _cylinder_hint(cylinders: Sequence[Cylinder]) -> str:
    names = [one.name for one in cylinders[:3]]
    return f"which: {', '.join(names)}" if names else "none is on the shelf; may stay empty"


def _cylinder_name(item_id: str, cylinders: Sequence[Cylinder]) -> str:
    return next((one.name for one in cylinders if one.id == item_id), item_id)


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


def _read_fault(text: str) -> str:
    said = text.strip().casefold().replace("-", " ")
    for fault in _FAULTS:
        if said and said in (_fault_word(fault), FAULT_WORDS[fault], FAULT_WORDS[fault].split()[0]):
            return fault
    raise CraftError(f"{quoted(text)} is no fault of a needle: type dropped, tuck, split or stayed up, or nothing.")


def _fault_word(fault: str) -> str:
    return fault.replace("-", " ")


# --- when ----------------------------------------------------------------------------------------------------


def _when(now: Moment) -> FormField:
    return FormField(
        "when",
        "When",
        "empty: now; or 2025-10-03 14:30",
        lambda text: read_when(text, now),
        _show,
    )


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
            raise CraftError(f"{quoted(said)} is before any clock this logbook knows: type a day from 1970 on.")
        return at_ms, now.zone_min
    raise CraftError(f"{quoted(said)} is no day: type such as 2025-10-03, or 2025-10-03 14:30.")


def _show(when: tuple[int, int]) -> str:
    return f"{local(*when):%Y-%m-%d %H:%M}"
