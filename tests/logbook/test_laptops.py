"""Three laptops that exchange at random end alike, and nothing that was done on any of them is lost."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hosewright.logbook import versions, ways
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.records.year import Care, Lot, Promise
from hosewright.logbook.travel.merge import merge
from hosewright.logbook.travel.sync import sync
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.versions import open_things, shelf_of
from hosewright.session.events import Observed, Opened, Pressed
from tests.helpers import BEGUN, START_MS, FakeClock, drive, machine, record, yarn

if TYPE_CHECKING:
    from pathlib import Path

SESSIONS = ("20231114-one", "20231114-two")
LAPTOPS = ("attic", "cabin", "kitchen")
deeds = st.one_of(
    st.tuples(st.sampled_from(["crank", "note", "look", "sock-choice"]), st.integers(0, 2), st.integers(0, 1)),
    st.tuples(st.sampled_from(["dye", "buy", "promise", "oil", "yarn-choice"]), st.integers(0, 2), st.integers(0, 3)),
    st.tuples(st.sampled_from(["sync", "sync", "merge"]), st.integers(0, 2), st.integers(0, 2)),
)


class House:
    """Three laptops, each with what it ever showed, and the folder between them."""

    def __init__(self, place: Path) -> None:
        self.folder = place / "shared"
        self.seen: dict[str, list[list[object]]] = {session: [] for session in SESSIONS}
        self.kept: set[str] = set()
        clocks = (FakeClock(START_MS + at, step_ms=1000) for at in range(len(LAPTOPS)))
        self.books = [Logbook(place / f"{name}.sqlite", clock) for name, clock in zip(LAPTOPS, clocks, strict=True)]

    @classmethod
    def begun(cls, place: Path) -> House:
        """All three know the same two tubes, begun on the first."""
        (place / "shared").mkdir(parents=True)
        house = cls(place)
        house.books[0].keep(machine(), yarn())
        for session in SESSIONS:
            drive(house.books[0].start(record("tube", session)), BEGUN)
        for at in (0, 1, 2):
            house.sync(at)
        return house

    def sync(self, at: int) -> None:
        sync(self.books[at], self.folder, LAPTOPS[at])

    def do(self, deed: str, at: int, what: int) -> None:
        book = self.books[at]
        number = len(self.kept)
        match deed:
            case "crank" | "note":
                live = book.take_up(SESSIONS[what])
                drive(live, Pressed() if deed == "crank" else Observed("note", None, f"{LAPTOPS[at]} {number}"))
                self.seen[SESSIONS[what]].append(list(book.store.entries(live.n)))
            case "look":
                drive(book.take_up(SESSIONS[what]), Opened())
            case "sock-choice":
                every = ways.ways_of(book.store, SESSIONS[what])
                book.keep(ways.choice(every, every[-1].key, *book.clock.now()[:2]))
            case "dye":
                mine = book.get(Yarn, yarn().id)
                assert mine is not None
                book.keep(mine.model_copy(update={"colour": f"slate {what}"}))
            case "yarn-choice":
                for thing, beside in open_things(book):
                    versions.choose(book, (thing if what % 2 else beside[0].of_shelf), beside)
            case "buy":
                self._keep(at, Lot(id=f"lot-{at}-{number}", name="7 C", yarn=yarn().id, grams=100, bought="2026-01-09"))
            case "promise":
                self._keep(at, Promise(id=f"pair-{at}-{number}", name="A pair", yarn=yarn().id, made="2026-01-10"))
            case "oil":
                self._keep(at, Care(id=f"oil-{at}-{number}", machine=machine().id, at_ms=START_MS, what="oiled"))
            case "sync":
                self.sync(at)
            case "merge":
                if what != at:
                    self.books[what].store.fold_log_in()
                    merge(book, self.books[what].path)

    def _keep(self, at: int, thing: Lot | Promise | Care) -> None:
        self.books[at].keep(thing)
        self.kept.add(thing.id)

    def close(self) -> None:
        for book in self.books:
            book.close()


def told(book: Logbook) -> object:
    """All that laptops must have alike: every way and which stand, every version and which stand, what is in place."""
    sessions = {}
    for session in SESSIONS:
        every = ways.ways_of(book.store, session)
        stand = sorted(way.key for way in every if way.stands)
        sessions[session] = (sorted(way.key for way in every), stand, every[0].key if len(stand) == 1 else "to choose")
    return sessions, shelf_of(book)


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("begun") / "house"
    House.begun(place).close()
    return place


BOTH_GO_ON = [("crank", 0, 0), ("note", 1, 0), ("sync", 0, 0), ("sync", 1, 0), ("sync", 0, 0), ("sock-choice", 0, 0)]
EACH_CHOOSES = [*BOTH_GO_ON, ("crank", 1, 0), ("sock-choice", 1, 0), ("sync", 1, 0), ("sock-choice", 1, 0)]
EACH_DYES = [("dye", 0, 1), ("dye", 1, 2), ("merge", 0, 1), ("sync", 1, 0), ("sync", 0, 0), ("yarn-choice", 0, 0)]


@example(BOTH_GO_ON, [0, 1, 2])
@example([*BOTH_GO_ON, ("sync", 0, 0), ("sync", 1, 0), ("sock-choice", 1, 0)], [1, 0, 2])
@example([*BOTH_GO_ON, ("sync", 0, 0), ("sync", 1, 0), ("look", 0, 0), ("crank", 1, 0)], [0, 1, 2])
@example(EACH_CHOOSES, [2, 1, 0])
@example(EACH_DYES, [0, 1, 2])
@settings(max_examples=max(12, settings().max_examples // 6))  # each is half a second of disks
@given(st.lists(deeds, min_size=4, max_size=14), st.permutations([0, 1, 2]))
def test_three_laptops_that_exchange_at_random_end_alike(
    tmp_path_factory: pytest.TempPathFactory, begun: Path, done: list[tuple[str, int, int]], order: list[int]
) -> None:
    house = House(shutil.copytree(begun, tmp_path_factory.mktemp("any") / "house"))
    for deed in done:
        house.do(*deed)
    for at in (*order, *order):
        house.sync(at)
    first = told(house.books[0])
    assert told(house.books[1]) == first
    assert told(house.books[2]) == first
    before = {path.name: path.read_bytes() for path in house.folder.iterdir()}
    for at in reversed(order):  # once more changes nothing
        house.sync(at)
    assert {path.name: path.read_bytes() for path in house.folder.iterdir()} == before
    assert told(house.books[0]) == first
    for session, lists in house.seen.items():
        known = [way.entries for way in ways.ways_of(house.books[0].store, session)]
        for entries in lists:
            assert any(way[: len(entries)] == entries for way in known), "something that was cranked is lost"
    for book in house.books:
        shelf = {item for kind, item in shelf_of(book) if kind in ("lot", "promise", "care")}
        assert shelf == house.kept
        assert find_damage(book)[1] == []
    house.close()
