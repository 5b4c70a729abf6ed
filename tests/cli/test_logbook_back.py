"""Looking back from the shell: every list and report, piped, as JSON, and into files."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Wearer, Yarn
from hosewright.logbook.travel.session_files import SCHEMA_FILE, SessionFile, read, schema_text
from hosewright.places import logbook_path
from hosewright.session.events import Resumed
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(autouse=True)
def samples() -> None:
    """The sample sessions in the knitter's own logbook."""
    book = Logbook(logbook_path())
    for path in sorted(FOLDER.glob("[0-9]*.json")):
        sample = read(path)
        book.take_in(sample.session, sample.entries())
    book.close()


def _said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> tuple[str, str]:
    assert main(["logbook", *argv]) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    assert "\x1b" not in heard.out
    return heard.out, heard.err


def _objects(out: str) -> list[dict[str, object]]:
    return [json.loads(line) for line in out.splitlines()]


def test_where_a_search_for_a_yarn_starts(capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(logbook_path())
    book.keep(Yarn(id="tidewater", name="Tidewater", m_per_100g=420.0))
    book.close()
    ask = ["dial", "--yarn", "tidewater", "--cylinder", "cylinder-64"]
    assert main([*ask, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["searches"] == 1
    assert found["expected_turns"] == pytest.approx(6.75)  # that of the other yarn of 420 m here
    assert (found["start_clicks"], found["start_turns"]) == (31, 7.75)
    assert main(ask) == 0
    said = capsys.readouterr().out
    assert (
        "start Tidewater 7 3/4 turns below zero (31 clicks): a full turn below what your one search here says" in said
    )
    assert main(["dial", "--yarn", "nothing like it"]) == 2
    assert "No yarn on the shelf has that name" in capsys.readouterr().err


def test_find(capsys: pytest.CaptureFixture[str]) -> None:
    found = _objects(_said(capsys, "find", "yarn:grey", "kind:sock", "--by", "title", "--rising", "--json")[0])
    assert [item["id"] for item in found] == ["20241012-coxone", "20241019-coxtwo", "20250208-mechan"]
    assert found[1]["twin_of"] == "20241012-coxone"
    assert found[0]["verdict"] == "round right, length right"
    out, _ = _said(capsys, "find", "--wearer", "mechanic", "--since", "2025")
    assert out.splitlines()[1].split()[:2] == ["20250208-mechan", "8"]
    assert "given up" in out
    assert out.startswith("1 found: sessions with “mechanic” in the wearer, begun since 1 Jan 2025.\n")
    assert _said(capsys, "find", "no-such-thing")[0] == (
        "No session matches: looked for sessions with “no”, “such” and “thing”.\n"
    )
    out = _said(capsys, "find", "-fell", "latch", "--needle", "31", "--began", "Oct 2024")[0]
    assert [line.split()[0] for line in out.splitlines()] == ["1", "20241019-coxtwo"]
    assert _said(capsys, "find", "-hem", "verdict:right", "-kind:tube", "-kind:string")[0].startswith("2 found: ")
    assert len(_said(capsys, "find", "--most", "2")[0].splitlines()) == 2
    first = _objects(_said(capsys, "find", "--json")[0])[0]
    assert first["status"] in ("open", "waiting")
    fell = _objects(_said(capsys, "find", "--seen", "fell", "--json")[0])
    assert [item["id"] for item in fell] == ["20241012-coxone"]
    assert _objects(_said(capsys, "find", "work", "fell", "off", "--json")[0]) == fell


@pytest.mark.parametrize(
    ("argv", "why"),
    [
        (["find", "--since", "spring"], "“spring” is not a day that can be read: type one such as 2019, May 2021"),
        (["find", "pace:fast"], "pace: is a figure or a span, such as pace:>25"),
        (["show", "grey on 64"], "Type one of these: 20241006-grytub (Gauge tube: Slack Water Grey on 64 slots)"),
        (["sheet", "slack grey"], "Several plans have that name. Type one of these: plan-"),
        (["sheet", "nobody"], "No plan or session here has that name"),
        (["find", "--most", "0"], "--most is how many"),
        (["find", "--by", "colour"], "--by cannot be “colour”: type one of began, changed, title"),
        (["find", "--fault", "moth"], "fault: is one of dropped stitch, tuck, split yarn"),
        (["shelf", "hats"], "KIND cannot be “hats”: type one of machines, cylinders, yarns, wearers, plans."),
        (["compare", "20241012-coxone", "none"], "There is no session 'none'"),
        (["yarn", "purple"], "No yarn that was cranked has that name. Type one of these: maroon-orange"),
        (["yarn", "a"], "Several yarns have that name"),
        (["sheet", "20241005"], "has no crank sheet"),
        (["merge", "nowhere.sqlite"], "There is no file"),
    ],
)
def test_what_cannot_be_done_is_said(capsys: pytest.CaptureFixture[str], argv: list[str], why: str) -> None:
    assert why in _said(capsys, *argv, code=2)[1]


def test_compare(capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = _said(capsys, "compare", "20241006", "20251011")
    assert "Welch's t test" in out
    lines = _objects(_said(capsys, "compare", "20241006", "20251011", "--json")[0])
    differs = [bool(line["differs"]) for line in lines]
    assert differs == sorted(differs, reverse=True)


def test_one_against_the_rest(capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = _said(capsys, "compare", "20250301", "--rest")
    assert "What was different about it, beside " in out
    assert "| Flat width, after the wash | 4.53 in |" in out
    assert out.splitlines()[-1].startswith("Chance: ")
    three = _said(capsys, "compare", "20241006", "20251011", "20250301")[0]
    assert next(line for line in three.splitlines() if line.startswith("| Rows per in")).count("±") == 3
    assert "--rest" in _said(capsys, "compare", "20241006", code=2)[1]
    assert "one alone" in _said(capsys, "compare", "20241006", "20251011", "--rest", code=2)[1]


def test_a_sock_of_a_string_against_the_rest(capsys: pytest.CaptureFixture[str]) -> None:
    assert "beside 3 other socks for Coxswain" in _said(capsys, "compare", "20241012", "--rest")[0]
    out = _said(capsys, "compare", "20251115", "--rest", "--sock", "2")[0]
    assert "beside 2 other socks; " in out
    assert "Sock 2, String of 6 socks: Slack Water Grey on 64 slots" in out
    assert "type which with --sock, from 1 to 6" in _said(capsys, "compare", "20251115", "--rest", code=2)[1]
    assert "has 1 to 6" in _said(capsys, "compare", "20251115", "--rest", "--sock", "7", code=2)[1]
    assert "session is none" in _said(capsys, "compare", "20241012", "--rest", "--sock", "1", code=2)[1]
    assert "--sock goes with --rest" in _said(capsys, "compare", "20241012", "20251115", "--sock", "1", code=2)[1]


def test_yarns_and_a_card(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert _said(capsys, "yarn")[0].splitlines()[0].split(maxsplit=1) == ["maroon-orange", "Maroon Orange"]
    assert [item["id"] for item in _objects(_said(capsys, "yarn", "--json")[0])][-1] == "slack-water-grey"
    out, _ = _said(capsys, "yarn", "slack water")
    assert "too few to tell whether it changed" in out
    target = tmp_path / "grey.md"
    _said(capsys, "yarn", "slack-water-grey", "--output", str(target))
    assert target.read_text(encoding="utf-8") == out
    page, _ = _said(capsys, "yarn", "slack water", "--html")
    assert page.startswith("<!DOCTYPE html>")
    assert page.count("<svg") == 1
    data = json.loads(_said(capsys, "yarn", "slack water", "--json")[0])
    assert (data["id"], data["changes"], len(data["tubes"]), len(data["socks"])) == ("slack-water-grey", [], 3, 9)
    assert [one["dial"] for one in data["stitch_sizes"]] == [27]
    assert not data["gauges"][0]["enough_to_tell"]


def test_the_shelf(capsys: pytest.CaptureFixture[str]) -> None:
    whole, _ = _said(capsys, "shelf")
    for heading in ("Machines:", "Cylinders:", "Yarns:", "Wearers:", "Plans:"):
        assert heading in whole.splitlines()
    plans, _ = _said(capsys, "shelf", "plans")
    assert "plan-coxswain-slack-water-grey        Coxswain, Slack Water Grey " in plans
    assert "64 slots, 56 rows in the foot" in plans
    assert plans.strip() in whole
    assert _said(capsys, "sheet", plans.split()[0])[0].startswith("# Coxswain")
    yarns = _objects(_said(capsys, "shelf", "yarns", "--json")[0])
    assert {(item["shelf"], item["id"]) for item in yarns} >= {("yarn", "maroon-orange"), ("yarn", "slack-water-grey")}
    (striped,) = [item for item in yarns if item["id"] == "signal-stripe"]
    assert (striped["shades"], striped["repeat_rows"]) == (["#000080", "#ffa500"], 14)
    assert "in pictures navy, orange, stripes repeat after 14 rows" in whole
    kinds = [str(item["shelf"]) for item in _objects(_said(capsys, "shelf", "--json")[0])]
    assert kinds == sorted(kinds, key=("machine", "cylinder", "yarn", "wearer", "plan").index)


def test_a_caution_is_said_and_a_note_on_a_person_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    with closing(Logbook(logbook_path())) as book:
        cook = book.get(Wearer, "cook")
        assert cook is not None
        assert cook.note
        book.keep(cook.model_copy(update={"id": "old-cook", "name": "Old cook", "retired": True, "caution": False}))
    out, _ = _said(capsys, "shelf", "wearers")
    (line,) = [line for line in out.splitlines() if "foot at risk" in line]
    assert line.startswith("cook ")
    as_json, _ = _said(capsys, "shelf", "wearers", "--json")
    assert {item["id"]: item["caution"] for item in _objects(as_json)}["cook"] is True
    assert cook.note not in out + as_json
    assert "old-cook" not in out
    assert "retired" in _said(capsys, "shelf", "wearers", "--old")[0]


def test_an_empty_shelf_says_so(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert "There is no logbook" in _said(capsys, "shelf", code=2)[1]
    Logbook(logbook_path()).close()
    assert _said(capsys, "shelf", "plans")[0] == "No plans on the shelf.\n"


def test_forgetting_beside_a_bench_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    with closing(Logbook.for_counting(logbook_path())):
        told = _said(capsys, "forget", "Coxswain", "--yes", code=2)[1]
        assert "Leave it with Ctrl+Q" in told
        assert "Nothing was changed" in told
        assert _said(capsys, "forget", "Coxswain")[0].endswith("it cannot be undone.\n")
    assert "Coxswain is removed" in _said(capsys, "forget", "Coxswain", "--yes")[0]


def test_needles(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Needle 31: 6 of your last 10 drops" in _said(capsys, "needles")[0]
    found = _objects(_said(capsys, "needles", "--json")[0])
    assert found[0]["suspects"][0]["needle"] == 31  # type: ignore[index]


def test_sheets_and_reports_as_pages(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    sheet, report = tmp_path / "sheet.html", tmp_path / "report.html"
    _said(capsys, "sheet", "20241012-coxone", "--html", "--output", str(sheet))
    assert sheet.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    by_name, _ = _said(capsys, "sheet", "Coxswain, Slack Water Grey")
    assert by_name.startswith("# Coxswain, Slack Water Grey\n")
    _said(capsys, "report", "20241012-coxone", "--html", "--output", str(report))
    assert "<svg" in report.read_text(encoding="utf-8")
    assert json.loads(_said(capsys, "report", "20241012-coxone", "--html", "--json")[0])["html"].startswith("<!DOCTYPE")
    assert "## The plan it led to" in _said(capsys, "report", "20241006")[0]


def test_csv(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out, _ = _said(capsys, "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert {row["yarn"] for row in rows} == {"Slack Water Grey", "Maroon Orange", "Signal Stripe"}
    target = tmp_path / "events.csv"
    _said(capsys, "csv", "20241012-coxone", "--output", str(target))
    with target.open(encoding="utf-8", newline="") as file:
        assert next(csv.reader(file))[0] == "session"
    assert target.read_bytes().count(b"\r\n") > 250
    assert json.loads(_said(capsys, "csv", "--json")[0])["text"] == out


# --- sharing ---------------------------------------------------------------------------------------------------


def test_some_are_exported(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "some"
    _said(capsys, "export", "20241005", "20241006", "20241005", "--folder", str(folder))
    assert sorted(path.stem for path in folder.iterdir()) == ["20241005-gryfnd", "20241006-grytub"]
    assert "--output takes one session" in _said(capsys, "export", "20241005", "20241006", "--output", "x", code=2)[1]


def test_an_import_is_foretold(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "kept"
    _said(capsys, "export", "--folder", str(kept))
    book = Logbook(logbook_path())
    live = book.take_up("20251205-launch")
    assert live.do(Resumed()) is None
    book.close()
    went_on = kept / "20251205-launch.json"
    text = went_on.read_text(encoding="utf-8")
    went_on.write_text(text.replace('"kind": "pressed"', '"kind": "opened"', 1), encoding="utf-8")
    changed = kept / "20241005-gryfnd.json"
    new = changed.read_text(encoding="utf-8").replace("20241005-gryfnd", "20241005-newone")
    (kept / "new.json").write_text(new, encoding="utf-8")
    (kept / "torn.json").write_text("{", encoding="utf-8")
    before = logbook_path().read_bytes()
    out, err = _said(capsys, "import", str(kept), "--dry-run", code=2)
    assert "new: stitch size 20241005-newone, Stitch size" in out
    assert "here already: stitch size 20241005-gryfnd" in out
    assert "disagrees: sock 20251205-launch, Launcher, Maroon Orange, first sock (both went on after event" in out
    assert "torn.json is not a session file" in err
    assert logbook_path().read_bytes() == before
    whats = [item["what"] for item in _objects(_said(capsys, "import", str(kept), "--dry-run", "--json", code=2)[0])]
    assert (whats.count("new"), whats.count("disagrees")) == (1, 1)

    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert _said(capsys, "import", str(changed), "--dry-run")[0].startswith("new: ")
    assert not logbook_path().exists()


def test_two_logbooks_become_one(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = logbook_path()
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert "There is no logbook" in _said(capsys, "merge", str(other), "--dry-run", code=2)[1]
    count = len(list(FOLDER.glob("[0-9]*.json")))
    out, _ = _said(capsys, "merge", str(other))
    assert out.count("new: s") + out.count("new: gauge tube") >= count
    assert out.splitlines()[-1].endswith("Nothing was overwritten.")
    again, _ = _said(capsys, "merge", str(other), "--dry-run")
    assert again.startswith("0 new, ")
    assert again.endswith("0 disagrees. Nothing was saved.\n")
    assert {item["what"] for item in _objects(_said(capsys, "merge", str(other), "--json")[0])} == {"here already"}
    assert "sound." in _said(capsys, "check")[0]


def test_the_schema_is_current(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """``python -m hosewright.logbook.travel.session_files`` writes it anew."""
    assert SCHEMA_FILE.read_text(encoding="utf-8") == schema_text()
    out, _ = _said(capsys, "schema")
    assert out == schema_text()
    assert json.loads(_said(capsys, "schema", "--json")[0]) == json.loads(out)
    _said(capsys, "schema", "--output", str(tmp_path / "schema.json"))
    schema = json.loads(out)
    assert set(schema["required"]) == set(SessionFile.model_fields) - {"laptop"}
    assert schema["additionalProperties"] is False
    kinds = schema["$defs"]["FiledEntry"]["properties"]["event"]["discriminator"]["mapping"]
    assert {"pressed", "rehung", "judged", "observed"} <= set(kinds)
    shelf = json.loads(_said(capsys, "schema", "shelf")[0])
    assert {"machine", "lot", "promise", "noted"} <= set(shelf["properties"])
    assert shelf["title"] == "A hosewright shelf file, version 1"


def test_a_session_is_named_by_words_of_its_title(capsys: pytest.CaptureFixture[str]) -> None:
    assert _said(capsys, "show", "coxswain twin")[0].startswith("Coxswain, Slack Water Grey, twin (20241019-coxtwo)")
    assert _said(capsys, "report", "mechanic")[0].startswith("# Mechanic, Slack Water Grey, first sock")
    assert _said(capsys, "sheet", "mechanic")[0].startswith("# Mechanic, Slack Water Grey")


def test_help_names_every_verb(capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = _said(capsys, "--help")
    for verb in ("find", "compare", "yarn", "needles", "shelf", "sheet", "csv", "export", "import", "merge", "schema"):
        assert f"\n  {verb} " in out
        assert main(["logbook", verb, "--help"]) == 0
        assert "Example:" in capsys.readouterr().out


def test_piped_there_is_no_colour_and_a_reader_may_leave() -> None:
    code = "from hosewright.cli import main; raise SystemExit(main(['logbook', 'report', '20241012-coxone']))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert b"\x1b" not in done.stdout
    ascii_only = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=True, env={"PYTHONIOENCODING": "ascii", **_env()}
    )
    assert b"Cadence" in ascii_only.stdout
    sock, picture = [fence.split(b"```")[0] for fence in ascii_only.stdout.split(b"```text")[1:3]]
    assert b"LLLL" in sock
    assert b"?" not in sock + picture  # every character of a plot has a plain form
    assert b"###" in picture


def _env() -> dict[str, str]:
    import os

    return {name: value for name, value in os.environ.items() if name != "PYTHONIOENCODING"}
