"""The quick way with the lines of session files says and takes just what the models do."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.logbook.file.coding import PLAIN
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel.session_files import (
    FiledEntry,
    Heard,
    _filed,
    _heard,
    _told,
    hear,
    parse,
    session_in,
    write,
)
from hosewright.session.events import Confirmed, Entry, Observed, Opened, Pressed
from tests.helpers import entries, record
from tests.logbook.test_coding_and_files import BAD
from tests.strategies import logs

TUBE = record("tube")
GOOD = write(TUBE, entries([PLAIN["opened"], *[PLAIN["pressed"]] * 3, Observed("tuck", 3, "two loops"), Opened()]))


def as_stored(log: list[Entry]) -> list[Entry]:
    """The log as the store gives it: an event without a body is always the same one."""
    return [entry._replace(event=PLAIN[e.kind]) if (e := entry.event) == PLAIN.get(e.kind) else entry for entry in log]


@given(logs())
def test_a_line_is_written_as_the_models_write_it(log: list[Entry]) -> None:
    for entry in as_stored(log):
        line = _told(entry)
        assert (line is None) == (entry.event != PLAIN.get(entry.event.kind))
        assert line in (None, json.dumps(_filed(entry), ensure_ascii=False))


@given(logs())
def test_a_session_is_read_as_the_models_read_it(log: list[Entry]) -> None:
    text = write(TUBE, as_stored(log))
    filed = parse(text)
    assert session_in(text) == Heard(filed.session, filed.entries()) == Heard(TUBE, log)


instants = st.builds(
    "{:04}-{}-{}T{}:{}:{}.{:03}{}{}:{}".format,
    st.sampled_from([0, 1, 2, 1969, 1970, 2024, 9998, 9999]) | st.integers(0, 9999),
    st.integers(0, 13).map(lambda n: f"{n:02}"),
    st.integers(0, 32).map(lambda n: f"{n:02}"),
    *[st.integers(0, most).map(lambda n: f"{n:02}") for most in (24, 60, 60)],
    st.integers(0, 999),
    st.sampled_from("+-"),
    st.integers(0, 24).map(lambda n: f"{n:02}"),
    st.integers(0, 60).map(lambda n: f"{n:02}"),
)
numbers = st.integers(0, 2**63).map(str) | st.sampled_from(["-1", "01", "1.0", "1e3", "٣"])
kinds = st.sampled_from([*PLAIN, "struck", "danced"])


@given(numbers, instants, numbers, kinds)
def test_a_line_taken_at_once_is_one_the_models_take_and_means_the_same(
    seq: str, at: str, tick: str, kind: str
) -> None:
    line = f'{{"seq": {seq}, "at": "{at}", "tick_ms": {tick}, "event": {{"kind": "{kind}"}}}}'
    found = _heard(line)
    if found is not None:
        filed = FiledEntry.model_validate_json(line)
        filed.refuse_out_of_place(found.seq)
        assert filed.entry() == found


def test_a_press_is_taken_at_once() -> None:
    line = '{"seq": 7, "at": "1969-12-31T20:30:00.250-03:30", "tick_ms": 9, "event": {"kind": "pressed"}}'
    assert _heard(line) == Entry(7, 250, -210, 9, Pressed())
    assert _heard(line.replace("pressed", "confirmed")) == Entry(7, 250, -210, 9, Confirmed())
    assert _heard(f" {line}") is None


def outcome(text: str, *, quick: bool) -> Heard | str:
    try:
        return (session_in if quick else hear)(text, "sock.json")
    except LogbookError as error:
        return str(error)


@pytest.mark.parametrize("text", BAD.values(), ids=BAD.keys())
def test_a_bad_document_is_refused_in_the_same_words(text: str) -> None:
    said = outcome(text, quick=True)
    assert isinstance(said, str)
    assert said == outcome(text, quick=False)


CHANGES = [
    ('"seq": 3', '"seq": 4'),
    ('"seq": 3', '"seq": 03'),
    ("\n  ]\n}\n", "\n  ]\n}"),
    ("\n  ]\n}\n", "\n  ],\n}\n"),
    ("\n  ]\n}\n", '\n  ], "more": 1\n}\n'),
    ("\n  ]\n}\n", '\n  ], "events": []\n}\n'),
    (',\n  "events": [', ',\n  "events": [],\n  "events": ['),
    (',\n  "events": [\n', ',\n  "events": [\n    ,\n'),
    ('{"seq": 2', '\n {"seq": 2'),
    ("}},\n    {", "}}, {"),
    ("}},\n    {", "}}\n    {"),
    ('"tick_ms": 1', '"tick_ms": -1'),
    ('"pressed"}}', '"pressed", "doubtful": true}}'),
    ('"pressed"}}', '"pressed"}, "more": 1}'),
    ('"version": 1', '"version": 2'),
]


@pytest.mark.parametrize(("old", "new"), CHANGES)
def test_a_document_laid_out_a_little_otherwise_means_the_same_or_is_refused_alike(old: str, new: str) -> None:
    assert old in GOOD
    for changed in (GOOD.replace(old, new), GOOD.replace(old, new, 1)):
        assert outcome(changed, quick=True) == outcome(changed, quick=False)


@given(st.integers(0, len(GOOD)), st.integers(0, 60), st.text('{}[],":\n 0123456789-+TZseqat', max_size=8))
def test_a_document_changed_anywhere_means_the_same_or_is_refused_alike(at: int, cut: int, put: str) -> None:
    changed = GOOD[:at] + put + GOOD[at + cut :]
    assert outcome(changed, quick=True) == outcome(changed, quick=False)
