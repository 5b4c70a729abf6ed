"""Reading what people type (lengths, masses, numbers) and showing lengths and masses back.

Inside hosewright every length is in mm and every mass in g; this module is the only edge where other
units exist. Conversions come from `pint`, imported on first use because it is slow to load.
Source of the factors: international yard and pound, 1 in = 25.4 mm and 1 lb = 453.59237 g, exact.
"""

from __future__ import annotations

import math
import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from hosewright.craft import CraftError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pint import UnitRegistry

MM_PER_INCH = 25.4
MM_PER_CM = 10.0
G_PER_OUNCE = 28.349523125
G_PER_POUND = 453.59237
SIXTEENTH_SNAP_MM = 0.2
LONGEST_TYPED = 200
LONGEST_ECHO = 40

_LENGTH_WORDS = {
    **dict.fromkeys(("in", "inch", "inches", '"'), "inch"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "centimeter"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "millimeter"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "meter"),
    **dict.fromkeys(("ft", "foot", "feet", "'"), "foot"),
}
_MASS_WORDS = {
    **dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), "gram"),
    **dict.fromkeys(("kg", "kilo", "kilos", "kilogram", "kilograms"), "kilogram"),
    **dict.fromkeys(("oz", "ounce", "ounces"), "ounce"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "pound"),
}
_LENGTH_HINT = "a number and in, cm or mm, such as 5 7/8 in or 14.8 cm"
_MASS_HINT = "a number and g, kg, oz or lb, such as 12 g or 3.5 oz"

_AMOUNT = re.compile(
    r"(?P<sign>[-+])?\s*(?:"
    r"(?P<whole>[0-9]{1,6})(?:\s+|\s*-\s*)(?P<top>[0-9]{1,4})\s*/\s*(?P<bottom>[0-9]{1,4})"
    r"|(?P<over>[0-9]{1,4})\s*/\s*(?P<under>[0-9]{1,4})"
    r"|(?P<decimal>[0-9]{1,9}(?:[.,][0-9]{0,9})?|[.,][0-9]{1,9})"
    r")\s*(?P<unit>.*)",
    re.DOTALL,
)


def quoted(text: str) -> str:
    """What was typed, safe to repeat in a sentence: at most 40 characters, no control characters."""
    safe = "".join(c if c.isprintable() else "?" for c in text.strip()[: LONGEST_ECHO + 1])
    return f"“{safe}”" if len(safe) <= LONGEST_ECHO else f"“{safe[: LONGEST_ECHO - 1]}…”"


def _plain(text: str) -> str:
    """Lower-case ASCII-like form: typographic quotes, dashes, vulgar fractions and odd spaces made plain."""
    out = []
    for char in text:
        if unicodedata.category(char) == "No" and "⁄" in (spread := unicodedata.normalize("NFKC", char)):
            out.append(f" {spread} ")
        else:
            out.append(unicodedata.normalize("NFKC", char))
    plain = "".join(out)
    for fancy, simple in (("⁄", "/"), ("−", "-"), ("–", "-"), ("—", "-"), ("‘", "'"), ("’", "'"), ("′", "'")):
        plain = plain.replace(fancy, simple)
    plain = plain.replace("“", '"').replace("”", '"').replace("''", '"')
    return re.sub(r"\s*/\s*", "/", " ".join(plain.split())).lower()


def _amount(text: str, *, what: str, hint: str) -> tuple[Fraction, str]:
    """The number and whatever follows it; refuses what is not one clear number."""
    if len(text) > LONGEST_TYPED:
        raise CraftError(f"The {what} is {len(text)} characters long: type {hint}.")
    plain = _plain(text)
    if not plain:
        raise CraftError(f"The {what} is empty: type {hint}.")
    found = _AMOUNT.fullmatch(plain)
    if found is None:
        raise CraftError(f"The {what} {quoted(text)} does not start with a number: type {hint}.")
    try:
        value = _value(found, text, what)
    except ZeroDivisionError:
        raise CraftError(f"The {what} {quoted(text)} has a fraction over zero: type {hint}.") from None
    unit = found["unit"].strip().removesuffix(".")
    if re.match(r"e?[-+]?[0-9]", unit):  # 1e9, or more figures than any number here has
        raise CraftError(f"The {what} {quoted(text)} is not a plain number: type {hint}.")
    return (-value if found["sign"] == "-" else value), unit


def _value(found: re.Match[str], text: str, what: str) -> Fraction:
    if found["whole"] is not None:
        part = Fraction(int(found["top"]), int(found["bottom"]))
        if part >= 1:
            raise CraftError(f"The {what} {quoted(text)} has a fraction of one or more: type it like 5 7/8 or 5.25.")
        return int(found["whole"]) + part
    if found["over"] is not None:
        _refuse_two_in_one(found["over"], found["under"], text, what)
        return Fraction(int(found["over"]), int(found["under"]))
    decimal: str = found["decimal"]
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", decimal):
        raise CraftError(
            f"The {what} {quoted(text)} could be read two ways: "
            f"type {decimal.replace(',', '')} or {decimal.replace(',', '.')}."
        )
    return Fraction(decimal.replace(",", "."))


def _refuse_two_in_one(over: str, under: str, text: str, what: str) -> None:
    """Raise CraftError for “45/8”, which is likely 4 5/8 without its space and could be 5.625."""
    whole, top = over[:-1], over[-1]
    if len(over) > 1 and 0 < int(top) < int(under) and int(whole):
        raise CraftError(
            f"The {what} {quoted(text)} could be read two ways: type {int(whole)} {top}/{under} or "
            f"{show_number(round(int(over) / int(under), 4))}."
        )


def read_length(text: str, unit: str = "in", *, what: str = "length", most_mm: float = 5000.0) -> float:
    """Length in mm from typed text such as ``5 7/8"``, ``14,8 cm`` or ``148 mm``.

    ``unit`` ("in", "cm" or "mm") is meant when only a number is typed. Above zero, up to ``most_mm``.
    Raises CraftError.
    """
    if unit not in ("in", "cm", "mm"):
        raise CraftError(f"A length can be shown in “in”, “cm” or “mm”, not {quoted(unit)}.")
    mm = _converted(text, unit, _LENGTH_WORDS, "millimeter", what, _LENGTH_HINT)
    if not mm <= most_mm:
        raise CraftError(
            f"The {what} {quoted(text)} is longer than {show_length(most_mm, unit)}: type a shorter one, "
            "with in, cm or mm after the number."
        )
    return mm


def read_mass(text: str, unit: str = "g", *, what: str = "mass", most_g: float = 20000.0) -> float:
    """Mass in g from typed text such as ``12 g`` or ``3 1/2 oz``. Above zero, up to ``most_g``. Raises CraftError."""
    if unit not in ("g", "kg", "oz", "lb"):
        raise CraftError(f"A mass can be given in g, kg, oz or lb, not {quoted(unit)}.")
    grams = _converted(text, unit, _MASS_WORDS, "gram", what, _MASS_HINT)
    if not grams <= most_g:
        raise CraftError(
            f"The {what} {quoted(text)} is more than {show_mass(most_g, unit)}: type a smaller one, "
            "with g, kg, oz or lb after the number."
        )
    return grams


def _converted(text: str, unit: str, words: dict[str, str], base: str, what: str, hint: str) -> float:
    value, word = _amount(text, what=what, hint=hint)
    word = word or unit
    if word not in words:
        raise CraftError(f"The {what} {quoted(text)} has a unit that does not fit: type {hint}.")
    if value <= 0:
        raise CraftError(f"The {what} {quoted(text)} must be more than zero: type {hint}.")
    return float(value) * factor(words[word], base)


@lru_cache
def factor(unit: str, base: str) -> float:
    """How many ``base`` units one ``unit`` holds, both by the names pint has for them."""
    return float(_registry().Quantity(1.0, unit).to(base).magnitude)


@lru_cache
def _registry() -> UnitRegistry[Any]:
    import pint  # only when somebody types a unit

    try:
        return pint.UnitRegistry(cache_folder=":auto:")
    except OSError:  # the cache only saves time; a folder that cannot be written must not stop anyone
        return pint.UnitRegistry()


def read_fraction(text: str, *, what: str, least: float, most: float) -> Fraction:
    """A number without a unit, decimal or fraction, from ``least`` to ``most`` inclusive, kept exact.

    Raises CraftError.
    """
    hint = f"a number from {show_number(least)} to {show_number(most)}"
    value, rest = _amount(text, what=what, hint=hint)
    if rest:
        raise CraftError(f"The {what} {quoted(text)} has something after the number: type {hint}.")
    if not least <= value <= most:
        raise CraftError(f"The {what} {quoted(text)} is out of range: type {hint}.")
    return value


def read_number(text: str, *, what: str, least: float, most: float) -> float:
    """A number without a unit, decimal or fraction, from ``least`` to ``most`` inclusive. Raises CraftError."""
    return float(read_fraction(text, what=what, least=least, most=most))


def read_whole(text: str, *, what: str, least: int, most: int) -> int:
    """A whole number from ``least`` to ``most`` inclusive. Raises CraftError."""
    hint = f"a whole number from {least} to {most}"
    value, rest = _amount(text, what=what, hint=hint)
    if rest or value.denominator != 1:
        raise CraftError(f"The {what} {quoted(text)} is not a whole number: type {hint}.")
    if not least <= value <= most:
        raise CraftError(f"The {what} {quoted(text)} is out of range: type {hint}.")
    return int(value)


def show_alike(mms: Iterable[float], unit: str = "in") -> list[str]:
    """Lengths of one sentence, in mm: all with fractions of an inch, or where one has none, all with decimals.

    Raises CraftError.
    """
    mms = tuple(mms)
    said = [show_length(mm, unit) for mm in mms]
    return [f"{mm / MM_PER_INCH:.2f} in" for mm in mms] if unit == "in" and any("." in one for one in said) else said


def show_length(mm: float, unit: str = "in") -> str:
    """A length in mm as people write it: "5 7/8 in" (within 0.2 mm of a sixteenth), "14.8 cm", "148 mm".

    Raises CraftError.
    """
    if not math.isfinite(mm):
        raise CraftError("A length must be a finite number of mm.")
    if unit == "mm":
        return f"{mm:.0f} mm"
    if unit == "cm":
        return f"{mm / MM_PER_CM:.1f} cm"
    if unit != "in":
        raise CraftError(f"A length can be shown in “in”, “cm” or “mm”, not {quoted(unit)}.")
    sign = "-" if mm < 0 else ""
    sixteenths = round(abs(mm) / MM_PER_INCH * 16)
    if abs(abs(mm) - sixteenths * MM_PER_INCH / 16) > SIXTEENTH_SNAP_MM:
        return f"{mm / MM_PER_INCH:.2f} in"
    whole, part = divmod(Fraction(sixteenths, 16), 1)
    if not whole and part.numerator > 9:  # "15/16" could be 1 5/16 without its space, and is refused when it is typed
        return f"{mm / MM_PER_INCH:.2f} in"
    if not part:
        return f"{sign if whole else ''}{whole} in"
    return f"{sign}{f'{whole} ' if whole else ''}{part} in"


def plural(one: str) -> str:
    """What several of something are called: "rows", "passes"."""
    return one + ("es" if one.endswith("s") else "s")


def many(count: int, one: str, several: str = "") -> str:
    """So many of something: "1 row", "1,200 rows", "12 passes"; ``several`` where they are called in their own way."""
    return f"{count:,} {one if count == 1 else several or plural(one)}"


def show_number(value: float, figures: int = 10) -> str:
    """A number to so many figures as people write it, never with an exponent: "100000", "0.00012", "420"."""
    return format(Decimal(f"{value:.{figures}g}"), "f")


def show_mass(g: float, unit: str = "g") -> str:
    """A mass in g as people write it: "11 g", "11.5 g", "3.53 oz", "0.22 lb", "1.25 kg". Raises CraftError."""
    if not math.isfinite(g):
        raise CraftError("A mass must be a finite number of g.")
    if unit == "g":
        return f"{g:.1f}".removesuffix(".0") + " g"
    per = {"kg": 1000.0, "oz": G_PER_OUNCE, "lb": G_PER_POUND}.get(unit)
    if per is None:
        raise CraftError(f"A mass can be given in g, kg, oz or lb, not {quoted(unit)}.")
    return f"{g / per:.2f} {unit}"


# --- decimals: alike in a column, a line, or beside an error -------------------------------------------------------

PER_UNIT_MM = {"in": MM_PER_INCH, "cm": MM_PER_CM, "mm": 1.0}


def plus_minus(value: float, error: float, least_decimals: int = 0) -> str:
    """A number with its standard error, both cut where the error stops meaning anything: 10.30 ± 0.04."""
    if not error:
        return show_number(value, 4)
    figures = 2 if f"{error:e}"[0] == "1" else 1  # a leading 1 is too coarse for one figure
    decimals = max(least_decimals, 0, figures - 1 - math.floor(math.log10(error)))
    return f"{value:.{decimals}f} ± {error:.{decimals}f}"


def length_number(mm: float, unit: str) -> str:
    """A length in mm as a decimal number of ``unit``, alike in a whole column: "10.67", "27.1", "271"."""
    return f"{mm / PER_UNIT_MM[unit]:.{ {'in': 2, 'cm': 1, 'mm': 0}[unit] }f}"


def decimal_length(mm: float, unit: str) -> str:
    """A length in mm as ``length_number`` has it, with its unit: for several lengths in one line or sentence."""
    return f"{length_number(mm, unit)} {unit}"


def length_plus_minus(mm: float, error_mm: float, unit: str) -> str:
    """A length in mm with its error, in ``unit``: "4.53 ± 0.02 in"; as ``show_length`` where that is 0.

    Raises CraftError.
    """
    if not error_mm:
        return show_length(mm, unit)
    per = PER_UNIT_MM[unit]
    return f"{plus_minus(mm / per, error_mm / per)} {unit}"
