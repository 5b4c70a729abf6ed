"""`hosewright start`: what is begun, what is asked first, and what stands in the session then."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Machine
from hosewright.places import logbook_path, shipped_folder

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.logbook.records.sessions import SessionRecord


@pytest.fixture
def shelf(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    """One machine, two cylinders, one yarn with a lot."""
    for argv in (
        ["machine", "Attic", "--clicks-per-turn", "4"],
        ["cylinder", "the sixty", "--slots", "60"],
        ["cylinder", "the eighty", "--slots", "80"],
        ["yarn", "Moss", "--m-per-100g", "420", "--ball", "100 g"],
        ["lot", "17 B", "--of", "Moss", "--pieces", "3", "--put-up", "ball"],
    ):
        assert main(["shelf", "add", *argv]) == 0
    capsys.readouterr()


def newest() -> SessionRecord:
    book = Logbook.for_reading(logbook_path())
    try:
        return book.record(book.store.lines(newest=1)[0])
    finally:
        book.close()


def told(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


TUBE = ["start", "tube", "--machine", "attic", "--cylinder", "sixty", "--yarn", "moss"]


def test_a_tube_begins_by_its_options(shelf: None, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*TUBE, "--dial", "6 3/4 turns", "--rows", "80", "--weights", "both plates", "--json"]) == 0
    said, record = told(capsys), newest()
    assert (said["id"], said["kind"]) == (record.id, "tube")
    assert (record.dial, record.cylinder.slots, record.weights, record.dye_lot) == (27, 60, "both plates", "17 B")
    assert [getattr(step, "target", None) for step in record.steps if step.id == "tube"] == [80]


def test_what_is_missing_is_asked_and_a_number_chooses(
    shelf: None, typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    typing("7", "sixty", "", "6 turns", "done")
    assert main(["start", "search"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) < 80
    assert "Machine: Attic." in out
    assert "None is called “7”: type a number from 1 to 2." in out
    assert " ".join(out.split()).index("No start is noted for Attic") < " ".join(out.split()).index(
        "Dial (turns below zero"
    )
    assert "Dial is needed" in out
    assert (newest().kind, newest().dial, newest().cylinder.name) == ("search", 24, "the sixty")
    assert f"hosewright crank {newest().id} --plain" in out


def test_a_machine_with_work_on_it_is_asked_about(
    shelf: None, typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    main([*TUBE, "--dial", "6 3/4 turns"])
    first = newest().id
    assert main([*TUBE, "--dial", "6 turns", "--json"]) == 2
    assert "is on this machine already. Nothing was started; --anyway starts it." in capsys.readouterr().err
    typing("perhaps", "no")
    assert main([*TUBE, "--dial", "6 turns"]) == 2
    assert newest().id == first
    typing("yes")
    assert main([*TUBE, "--dial", "6 turns"]) == 0
    assert newest().dial == 24


def test_clicks_that_nobody_counted_are_asked_for_and_kept(
    shelf: None, typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    book = Logbook(logbook_path())
    (machine,) = book.shelf(Machine)
    book.keep(machine.model_copy(update={"clicks_per_turn": None}))
    book.close()
    assert main([*TUBE, "--dial", "6 turns", "--json"]) == 2
    assert "count them over one full turn" in capsys.readouterr().err
    assert main([*TUBE, "--dial", "6 turns", "--clicks-per-turn", "8", "--json"]) == 0
    assert newest().dial == 48
    book = Logbook.for_reading(logbook_path())
    assert [one.clicks_per_turn for one in book.shelf(Machine)] == [8]
    book.close()


@pytest.fixture
def samples(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["logbook", "import", str(shipped_folder("sample_sessions"))]) == 0
    capsys.readouterr()


def test_a_sock_its_twin_and_a_string_of_a_plan(samples: None, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start", "sock", "--plan", "Helm, Signal", "--anyway", "--json"]) == 0
    assert told(capsys)["title"] == "Helm, Signal Stripe, first sock"
    assert (newest().kind, newest().twin_of) == ("sock", None)
    assert newest().plan is not None
    assert main(["start", "twin", "--plan", "Helm, Signal", "--anyway", "--json"]) == 0
    assert told(capsys)["title"] == "Helm, Signal Stripe, twin"
    assert newest().twin_of is not None
    assert main(["start", "string", "--plan", "Helm, Signal", "--anyway", "--json"]) == 0
    assert told(capsys)["kind"] == "string"
    assert [sock.twin for sock in newest().socks][:2] in ([False, True], [False])


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["tub"], "“tub” cannot be started. Did you mean tube?"),
        (["sock"], "There is no plan yet: `hosewright plan` makes one."),
        (["tube", "--machine", "attic", "--cylinder", "seventy"], "No cylinder on the shelf has that name"),
        (["tube", "--yarn", "moss", "--json"], "Still missing: --machine."),
        (["tube", "--dial", "soon", *TUBE[2:]], "--dial: "),
        (["tube", "--dial", "6", *TUBE[2:], "--lot", "18 C"], "No lot of this yarn has that name"),
    ],
)
def test_what_is_wrong_is_one_sentence(
    shelf: None, argv: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["start", *argv]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert err.count("\n") == 1
