"""Textual's style sheets, parsed once a process instead of once an app.

Each app under test brings some sixty sheets, the same ones for every app, and each change of theme parses them anew.
What a sheet comes to hangs on its text, its place and the theme's variables alone, so it is kept under these.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.css.stylesheet import Stylesheet

if TYPE_CHECKING:
    import pytest

_PARSED: dict[tuple[tuple[str, str], ...], dict[tuple[Any, ...], Any]] = {}
_begins, _sets = Stylesheet.__init__, Stylesheet.set_variables


def _share(sheet: Stylesheet) -> None:
    sheet._parse_cache = _PARSED.setdefault(tuple(sorted(sheet._variables.items())), {})  # type: ignore[assignment]


def _begin(sheet: Stylesheet, *, variables: dict[str, str] | None = None) -> None:
    _begins(sheet, variables=variables)
    _share(sheet)


def _set_variables(sheet: Stylesheet, variables: dict[str, str]) -> None:
    sheet._parse_cache = {}  # type: ignore[assignment]  # Textual clears it: others share the one it had
    _sets(sheet, variables)
    _share(sheet)


def use(patch: pytest.MonkeyPatch) -> None:
    """Have every style sheet look there first."""
    patch.setattr(Stylesheet, "__init__", _begin)
    patch.setattr(Stylesheet, "set_variables", _set_variables)
