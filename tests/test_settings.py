"""The settings file: read with every fault named, written without losing what the knitter wrote."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from hosewright.cli import main
from hosewright.phrases.field import Field, FieldError
from hosewright.places import settings_path
from hosewright.settings.file import SettingsModel, checked, save
from hosewright.settings.lines import line_of
from hosewright.settings.loading import fitting, load
from hosewright.settings.table import (
    KEYS,
    PARTS,
    TABLE,
    Keys,
    Millimetres,
    OneOf,
    Setting,
    Settings,
    Whole,
    Words,
    YesNo,
    fits,
    limits,
)

WRITTEN_BY_HAND = """\
# my settings
bell = false  # the cat minds it
press_gap_ms = 90

length_unit = "cm"

[keys]  # the pedal
pause = "q"  # left pedal
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "settings.toml"


def test_without_a_file_everything_is_usual(path: Path) -> None:
    assert load(path) == (Settings(), [])


def test_each_fault_names_its_line_and_the_rest_holds(path: Path) -> None:
    path.write_text(
        'theme_name = "dusk"\npress_gap_ms = 5000\nbell = "perhaps"\nlength_unit = "ft"\n'
        'count_keys = []\ntape_error_mm = -1\nweights_every = 12\n[keys]\npause = 3\nnote = "q"\n'
    )
    settings, troubles = load(path)
    assert settings == Settings(weights_every=12, keys={"note": "q"})
    said = {trouble.removeprefix(f"{path}, line ") for trouble in troubles}
    assert said == {
        "1: theme_name is not a setting; did you mean theme?",
        "2: press_gap_ms = 5000 is more than 1000; the usual 120 is used.",
        "3: bell = 'perhaps' is neither true nor false; the usual true is used.",
        "4: length_unit = 'ft' is not in, cm or mm; the usual \"in\" is used.",
        '5: count_keys = [] names nothing; the usual ["space"] is used.',
        "6: tape_error_mm = -1 is less than 0.05; the usual 1.0 is used.",
        "9: pause in keys is not a text in quotes; its usual key is used.",
    }


@pytest.mark.parametrize("text", ["bell = ", "bell = true\nbell = false", "x = " + "[" * 5000, "# " + "x" * 300_000])
def test_a_file_that_is_not_toml_is_told_in_one_sentence(path: Path, text: str) -> None:
    path.write_text(text)
    settings, troubles = load(path)
    assert settings == Settings()
    assert len(troubles) == 1
    assert str(path) in troubles[0]
    assert "The usual ones are used" in troubles[0]


def test_a_file_of_other_bytes_or_a_folder_is_told(path: Path) -> None:
    path.write_bytes(b"\xff\xfe\x00")
    assert "cannot be read" in load(path)[1][0]
    path.unlink()
    path.mkdir()
    assert "cannot be read" in load(path)[1][0]


_VALUES = st.one_of(
    st.integers(-5, 8000),
    st.floats(-1, 30, allow_nan=False),
    st.booleans(),
    st.sampled_from(["in", "cm", "oz", "up", "sock", "", "lamplight"]),
    st.lists(st.text(max_size=3), max_size=3),
    st.dictionaries(st.sampled_from(["pause", "note"]), st.integers() | st.text(max_size=3), max_size=2),
)


@given(st.dictionaries(st.sampled_from([*TABLE, "colour"]), _VALUES, max_size=4))
def test_what_the_table_takes_the_model_takes_alike(typed: dict[str, object]) -> None:
    text = tomlkit.dumps(typed)
    quick = fitting(tomllib.loads(text))
    told = checked(Path("settings.toml"), text, tomllib.loads(text))
    # The other way round they may differ: the model also takes 90.0 for a whole number.
    if quick is not None:
        assert told == (quick, [])


# --- a setting is said once: what holds for each line of the table -------------------------------------------------


def each(part: bool = False) -> pytest.MarkDecorator:
    """Every setting, or with ``part`` those with a line on the screen."""
    found = [one for one in TABLE.values() if not (part and one.part == KEYS)]
    return pytest.mark.parametrize("one", found, ids=lambda one: one.name)


def some_values(one: Setting) -> list[Any]:
    match one.kind:
        case OneOf():
            return [value for value, _ in one.kind.said]
        case YesNo():
            return [True, False]
        case Whole() | Millimetres():
            return [one.kind.least, one.usual, one.kind.most]
        case Words():
            return ["x" * max(1, one.kind.least), "x" * one.kind.most]
        case Keys():
            return [["space"], ["q"] * one.kind.most]
        case _:
            return [{}, {"pause": "q"}]


def numbers(one: Setting) -> set[str]:
    """The limits of a number, as a sentence names them."""
    return {f"{one.kind.least:g}", f"{one.kind.most:g}"} if isinstance(one.kind, Whole | Millimetres) else set()


@each()
def test_the_usual_value_fits_and_every_setting_is_explained(one: Setting) -> None:
    usual = list(one.usual) if isinstance(one.usual, tuple) else one.usual
    assert fits(one.kind, usual)
    assert one.part in PARTS
    assert one.label
    assert one.help
    assert one.comment


@each()
def test_what_fits_is_saved_and_read_again(one: Setting, path: Path) -> None:
    for value in some_values(one):
        assert fits(one.kind, value)
        kept: dict[str, Any] = {one.name: tuple(value) if isinstance(value, list) else value}
        settings = replace(Settings(), **kept)
        save(path, settings)
        assert load(path) == (settings, [])


@each()
def test_a_fault_in_its_line_resets_nothing_else(one: Setting, path: Path) -> None:
    other = "bell" if one.name != "bell" else "step_by_step"
    path.write_text(f"{other} = {'false' if other == 'bell' else 'true'}\n{one.name} = 1979-05-27\n")
    settings, (trouble,) = load(path)
    wanted: dict[str, Any] = {other: other != "bell"}
    assert settings == replace(Settings(), **wanted)
    assert trouble.startswith(f"{path}, line 2: {one.name} = ")


@each()
def test_file_and_schema_name_the_same_limits(one: Setting, path: Path) -> None:
    save(path, Settings())
    line = next((line for line in path.read_text().splitlines() if line.startswith(f"# {one.name} = ")), None)
    assert (line is None) == (one.name == "keys")  # a table of its own, which the first lines tell of
    assert line is None or line.endswith(f"  # {one.comment} ({limits(one.kind)})")
    said = SettingsModel.model_json_schema()["properties"][one.name]
    assert said["description"].endswith(f"({limits(one.kind)})")
    match one.kind:
        case Whole() | Millimetres():
            assert (said["minimum"], said["maximum"]) == (one.kind.least, one.kind.most)
            assert set(limits(one.kind).split()) >= numbers(one)
        case OneOf():
            assert said["enum"] == [value for value, _ in one.kind.said]
            assert all(value in limits(one.kind) for value, _ in one.kind.said)


@each(part=True)
def test_the_screen_reads_what_it_says_and_names_the_same_limits(one: Setting) -> None:
    line = line_of(one)
    assert isinstance(line, Field)
    for value in some_values(one):
        assert line.read(line.say(value)) == value
    if not isinstance(one.kind, OneOf | YesNo | Words):
        assert line.read("") == one.usual
    match one.kind:
        case Whole():
            wrong = str(one.kind.most + 1)
        case Millimetres():
            wrong = f"{one.kind.least / 2} mm"
        case Words():
            wrong = "x" * (one.kind.most + 1)
        case _:
            wrong = "neither"
    with pytest.raises(FieldError) as refused:
        line.read(wrong)
    assert all(number in str(refused.value) for number in numbers(one))


def test_keys_are_pressed_not_typed() -> None:
    with pytest.raises(TypeError):
        line_of(TABLE["keys"])


def test_the_command_line_lists_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    save(settings_path(), replace(Settings(), tube_rows=80))
    assert main(["settings", "--json"]) == 0
    said = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["name"] for one in said] == list(TABLE)
    assert all(one["limits"] == limits(TABLE[one["name"]].kind) for one in said)
    assert {one["name"]: one["value"] for one in said}["tube_rows"] == 80
    assert main(["settings"]) == 0
    assert "tube_rows" in capsys.readouterr().out
    assert main(["settings", "--schema"]) == 0
    assert json.loads(capsys.readouterr().out)["properties"].keys() == TABLE.keys()
