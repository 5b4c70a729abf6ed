"""What ``hosewright help formats`` promises: every version read, what is unknown kept, and files made by it alone."""

from __future__ import annotations

import dataclasses
import json
import re
import subprocess
import sys
from typing import TYPE_CHECKING, Any, get_args

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import SHELF, PlannedCuff, PlannedPart, Yarn
from hosewright.logbook.travel import folders, session_files, shelf_file
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.pages import page
from hosewright.places import shipped_folder
from hosewright.session import steps
from hosewright.session.events import EVENT_TYPES, Fault, Observed, Verdict
from tests.helpers import BEGUN, entries, machine, record, yarn

if TYPE_CHECKING:
    from pathlib import Path

    from pydantic import BaseModel

STEPS = (steps.Confirm, steps.DialTrial, steps.CountRows, steps.CountPasses, steps.Measure, steps.MeasureField)
MODELS = (session_files.SessionFile, session_files.FiledEntry, SessionRecord, StringSock, PlannedCuff, PlannedPart)


def test_the_page_names_every_field_and_every_kind() -> None:
    told = set(re.findall(r"[a-z][a-z0-9_-]*", page("formats")))
    shelf = [cls for kind, cls in SHELF.items() if kind != "beside"]
    models: list[type[BaseModel]] = [*MODELS, *shelf, shelf_file.ShelfFile, shelf_file.Written, shelf_file.Earlier]
    named = {name for model in models for name in model.model_fields}
    named |= {one.name for cls in (*EVENT_TYPES, *STEPS) for one in dataclasses.fields(cls)}
    kinds = {str(one.default) for cls in EVENT_TYPES for one in dataclasses.fields(cls) if one.name == "kind"}
    words = {*get_args(Fault), *get_args(Verdict), *get_args(steps.SessionKind), *(SHELF.keys() - {"beside"})}
    assert sorted((named | kinds | words) - told) == []


def test_the_page_says_which_versions_there_were() -> None:
    said = " ".join(page("formats").split())
    assert (session_files.VERSION, shelf_file.VERSION) == (1, 1)
    assert "Version 1 is the only one ever written; it will be read for ever" in said


@pytest.mark.parametrize("version", [1])
def test_a_file_of_every_version_ever_written_is_read(version: int, tmp_path: Path) -> None:
    """The samples were written by earlier and by later states of it; files of a new version go beside them."""
    paths = folders.files_in([str(shipped_folder("sample_sessions"))])
    assert {json.loads(path.read_text(encoding="utf-8"))["version"] for path in paths} == {version}
    book = Logbook(tmp_path / "logbook.sqlite")
    told = folders.import_all(book, paths)
    assert told.refused == []
    assert len(told.new) > 20
    assert find_damage(book)[1] == []
    book.close()


def later() -> dict[str, Any]:
    """A session file as a later version may write it: something new wherever anything can stand."""
    log = entries([*BEGUN[:1], Observed("tuck", 7, "two loops"), *BEGUN[1:2]])
    told: dict[str, Any] = json.loads(session_files.write(record("tube"), log))
    told["writer"] = {"version": "2.4"}
    told["session"]["room"] = "loft"
    told["session"]["machine"]["ribber"] = {"slots": 54}
    told["session"]["steps"][0]["picture"] = "cast-on"
    told["session"]["steps"][-1]["picture"] = "tube"
    told["events"][0]["speed"] = 41.5
    told["events"][1]["event"]["angle"] = [3, 4]
    told["events"][2]["event"]["hand"] = "left"
    return told


def test_what_only_a_later_version_knows_survives_import_and_export(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    given = tmp_path / "given.json"
    given.write_text(json.dumps(later()), encoding="utf-8")
    told = folders.import_all(book, [given])
    assert (told.refused, len(told.new)) == ([], 1)
    (line,) = book.lines()
    assert json.loads(folders.document(book, line)) == later()
    again = tmp_path / "again.json"
    again.write_text(folders.document(book, line), encoding="utf-8")
    assert folders.import_all(book, [again]).known == [line.id]
    assert find_damage(book)[1] == []
    without = json.loads(folders.document(book, line, people=False))
    assert "loft" not in json.dumps(without), "it may tell of anybody"
    book.close()


def test_on_the_shelf_it_survives_too_and_so_do_things_of_an_unknown_kind(tmp_path: Path) -> None:
    tools = [{"id": "weight-ring", "name": "Ring", "grams": 340.0}, {"id": "hook", "retired": True}]
    told = json.loads(shelf_file.written(dict.fromkeys(SHELF, ()) | {"machine": [machine()], "yarn": [yarn()]}))
    told["yarn"][0]["plies"] = 4
    given = shelf_file.parse(json.dumps(told | {"tool": tools}))
    book = Logbook(tmp_path / "logbook.sqlite")
    shelf_file.take_in(book, given)
    again = json.loads(shelf_file.write(book))
    assert again == told | {"tool": tools}
    mine = book.get(Yarn, yarn().id)
    assert mine is not None
    book.keep(mine.model_copy(update={"colour": "moss"}))
    assert json.loads(shelf_file.write(book))["yarn"][0]["plies"] == 4, "a change here leaves it as it was"
    assert find_damage(book)[1] == []
    book.close()


# Written by the page alone: nothing of hosewright is imported.
STRANGER = """
import json, sys

def event(seq, kind, **more):
    at = f"2026-01-09T18:{seq:02}:00.000+01:00"
    return {"seq": seq, "at": at, "tick_ms": seq * 60000, "event": {"kind": kind, **more}}

steps = [
    {"kind": "confirm", "id": "hang-on", "title": "Hang it on", "stitches": 60},
    {"kind": "rows", "id": "separator-in", "title": "Separator", "target": 8, "yarn": "separator"},
    {"kind": "rows", "id": "tube", "title": "Tube", "target": 60},
    {"kind": "wait", "id": "drying", "title": "Let it dry"},
    {"kind": "measure", "id": "after-wash", "title": "Measure", "fields": [
        {"id": "length", "label": "Length", "quantity": "length"},
        {"id": "width", "label": "Width", "quantity": "length"}]},
]
events = [event(1, "opened"), event(2, "confirmed")]
events += [event(seq, "pressed") for seq in range(3, 11)]
events += [event(11, "observed", fault="dropped", needle=7, note="hung again"), event(12, "confirmed")]
session = {
    "id": "20260109-gorse", "kind": "tube", "title": "Gorse on 60", "started_ms": 1767978000000, "zone_min": 60,
    "machine": {"id": "barn", "name": "Barn", "clicks_per_turn": 5},
    "cylinder": {"id": "barn-60", "name": "Sixty", "slots": 60},
    "yarn": {"id": "gorse", "name": "Gorse", "m_per_100g": 400},
    "dial": 21, "steps": steps,
}
json.dump({"format": "hosewright session", "version": 1, "session": session, "events": events}, open(sys.argv[1], "w"))
shelf = {"format": "hosewright shelf", "version": 1,
         "yarn": [{"id": "gorse", "name": "Gorse", "m_per_100g": 400}],
         "lot": [{"id": "gorse-4", "name": "4 D", "yarn": "gorse", "grams": 200, "bought": "2026-01-03"}]}
json.dump(shelf, open(sys.argv[2], "w"))
"""


def test_a_script_written_by_the_page_alone_makes_files_that_are_taken_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = [str(tmp_path / "gorse.json"), str(tmp_path / "shelf.json")]
    subprocess.run([sys.executable, "-I", "-c", STRANGER, *files], check=True, cwd=tmp_path)
    assert main(["logbook", "import", *files, "--dry-run"]) == 0
    said = capsys.readouterr().out
    assert "new: gauge tube 20260109-gorse, Gorse on 60" in said
    assert "new: lot gorse-4, 4 D" in said
    assert main(["logbook", "import", *files]) == 0
    assert main(["logbook", "show", "20260109-gorse"]) == 0
    assert main(["logbook", "check"]) == 0
    assert "Tube" in capsys.readouterr().out
