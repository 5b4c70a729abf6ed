"""What is from the notebook, in a sentence each and in columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.units import PER_UNIT_MM, plus_minus
from hosewright.phrases.days import past_day
from hosewright.phrases.lists import Column

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hosewright.logbook.records.shelf import Noted


def noted_words(one: Noted, names: Mapping[str, str], unit: str = "in") -> str:
    """All of it but its note: "Gauge of May 2021, Moss, 64 slots, dial 7 1/4: 10.4 ± 0.1 rows and ...".

    ``names`` are those of yarns, cylinders and wearers by id; rates are per ``unit``, "in" or "cm".
    """
    wearer = names.get(one.wearer or "", "")
    head = f"{one.name[0].upper()}{one.name[1:]}" + (f" for {wearer}" if wearer else "")
    about = (names.get(one.yarn, one.yarn), f"{one.slots} slots", one.dial and f"dial {one.dial}")
    worn = one.worn or (f"{one.fit} on the foot" if one.fit else "")
    told = (_rates(one, unit), worn, one.parts_typed, one.shared)
    return f"{', '.join(part for part in (head, *about) if part)}: {'; '.join(part for part in told if part)}"


def _rates(one: Noted, unit: str) -> str:
    if one.rows_per_mm is None or one.stitches_per_mm is None:
        return ""
    rows = _rate(one.rows_per_mm, one.rows_per_mm_error, unit)
    return f"{rows} rows and {_rate(one.stitches_per_mm, one.stitches_per_mm_error, unit)} stitches per {unit}"


ROOMY = 90  # cells; from here on there is room for the errors


def noted_columns(names: Mapping[str, str], unit: str, room: int) -> Sequence[Column[Noted]]:
    """What is from the notebook as a list in ``room`` cells; ``names`` and ``unit`` as above."""

    def rows(one: Noted) -> str:
        return _rate(one.rows_per_mm, one.rows_per_mm_error, unit).partition(" ± " if room < ROOMY else "\n")[0]

    return (
        Column("Day", lambda one: past_day(one.day), number=True, order=lambda one: one.at_ms),
        Column("What", _what, order=lambda one: one.what),
        Column("Yarn", lambda one: _named(one.yarn, names), share=2, order=lambda one: _named(one.yarn, names)),
        Column("Slots", lambda one: str(one.slots), number=True, order=lambda one: one.slots),
        Column("Dial", lambda one: one.dial, share=1),
        Column(f"Rows/{unit}", rows, number=True),
        Column("On the foot", lambda one: _worn(one, names), share=2),
    )


def _what(one: Noted) -> str:
    return one.what + ", shared" * bool(one.shared) + " (retired)" * one.retired


def _named(item: str, names: Mapping[str, str]) -> str:
    return names.get(item, item)


def _worn(one: Noted, names: Mapping[str, str]) -> str:
    wearer = names.get(one.wearer or "", "")
    return ": ".join(part for part in (wearer, one.worn or one.fit) if part)


def _rate(rate: float | None, error: float, unit: str) -> str:
    return "" if rate is None else plus_minus(rate * PER_UNIT_MM[unit], error * PER_UNIT_MM[unit])
