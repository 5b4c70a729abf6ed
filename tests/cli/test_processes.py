"""Much work is shared out among processes: the same comes of it, in the same order, come what may."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from functools import partial
from multiprocessing.context import SpawnProcess
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.file.coding import Prepared
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel import folders, processes
from hosewright.logbook.travel.folders import files_in, read, read_each
from hosewright.logbook.travel.shelf_file import ShelfFile
from hosewright.places import shipped_folder
from hosewright.session.events import Pressed
from tests.helpers import BEGUN, drive, record

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from pathlib import Path

    from hosewright.logbook.book import Logbook


@pytest.fixture
def paths(tmp_path: Path) -> list[Path]:
    """The samples with their shelf, and between them a file that is none and one that is not there."""
    broken = tmp_path / "broken.json"
    broken.write_text("{}", encoding="utf-8")
    found = files_in([str(shipped_folder("sample_sessions"))])
    return [*found[:3], broken, tmp_path / "gone.json", *found[3:]]


@pytest.fixture
def many(monkeypatch: pytest.MonkeyPatch) -> None:
    """A handful is many, and there are processors for two processes more."""
    monkeypatch.setattr(processes, "MANY", 2)
    monkeypatch.setattr(processes, "AT_ONCE", 2)
    monkeypatch.setattr(processes, "_processors", lambda: 3)


@pytest.fixture
def dozen(book: Logbook) -> Logbook:
    for number in range(12):
        drive(book.start(record("tube", f"20240301-{number:04}")), BEGUN, *[Pressed()] * (number % 4))
    return book


def told(filed: object) -> object:
    return str(filed) if isinstance(filed, LogbookError) else filed


def here(paths: Iterable[Path]) -> list[object]:
    return [told(read(path)) for path in paths]


def ended_on_the_way(kept: Callable[..., Iterator[object]], *args: object, **more: object) -> Iterator[object]:
    """What ``processes.each`` yields, while somebody ends its processes."""
    for place, done in enumerate(kept(*args, **more)):
        if place == 3:
            for child in multiprocessing.active_children():
                child.kill()
        yield done


@pytest.mark.usefixtures("many")
def test_other_processes_read_the_same(paths: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    def never(_: Path) -> object:
        raise AssertionError("read in this process")

    expected = here(paths)
    monkeypatch.setattr("hosewright.logbook.travel.folders.read", never)  # theirs is their own
    assert [told(filed) for filed in read_each(paths)] == expected
    assert {type(one) for one in expected} == {ShelfFile, Prepared, str}


@pytest.mark.usefixtures("many")
def test_a_reader_that_is_ended_is_stood_in_for(paths: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processes, "each", partial(ended_on_the_way, processes.each))
    assert [told(filed) for filed in read_each(paths * 6)] == here(paths * 6)


@pytest.mark.usefixtures("many")
@pytest.mark.parametrize("fault", [OSError("no more processes"), ImportError("no semaphores")])
@pytest.mark.parametrize("had", [0, 1])
def test_it_is_done_with_the_processes_that_can_be_had(
    paths: list[Path], monkeypatch: pytest.MonkeyPatch, fault: Exception, had: int
) -> None:
    begin = SpawnProcess.start
    begun: list[SpawnProcess] = []

    def start(process: SpawnProcess) -> None:
        if len(begun) == had:
            raise fault
        begun.append(process)
        begin(process)

    monkeypatch.setattr(SpawnProcess, "start", start)
    monkeypatch.setattr(processes, "_processors", lambda: 4)
    assert [told(filed) for filed in read_each(paths)] == here(paths)
    assert len(begun) == had
    assert not any(process.is_alive() for process in begun)


@pytest.mark.parametrize(("many", "processors", "busy"), [(2, 1, False), (2, 1, True), (1000, 8, True)])
def test_few_things_or_one_processor_take_no_other_process(
    monkeypatch: pytest.MonkeyPatch, many: int, processors: int, busy: bool
) -> None:
    def never(*_: object) -> object:
        raise AssertionError("another process was started")

    monkeypatch.setattr(processes, "MANY", many)
    monkeypatch.setattr(processes, "_processors", lambda: processors)
    monkeypatch.setattr(processes, "_begin", never)
    assert list(processes.each(sorted, [3, 1, 2], busy=busy)) == [1, 2, 3]


def _export(book: Logbook, folder: Path) -> dict[str, bytes]:
    lines = book.lines()
    new, same = folders.export_all(book, lines, folder, shelf=True)
    assert (len(new), same) == (len(lines) + 1, [])
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_other_processes_write_the_same(dozen: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    alone = _export(dozen, tmp_path / "alone")
    monkeypatch.setattr(processes, "MANY", 2)
    monkeypatch.setattr(processes, "_processors", lambda: 2)

    def never(*_: object) -> object:
        raise AssertionError("written in this process")

    monkeypatch.setattr(folders, "_write", never)
    assert _export(dozen, tmp_path / "together") == alone


@pytest.mark.usefixtures("many")
def test_what_goes_wrong_elsewhere_is_told_here(dozen: Logbook, tmp_path: Path) -> None:
    there = tmp_path / "there.json"
    there.write_text("mine", encoding="utf-8")
    sessions: Sequence[tuple[object, Path]] = [(line, there) for line in dozen.lines()]
    with pytest.raises(LogbookError, match="is there already"):
        list(processes.each(partial(folders.write_some, dozen.path, sync=True), sessions))
    assert there.read_text(encoding="utf-8") == "mine"


@pytest.mark.usefixtures("many")
def test_a_writer_that_is_ended_is_told(dozen: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = processes.each

    def ended(*args: object, **more: object) -> Iterator[object]:
        return ended_on_the_way(kept, *args, **(more | {"at_once": 1}))

    with monkeypatch.context() as patch:
        patch.setattr(processes, "each", ended)
        with pytest.raises(LogbookError, match="Export once more into the same folder"):
            _export(dozen, tmp_path / "files")
    assert not list((tmp_path / "files").glob(".*"))  # no part of a file is left
    new, same = folders.export_all(dozen, dozen.lines(), tmp_path / "files", shelf=True)
    assert len(new) + len(same) == 13
    assert len(same) >= 4
    assert {path.name: path.read_bytes() for path in (tmp_path / "files").glob("[!.]*")} == _export(
        dozen, tmp_path / "again"
    )


STOPPED = """
import sys
from hosewright.logbook.travel import processes
processes.MANY, processes._processors = 2, lambda: 3
from hosewright.cli import main
print("begun", flush=True)
sys.exit(main(["logbook", "import", *sys.argv[1:]]))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to a group of processes")
@pytest.mark.parametrize("after_s", [0.1, 0.25, 0.4, 0.6])
def test_ctrl_c_says_nothing_and_leaves_nobody_behind(paths: list[Path], tmp_path: Path, after_s: float) -> None:
    many = [str(path) for path in paths * 40]
    environment = {**os.environ, "HOSEWRIGHT_HOME": str(tmp_path / "home")}
    process = subprocess.Popen(
        [sys.executable, "-c", STOPPED, *many],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
        start_new_session=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    time.sleep(after_s)
    os.killpg(process.pid, signal.SIGINT)
    _, errors = process.communicate(timeout=30)  # a helper left behind would keep the pipes open
    assert "Traceback" not in errors
    assert process.returncode in (130, 2)
