"""``hosewright enter``: what is from a notebook, by options and by the table; each fault says what to type."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from hosewright.cli import main
from hosewright.logbook.accounts.care import beds
from hosewright.logbook.book import Logbook
from hosewright.logbook.find.evidence import worn_by
from hosewright.logbook.records.shelf import NOTED_COLUMNS, Cylinder, Machine, Noted, Wearer, Yarn
from hosewright.places import logbook_path, shipped_folder
from hosewright.planning.gauges import read_knits
from hosewright.planning.notebook import Taking
from tests.faults.mutants import NASTY_WORDS
from tests.helpers import FakeClock

TEN_YEARS = Path(__file__).with_name("ten_years.csv")  # a made-up notebook of ours, 2014 to 2023
TUBE = ("--yarn", "Moss", "--slots", "64", "--day", "2019", "--dial", "7 1/4")
READ = ("--rows", "60", "--length", "148 mm", "--flat-width", "102 mm")


def said(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    """What a verb printed, on either side."""
    assert main(list(words)) == code
    found = capsys.readouterr()
    return found.err if code else found.out


def shelf() -> dict[type[Any], list[Any]]:
    kinds: tuple[type[Any], ...] = (Machine, Cylinder, Yarn, Wearer, Noted)
    book = Logbook.for_reading(logbook_path())
    found = {cls: list(book.shelf(cls, retired=True)) for cls in kinds}
    book.close()
    return found


def test_a_gauge_goes_in_with_what_is_missing_from_the_shelf(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "enter", "gauge", "--new", "--machine", "The attic one", *TUBE, *READ)
    assert "Gauge of 2019, Moss, 64 slots, dial 7 1/4: 10.30 ± 0.12 rows and 7.97 ± 0.14 stitches per in" in out
    assert "New on the shelf: machine The attic one" in out
    assert "The dial clicks of The attic one are asked for when they are first needed." in out
    assert out.endswith("Taken in from the notebook: 1 gauge.\n")
    (machine,) = shelf()[Machine]
    assert machine.clicks_per_turn is None
    assert "from the notebook" in said(capsys, "logbook", "yarn", "Moss")
    assert said(capsys, "logbook", "list") == "The logbook has no sessions yet.\n"
    assert "nothing new. 1 line was here already" in said(capsys, "enter", "gauge", *TUBE, *READ)


def test_a_sock_goes_in_with_its_parts_and_its_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    words = (
        "--new",
        "--machine",
        "Attic",
        "--yarn",
        "Moss",
        "--slots",
        "64",
        "--day",
        "May 2021",
        "--wearer",
        "Coxswain",
    )
    out = said(
        capsys, "enter", "sock", *words, "--parts", "leg 56, heel 40, foot 61 rows", "--verdict", "tight, too long"
    )
    assert (
        "Sock of May 2021 for Coxswain, Moss, 64 slots: round tight, length too long; leg 56, heel 40 passes, foot 61"
        in out
    )
    book = Logbook.for_reading(logbook_path())
    (wearer,) = book.shelf(Wearer)
    (verdict,) = worn_by(book, wearer.id).verdicts
    assert (verdict.round, verdict.length) == ("tight", "too long")
    assert not book.gauges()
    book.close()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("gauge", *TUBE), "--rows: A gauge has rows and stitches: type how many rows and their length"),
        (("gauge", *TUBE, *READ[:4]), "--flat-width: A gauge has rows and stitches: type the flat width"),
        (("gauge", *TUBE, *READ[2:]), "--rows: Type how many rows that length covers."),
        (("gauge", *TUBE, *READ, "--rows-per-in", "10"), "--length: Type the rows and their length, or"),
        (("gauge", *TUBE, *READ, "--stitches-per-cm", "3"), "--flat-width: Type the flat width, or"),
        (("gauge", *TUBE, "--rows-per-in", "2", "--stitches-per-in", "8"), "--rows-per-in: 2.0 rows an inch cannot be"),
        (("gauge", *TUBE, "--rows-per-in", "9", "--rows-per-cm", "4"), "not both"),
        (("gauge", *TUBE, *READ, "--day", "2190"), "--day: 2190 is still to come: type a day that is past."),
        (("gauge", *TUBE, *READ, "--day", "last winter"), "type one such as 2019, May 2021 or 24/12/2020"),
        (("gauge", *TUBE, *READ, "--day", ""), "--day: Type the day as far as you know it"),
        (("gauge", *TUBE, *READ, "--dial", "7 1/3"), "--dial: The dial position “7 1/3” is not a whole click"),
        (
            ("gauge", *TUBE, *READ, "--yarn", "Mos s"),
            "--yarn: No yarn on the shelf is called “Mos s”: type its name, or",
        ),
        (("gauge", *TUBE, *READ, "--yarn", ""), "--yarn: Type which yarn it was. On the shelf: Moss."),
        (("gauge", *TUBE, *READ, "--slots", "80"), "--slots: No cylinder on the shelf has 80 slots"),
        (("gauge", *TUBE, *READ, "--slots", "80", "--cylinder", "64 slots"), "64 slots has 64 slots, not 80"),
        (
            ("gauge", *TUBE, *READ, "--verdict", "roomy"),
            "--verdict: “roomy” cannot be read: type loose, right or tight",
        ),
        (("sock", *TUBE), "--parts: Nothing is said about the sock"),
        (
            ("sock", *TUBE, "--parts", "leg fifty"),
            "--parts: “leg fifty” is not a part with its rows: type them as leg 56",
        ),
        (
            ("sock", *TUBE, "--parts", "leg 56", "--promise", "Ana"),
            "--promise: No promise on the shelf is called “Ana”",
        ),
        (("csv", "nowhere.csv"), "nowhere.csv: No such file"),
        (("page",), "“page” cannot be entered; there is gauge, sock, csv, list, change or retire."),
        ((), "Type what to enter, or to do with what was entered: gauge, sock, csv, list, change or retire."),
        (("change", "gauge-1", "--day", "2018"), "No gauge or sock from the notebook has that name"),
        (("change", "gauge-1"), "Type what to put right, such as --day 2018."),
        (("retire", "gauge-1"), "No gauge or sock from the notebook has that name. Type one of these: none yet."),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_saved(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str
) -> None:
    book = Logbook.for_writing(logbook_path(), "a test")
    book.keep(
        Machine(id="attic", name="Attic", clicks_per_turn=4),
        Cylinder(id="c64", name="64 slots", slots=64),
        Yarn(id="moss", name="Moss"),
    )
    book.close()
    before = shelf()
    assert says in said(capsys, "enter", *words, code=2)
    assert shelf() == before


def test_ten_years_of_a_notebook_by_its_table(capsys: pytest.CaptureFixture[str]) -> None:
    foretold = said(capsys, "enter", "csv", str(TEN_YEARS), "--new", "--dry-run")
    assert foretold.endswith("Would be taken in: 30 gauges and 10 socks. Nothing was saved.\n")
    assert not logbook_path().exists()
    done = said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    assert done.splitlines()[:-1] == foretold.splitlines()[:-1]
    found = shelf()
    assert [len(found[cls]) for cls in (Yarn, Machine, Cylinder, Wearer, Noted)] == [6, 2, 4, 4, 40]
    book = Logbook.for_reading(logbook_path())
    gauges = book.gauges()
    assert [gauge.at_ms for gauge in gauges] == sorted((gauge.at_ms for gauge in gauges), reverse=True)
    assert {gauge.noted[:4] for gauge in gauges} == {str(year) for year in range(2014, 2024)}
    assert len(read_knits(book)) == 30
    assert not book.lines()
    assert not beds(book.store), "no row was cranked on any machine"
    book.close()
    assert "40 lines were here already" in said(capsys, "enter", "csv", str(TEN_YEARS))
    assert len(shelf()[Noted]) == 40


def test_what_goes_out_comes_in_again_and_goes_out_the_same(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    said(capsys, "logbook", "import", str(shipped_folder("sample_sessions")))
    said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    out = said(capsys, "logbook", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert {row["what"] for row in rows} == {"gauge", "sock"}
    assert any(row["id"].startswith("2024") and row["dial"].endswith("clicks") for row in rows), "measured here"
    table = tmp_path / "out.csv"
    said(capsys, "logbook", "csv", "--output", str(table))
    assert f"{len(rows)} lines were here already" in said(capsys, "enter", "csv", str(table))
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "another"))
    said(capsys, "enter", "csv", str(table), "--new")
    assert said(capsys, "logbook", "csv") == out


FAULTY = """day;what;yarn;slots;machine;rows;length;flat_width;parts;wearer
2019;gauge;Moss;64;Attic;60;148 mm;102 mm;;

2020;gauge;Moss;64;Attic;60;148 miles;102 mm;;
sometime;tube;Moss;64;Attic;sixty;148 mm;102 mm;;
2021;gauge;Moss;64;Attic;60;148 mm;102 mm;leg 56;
2021;hat;Moss;64;Attic;60;148 mm;102 mm;;
2022;sock;Moss;;Attic;;;;"leg 56
foot 61";Ana
"""


def test_every_faulty_line_is_told_by_its_number_and_none_is_taken_in(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    table = tmp_path / "faulty.csv"
    table.write_text(FAULTY, encoding="utf-8")
    lines = said(capsys, "enter", "csv", str(table), "--new", code=2).splitlines()
    assert lines[0].endswith("Nothing was taken in; 5 lines must be put right first:")
    assert [line.strip().split(":")[0] for line in lines[1:]] == [
        "line 4, length",
        "line 5, day",
        "line 5, rows",
        "line 6, parts",
        "line 7, what",
        "line 8, slots",
    ]
    assert "type one such as 2019, May 2021 or 24/12/2020" in lines[2]
    assert "That belongs to a sock, and this is a gauge" in lines[4]
    assert "“hat” is not one of them: What it is takes a gauge or a sock." in lines[5]
    assert "Type how many slots the cylinder has. On the shelf: 64 slots." in lines[6]
    assert not any(shelf().values())


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("day,yarn\n", "The table has no lines: the first names the columns"),
        ("", "The table has no lines"),
        ("2019,gauge,Moss\n2020,gauge,Moss\n", "No column is called “2019”; there are id, what, day"),
        ("rows,length\n60,148 mm\n", "The first line must name the columns, day and yarn among them"),
        ("day,yarn,day\n2019,Moss,2020\n", "Two columns are called “day”: leave one out."),
        ("day,yarn,length\n2019,Moss,14,8 cm\n", "Line 2 has more cells than the first line names columns"),
        ('day,yarn\n2019,"Moss\n2020,Moss\n', "Line 2 is not a line of a table"),
    ],
)
def test_a_table_that_is_none_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str, says: str) -> None:
    table = tmp_path / "table.csv"
    table.write_text(text, encoding="utf-8")
    assert says in said(capsys, "enter", "csv", str(table), code=2)


def test_a_table_in_another_coding_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_bytes("day,yarn\n2019,Märchen\n".encode("latin-1"))
    assert "save it from the spreadsheet as CSV, UTF-8" in said(capsys, "enter", "csv", str(table), code=2)


def test_of_two_cylinders_alike_it_is_asked_which(capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "enter", "gauge", "--new", "--machine", "Attic", *TUBE, *READ)
    said(capsys, "enter", "gauge", "--new", "--cylinder", "The worn one", *TUBE, *READ)
    told = said(capsys, "enter", "gauge", *TUBE, *READ, code=2)
    assert "--cylinder: Several cylinders have 64 slots: type which it was, 64 slots or The worn one." in told
    assert "Taken in" in said(capsys, "enter", "gauge", "--cylinder", "worn", *TUBE, *READ, "--note", "again")


def test_as_json_it_is_data(capsys: pytest.CaptureFixture[str]) -> None:
    words = (
        "--new",
        "--machine",
        "Attic",
        *TUBE,
        "--rows-per-cm",
        "4.1",
        "--rows-error",
        "0.1",
        "--stitches-per-cm",
        "3.1",
    )
    told = json.loads(said(capsys, "enter", "gauge", *words, "--dry-run", "--json"))
    (one,) = told["taken"]
    assert (one["rows_per_mm"], one["rows_per_mm_error"]) == pytest.approx((0.41, 0.01))
    assert one["stitches_per_mm_error"] == pytest.approx(0.31 * 3 / 3**0.5 / 100)
    assert [made["kind"] for made in told["new_on_the_shelf"]] == ["yarn", "machine", "cylinder"]
    assert (told["dry_run"], one["here_already"]) == (True, False)


def test_what_was_entered_is_listed_put_right_and_retired(capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    assert len(said(capsys, "enter", "list").splitlines()) == 40
    wrong = said(capsys, "enter", "gauge", *TUBE, *READ, "--machine", "The attic one", "--json")
    (one,) = json.loads(wrong)["taken"]
    out = said(
        capsys,
        "enter",
        "change",
        one["id"],
        "--day",
        "May 2018",
        "--slots",
        "80",
        "--yarn",
        "Chalk",
        "--length",
        "150 mm",
    )
    assert out.startswith("Changed: Gauge of May 2018, Chalk, 80 slots, dial 7 1/4: 10.16 ± 0.12 rows and 9.96 ± 0.17")
    (now,) = [kept for kept in shelf()[Noted] if kept.id == one["id"]]
    assert (now.day, now.slots, now.rows) == ("2018-05", 80, 60)
    assert now.rows_per_mm == pytest.approx(60 / 150)
    assert now.stitches_per_mm == pytest.approx(40 / 102), "the width stays as it was measured"
    told = said(capsys, "enter", "change", one["id"], "--verdict", "roomy", code=2)
    assert "--verdict: “roomy” cannot be read" in told
    assert "is retired" in said(capsys, "enter", "retire", one["id"][:-1])
    assert len(said(capsys, "enter", "list").splitlines()) == 40
    assert "(retired)" in said(capsys, "enter", "list", "--old")
    assert "is in use again" in said(capsys, "enter", "retire", one["id"], "--back")
    listed = [json.loads(line) for line in said(capsys, "enter", "list", "--json").splitlines()]
    assert one["id"] in {each["id"] for each in listed}


def test_what_was_put_right_is_not_taken_in_again_as_it_was(capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    first = shelf()[Noted][0]
    said(capsys, "enter", "change", first.id, "--day", "2013")
    assert "40 lines were here already" in said(capsys, "enter", "csv", str(TEN_YEARS))
    assert len(shelf()[Noted]) == 40


def test_what_was_renamed_or_entered_twice_is_known_by_its_old_name_too(capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    said(capsys, "shelf", "change", "yarn", "Chalk", "--name", "White Cliff")
    said(capsys, "shelf", "merge", "wearer", "Ferryman", "my aunt")
    assert "40 lines were here already" in said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    assert len(shelf()[Noted]) == 40
    assert "White Cliff" in said(
        capsys, "enter", "gauge", "--new", *TUBE, *READ, "--yarn", "chalk", "--machine", "The attic one"
    )


def test_something_new_that_may_be_there_already_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    told = said(capsys, "enter", "gauge", "--new", "--dry-run", *TUBE, *READ, "--yarn", "Barl", "--machine", "Attic")
    assert "New on the shelf: yarn Barl; take a look: Barley was there already" in told
    assert "New on the shelf: machine Attic; take a look: The attic one was there already" in told


def test_a_table_of_a_spreadsheet_that_writes_commas(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    lines = (
        "Day;Yarn;What;Machine;Slots;Dial;Rows per in;Stitches-per-in",
        "2019;Moss;gauge;Attic;64;07. Jan;10,4;7,9",
    )
    table.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(lines).encode())
    out = said(capsys, "enter", "csv", str(table), "--new")
    assert "10.40 ± 0.18 rows and 7.90 ± 0.14 stitches per in" in out
    assert "The dial “07. Jan” is kept as written; no position can be read from it." in out


def test_put_right_in_one_place_it_stays_the_same_in_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "enter", "csv", str(TEN_YEARS), "--new")
    for before in shelf()[Noted][:12]:
        said(capsys, "enter", "change", before.id, "--note", "seen again")
        (after,) = [one for one in shelf()[Noted] if one.id == before.id]
        told, was = after.model_dump(), before.model_dump()
        rates = [name for name in told if name.startswith(("rows_per", "stitches_per")) and told[name] is not None]
        assert [told.pop(name) for name in rates] == pytest.approx([was.pop(name) for name in rates], rel=1e-8)
        assert told == was | {"note": "seen again"}


@pytest.mark.parametrize("column", [column for column in NOTED_COLUMNS if column != "id"])
def test_nothing_that_is_typed_raises_more_than_a_sentence(column: str, tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite", FakeClock())
    good = {"what": "sock", "day": "2019", "yarn": "Moss", "machine": "Attic", "slots": "64", "parts": "leg 56"}
    taking = Taking(book, "in", "g", date(2026, 1, 1), new=True)
    for word in NASTY_WORDS:
        for fault in taking.read(good | {column: word}):
            assert fault.why
            assert fault.why.isprintable() or "\n" in fault.why, fault
    taking.keep()
    for one in book.shelf(Noted):
        assert Noted.model_validate_json(one.model_dump_json()) == one
    book.close()
