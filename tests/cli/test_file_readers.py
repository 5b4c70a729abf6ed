"""Many session files are read in processes of their own: the same comes of it, in the same order, come what may."""

from __future__ import annotations

import multiprocessing
from concurrent.futures.process import BrokenProcessPool
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.prepared import Prepared
from hosewright.logbook.shelf_file import ShelfFile
from hosewright.logbook.store import LogbookError
from hosewright.places import shipped_folder
from hosewright.verbs import file_readers
from hosewright.verbs.file_readers import read, read_each
from hosewright.verbs.taking_in import files_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path


@pytest.fixture
def paths(tmp_path: Path) -> list[Path]:
    """The samples with their shelf, and between them a file that is none and one that is not there."""
    broken = tmp_path / "broken.json"
    broken.write_text("{}", encoding="utf-8")
    found = files_in([str(shipped_folder("sample_sessions"))])
    return [*found[:3], broken, tmp_path / "gone.json", *found[3:]]


@pytest.fixture
def many(monkeypatch: pytest.MonkeyPatch) -> None:
    """A handful of files is many, and there are processors for two readers."""
    monkeypatch.setattr(file_readers, "MANY_FILES", 2)
    monkeypatch.setattr(file_readers, "AT_ONCE", 2)
    monkeypatch.setattr(file_readers, "_processors", lambda: 3)


def told(filed: object) -> object:
    return str(filed) if isinstance(filed, LogbookError) else filed


def here(paths: Iterable[Path]) -> list[object]:
    return [told(read(path)) for path in paths]


@pytest.mark.usefixtures("many")
def test_other_processes_read_the_same(paths: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    def never(_: Path) -> object:
        raise AssertionError("read in this process")

    expected = here(paths)
    monkeypatch.setattr(file_readers, "read", never)  # theirs is their own
    assert [told(filed) for filed in read_each(paths)] == expected
    assert {type(one) for one in expected} == {ShelfFile, Prepared, str}


@pytest.mark.usefixtures("many")
def test_a_reader_that_is_killed_is_stood_in_for(paths: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    apart = file_readers._read_apart

    def killed_on_the_way(some: Iterable[Path], readers: int) -> Iterator[object]:
        for place, filed in enumerate(apart(some, readers)):
            if place == 3:
                for child in multiprocessing.active_children():
                    child.kill()
            yield filed

    monkeypatch.setattr(file_readers, "_read_apart", killed_on_the_way)
    assert [told(filed) for filed in read_each(paths * 20)] == here(paths * 20)


@pytest.mark.usefixtures("many")
@pytest.mark.parametrize("fault", [OSError("no more processes"), ImportError("no semaphores"), BrokenProcessPool()])
def test_what_is_left_is_read_here(paths: list[Path], monkeypatch: pytest.MonkeyPatch, fault: Exception) -> None:
    def ends_early(some: list[Path], _: int) -> Iterator[object]:
        yield from map(read, some[:5])
        raise fault

    monkeypatch.setattr(file_readers, "_read_apart", ends_early)
    assert [told(filed) for filed in read_each(paths)] == here(paths)


@pytest.mark.parametrize(("files", "processors"), [(2, 1), (1000, 8)])
def test_few_files_or_one_processor_take_no_other_process(
    paths: list[Path], monkeypatch: pytest.MonkeyPatch, files: int, processors: int
) -> None:
    def never(*_: object) -> object:
        raise AssertionError("another process was started")

    monkeypatch.setattr(file_readers, "MANY_FILES", files)
    monkeypatch.setattr(file_readers, "_processors", lambda: processors)
    monkeypatch.setattr(file_readers, "_read_apart", never)
    assert [told(filed) for filed in read_each(paths)] == here(paths)
