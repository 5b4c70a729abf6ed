"""Reading the settings. A file without a fault is read by plain checks; only one with a fault needs the full ones."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from hosewright.settings.table import (
    CHOICES,
    LIMITS,
    MOST_COMMAND,
    MOST_COUNT_KEYS,
    MOST_KEY,
    MOST_MONEY,
    MOST_TAPE_MM,
    MOST_THEME,
    USUAL,
    Settings,
)

if TYPE_CHECKING:
    from pathlib import Path

MOST_PLAIN_BYTES = 100_000


def load(path: Path) -> tuple[Settings, list[str]]:
    """The settings in ``path`` and, when they could not all be used, why; what is wrong keeps its default."""
    try:
        with path.open("rb") as file:
            start = file.read(MOST_PLAIN_BYTES + 1)
    except FileNotFoundError:
        return USUAL, []
    except OSError as error:
        return USUAL, [f"The settings in {path} cannot be read ({error}); the usual ones are used."]
    settings = plainly(start) if len(start) <= MOST_PLAIN_BYTES else None
    if settings is not None:
        return settings, []
    from hosewright.settings.file import load_checked

    return load_checked(path)


def plainly(text: bytes) -> Settings | None:
    """The settings in a file without a fault; None when anything in it needs a closer look."""
    try:
        typed = tomllib.loads(text.decode("utf-8"))
    except (ValueError, RecursionError):
        return None
    if not all(_fits(name, value) for name, value in typed.items()):
        return None
    if "count_keys" in typed:
        typed["count_keys"] = tuple(typed["count_keys"])
    return Settings(**typed)


def _fits(name: str, value: Any) -> bool:
    if name in CHOICES:
        return value in CHOICES[name]
    if name in LIMITS:
        return type(value) is int and LIMITS[name][0] <= value <= LIMITS[name][1]
    match name:
        case "tape_error_mm":
            return type(value) in (int, float) and 0 < value <= MOST_TAPE_MM
        case "bell" | "step_by_step":
            return type(value) is bool
        case "theme":
            return isinstance(value, str) and 1 <= len(value) <= MOST_THEME
        case "money":
            return isinstance(value, str) and len(value) <= MOST_MONEY and value.isprintable()
        case "count_keys":
            return isinstance(value, list) and 1 <= len(value) <= MOST_COUNT_KEYS and all(map(_is_key, value))
        case "keys":
            commands = isinstance(value, dict) and all(len(command) <= MOST_COMMAND for command in value)
            return commands and all(map(_is_key, value.values()))
    return False


def _is_key(value: Any) -> bool:
    return isinstance(value, str) and 1 <= len(value) <= MOST_KEY
