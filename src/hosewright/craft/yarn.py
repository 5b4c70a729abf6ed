"""Yarn: counts in every system, and how much goes into a stitch.

Tex is grams per 1000 m and the one number kept inside. Sources: definitions of the count systems (tex,
denier, metric; cotton 840, worsted 560, linen 300, woollen 256 yards a hank per pound) with the international
yard and pound, 0.9144 m and 453.59237 g, exact; the factors are computed from them.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from hosewright.craft.errors import CraftError
from hosewright.craft.measured import Measured, combine, error, measured, nominal
from hosewright.craft.units import G_PER_OUNCE, G_PER_POUND, quoted, read_number, show_number

M_PER_YARD = 0.9144
TEX_TIMES_M_PER_100G = 100_000.0
TEX_TIMES_NM = 1000.0
DENIER_PER_TEX = 9.0
DTEX_PER_TEX = 10.0
COTTON_YARDS = 840.0
WORSTED_YARDS = 560.0
LINEN_YARDS = 300.0
WOOLLEN_YARDS = 256.0
LEAST_TEX = 1.0
MOST_TEX = 10_000.0
LOOP_MODEL_SHARE = 0.05
DISAGREE_SIGMAS = 2.0
MM_G_PER_TEX = 1e-6

_INDIRECT = {
    "nm": TEX_TIMES_NM,
    "worsted": 1000 * G_PER_POUND / (WORSTED_YARDS * M_PER_YARD),
    "cotton": 1000 * G_PER_POUND / (COTTON_YARDS * M_PER_YARD),
    "woollen": 1000 * G_PER_POUND / (WOOLLEN_YARDS * M_PER_YARD),
    "linen": 1000 * G_PER_POUND / (LINEN_YARDS * M_PER_YARD),
    "m_per_100g": TEX_TIMES_M_PER_100G,
    "yd_per_oz": 1000 * G_PER_OUNCE / M_PER_YARD,
}
_DIRECT = {"tex": 1.0, "dtex": DTEX_PER_TEX, "denier": DENIER_PER_TEX}
_OF_WHOLE_YARN = ("m_per_100g", "yd_per_oz")
SYSTEMS = ("m_per_100g", "tex", "dtex", "nm", "worsted", "cotton", "woollen", "linen", "denier", "yd_per_oz")


def tex_from(system: str, value: float, plies: int = 1) -> float:
    """Tex of the whole yarn from a count: "m_per_100g", "tex", "nm", "worsted" and the rest of SYSTEMS.

    ``plies``: how many singles of that count are twisted together; a length per mass is of the whole yarn,
    so it takes none. Exact factors; take-up in twisting is not allowed for. Raises CraftError.
    """
    if system not in SYSTEMS:
        raise CraftError(f"There is no count called {quoted(system)}: use one of {', '.join(SYSTEMS)}.")
    if not (math.isfinite(value) and value > 0):
        raise CraftError("A yarn count must be a number above zero, such as 420 m per 100 g.")
    if not 1 <= plies <= 24:
        raise CraftError("A yarn has from 1 to 24 plies.")
    if plies != 1 and system in _OF_WHOLE_YARN:
        raise CraftError("A length per mass is of the whole yarn: leave the plies at 1.")
    single = value / _DIRECT[system] if system in _DIRECT else _INDIRECT[system] / value
    return _checked(single * plies)


def _checked(tex: float) -> float:
    if not LEAST_TEX <= tex <= MOST_TEX:
        raise CraftError(
            f"That is {show_number(tex, 3)} tex, which no sock machine knits: check the count and its system "
            f"(sock yarn is near 240 tex, 420 m per 100 g)."
        )
    return tex


def read_count(text: str, system: str) -> float:
    """Tex from a typed count: "420", or with plies "2/16" or "28/2", the smaller number being the plies.

    Raises CraftError.
    """
    plied = re.fullmatch(r"\s*([0-9]{1,5}(?:[.,][0-9]{1,3})?)\s*/\s*([0-9]{1,5})\s*", text[:60])
    if plied is not None and system in SYSTEMS and system not in _OF_WHOLE_YARN:
        numbers = sorted(float(part.replace(",", ".")) for part in plied.groups())
        if numbers[0] == numbers[1] or not numbers[0].is_integer():
            raise CraftError(f"The count {quoted(text)} could be read two ways: type the count of the whole yarn.")
        return tex_from(system, numbers[1], int(numbers[0]))
    return tex_from(system, read_number(text, what="yarn count", least=0.01, most=100_000))


def counts(tex: float) -> dict[str, float]:
    """The same yarn in every system: a dict of SYSTEMS to numbers. Exact factors. Raises CraftError."""
    if not (math.isfinite(tex) and tex > 0):
        raise CraftError("Tex must be a number above zero.")
    direct = {name: tex * factor for name, factor in _DIRECT.items()}
    indirect = {name: factor / tex for name, factor in _INDIRECT.items()}
    found = direct | indirect
    return {name: found[name] for name in SYSTEMS}


@dataclass(frozen=True, slots=True)
class YarnPerStitch:
    """Yarn in one stitch in mm, found two ways, and how well the ways agree.

    ``disagreement_percent`` is (weighed - looped) / combined x 100, and ``sigmas`` the same in errors; both
    are None when the tube was not weighed.
    """

    looped_mm: Measured
    weighed_mm: Measured | None
    combined_mm: Measured
    disagreement_percent: float | None
    sigmas: float | None
    notes: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether both ways agree within twice their error (True when there is only one)."""
        return self.sigmas is None or self.sigmas <= DISAGREE_SIGMAS


def yarn_per_stitch(
    loop_mm: Measured | float,
    tex: float | None = None,
    mass_per_stitch_g: Measured | float | None = None,
    scale_share: float | None = None,
) -> YarnPerStitch:
    """Yarn in one stitch (mm) from the loop length and, when weighed, from mass / tex; by 1 / error^2.

    The loop length also gets a 5 % model error (ours: the published constants are averages over many fabrics, and by
    how much one differs was found nowhere). Where the two ways differ by more than their errors the combined error
    is widened by as much (the Birge ratio), since two contradicting numbers do not make a surer one.
    ``scale_share`` is the scale's half-width over the tube's mass.
    """
    spread = math.hypot(error(loop_mm), LOOP_MODEL_SHARE * nominal(loop_mm))
    looped = measured(nominal(loop_mm), spread)
    if tex is None or mass_per_stitch_g is None:
        note = "Yarn per stitch comes from the loop length alone: weigh the trimmed tube to check it."
        return YarnPerStitch(looped, None, looped, None, None, (note,))
    weighed = measured(nominal(mass_per_stitch_g), error(mass_per_stitch_g)) / (tex * MM_G_PER_TEX)
    both = combine((looped, weighed))
    apart = nominal(weighed) - nominal(looped)
    sigmas = abs(apart) / math.hypot(error(weighed), error(looped))
    both = measured(nominal(both), error(both) * max(1.0, sigmas))
    percent = 100 * apart / nominal(both)
    notes = [
        f"Yarn per stitch: {_shown(weighed)} by weighing, {_shown(looped)} from the loop length, "
        f"{_shown(both)} together; they differ by {abs(percent):.0f} %."
    ]
    if scale_share is not None:
        notes.append(f"The scale alone is good to {100 * scale_share:.0f} % of this tube's mass.")
    if sigmas > DISAGREE_SIGMAS:
        heavy = "heavier" if apart > 0 else "lighter"
        notes.append(
            f"The tube is {heavy} than its loop length allows: check that only working yarn was "
            f"weighed, that the rows counted are the rows weighed, and the yarn's count on its label."
        )
    return YarnPerStitch(looped, weighed, both, percent, sigmas, tuple(notes))


def _shown(mm: Measured) -> str:
    return f"{nominal(mm):.1f} ± {error(mm):.1f} mm"
