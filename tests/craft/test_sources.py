"""Every constant has a source, every source a constant, and the folder keeps its own rules."""

import ast
import importlib
import re
import subprocess
import sys
from dataclasses import is_dataclass
from pathlib import Path

import pytest

from hosewright import craft
from hosewright.craft.sources import SOURCES

FOLDER = Path(craft.__file__).parent
MODULES = sorted(path for path in FOLDER.glob("*.py") if path.stem != "sources")


def numeric(value: object) -> bool:
    if isinstance(value, dict):
        return any(numeric(part) for part in value.values())
    if isinstance(value, tuple):
        return any(numeric(part) for part in value)
    return is_dataclass(value) or (isinstance(value, (int, float)) and not isinstance(value, bool))


def constants() -> set[str]:
    found = set()
    for path in MODULES:
        name_of = "craft" if path.stem == "__init__" else path.stem
        module = importlib.import_module(f"hosewright.craft.{path.stem}".removesuffix(".__init__"))
        for node in ast.parse(path.read_text("utf-8")).body:
            targets = (
                node.targets
                if isinstance(node, ast.Assign)
                else [node.target]
                if isinstance(node, ast.AnnAssign)
                else []
            )
            for target in targets:
                name = target.id if isinstance(target, ast.Name) else "_"
                if name.isupper() and not name.startswith("_") and numeric(getattr(module, name)):
                    found.add(f"{name_of}.{name}")
    return found


def test_every_constant_names_its_source_and_every_source_a_constant() -> None:
    assert constants() == set(SOURCES)
    assert len(SOURCES) > 60
    for source in SOURCES.values():
        assert source.text.endswith(".")


def test_a_source_is_a_document_or_says_that_it_is_none() -> None:
    nameless = re.compile(
        r"test files?\b|secondary|slide deck|encyclop|(course |\b)text ?book|course text|blog|web ?page|shop's page|"
        r"public (repo|code|file)",
        re.I,
    )
    said = {name: source.text for name, source in SOURCES.items()}
    said |= {path.name: path.read_text("utf-8") for path in FOLDER.glob("*") if path.suffix in (".py", ".md")}
    assert {name: found[0] for name, text in said.items() if (found := nameless.search(text))} == {}
    for name, source in SOURCES.items():
        if source.confidence in ("memory", "practice"):
            assert re.search("from memory|[Cc]ommon practice, no source", source.text), name
        if source.confidence == "ours":
            assert re.search(r"\b([Oo]urs?|limit)\b", source.text), name


def test_the_trade_and_our_assumptions_are_not_passed_off_as_read() -> None:
    assert SOURCES["sock.LENGTH_EASE_MM"].text.startswith("Common practice, no source")
    assert SOURCES["response.PRIOR_SHARE"].confidence == "ours"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_public_functions_say_what_they_do(path: Path) -> None:
    tree = ast.parse(path.read_text("utf-8"))
    assert ast.get_docstring(tree)
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            assert ast.get_docstring(node), node.name


def test_the_arithmetic_knows_no_screen_no_store_and_no_clock() -> None:
    code = (
        "import sys, importlib; "
        f"[importlib.import_module('hosewright.craft.' + m) for m in {[path.stem for path in MODULES]!r}]; "
        "banned = {'textual', 'pydantic', 'sqlite3', 'pint', 'hosewright.session', 'hosewright.logbook'}; "
        "print(sorted(banned & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not {"time", "datetime", "os", "pathlib", "io", "random"}.intersection(names), path.name
