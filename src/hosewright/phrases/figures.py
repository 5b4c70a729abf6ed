"""Numbers with their errors, lengths, masses and money, as the prints and the command line write them."""

from __future__ import annotations

import math
import re

from hosewright.craft import CraftError
from hosewright.craft.stock import MG_PER_G
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, show_mass, show_number

MOST_MONEY = 1_000_000
_AMOUNT = re.compile(r"([0-9]{1,7})(?:[.,]([0-9]{1,2}))?")
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


def length_plus_minus(mm: float, error_mm: float, unit: str) -> str:
    """A length in mm with its error, in ``unit``: "4.53 ± 0.02 in"."""
    per = PER_UNIT_MM[unit]
    return f"{plus_minus(mm / per, error_mm / per)} {unit}"


def error_words(error_mm: float, unit: str) -> str:
    """An error alone, in the ``unit`` of the length it belongs to: "± 0.08 in"."""
    return f"± {length_plus_minus(0.0, error_mm, unit).rpartition('± ')[2]}"


def amount_of_mg(mg: int, unit: str) -> str:
    """A number of grams, ounces and so on without its unit: "38.5", "-3"."""
    text = show_mass(mg / MG_PER_G, unit).split(" ")[0]
    return text.removeprefix("-") if not float(text) else text


def mass_of_mg(mg: int, unit: str) -> str:
    """The same with its unit."""
    return f"{amount_of_mg(mg, unit)} {unit}"


def read_money(text: str, money: str = "") -> int:
    """Hundredths from a typed amount such as "28" or "28.50"; ``money`` may stand after it. Raises CraftError."""
    plain = text.strip()
    if money and plain.lower().endswith(money.lower()):
        plain = plain[: len(plain) - len(money)].strip()
    found = _AMOUNT.fullmatch(plain)
    if found is None or int(found[1]) >= MOST_MONEY:
        raise CraftError(f"{quoted(text)} is not an amount: type it like 28 or 28.50, below {MOST_MONEY}.")
    return int(found[1]) * 100 + int((found[2] or "").ljust(2, "0"))


def show_money(hundredths: int, money: str = "") -> str:
    """An amount as people write it: "28", "28.50", with ``money`` after it."""
    whole, part = divmod(hundredths, 100)
    said = f"{whole}.{part:02}" if part else str(whole)
    return f"{said} {money}" if money else said
