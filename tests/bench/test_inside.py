"""Names of Textual that are not public stand in one module of the bench, and hold for one Textual."""

from __future__ import annotations

import ast
import tomllib
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import hosewright
import hosewright.bench
from hosewright.bench.app import Bench
from hosewright.bench.inside import HOLDS_FOR
from hosewright.settings.table import Settings

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

ROOT = Path(hosewright.__file__).parent
BENCH = Path(hosewright.bench.__file__).parent
INSIDE = BENCH / "inside.py"
OF_THE_BENCH = [path for path in sorted(BENCH.rglob("*.py")) if path != INSIDE]


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def is_private(name: str) -> bool:
    return name.startswith("_") and not name.endswith("__")


def made_by_us(tree: ast.AST) -> set[str]:
    """The private names a module gives to something itself."""
    made: set[str] = set()
    for node in ast.walk(tree):
        match node:
            case ast.FunctionDef() | ast.AsyncFunctionDef() | ast.ClassDef():
                made.add(node.name)
            case ast.Name(ctx=ast.Store()):
                made.add(node.id)
            case ast.Attribute(ctx=ast.Store()):
                made.add(node.attr)
    return made


def used(tree: ast.AST) -> set[str]:
    found = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute) and is_private(node.attr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("textual"):
            found |= {part for part in (node.module or "").split(".") if is_private(part)}
            found |= {alias.name for alias in node.names if is_private(alias.name)}
    return found


@cache
def ours() -> set[str]:
    return set().union(*(made_by_us(parsed(path)) for path in ROOT.rglob("*.py") if path != INSIDE))


@pytest.mark.parametrize("path", OF_THE_BENCH, ids=lambda path: path.stem)
def test_only_one_module_reaches_into_textual(path: Path) -> None:
    assert used(parsed(path)) - ours() - {"_exit"} == set()  # os._exit
    assert not methods(parsed(path)) & textuals_own(), "it would take the place of one of Textual's"


def methods(tree: ast.AST) -> set[str]:
    classes = [node for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    return {item.name for node in classes for item in node.body if isinstance(item, ast.FunctionDef)}


@cache
def textuals_own() -> set[str]:
    """The private names that the classes the bench stands on use themselves."""
    from textual.app import App
    from textual.screen import Screen
    from textual.widgets import Static

    known: set[str] = set()
    for cls in (App, Screen, Static):
        known |= {name for base in cls.__mro__ for name in vars(base) if is_private(name)}
    return {name for name in known if not name.startswith("_abc")}


def test_they_hold_for_the_textual_that_is_asked_for() -> None:
    project = tomllib.loads((ROOT.parents[1] / "pyproject.toml").read_text(encoding="utf-8"))
    major, minor = map(int, HOLDS_FOR.split("."))
    assert f"textual>={HOLDS_FOR},<{major}.{minor + 1}" in project["project"]["dependencies"]
    assert version("textual").startswith(f"{HOLDS_FOR}.")


def test_the_names_are_there() -> None:
    from textual.app import App
    from textual.drivers.linux_driver import LinuxDriver
    from textual.screen import Screen

    for name in sorted(used(parsed(INSIDE)) | {name for name in made_by_us(parsed(INSIDE)) if is_private(name)}):
        source = "".join(path.read_text(encoding="utf-8") for path in _sources(App, Screen, LinuxDriver))
        assert name in source, name


def _sources(*classes: type) -> set[Path]:
    import inspect

    return {
        Path(inspect.getfile(base)) for cls in classes for base in cls.__mro__ if base.__module__.startswith("textual")
    } | {Path(inspect.getfile(classes[0])).with_name("widgets") / "__init__.py"}


@pytest.mark.parametrize("over", [("ctrl+p",), ("l",)], ids=["palette", "a list"])
async def test_a_screen_that_changes_under_another_is_painted_once(over: tuple[str, ...], practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press(*over)
        await pilot.pause(0.5)
        under, painted = app.screen_stack[0], 0

        def counted(*_: object) -> None:
            nonlocal painted
            painted += 1

        app._display = counted  # type: ignore[method-assign,assignment]
        under.refresh()
        for _ in range(20):
            under.call_later(lambda: None)  # what it does behind, piece by piece
            await pilot.pause(0.05)
        assert painted <= 5, "itself once, and a cursor that blinks: not at each piece"
