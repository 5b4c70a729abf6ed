"""Reading the settings. A file without a fault is read by the table alone; only one with a fault needs the model."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.settings.table import TABLE, USUAL, Settings, fits
from hosewright.settings.toml import parsed

if TYPE_CHECKING:
    from pathlib import Path


def load(path: Path) -> tuple[Settings, list[str]]:
    """The settings in ``path`` and, when they could not all be used, why; what is wrong keeps its default."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return USUAL, []
    except (OSError, UnicodeDecodeError) as error:
        return USUAL, [f"The settings in {path} cannot be read ({error}); the usual ones are used."]
    try:
        typed = parsed(text)
    except ValueError as error:
        return USUAL, [f"The settings in {path} are not TOML: {error}. The usual ones are used."]
    if (settings := fitting(typed)) is not None:
        return settings, []
    from hosewright.settings.file import checked  # pydantic, which costs a third of a bare first frame

    return checked(path, text, typed)


def fitting(typed: dict[str, Any]) -> Settings | None:
    """The settings, where all of ``typed`` fits; None when anything in it needs a closer look."""
    if not all(name in TABLE and fits(TABLE[name].kind, value) for name, value in typed.items()):
        return None
    said: dict[str, Any] = {name: tuple(value) if isinstance(value, list) else value for name, value in typed.items()}
    return Settings(**said)
