"""The settings file: read with every fault named, written without losing what the knitter wrote."""

from __future__ import annotations

import stat
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.settings import Settings, SettingsError, load, save
from hosewright.tomlfiles import line_of

if TYPE_CHECKING:
    from pathlib import Path

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


@given(st.dictionaries(st.sampled_from([*Settings.model_fields, "keys", "theme_name"]), st.none()), st.data())
def test_any_value_in_any_place_is_used_or_told(
    tmp_path_factory: pytest.TempPathFactory, names: dict[str, None], data: st.DataObject
) -> None:
    import tomlkit

    values = st.one_of(
        st.integers(-(10**9), 10**9),
        st.booleans(),
        st.text(max_size=5),
        st.lists(st.text(max_size=3), max_size=3),
        st.dictionaries(st.sampled_from(["pause", "note"]), st.integers() | st.text(max_size=3), max_size=2),
    )
    path = tmp_path_factory.mktemp("any") / "settings.toml"
    path.write_text(tomlkit.dumps({name: data.draw(values) for name in names}), encoding="utf-8")
    settings, troubles = load(path)
    for name in names:
        told = any(name in trouble for trouble in troubles)
        assert told or name in Settings.model_fields
    assert Settings.model_validate(settings.model_dump()) == settings


def test_a_new_file_explains_itself_and_is_for_its_owner_alone(path: Path) -> None:
    wanted = Settings(bell=False, count_keys=("space", "f13"), keys={"observe dropped": "q"})
    assert save(path, wanted) == []
    assert load(path) == (wanted, [])
    lines = path.read_text().splitlines()
    for name in set(Settings.model_fields) - {"keys"}:
        assert [line for line in lines if line.removeprefix("# ").startswith(f"{name} = ")], name
    assert any(line.startswith("bell = false") for line in lines)
    assert any(line.startswith("# press_gap_ms = 120") for line in lines)
    if sys.platform != "win32":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_lines_of_a_new_file_are_its_real_usual_values(path: Path) -> None:
    save(path, Settings())
    text = path.read_text()
    settings_lines = [line.removeprefix("# ") for line in text.splitlines() if " = " in line and "[keys]" not in line]
    path.write_text("\n".join(settings_lines))
    assert load(path) == (Settings(), [])


def test_comments_order_and_what_was_not_touched_stay(path: Path) -> None:
    path.write_text(WRITTEN_BY_HAND)
    settings, _ = load(path)
    save(path, settings)
    assert path.read_text() == WRITTEN_BY_HAND
    save(path, settings.model_copy(update={"bell": True, "weights_every": 10, "keys": {"pause": "j", "note": "q"}}))
    text = path.read_text()
    assert "# my settings\nbell = true  # the cat minds it\npress_gap_ms = 90\n" in text
    assert '[keys]  # the pedal\npause = "j"  # left pedal\nnote = "q"' in text
    again, troubles = load(path)
    assert (again.weights_every, again.keys, troubles) == (10, {"pause": "j", "note": "q"}, [])
    save(path, again.model_copy(update={"keys": {}}))
    assert load(path)[0].keys == {}


def test_a_wrong_value_in_the_file_is_put_right_by_storing(path: Path) -> None:
    path.write_text("press_gap_ms = 5000 # too long?\n")
    save(path, load(path)[0])
    assert path.read_text() == "press_gap_ms = 120 # too long?\n"


def test_a_file_that_cannot_be_read_is_kept_beside(path: Path) -> None:
    path.write_text("bell = what\n")
    told = save(path, Settings(bell=False))
    kept = path.with_name("settings-unreadable-1.toml")
    assert kept.read_text() == "bell = what\n"
    assert str(kept) in told[0]
    assert load(path) == (Settings(bell=False), [])


def test_storing_that_fails_leaves_the_old_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path.write_text(WRITTEN_BY_HAND)

    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(SettingsError, match=r"cannot be stored .*No space left"):
        save(path, Settings())
    assert path.read_text() == WRITTEN_BY_HAND
    assert [p.name for p in path.parent.iterdir() if p.name.startswith(".")] == []


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_to_the_file_stays_a_link(path: Path, tmp_path: Path) -> None:
    real = tmp_path / "elsewhere.toml"
    real.write_text("bell = true\n")
    path.symlink_to(real)
    save(path, Settings(bell=False))
    assert path.is_symlink()
    assert real.read_text() == "bell = false\n"


def test_lines_are_found_in_and_out_of_tables() -> None:
    text = "a = 1\n\"b\" = 2\nkeys.c = 3\n[keys]\na = 4\n'd e' = 5\n[other] # x\na = 6\n"
    assert [line_of(text, name) for name in ("a", "b", "c", "keys")] == [1, 2, None, 4]
    assert [line_of(text, name, "keys") for name in ("a", "c", "d e", "z")] == [5, 3, 6, None]
