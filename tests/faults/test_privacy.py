"""Privacy: closed to others from the first moment, nothing sent anywhere, and a wearer can be forgotten."""

from __future__ import annotations

import json
import os
import re
import stat
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from hosewright.bench.app import Bench, _remove_what_practice_left
from hosewright.bench.program import write_trouble
from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.file import backups
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.sessions import find
from hosewright.logbook.find.wanted import read_wanted
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Plan, Wearer
from hosewright.logbook.records.year import Promise
from hosewright.logbook.travel.session_files import read
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.forgetting import find_wearer, forget
from hosewright.places import data_folder, logbook_path, shipped_folder, write_private
from hosewright.session.events import Observed
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, record, rows, string_of

ON_POSIX = pytest.mark.skipif(os.name != "posix", reason="permission bits are a POSIX matter")
SOURCE = Path(__file__).parents[2] / "src" / "hosewright"


def samples() -> Logbook:
    book = Logbook.for_counting(logbook_path())
    for path in sorted(shipped_folder("sample_sessions").glob("[0-9]*.json")):
        filed = read(path)
        book.take_in(filed.session, filed.entries())
    return book


@ON_POSIX
def test_every_file_and_folder_we_make_is_closed_to_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = os.umask(0)  # the most careless there is
    try:
        monkeypatch.chdir(tmp_path)
        book = samples()
        backups.daily(book.path, "20250114")
        write_trouble("a test")
        for argv in (
            ["backup", "copy.sqlite"],
            ["export", "20241005", "--output", "one.json"],
            ["export", "--folder", "kept"],
            ["report", "20241005", "--output", "report.md"],
            ["rescue", "copy.sqlite", "--to", "rescued.sqlite"],
        ):
            assert main(["logbook", *argv]) == 0, argv
        made = [path for path in tmp_path.rglob("*") if path.name != "home"]
        assert len(made) > 15
        for path in made:
            wanted = 0o700 if path.is_dir() else 0o600
            assert stat.S_IMODE(path.stat().st_mode) == wanted, path
        book.close()
    finally:
        os.umask(before)
    assert stat.S_IMODE(data_folder().stat().st_mode) == 0o700


@ON_POSIX
def test_missing_folders_above_the_logbook_are_closed_to_others_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "one" / "two" / "three"))
    before = os.umask(0)
    try:
        Logbook.for_counting(logbook_path()).close()
        write_private(tmp_path / "other" / "deep" / "page.html", "a page")
    finally:
        os.umask(before)
    for folder in ("one", "one/two", "one/two/three", "other", "other/deep"):
        assert stat.S_IMODE((tmp_path / folder).stat().st_mode) == 0o700, folder


@ON_POSIX
def test_a_logbook_that_was_copied_open_is_closed_again(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    Logbook(path).close()
    path.chmod(0o644)
    Logbook(path).close()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_nothing_in_the_program_can_reach_a_network() -> None:
    reaching = re.compile(
        r"^\s*(?:import|from)\s+(socket|ssl|http|urllib\.request|ftplib|smtplib|requests|httpx)\b", re.M
    )
    for path in SOURCE.rglob("*.py"):
        assert not reaching.search(path.read_text(encoding="utf-8")), path


@pytest.mark.skipif(sys.platform != "linux", reason="calls are traced the way Linux has it")
def test_no_connection_is_made(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "def watch(event, args):\n"
        "    if event.startswith('socket.') and event not in ('socket.__new__', 'socket.gethostname'):\n"
        "        print('REACHED', event, args, file=sys.stderr)\n"
        "sys.addaudithook(watch)\n"
        "from hosewright.cli import main\n"
        "for argv in (['logbook', 'import', sys.argv[1]], ['logbook', 'list'], ['logbook', 'check'], "
        "['feet', '--size', 'US men 10']):\n    assert main(argv) == 0\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(shipped_folder("sample_sessions"))],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "HOSEWRIGHT_HOME": str(tmp_path / "home")},
    )
    assert "REACHED" not in done.stderr


# --- forgetting ----------------------------------------------------------------------------------------------------


def everything_under(folder: Path) -> bytes:
    return b"\n".join(path.read_bytes() for path in folder.rglob("*") if path.is_file())


def test_a_forgotten_wearer_leaves_no_trace_and_every_gauge_stays(capsys: pytest.CaptureFixture[str]) -> None:
    book = samples()
    live = book.start(record("tube").model_copy(update={"title": "A tube to try on Coxswain"}))
    crank_to(live, "tube")
    drive(live, Observed("note", None, "coxswain says it is soft"), rows(2))
    wearer = find_wearer(book, "coxswain")
    plans = [plan for plan in book.shelf(Plan, retired=True) if plan.wearer == wearer.id]
    assert plans
    book.keep(wearer.model_copy(update={"name": "Old Coxswain"}))  # an earlier name is a name, too
    backups.daily(book.path, "20250101")
    gauges = book.gauges()
    others = {line.id: list(book.store.entries(line.n)) for line in book.lines() if "cox" not in line.id}
    assert b"oxswain" in everything_under(data_folder())
    book.close()

    assert main(["logbook", "forget", "Old Coxswain", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["removed"] is False
    assert sorted(told["socks"]) == ["20241012-coxone", "20241019-coxtwo"]
    assert b"oxswain" in everything_under(data_folder()), "asking changes nothing"

    assert main(["logbook", "forget", wearer.id, "--yes"]) == 0
    capsys.readouterr()
    assert b"oxswain" not in everything_under(data_folder())
    book = Logbook(logbook_path())
    assert find_damage(book)[1] == []
    assert book.gauges() == gauges
    assert book.get(Wearer, wearer.id) is None
    assert not any(plan.id in [p.id for p in plans] for plan in book.shelf(Plan, retired=True))
    for session, entries in others.items():
        line = book.store.line(session)
        assert line is not None
        if session != live.record.id:
            assert list(book.store.entries(line.n)) == entries
    kept = book.take_up(live.record.id)
    assert kept.record.title == "A tube to try on someone"
    assert [s.note for s in kept.state.observations] == ["someone says it is soft"]
    assert kept.state.count == 2
    with pytest.raises(Exception, match="never"):
        book.store.db.execute("DELETE FROM events")
    with pytest.raises(Exception, match="never"):
        book.store.db.execute("UPDATE shelf SET body = '{}'")
    assert len(backups.kept(book.path)) == 1
    book.close()


def test_socks_of_others_in_one_string_stay_and_say_nothing_of_the_wearer(capsys: pytest.CaptureFixture[str]) -> None:
    book = samples()
    coxswain, cook = book.get(Wearer, "coxswain"), book.get(Wearer, "cook")
    plans = {plan.wearer: plan for plan in book.shelf(Plan)}
    assert coxswain is not None
    assert cook is not None
    theirs, others = plans["coxswain"], plans["launcher"].model_copy(update={"wearer": None})
    book.keep(Promise(id="pair-one", name="A Coxswain pair", yarn=theirs.yarn, wearer="coxswain", made="2025-01-14"))
    book.keep(Promise(id="pair-two", name="As the Coxswain has", yarn=theirs.yarn, wearer="cook", made="2025-01-14"))
    strings = {}
    for name, socks in (
        ("mixed", (StringSock(plan=theirs, wearer=coxswain, promise="pair-one"), StringSock(plan=others, wearer=cook))),
        ("alone", (StringSock(plan=theirs, wearer=coxswain), StringSock(plan=theirs, wearer=None, twin=True))),
    ):
        start = record("tube", f"20250114-{name}", steps=string_of(2)).model_dump()
        strings[name] = book.start(SessionRecord.model_validate(start | {"kind": "string", "socks": socks}))
        crank_to(strings[name], "s1-foot")
        drive(strings[name], rows(3))
    count = strings["mixed"].state.counts
    for folder in ("prints", "shared"):
        (data_folder() / folder).mkdir()
        for name in ("20241012-coxone", "20250114-mixed", "20250208-mechan"):
            (data_folder() / folder / f"{name}.html").write_text(name[9:].replace("mechan", "mechanic"))
    book.close()

    assert main(["logbook", "forget", "Coxswain", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["promises"], told["kept_without_name"]) == (["pair-one"], ["20251115-strsix", "20250114-mixed"])
    assert sorted(told["socks"]) == ["20241012-coxone", "20241019-coxtwo", "20250114-alone"]
    assert main(["logbook", "forget", "Coxswain", "--yes"]) == 0
    assert "3 socks, 1 plan and 1 promised pair" in capsys.readouterr().out
    assert b"oxswain" not in everything_under(data_folder())
    for folder in ("prints", "shared"):
        assert [path.name for path in (data_folder() / folder).iterdir()] == ["20250208-mechan.html"]
    book = Logbook(logbook_path())
    assert find_damage(book)[1] == []
    kept = book.take_up("20250114-mixed")
    assert kept.state.counts == count
    first, second = kept.record.socks
    assert (first.wearer, first.promise, first.plan.wearer, first.plan.foot_length_mm) == (None, None, None, None)
    assert first.plan.parts == theirs.parts
    assert (second.wearer, second.plan) == (cook, others)
    assert [(one.id, one.name) for one in book.shelf(Promise)] == [("pair-two", "As the someone has")]
    assert [one.id for one in find(book.store, read_wanted("wearer:cook kind:string"))] == ["20250114-mixed"]
    book.close()


def test_forgetting_that_fails_on_the_way_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    book = samples()
    before = list(book.store.db.iterdump())

    def fail(_db: object) -> None:
        raise LogbookError("The disk fell off.")

    monkeypatch.setattr("hosewright.logbook.upkeep.forgetting._work_lists_out_again", fail)
    with pytest.raises(LogbookError, match="fell off"):
        forget(book, find_wearer(book, "Coxswain").id, really=True)
    assert list(book.store.db.iterdump()) == before
    book.close()


def test_forgetting_waits_for_the_bench_and_needs_one_name(capsys: pytest.CaptureFixture[str]) -> None:
    with closing(samples()):
        assert main(["logbook", "forget", "Coxswain", "--yes"]) == 2
        assert "The bench has this logbook open" in capsys.readouterr().err
    assert main(["logbook", "forget", "Nobody Known", "--yes"]) == 2
    told = capsys.readouterr().err
    assert "No wearer is called" in told
    assert "Coxswain (" in told


@ON_POSIX
async def test_pages_and_shared_files_of_the_bench_are_closed_to_others(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        prints = data_folder() / "prints"
        prints.mkdir(parents=True)
        (prints / "20241005-tube.html").write_text("written by an earlier hosewright, for all to read")
        write_private(prints / "20241005-tube.html", "anew")
        bench = Bench(samples(), Settings())
        async with bench.run_test(size=(120, 40)) as pilot:
            for keys in (("d", "enter", "l", "w"), ("l", "enter", "w", "x")):
                await pilot.press(*keys)
                await pilot.pause()
                while len(bench.screen_stack) > 1:
                    bench.pop_screen()
                    await pilot.pause()
        bench.book.close()
    finally:
        os.umask(before)
    made = [path for path in data_folder().rglob("*") if path.is_file()]
    assert {path.parent.name for path in made} >= {"prints", "shared"}
    for path in made:
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path


def test_no_byte_beside_the_logbook_holds_a_forgotten_name(capsys: pytest.CaptureFixture[str]) -> None:
    book = samples()
    home = data_folder()
    ana = Wearer(id="ana-kowal-k3wq", name="Ana Kowal", foot_length_mm=243.0, caution=True)
    plan = book.shelf(Plan)[0].model_copy(update={"id": "ana-winter-x2yz", "name": "Winter", "wearer": ana.id})
    theirs = Promise(id="pair-ana-w7bd", name="Pair", yarn=plan.yarn, wearer=ana.id, made="2025-01-14")
    book.keep(ana, plan, theirs)
    live = book.start(record("tube").model_copy(update={"title": "A tube for Kowal, Ana"}))
    for note in ("ANA  KOWAL's is soft", "Kowal,Ana: a bit tight", "Ana said so", "Kowla again?"):
        drive(live, Observed("note", None, note))
    backups.daily(book.path, "20250101")
    told_of_them = {
        "prints/care-card-pair-ana-w7bd.html": "<p>May not be felt: numb feet</p>",
        f"prints/{plan.gauge_session}.html": "<p>Winter: 66 rows</p>",
        "prints/sizes-x.md": "Sizes, and Ana&#32;Kowal's among them",
        "shared/20250101-other.json": '{"note": "for Ana Kowal"}',
        "trouble.txt": "name = 'Ana Kowal'",
    }
    others = {"prints/20250103-other.html": "<p>Nobody</p>", "logbook-aside-20250101-120000/note.txt": "Ana Kowal"}
    for name, text in (told_of_them | others).items():
        (home / name).parent.mkdir(exist_ok=True)
        (home / name).write_text(text)
    book.close()

    assert main(["logbook", "forget", "Ana Kowal"]) == 0
    told = capsys.readouterr().out
    for name in told_of_them:
        assert name in told, name
    assert "Ana: Ana said so" in told
    assert "Kowla: Kowla again?" in told
    assert "These files hold the name, and are yours to remove:" in told
    assert all((home / name).exists() for name in told_of_them)

    assert main(["logbook", "forget", "Ana Kowal", "--yes"]) == 0
    assert "note.txt" in capsys.readouterr().out
    (home / "logbook-aside-20250101-120000" / "note.txt").unlink()
    assert not any((home / name).exists() for name in told_of_them)
    assert (home / "prints/20250103-other.html").exists()
    held = everything_under(home).decode("utf-8", "replace")
    for written in (r"ana[\s_-]+kowal", r"kowal\s*,\s*ana", "Winter", "numb feet"):
        assert not re.search(written, held, re.IGNORECASE), written
    with closing(Logbook(logbook_path())) as left:
        assert find_damage(left)[1] == []
        notes = [one.note for one in left.take_up(live.record.id).state.observations]
        assert notes == ["someone's is soft", "someone: a bit tight", "Ana said so", "Kowla again?"]


def test_practice_removes_what_a_killed_one_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    killed, used, other = (tmp_path / f"hosewright-{name}" for name in ("practice-one", "practice-two", "other"))
    for folder in (killed, used, other):
        folder.mkdir()
        Logbook(folder / "logbook.sqlite").close()
    with closing(Logbook.for_counting(used / "logbook.sqlite")):
        _remove_what_practice_left()
        assert sorted(path.name for path in tmp_path.iterdir()) == [other.name, used.name]
