"""Events to and from their columns, and sessions to and from their files: nothing is lost either way."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given

from hosewright.logbook.file.coding import decode, encode
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel.session_files import parse, read, write
from hosewright.session.events import EVENT_TYPES, Confirmed, Entry, Event, Observed, Opened, Pressed, ReadOff
from tests.helpers import entries, record
from tests.strategies import events, logs

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

TUBE = record("tube")
GOOD = write(TUBE, entries([Opened(), Confirmed(), Pressed(), Observed("tuck", 3, "two loops")]))


@given(events)
def test_an_event_comes_back_from_its_columns(event: Event) -> None:
    assert decode(*encode(event)) == event


def test_every_kind_has_its_own_tag_and_comes_back_with_every_field_set() -> None:
    samples: dict[str, object] = {"int": 7, "str": "é", "float": 2.5, "bool": True, "int | None": 5}
    samples |= {"Verdict": "stay", "Fault": "knot", "Fault | None": "knot", "Restatable": "yarn"}
    samples["dict[str, Any] | str | None"] = {"id": "twine-ab23", "name": "Twine"}
    tags = set()
    for cls in EVENT_TYPES:
        full = {f.name: samples[str(f.type)] for f in dataclasses.fields(cls) if f.name != "kind"}
        event = cls(**full)  # type: ignore[arg-type]  # the right kind for each, by the table above
        assert decode(*encode(event)) == event
        tags.add(event.kind)
    assert len(tags) == len(EVENT_TYPES)


def test_a_press_needs_no_body() -> None:
    assert encode(Pressed()) == ("pressed", None)


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("danced", None),
        ("danced", "{}"),
        ("struck", None),
        ("struck", "{}"),
        ("struck", '{"seq": 1, "more": 2}'),
        ("struck", "[1, 2]"),
        ("struck", "7"),
        ("struck", "{seq"),
        ("", ""),
    ],
)
def test_what_is_no_event_is_said_to_be_none(kind: str, body: str | None) -> None:
    with pytest.raises(ValueError):
        decode(kind, body)


@given(logs())
def test_a_session_comes_back_from_its_file(log: list[Entry]) -> None:
    filed = parse(write(TUBE, log))
    assert filed.session == TUBE
    assert filed.entries() == log


def test_times_are_told_in_local_time_with_the_offset() -> None:
    filed = write(TUBE, [Entry(1, 0, -210, 9, Pressed())])
    assert '"at": "1969-12-31T20:30:00.000-03:30"' in filed
    assert parse(filed).entries() == [Entry(1, 0, -210, 9, Pressed())]


def test_a_file_is_one_event_a_line() -> None:
    lines = GOOD.splitlines()
    assert sum('"seq":' in line for line in lines) == 4
    assert json.loads(GOOD)["format"] == "hosewright session"


def mutated(change: Callable[[Any], object]) -> str:
    document = json.loads(GOOD)
    change(document)
    return json.dumps(document)


def at(document: Any, *path: str | int) -> Any:
    for part in path:
        document = document[part]
    return document


_IDS = [step["id"] for step in json.loads(GOOD)["session"]["steps"]]
IN_TUBE, BEFORE_WASH = _IDS.index("tube"), _IDS.index("before-wash")
BAD: dict[str, str] = {
    "nothing": "",
    "not JSON": "a sock",
    "cut short": GOOD[:-200],
    "a list": "[]",
    "a number": "7",
    "null": "null",
    "too deep": "[" * 100_000,
    "other format": mutated(lambda d: d.update(format="knitting")),
    "newer version": mutated(lambda d: d.update(version=2)),
    "version as text": mutated(lambda d: d.update(version="one")),
    "no session": mutated(lambda d: d.pop("session")),
    "no events": mutated(lambda d: d.pop("events")),
    "a part that has no place": mutated(lambda d: at(d, "session").update({"~": 1})),
    "unknown kind of session": mutated(lambda d: at(d, "session").update(kind="hat")),
    "id with a path in it": mutated(lambda d: at(d, "session").update(id="../../x")),
    "blank title": mutated(lambda d: at(d, "session").update(title="   ")),
    "title of control characters": mutated(lambda d: at(d, "session").update(title="\x1b\x07")),
    "long title": mutated(lambda d: at(d, "session").update(title="x" * 81)),
    "no steps": mutated(lambda d: at(d, "session").update(steps=[])),
    "same step twice": mutated(lambda d: at(d, "session", "steps").append(at(d, "session", "steps", 0))),
    "same thing to measure twice": mutated(
        lambda d: at(d, "session", "steps", BEFORE_WASH, "fields").append(
            at(d, "session", "steps", BEFORE_WASH, "fields", 0)
        )
    ),
    "no rows": mutated(lambda d: at(d, "session", "steps", IN_TUBE).update(target=0)),
    "endless rows": mutated(lambda d: at(d, "session", "steps", IN_TUBE).update(target=10**9)),
    "unknown kind of step": mutated(lambda d: at(d, "session", "steps", IN_TUBE).update(kind="dance")),
    "heel wider than the cylinder": mutated(
        lambda d: at(d, "session", "steps").append(
            {"kind": "passes", "id": "heel", "title": "Heel", "needles": 80, "left_in_work": 20}
        )
    ),
    "heel that cannot be turned": mutated(
        lambda d: at(d, "session", "steps").append(
            {"kind": "passes", "id": "heel", "title": "Heel", "needles": 36, "left_in_work": 36}
        )
    ),
    "dial above zero": mutated(lambda d: at(d, "session").update(dial=-1)),
    "cylinder with no slots": mutated(lambda d: at(d, "session", "cylinder").update(slots=0)),
    "gap in the numbering": mutated(lambda d: at(d, "events", 2).update(seq=9)),
    "number below one": mutated(lambda d: at(d, "events", 0).update(seq=0)),
    "time without an offset": mutated(lambda d: at(d, "events", 1).update(at="2024-01-01T10:00:00")),
    "no time at all": mutated(lambda d: at(d, "events", 1).update(at="yesterday")),
    "time at the beginning of the calendar": mutated(
        lambda d: at(d, "events", 1).update(at="0001-01-01T00:00:00+05:00")
    ),
    "time at the end of the calendar": mutated(lambda d: at(d, "events", 1).update(at="9999-12-31T23:59:59-05:00")),
    "tick below zero": mutated(lambda d: at(d, "events", 1).update(tick_ms=-1)),
    "tick too large": mutated(lambda d: at(d, "events", 1).update(tick_ms=2**70)),
    "unknown event": mutated(lambda d: at(d, "events", 1).update(event={"kind": "danced"})),
    "event without a kind": mutated(lambda d: at(d, "events", 1).update(event={})),
    "event with a part missing": mutated(lambda d: at(d, "events", 1).update(event={"kind": "struck"})),
    "unknown fault": mutated(lambda d: at(d, "events", 3, "event").update(fault="moths")),
    "needle in words": mutated(lambda d: at(d, "events", 3, "event").update(needle="third")),
}


@pytest.mark.parametrize("text", BAD.values(), ids=BAD.keys())
def test_a_bad_file_is_refused_in_readable_lines(text: str) -> None:
    with pytest.raises(LogbookError) as refused:
        parse(text, "sock.json")
    said = str(refused.value)
    assert said.startswith("sock.json is not a session file hosewright can read:\n  ")
    assert len(said.splitlines()) <= 8
    assert "\x1b" not in said
    assert "pydantic" not in said
    assert all(len(line) < 400 for line in said.splitlines())


def test_many_problems_are_told_a_few_at_a_time() -> None:
    def spoil(document: Any) -> None:
        for event in document["events"]:
            event["tick_ms"] = -1
            event["at"] = "never"

    with pytest.raises(LogbookError, match="and 2 more"):
        parse(mutated(spoil))


def test_a_missing_or_unreadable_file_is_said_to_be_so(tmp_path: Path) -> None:
    with pytest.raises(LogbookError, match="cannot be read"):
        read(tmp_path / "none.json")
    with pytest.raises(LogbookError, match="cannot be read"):
        read(tmp_path)
    binary = tmp_path / "picture.json"
    binary.write_bytes(b"\xff\xfe\x00\x89")
    with pytest.raises(LogbookError, match="not UTF-8"):
        read(binary)
    good = tmp_path / "good.json"
    good.write_text(GOOD, encoding="utf-8")
    assert read(good).session == TUBE


def test_a_file_too_large_is_not_even_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hosewright.logbook.travel.session_files.MOST_BYTES", 100)
    large = tmp_path / "large.json"
    large.write_text(GOOD, encoding="utf-8")
    with pytest.raises(LogbookError, match="too large"):
        read(large)


def test_a_reading_that_is_no_number_survives_the_file() -> None:
    # A refused event is kept all the same, and JSON has no infinity: the file must still be read again.
    log = entries([ReadOff("length", float("inf"))])
    assert parse(write(TUBE, log)).entries() == log
