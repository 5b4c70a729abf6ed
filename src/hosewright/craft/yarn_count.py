"""A yarn's count as labels and shops write it, in any system."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hosewright.craft.errors import CraftError
from hosewright.craft.units import quoted, read_mass, read_number
from hosewright.craft.yarn import M_PER_YARD, counts, read_count, tex_from

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
_HINT = "such as 420 m/100g, 460 yd/100g, tex 238, Nm 2/8 or Ne 2.5"
_LENGTH_OVER_MASS = re.compile(
    r"(?P<length>[0-9][0-9., ]*)\s*(?P<unit>m|metres?|meters?|yds?|yards?)\s*"
    r"(?:/|per|in|on|to|=)\s*(?P<mass>[0-9]*(?:[.,][0-9]+)?\s*[a-z]+)"
)
_NAMED = re.compile(
    r"(?:(?P<before>[a-z]+)\s*(?P<after_number>[0-9][0-9.,/ ]*)|(?P<number>[0-9][0-9.,/ ]*)(?P<after>[a-z]+))"
)


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
    metres = long * (M_PER_YARD if found["unit"].startswith("y") else 1.0)
    mass = found["mass"].strip()
    grams = read_mass(mass if mass[0].isdigit() else f"1 {mass}", what="mass in the count")
    return tex_from("m_per_100g", metres * 100 / grams)


def _named(plain: str, text: str) -> float:
    found = _NAMED.fullmatch(plain)
    word = (found["before"] or found["after"]) if found else None
    system = _WORDS.get(word or "")
    if found is None or system is None:
        raise CraftError(f"The count {quoted(text)} does not say in what system: type one {_HINT}.")
    return read_count((found["after_number"] or found["number"]).strip(), system)
