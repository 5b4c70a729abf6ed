"""How a textile may be treated, by the names of the care symbols of ISO 3758, as text.

The symbols themselves are a protected mark and are drawn nowhere here. The list is from memory of ISO 3758:2012;
ISO 3758:2023, which replaced it, was not read. The ids and the words are ours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError
from hosewright.craft.units import quoted

if TYPE_CHECKING:
    from collections.abc import Iterable

Family = Literal["washing", "bleaching", "drying", "ironing", "professional care"]  # in a label's order


@dataclass(frozen=True, slots=True)
class Symbol:
    """A care symbol: its id, its words, its family. Of one ``group`` a label bears one."""

    id: str
    family: Family
    group: str
    words: str


def _washing() -> tuple[Symbol, ...]:
    degrees = {95: ("",), 70: ("",), 60: ("", "mild"), 50: ("", "mild")}
    degrees |= {40: ("", "mild", "very mild"), 30: ("", "mild", "very mild")}
    found = [
        _one("washing", f"wash {most} {how}", f"wash at {most} °C at most ({how or 'normal'} process)")
        for most, ways in degrees.items()
        for how in ways
    ]
    found.append(_one("washing", "wash by hand", "wash by hand (40 °C at most)"))
    return (*found, _one("washing", "do not wash", "do not wash"))


def _drying() -> tuple[Symbol, ...]:
    tumble = (
        _one("drying", "tumble dry", "tumble dry (normal temperature)", "tumble"),
        _one("drying", "tumble dry low", "tumble dry (lower temperature)", "tumble"),
        _one("drying", "do not tumble dry", "do not tumble dry", "tumble"),
    )
    ways = {
        "dry on line": "dry on a line",
        "drip dry on line": "hang dripping wet on a line to dry",
        "dry flat": "dry flat",
        "drip dry flat": "lay flat dripping wet to dry",
    }
    return tumble + tuple(
        _one("drying", f"{name}{shade}", f"{words}{' (in the shade)' if shade else ''}", "natural")
        for name, words in ways.items()
        for shade in ("", " in shade")
    )


def _cleaning() -> tuple[Symbol, ...]:
    dry = {"p": "dry clean with solvents of the letter P", "f": "dry clean with solvents of the letter F"}
    found = [
        _one("professional care", f"dry clean {letter} {how}", f"{words} ({how or 'normal'} process)", "dry")
        for letter, words in dry.items()
        for how in ("", "mild")
    ]
    found.append(_one("professional care", "do not dry clean", "do not dry clean", "dry"))
    found += [
        _one("professional care", f"wet clean {how}", f"professional wet clean ({how or 'normal'} process)", "wet")
        for how in ("", "mild", "very mild")
    ]
    return (*found, _one("professional care", "do not wet clean", "no professional wet cleaning", "wet"))


def _one(family: Family, name: str, words: str, group: str = "") -> Symbol:
    return Symbol(name.strip().replace(" ", "-"), family, group or family, words)


SYMBOLS: tuple[Symbol, ...] = (
    *_washing(),
    _one("bleaching", "any bleach", "any bleach"),
    _one("bleaching", "oxygen bleach only", "oxygen bleach only (no chlorine)"),
    _one("bleaching", "do not bleach", "do not bleach"),
    *_drying(),
    _one("ironing", "iron 200", "iron at 200 °C at most"),
    _one("ironing", "iron 150", "iron at 150 °C at most"),
    _one("ironing", "iron 110", "iron at 110 °C at most (without steam)"),
    _one("ironing", "do not iron", "do not iron"),
    *_cleaning(),
)
_BY_ID = {symbol.id: symbol for symbol in SYMBOLS}
_FILLING = {"at", "a", "by", "on", "the", "in", "of", "c", "°c", "process", "programme", "program", "normal", "most"}
_ENDINGS = ("-very-mild", "-mild", "-in-shade")
_SHARED = {"do", "not", "mild", "very", "in", "shade"}  # words of an id that tell nothing of what it is
_SAME = {"no": ("do", "not"), "don't": ("do", "not"), "dont": ("do", "not"), "gentle": ("mild",), "delicate": ("mild",)}
_SAME |= {"washing": ("wash",), "bleaching": ("bleach",), "drying": ("dry",), "ironing": ("iron",)}


def read_care(text: str) -> tuple[str, ...]:
    """Ids of care symbols from ids or words with commas between: "wash-30-mild, dry flat, do not bleach".

    In the order of a label. Raises CraftError naming what there is, and for two that contradict one another.
    """
    found: dict[str, Symbol] = {}
    for said in re.split(r"[,;\n]", text):
        if not said.strip():
            continue
        symbol = _meant(said)
        other = found.get(symbol.group)
        if other is not None and other is not symbol:
            raise CraftError(f"{other.id} and {symbol.id} contradict one another: keep one of them.")
        found[symbol.group] = symbol
    return tuple(symbol.id for symbol in SYMBOLS if symbol in found.values())


def care_lines(ids: Iterable[str]) -> tuple[tuple[Family, str], ...]:
    """Family and words of each symbol, in the order of a label. Raises CraftError for an id that is none."""
    wanted = list(ids)
    for one in wanted:
        if one not in _BY_ID:
            raise CraftError(f"{quoted(one)} is not a care symbol that is known here.")
    return tuple((symbol.family, symbol.words) for symbol in SYMBOLS if symbol.id in wanted)


def _meant(said: str) -> Symbol:
    words = _plain_words(said)
    for symbol in SYMBOLS:
        if words in (_plain_words(symbol.id), _plain_words(symbol.words)):
            return symbol
    near = [symbol for symbol in SYMBOLS if words & set(symbol.id.split("-")) - _SHARED]
    raise CraftError(f"{quoted(said)} is not a care symbol: type some of {_listed(near or SYMBOLS)}.")


def _listed(symbols: Iterable[Symbol]) -> str:
    """Their ids, those that differ by an ending under one: "wash-40 (-mild, -very-mild)"."""
    found: dict[str, list[str]] = {}
    for symbol in symbols:
        stem = next((symbol.id.removesuffix(end) for end in _ENDINGS if symbol.id.endswith(end)), symbol.id)
        found.setdefault(stem, []).append(symbol.id.removeprefix(stem))
    return ", ".join(f"{stem} ({', '.join(more)})" if (more := ends[1:]) else stem for stem, ends in found.items())


def _plain_words(said: str) -> frozenset[str]:
    """The words that count, in no order: "hand wash" is "wash by hand"."""
    found: set[str] = set()
    for word in re.findall(r"[a-z']+|\d+|°c", said.lower().replace("’", "'")):
        found.update(_SAME.get(word, (word,)))
    return frozenset(found - _FILLING)
