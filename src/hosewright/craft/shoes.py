"""Shoe sizes and foot lengths, both ways, in every scale, with the range rival conventions give.

Every scale is size = foot length x rate + offset. The first offset is the one used for the single number; the
rest only widen the range, since nobody can tell which a shop meant. Sources stand beside each scale below.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from hosewright.craft import CraftError
from hosewright.craft.feet import LONGEST_FOOT_MM, SHORTEST_FOOT_MM, Sex, width_shift_mm
from hosewright.craft.measured import half_up
from hosewright.craft.units import MM_PER_INCH, quoted, read_fraction

BARLEYCORN_MM = MM_PER_INCH / 3
PARIS_POINT_MM = 20.0 / 3
MONDOPOINT_STEPS_MM = (5.0, 7.5)
JAPAN_STEP_MM = 10.0  # the size is the length of the foot in cm
LAST_LONGER_MM = (12.7, 50.8 / 3)
_LONGEST_WIDTH = 6
_DOUBLED = re.compile(r"\b([2-6])e\b")  # EE is also written 2E
LARGEST_CHILD_SIZE = 13.5

# Offsets of size = foot / step + offset, the first formula first.
# EU: 1.5 cm + 2, a last of two Paris points more than the foot; rival 1.5 (cm + 1.5). From memory.
EU_OFFSETS = (2.0, 2.25)
# UK: 3 last - 25 (Golding) with the last 2/3 in longer than the foot, or as a rival 1/2 in (from memory).
UK_OFFSETS = (-23.0, -23.5)
# US by the foot-measuring device: men 3 in - 22, women 3 in - 21; rivals 3 last - 24 and - 23 with the last 1/2 in
# longer, and women as men + 1 1/2. All from memory.
US_MEN_OFFSETS = (-22.0, -22.5)
US_WOMEN_OFFSETS = (-21.0, -21.5, -20.5)
# Children: 3 last - 12 (UK, Golding) and 3 last - 12 + 1/3 (US, from memory), the last 2/3 or 1/2 in longer.
UK_CHILD_OFFSETS = (-10.0, -10.5)
US_CHILD_OFFSETS = (-29.0 / 3, -30.5 / 3)


@dataclass(frozen=True, slots=True)
class Scale:
    """A shoe-size scale: size = foot / ``step_mm`` + offset, the first offset used, the rest its rivals."""

    words: str
    step_mm: float
    offsets: tuple[float, ...]

    def size(self, foot_mm: float) -> float:
        """Size from foot length in mm by the first formula, not rounded."""
        return foot_mm / self.step_mm + self.offsets[0]

    def size_range(self, foot_mm: float) -> tuple[float, float]:
        """Smallest and largest size any convention gives this foot."""
        return foot_mm / self.step_mm + min(self.offsets), foot_mm / self.step_mm + max(self.offsets)

    def foot(self, size: float) -> float:
        """Foot length in mm from a size by the first formula."""
        return (size - self.offsets[0]) * self.step_mm

    def foot_range(self, size: float) -> tuple[float, float]:
        """Shortest and longest foot any convention gives this size, mm."""
        return (size - max(self.offsets)) * self.step_mm, (size - min(self.offsets)) * self.step_mm


SCALES = {
    "eu": Scale("EU", PARIS_POINT_MM, EU_OFFSETS),
    "uk": Scale("UK", BARLEYCORN_MM, UK_OFFSETS),
    "us_men": Scale("US men", BARLEYCORN_MM, US_MEN_OFFSETS),
    "us_women": Scale("US women", BARLEYCORN_MM, US_WOMEN_OFFSETS),
    "japan": Scale("Japan", JAPAN_STEP_MM, (0.0,)),
    "uk_child": Scale("UK child", BARLEYCORN_MM, UK_CHILD_OFFSETS),
    "us_child": Scale("US child", BARLEYCORN_MM, US_CHILD_OFFSETS),
}


@dataclass(frozen=True, slots=True)
class FootSize:
    """A shoe size read: the scale's name, the size, and the foot it is for, mm, with the rivals' range.

    ``width`` is the letter that stood behind it, as `feet.girth_estimate` takes it ("EE", "UK E"), else empty.
    """

    scale: str
    size: float
    foot_mm: float
    foot_mm_range: tuple[float, float]
    words: str
    width: str = ""

    def width_for(self, sex: Sex) -> str | None:
        """Its width for feet of ``sex``, None without one or where it is the other sex's."""
        own: Sex = "men" if self.scale == "us_men" else "women"  # of UK widths the letters are women's
        return self.width if self.width and sex == own else None


def sizes(foot_mm: float) -> dict[str, float | tuple[float, float]]:
    """Every size of a foot ``foot_mm`` long: NAME and NAME_range, names mondopoint, eu, uk, us_men, us_women, japan.

    Not rounded, but for Mondopoint, which is marked in steps of 5 mm (rival 7.5 mm), a foot midway as the larger, the
    roomier shoe (ours: what ISO 9407 says of it was not read). Children's sizes
    (uk_child, us_child) only where they exist, 0 to 13 1/2. Raises CraftError.
    """
    _check_foot(foot_mm)
    marks = [half_up(foot_mm / step) * step for step in MONDOPOINT_STEPS_MM]
    found: dict[str, float | tuple[float, float]] = {
        "mondopoint": marks[0],
        "mondopoint_range": (min(marks), max(marks)),
    }
    for name, scale in SCALES.items():
        if name.endswith("child") and not 0 <= scale.size(foot_mm) <= LARGEST_CHILD_SIZE:
            continue
        found[name] = scale.size(foot_mm)
        found[f"{name}_range"] = scale.size_range(foot_mm)
    return found


def nearest_half(size: float) -> float:
    """A size as shops mark it, to the nearest half; a size midway goes up, as the roomier shoe."""
    return half_up(size * 2) / 2


_SYSTEMS = {
    **dict.fromkeys(("mondopoint", "mondo"), "mondopoint"),
    **dict.fromkeys(("eu", "eur", "european"), "eu"),
    **dict.fromkeys(("uk", "british", "english"), "uk"),
    **dict.fromkeys(("us", "usa", "american"), "us"),
    **dict.fromkeys(("japan", "jp", "japanese", "jis"), "japan"),
}
_PEOPLE = {
    **dict.fromkeys(("men", "mens", "man", "man's", "men's", "m"), "men"),
    **dict.fromkeys(("women", "womens", "woman", "woman's", "women's", "w", "ladies"), "women"),
    **dict.fromkeys(("child", "children", "children's", "child's", "kids", "kid's"), "child"),
}
_HINT = "a scale and a size, such as US men 10, US women 8 1/2, UK 9, EU 42.5, Japan 27 or mondopoint 270"


def read_size(text: str) -> FootSize:
    """Foot length from a typed size such as "US men 10" or "EU 42.5", with the range rival conventions give.

    A width letter may stand behind the number of an adult US or UK size. Raises CraftError.
    """
    if len(text) > 80:
        raise CraftError(f"The shoe size is {len(text)} characters long: type {_HINT}.")
    lowered = _DOUBLED.sub(lambda found: "e" * int(found[1]), text.replace("’", "'").lower())
    words = re.findall(r"[a-z][a-z']*", lowered)
    number = " ".join(re.sub(r"[a-z][a-z']*", " ", lowered).split())
    system = {_SYSTEMS[word] for word in words if word in _SYSTEMS}
    person = {_PEOPLE[word] for word in words if word in _PEOPLE}
    named = any(word in _PEOPLE and len(word) > 1 for word in words)  # then M and W are medium and wide
    strange = [word for word in words if word not in (*_SYSTEMS, *_PEOPLE, "size") or (named and len(word) == 1)]
    width = ""
    if len(system) == 1 and len(strange) == 1 and len(strange[0]) <= _LONGEST_WIDTH:
        width = strange.pop().upper()
    if strange or len(system) != 1 or len(person) > 1:
        raise CraftError(f"The shoe size {quoted(text)} names no scale known here: type {_HINT}.")
    scale = _scale(system.pop(), person.pop() if person else "", text)
    if scale == "mondopoint":
        number = number.split("/")[0]  # 270/110 marks length and width; the length is what counts here
    size = float(read_fraction(number, what="shoe size", least=0, most=1000))
    return _with_width(from_size(scale, size), width, text)


def _with_width(size: FootSize, width: str, text: str) -> FootSize:
    if not width:
        return size
    if size.scale not in ("uk", "us_men", "us_women"):
        scale = SCALES[size.scale].words if size.scale in SCALES else "Mondopoint"
        raise CraftError(
            f"The shoe size {quoted(text)} has the width {quoted(width)} after it, and no widths are known for "
            f"{scale}: type scale and number alone."
        )
    system: Literal["US", "UK"] = "UK" if size.scale == "uk" else "US"
    width_shift_mm(width, "men" if size.scale == "us_men" else "women", system)
    return replace(size, width=f"UK {width}" if system == "UK" else width)


def _scale(system: str, person: str, text: str) -> str:
    if system == "us":
        if not person:
            raise CraftError(f"The shoe size {quoted(text)} needs US men, US women or US child before the number.")
        return f"us_{person}"
    return "uk_child" if (system, person) == ("uk", "child") else system


def from_size(scale: str, size: float) -> FootSize:
    """Foot length from a size on a named scale: "mondopoint" or one of SCALES. Raises CraftError."""
    if scale == "mondopoint":
        foot, span, words = size, (size, size), "Mondopoint"
    elif scale in SCALES:
        foot, span, words = SCALES[scale].foot(size), SCALES[scale].foot_range(size), SCALES[scale].words
    else:
        raise CraftError(f"There is no shoe-size scale called {quoted(scale)}: type {_HINT}.")
    if scale.endswith("child") and not 0 <= size <= LARGEST_CHILD_SIZE:
        raise CraftError(f"Children's sizes run from 0 to 13 1/2, so {size:g} is not one of them.")
    if not SHORTEST_FOOT_MM <= foot <= LONGEST_FOOT_MM:
        raise CraftError(f"{words} {size:g} would be a foot of {foot:.0f} mm: type {_HINT}.")
    told = f"{words} {size:g} is a foot of about {foot:.0f} mm"
    if round(span[0]) != round(span[1]):
        told += f" ({span[0]:.0f} to {span[1]:.0f} mm, since makers' conventions differ)"
    return FootSize(scale, size, foot, span, f"{told}; a foot measured on the floor is better.")


def _check_foot(foot_mm: float) -> None:
    if not SHORTEST_FOOT_MM <= foot_mm <= LONGEST_FOOT_MM:
        raise CraftError(
            f"A foot is from {SHORTEST_FOOT_MM / 10:.0f} to {LONGEST_FOOT_MM / 10:.0f} cm long: "
            f"measure heel to longest toe on the floor, standing."
        )
