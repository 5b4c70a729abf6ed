"""What is given away from the shell: a plan, a yarn's gauges, a cylinder's responses, sessions without people."""

from __future__ import annotations

import json
from contextlib import closing
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.corrected import restated
from hosewright.logbook.records.shelf import Cylinder, Machine, Noted, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.logbook.travel.session_files import parse, read
from hosewright.phrases.names import Names
from hosewright.places import logbook_path
from hosewright.session.events import Observed, Spoilt
from hosewright.session.fold import fold
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from pathlib import Path

SECRET = "her left knee is stiff"
# Measures of somebody's feet, as no sample has them.
OF_FEET = {
    "foot_length_mm": 243.7,
    "tube_length_mm": 151.93,
    "ankle_mm": 223.61,
    "calf_mm": 361.43,
    "learnt_length_mm": 3.717,
    "learnt_round_mm": -5.831,
}
STRANGER = Wearer(id="wilhelmina-abcd", name="Wilhelmina Oak", foot_length_mm=243.7, note=SECRET, caution=True)


@pytest.fixture(autouse=True)
def samples() -> None:
    """The sample sessions, with notes and prices, in the knitter's own logbook."""
    with closing(Logbook(logbook_path())) as book:
        for path in sorted(FOLDER.glob("[0-9]*.json")):
            sample = read(path)
            start = sample.session
            plan = start.plan and start.plan.model_copy(update=OF_FEET)
            socks = tuple(one.model_copy(update={"plan": one.plan.model_copy(update=OF_FEET)}) for one in start.socks)
            book.take_in(start.model_copy(update={"plan": plan, "socks": socks}), sample.entries())
        yarn = book.shelf(Yarn)[0]
        plan = next(one for one in book.shelf(Plan, retired=True) if one.yarn == yarn.id and one.made_from)
        named = {"id": "wilhelmina-oak-s-winter-x2y3", "name": "Wilhelmina Oak's winter pair", "wearer": STRANGER.id}
        nobodys = {"id": "spare-pair-z9y8", "name": "Spare pair", "wearer": None}
        for whose in (named, nobodys):
            book.keep(plan.model_copy(update=whose | OF_FEET))
        book.keep(STRANGER, yarn.model_copy(update={"note": SECRET}))
        book.keep(Lot(id="lot-1", name="1", yarn=yarn.id, grams=100, bought="2024-01-02", price=98765432, note=SECRET))
        book.keep(
            Promise(id="promise-1", name="Wilhelmina Oak, grey", yarn=yarn.id, wearer=STRANGER.id, made="2024-01-02",
                    price=87654321, note=SECRET)
        )  # fmt: skip


def said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> tuple[str, str]:
    assert main(["logbook", *argv]) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    return heard.out, heard.err


def things(cls: Any, path: Path | None = None) -> list[Any]:
    with closing(Logbook.for_reading(path or logbook_path())) as book:
        return list(book.shelf(cls, retired=True))


def people() -> list[str]:
    found = {one.name for one in things(Wearer)} | {one.name for one in things(Promise)}
    assert len(found) > 4
    return sorted(found)


def tells_of_nobody(content: bytes) -> None:
    """No name of anyone, in any way people write names, nor their ids, notes or prices, anywhere in the bytes."""
    for name in people():
        assert not Names([name]).in_bytes(content), name
    for one in (*things(Wearer), *things(Promise)):
        assert f'"{one.id}"'.encode() not in content
    for never in (SECRET, "98765432", "87654321", "wilhelmina", *(str(mm) for mm in OF_FEET.values())):
        assert never.lower().encode() not in content.lower()


def at_a_friends(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(folder))
    assert not logbook_path().exists()


def test_a_plan_goes_to_a_friend_with_its_gauge(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole, bare = tmp_path / "whole.json", tmp_path / "bare.json"
    _, err = said(capsys, "export", "--plan", "Wilhelmina", "--output", str(whole))
    assert "--without-people leaves that out" in err
    assert b"Wilhelmina Oak" in whole.read_bytes()
    assert said(capsys, "export", "--plan", "Wilhelmina", "--without-people", "--output", str(bare))[1] == ""
    tells_of_nobody(bare.read_bytes())
    (mine,) = (one for one in things(Plan) if one.wearer == STRANGER.id)
    with closing(Logbook.for_reading(logbook_path())) as book:
        gauges = {one.session: one for one in book.gauges() if one.session in mine.made_from}
    at_a_friends(monkeypatch, tmp_path / "friend")
    said(capsys, "import", str(bare))
    (plan,) = things(Plan)
    assert (plan.name, plan.wearer) == ("someone's winter pair", None)
    assert plan.parts == mine.parts
    assert (plan.foot_rows, plan.rows_per_mm) == (mine.foot_rows, mine.rows_per_mm)
    assert (things(Wearer), things(Promise), things(Lot)) == ([], [], [])
    assert {one.id for one in things(Machine)} >= {plan.machine}
    # The gauge it is made from is there, and is usable as it was.
    with closing(Logbook.for_reading(logbook_path())) as book:
        found = {one.session: one for one in book.gauges()}
    assert set(found) == set(gauges) != set()
    for session, one in found.items():
        names = ("rows_per_mm", "rows_per_mm_error", "stitches_per_mm", "dial", "rows", "slots", "yarn")
        assert [getattr(one, name) for name in names] == [getattr(gauges[session], name) for name in names]
    assert "already here" in said(capsys, "import", str(bare))[0]


def test_a_plan_for_nobody_in_particular_says_no_foot_either(capsys: pytest.CaptureFixture[str]) -> None:
    whole = said(capsys, "export", "--plan", "Spare pair")[0]
    assert "243.7" in whole
    bare = said(capsys, "export", "--plan", "Spare pair", "--without-people")[0]
    tells_of_nobody(bare.encode())
    (kept,), (told,) = json.loads(whole)["plan"], json.loads(bare)["plan"]
    assert {name for name in kept if kept[name] != told[name]} == {"id", *OF_FEET}


@pytest.mark.parametrize("kind", ["yarn", "cylinder"])
def test_gauges_of_a_yarn_or_a_cylinder(
    kind: str, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(Logbook.for_reading(logbook_path())) as book:
        gauges = book.gauges()
    wanted = getattr(gauges[0], kind)
    mine = {one.session for one in gauges if getattr(one, kind) == wanted}
    file = tmp_path / "shared.json"
    said(capsys, "export", f"--{kind}", wanted, "--without-people", "--output", str(file))
    tells_of_nobody(file.read_bytes())
    here = {one.session: one.dial for one in gauges}
    at_a_friends(monkeypatch, tmp_path / "friend")
    assert "new: noted" in said(capsys, "import", str(file))[0]
    with closing(Logbook.for_reading(logbook_path())) as book:
        found = {one.session: one.dial for one in book.gauges()}
    assert found == {session: here[session] for session in mine}
    assert wanted in {one.id for one in things(Yarn if kind == "yarn" else Cylinder)}


def test_a_tube_that_is_here_says_more_than_its_copy(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    with closing(Logbook.for_reading(logbook_path())) as book:
        before = book.gauges()
    file = tmp_path / "shared.json"
    said(capsys, "export", "--yarn", before[0].yarn, "--output", str(file))
    said(capsys, "import", str(file))
    assert things(Noted)
    with closing(Logbook.for_reading(logbook_path())) as book:
        assert book.gauges() == before


def test_what_was_shared_says_so_and_by_whom(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    yarn = things(Yarn)[0]
    anew = ("gauge", "--rows-per-in", "10", "--stitches-per-in", "8", "--day", "2019", "--dial", "26 clicks")
    places = ("--yarn", yarn.name, "--machine", things(Machine)[0].name, "--slots", "64")
    assert main(["enter", *anew, *places]) == 0
    first, second = tmp_path / "maren.json", tmp_path / "on.json"
    said(capsys, "export", "--yarn", yarn.name, "--by", "Maren", "--without-people", "--output", str(first))
    assert "--by goes with --plan" in said(capsys, "export", "--by", "Maren", code=2)[1]
    at_a_friends(monkeypatch, tmp_path / "friend")
    said(capsys, "import", str(first))
    found = things(Noted)
    assert len(found) > 1
    how = {one.shared.rpartition(", ")[0] for one in found}
    assert how == {"shared by Maren (in the file maren.json"}, "what she has from her notebook is not from ours"
    card = json.loads(said(capsys, "yarn", yarn.name, "--json")[0])
    assert {(one["from_notebook"], one["shared"]) for one in card["tubes"]} == {(False, found[0].shared)}
    assert "from the notebook" not in said(capsys, "yarn", yarn.name)[0]
    assert found[0].shared in said(capsys, "yarn", yarn.name)[0]
    assert "already here" in said(capsys, "import", str(first))[0]
    # Passed on it says who had it first; without people it names nobody.
    said(capsys, "export", "--yarn", yarn.name, "--by", "Tove", "--output", str(second))
    assert {one["shared"] for one in json.loads(second.read_text())["noted"]} == {found[0].shared}
    bare = said(capsys, "export", "--yarn", yarn.name, "--by", "Tove", "--without-people")[0]
    assert {one["shared"] for one in json.loads(bare)["noted"]} == {"shared"}
    at_a_friends(monkeypatch, tmp_path / "another")
    said(capsys, "import", str(second))
    assert {one.shared.rpartition(", ")[0] for one in things(Noted)} == {"shared by Maren (in the file on.json"}


def test_a_string_goes_without_its_people_unless_they_are_asked_for(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(Logbook(logbook_path())) as book:
        line = next(one for one in book.lines() if one.kind == "string")
        live = book.take_up(line.id)
        live.do(Observed("note", note=SECRET))
        live.do(restated("wearer", STRANGER, sock=1))
        record, entries = book.begun(line), list(book.store.entries(line.n))
    assert {sock.wearer for sock in record.socks} != {None}
    out, err = said(capsys, "export", line.id)
    assert "--with-people takes them along" in err
    tells_of_nobody(out.encode())
    assert said(capsys, "export", line.id, "--without-people") == (out, "")
    filed = parse(out)
    assert {(sock.wearer, sock.promise, sock.plan.wearer) for sock in filed.session.socks} == {(None, None, None)}
    assert [sock.plan.parts for sock in filed.session.socks] == [sock.plan.parts for sock in record.socks]
    # Every count stays as it was.
    then, now = fold(record.head, entries), fold(filed.session.head, filed.entries())
    assert (now.counts, now.index, now.dial, len(now.spoils)) == (then.counts, then.index, then.dial, len(then.spoils))
    assert not now.ignored - then.ignored
    whole, err = said(capsys, "export", line.id, "--with-people")
    assert err == ""
    assert parse(whole).session == record
    file = tmp_path / "string.json"
    file.write_text(out, encoding="utf-8")
    at_a_friends(monkeypatch, tmp_path / "friend")
    assert f"new: {line.id}" in said(capsys, "import", str(file))[0]
    assert things(Wearer) == []


def test_the_whole_logbook_without_people(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "all"
    said(capsys, "export", "--folder", str(folder), "--without-people")
    files = sorted(folder.iterdir())
    with closing(Logbook.for_reading(logbook_path())) as book:
        assert len(files) == 1 + len(book.lines())
    for file in files:
        tells_of_nobody(file.read_bytes())
    shelf = json.loads((folder / "shelf.json").read_text(encoding="utf-8"))
    assert (shelf["wearer"], shelf["promise"], [lot["price"] for lot in shelf["lot"]]) == ([], [], [None])
    # Without the option nothing is lost, in strings either.
    kept = tmp_path / "kept"
    said(capsys, "export", "--folder", str(kept))
    assert SECRET in (kept / "shelf.json").read_text(encoding="utf-8")


def test_a_rename_goes_along_with_the_whole_logbook(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for kind, name, new in (("yarn", "Slack Water Grey", "Moss Green"), ("wearer", "Coxswain", "Skipper")):
        assert main(["shelf", "change", kind, name, "--name", new]) == 0
    whole, bare = tmp_path / "whole", tmp_path / "bare"
    said(capsys, "export", "--folder", str(whole))
    said(capsys, "export", "--folder", str(bare), "--without-people")
    for file in bare.iterdir():
        assert b"skipper" not in file.read_bytes().lower()
        tells_of_nobody(file.read_bytes())
    with closing(Logbook.for_reading(logbook_path())) as book:
        (tube,) = (one.id for one in book.lines() if one.title == "Gauge tube: Moss Green on 64 slots, a year on")
    asked = [("find", "yarn:moss"), ("find", "yarn:slack"), ("report", tube, "--json"),
             ("yarn", "Slack Water Grey"), ("yarn", "Moss Green")]  # fmt: skip
    here = [said(capsys, *words)[0] for words in asked]
    assert "Moss Green was called Slack Water Grey" in here[2]
    at_a_friends(monkeypatch, tmp_path / "friend")
    said(capsys, "import", str(whole))
    assert [said(capsys, *words)[0] for words in asked] == here
    assert "Skipper" in said(capsys, "find", "wearer:coxswain")[0]
    at_a_friends(monkeypatch, tmp_path / "stranger")
    said(capsys, "import", str(bare))
    assert said(capsys, "yarn", "Slack Water Grey")[0].startswith("# Moss Green")


def test_a_reason_that_must_stand_is_not_told(capsys: pytest.CaptureFixture[str]) -> None:
    with closing(Logbook(logbook_path())) as book:
        line = next(one for one in book.lines() if one.kind == "string")
        found = [entry for entry in book.store.entries(line.n) if isinstance(entry.event, Spoilt)]
    assert found
    told = [one["event"] for one in json.loads(said(capsys, "export", line.id)[0])["events"]]
    assert [one["reason"] for one in told if one["kind"] == "spoilt"] == ["not told"] * len(found)


def test_what_cannot_be_asked_together_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert "one of --plan, --yarn, --cylinder" in said(capsys, "export", "--plan", "a", "--yarn", "b", code=2)[1]
    assert "makes a file of its own" in said(capsys, "export", "2024", "--yarn", "b", code=2)[1]
    assert "do not go together" in said(capsys, "export", "--without-people", "--with-people", code=2)[1]
