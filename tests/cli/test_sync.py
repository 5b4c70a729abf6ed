"""Two laptops and a folder, by the command line: synced, gone on with, changed on both, chosen."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Wearer, Yarn
from hosewright.places import logbook_path
from hosewright.session.events import Observed, Opened, Paused, Pressed, Resumed
from tests.helpers import BEGUN, FakeClock, drive, entries, machine, record, rows, yarn

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hosewright.session.events import Event

TUBE = "20231114-tube"


class Laptops:
    """Two homes; ``at`` goes to one of them, and everything typed then is typed there."""

    def __init__(self, place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.place, self._set, self._capsys = place, monkeypatch.setenv, capsys
        self.folder = place / "shared"
        self.folder.mkdir()

    def at(self, name: str) -> None:
        self._set("HOSEWRIGHT_HOME", str(self.place / name))
        self.name = name

    def run(self, *typed: str, code: int = 0) -> str:
        found = main(list(typed))
        said = self._capsys.readouterr()
        assert found == code, said
        return said.out + said.err

    def sync(self, code: int = 0) -> str:
        return self.run("sync", str(self.folder), "--as", self.name, code=code)

    def crank(self, *events: Event) -> None:
        book = Logbook(logbook_path(), FakeClock(1_760_000_000_000))
        drive(book.take_up(TUBE), *events)
        book.close()

    def count(self) -> int:
        book = Logbook(logbook_path())
        count = book.take_up(TUBE).state.count
        book.close()
        return count


@pytest.fixture
def laptops(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Laptops:
    """A tube with three separator rows, cranked in the attic; the cabin has it, too."""
    found = Laptops(tmp_path, monkeypatch, capsys)
    found.at("attic")
    logbook_path().parent.mkdir(parents=True)
    book = Logbook(logbook_path(), FakeClock())
    book.keep(machine(), yarn())
    drive(book.start(record("tube", TUBE)), BEGUN, rows(3))
    book.close()
    assert "2 files written" in found.sync()
    found.at("cabin")
    assert "came" in found.sync()
    return found


def test_a_session_goes_out_goes_on_and_comes_home(laptops: Laptops) -> None:
    laptops.crank(*[Pressed()] * 4)
    assert "1 file written" in laptops.sync()
    laptops.at("attic")
    assert "1 went on" in laptops.sync()
    assert laptops.count() == 7
    assert "0 files written" in laptops.sync()
    assert sorted(path.name for path in laptops.folder.iterdir()) == [f"{TUBE}.json", "shelf.json"]


def test_both_went_on_and_one_is_chosen_on_either(laptops: Laptops) -> None:
    laptops.crank(*[Pressed()] * 4)
    laptops.sync()
    laptops.at("attic")
    laptops.crank(Observed("dropped", 7), Pressed())
    said = laptops.sync(code=3)
    assert "A tube: changed in two places, and both are kept." in said
    assert laptops.count() == 4
    shown = laptops.run("logbook", "choose")
    assert "this laptop" in shown
    assert "cabin" in shown
    assert "4 rows and passes" in shown
    assert "1 row or pass and 1 other event" in shown
    ways = json.loads(laptops.run("logbook", "choose", TUBE, "--json"))["ways"]
    assert [way["from"] for way in ways] == ["this laptop", "cabin"]

    assert "There is no 3 to choose" in laptops.run("logbook", "choose", TUBE, "3", code=2)
    assert "the one from cabin is in its place now" in laptops.run("logbook", "choose", TUBE, "2")
    assert laptops.count() == 7
    laptops.sync()
    laptops.at("cabin")
    laptops.sync()
    assert laptops.count() == 7
    assert "beside it, another in its stead" in laptops.run("logbook", "choose", TUBE)
    assert laptops.run("logbook", "choose") == "Nothing was changed in two places.\n"
    assert "sound." in laptops.run("logbook", "check")

    laptops.run("logbook", "choose", TUBE, "2")  # one may think again
    assert laptops.count() == 4
    laptops.sync()
    laptops.at("attic")
    laptops.sync()
    assert laptops.count() == 4


def test_a_session_that_was_only_looked_at_is_no_question(laptops: Laptops) -> None:
    laptops.crank(Opened(), Pressed(), Pressed())
    laptops.sync()
    laptops.at("attic")
    laptops.crank(Opened(), Paused(), Resumed())
    assert "1 went on" in laptops.sync()
    assert laptops.count() == 5
    laptops.at("cabin")
    laptops.sync()
    assert laptops.count() == 5
    assert laptops.run("logbook", "choose") == "Nothing was changed in two places.\n"


def test_both_ways_leave_with_an_export(laptops: Laptops) -> None:
    laptops.crank(Pressed())
    laptops.sync()
    laptops.at("attic")
    laptops.crank(Observed("dropped", 7))
    laptops.sync(code=3)
    kept = laptops.place / "kept"
    assert "3 files written" in laptops.run("logbook", "export", "--folder", str(kept))
    laptops.at("new")
    assert "both kept" in laptops.run("logbook", "import", str(kept), code=3)
    assert "sound." in laptops.run("logbook", "check")


def test_whoever_is_forgotten_is_in_no_way_a_session_went_on(laptops: Laptops) -> None:
    coxswain = Wearer(id="coxswain-ab12", name="Wilhelmina")
    book = Logbook(logbook_path(), FakeClock())
    book.keep(coxswain)
    start = record("sock", "20231115-sock").model_copy(update={"wearer": coxswain, "title": "Wilhelmina, first"})
    begun = entries([Opened(), *BEGUN[:1]])
    book.take_in(start, begun)
    assert book.take_in(start, [begun[0], *entries([Observed("note", None, "for Wilhelmina")], first=2)])
    tube = book.store.find(TUBE)
    log = list(book.store.entries(tube.n))
    note = Observed("note", None, "as for Wilhelmina")
    book.take_in(book.begun(tube), [*log[:-1], *entries([note], first=len(log))])
    book.keep(coxswain.model_copy(update={"shoe_size": "39"}))
    book.close()
    laptops.sync(code=3)
    laptops.run("logbook", "forget", "Wilhelmina", "--yes")
    assert b"Wilhelmina" not in logbook_path().read_bytes()
    assert "sound." in laptops.run("logbook", "check")


def test_what_goes_on_after_it_was_chosen_stays_chosen(laptops: Laptops) -> None:
    laptops.crank(Pressed())
    laptops.sync()
    laptops.at("attic")
    laptops.crank(Observed("dropped", 7))
    laptops.sync(code=3)
    laptops.run("logbook", "choose", TUBE, "2")
    laptops.sync()
    laptops.at("cabin")  # it does not know yet that its own was chosen
    laptops.crank(Pressed(), Pressed())
    laptops.sync()
    assert laptops.count() == 6
    laptops.at("attic")
    laptops.sync()
    assert laptops.count() == 6
    laptops.crank(Opened())  # only looked at
    laptops.sync()
    laptops.at("cabin")
    laptops.crank(Opened(), Pressed())
    laptops.sync()
    laptops.at("attic")
    laptops.sync()
    assert laptops.count() == 7


def test_the_shelf_keeps_both_versions_and_asks(laptops: Laptops) -> None:
    _dye("slate")
    laptops.sync()
    laptops.at("attic")
    _dye("moss")
    assert "Grey: changed in two places" in laptops.sync(code=3)
    shown = laptops.run("logbook", "choose", yarn().id)
    assert "cabin" in shown
    assert "slate" in shown
    assert "moss" in shown
    laptops.run("logbook", "choose", yarn().id, "2")
    laptops.sync()
    laptops.at("cabin")
    laptops.sync()
    assert _colour() == "slate"
    _dye("rust")  # a change that saw the last one is no question
    laptops.sync()
    laptops.at("attic")
    assert "1 went on" in laptops.sync()
    assert _colour() == "rust"


def test_what_is_half_there_is_named_and_left(laptops: Laptops) -> None:
    path = laptops.folder / f"{TUBE}.json"
    half = path.read_text(encoding="utf-8")[:-40]
    path.write_text(half, encoding="utf-8")
    (laptops.folder / "letter.json").write_text("Dear coxswain", encoding="utf-8")
    laptops.crank(Pressed())
    said = laptops.sync(code=1)
    assert f"left as it is: {path}" in said
    assert "letter.json is not a session file" in said
    assert path.read_text(encoding="utf-8") == half


def test_a_copy_that_was_laid_beside_is_taken_in_and_told(laptops: Laptops) -> None:
    path = laptops.folder / f"{TUBE}.json"
    old = path.read_bytes()
    laptops.crank(Pressed())
    laptops.sync()
    (laptops.folder / f"{TUBE} (copy of the attic).json").write_bytes(old)
    assert "you may remove it" in laptops.sync()
    laptops.at("attic")
    laptops.sync()
    assert laptops.count() == 4


@pytest.mark.parametrize("wrong", ["gone", "home"])
def test_a_folder_that_cannot_be_it_is_refused(laptops: Laptops, wrong: str) -> None:
    folder = {"gone": laptops.place / "no-drive", "home": laptops.place / "cabin"}[wrong]
    said = laptops.run("sync", str(folder), code=2)
    assert {"gone": "There is no folder", "home": "choose another folder"}[wrong] in said


def test_a_laptop_is_called_as_it_is_set(laptops: Laptops, write_settings: Callable[[str], None]) -> None:
    write_settings('laptop = "loft"')
    laptops.crank(Pressed())
    laptops.run("sync", str(laptops.folder))
    assert '"laptop": "loft"' in (laptops.folder / f"{TUBE}.json").read_text(encoding="utf-8")


@pytest.fixture
def write_settings(laptops: Laptops) -> Callable[[str], None]:
    def write(text: str) -> None:
        (laptops.place / laptops.name / "settings.toml").write_text(f"{text}\n", encoding="utf-8")

    return write


def _dye(colour: str) -> None:
    book = Logbook(logbook_path())
    mine = book.get(Yarn, yarn().id)
    assert mine is not None
    book.keep(mine.model_copy(update={"colour": colour}))
    book.close()


def _colour() -> str:
    book = Logbook(logbook_path())
    mine = book.get(Yarn, yarn().id)
    book.close()
    assert mine is not None
    return mine.colour
