"""Many sessions at once, out and in: the shared commit and the writing side by side change nothing that is told."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel import folders
from hosewright.session.events import Confirmed, Pressed
from tests.helpers import BEGUN, FakeClock, drive, record

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.file.coding import Prepared

MANY = 12


def id_of(number: int) -> str:
    return f"20240301-{number:04}"


@pytest.fixture
def folder(book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Session files of a dozen sessions; two of them share a commit when they are taken in."""
    monkeypatch.setattr(folders, "EVENTS_AT_ONCE", 8)
    for number in range(MANY):
        drive(book.start(record("tube", id_of(number))), BEGUN, *[Pressed()] * (number % 4))
    new, same = folders.export_all(book, book.lines(), tmp_path / "files", shelf=False)
    assert (len(new), same) == (MANY, [])
    return tmp_path / "files"


@pytest.fixture
def other(tmp_path: Path) -> Logbook:
    return Logbook(tmp_path / "other.sqlite", FakeClock())


def sessions(book: Logbook) -> dict[str, list[object]]:
    return {line.id: list(book.store.entries(line.n)) for line in book.lines()}


def test_everything_comes_over_and_a_second_time_nothing(book: Logbook, other: Logbook, folder: Path) -> None:
    paths = folders.files_in([str(folder)])
    told = folders.import_all(other, paths)
    assert (len(told.new), told.known, told.refused) == (MANY, [], [])
    assert sessions(other) == sessions(book)
    again = folders.import_all(other, [*paths, paths[0]])
    assert (again.new, again.known, again.refused) == ([], [*told.new, told.new[0]], [])
    other.close()


def test_what_is_refused_leaves_the_others(book: Logbook, other: Logbook, folder: Path) -> None:
    paths = folders.files_in([str(folder)])
    drive(other.start(record("tube", id_of(3))), Confirmed())  # another session of that id
    (folder / f"{id_of(5)}.json").write_text("{}", encoding="utf-8")
    told = folders.import_all(other, [paths[0], *paths])  # the first comes twice
    assert told.refused == [str(paths[5])]
    assert told.beside == [id_of(3)]
    assert any(f"{id_of(3)} went on here and in the file {paths[3].name}" in why for why in told.reasons)
    assert any("not a session file" in why for why in told.reasons)
    assert sorted(told.new) == [id_of(n) for n in range(MANY) if n not in (3, 5)]
    assert told.known == [id_of(0)]
    assert set(sessions(other)) == {id_of(n) for n in range(MANY) if n != 5}
    other.close()


def test_a_commit_that_fails_is_tried_file_by_file(
    other: Logbook, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = other.store.add_prepared

    def fails(one: Prepared) -> int:
        if one.id == id_of(2):
            raise LogbookError("no room")
        return kept(one)

    monkeypatch.setattr(other.store, "add_prepared", fails)
    told = folders.import_all(other, folders.files_in([str(folder)]))
    assert (len(told.new), len(told.refused)) == (MANY - 1, 1)
    assert "no room" in told.reasons[0]
    assert set(sessions(other)) == {id_of(n) for n in range(MANY) if n != 2}
    other.close()


def test_files_there_already_are_left_and_one_that_differs_stops_it(book: Logbook, folder: Path) -> None:
    lines = book.lines()
    gone, changed = folder / f"{id_of(1)}.json", folder / f"{id_of(4)}.json"
    gone.unlink()
    new, same = folders.export_all(book, lines, folder, shelf=False)
    assert new == [str(gone)]
    assert len(same) == MANY - 1
    gone.unlink()
    changed.write_text("mine", encoding="utf-8")
    with pytest.raises(LogbookError, match="differs"):
        folders.export_all(book, lines, folder, shelf=False)
    assert not gone.exists()


def test_a_folder_that_cannot_be_written_to_is_told(
    book: Logbook, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(LogbookError, match="No space left on device"):
        folders.export_all(book, book.lines(), folder / "more", shelf=False)
    assert list((folder / "more").iterdir()) == []


def test_a_session_that_is_called_as_the_shelfs_file_is_exported_beside_it(book: Logbook, tmp_path: Path) -> None:
    book.start(record("tube", "shelf"))
    written, _ = folders.export_all(book, book.lines(), tmp_path / "files", shelf=True)
    assert sorted(path.rpartition("/")[2] for path in written) == ["session-shelf.json", "shelf.json"]
    there = Logbook(tmp_path / "other.sqlite", FakeClock())
    outcome = folders.import_all(there, folders.files_in([str(tmp_path / "files")]))
    assert (outcome.new, outcome.refused) == (["shelf"], [])
    there.close()
