"""What the papers for developers name is there: folders, modules, and what is said to stand in them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.test_arrows import PACKAGE

ROOT = Path(__file__).parents[1]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CRAFT = (PACKAGE / "craft" / "README.md").read_text(encoding="utf-8")
FILES = ("py", "md", "toml", "tcss", "json", "svg", "sql", "txt")
WRITTEN_LATER = {"shelf.json", "trouble.txt"}  # by the program, in folders of its own
ROOMS = re.compile(r"## The rooms\n+```\n(.*?)^```", re.MULTILINE | re.DOTALL)
MODULES = {path.stem: path for path in PACKAGE.rglob("*.py")}


def is_there(path: str) -> bool:
    """Whether ``path`` is a file or folder of the checkout or the package; one without a folder, anywhere in it."""
    if "/" in path:
        return any((root / path).exists() for root in (ROOT, PACKAGE))
    return (ROOT / path).exists() or any(PACKAGE.rglob(path))


def paths(text: str) -> list[str]:
    """Every file or folder ``text`` names in code marks or in a block of code: with a slash, or a file's ending.

    The picture of the rooms names folders within folders, and is read by a test of its own.
    """
    text = ROOMS.sub("", text)
    fenced = re.findall(r"^```\w*\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    marked = re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL))
    found = {
        word.strip("'\"(),;:")
        for piece in (*fenced, *marked)
        for word in piece.split()
        if re.fullmatch(r"[\w./-]+", word.strip("'\"(),;:"))
    }
    ending = re.compile(rf"[\w./-]*\w\.({'|'.join(FILES)})|[\w.-]+(/[\w.-]+)*/|[\w.-]+(/[\w.-]+)+")
    return sorted(word for word in found if ending.fullmatch(word) and not word.startswith(".venv"))


def names(text: str) -> list[str]:
    """Every `module.name` in code marks whose first word is a module of ours."""
    found = re.findall(r"`([a-z_]+)\.([A-Za-z_]+)(?:\(\))?`", text)
    return sorted({f"{module}.{name}" for module, name in found if module in MODULES and name not in FILES})


@pytest.mark.parametrize("path", sorted({*paths(DEVELOPERS), *paths(CRAFT)} - WRITTEN_LATER))
def test_a_file_or_folder_that_is_named_is_there(path: str) -> None:
    assert is_there(path)


@pytest.mark.parametrize("name", sorted({*names(DEVELOPERS), *names(CRAFT)}))
def test_what_is_said_to_stand_in_a_module_does(name: str) -> None:
    module, _, what = name.partition(".")
    same = [path for path in PACKAGE.rglob(f"{module}.py") if re.search(rf"\b{what}\b", path.read_text("utf-8"))]
    assert same, f"no {what} in {module}.py"


def test_the_picture_of_the_rooms_shows_every_folder() -> None:
    block = ROOMS.search(DEVELOPERS)
    assert block
    drawn = set(re.findall(r"([a-z_]+)/", block[1]))
    folders = {path.parent.name for path in PACKAGE.rglob("__init__.py")} - {PACKAGE.name}
    assert drawn == folders


def test_every_module_of_the_craft_has_its_line() -> None:
    first = "\n".join(line.split("|")[1] for line in CRAFT.splitlines() if line.startswith("|"))
    said = set(re.findall(r"`(\w+)`", first)) | {"sources", "__init__"}
    assert said == {path.stem for path in (PACKAGE / "craft").glob("*.py")}


def test_the_check_itself_sees_what_is_not_there() -> None:
    text = "```\n bench/  attic/\n```\nSee `craft/nowhere.py` and `rules.nothing`, `session/fold.py`.\n"
    assert [path for path in paths(text) if not is_there(path)] == ["attic/", "craft/nowhere.py"]
    assert names(text) == ["rules.nothing"]
