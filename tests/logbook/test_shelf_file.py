"""The shelf out into a file and in again: nothing lost, nothing overwritten."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import SHELF, Noted, Yarn
from hosewright.logbook.records.year import Care, Lot, Promise, Tried, Weighing
from hosewright.logbook.travel import folders, shelf_file
from tests.helpers import cylinder, machine, yarn

if TYPE_CHECKING:
    from pathlib import Path

YARN = yarn("Moss")
LOT = Lot(id="lot-17", name="17 B", yarn=YARN.id, pieces=4, grams=400, bought="2026-01-09")
EVERYTHING = (
    machine(),
    cylinder(64),
    YARN,
    LOT,
    Weighing(id="weighing-1", lot=LOT.id, at_ms=1_700_000_000_000, grams=212.5),
    Promise(id="ferry-pair", name="The ferryman's pair", yarn=YARN.id, lot=LOT.id, made="2026-01-10", price=2800),
    Care(id="oil-1", machine=machine().id, at_ms=1_700_000_000_000, what="oiled", retired=True),
    Tried(
        id="needle-2",
        machine=machine().id,
        cylinder=cylinder(64).id,
        at_ms=1_700_000_000_000,
        symptom="dropped",
        check="move-needle",
        outcome="moved",
        needle=17,
        to=40,
    ),
    Noted(id="tube-2019", day="2019", machine=machine().id, cylinder=cylinder(64).id, yarn=YARN.id, slots=64, dial="7"),
)


def book_of(folder: Path, *things: object) -> Logbook:
    book = Logbook(folder / "logbook.sqlite")
    for item in things:
        book.keep(item)  # type: ignore[arg-type]  # one of the shelf's
    return book


def shelf_of(book: Logbook) -> dict[str, list[object]]:
    return {kind: list(book.shelf(cls, retired=True)) for kind, cls in SHELF.items()}


def test_out_and_in_again_nothing_is_lost(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    one.mkdir()
    two.mkdir()
    mine, other = book_of(one, *EVERYTHING), book_of(two)
    filed = shelf_file.parse(shelf_file.write(mine))
    foretold = shelf_file.take_in(other, filed, dry_run=True)
    assert {item.what for item in foretold} == {"new"}
    assert not any(shelf_of(other).values())
    assert shelf_file.take_in(other, filed) == foretold
    assert shelf_of(other) == shelf_of(mine)
    assert {item.what for item in shelf_file.take_in(other, filed)} == {"here already"}


def test_the_order_on_the_shelf_comes_back(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    one.mkdir()
    two.mkdir()
    mine, other = book_of(one), book_of(two)
    mine.keep(*(YARN.model_copy(update={"id": name, "name": name}) for name in ("moss", "ash", "slate")))
    shelf_file.take_in(other, shelf_file.parse(shelf_file.write(mine)))
    assert [item.id for item in other.shelf(Yarn)] == ["moss", "ash", "slate"]


def test_what_disagrees_stays_as_it_is_here(tmp_path: Path) -> None:
    book = book_of(tmp_path, YARN.model_copy(update={"colour": "green"}))
    filed = shelf_file.ShelfFile(format="hosewright shelf", version=1, yarn=(YARN,))
    (found,) = shelf_file.take_in(book, filed)
    assert (found.what, found.why) == ("disagrees", "colour: both are kept")
    (kept,) = book.shelf(Yarn)
    assert kept.colour == "green"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"format": "hosewright shelf", "version": 2}', "version"),
        ('{"format": "hosewright shelf", "version": 1, "yarn": [{"id": "a"}]}', "yarn.0.id"),
        ('{"format": "hosewright shelf", "version": 1, "lots": 7}', "lots"),
        ('{"format": "hosewright shelf"', "JSON"),
    ],
)
def test_a_wrong_file_says_where(text: str, says: str) -> None:
    assert shelf_file.is_one(text)
    with pytest.raises(LogbookError, match="not a shelf file") as error:
        shelf_file.parse(text)
    assert says in str(error.value)


def test_a_whole_logbook_leaves_with_its_shelf(tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()
    book, folder = book_of(tmp_path, *EVERYTHING), tmp_path / "kept"
    written, _ = folders.export_all(book, [], folder, shelf=True)
    assert written == [str(folder / "shelf.json")]
    assert folders.export_all(book, [], folder, shelf=True) == ([], written)
    other = book_of(tmp_path / "new")
    outcome = folders.import_all(other, folders.files_in([str(folder)]))
    assert "lot lot-17" in outcome.new
    assert shelf_of(other) == shelf_of(book)
