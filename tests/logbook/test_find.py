"""Finding sessions: what is found, in what order, how it is asked, and that thousands cost no more than ten."""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.entered_twice import merge_into
from hosewright.logbook.file.lists import fill_lists
from hosewright.logbook.file.schema import make, migrate
from hosewright.logbook.find.sessions import ORDERS, Found, count, find, page_query
from hosewright.logbook.find.wanted import Wanted, faults_called, read_wanted
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Wearer
from hosewright.logbook.records.year import Lot, Promise
from hosewright.session.events import (
    Abandoned,
    Amended,
    Confirmed,
    DialMoved,
    LeftOut,
    Observed,
    ReadOff,
    Spoilt,
    Struck,
    TakenIn,
)
from hosewright.session.observations import FAULT_WORDS
from hosewright.session.results import choice
from hosewright.session.steps import id_in
from tests.helpers import crank_to, drive, measure_tube, record, rows, string_of
from tests.logbook.test_planned_and_verdicts import plan

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

DAY_MS = 86_400_000


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """Ten thousand sessions, one in fifty of them unfinished."""
    book = Logbook(tmp_path_factory.mktemp("many") / "logbook.sqlite")
    start = record("tube")
    with book.store.one_commit():
        for n in range(10_000):
            yarn = start.yarn.model_copy(update={"name": f"Yarn {n % 97}", "note": "soft" if n % 10 == 0 else ""})
            one = start.model_copy(
                update={"id": f"many-{n:05}", "title": f"Tube {n}", "started_ms": n * DAY_MS // 7, "yarn": yarn}
            )
            at = book.store.add_session(one)
            if n % 50:
                book.store.set_status(at, "finished", n * DAY_MS // 7)
    yield book
    book.close()


def _ids(book: Logbook, text: str) -> set[str]:
    return {found.id for found in find(book.store, read_wanted(text), most=1000)}


@pytest.mark.parametrize(
    ("text", "tails"),
    [
        (
            "",
            {
                "gryfnd",
                "grytub",
                "coxone",
                "coxtwo",
                "orgfnd",
                "orgtub",
                "mechan",
                "gryagn",
                "nvyfnd",
                "nvytub",
                "launch",
            },
        ),
        ("orange", {"orgfnd", "orgtub", "launch"}),
        ("ORA sock", {"launch"}),
        ("yarn:navy", {"nvyfnd", "nvytub"}),
        ("cylinder:60", {"orgfnd", "orgtub", "launch"}),
        ("wearer:coxswain", {"coxone", "coxtwo"}),
        ("kind:search", {"gryfnd", "orgfnd", "nvyfnd"}),
        ("twin", {"coxtwo"}),
        ("latch", {"coxone", "coxtwo", "mechan"}),
        ("grey ladder", {"mechan"}),
        ('notes:"new latch"', {"coxtwo"}),
        ("status:drying", {"nvytub"}),
        ("status:waiting", {"nvytub"}),
        ("status:given-up", {"mechan"}),
        ('status:"given up"', {"mechan"}),
        ("kind:stitch-size", {"gryfnd", "orgfnd", "nvyfnd"}),
        ("since:2025-12", {"nvytub", "launch"}),
        ("until:2024-10-06", {"gryfnd", "grytub"}),
        ("began:2024 kind:sock", {"coxone", "coxtwo"}),
        ("verdict:right kind:tube", {"grytub", "orgtub"}),
        ("dropped", {"coxone", "mechan"}),
        ("seen:drops kind:sock", {"coxone", "mechan"}),
        ("fell off", {"coxone"}),
        ("notes:dropped", set()),
        ("nothing-like-it", set()),
        ("machine:boathouse since:2025-11-22 until:2025-11-22", {"nvyfnd"}),
        ("machine:boathouse 22.11.2025", {"nvyfnd"}),
    ],
)
def test_what_is_found(samples: Logbook, text: str, tails: set[str]) -> None:
    found = _ids(samples, text)
    assert tails <= {one.split("-")[1] for one in found}
    assert len(found) == count(samples.store, read_wanted(text))
    if not tails:
        assert found == set()


@pytest.mark.parametrize(
    ("text", "tails"),
    [
        ("verdict:right", {"grytub", "coxone", "coxtwo", "orgtub", "strsix"}),
        ("verdict:right -kind:string -kind:tube", {"coxone", "coxtwo"}),
        ('"new latch"', {"coxtwo"}),
        ('"latch new"', set()),
        ("latch -notes:new", {"coxone", "mechan"}),
        ("needle:31 -kind:tube", {"mechan", "coxtwo", "coxone"}),
        ("dial:>29 kind:tube", {"orgtub", "strtub"}),
        ("gauge:>14 kind:tube", set()),
        ("lot:88", {"helmst", "strtub"}),
        ("pace:<25", {"gryfnd", "orgfnd"}),
        ("July 2025", set()),
        ("since:1 Dec 2025", {"nvytub", "launch", "helmst"}),
        ("-since:2025 kind:sock", {"coxone", "coxtwo"}),
    ],
)
def test_what_is_found_and_nothing_else(samples: Logbook, text: str, tails: set[str]) -> None:
    found = _ids(samples, text)
    assert {one.split("-")[1] for one in found} == tails
    assert len(found) == count(samples.store, read_wanted(text))


@pytest.mark.parametrize(
    ("said", "right"),
    [
        ("round right, length right", True),
        ("round right", False),
        ("round right, length too long", False),
        ("sock 1 round right, sock 1 length too long, sock 2 round tight, sock 2 length right", False),
        ("sock 1 round right, sock 1 length too long, sock 12 round right, sock 12 length right", True),
    ],
)
def test_right_is_right_round_and_in_length(tmp_path: Path, said: str, right: bool) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite")) as book:
        live = book.start(record("tube", "20240101-judged"))
        with book.store.one_commit():
            book.store.set_verdict(live.n, said)
        assert bool(_ids(book, "verdict:right")) is right
        assert bool(_ids(book, "-verdict:right")) is not right


def test_a_session_is_found_by_whom_it_was_promised_to(tmp_path: Path) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite")) as book:
        book.keep(Wearer(id="cook", name="Ship's cook"))
        book.keep(Promise(id="pair", name="Galley pair", yarn="moss", wearer="cook", made="2024-01-01"))
        book.start(record("tube", "20240101-theirs").model_copy(update={"promise": "pair"}))
        book.start(record("tube", "20240101-other").model_copy(update={"promise": "pairs"}))
        for said in ("for:galley", "for:cook", 'for:"cook ship"'):
            assert _ids(book, said) == {"20240101-theirs"}, said
        assert not _ids(book, "for:pair2")
        stoker = Wearer(id="stoker", name="Stoker")
        book.keep(stoker)
        merge_into(book, book.shelf(Wearer)[0], stoker)
        assert _ids(book, "for:stoker") == {"20240101-theirs"}, "the two turned out to be one"


def test_a_gauge_is_found_as_it_is_written(samples: Logbook) -> None:
    rates = {one.session: one.rows_per_mm * 25.4 for one in samples.gauges()}
    session, rate = next(iter(rates.items()))
    near = {one for one, other in rates.items() if round(other, 1) == round(rate, 1)}
    assert session in near
    assert _ids(samples, f"gauge:{rate:.1f}") == near
    assert _ids(samples, f"gauge:{rate - 0.01:.3f}-{rate + 0.01:.3f}") >= {session}
    assert not _ids(samples, "gauge:<1")


def test_the_dial_and_the_pace_follow_a_session_that_goes_on(tmp_path: Path) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite")) as book:
        live = book.start(record("tube", "20240101-moved"))
        drive(live, DialMoved(31))
        assert _ids(book, "dial:31") == {"20240101-moved"}
        drive(live, DialMoved(33))
        assert not _ids(book, "dial:31")
        assert _ids(book, "dial:33") == {"20240101-moved"}
        drive(live, LeftOut("felted"))
        assert _ids(book, "status:left-out") == {"20240101-moved"}
        drive(live, TakenIn())
        assert not _ids(book, "status:left-out")


def test_a_lot_joined_on_is_found_and_one_struck_out_is_not(tmp_path: Path) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite")) as book:
        book.keep(Lot(id="ferry", name="Ferry 417", yarn="moss", grams=100, bought="2024-01-01"))
        live = book.start(record("tube", "20240101-joined"))
        drive(live, Observed("knot"))
        knot = live.state.last_seq
        drive(live, Amended(knot, lot="ferry"))
        assert _ids(book, "lot:417") == _ids(book, "lot:ferry") == {"20240101-joined"}
        assert not _ids(book, "lot:17")
        drive(live, Struck(knot))
        assert not _ids(book, "lot:417")


def test_unfinished_and_waiting_ones_stand_on_top_in_every_order(samples: Logbook) -> None:
    for order in ORDERS:
        for falling in (True, False):
            found = find(samples.store, Wanted(), order, falling=falling, most=1000)
            assert [one.on_top for one in found] == sorted((one.on_top for one in found), reverse=True)
            for on_top in (0, 1):
                keys = [_key(one.at(order)) for one in found if one.on_top == on_top]
                assert keys == sorted(keys, reverse=falling), order


def _key(value: int | str) -> int | str:
    return value if isinstance(value, int) else value.lower()


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("falling", [True, False])
def test_page_after_page_comes_to_the_whole(samples: Logbook, order: str, falling: bool) -> None:
    whole = find(samples.store, Wanted(), order, falling=falling, most=1000)  # type: ignore[arg-type]
    paged: list[Found] = []
    while page := find(
        samples.store,
        Wanted(),
        order,  # type: ignore[arg-type]
        falling=falling,
        after=paged[-1] if paged else None,
        most=3,
    ):
        paged += page
    assert paged == whole


def test_the_catalogue_says_what_the_sessions_say(samples: Logbook) -> None:
    listed = {one.id: one for one in find(samples.store, Wanted(), most=1000)}
    assert len(listed) == len(samples.store.lines())
    for line in samples.store.lines():
        found = listed[line.id]
        start, state = samples.record(line), samples.state(line)
        assert (found.title, found.kind, found.status, found.began) == (
            line.title,
            line.kind,
            line.status,
            line.started_ms,
        )
        assert (found.yarn, found.cylinder, found.slots) == (start.yarn.name, start.cylinder.name, start.cylinder.slots)
        socks = {n: f"sock {n} " for n in start.each_sock} if start.socks else {0: ""}
        said = [
            f"{which}{word}{said}"
            for number, which in socks.items()
            for field, word in (("on-foot", ""), ("fit", "round "), ("fit-length", "length "))
            if (said := choice(state, id_in(number, field))) is not None
        ]
        assert found.verdict == ", ".join(said)


def test_a_verdict_struck_out_counts_no_more(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    measure_tube(live)
    drive(live, ReadOff("on-foot", 0), ReadOff("on-foot", 2))
    assert _verdict(book) == "tight"
    drive(live, Struck(live.state.last_seq))
    assert _verdict(book) == "loose" == choice(live.state, "on-foot")
    assert _ids(book, "verdict:tight") == set()
    assert _ids(book, "verdict:loose") == {live.record.id}


def _verdict(book: Logbook) -> str:
    return find(book.store, Wanted())[0].verdict


def test_notes_and_standing_follow_at_once(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    assert _ids(book, "moth") == set()
    drive(live, Observed("note", None, "a moth hole"))
    assert _ids(book, "moth") == {live.record.id}
    drive(live, Observed("dropped"), Amended(live.state.last_seq + 1, 23, "hooked up"), Abandoned("supper"))
    assert _ids(book, "hooked supper status:abandoned") == {live.record.id}
    assert find(book.store, Wanted())[0].on_top == 0
    assert book.store.db.execute("SELECT fault, needle, struck FROM seen WHERE fault = 'dropped'").fetchall() == [
        ("dropped", 23, 0)
    ]


def test_a_fault_is_found_by_the_words_on_the_screen(book: Logbook) -> None:
    for fault, words in FAULT_WORDS.items():
        live = book.start(record("tube", f"20231114-{fault}"))
        crank_to(live, "tube")
        drive(live, Observed(fault))
        assert f"20231114-{fault}" in _ids(book, words)
        assert f"20231114-{fault}" in _ids(book, f"seen:{words.split()[0]}")
        drive(live, Struck(live.state.last_seq))
        assert f"20231114-{fault}" not in _ids(book, words), "one struck out was not seen after all"
    assert _ids(book, "title:dropped") == set()
    assert faults_called("yarn") == ("split", "yarn-broke")
    assert faults_called("Knots") == ("knot",)


def test_a_fault_put_right_is_found_as_what_it_turned_out_to_be(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    drive(live, Observed("dropped", 7))
    seen = live.state.last_seq
    drive(live, Amended(seen, 9, fault="tuck"))
    assert (_ids(book, "tuck"), _ids(book, "dropped")) == ({live.record.id}, set())
    drive(live, Amended(seen, note="or so it looked"), Amended(seen, 0))
    noted = "SELECT fault, needle FROM seen"
    assert book.store.db.execute(noted).fetchall() == [("tuck", None)]
    (observation,) = live.state.observations
    assert (observation.fault, observation.needle) == ("tuck", None)
    fill_lists(book.store.db)
    assert book.store.db.execute(noted).fetchall() == [("tuck", None)], "worked out again it comes to the same"


def test_a_string_is_found_by_each_of_its_wearers_and_says_which_sock(book: Logbook) -> None:
    one, other = Wearer(id="foot-one", name="Cook"), Wearer(id="foot-two", name="Launcher")
    socks = tuple(StringSock(plan=plan(), wearer=who) for who in (one, one, other))
    start = record("tube", steps=string_of(3)).model_copy(update={"kind": "string", "socks": socks, "title": "Three"})
    live = book.start(SessionRecord.model_validate(start.model_dump()))
    for text in ("cook", "wearer:launcher", "kind:string", "string socks", "cook launcher three"):
        assert _ids(book, text) == {live.record.id}, text
    assert find(book.store, Wanted())[0].wearer == "Cook, Launcher"
    crank_to(live, "s1-foot")
    drive(live, rows(3), Spoilt("laddered from the heel", again=True))
    assert _ids(book, "laddered") == {live.record.id}
    crank_to(live, "s1-try-on")
    drive(live, ReadOff("s1-fit", 1), Confirmed(), ReadOff("s2-fit", 2), ReadOff("s2-fit-length", 0))
    said = "sock 1 round right, sock 2 round tight, sock 2 length too short"
    assert _verdict(book) == said
    assert _ids(book, "verdict:tight") == {live.record.id}
    drive(live, Struck(live.state.last_seq))
    assert _verdict(book) == said.removesuffix(", sock 2 length too short")
    stands = "SELECT wearer, verdict FROM catalogue", "SELECT wearer, kind, verdict FROM words WHERE rowid < 0"
    was = [book.store.db.execute(query).fetchall() for query in stands]
    fill_lists(book.store.db)
    assert [book.store.db.execute(query).fetchall() for query in stands] == was


def test_an_older_logbook_comes_to_the_same_tables(samples: Logbook, tmp_path: Path) -> None:
    """A logbook from before there was a catalogue, filled, then brought up: the same as one filled afterwards."""
    old = sqlite3.connect(tmp_path / "old.sqlite", isolation_level=None)
    make(old, 1)
    old.execute("PRAGMA user_version = 1")
    new = samples.store.db
    for table in ("sessions", "events", "measurements"):
        columns = ", ".join(row[1] for row in old.execute(f"PRAGMA table_info({table})"))
        rows = new.execute(f"SELECT {columns} FROM {table}").fetchall()
        old.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)
    migrate(old)
    for query in (
        "SELECT * FROM catalogue ORDER BY session",
        "SELECT * FROM seen ORDER BY session, seq",
        "SELECT * FROM words ORDER BY session, title DESC, notes",
    ):
        assert old.execute(query).fetchall() == new.execute(query).fetchall(), query
    old.close()


def test_a_start_that_cannot_be_read_keeps_no_logbook_shut(tmp_path: Path) -> None:
    db = sqlite3.connect(tmp_path / "damaged.sqlite", isolation_level=None)
    make(db, 1)
    db.execute("PRAGMA user_version = 1")
    db.execute("INSERT INTO sessions VALUES (1, 'a-b', 'tube', 'Torn', 5, 'open', 5, '{\"yarn\": ')")
    db.execute("INSERT INTO events VALUES (1, 1, 5, 0, 5, 'observed', '{\"fault')")
    migrate(db)
    assert db.execute("SELECT title, yarn FROM catalogue").fetchall() == [("Torn", "")]
    db.close()


# --- ten thousand ----------------------------------------------------------------------------------------------


def _plan(book: Logbook, sql: str, values: tuple[object, ...]) -> list[str]:
    return [row[3] for row in book.store.db.execute(f"EXPLAIN QUERY PLAN {sql}", values)]


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("falling", [True, False])
def test_no_page_reads_the_whole_table_or_sorts_it(many: Logbook, order: str, falling: bool) -> None:
    last = find(many.store, Wanted(), order, falling=falling, most=400)[-1]  # type: ignore[arg-type]
    for after in (None, last):
        sql, values = page_query(Wanted(), order, falling=falling, on_top=0, after=after)  # type: ignore[arg-type]
        plan = _plan(many, f"{sql} LIMIT 50", values)
        assert not [step for step in plan if step.startswith("SCAN") or "TEMP B-TREE" in step], plan
        assert any(f"catalogue_by_{order}" in step for step in plan), plan


def test_words_are_looked_up_in_the_index_and_not_read_through(many: Logbook) -> None:
    sql, values = page_query(read_wanted("yarn:13 soft"), "began", falling=True, on_top=0, after=None)
    plan = _plan(many, f"{sql} LIMIT 50", values)
    assert not [step for step in plan if step.startswith("SCAN") and "VIRTUAL TABLE INDEX" not in step], plan


def test_faults_are_looked_up_in_their_index(many: Logbook) -> None:
    sql, values = page_query(read_wanted("dropped"), "began", falling=True, on_top=0, after=None)
    plan = _plan(many, f"{sql} LIMIT 50", values)
    assert not [step for step in plan if step.startswith("SCAN") and "VIRTUAL TABLE INDEX" not in step], plan
    assert any("seen_by_fault" in step for step in plan), plan


@pytest.mark.parametrize("text", ["", "yarn:13", "soft", "tube 99", "kind:search", "since:1972"])
def test_a_page_of_ten_thousand_comes_at_once(many: Logbook, text: str) -> None:
    wanted = read_wanted(text)
    begun = time.perf_counter()
    found = find(many.store, wanted, "title", falling=False)
    spent = time.perf_counter() - begun
    assert len(found) <= 50
    assert bool(found) == (text != "kind:search")
    assert spent < 0.5  # a few hundredths on any machine; the bound is loose so that a busy one does not fail


def test_all_ten_thousand_can_be_walked(many: Logbook) -> None:
    seen: list[str] = []
    last = None
    while page := find(many.store, Wanted(), "yarn", after=last, most=500):
        seen += [one.id for one in page]
        last = page[-1]
    assert len(seen) == len(set(seen)) == 10_000 == count(many.store, Wanted())
