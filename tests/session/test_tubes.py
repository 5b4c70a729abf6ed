"""Tubes without a heel: their steps to each end, and their picture."""

from __future__ import annotations

import random

import pytest

from hosewright.craft.cuffs import hung_hem
from hosewright.craft.heels import EndKind, HeelAs
from hosewright.craft.tubes import plan_tube
from hosewright.picture.cells import draw, standing
from hosewright.picture.drawing import sock_svg
from hosewright.picture.of_sock import Knitted, of_session, sock_shape
from hosewright.session.procedures import SockParts, steps_of
from hosewright.session.results import pieces_of
from hosewright.session.steps import Head
from hosewright.session.steps.tubes import called
from hosewright.session.words import instruction, where_rows_begin
from tests.session.test_heels import Cylinder
from tests.session.test_strings import Run

ENDS: tuple[EndKind, ...] = ("toe", "drawn up", "chained off")


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("slots", [48, 55, 64, 100])
def test_every_needle_knits_every_row_of_a_tube(slots: int, end: EndKind) -> None:
    plan = plan_tube(slots=slots, rows_per_mm=0.4, stitches_per_mm=0.3, long_mm=220, end=end, cuff=hung_hem(slots, 12))
    cylinder = Cylinder(slots, HeelAs(), 0)
    for step in steps_of(SockParts(plan.sections, None, plan.toe, plan.cuff, end=end)):
        cylinder.take(step)
    assert set(cylinder.rounds.values()) == {sum(one.count for one in plan.sections if one.kind == "rows")}
    assert not cylinder.up
    assert cylinder.knit.total() == plan.stitches_per_sock


@pytest.mark.parametrize(
    ("end", "last"),
    [("toe", ["graft", "corners"]), ("drawn up", ["draw-up"]), ("chained off", ["chain-end"])],
)
def test_each_end_has_its_steps(end: EndKind, last: list[str]) -> None:
    plan = plan_tube(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, long_mm=180, end=end, cuff=hung_hem(60, 16))
    run = Run(Head("t", "sock", steps_of(SockParts(plan.sections, None, plan.toe, plan.cuff, end=end)), 26, 60))
    ids = [step.id for step in run.state.head.steps]
    after = ids[ids.index("take-off") + 1 : ids.index("ends")]
    assert after == last
    run.on_to("tube")
    assert run.state.step is not None
    assert run.state.step.title == "Tube"
    assert instruction(run.state).startswith("Full rows for the tube")
    assert bool(where_rows_begin(run.state)) == (end == "toe") or where_rows_begin(run.state) == ""
    run.on_to("")
    (piece,) = pieces_of(run.state)
    assert (piece.standing, piece.stitches) == ("cranked", plan.stitches_per_sock)
    drawn = of_session(run.state, Knitted(0.42, 0.32, 60))
    assert drawn is not None
    assert drawn[1] == drawn[0].counts


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("seed", range(6))
def test_a_tube_is_drawn_to_scale_and_fills_row_by_row(end: EndKind, seed: int) -> None:
    pick = random.Random(seed)
    slots, rows, stitches = pick.choice((48, 60, 64, 100)), pick.uniform(0.3, 0.6), pick.uniform(0.25, 0.45)
    cuff = pick.choice((None, hung_hem(slots, 16)))
    plan = plan_tube(
        slots=slots, rows_per_mm=rows, stitches_per_mm=stitches, long_mm=pick.uniform(180, 420), end=end, cuff=cuff
    )
    shape = sock_shape(plan.sections, None, plan.toe, Knitted(rows, stitches, slots))
    hem = 16 // 2 if cuff else 0
    assert shape.leg_mm == pytest.approx((hem + plan.sections[-1 if end != "toe" else -2].count) / rows)
    picture = draw(shape, 40, 40)
    places = [place for half in picture.halves for place in half if place is not None]
    seen = (plan.stitches_per_sock - hem * slots) / 2 / (rows * stitches)
    assert len(places) * picture.mm**2 == pytest.approx(seen, rel=0.03)
    ys = [y for y, half in enumerate(picture.halves) if any(place and place.part < len(shape.above) for place in half)]
    top, bottom = picture.top + min(ys) * picture.mm, picture.top + (max(ys) + 1) * picture.mm
    assert abs(top + shape.leg_mm) <= picture.mm / 2 + 1e-6
    assert abs(bottom) <= picture.mm / 2 + 1e-6
    ranks = {"ahead": 0, "inside": 1, "done": 2}
    done, before = [0] * len(shape.parts), [0] * len(places)
    for part, count in enumerate(shape.counts):
        for row in range(1, count + 1):
            done[part] = row
            now = [ranks[standing(place, done)] for place in places]
            assert all(new >= old for old, new in zip(before, now, strict=True))
            before = now
    assert set(before) == {2}
    assert sock_svg(shape, shape.counts, "tube", [""] * len(shape.parts)).count("<polygon") >= len(shape.parts)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Take the sock off.", "Take the footlet off."),
        ("Socks are washed as this sock will be.", "Footlets are washed as this footlet will be."),
        ("A socket, a sockless foot.", "A socket, a sockless foot."),
    ],
)
def test_words_about_a_sock_are_about_what_is_cranked(words: str, said: str) -> None:
    assert called(words, "footlet") == said
    assert called(words, "sock") == words
