"""Themes from TOML: the shipped ones and the knitter's own. One that cannot be used says why and is left out."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any

from textual.color import Color, ColorParseError
from textual.theme import Theme

from hosewright.places import config_folder, shipped_folder
from hosewright.settings.toml import at_line, meant, parsed, shown

if TYPE_CHECKING:
    from pathlib import Path

COLOURS = (
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
_NAMES = (*COLOURS, "dark", "variables")
_STYLES = frozenset({"bold", "b", "italic", "i", "underline", "u", "reverse", "r", "strike", "s", "dim", "d", "none"})
_SHARE = re.compile(r"(100|\d{1,2})(\.\d+)?%")


class ThemeError(ValueError):
    """A theme file that cannot be used. ``problems``: a sentence each, with the file and, where known, the line."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def read_theme(path: Path) -> Theme:
    """The theme in a file, named like the file. Raises ThemeError with everything that is wrong."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        typed = parsed(text)
    except (OSError, ValueError) as error:
        raise ThemeError([f"The theme {path} cannot be read: {error}."]) from error
    problems = _problems(path, text, typed)
    if problems:
        raise ThemeError(problems)
    theme = Theme(
        path.stem,
        dark=typed.get("dark", True),
        variables=typed.get("variables", {}),
        **{name: typed[name] for name in COLOURS if name in typed},
    )
    try:
        theme.to_color_system().generate()
    except Exception as error:  # the last guard: Textual raises many kinds, and would raise them while drawing
        raise ThemeError([f"The theme {path} has colours that do not go together: {error}."]) from error
    return theme


def _problems(path: Path, text: str, typed: dict[str, Any]) -> list[str]:
    found = [
        f"{at_line(path, text, name)}: {name} is nothing a theme has{meant(name, _NAMES) or '.'}"
        for name in typed
        if name not in _NAMES
    ]
    if "primary" not in typed:
        found.append(f"{path}: the theme has no primary colour.")
    if not isinstance(typed.get("dark", True), bool):
        found.append(f"{at_line(path, text, 'dark')}: dark is true or false, not {shown(typed['dark'])}.")
    for name in COLOURS:
        if name in typed and not _is_colour(typed[name]):
            found.append(
                f"{at_line(path, text, name)}: {name} = {shown(typed[name])} is not a colour, such as #e0b565."
            )
    variables = typed.get("variables", {})
    if not isinstance(variables, dict):
        return [*found, f"{at_line(path, text, 'variables')}: variables is a table, [variables]."]
    for name, value in variables.items():
        where = at_line(path, text, name, "variables")
        if name not in _variables():
            found.append(f"{where}: {name} is not a variable of a theme{meant(name, _variables()) or '.'}")
        elif name.endswith("-style") or "-style-" in name:
            if not _is_style(value):
                found.append(f"{where}: {name} = {shown(value)} is not a style, such as bold, underline or none.")
        elif not _is_colour(value, shared=True):
            found.append(f"{where}: {name} = {shown(value)} is not a colour, such as #e0b565 or #e0b565 60%.")
    return found


@cache
def _variables() -> frozenset[str]:
    """What Textual's style sheets know by name, besides the colours of a theme."""
    return frozenset(Theme("any", primary="#808080").to_color_system().generate()) - set(COLOURS)


def _is_colour(value: object, *, shared: bool = False) -> bool:
    """Whether it can be painted; ``shared``: "auto" and a share such as "60%" behind the colour may stand too."""
    if not isinstance(value, str):
        return False
    colour, _, share = value.strip().partition(" ") if shared else (value, "", "")
    if share and not _SHARE.fullmatch(share):
        return False
    if shared and colour == "auto":
        return True
    try:
        # The terminal's own colours are unknown here, so nothing could say whether they can be read.
        return Color.parse(colour).ansi is None
    except ColorParseError:
        return False


def _is_style(value: object) -> bool:
    return isinstance(value, str) and bool(value) and all(word in _STYLES for word in value.split() if word != "not")


def theme_named(name: str) -> Theme | None:
    """The theme of that name, the knitter's own before the shipped one; None when its file cannot be used."""
    for folder in (config_folder() / "themes", shipped_folder("themes")):
        path = next((p for p in folder.glob("*.toml") if p.stem == name), None)
        if path is not None:
            try:
                return read_theme(path)
            except ThemeError:
                return None
    return None


def all_themes() -> tuple[list[Theme], list[str]]:
    """Every usable theme, the knitter's own last, and why any other could not be used."""
    themes, troubles = [], []
    folders = [shipped_folder("themes"), config_folder() / "themes"]
    for path in (p for folder in folders if folder.is_dir() for p in sorted(folder.glob("*.toml"))):
        try:
            themes.append(read_theme(path))
        except ThemeError as error:
            troubles += error.problems
    return themes, troubles
