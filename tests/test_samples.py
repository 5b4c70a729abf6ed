"""The sample sessions: just what the script makes, taken in without trouble, and worth looking at."""

from __future__ import annotations

import itertools
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import PREPARED, open_practice
from hosewright.logbook.accounts.pairs import pairs
from hosewright.logbook.accounts.stock import stocks
from hosewright.logbook.book import Logbook
from hosewright.logbook.glance import look
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Promise
from hosewright.logbook.travel import shelf_file
from hosewright.logbook.travel.session_files import parse, read, write
from hosewright.phrases.days import days_to, local_day
from hosewright.phrases.times import local
from hosewright.places import shipped_folder
from hosewright.session.events import Entry, Paused, Pressed, Recounted, Rehung, Struck, Undone, Voided
from hosewright.session.results import cranked, pieces_of
from hosewright.session.words import now_words
from tests.helpers import FakeClock
from tests.make_samples import FOLDER, made, prepare

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.state import State

FILES = sorted(path.name for path in FOLDER.glob("[0-9]*.json"))
FOURTEEN_MONTHS_MS = 14 * 30 * 86_400_000


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """Every sample session in one logbook, and the shelf with them."""
    book = Logbook(tmp_path_factory.mktemp("practice") / "logbook.sqlite")
    shelf_file.take_in(book, shelf_file.parse((FOLDER / shelf_file.NAME).read_text(encoding="utf-8")))
    for name in FILES:
        sample = read(FOLDER / name)
        assert book.take_in(sample.session, sample.entries())
    yield book
    book.close()


def found(practice: Logbook, beginning: str) -> tuple[SessionRecord, State, list[Entry]]:
    line = next(line for line in practice.lines() if line.id.endswith(beginning))
    return practice.record(line), practice.state(line), list(practice.store.entries(line.n))


def test_the_files_are_what_the_script_makes() -> None:
    script = made()
    assert sorted(script) == [*FILES, "shelf.json"]
    for name, text in script.items():
        assert (FOLDER / name).read_bytes().decode() == text, f"{name}: run python -m tests.make_samples"


def test_practice_begins_with_the_logbook_that_they_make(tmp_path: Path) -> None:
    prepare(tmp_path / PREPARED)
    told = []
    for path in (FOLDER / PREPARED, tmp_path / PREPARED):
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as db:
            told.append(list(db.iterdump()))
    assert told[0] == told[1], f"{PREPARED}: run python -m tests.make_samples"


def test_they_are_the_ones_that_are_shipped() -> None:
    assert shipped_folder("sample_sessions") == FOLDER


@pytest.mark.parametrize("name", FILES)
def test_each_is_a_sound_session_file(name: str) -> None:
    text = (FOLDER / name).read_text(encoding="utf-8")
    sample = parse(text)
    assert write(sample.session, sample.entries()) == text
    assert f"`{name.removesuffix('.json')}`" in (FOLDER / "README.md").read_text(encoding="utf-8")


def test_every_event_in_them_was_one_that_could_happen(practice: Logbook) -> None:
    for line in practice.lines():
        assert practice.state(line).ignored == 0, line.title
    assert practice.store.damage() == []


def test_there_are_enough_of_them_over_enough_time(practice: Logbook) -> None:
    lines = practice.lines()
    assert len(lines) >= 9
    begun = [line.started_ms for line in lines]
    assert max(begun) - min(begun) >= FOURTEEN_MONTHS_MS
    kinds = [line.kind for line in lines]
    assert [kinds.count(kind) for kind in ("search", "tube", "sock", "string")] == [3, 6, 5, 1]


def test_what_a_knitter_asks_on_coming_in(practice: Logbook) -> None:
    assert [line.id for line in practice.lines("waiting")] == ["20251203-nvytub"]
    going_on = ["20251205-launch", "20251204-helmst", "20251203-nvytub"]
    assert [line.id for line in practice.lines("open", "waiting")] == going_on
    assert [line.id for line in practice.lines("abandoned")] == ["20250208-mechan"]
    glance = look(practice.store)
    assert [item.id for item in glance.at("drying")] == ["20251203-nvytub"]
    assert not [item.words for item in glance.next if item.doing == "sock"]  # every planned sock was cranked or is
    on_machine, on_the_other = glance.at("on the machine")
    assert on_the_other.id == "20251204-helmst"
    assert (on_machine.id, on_machine.paused) == ("20251205-launch", True)
    assert on_machine.hands == (
        "heel, pass 24 of 40: carrier on the right, needle 9 comes down on the left, then crank"
    )


def test_the_shelf_comes_with_them(practice: Logbook) -> None:
    assert len(practice.shelf(Machine)) == 2
    assert all(machine.heel_half and machine.carrier_turns for machine in practice.shelf(Machine))
    assert sorted(item.slots for item in practice.shelf(Cylinder)) == [54, 60, 64, 80]
    assert len(practice.shelf(Yarn)) == 4
    crew = {"coxswain", "mechanic", "launcher", "cook", "helm", "tractor-driver", "shore-crew"}
    assert {item.id for item in practice.shelf(Wearer)} == crew
    assert [item.name for item in practice.shelf(Wearer) if item.caution] == ["Cook"]
    assert len(practice.shelf(Plan)) == 6


def test_six_socks_in_one_string_with_one_spoilt(practice: Logbook) -> None:
    record, state, _ = found(practice, "strsix")
    socks = pieces_of(state)
    assert [(sock.number, sock.standing) for sock in socks] == [
        (1, "cranked"),
        (2, "cranked"),
        (3, "cranked"),
        (4, "spoilt"),
        (4, "cranked"),
        (5, "cranked"),
        (6, "cranked"),
    ]
    assert socks[3].reason.startswith("needle 20 tore a hole")
    assert [sock.twin for sock in record.socks] == [False, True] * 3
    assert state.status == "finished"


def test_what_the_shelf_shows(practice: Logbook) -> None:
    """No gram of a lot is lost, a promised pair is as far as its sessions say, and the oil is due."""
    lots = {lot.lot.name: lot.account for yarn in stocks(practice) for lot in yarn.lots}
    for account in lots.values():
        assert account.bought == account.used + account.promised + account.left
    assert lots["4502"].unaccounted != 0
    stages = {pair.promise.id: [sock.stage for sock in pair.socks] for pair in pairs(practice)}
    assert stages["pair-driver"] == ["tried on", "tried on"]
    assert stages["pair-helm"] == ["on the machine", "not begun"]


def test_the_searches_find_what_the_rules_say(practice: Logbook) -> None:
    assert found(practice, "gryfnd")[1].baseline == 27
    assert found(practice, "orgfnd")[1].baseline == 33
    _, navy, log = found(practice, "nvyfnd")
    assert navy.baseline == 23
    assert any(isinstance(entry.event, Voided) for entry in log)
    assert [trial.void for trial in navy.trials] == [True, True, False, False, False]
    assert [trial.verdict for trial in found(practice, "orgfnd")[1].trials] == ["stay", "drop", "drop"]


def test_does_last_winters_gauge_hold(practice: Logbook) -> None:
    grey = [gauge for gauge in practice.gauges() if gauge.yarn == "slack-water-grey"]
    newer, older = [gauge for gauge in grey if gauge.dial == 27]
    assert [gauge.dial for gauge in grey] == [27, 29, 27]
    assert newer.at_ms - older.at_ms > 360 * 86_400_000
    assert older.rows_per_mm == pytest.approx(60 / ((155.575 + 154.9 + 156.1) / 3))
    assert 1.0 < newer.rows_per_mm / older.rows_per_mm < 1.03
    for gauge in practice.gauges():
        assert 1.1 < gauge.rows_per_mm / gauge.stitches_per_mm < 1.5, "a tube that looks mismeasured is no sample"


def test_the_first_sock_shows_all_that_can_happen(practice: Logbook) -> None:
    _, state, log = found(practice, "coxone")
    assert state.status == "finished"
    for kind in (Undone, Paused, Rehung, Recounted):
        assert any(isinstance(entry.event, kind) for entry in log), kind.__name__
    assert {seen.fault for seen in state.observations} == {"dropped", "fell-off", "tuck", "knot"}
    assert any(isinstance(entry.event, Struck) for entry in found(practice, "grytub")[2])


def test_the_twin_matches_row_for_row(practice: Logbook) -> None:
    first, first_state, _ = found(practice, "coxone")
    twin, twin_state, _ = found(practice, "coxtwo")
    assert twin.twin_of == first.id
    assert cranked(twin_state) == cranked(first_state)
    assert first.plan is not None
    assert cranked(first_state)["foot"] == first.plan.foot_rows + 1, "the row too many is in both"


def test_the_plans_are_followed_and_the_yarn_is_about_what_was_foretold(practice: Logbook) -> None:
    first, state, _ = found(practice, "coxone")
    assert first.plan is not None
    assert first.plan.grams_per_pair == pytest.approx(2 * state.values("mass")[0], rel=0.05)
    targets = {step.id: step.target for step in first.steps if step.kind in ("rows", "passes")}
    assert all(targets[part.name] == part.count for part in first.plan.parts)


def test_a_needle_that_keeps_dropping_can_be_found(practice: Logbook) -> None:
    dropped = [
        seen.needle
        for line in practice.lines()
        for seen in practice.state(line).observations
        if seen.fault == "dropped"
    ]
    assert dropped.count(31) >= 5


def test_the_half_cranked_sock_can_be_gone_on_with(practice: Logbook) -> None:
    line = practice.store.find("20251205-launch")
    assert now_words(practice.state(line)).startswith("heel, pass 24 of 40")
    assert practice.take_up(line.id).paces.passes.per_minute is not None


def test_the_hands_are_not_a_metronome(practice: Logbook) -> None:
    _, _, log = found(practice, "coxone")
    pairs = itertools.pairwise(log)
    gaps = [b.tick_ms - a.tick_ms for a, b in pairs if isinstance(a.event, Pressed) and isinstance(b.event, Pressed)]
    assert len(set(gaps)) > 150
    assert min(gaps) > 0


@pytest.mark.parametrize("now_ms", [1_765_022_400_000, 1_900_000_000_000])
def test_practice_opens_on_work_left_yesterday(tmp_path: Path, now_ms: int) -> None:
    with closing(open_practice(tmp_path, FakeClock(now_ms, zone_min=0))) as book:
        today = local_day(book.clock)
        newest = max((list(book.store.entries(line.n))[-1] for line in book.lines()), key=lambda entry: entry.at_ms)
        assert (today - local(newest.at_ms, newest.zone_min).date()).days == 1
        (helm,) = (one for one in book.shelf(Promise) if one.id == "pair-helm")
        assert helm.by is not None
        assert days_to(helm.by, today) == 14
        launcher = book.store.find("20251205-launch")
        assert f"{local(launcher.started_ms, 0):%H:%M}" == "20:10"
        assert now_words(book.state(launcher)).startswith("heel, pass 24 of 40")
