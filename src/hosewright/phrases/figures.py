"""Numbers with their errors, lengths, masses and money, as the prints and the command line write them."""

from __future__ import annotations

import re

from hosewright.craft import CraftError
from hosewright.craft.stock import MG_PER_G
from hosewright.craft.units import length_plus_minus, quoted, show_mass

MOST_MONEY = 1_000_000
_AMOUNT = re.compile(r"([0-9]{1,7})(?:[.,]([0-9]{1,2}))?")


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


def about_mg(mg: int, unit: str) -> str:
    """The same where no tenth of a gram is meant."""
    return show_mass(round(mg / MG_PER_G) if unit == "g" else mg / MG_PER_G, unit)


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
