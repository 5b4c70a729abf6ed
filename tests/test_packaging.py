"""The themes and the sample sessions travel in every wheel, and a checkout finds its own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tarfile
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest

from hosewright import __version__

ROOT = Path(__file__).resolve().parents[1]
SHIPPED = ("themes", "sample_sessions")
BUILD = "import sys, hatchling.build as b; print(getattr(b, sys.argv[1])(sys.argv[2]))"
RESOLVE = "import sys; from hosewright.places import shipped_folder; print(shipped_folder(sys.argv[1]))"


def build(what: str, source: Path, into: Path) -> Path:
    """Run one of hatchling's build hooks in ``source``, without a network."""
    into.mkdir(exist_ok=True)
    done = subprocess.run(
        [sys.executable, "-c", BUILD, f"build_{what}", str(into)],
        cwd=source,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return into / done.stdout.split()[-1]


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.startswith(".")
    }


@pytest.fixture(scope="session")
def wheels(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Both wheels, unpacked."""
    work = tmp_path_factory.mktemp("packaging")
    archive = build("sdist", ROOT, work / "sdist")
    with tarfile.open(archive) as packed:
        packed.extractall(work / "source", filter="data")
    (source,) = (work / "source").iterdir()
    unpacked = {}
    for name, origin in (("wheel", ROOT), ("wheel from source archive", source)):
        folder = work / name
        with zipfile.ZipFile(build("wheel", origin, work / f"{name} built")) as packed_wheel:
            packed_wheel.extractall(folder)
        unpacked[name] = folder
    return unpacked


@pytest.mark.parametrize("which", ["wheel", "wheel from source archive"])
@pytest.mark.parametrize("name", SHIPPED)
def test_the_wheel_holds_what_the_checkout_holds(wheels: dict[str, Path], which: str, name: str) -> None:
    here = contents(ROOT / name)
    assert here, f"{name} is empty"
    assert contents(wheels[which] / "hosewright" / name) == here


@pytest.mark.parametrize("which", ["wheel", "wheel from source archive"])
@pytest.mark.parametrize("name", SHIPPED)
def test_an_installed_wheel_finds_its_own_folders(wheels: dict[str, Path], which: str, name: str) -> None:
    # -S leaves out site-packages, and with it the editable install.
    found = subprocess.run(
        [sys.executable, "-S", "-c", RESOLVE, name],
        cwd=wheels[which],
        env=os.environ | {"PYTHONPATH": str(wheels[which]), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout.strip()
    assert Path(found) == (wheels[which] / "hosewright" / name).resolve()


@pytest.mark.parametrize("name", SHIPPED)
def test_a_checkout_finds_its_own_folders(name: str, tmp_path: Path) -> None:
    found = subprocess.run(
        [sys.executable, "-c", RESOLVE, name], cwd=tmp_path, capture_output=True, text=True, check=True, timeout=60
    ).stdout.strip()
    assert Path(found) == ROOT / name


def test_the_wheel_has_the_types_and_the_command_and_not_the_tests(wheels: dict[str, Path]) -> None:
    wheel = wheels["wheel"]
    assert (wheel / "hosewright" / "py.typed").is_file()
    (points,) = wheel.glob("*.dist-info/entry_points.txt")
    assert "hosewright = hosewright.cli:main" in points.read_text(encoding="utf-8")
    assert not (wheel / "tests").exists()


def test_the_wheel_names_its_licence_and_its_makers(wheels: dict[str, Path]) -> None:
    (about,) = wheels["wheel"].glob("*.dist-info/METADATA")
    said = Parser().parsestr(about.read_text(encoding="utf-8"), headersonly=True)
    assert said["License-Expression"] == "MIT"
    assert said["Author"] == "the hosewright contributors"
    (licence,) = said.get_all("License-File", [])
    assert (about.parent / "licenses" / licence).read_bytes() == (ROOT / licence).read_bytes()


def test_the_pythons_it_names_are_those_the_readme_says_were_tested(wheels: dict[str, Path]) -> None:
    (about,) = wheels["wheel"].glob("*.dist-info/METADATA")
    said = Parser().parsestr(about.read_text(encoding="utf-8"), headersonly=True)
    named = re.findall(r"Python :: (3\.\d+)", " ".join(said.get_all("Classifier", [])))
    tested = re.search(
        r"Python (3\.\d+) or newer \(tested: ([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8")
    )
    assert tested is not None
    assert named == tested[2].split(", ")
    assert said["Requires-Python"] == f">={tested[1]}"


def test_the_changes_of_this_version_travel_with_it(wheels: dict[str, Path]) -> None:
    changes = (wheels["wheel"] / "hosewright" / "CHANGELOG.md").read_text(encoding="utf-8")
    assert re.findall("^## (.+)", changes, re.MULTILINE)[0] == __version__


def test_both_wheels_are_the_same(wheels: dict[str, Path]) -> None:
    first, second = (contents(wheels[name] / "hosewright") for name in ("wheel", "wheel from source archive"))
    assert first == second


def test_a_missing_folder_is_said_to_be_missing() -> None:
    from hosewright.places import shipped_folder

    with pytest.raises(FileNotFoundError, match="The folder looms is missing from this installation"):
        shipped_folder("looms")
