"""Yarn: counts in every system, as labels and shops write them, and how much goes into a stitch.

Tex is grams per 1000 m and the one number kept inside. Sources: definitions of the count systems (tex,
denier, metric; cotton 840, worsted 560, linen 300, woollen 256 yards a hank per pound) with the international
yard and pound, 0.9144 m and 453.59237 g, exact; the factors are computed from them.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, combine, error, measured, nominal
from hosewright.craft.units import G_PER_OUNCE, G_PER_POUND, factor, quoted, read_mass, read_number, show_number

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
_WORDS = {
    "tex": "tex",
    "dtex": "dtex",
    "nm": "nm",
    "metric": "nm",
    "nec": "cotton",
    "ne": "cotton",  # the standard abbreviation for the English cotton count
    "cotton": "cotton",
    "nek": "worsted",
    "worsted": "worsted",
    "woollen": "woollen",
    "linen": "linen",
    "nel": "linen",
    "den": "denier",
    "denier": "denier",
    "td": "denier",
}
_NO_COUNT = re.compile(r"\b(?:ply|plies|fingering|sport|dk|lace)\b")  # on labels, and it tells no length
_HINT = "such as 420 m/100g, 460 yd/100g, tex 238, Nm 2/8 or Ne 2.5"
_LENGTH_OVER_MASS = re.compile(
    r"(?P<length>[0-9][0-9., ]*)\s*(?P<unit>m|metres?|meters?|yds?|yards?)\s*"
    r"(?:/|per|in|on|to|=)\s*(?P<mass>[0-9]*(?:[.,][0-9]+)?\s*[a-z]+)"
)
_NAMED = re.compile(
    r"(?:(?P<before>[a-z]+)\s*(?P<after_number>[0-9][0-9.,/ ]*)|(?P<number>[0-9][0-9.,/ ]*)(?P<after>[a-z]+))"
)


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
        f"Yarn per stitch by weighing: {_shown(weighed)}.",
        f"From the loop length: {_shown(looped)}.",
        f"Together {_shown(both)}; they differ by {abs(percent):.0f} %.",
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


@dataclass(frozen=True, slots=True)
class Count:
    """A yarn count: what was typed, and what it comes to."""

    typed: str
    m_per_100g: float

    @property
    def tex(self) -> float:
        """Grams per 1000 m."""
        return tex_from("m_per_100g", self.m_per_100g)

    @property
    def said(self) -> str:
        """Both ways most people know it."""
        return f"{self.tex:.0f} tex, {self.m_per_100g:.0f} m per 100 g"


def read_yarn_count(text: str) -> Count:
    """A count from typed text in any system. Raises CraftError."""
    if len(text) > 60:
        raise CraftError(f"The count is {len(text)} characters long: type one {_HINT}.")
    plain = " ".join(text.lower().split())
    tex = _over_mass(plain)
    if tex is None:
        tex = _named(plain, text)
    return Count(text.strip(), counts(tex)["m_per_100g"])


def _over_mass(plain: str) -> float | None:
    found = _LENGTH_OVER_MASS.fullmatch(plain)
    if found is None:
        return None
    long = read_number(found["length"].replace(" ", ""), what="yarn's length", least=1, most=100_000)
    metres = long * factor("yard" if found["unit"].startswith("y") else "meter", "meter")
    mass = found["mass"].strip()
    grams = read_mass(mass if mass[0].isdigit() else f"1 {mass}", what="mass in the count")
    return tex_from("m_per_100g", metres * 100 / grams)


def _named(plain: str, text: str) -> float:
    found = _NAMED.fullmatch(plain)
    word = (found["before"] or found["after"]) if found else None
    system = _WORDS.get(word or "")
    if _NO_COUNT.search(plain):
        raise CraftError(
            f"{quoted(text)} is a kind of yarn, not how long it is: type the length on the label, {_HINT}."
        )
    if found is None or system is None:
        raise CraftError(f"The count {quoted(text)} does not say in what system: type one {_HINT}.")
    return read_count((found["after_number"] or found["number"]).strip(), system)
