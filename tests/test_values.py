"""What is passed from room to room cannot be changed on the way."""

from __future__ import annotations

import pkgutil
from dataclasses import is_dataclass
from importlib import import_module

import pytest

# What is built up step by step is changed where it is built, and is handed on for reading.
BUILT_UP = {
    "craft": set(),
    "session": {"State", "Paces", "Pace", "_Walk", "_Evidence", "CountPasses"},  # the last keeps its turning once made
    "logbook.file": {"OpenFile"},
}


@pytest.mark.parametrize("room", BUILT_UP)
def test_values_stay_as_they_were_made(room: str) -> None:
    """No attribute of a data class can be set anew, and none that it never declared can be added."""
    package = import_module(f"hosewright.{room}")
    names = [
        package.__name__,
        *(found.name for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")),
    ]
    made = {
        value
        for name in names
        for value in vars(import_module(name)).values()
        if isinstance(value, type) and is_dataclass(value) and value.__module__ == name
    }
    assert made
    loose = {one.__name__ for one in made if not one.__dataclass_params__.frozen or "__dict__" in dir(one)}  # type: ignore[attr-defined]
    assert loose == BUILT_UP[room]
