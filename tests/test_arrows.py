"""Arrows point one way: craft <- session <- logbook <- planning, counting, paper <- bench and the command line."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import hosewright

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

PACKAGE = Path(hosewright.__file__).parent
# The rooms from the lowest up; those of one line know nothing of each other. The same stands in pyproject.toml as a
# contract, which also forbids circles; here it is read anew, so that the suite alone tells of a wrong arrow.
ROOMS = (
    {"places", "pages"},
    {"craft"},
    {"phrases"},
    {"session"},
    {"settings", "logbook"},
    {"words", "picture", "aloud"},
    {"planning", "counting", "paper"},
    {"bench"},
    {"verbs"},
    {"cli"},
    {"__main__"},
)
# The one exception: what keys are called is a table of Textual's, which knows nothing of a screen itself.
KEY_NAMES = PACKAGE / "counting" / "key_choice.py"
WITHOUT_A_SCREEN = [room for rooms in ROOMS[1:7] for room in sorted(rooms)]
# Screens say by their types which app they belong to, and only by them: what runs leans one way.
APPS = {"hosewright.bench.app", "hosewright.bench.program"}
OUTSIDE_CRAFT = {"time", "datetime", "os", "pathlib", "sqlite3", "textual", "pydantic", "platformdirs", "random"}
PINTS_CACHE = {"pathlib", "os"}  # `craft/units.py` alone may look for the folder where pint keeps its cache


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imports(path: Path) -> set[str]:
    """Every module a file imports, those inside functions and TYPE_CHECKING too, relative ones made whole."""
    inside = path.relative_to(PACKAGE.parent).with_suffix("").parts[:-1]
    found: set[str] = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(inside[: len(inside) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module or "") if part)
            found |= {module, *(f"{module}.{alias.name}" for alias in node.names)}
    return found


def ours(path: Path) -> set[str]:
    """The parts of this package a file imports: "craft", "bench" and so on."""
    return {name.split(".")[1] for name in imports(path) if name.startswith("hosewright.")}


def modules(part: str) -> list[Path]:
    alone = PACKAGE / f"{part}.py"
    found = [alone] if alone.exists() else sorted((PACKAGE / part).rglob("*.py"))
    assert found, f"{part} has no modules"
    return found


EVERYWHERE = {path.stem for path in PACKAGE.iterdir() if path.is_dir() or path.suffix == ".py"}


def test_every_room_has_its_place() -> None:
    assert {room for rooms in ROOMS for room in rooms} | {"__init__"} == EVERYWHERE - {"__pycache__"}


@pytest.mark.parametrize("room", [room for rooms in ROOMS for room in sorted(rooms)])
def test_nothing_imports_what_stands_above_it_or_beside_it(room: str) -> None:
    place = next(at for at, rooms in enumerate(ROOMS) if room in rooms)
    allowed = {room, "__version__"}.union(*ROOMS[:place])
    for path in modules(room):
        above = (ours(path) & EVERYWHERE) - allowed
        assert not above, f"{path.relative_to(PACKAGE)} imports {', '.join(sorted(above))}"


@pytest.mark.parametrize("part", WITHOUT_A_SCREEN)
def test_only_the_bench_knows_the_screen(part: str) -> None:
    for path in modules(part):
        screen = {name for name in imports(path) if name.split(".")[0] in ("textual", "rich")}
        if path == KEY_NAMES:
            screen = {name for name in screen if not name.startswith("textual.keys")}
        assert not screen, path.name


@pytest.mark.parametrize("path", modules("craft"), ids=lambda path: path.name)
def test_craft_knows_no_clock_no_file_and_no_store(path: Path) -> None:
    allowed = PINTS_CACHE if path.name == "units.py" else set()
    outside = {name.split(".")[0] for name in imports(path)} & (OUTSIDE_CRAFT - allowed)
    assert not outside, f"craft/{path.name} imports {', '.join(sorted(outside))}"
    calls = {
        node.func.id
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not calls & {"open", "print", "input"}, f"craft/{path.name} reads or writes"


@pytest.mark.parametrize("path", modules("session"), ids=lambda path: path.name)
def test_the_engine_knows_no_clock_no_store_and_no_model_library(path: Path) -> None:
    outside = {name.split(".")[0] for name in imports(path)} & OUTSIDE_CRAFT
    assert not outside, f"session/{path.name} imports {', '.join(sorted(outside))}"


def loaded_after(statement: str) -> set[str]:
    """The modules loaded in a fresh interpreter after ``statement``."""
    code = f"import sys; {statement}; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    return set(done.stdout.split())


def every_module(*parts: str) -> str:
    names = [
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")
        for part in parts
        for path in modules(part)
        if path != KEY_NAMES
    ]
    return "import " + ", ".join(names)


def leaning() -> dict[str, dict[str, bool]]:
    """Each module with those of ours it imports anywhere; True where it does so for its types alone."""
    known = {
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
        for path in PACKAGE.rglob("*.py")
    }
    found: dict[str, dict[str, bool]] = {}
    for module, path in known.items():
        tree = tree_of(path)
        for_types = {
            id(node)
            for branch in ast.walk(tree)
            if isinstance(branch, ast.If) and ast.unparse(branch.test) == "TYPE_CHECKING"
            for statement in branch.body
            for node in ast.walk(statement)
        }
        found[module] = {}
        for node in ast.walk(tree):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [f"{node.module}.{alias.name}" for alias in node.names]
                names = [name if name in known else str(node.module) for name in names]
            for name in (set(names) & set(known)) - {module}:
                found[module][name] = found[module].get(name, True) and id(node) in for_types
    return found


def circles(graph: Mapping[str, Collection[str]]) -> list[str]:
    """One circle of ``graph`` in words, or nothing."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return [" <- ".join(error.args[1])]
    return []


def test_nothing_leans_in_a_circle_but_screens_on_the_type_of_their_app() -> None:
    graph = leaning()
    assert circles({module: {to for to, typed in lean.items() if not typed} for module, lean in graph.items()}) == []
    assert (
        circles(
            {module: {to for to, typed in lean.items() if not (typed and to in APPS)} for module, lean in graph.items()}
        )
        == []
    )


def test_the_check_itself_sees_a_circle() -> None:
    assert circles({"craft": {"session"}, "session": {"phrases"}, "phrases": {"session"}}) != []


def test_the_contract_has_the_same_rooms() -> None:
    project = tomllib.loads((PACKAGE.parents[1] / "pyproject.toml").read_text(encoding="utf-8"))
    rooms, siblings = project["tool"]["importlinter"]["contracts"]
    said = [set(line.replace(" ", "").split("|")) for line in reversed(rooms["layers"])]
    assert (rooms["type"], rooms["exhaustive"], siblings["type"]) == ("layers", True, "acyclic_siblings")
    assert said == list(ROOMS)
    assert not {"ignore_imports", "skip_descendants"} & {*rooms, *siblings}


def test_loading_what_bench_and_command_line_share_loads_no_screen() -> None:
    loaded = loaded_after(every_module(*WITHOUT_A_SCREEN))
    assert {"hosewright.craft.gauge", "hosewright.session.fold", "hosewright.logbook.book"} <= loaded
    assert "textual" not in loaded
    assert "rich" not in loaded


def test_loading_the_engine_loads_neither_pydantic_nor_pint_nor_sqlite() -> None:
    loaded = loaded_after(every_module("craft", "session"))
    assert not loaded & {"pydantic", "pint", "sqlite3", "platformdirs"}


def test_the_check_itself_sees_every_way_to_import(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    module = tmp_path / "hosewright" / "craft" / "sly.py"
    module.parent.mkdir(parents=True)
    module.write_text(
        "from typing import TYPE_CHECKING\n"
        "if TYPE_CHECKING:\n    import hosewright.bench.app\n"
        "def late():\n    from hosewright import cli\n    from ..logbook import book\n    from .. import paper\n"
    )
    monkeypatch.setattr(f"{__name__}.PACKAGE", tmp_path / "hosewright")
    assert {"bench", "cli", "logbook", "paper"} <= ours(module)
