"""Each package that the program and its tests stand on is at work, seen in what happens.

pint has its test in ``tests/craft/test_units.py``: nothing else says how large a typed unit is.
"""

from __future__ import annotations

import asyncio
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs
import pytest
import tomlkit
from pydantic import BaseModel, ValidationError
from textual.app import App
from textual.widgets import Input

from hosewright import places
from hosewright.bench.app import Bench
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import SHELF
from hosewright.logbook.travel.session_files import FiledEntry
from hosewright.settings.file import SettingsModel
from hosewright.settings.table import TABLE, Settings
from tests.bench.stage import new_book
from tests.helpers import machine

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).parents[1]
RUNS_ON = {"textual", "pydantic", "platformdirs", "pint"}
TESTED_WITH = {"pytest", "pytest-asyncio"}


def test_they_are_asked_for() -> None:
    project: Any = tomlkit.parse((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    def names(lines: list[str]) -> set[str]:
        return {str(line).partition(">")[0].partition("=")[0] for line in lines}

    assert names(project["dependencies"]) >= RUNS_ON
    assert names(project["optional-dependencies"]["test"]) >= TESTED_WITH


async def test_textual_draws_the_bench_and_brings_its_keys(tmp_path: Path) -> None:
    with closing(new_book(tmp_path)) as book:
        app = Bench(book, Settings())
        assert isinstance(app, App)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("e")
            await pilot.pause()
            assert app.screen.query(Input), "the settings are typed on Textual's own lines"
            await pilot.press("escape")
            await pilot.pause()
            assert not app.screen.query(Input)


def test_pydantic_models_are_what_is_kept_and_what_files_hold() -> None:
    kept = [*SHELF.values(), SessionRecord, FiledEntry, SettingsModel]
    assert all(issubclass(model, BaseModel) for model in kept)
    whole = machine().model_dump()
    with pytest.raises(ValidationError) as refused:
        type(machine()).model_validate(whole | {"thread_pitch_mm": "wide"})
    assert refused.value.errors()[0]["loc"] == ("thread_pitch_mm",)
    assert set(SettingsModel.model_json_schema()["properties"]) == set(TABLE)


@pytest.mark.parametrize(
    ("folder", "by_the_system", "moved_by"),
    [
        (places.data_folder, platformdirs.user_data_path, "XDG_DATA_HOME"),
        (places.config_folder, platformdirs.user_config_path, "XDG_CONFIG_HOME"),
    ],
)
def test_platformdirs_says_where_files_live(
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    folder: Callable[[], Path],
    by_the_system: Callable[..., Path],
    moved_by: str,
) -> None:
    monkeypatch.delenv("HOSEWRIGHT_HOME")
    assert folder() == by_the_system("hosewright", appauthor=False)
    if sys.platform.startswith("linux"):
        monkeypatch.setenv(moved_by, str(tmp_path / "moved"))
        assert folder() == tmp_path / "moved" / "hosewright"


async def test_pytest_asyncio_runs_this_without_a_mark(pytestconfig: pytest.Config) -> None:
    assert pytestconfig.pluginmanager.hasplugin("asyncio")
    assert pytestconfig.getini("asyncio_mode") == "auto"
    assert asyncio.get_running_loop().is_running()
