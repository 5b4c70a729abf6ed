"""A string of socks: one run, a boundary at each sock, and a spoilt one kept as a sock of its own."""

from __future__ import annotations

import pytest

from hosewright.session.events import (
    Abandoned,
    Confirmed,
    Entry,
    Event,
    Pressed,
    Rehung,
    Reopened,
    Spoilt,
    SteppedBack,
    Struck,
)
from hosewright.session.fold import apply, fold
from hosewright.session.procedures import string_steps
from hosewright.session.results import pieces_of
from hosewright.session.rules import refusal
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, Head, Measure, plain_id, sock_of
from hosewright.session.twins import had_before
from hosewright.session.words import instruction, now_words
from tests.helpers import folded, head, string_of, to_step

SIX = Head("string", "string", string_of(6), 26, 60)


class Run:
    """Events as they come, and the state they fold to."""

    def __init__(self, head: Head = SIX) -> None:
        self.state = State(head)
        self.log: list[Entry] = []

    def do(self, *events: Event) -> None:
        for event in events:
            assert refusal(self.state, event) is None, refusal(self.state, event)
            entry = Entry(len(self.log) + 1, 1000 * len(self.log), 0, 1000 * len(self.log), event)
            self.log.append(entry)
            apply(self.state, entry)

    def on_to(self, step_id: str) -> None:
        while self.state.step is not None and self.state.step.id != step_id:
            step = self.state.step
            if isinstance(step, CountRows | CountPasses):
                self.do(*[Pressed()] * (step.target - self.state.count))
            self.do(Confirmed())
        assert step_id == "" or self.state.step is not None

    def stands_again(self) -> State:
        return fold(self.state.head, self.log)


def test_six_socks_one_spoilt_come_back_from_their_events() -> None:
    run = Run()
    run.on_to("s3-heel")
    run.do(*[Pressed()] * 12, Spoilt("a latch tore the heel"))
    assert run.state.step is not None
    assert run.state.step.id == "s3-thread"
    run.on_to("take-off")
    again = run.stands_again()
    assert again == run.state
    socks = pieces_of(again)
    assert [(sock.number, sock.attempt, sock.standing) for sock in socks] == [
        (1, 1, "cranked"),
        (2, 1, "cranked"),
        (3, 1, "spoilt"),
        (3, 2, "cranked"),
        (4, 1, "cranked"),
        (5, 1, "cranked"),
        (6, 1, "cranked"),
    ]
    spoilt, whole = socks[2], socks[3]
    assert (spoilt.passes, spoilt.reason) == (12, "a latch tore the heel")
    leg, foot = (next(s.target for s in SIX.steps if s.id == f"s1-{part}") for part in ("leg", "foot"))  # type: ignore[union-attr]
    assert spoilt.rows == leg
    assert (whole.rows, whole.passes) == (leg + foot, 80)
    # Every press is in one sock or in separator yarn: six times before, once more for the spoilt, once at the end.
    separators = (6 + 1 + 1) * 8
    assert again.presses == separators + sum(sock.rows + sock.passes for sock in socks)


def test_a_spoilt_sock_may_be_left_out() -> None:
    run = Run()
    run.on_to("s2-leg")
    run.do(Pressed(), Spoilt("mice", again=False))
    assert run.state.step is not None
    assert run.state.step.id == "s3-thread"
    run.do(SteppedBack())
    assert sock_of(run.state.step.id) == 1  # back over the one left out
    run.on_to("")
    assert run.state.status == "finished"
    standing = [(sock.number, sock.standing) for sock in pieces_of(run.state)]
    assert standing == [(1, "cranked"), (2, "spoilt"), (3, "cranked"), (4, "cranked"), (5, "cranked"), (6, "cranked")]


def test_the_last_may_be_left_out_and_is_not_tried_on() -> None:
    run = Run(Head("two", "string", string_of(2), 26, 60))
    run.on_to("s2-foot")
    rows_before, _ = run.state.ahead
    run.do(Spoilt("out of yarn", again=False))
    assert run.state.step is not None
    assert run.state.step.id == "part"
    assert run.state.ahead == (8, 0)
    assert rows_before > 10
    run.on_to("s1-try-on")
    run.do(Confirmed())
    assert run.state.step is None


def test_a_slip_of_the_finger_is_struck_out() -> None:
    run = Run()
    run.on_to("s4-toe")
    run.do(*[Pressed()] * 5)
    stood, counts = run.state.index, list(run.state.counts)
    run.do(Spoilt("wrong key"))
    seq = run.log[-1].seq
    run.do(Struck(seq))
    assert (run.state.index, run.state.counts) == (stood, counts)
    assert all(sock.standing != "spoilt" for sock in pieces_of(run.state))
    run.do(Spoilt("really", again=True))
    seq = run.log[-1].seq
    run.do(Confirmed(), Pressed())
    assert refusal(run.state, Struck(seq)) == "More was cranked since that sock was called spoilt, so it stays so."


@pytest.mark.parametrize(("event", "says"), [(Spoilt(" "), "few words"), (Rehung("s1-leg", 3), "within the sock")])
def test_what_cannot_be(event: Event, says: str) -> None:
    run = Run()
    run.on_to("s2-leg")
    run.do(Pressed())
    assert says in (refusal(run.state, event) or "")


def test_only_while_a_sock_of_the_string_is_cranked() -> None:
    run = Run(Head("two", "string", string_of(2), 26, 60))
    for step in ("take-off", "s1-try-on"):
        run.on_to(step)
        assert refusal(run.state, Spoilt("late")) == "No sock of a string is being cranked here."


def test_ids_titles_and_words_are_each_socks_own() -> None:
    ids = [step.id for step in SIX.steps]
    fields = [field.id for step in SIX.steps if isinstance(step, Measure) for field in step.fields]
    assert len(set(ids)) == len(ids)
    assert len(set(fields)) == len(fields)
    assert plain_id("s12-heel-pull") == "heel-pull"
    assert (sock_of("s12-heel-pull"), sock_of("s0-x"), sock_of("separator-in")) == (12, 0, 0)
    run = Run()
    run.on_to("s2-heel")
    assert now_words(run.state).startswith("heel, sock 2, pass 1 of 40: carrier on the left")
    run.on_to("s3-thread")
    assert "separator yarn" in instruction(run.state)
    with pytest.raises(ValueError, match="at least one sock"):
        string_steps([])


def test_a_part_is_told_what_the_sock_before_had() -> None:
    run = Run()
    run.on_to("s1-leg")
    assert had_before(None, run.state) == ""
    run.do(*[Pressed()] * 30, Confirmed(early=True))
    run.on_to("s2-separator-in")
    assert had_before(None, run.state) == ""
    run.on_to("s2-leg")
    assert had_before(None, run.state) == "sock 1 had 30"
    run.do(Spoilt("tangled", again=False))
    run.on_to("s3-leg")
    assert had_before(None, run.state) == ""  # the sock before was left out


def standings(run: Run) -> list[tuple[int, str]]:
    return [(piece.number, piece.standing) for piece in pieces_of(run.state)]


def test_a_sock_is_cranked_when_all_its_working_yarn_is_in_it_and_stays_so_when_the_string_is_given_up() -> None:
    run = Run(Head("three", "string", string_of(3), 26, 60))
    run.on_to("s2-toe")
    assert standings(run) == [(1, "cranked"), (2, "on the machine"), (3, "ahead")]
    run.on_to("s2-toe-lower")
    assert standings(run) == [(1, "cranked"), (2, "cranked"), (3, "ahead")]
    run.do(Abandoned())
    assert standings(run) == [(1, "cranked"), (2, "cranked"), (3, "never begun")]
    run.do(Reopened())
    run.on_to("s3-leg")
    run.do(Abandoned())
    assert standings(run) == [(1, "cranked"), (2, "cranked"), (3, "given up")]


def test_a_session_of_one_work_has_one_piece() -> None:
    sock = head("sock")
    piece = pieces_of(folded(sock, *to_step(sock, "foot")))[0]
    assert (piece.id, piece.standing, piece.span) == ((0, 1), "on the machine", range(len(sock.steps)))
    whole = folded(sock, *to_step(sock, "part"))
    assert pieces_of(whole)[0].standing == "cranked"
    assert pieces_of(folded(sock, *to_step(sock, "part"), Abandoned()))[0].standing == "given up"
    assert pieces_of(whole)[0].stitches == pieces_of(whole)[0].stitches_planned


def test_each_sock_leaves_the_tail_its_toe_is_grafted_with() -> None:
    """The last one's is left where the string ends."""
    run = Run(Head("three", "string", string_of(3), 26, 60))
    ids = [step.id for step in run.state.head.steps]
    for number in (1, 2):
        assert ids[ids.index(f"s{number}-tail") + 1] == f"s{number + 1}-thread"
        run.on_to(f"s{number}-tail")
        assert "an end four times as long as the toe is wide" in instruction(run.state)
    assert "s3-tail" not in ids
    run.on_to("part")
    assert "an end four times as long as the toe is wide" in instruction(run.state)
