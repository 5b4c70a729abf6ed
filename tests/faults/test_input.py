"""What comes in: mutated files, absurd options, oversized and endless files, names that try to drive the screen."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hosewright.cli import main
from hosewright.counting.measuring import read_value
from hosewright.craft.dial import read_position
from hosewright.craft.shoes import read_size
from hosewright.craft.units import read_length, read_mass, read_number, read_whole
from hosewright.craft.yarn import read_yarn_count
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel.session_files import MOST_BYTES, parse, read, write
from hosewright.places import logbook_path, shipped_folder
from hosewright.planning.shelf_lines import wearer_fields
from hosewright.session.answers import ASKING, read_answer
from hosewright.session.events import Opened
from hosewright.session.state import State
from hosewright.session.steps import Measure
from tests.faults import mutants
from tests.faults.mutants import NASTY_WORDS, plain
from tests.helpers import entries, head, record

if TYPE_CHECKING:
    from collections.abc import Callable

WEARER = {field.name: field for field in wearer_fields("in")}
SEED = 20250114
numbers = st.sampled_from(
    [
        "5 7/8 in",
        "5⅞ in",
        "14,8 cm",
        "1e400",
        "-1",
        "0",
        "1/0",
        "1/3/5",
        "9" * 4000,
        "0." + "0" * 400 + "1",
        "nan",
        "inf",
        "١٢ cm",
        "１２",
        "²",
        "1 in 2 cm",
        "10**10**10",
        "__import__('os')",
        "5 lightyears",
        "5 * metre ** 99999",
        "72 : 1",
        "US men 10",
        "EU 42.5",
        "three of two",
        "32:drop,30:stay",
        "7 1/2 turns",
    ]
)
anything = st.text(max_size=30) | numbers | st.sampled_from(NASTY_WORDS)


def test_mutated_files_are_taken_whole_or_refused_in_a_sentence(tmp_path: Path) -> None:
    figures = mutants.run(tmp_path / "mutants", 200, SEED)
    assert figures.mutants == 200
    assert figures.outcomes["session taken"] > 8
    assert figures.outcomes["session refused"] > 8


# --- what is typed into a form -----------------------------------------------------------------------------------


def _answer(about: str, state: State, text: str) -> object:
    return read_answer(about, text, state)


def _readers() -> dict[str, Callable[[str], Any]]:
    readers: dict[str, Callable[[str], Any]] = {
        "length": read_length,
        "mass": read_mass,
        "number": lambda text: read_number(text, what="number", least=0, most=100),
        "whole": lambda text: read_whole(text, what="number", least=0, most=100),
        "position": read_position,
        "size": read_size,
        "shoe size": WEARER["shoe_size"].read,
        "sized as": WEARER["sized_as"].read,
        "yarn count": read_yarn_count,
    }
    for step in head("tube").steps:
        if isinstance(step, Measure):
            for item in step.fields:
                readers[f"reading {item.id}"] = partial(read_value, item=item, length_unit="in", mass_unit="g")
    state = State(head("sock"))
    for about in ASKING:
        readers[f"answer {about}"] = partial(_answer, about, state)
    return readers


@pytest.mark.parametrize("name", list(_readers()))
@given(text=anything)
def test_a_reader_reads_or_says_one_sentence(name: str, text: str) -> None:
    try:
        _readers()[name](text)
    except ValueError as error:  # every error of a reader is one, with a sentence for the person
        said = str(error)
        plain(said)
        assert 3 < len(said) < 400
        assert "\n" not in said
        assert "Traceback" not in said


# --- the command line ----------------------------------------------------------------------------------------------

COMMANDS = (
    'gauge --rows 60 --length "148 mm" --flat-width "102 mm" --slots 64 --mass "12 g" --tape-error "1 mm" --over 6',
    "sock --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --foot-length 10 --m-per-100g 420 --ball-mass 100",
    "sock --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --tube-length 6 --left-in-work 12 --lowering near",
    'feet --size "US men 10" --width D --girths',
    'feet --foot-length "27 cm"',
    "yarn --m-per-100g 420",
    "yarn --worsted 2/8",
    'dial --trials 28:drop,26:drop,24:stay --pitch "1.25 mm" --start "7 turns"',
    "logbook show 20241005",
    "logbook report 20241006 --markdown",
    "logbook export 20241006",
    "logbook import nowhere.json",
    "logbook rescue nowhere.sqlite",
    "crank 20241005 --plain",
    "practice --json",
)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("filled")
    book = Logbook(home / "logbook.sqlite")
    for path in sorted(shipped_folder("sample_sessions").glob("[0-9]*.json"))[:3]:
        filed = read(path)
        book.take_in(filed.session, filed.entries())
    book.close()
    return home


@given(data=st.data())
@settings(max_examples=150, suppress_health_check=list(HealthCheck), deadline=None)
def test_whatever_is_typed_after_a_verb_ends_with_a_sentence(filled: Path, data: st.DataObject) -> None:
    words = shlex.split(data.draw(st.sampled_from(COMMANDS)))
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(words)))
        how = data.draw(st.sampled_from(("put in", "put in place", "take out")))
        if how == "put in":
            words.insert(at, data.draw(anything))
        elif at < len(words):
            words[at : at + 1] = [] if how == "take out" else [data.draw(anything)]
    words = [word for word in words if word not in ("--output", "--to", "--folder")]
    if not words or words[0] == "practice":
        words = ["practice", "--nothing"]  # the bench itself is tried elsewhere
    where, before = os.environ.get("HOSEWRIGHT_HOME"), Path.cwd()
    os.environ["HOSEWRIGHT_HOME"] = str(filled)
    os.chdir(filled)
    began = time.process_time()
    try:
        code, out, err = _run(words)
    finally:
        os.chdir(before)
        os.environ["HOSEWRIGHT_HOME"] = where or ""
    assert code in (0, 1, 2), (words, code, err)
    assert "Traceback" not in out + err
    assert time.process_time() - began < 10, words
    plain(err)
    plain(out)
    if code == 2:
        assert err.startswith("hosewright: "), (words, err)


def _run(words: list[str]) -> tuple[int, str, str]:
    import contextlib
    import io

    out, err = io.StringIO(), io.StringIO()
    stdin, sys.stdin = sys.stdin, io.StringIO("\n\x1b[2J\no note \x1b]0;x\x07\nq\n")
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            return main(words), out.getvalue(), err.getvalue()
    finally:
        sys.stdin = stdin


# --- files that are no use ------------------------------------------------------------------------------------------


def _nested(depth: int) -> bytes:
    return b'{"format": "hosewright session", "version": 1, "session": ' + b"[" * depth + b"]" * depth + b"}"


ODD_FILES: dict[str, bytes] = {
    "empty": b"",
    "a thousand deep": _nested(1_000),
    "a million deep": _nested(1_000_000),
    "a million braces": b'{"a":' * 1_000_000,
    "UTF-16": write(record("tube"), entries([Opened()])).encode("utf-16"),
    "Latin-1": write(record("tube"), entries([Opened()])).replace("A tube", "Åtube").encode("latin-1"),
    "zeros": bytes(100_000),
    "a long number": b'{"version": ' + b"9" * 1_000_000 + b"}",
    "a long name": json.dumps({"format": "x" * 10_000_000}).encode(),
    "many keys": json.dumps({f"k{n}": n for n in range(100_000)}).encode(),
}


@pytest.mark.parametrize("name", list(ODD_FILES))
def test_an_odd_file_is_refused_in_a_few_lines(tmp_path: Path, name: str) -> None:
    path = tmp_path / "odd.json"
    path.write_bytes(ODD_FILES[name])
    began = time.process_time()
    with pytest.raises(LogbookError) as refused:
        read(path)
    assert time.process_time() - began < 5
    plain(str(refused.value))
    assert len(str(refused.value)) < 2000


def test_a_mark_before_the_text_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "marked.json"
    path.write_bytes(b"\xef\xbb\xbf" + write(record("tube"), entries([Opened()])).encode())
    assert read(path).session == record("tube")


@pytest.mark.skipif(os.name != "posix", reason="pipes with names and devices are POSIX matters")
def test_what_never_ends_is_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.json")
    for path in (tmp_path / "pipe.json", Path("/dev/zero"), tmp_path):
        with pytest.raises(LogbookError):
            read(path)


_MEASURE = """
import resource, sys
from pathlib import Path
from hosewright.cli import main
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
code = main(["logbook", "import", sys.argv[1]])
print(code, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted the way Linux does")
def test_a_huge_file_fills_no_memory(tmp_path: Path) -> None:
    with (tmp_path / "huge.json").open("wb") as file:
        file.truncate(1024**3)  # 1 GB, of which not a byte is on the disk
    event = b'{"seq": 1, "at": "2025-01-14T19:00:00.000+00:00", "tick_ms": 1, "event": {"kind": "pressed"}},\n'
    with (tmp_path / "many.json").open("wb") as file:
        file.write(b'{"format": "hosewright session", "version": 1, "events": [')
        block = event * 10_000
        for _ in range(MOST_BYTES // len(block) + 1):
            file.write(block)
    for name in ("huge.json", "many.json"):
        done = subprocess.run(
            [sys.executable, "-c", _MEASURE, str(tmp_path / name)],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "HOSEWRIGHT_HOME": str(tmp_path / "home")},
        )
        code, megabytes = done.stdout.split()[-2:]
        assert code == "2"
        assert "too large" in done.stderr
        assert int(megabytes) < 100, f"{name}: {megabytes} MB"


def test_no_part_of_a_folder_with_one_bad_file_is_lost_or_half_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for number in range(3):
        (tmp_path / f"{number}.json").write_text(
            write(record("tube", f"20231114-test{number}"), entries([Opened()])), encoding="utf-8"
        )
    (tmp_path / "1.json").write_bytes((tmp_path / "1.json").read_bytes()[:-20])
    assert main(["logbook", "import", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert "1.json" in told.err
    book = Logbook(logbook_path())
    assert sorted(line.id for line in book.lines()) == ["20231114-test0", "20231114-test2"]
    book.close()


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such names")
def test_a_file_name_cannot_drive_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = tmp_path / "\x1b]0;gone\x07\x1b[2J.json"
    name.write_text("{}", encoding="utf-8")
    assert main(["logbook", "import", str(name)]) == 2
    assert main(["logbook", "rescue", str(name)]) == 2
    told = capsys.readouterr()
    plain(told.err)
    plain(told.out)


def _readings(session: dict[str, Any]) -> dict[str, Any]:
    return next(step for step in session["steps"] if step["kind"] == "measure")


STEP_WORDS: dict[str, Callable[[dict[str, Any]], object]] = {
    "a step's id": lambda d: d["steps"][0].update(id="no spaces #here"),
    "a step's title": lambda d: d["steps"][0].update(title="\x1b[2J"),
    "a long title": lambda d: d["steps"][0].update(title="x" * 81),
    "a field's id": lambda d: _readings(d)["fields"][0].update(id="#width"),
    "a field's label": lambda d: _readings(d)["fields"][0].update(label=""),
    "nothing to measure": lambda d: _readings(d).update(fields=[]),
    "a choice without choices": lambda d: _readings(d)["fields"][0].update(quantity="choice"),
    "choices without a choice": lambda d: _readings(d)["fields"][0].update(choices=["a"]),
}


@pytest.mark.parametrize("name", list(STEP_WORDS))
def test_steps_that_no_screen_could_show_are_refused(name: str) -> None:
    document = json.loads(write(record("tube"), entries([Opened()])))
    STEP_WORDS[name](document["session"])
    with pytest.raises(LogbookError) as refused:
        parse(json.dumps(document))
    plain(str(refused.value))
    assert re.search(r"id|title|measure|choice", str(refused.value))


def test_the_limit_leaves_room_for_the_longest_session() -> None:
    line = len(write(record("tube"), entries([Opened()] * 2))) - len(write(record("tube"), entries([Opened()])))
    assert 2 * 100_000 * line < MOST_BYTES


# --- where nothing can be written or read ----------------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="a shell closes the streams")
@pytest.mark.parametrize("argv", ["--version", "--help", "feet --size 'EU 42'", "logbook list", "logbook check"])
def test_a_closed_standard_output_is_one_sentence_and_code_2(argv: str) -> None:
    ran = _in_a_shell(f"{argv} >&-")
    assert (ran.returncode, ran.stdout) == (2, "")
    assert ran.stderr == "hosewright: Standard output is closed, so there is nowhere to write to.\n"


@pytest.mark.skipif(os.name != "posix", reason="a shell closes the streams")
@pytest.mark.parametrize(("closed", "code"), [("<&-", 0), (">&- 2>&-", 2), ("<&- >&- 2>&-", 2), ("2>&-", 0)])
def test_other_closed_streams_do_no_harm(closed: str, code: int) -> None:
    ran = _in_a_shell(f"--version {closed}")
    assert (ran.returncode, ran.stderr) == (code, "")


@pytest.mark.skipif(os.name != "posix", reason="other systems know no such users")
@pytest.mark.parametrize("argv", ["logbook list", "stock", "logbook import ."])
def test_a_home_that_is_nobodys_is_said(argv: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", "~nosuchuser/t")
    ran = _in_a_shell(argv)
    assert ran.returncode == 2
    assert "HOSEWRIGHT_HOME is ~nosuchuser/t, and this system knows no such user" in ran.stderr


def _in_a_shell(argv: str) -> subprocess.CompletedProcess[str]:
    command = f"{shlex.quote(sys.executable)} -m hosewright {argv}"
    return subprocess.run(["sh", "-c", command], capture_output=True, text=True, check=False)
