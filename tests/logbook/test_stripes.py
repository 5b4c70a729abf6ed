"""Socks in stripes: cues, the picture, the twin; and a self-striping yarn whose twin begins alike."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.records import planned
from hosewright.logbook.records.shelf import Plan
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.picture.dyed import dyed, dyed_in
from hosewright.picture.of_sock import knitted, of_plan, of_session
from hosewright.picture.shape import Place
from hosewright.planning import starting
from hosewright.planning.gauges import PlanShelf
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.session.cues import cues
from hosewright.session.events import Confirmed, Pressed
from hosewright.session.steps import CountRows
from tests.helpers import crank_to, cylinder, drive, machine, measure_tube, yarn

if TYPE_CHECKING:
    from pathlib import Path

TYPED = Typed(name="Striped", tube="5 cm", leg="5 cm", stripes="8 navy, 4 tan")
NAVY, TAN = "#000080", "#d2b48c"


@pytest.fixture
def book(tmp_path: Path) -> Any:
    book = Logbook(tmp_path / "logbook.sqlite")
    book.keep(machine(), cylinder(), yarn())
    things = machine(), cylinder(), yarn()
    live = book.start(starting.fresh(book, "tube", *things, dial=26, rows=60, separator_rows=8))
    crank_to(live, "after-wash")
    measure_tube(live)
    drive(live, Confirmed())
    yield book
    book.close()


def plan(book: Logbook, typed: Typed = TYPED) -> Plan:
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    knit = shelf.knit(next(iter(shelf.gauges)))
    assert knit is not None
    working = work_out(typed, knit, None, "cm")
    assert working.made is not None, working
    if typed.stripes:
        assert any(label == "By colour" and "navy" in said and "tan" in said for label, said in working.rest)
    made = to_plan("striped", typed, knit, None, working)
    book.keep(made)
    return made


def rows_of(steps: tuple[Any, ...], name: str) -> CountRows:
    (step,) = (step for step in steps if step.id == name)
    assert isinstance(step, CountRows)
    return step


def test_each_change_is_called_at_its_row(book: Logbook) -> None:
    made = plan(book)
    live = book.start(starting.first_sock(book, made, 8))
    crank_to(live, "leg")
    leg = rows_of(live.state.head.steps, "leg")
    assert leg.yarn_changes[:3] == ((8, TAN), (12, NAVY), (20, TAN))
    drive(live, [Pressed()] * 6)
    assert cues(live.state)[0].sentence("row") == "In 2 rows: change to tan."
    drive(live, [Pressed()] * 2)
    assert cues(live.state)[0].sentence("row") == "Now: change to tan."
    # The foot goes on where the leg's rows left off.
    foot, into = rows_of(live.state.head.steps, "foot"), leg.target % 12
    assert foot.yarn_changes[0][0] == (8 - into if into < 8 else 12 - into)
    assert "leg, change after row: 8 tan, 12 navy, 20 tan" in crank_sheet(made).casefold()


def test_the_picture_is_in_the_yarns_colours(book: Logbook) -> None:
    made = plan(book)
    shape = of_plan(made)
    leg = shape.names.index("leg")
    live = book.start(starting.first_sock(book, made, 8))
    drawn = of_session(live.state, knitted(made))
    assert drawn is not None
    own = planned.stripes(made)
    for colour in (
        dyed(yarn(), own, shape).colours(shape),
        dyed_in(yarn(), live.state, drawn[0], 0, own).colours(drawn[0]),
    ):
        assert [colour(Place(leg, row)) for row in (1, 8, 9, 12, 13)] == [NAVY, NAVY, TAN, TAN, NAVY]
        toe = shape.names.index("toe")
        last = (made.parts[0].count + next(part.count for part in made.parts if part.name == "foot") - 1) % 12
        assert colour(Place(toe, 1)) == (NAVY if last < 8 else TAN)


def test_the_twin_changes_where_the_first_did(book: Logbook) -> None:
    made = plan(book)
    first = book.start(starting.first_sock(book, made, 8))
    crank_to(first, "leg")
    leg = rows_of(first.state.head.steps, "leg")
    drive(first, *[Pressed()] * (leg.target + 3), Confirmed())
    crank_to(first, "graft")
    twin = starting.twin(book, starting.firsts(book, made)[0], 8)
    assert rows_of(twin.steps, "leg").target == leg.target + 3
    for name in ("leg", "foot"):
        assert rows_of(twin.steps, name).yarn_changes == rows_of(first.state.head.steps, name).yarn_changes


def test_a_self_striping_yarn_is_wound_off_for_the_twin(book: Logbook) -> None:
    made = plan(book, replace(TYPED, stripes=""))
    first = book.start(starting.first_sock(book, made, 8))
    crank_to(first, "graft")
    (one,) = starting.firsts(book, made)
    assert starting.begins_alike(one, yarn()) == ""
    striping = yarn().model_copy(update={"striped": True, "repeat_rows": 24})
    rows = sum(part.stitches for part in made.parts) / 60
    said = starting.begins_alike(one, striping)
    assert f"wind off {24 - rows % 24:.0f} rows' worth" in said


def test_a_plan_of_before_has_no_stripes(book: Logbook) -> None:
    old = plan(book, replace(TYPED, stripes="")).model_dump()
    del old["stripes"]
    assert Plan.model_validate(old).stripes == ""
