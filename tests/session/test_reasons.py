"""Every step of every procedure has its reason, and a caution wherever someone can be hurt."""

from __future__ import annotations

import re

import pytest

from hosewright.craft.cuffs import Cuff, hung_hem, mock_rib, picot_edge, ribber_rib, rolled_edge
from hosewright.craft.heels import USUAL_HEEL, EndKind, HeelAs
from hosewright.craft.ribs import Rib, make_rib
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.tubes import plan_tube
from hosewright.session.events import Confirmed, Judged, Pressed
from hosewright.session.procedures import (
    CAST_ON,
    SockParts,
    ribber_steps,
    search_steps,
    steps_of,
    string_steps,
    tube_steps,
)
from hosewright.session.reasons import caution_of, reason_of
from hosewright.session.state import State
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Head, SessionKind, Step, plain_id
from hosewright.session.steps.catalogue import CATALOGUE, EARLIER, NOTHING, said_of
from tests.helpers import folded, head, rows, sock_steps, to_step

CUFFS = {
    "none": None,
    "hem": hung_hem(60, 16),
    "picot": picot_edge(60, 16),
    "rolled": rolled_edge(60, 12),
    "mock rib": mock_rib(60, "2x1", 20),
    "ribber": ribber_rib(60, "1x1", 20),
    "selvedge": ribber_rib(60, "3x1", 20, selvedge=True),
}

WIDEST_TITLE = 28  # what the list of steps has room for


def plan(cuff: Cuff | None, heel: HeelAs = USUAL_HEEL) -> SockPlan:
    return plan_sock(
        slots=60,
        rows_per_mm=0.42,
        stitches_per_mm=0.32,
        tube_length_mm=53.0,
        leg_mm=50.0,
        cuff=cuff,
        extra_heel_rows=4,
        heel_as=heel,
    )


def sock(
    cuff: Cuff | None,
    part_row: tuple[int, int] = (0, 0),
    *,
    reinforced: bool = False,
    rib: Rib | None = None,
    heel: HeelAs = USUAL_HEEL,
) -> tuple[Step, ...]:
    made = plan(cuff, heel)
    return sock_steps(
        made.sections,
        made.heel,
        made.toe,
        cuff=cuff,
        dial_changes=((10, 25),),
        part_row=part_row,
        reinforced=reinforced,
        rib=rib,
        afterthought=heel.kind == "afterthought",
    )


ENDS: tuple[EndKind, ...] = ("toe", "drawn up", "chained off")


def tube(end: EndKind) -> SockParts:
    made = plan_tube(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, long_mm=180, end=end)
    return SockParts(made.sections, None, made.toe, end=end)


def string() -> tuple[Step, ...]:
    made = plan(None)
    parts = SockParts(tuple(made.sections), made.heel, made.toe)
    later = plan(None, HeelAs("afterthought"))
    return string_steps((parts, parts, SockParts(later.sections, later.heel, later.toe, afterthought=True)))


PROCEDURES: dict[str, tuple[SessionKind, tuple[Step, ...]]] = {
    "search": ("search", search_steps()),
    "tube": ("tube", tube_steps()),
    "cast on": ("tube", tuple(CAST_ON.values())),
    **{f"sock, {name}": ("sock", sock(cuff)) for name, cuff in CUFFS.items()},
    "sock, part rows": ("sock", sock(None, (20, 40))),
    "sock, reinforced": ("sock", sock(None, reinforced=True)),
    "sock, ribbed": ("sock", sock(None, rib=make_rib(60, "3x1", instep=True))),
    "sock, ribbed leg": ("sock", sock(CUFFS["ribber"], rib=make_rib(60, "3x1"))),
    "sock, ladders": ("sock", sock(None, rib=make_rib(60, "3x1", "latched", instep=True))),
    "ribber": ("ribber", ribber_steps(make_rib(60, "3x1"))),
    "tube, ribbed": ("tube", tube_steps(rib=make_rib(60, "2x1"))),
    "sock, wide heel": ("sock", sock(None, heel=HeelAs(needles=36))),
    "sock, mini-gusset": ("sock", sock(None, heel=HeelAs("mini-gusset", gusset=5))),
    "sock, afterthought": ("sock", sock(None, (20, 40), heel=HeelAs("afterthought"), reinforced=True)),
    **{f"tube, {end}": ("sock", steps_of(tube(end))) for end in ENDS},
    "string of tubes": ("string", string_steps([tube(end) for end in ENDS])),
    "string": ("string", string()),
}


def standings(kind: SessionKind, steps: tuple[Step, ...]) -> list[State]:
    """The procedure at each step, and in a heel or toe at each pass."""
    what = Head("all", kind, steps, 26, 60)
    found = []
    for index, step in enumerate(steps):
        for count in range(step.target + 1) if isinstance(step, CountPasses) else [0]:
            state = State(what, index=index)
            state.counts[index] = count
            found.append(state)
    return found


def at_the_needles(step: Step) -> bool:
    """Hands at needles, weights, scissors or crank."""
    if isinstance(step, Confirm):
        return plain_id(step.id) not in ("close-ends", "wash")
    return isinstance(step, CountRows | CountPasses | DialTrial)


@pytest.mark.parametrize("name", PROCEDURES)
def test_every_step_has_its_reason(name: str) -> None:
    for state in standings(*PROCEDURES[name]):
        step, reason = state.step, reason_of(state)
        assert step is not None
        assert reason.why, f"the step {step.id} of {name} has no reason"
        for said in (reason.why, reason.look, reason.wrong):
            assert said.endswith((".", "?")), said
            assert len(said) >= 20, said
        assert len({reason.why, reason.look, reason.wrong}) == 3


@pytest.mark.parametrize("name", PROCEDURES)
def test_where_someone_can_be_hurt_a_caution_stands(name: str) -> None:
    for state in standings(*PROCEDURES[name]):
        step, caution = state.step, caution_of(state)
        assert step is not None
        worn = plain_id(step.id) == "try-on"  # a foot may not feel a tight sock
        assert bool(caution) == (at_the_needles(step) or worn), f"{step.id}: {caution!r}"
        assert "{" not in caution
        sentences = re.split(r"(?<=[.:;]) ", caution)
        assert len(set(sentences)) == len(sentences), f"{step.id} says a thing twice: {caution}"


def test_cranking_names_fingers_hair_and_the_stiff_crank() -> None:
    for name, (kind, steps) in PROCEDURES.items():
        for state in standings(kind, steps):
            if isinstance(state.step, CountRows | DialTrial):
                said = caution_of(state)
                assert "ingers" in said, name
                assert "air" in said, name
                assert "ever force a stiff crank" in said, name


def test_each_reason_belongs_to_a_step_that_there_is() -> None:
    """What no procedure asks for any more has no reason left behind."""
    ids = {plain_id(step.id) for _, steps in PROCEDURES.values() for step in steps}
    written = {name.partition(", ")[0] for name in CATALOGUE}
    assert written - set(EARLIER) == ids | {"passes"}  # what is said at the passes of heel and toe
    assert ids.isdisjoint(EARLIER)


def test_a_step_is_said_whole_in_one_entry() -> None:
    for name, said in CATALOGUE.items():
        assert said.why or name in ("heel", "toe"), name
        assert said.title or name.startswith("passes") or name in EARLIER, name
        assert len(said.title) <= WIDEST_TITLE, name
        assert not said.cue or said.cue[0].islower(), name


def test_a_variant_says_only_what_is_otherwise() -> None:
    tube, sock, string = (said_of("take-off", when=kind) for kind in ("tube", "sock", "string"))
    assert (tube.title, sock.title, string.title) == ("Take the tube off", "Take the sock off", "Take the string off")
    assert tube.do == sock.do == string.do
    assert tube.why != sock.why == string.why
    assert said_of("s2-take-off") == sock
    assert said_of("polish") == NOTHING


@pytest.mark.parametrize(
    ("cuff", "fits", "alien"),
    [
        (rolled_edge(60, 12), "roll to the outside", "rib"),
        (mock_rib(60, "2x1", 20, hung=False), "the yarn runs straight across", "both beds"),
        (ribber_rib(60, "1x1", 20), "A rib springs back", "empty place"),
    ],
)
def test_the_reasons_of_a_cuff_fit_the_cuff_at_hand(cuff: Cuff, fits: str, alien: str) -> None:
    made = plan_sock(slots=60, rows_per_mm=0.43, stitches_per_mm=0.33, tube_length_mm=60.0, leg_mm=50.0, cuff=cuff)
    one = SockParts(tuple(made.sections), made.heel, made.toe, cuff=cuff)
    for kind, steps in (
        ("sock", sock_steps(made.sections, made.heel, made.toe, cuff=cuff)),
        ("string", string_steps((one, one))),
    ):
        for index, step in enumerate(steps):
            if plain_id(step.id) == "cuff":
                reason = reason_of(State(Head("all", kind, steps, 29, 60), index=index))  # type: ignore[arg-type]
                assert reason.why.startswith(fits) or fits in reason.why
                assert alien not in f"{reason.why} {reason.look} {reason.wrong}"


def test_a_heel_has_a_reason_for_each_of_its_stages() -> None:
    what = head("sock")
    before = to_step(what, "heel")
    first, second, past_the_middle, done = (reason_of(folded(what, *before, *rows(n))) for n in (0, 1, 30, 40))
    assert first.why.startswith("A pass is one half-round")
    assert "wraps" in first.look
    assert "the sides alternate" in first.why
    assert second.why.startswith("At each pass one needle leaves off")
    assert "Needles come back" in past_the_middle.why
    assert done.why.startswith("That was the last pass")


def test_a_tube_and_a_sock_take_off_for_their_own_reasons() -> None:
    kinds: tuple[SessionKind, ...] = ("tube", "sock")
    said = [reason_of(folded(head(kind), *to_step(head(kind), "take-off"))) for kind in kinds]
    assert "the tube comes off" in said[0].why
    assert said[0] != said[1]


def test_what_is_finished_or_of_anothers_making_has_none() -> None:
    strange = Head("strange", "tube", (Confirm("polish", "Polish it"),), 26, 60)
    assert reason_of(folded(strange)) == NOTHING
    assert caution_of(folded(strange)) == ""
    assert reason_of(folded(strange, Confirmed())) == NOTHING


def test_a_search_that_found_or_stopped_says_so() -> None:
    search = head("search")
    before = to_step(search, "trial")
    stopped = reason_of(folded(search, *before, Pressed(), Judged("stiff", 26)))
    found = reason_of(folded(search, *before, Pressed(), Judged("drop", 26), Pressed(), Judged("stay", 24)))
    looking = reason_of(folded(search, *before))
    assert "ask someone who knows this machine" in stopped.wrong
    assert "one full turn" in found.why
    assert len({stopped, found, looking}) == 3


@pytest.mark.parametrize("name", CATALOGUE)
def test_nothing_in_braces_stands_where_it_is_not_filled_in(name: str) -> None:
    said = CATALOGUE[name]
    assert "{" not in "".join((said.title, said.why, said.look, said.cue, *said.caution))
