"""The way in: streams, exit codes, and a start that stays light."""

from __future__ import annotations

import os
import subprocess
import sys
from types import ModuleType
from typing import TYPE_CHECKING

import pytest

from hosewright import __version__
from hosewright.cli import VERBS, main

if TYPE_CHECKING:
    from pathlib import Path

GAUGE = ["gauge", "--rows", "60", "--length", "148 mm", "--flat-width", "102 mm", "--slots", "64"]


def _python(*argv: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    env = os.environ | more
    return subprocess.run([sys.executable, *argv], capture_output=True, env=env, check=False, timeout=60)


def test_the_version() -> None:
    done = _python("-m", "hosewright", "--version")
    assert done.returncode == 0
    assert done.stdout.decode().split() == ["hosewright", __version__]
    assert done.stderr == b""


@pytest.mark.parametrize(
    "argv",
    [
        *([], ["--version"], ["--help"], ["dial", "--trials", "28:drop"]),
        *([verb, "--help"] for verb in ("yarn", "stock", "pairs", "care", "care-card")),
    ],
)
def test_nothing_heavy_is_imported_before_it_is_needed(argv: list[str]) -> None:
    run = f"cli.main({argv!r})" if argv else "0"
    program = (
        f"import sys, hosewright.cli as cli; {run}; "
        "print([m for m in ('textual', 'pydantic', 'pint') if m in sys.modules], file=sys.stderr)"
    )
    assert _python("-c", program).stderr.decode().strip() == "[]"


def test_importing_does_not_load_pint() -> None:
    program = "import sys, hosewright.cli; print('pint' in sys.modules)"
    assert _python("-c", program).stdout.decode().strip() == "False"


def test_a_terminal_without_utf_8_gets_plain_forms() -> None:
    done = _python("-m", "hosewright", *GAUGE, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 0
    assert b"10.30 +- 0.04 per in" in done.stdout
    assert done.stderr == b""


def test_a_reader_that_leaves_is_no_fault() -> None:
    command = [sys.executable, "-m", "hosewright", "--help"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        said = running.stderr.read()
        running.wait(timeout=60)
    assert said == b""
    assert running.returncode == 141


def test_no_verb_opens_the_bench_and_practice_a_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def run_bench(practice: str = "") -> int:
        asked.append(practice)
        return 7

    bench = ModuleType("hosewright.bench.app")
    bench.run_bench = run_bench  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "hosewright.bench.app", bench)
    lesson = ModuleType("hosewright.bench.lesson")
    lesson.run_lesson = lambda: run_bench("first")  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "hosewright.bench.lesson", lesson)
    week = ModuleType("hosewright.bench.practice")
    week.run_week = lambda: run_bench("week")  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "hosewright.bench.practice", week)
    assert main([]) == 7
    assert main(["practice"]) == 7
    assert main(["practice", "first"]) == 7
    assert main(["practice", "week"]) == 7
    assert main(["practice", "nosuch"]) == 2
    assert asked == ["", "evening", "first", "week"]


@pytest.mark.parametrize(
    ("raised", "code", "said"),
    [
        (KeyboardInterrupt(), 130, ""),
        (OSError(28, "No space left on device", "here"), 2, "here: No space left on device."),
        (TypeError("odd"), 70, "a fault in hosewright itself (TypeError: odd)"),
    ],
)
def test_whatever_goes_wrong_there_is_no_traceback(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    raised: BaseException,
    code: int,
    said: str,
) -> None:
    def run(_argv: list[str]) -> int:
        raise raised

    monkeypatch.setattr("hosewright.verbs.gauge.run_yarn", run)
    assert main(["yarn"]) == code
    assert said in capsys.readouterr().err


def test_a_logbook_that_cannot_be_read_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = tmp_path / "home"
    home.mkdir()
    (home / "logbook.sqlite").write_bytes(b"this is no database, and it is long enough to look like a file" * 40)
    assert main(["logbook", "list"]) == 2
    assert "not a database" in capsys.readouterr().err


def test_every_verb_is_where_the_table_says_and_says_what_the_list_says(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    listed = capsys.readouterr().out
    for verb, (_, what) in VERBS.items():
        assert f"{verb} " in listed
        assert what in listed
        assert main([verb, "--help"]) == 0
        assert f"hosewright {verb}" in capsys.readouterr().out


def test_an_old_name_of_a_verb_still_works_and_is_listed_nowhere(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["slip", "--help"]) == 0
    assert "hosewright care-card" in capsys.readouterr().out
    main(["--help"])
    assert "slip" not in capsys.readouterr().out


def test_help_of_a_verb_is_its_own_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help", "sock"]) == main(["sock", "--help"]) == 0
    first, second = capsys.readouterr().out.split("usage:")[1:]
    assert first == second
    assert main(["help", "logbook", "find"]) == main(["logbook", "help", "find"]) == 0
    first, second = capsys.readouterr().out.split("usage:")[1:]
    assert first == second
    assert "hosewright logbook find" in first


@pytest.mark.parametrize(
    ("argv", "meant"),
    [
        (["gague"], "Did you mean gauge?"),
        (["Stok"], "Did you mean stock?"),
        (["zither"], ""),
        (["logbook", "fnd"], "Did you mean find?"),
        (["sock", "--foot-lenght", "24 cm"], "Did you mean --foot-length?"),
        (["sock", "--foot-lenght=24 cm"], "Did you mean --foot-length?"),
    ],
)
def test_what_was_probably_meant(argv: list[str], meant: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(argv) == 2
    said = capsys.readouterr().err
    assert meant in said
    assert meant or "Did you mean" not in said


def test_the_codes_in_the_help_are_those_it_ends_with(capsys: pytest.CaptureFixture[str]) -> None:
    from hosewright import cli
    from hosewright.bench.program import CLOSED
    from hosewright.verbs.logbook_share import BOTH_KEPT
    from hosewright.verbs.logbook_upkeep import FAULTY

    assert main(["help"]) == 0
    told = capsys.readouterr().out.partition("Exit codes:")[2]
    used = {0, FAULTY, cli.WRONG, BOTH_KEPT, cli.BROKEN, CLOSED, cli.INTERRUPTED, cli.PIPE_CLOSED}
    assert {int(line.split()[0]) for line in told.splitlines() if line.strip()} == used
