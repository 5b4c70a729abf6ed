"""``hosewright stock``: yarn by dye lot, as a table, with its ledger, and as JSON."""

from __future__ import annotations

import json

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path
from tests.bench.test_stock import a_year
from tests.helpers import START_MS, FakeClock, yarn
from tests.logbook.test_stock import weigh


@pytest.fixture
def shelf() -> None:
    logbook_path().parent.mkdir(parents=True)
    book = Logbook(logbook_path(), FakeClock())
    a_year(book)
    book.close()


@pytest.mark.usefixtures("shelf")
def test_a_line_a_lot_and_its_yarn(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["In", "g", "bought", "used", "weighed", "promised", "left", "makes"]
    assert [line[:8].rstrip() for line in lines[1:6]] == ["Grey", "  lot 41", "  lot 42", "Moss", "  lot B7"]
    assert not any("Rope" in line for line in lines)  # nothing is noted of it
    assert any("8.5 g unaccounted for" in line for line in lines)


@pytest.mark.usefixtures("shelf")
def test_one_yarn_with_its_ledger(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", "gre"]) == 0
    said = capsys.readouterr().out
    assert "Moss" not in said
    assert "14 Nov 2023  used                -38.5  161.5  weighed: The ferryman's sock" in said
    assert "14 Nov 2023  put on the scale             150  weighed" in said


@pytest.mark.usefixtures("shelf")
def test_an_object_a_lot(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", "--json"]) == 0
    found = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["name"] for one in found] == ["41", "42", "B7"]
    for one in found:
        assert one["bought_g"] == pytest.approx(one["used_g"] + one["promised_g"] + one["left_g"], abs=1e-9)
        parts = (one["weighed_g"], one["worked_out_g"], one["unaccounted_g"], one["gone_g"])
        assert one["used_g"] == pytest.approx(sum(parts), abs=1e-9)
    assert (found[0]["weighed_g"], found[0]["left_g"], found[0]["socks"]) == (38.5, 111.0, 2)
    assert found[2]["socks"] is None  # no plan of that yarn


@pytest.mark.usefixtures("shelf")
def test_a_yarn_that_is_not_there_and_one_called_twice(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", "velvet"]) == 2
    assert "No yarn on the shelf has that name. Type one of these: yarn-grey" in capsys.readouterr().err
    assert main(["stock", "r"]) == 2
    said = capsys.readouterr().err
    assert "Several yarns have that name. Type one of these: yarn-grey (Grey), yarn-rope (Rope)" in said


def test_before_anything_is_noted(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock"]) == 2
    assert "There is no logbook" in capsys.readouterr().err
    logbook_path().parent.mkdir(parents=True)
    book = Logbook(logbook_path(), FakeClock())
    book.keep(yarn())
    book.close()
    assert main(["stock"]) == 0
    assert "No lot of yarn is noted yet" in capsys.readouterr().out
    assert main(["stock", "--json"]) == 0
    assert capsys.readouterr().out == ""


@pytest.mark.usefixtures("shelf")
def test_a_scale_that_finds_more_is_said_so(capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(logbook_path(), FakeClock(START_MS + 10**9))
    weigh(book, 102.0, of="lot-42")
    weigh(book, 140.0)
    book.close()
    assert main(["stock", "grey"]) == 0
    said = capsys.readouterr().out
    assert "lot 42, 1 ball: the scale found 2 g more than the books." in said
    # lot 41 held 150 - 15.1 = 134.9 g by the books: 5.1 g more, against the 8.5 g that were missing before
    assert "15.1 g worked out, 3.4 g unaccounted for, 3 g used for something else." in said
