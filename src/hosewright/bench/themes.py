"""Themes from TOML: the shipped ones and the knitter's own. One that cannot be used says why and is left out."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from textual.theme import Theme

from hosewright.places import config_folder, shipped_folder

if TYPE_CHECKING:
    from pathlib import Path

_COLOURS = (
    "primary",
    "secondary",
    "accent",
    "foreground",
    "background",
    "surface",
    "panel",
    "success",
    "warning",
    "error",
)


class ThemeError(ValueError):
    """A theme file that cannot be used; ``str(error)`` names the file and what is wrong."""


def read_theme(path: Path) -> Theme:
    """The theme in a file, named like the file. Raises ThemeError."""
    try:
        typed: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ThemeError(f"The theme {path} cannot be read: {error}.") from error
    variables = typed.pop("variables", {})
    dark = typed.pop("dark", True)
    unknown = sorted(set(typed) - set(_COLOURS))
    if unknown:
        raise ThemeError(f"The theme {path} has {', '.join(unknown)}, which is no colour of a theme.")
    if "primary" not in typed:
        raise ThemeError(f"The theme {path} has no primary colour.")
    if not isinstance(dark, bool) or not isinstance(variables, dict):
        raise ThemeError(f"The theme {path}: dark is true or false, variables is a table.")
    colours = {name: str(value) for name, value in (typed | variables).items()}
    theme = Theme(
        path.stem,
        dark=dark,
        variables={k: v for k, v in colours.items() if k in variables},
        **{k: v for k, v in colours.items() if k in typed},  # type: ignore[arg-type]  # colours are all strings
    )
    try:
        theme.to_color_system().generate()
    except Exception as error:  # Textual raises many kinds for a colour it cannot parse
        raise ThemeError(f"The theme {path} has a colour that cannot be read: {error}.") from error
    return theme


def all_themes() -> tuple[list[Theme], list[str]]:
    """Every usable theme, the knitter's own last, and why any other could not be used."""
    themes, troubles = [], []
    folders = [shipped_folder("themes"), config_folder() / "themes"]
    for path in (p for folder in folders if folder.is_dir() for p in sorted(folder.glob("*.toml"))):
        try:
            themes.append(read_theme(path))
        except ThemeError as error:
            troubles.append(str(error))
    return themes, troubles
