"""Things of the shelf that were renamed, or entered twice: found, shown and gathered by what they are called now."""

from __future__ import annotations

import json
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.entered_twice import merge_into, part_again, was_words
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.sessions import find
from hosewright.logbook.find.wanted import read_wanted
from hosewright.logbook.find.yarns import yarn_card
from hosewright.logbook.glance import look
from hosewright.logbook.records.corrected import restated
from hosewright.logbook.records.shelf import Cylinder, Plan, Same, Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.logbook.travel import folders, shelf_file
from hosewright.logbook.travel.merge import merge
from hosewright.logbook.travel.session_files import parse, write
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.forgetting import forget
from tests import helpers
from tests.helpers import crank_to, drive, measure_tube

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.live import Live

TWINE = Yarn(id="twine-ab23", name="Twine", m_per_100g=400)
FJORD = Yarn(id="fjord-cd45", name="Fjord", m_per_100g=400)


def tube_of(book: Logbook, yarn: Yarn, session_id: str) -> Live:
    start = helpers.record("tube", session_id).model_copy(
        update={"yarn": yarn, "title": f"Tube: {yarn.name}", "lot": f"lot-{yarn.id}", "dye_lot": "7"}
    )
    live = book.start(start)
    crank_to(live, "after-wash")
    measure_tube(live)
    crank_to(live, "none")
    return live


def ids(book: Logbook, text: str) -> list[str]:
    return sorted(one.id for one in find(book.store, read_wanted(text)))


@pytest.fixture
def twice(book: Logbook) -> Logbook:
    """One yarn entered twice, a tube and a lot of each."""
    book.keep(TWINE, FJORD)
    for yarn in (TWINE, FJORD):
        book.keep(Lot(id=f"lot-{yarn.id}", name="7", yarn=yarn.id, grams=100, bought="2023-11-01"))
    tube_of(book, TWINE, "20231114-twine")
    tube_of(book, FJORD, "20231115-fjord")
    return book


def test_a_renamed_yarn_is_found_and_shown_under_its_new_name(book: Logbook) -> None:
    book.keep(TWINE, helpers.machine(), helpers.cylinder(60))
    live = tube_of(book, TWINE, "20231114-twine")
    before = book.store.begun_text(live.n)
    book.keep(TWINE.model_copy(update={"name": "Harbour"}))
    (line,) = book.lines()
    (one,) = find(book.store, read_wanted("yarn:harbour"))
    assert (line.title, one.title, one.yarn) == ("Tube: Harbour", "Tube: Harbour", "Harbour")
    assert (book.record(line).yarn.name, book.record(line).title) == ("Harbour", "Tube: Harbour")
    assert book.take_up(line.id).record == book.record(line)
    assert ids(book, "yarn:twine") == [line.id]  # by the old name, too
    assert was_words(book, book.record(line)) == ["Harbour was called Twine"]
    assert book.store.begun_text(live.n) == before
    assert [said.words for said in look(book.store).next if said.doing == "plan"] == [
        "Harbour: its gauge is known, plan a sock"
    ]
    assert find_damage(book) == (1, [])
    book.keep(TWINE)
    assert book.lines()[0].title == "Tube: Twine"


def test_a_yarn_entered_twice_becomes_one(twice: Logbook) -> None:
    merge_into(twice, TWINE, FJORD)
    assert [yarn.id for yarn in twice.shelf(Yarn)] == [FJORD.id]
    assert twice.get(Yarn, TWINE.id) == twice.get(Yarn, FJORD.id) == FJORD  # both ids work
    assert {gauge.yarn for gauge in twice.gauges()} == {FJORD.id}
    card = yarn_card(twice, FJORD)
    assert sum(len(course.tubes) for course in card.courses) == 2
    assert ids(twice, "yarn:fjord") == ["20231114-twine", "20231115-fjord"]
    assert {twice.record(line).yarn.id for line in twice.lines()} == {FJORD.id}
    assert sorted(line.title for line in twice.lines()) == ["Tube: Fjord", "Tube: Fjord"]
    stock = stock_of(twice, FJORD.id)
    assert stock is not None
    assert [lot.account.left for lot in stock.lots] == [94_800, 94_800]
    assert find_damage(twice) == (2, [])


def test_parted_again_all_is_as_before(twice: Logbook) -> None:
    before = [twice.record(line) for line in twice.lines()], twice.gauges(), twice.shelf(Lot)
    merge_into(twice, TWINE, FJORD)
    part_again(twice, "yarn", TWINE.id)
    assert ([twice.record(line) for line in twice.lines()], twice.gauges(), twice.shelf(Lot)) == before
    assert {yarn.name for yarn in twice.shelf(Yarn)} == {"Twine", "Fjord"}
    assert ids(twice, "yarn:fjord") == ["20231115-fjord"]
    with pytest.raises(LogbookError, match="never made one with another"):
        part_again(twice, "yarn", TWINE.id)


def test_what_comes_later_goes_by_it_too(twice: Logbook, tmp_path: Path) -> None:
    merge_into(twice, TWINE, FJORD)
    with closing(Logbook(tmp_path / "other.sqlite")) as other:
        live = tube_of(other, TWINE, "20231120-other")
        filed = parse(write(live.begun, other.store.entries(live.n)))
    twice.take_in(filed.session, filed.entries())
    line = twice.store.find("20231120")
    assert (twice.record(line).yarn.id, line.title) == (FJORD.id, "Tube: Fjord")
    assert [gauge.yarn for gauge in twice.gauges()] == [FJORD.id] * 3
    live = twice.take_up("20231115")
    drive(live, restated("yarn", TWINE))
    assert live.record.yarn.id == FJORD.id
    assert {gauge.yarn for gauge in twice.gauges()} == {FJORD.id}
    assert find_damage(twice) == (3, [])


def test_the_shelf_file_carries_it(twice: Logbook, tmp_path: Path) -> None:
    merge_into(twice, TWINE, FJORD)
    with closing(Logbook(tmp_path / "other.sqlite")) as other:
        shelf_file.take_in(other, shelf_file.parse(shelf_file.write(twice)))
        assert other.get(Yarn, TWINE.id) == FJORD
        assert other.shelf(Same) == twice.shelf(Same)


@pytest.mark.parametrize("way", ["folder", "sessions first", "merged"])
def test_a_rename_travels(book: Logbook, tmp_path: Path, way: str) -> None:
    book.keep(TWINE)
    tube_of(book, TWINE, "20231114-twine")
    for name in ("Harbour", "Harbour", TWINE.name, "Quay"):
        book.keep(TWINE.model_copy(update={"name": name}))
    book.keep(Wearer(id="ana-ab23", name="Ana"), Wearer(id="ana-ab23", name="Anna"))
    folder = tmp_path / "kept"
    folders.export_all(book, book.lines(), folder, shelf=True)
    with closing(Logbook(tmp_path / "other.sqlite")) as other:
        if way == "merged":
            merge(other, book.path)
        else:
            files = [folder] if way == "folder" else [folder / "20231114-twine.json", folder / shelf_file.NAME]
            assert not folders.import_all(other, folders.files_in(map(str, files))).reasons
        assert other.store.names_now() == book.store.names_now()
        assert other.store.names_now()["yarn", TWINE.id].was == "Twine, Harbour"
        assert other.lines()[0].title == "Tube: Quay"
        for asked in ("yarn:quay", "yarn:twine", "yarn:harbour"):
            assert find(other.store, read_wanted(asked)) == find(book.store, read_wanted(asked)) != [], asked
        assert was_words(other, other.record(other.lines()[0])) == ["Quay was called Twine"]
        first, second = (json.loads(shelf_file.write(one))["earlier"] for one in (book, other))
        assert first == second != []
        assert find_damage(other) == (1, [])


def test_a_shelf_file_without_earlier_names_is_read(book: Logbook, tmp_path: Path) -> None:
    book.keep(TWINE)
    assert "earlier" not in json.loads(shelf_file.write(book))
    book.keep(TWINE.model_copy(update={"name": "Quay"}))
    told = json.loads(shelf_file.write(book))
    assert told.pop("earlier") == [{"kind": "yarn", "id": TWINE.id, "name": "Twine"}]
    with closing(Logbook(tmp_path / "other.sqlite")) as other:
        shelf_file.take_in(other, shelf_file.parse(json.dumps(told)))
        assert other.shelf(Yarn) == book.shelf(Yarn)
        assert other.store.names_now() == {}


def test_what_is_here_keeps_the_names_it_had_here(book: Logbook, tmp_path: Path) -> None:
    book.keep(TWINE, TWINE.model_copy(update={"name": "Quay"}))
    with closing(Logbook(tmp_path / "other.sqlite")) as other:
        other.keep(TWINE)
        (found,) = shelf_file.take_in(other, shelf_file.parse(shelf_file.write(book)))
        assert (found.what, found.why) == ("disagrees", "name: both are kept")
        assert (other.shelf(Yarn), other.store.names_now()) == ([TWINE], {})


def test_what_is_not_the_same_is_not_made_one(book: Logbook) -> None:
    sixty, other = helpers.cylinder(60), helpers.cylinder(54)
    book.keep(TWINE, FJORD, sixty, other, Cylinder(id="sixty-too", name="The sixty", slots=60))
    with pytest.raises(LogbookError, match="60 and 54 slots"):
        merge_into(book, sixty, other)
    with pytest.raises(LogbookError, match="with itself"):
        merge_into(book, TWINE, TWINE)
    merge_into(book, TWINE, FJORD)
    with pytest.raises(LogbookError, match="already"):
        merge_into(book, FJORD, TWINE)


def test_socks_and_promises_of_a_wearer_entered_twice(book: Logbook) -> None:
    ana, anna = Wearer(id="ana-ab23", name="Anastasia"), Wearer(id="anna-cd45", name="Anastasia K.")
    pair = Promise(id="pair", name="Winter", yarn="yarn-grey", wearer=ana.id, made="2023-11-01")
    book.keep(ana, anna, helpers.yarn(), pair)
    live = book.start(helpers.record("string", "20231114-string"))
    drive(live, restated("wearer", ana, 2))
    merge_into(book, ana, anna)
    assert [promise.wearer for promise in book.shelf(Promise)] == [anna.id]
    assert ids(book, "wearer:anastasia") == ["20231114-string"]
    assert book.record(book.lines()[0]).socks[1].wearer == anna
    forget(book, anna.id, really=True)
    assert b"Anastasia" not in book.path.read_bytes()
    assert not book.shelf(Same)
    assert not book.shelf(Wearer)


def test_plans_are_known_to_be_of_the_one_yarn(book: Logbook) -> None:
    book.keep(TWINE, FJORD, helpers.plan_of(60).model_copy(update={"yarn": TWINE.id}))
    merge_into(book, TWINE, FJORD)
    assert [plan.yarn for plan in book.shelf(Plan)] == [FJORD.id]


def test_who_was_named_first_by_mistake_is_forgotten_with_the_rest(book: Logbook) -> None:
    ana, ben = Wearer(id="ana-ab23", name="Anastasia Quill"), Wearer(id="ben-cd45", name="Ben")
    book.keep(ana, ben)
    start = helpers.record("tube", "20231114-tube").model_copy(update={"wearer": ana})
    live = book.start(start)
    drive(live, restated("wearer", ben, was=ana.name), restated("wearer", ana, was=ben.name))
    drive(live, restated("wearer", ben, was=ana.name))
    forget(book, ana.id, really=True)
    assert b"Anastasia" not in book.path.read_bytes()
    assert book.record(book.lines()[0]).wearer == ben
    assert find_damage(book) == (1, [])
