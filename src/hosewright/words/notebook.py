"""What is from the notebook, in one line each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.units import PER_UNIT_MM, plus_minus

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.logbook.records.shelf import Noted


def noted_words(one: Noted, names: Mapping[str, str], unit: str = "in") -> str:
    """All of it but its note: "Gauge of May 2021, Moss, 64 slots, dial 7 1/4: 10.4 ± 0.1 rows and ...".

    ``names`` are those of yarns, cylinders and wearers by id; rates are per ``unit``, "in" or "cm".
    """
    wearer = names.get(one.wearer or "", "")
    head = f"{one.name[0].upper()}{one.name[1:]}" + (f" for {wearer}" if wearer else "")
    about = (names.get(one.yarn, one.yarn), f"{one.slots} slots", one.dial and f"dial {one.dial}")
    told = (_rates(one, unit), one.worn or (f"{one.fit} on the foot" if one.fit else ""), one.parts_typed)
    return f"{', '.join(part for part in (head, *about) if part)}: {'; '.join(part for part in told if part)}"


def _rates(one: Noted, unit: str) -> str:
    if one.rows_per_mm is None or one.stitches_per_mm is None:
        return ""
    per = PER_UNIT_MM[unit]
    rows = plus_minus(one.rows_per_mm * per, one.rows_per_mm_error * per)
    stitches = plus_minus(one.stitches_per_mm * per, one.stitches_per_mm_error * per)
    return f"{rows} rows and {stitches} stitches per {unit}"
