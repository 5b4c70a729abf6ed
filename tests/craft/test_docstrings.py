"""A reader learns from a function's own words that it can refuse what it is given."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from hosewright import craft

MODULES = sorted(Path(craft.__file__).parent.glob("*.py"))


def refuses(name: str, inside: dict[str, ast.FunctionDef], seen: frozenset[str] = frozenset()) -> bool:
    """Whether a function of a module raises CraftError, itself or by another of the same module."""
    for node in ast.walk(inside[name]):
        if isinstance(node, ast.Raise) and node.exc is not None and "CraftError" in ast.unparse(node.exc):
            return True
        called = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
        if called in inside and called not in seen | {name} and refuses(called, inside, seen | {name}):
            return True
    return False


def silent(text: str) -> list[str]:
    """The public functions of a module that can refuse and do not say so."""
    top = {node.name: node for node in ast.parse(text).body if isinstance(node, ast.FunctionDef)}
    public = [name for name in top if not name.startswith("_") and refuses(name, top)]
    return [name for name in public if "CraftError" not in (ast.get_docstring(top[name]) or "")]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_every_function_that_can_refuse_says_so(path: Path) -> None:
    assert silent(path.read_text("utf-8")) == []


def test_the_check_sees_through_a_helper() -> None:
    assert silent('def read(t):\n    """Read."""\n    _no(t)\ndef _no(t):\n    raise CraftError("no")\n') == ["read"]
