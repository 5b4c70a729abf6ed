"""How a session is cast on: with the bonnet, on waste knitting, or in the machine's own way in the knitter's words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from hosewright.craft import CraftError
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.planning import starting
from hosewright.session.words import instruction
from tests.helpers import crank_to, cylinder, machine, yarn

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.records.shelf import Machine

OWN = machine().model_copy(update={"cast_on": "Yarn round every 2nd hook,\nthen one row by hand."})


@pytest.fixture
def book(tmp_path: Path) -> Any:
    book = Logbook(tmp_path / "logbook.sqlite")
    yield book
    book.close()


def tube(book: Logbook, how: str, on: Machine = OWN) -> SessionRecord:
    return starting.fresh(
        book, "tube", on, cylinder(), yarn(), dial=26, rows=60, separator_rows=8, set_up={"cast_on": how}
    )


@pytest.mark.parametrize(
    ("how", "step", "said"),
    [
        ("bonnet", "cast-on", "Hook the cast-on bonnet over every needle"),
        ("waste", "cast-on-waste", "The waste knitting of the work before hangs on the needles still"),
        ("own", "cast-on-own", "from your machine's manual: Yarn round every 2nd hook, then one row by hand."),
    ],
)
def test_each_way_is_said_at_its_step(book: Logbook, how: str, step: str, said: str) -> None:
    record = tube(book, how)
    assert [one.id for one in record.steps[:3]] == ["dial-start", step, "hang-weights"]
    live = book.start(record)
    crank_to(live, step)
    assert said in instruction(live.state, record.given)
    # The next start on this machine offers the same way.
    assert starting.usual_set_up(book, OWN, yarn(), None, None).said["cast_on"] == how


def test_the_machines_way_must_be_written_down_first(book: Logbook) -> None:
    with pytest.raises(CraftError, match="not noted yet: type it in the machine's record"):
        tube(book, "own", machine())


def test_sessions_of_before_were_cast_on_with_the_bonnet(book: Logbook) -> None:
    record = tube(book, "bonnet")
    old = record.model_dump(mode="json")
    del old["cast_on"], old["rib"], old["machine"]["cast_on"], old["machine"]["ribber_set"]
    assert SessionRecord.model_validate(old).cast_on == "bonnet"
    assert SessionRecord.model_validate(old).steps == record.steps
