"""Tubes without a heel: their steps to each end, and their picture."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import pytest

from hosewright.craft.cuffs import hung_hem
from hosewright.craft.heels import EndKind, HeelAs
from hosewright.craft.sock import plan_sock
from hosewright.craft.tubes import plan_tube
from hosewright.picture.cells import draw, standing
from hosewright.picture.drawing import sock_svg
from hosewright.picture.of_sock import Knitted, of_session, sock_shape
from hosewright.session.answers import asking
from hosewright.session.commands import commands_at
from hosewright.session.event_words import event_words
from hosewright.session.events import Spoilt
from hosewright.session.procedures import SockParts, steps_of, string_steps
from hosewright.session.reasons import reason_of
from hosewright.session.results import pieces_of
from hosewright.session.state import State
from hosewright.session.steps import Head, Measure
from hosewright.session.steps.tubes import MIXED, called, called_in, plain_title
from hosewright.session.words import instruction, where_rows_begin
from tests.session.test_heels import Cylinder
from tests.session.test_strings import Run

_SOCK = re.compile(r"\b[Ss]ocks?\b(?! yarn)")
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


WRISTER = plan_tube(
    slots=64, rows_per_mm=0.4, stitches_per_mm=0.3, long_mm=150, end="chained off", cuff=hung_hem(64, 12)
)
FOOTLET = plan_sock(
    slots=64,
    rows_per_mm=0.4,
    stitches_per_mm=0.3,
    foot_length_mm=250,
    cuff=hung_hem(64, 12),
    heel_as=HeelAs("afterthought"),
)
WRISTER_PARTS = SockParts(WRISTER.sections, None, None, WRISTER.cuff, end="chained off", called="wrister")
FOOTLET_PARTS = SockParts(
    FOOTLET.sections, FOOTLET.heel, FOOTLET.toe, FOOTLET.cuff, afterthought=True, called="footlet"
)


def every_word(head: Head) -> list[str]:
    """All that is said at any step of a session: title, what to do, why, what to look for, what is measured."""
    found = []
    for index, step in enumerate(head.steps):
        state = State(head, index=index)
        said = reason_of(state)
        found += [step.title, instruction(state), said.why, said.look, said.wrong, said.cue]
        found += [command.help for command in commands_at(state) if command.does in ("spoil", "leave_out")]
        found += [item.label for item in step.fields] if isinstance(step, Measure) else []
    return found


@pytest.mark.parametrize("parts", [WRISTER_PARTS, FOOTLET_PARTS], ids=lambda one: one.called)
def test_no_step_calls_a_footlet_or_a_wrister_a_sock(parts: SockParts) -> None:
    for head in (
        Head("s", "sock", steps_of(parts), 26, 64),
        Head("t", "string", string_steps([parts] * 4), 26, 64),
    ):
        assert [words for words in every_word(head) if _SOCK.search(words)] == []
        assert called_in(head) == parts.called
        assert any(parts.called in words for words in every_word(head))


def test_each_of_a_string_is_called_what_it_is() -> None:
    plain = SockParts(FOOTLET.sections, FOOTLET.heel, FOOTLET.toe, FOOTLET.cuff, afterthought=True)
    head = Head("t", "string", string_steps([WRISTER_PARTS, FOOTLET_PARTS, plain]), 26, 64)
    assert [called_in(head, sock) for sock in (1, 2, 3)] == ["wrister", "footlet", "sock"]
    assert called_in(head) == MIXED
    titles = {step.id: step.title for step in head.steps}
    assert (titles["s1-hem"], titles["s2-foot"], titles["s3-foot"]) == (
        "Hem, wrister 1",
        "Foot, footlet 2",
        "Foot, sock 3",
    )
    assert titles["cut-apart"] == "Part the pieces"
    assert [plain_title(titles[name]) for name in ("s1-hem", "s2-foot", "s3-foot", "cut-apart")] == [
        *("Hem", "Foot", "Foot", "Part the pieces")
    ]
    run = Run(head)
    run.on_to("s2-foot")
    assert asking("spoil", run.state).words == "Why is this footlet spoilt? (it is cranked once more)"
    assert event_words(Spoilt("a latch tore it"), run.state).words == "footlet spoilt, cranked again"
    old = Head(
        "o", "string", tuple(replace(one, title=f"{plain_title(one.title)}, sock 1") for one in head.steps), 26, 64
    )
    assert called_in(old, 1) == "sock"  # as they were frozen before each was called what it is
