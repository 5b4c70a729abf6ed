"""`hosewright shelf`: what is on it is kept by options, or asked for a line at a time, as the forms ask for it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.places import logbook_path

if TYPE_CHECKING:
    from collections.abc import Callable


def shelf(kind: Any) -> list[Any]:
    book = Logbook.for_reading(logbook_path())
    try:
        return list(book.shelf(kind, retired=True))
    finally:
        book.close()


def test_each_kind_is_added_by_its_options(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shelf", "add", "machine", "Attic", "--clicks-per-turn", "4", "--starting-dial", "7 1/4"]) == 0
    assert main(["shelf", "add", "cylinder", "the sixty", "--slots", "60 needles", "--diameter", "4 in"]) == 0
    assert main(["shelf", "add", "yarn", "Moss", "--m-per-100g", "420", "--ball", "100 g"]) == 0
    assert main(["shelf", "add", "wearer", "baker", "--foot-length", "25,2 cm", "--caution", "yes"]) == 0
    assert (
        main(["shelf", "add", "lot", "17 B", "--of", "moss", "--pieces", "3", "--put-up", "skein", "--price", "24.50"])
        == 0
    )
    (machine,), (cylinder,), (yarn,) = shelf(Machine), shelf(Cylinder), shelf(Yarn)
    assert (machine.name, machine.clicks_per_turn, machine.starting_dial) == ("Attic", 4, 29)
    assert (cylinder.slots, round(cylinder.diameter_mm, 1)) == (60, 101.6)
    assert (yarn.m_per_100g, yarn.count, yarn.ball_g) == (420, "420 m/100g", 100)
    (wearer,), (lot,) = shelf(Wearer), shelf(Lot)
    assert (wearer.foot_length_mm, wearer.caution) == (252, True)
    assert (lot.yarn, lot.pieces, lot.put_up, lot.grams, lot.price) == (yarn.id, 3, "skein", 300, 2450)
    assert capsys.readouterr().out.splitlines()[-1] == "Added: 17 B."


def test_what_is_missing_is_asked_for_until_it_can_be_used(
    typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    typing("explain", "six", "", "60", "", "in the attic")
    assert main(["shelf", "add", "cylinder", "the sixty"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) < 80
    assert "Slots: how many, all the way round." in out
    assert "does not start with a number" in out
    assert "Slots is needed" in out
    (cylinder,) = shelf(Cylinder)
    assert (cylinder.name, cylinder.slots, cylinder.diameter_mm, cylinder.note) == (
        "the sixty",
        60,
        None,
        "in the attic",
    )


def test_done_leaves_the_rest_and_the_end_of_input_saves_nothing(
    typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    typing("baker", "252 mm", "done")
    assert main(["shelf", "add", "wearer"]) == 0
    assert [one.foot_length_mm for one in shelf(Wearer)] == [252]
    typing("smith", "25 cm")
    assert main(["shelf", "add", "wearer"]) == 2
    assert capsys.readouterr().err == "hosewright: The input ended here, so nothing was saved.\n"
    assert [one.name for one in shelf(Wearer)] == ["baker"]


def test_a_change_keeps_what_it_does_not_name(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    main(["shelf", "add", "yarn", "Moss", "--m-per-100g", "420", "--fibre", "wool 75, nylon 25"])
    assert main(["shelf", "change", "yarn", "moss", "--name", "Moor", "--json"]) == 0
    made = json.loads(capsys.readouterr().out.splitlines()[-1])
    assert (made["name"], made["m_per_100g"], made["fibre"]) == ("Moor", 420.0, "wool 75, nylon 25")
    typing("", "", "tex 250", "done")
    assert main(["shelf", "change", "yarn", "Moor", "--ask"]) == 0
    (yarn,) = shelf(Yarn)
    assert (yarn.name, yarn.m_per_100g, yarn.fibre) == ("Moor", 400, "wool 75, nylon 25")


def test_retired_and_back_in_use(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    main(["shelf", "add", "cylinder", "the sixty", "--slots", "60"])
    assert main(["shelf", "retire", "cylinder", "sixty"]) == 0
    assert "the sixty is retired" in capsys.readouterr().out
    assert main(["shelf", "list", "cylinders"]) == 0
    assert "No cylinders on the shelf." in capsys.readouterr().out
    assert main(["shelf", "reuse", "cylinder", "sixty"]) == 0
    assert [one.retired for one in shelf(Cylinder)] == [False]


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["ad"], "Did you mean add?"),
        (["add", "cilinder"], "Did you mean cylinder?"),
        (["add"], "Say what to add: machine, cylinder, yarn, wearer, lot."),
        (["add", "cylinder", "x", "--slots", "6"], "--slots: The number of slots “6” is out of range"),
        (["add", "cylinder", "the sixty", "--slots", "60"], "There is a cylinder called the sixty already"),
        (["change", "cylinder"], "Say which cylinder, by its name or id."),
        (["change", "cylinder", "the sixteen"], "No cylinder on the shelf has that name. Did you mean the sixty?"),
        (["retire", "yarn", "Moss"], "No yarn on the shelf has that name."),
        (["add", "yarn", "A", "--count", "tex 250", "--m-per-100g", "400"], "say the same: type one of them."),
        (["add", "cylinder", "x", "--json"], "--slots: Slots is needed"),
    ],
)
def test_what_is_wrong_is_one_sentence(
    argv: list[str], said: str, typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    main(["shelf", "add", "cylinder", "the sixty", "--slots", "60"])
    capsys.readouterr()
    assert main(["shelf", *argv]) == 2
    heard = capsys.readouterr()
    assert said in heard.err
    assert heard.err.count("\n") == 1
    assert [one.name for one in shelf(Cylinder)] == ["the sixty"]


def test_two_entered_twice_become_one_and_are_parted(
    typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    typing()
    for name in ("Twine", "Fjord"):
        assert main(["shelf", "add", "yarn", name, "--m-per-100g", "400"]) == 0
    capsys.readouterr()
    assert main(["shelf", "merge", "yarn", "Twine", "Fjord"]) == 0
    assert "Twine and Fjord are one yarn now, Fjord" in capsys.readouterr().out
    assert {yarn.name: yarn.retired for yarn in shelf(Yarn)} == {"Twine": True, "Fjord": False}
    assert main(["shelf", "merge", "yarn", "Twine", "Fjord"]) == 2
    assert "Twine is the same as Fjord already." in capsys.readouterr().err
    assert main(["shelf", "part", "yarn", "Twine"]) == 0
    assert "Twine is a yarn of its own again." in capsys.readouterr().out
    assert not any(yarn.retired for yarn in shelf(Yarn))
    assert main(["shelf", "merge", "lot", "a", "b"]) == 2
    assert "Only these can be made one: machine, cylinder, yarn, wearer." in capsys.readouterr().err
