"""What settings and themes both need of a TOML file: the line a name stands on, and the name that was meant."""

from __future__ import annotations

import re
import tomllib
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

_TABLE = re.compile(r"\s*\[\s*(?P<table>[^\[\]]+?)\s*\]\s*(#.*)?$")
_NAME = re.compile(r"""\s*(?P<name>"[^"]*"|'[^']*'|[A-Za-z0-9_-]+)\s*=""")
_DOTTED = re.compile(r"""\s*(?P<table>[A-Za-z0-9_-]+)\s*\.\s*(?P<name>"[^"]*"|'[^']*'|[A-Za-z0-9_-]+)\s*=""")
MOST_CHARACTERS = 200_000


def parsed(text: str) -> dict[str, Any]:
    """The text as a table. Raises ValueError saying what is wrong and at which line."""
    if len(text) > MOST_CHARACTERS:
        raise ValueError(f"the file has {len(text)} characters, more than {MOST_CHARACTERS}")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise ValueError("brackets are nested too deep") from error


def line_of(text: str, name: str, table: str = "") -> int | None:
    """The line where ``name`` gets its value in ``table`` (the top when empty), counted from 1, or None."""
    inside = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _TABLE.match(line):
            inside = header["table"].strip("\"'")
            if inside == name and not table:
                return number
            continue
        if not inside and table and (dotted := _DOTTED.match(line)):
            if (dotted["table"], dotted["name"].strip("\"'")) == (table, name):
                return number
        elif inside == table and (found := _NAME.match(line)) and found["name"].strip("\"'") == name:
            return number
    return None


def at_line(path: Path, text: str, name: str, table: str = "") -> str:
    """Where a sentence about ``name`` belongs, such as "settings.toml, line 3"."""
    number = line_of(text, name, table)
    return f"{path}, line {number}" if number else str(path)


def meant(name: str, names: Iterable[str]) -> str:
    """A question naming the nearest of ``names``, with a semicolon before it, or nothing."""
    near = get_close_matches(name, list(names), n=1, cutoff=0.6)
    return f"; did you mean {near[0]}?" if near else ""


def shown(value: object) -> str:
    """A value from a file as it may stand in a sentence: short, and on one line."""
    words = repr(value)
    return words if len(words) <= 40 else words[:37] + "..."
