"""The settings file: read with every fault named, written without losing what the knitter wrote."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.settings.file import SettingsModel, load_checked
from hosewright.settings.loading import load, plainly
from hosewright.settings.table import Settings

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
        "1: theme_name is no setting; did you mean theme?",
        "2: press_gap_ms = 5000 is more than 1000; the usual 120 is used.",
        "3: bell = 'perhaps' is neither true nor false; the usual true is used.",
        "4: length_unit = 'ft' is not in, cm or mm; the usual \"in\" is used.",
        '5: count_keys = [] names nothing; the usual ["space"] is used.',
        "6: tape_error_mm = -1 is not more than 0; the usual 1.0 is used.",
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


@given(st.dictionaries(st.sampled_from([*SettingsModel.model_fields, "colour"]), _VALUES, max_size=4))
def test_what_the_plain_checks_take_the_full_ones_take_alike(typed: dict[str, object]) -> None:
    import tomlkit

    text = tomlkit.dumps(typed)
    quick = plainly(text.encode())
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "settings.toml"
        path.write_text(text, encoding="utf-8")
        checked, troubles = load_checked(path)
    # The other way round they may differ: the full checks also take 90.0 for a whole number.
    if quick is not None:
        assert (quick, []) == (checked, troubles)
