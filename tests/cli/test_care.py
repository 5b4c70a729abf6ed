"""The care of a machine from the shell: its figures, and noting that it was oiled."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.accounts.care import blank, history
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Machine
from hosewright.places import logbook_path
from tests.bench.stage import MACHINE, Ticking, measure_tube, stock

if TYPE_CHECKING:
    from collections.abc import Iterator

SECOND = Machine(id="cellar", name="The cellar machine", clicks_per_turn=4, oil_every_rows=20_000)


@pytest.fixture(autouse=True)
def _stocked() -> None:
    book = Logbook(logbook_path(), Ticking())
    stock(book)
    book.keep(SECOND)
    measure_tube(book)
    book.close()


@pytest.fixture
def kept() -> Iterator[Logbook]:
    book = Logbook(logbook_path())
    yield book
    book.close()


def said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> tuple[str, str]:
    assert main(["care", *argv]) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    return heard.out, heard.err


def test_every_machine_with_its_figures(capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = said(capsys)
    attic, cellar = out.split("\n\n")
    lines = attic.splitlines()
    assert lines[0] == "The attic machine"
    assert lines[1].split("  ")[1:3] == ["Since oiled", "not noted yet"]
    assert lines[3].split()[:3] == ["Ever", "76", "rows"]  # 8 and 8 of separator yarn, 60 of the tube
    assert lines[4] == "  No oil reminder yet: the figure from its manual is not entered."
    assert cellar.splitlines()[4] == "  Oil every 20,000 rows by its manual: 20,000 to go."


def test_as_json_one_object_a_machine(capsys: pytest.CaptureFixture[str]) -> None:
    found: list[dict[str, Any]] = [json.loads(line) for line in said(capsys, "--json")[0].splitlines()]
    assert [one["machine"] for one in found] == [MACHINE.id, "cellar"]
    assert found[0]["ever"]["rows"] == found[0]["ever"]["as_rows"] == 76
    assert found[0]["since_oiled"] is None
    assert found[0]["ever"]["hours"] > 0
    assert found[1]["oil_every_rows"] == 20_000
    (one,) = [json.loads(line) for line in said(capsys, "cellar", "--json")[0].splitlines()]
    assert one == found[1]


def test_oiled_is_noted_now(capsys: pytest.CaptureFixture[str], kept: Logbook) -> None:
    out, _ = said(capsys, "attic", "--oiled")
    assert out.splitlines()[1].split("  ")[1].startswith("Since oiled, ")
    assert out.splitlines()[-1].endswith("  oiled")
    (item,) = history(kept, MACHINE.id)
    assert item.what == "oiled"
    assert history(kept, SECOND.id) == []


def test_a_bench_that_is_open_keeps_its_logbook(capsys: pytest.CaptureFixture[str]) -> None:
    bench = Logbook.for_counting(logbook_path())
    try:
        out, err = said(capsys, "attic", "--oiled", code=2)
        assert out == ""
        assert "The bench has this logbook open (process " in err
        assert "Leave it with Ctrl+Q (every row is saved), then type this again. Nothing was changed." in err
        assert said(capsys, "attic")[0].startswith("The attic machine")  # looking is always possible
        assert history(bench, MACHINE.id) == []
    finally:
        bench.close()


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["--oiled"], "Say which machine was oiled"),
        (["machine"], "Several machines have that name. Type one of these: attic (The attic machine), cellar"),
        (["nothing"], "No machine on the shelf has that name. Type one of these: attic (The attic machine), cellar"),
        (["--oil"], "There is no option “--oil” here. Did you mean --oiled?"),
    ],
)
def test_what_is_wrong_is_one_sentence(argv: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    out, err = said(capsys, *argv, code=2)
    assert out == ""
    assert words in err
    assert len(err.splitlines()) == 1


def test_few_entries_of_each_and_all_of_one(capsys: pytest.CaptureFixture[str], kept: Logbook) -> None:
    for day in range(8):
        item = blank(MACHINE, "note", kept.clock.now())
        kept.keep(item.model_copy(update={"at_ms": day * 86_400_000, "note": f"note \x1b[31m{day}"}))
    out, _ = said(capsys)
    assert "and 3 more: `hosewright care attic`" in out
    out, _ = said(capsys, "attic")
    assert sum("note: note" in line for line in out.splitlines()) == 8
    assert "\x1b" not in out
