"""Events and sessions made at random: sensible ones often enough to get somewhere, absurd ones too."""

from __future__ import annotations

from typing import get_args

from hypothesis import strategies as st

from hosewright.logbook.records.corrected import restated
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn, harmless
from hosewright.session import events as ev
from hosewright.session.procedures import search_steps, tube_steps
from hosewright.session.steps import CountRows, DialTrial, Head, Measure
from tests.helpers import sock_plan_steps, string_of

STEP_IDS = ("cast-on-rows", "trial", "prove", "separator-in", "tube", "leg", "heel", "foot", "toe", "s2-leg", "x", "")
FIELDS = ("raw-length", "length", "width", "stretched", "mass", "on-foot", "fit", "fit-length", "nothing")

counts = st.integers(0, 60) | st.integers(-(10**12), 10**12)
clicks = st.integers(0, 40) | st.integers(-(10**9), 10**9)
needles = st.none() | st.integers(1, 60) | st.integers(-(10**9), 10**9)
words = st.text(max_size=12).map(harmless)
values = st.integers(0, 2).map(float) | st.floats(50, 200) | st.floats(allow_nan=False)
_plain = st.sampled_from(
    [
        ev.Opened(),
        ev.Confirmed(),
        ev.Confirmed(early=True),
        ev.Pressed(),
        ev.TookBack(),
        ev.Undone(),
        ev.Redone(),
        ev.Paused(),
        ev.Resumed(),
        ev.Resumed(cranked=True),
        ev.SteppedBack(),
        ev.Abandoned(),
        ev.Reopened(),
    ]
)
verdicts = st.builds(ev.Judged, st.sampled_from(get_args(ev.Verdict)), clicks)

restatements = st.sampled_from(
    [
        restated("yarn", Yarn(id="twine-ab23", name="Twine")),
        restated("cylinder", Cylinder(id="plain-60", name="Plain 60", slots=60)),
        restated("machine", Machine(id="attic-cd45", name="Attic", clicks_per_turn=6)),
        restated("wearer", Wearer(id="ana-ef67", name="Ana")),
        restated("wearer", None),
        restated("wearer", Wearer(id="ana-ef67", name="Ana"), 2),
        restated("promise", ("for-ana-gh89", "For Ana"), 3),
        restated("promise", None),
        restated("lot", ("41-ab23", "41")),
        restated("lot", None, 1),
        restated("day", "2024-02-29"),
        restated("title", "Tube of the other grey"),
    ]
)

events: st.SearchStrategy[ev.Event] = st.one_of(
    st.just(ev.Pressed()),
    st.sampled_from([ev.Pressed(doubtful=True), ev.Doubted(), ev.Vouched(), ev.Paused(auto=True)]),
    st.just(ev.Confirmed(early=True)),
    st.just(ev.Undone()),
    _plain,
    st.builds(ev.Recounted, counts, words),
    st.builds(ev.Rehung, st.sampled_from(STEP_IDS), counts, words),
    verdicts,
    st.builds(ev.Voided, clicks, words),
    st.builds(ev.DialMoved, clicks, words),
    st.builds(ev.ReadOff, st.sampled_from(FIELDS), values, words),
    st.builds(ev.Observed, st.sampled_from(get_args(ev.Fault)), needles, words),
    st.builds(ev.Amended, st.integers(-3, 80), needles, words),
    st.builds(ev.Amended, st.integers(-3, 80), lot=st.sampled_from(["lot-b", "x" * 41]) | words),
    st.builds(ev.Struck, st.integers(-3, 80)),
    st.builds(ev.Reread, st.integers(-3, 80), values, words),
    st.builds(ev.Recounted, counts, words, step=st.sampled_from(STEP_IDS)),
    restatements,
    st.builds(ev.LeftOut, words, st.booleans()),
    st.just(ev.TakenIn()),
    st.builds(ev.Abandoned, words),
    st.builds(ev.Spoilt, words, st.booleans()),
)
# A list's size hangs on its least size, so long ones are asked for by name.
event_lists = st.lists(events, max_size=8) | st.lists(events, min_size=25, max_size=80)


@st.composite
def heads(draw: st.DrawFn) -> Head:
    """A session of any kind; the counted rows are few, so that random presses get through them."""
    steps = draw(st.sampled_from([search_steps(), tube_steps(30), sock_plan_steps(), string_of(3)]))
    few = tuple(
        CountRows(s.id, s.title, min(s.target, 3), s.yarn, s.proves) if isinstance(s, CountRows) else s for s in steps
    )
    rule = draw(st.sampled_from([1, 2]))
    few = tuple(DialTrial(s.id, s.title, 1) if isinstance(s, DialTrial) and rule == 1 else s for s in few)
    return Head("any", "sock", few, draw(st.integers(0, 40)), 60, draw(st.sampled_from([1, 3, 4, 8])))


def way_to(head: Head, index: int) -> list[ev.Event]:
    """Events that bring a session to the step at ``index``."""
    way: list[ev.Event] = []
    for step in head.steps[:index]:
        if isinstance(step, DialTrial):
            way += [ev.Pressed(), ev.Judged("drop", head.dial), ev.Pressed(), ev.Judged("stay", max(0, head.dial - 1))]
        if isinstance(step, Measure):
            way += [ev.ReadOff(item.id, 100.0) for item in step.fields if item.required]
        way += [ev.Pressed(), ev.Confirmed(early=True)]
    return way


@st.composite
def logs(draw: st.DrawFn, head: Head | None = None) -> list[ev.Entry]:
    """Entries with times that jump about, as clocks put right by hand do; ``head``: they get somewhere in it."""
    way = way_to(head, draw(st.integers(0, len(head.steps)))) if head else []
    at_ms = draw(st.lists(st.integers(0, 4_102_444_800_000), min_size=1, max_size=5))
    zones = draw(st.lists(st.integers(-14 * 60, 14 * 60), min_size=1, max_size=3))
    ticks = draw(st.lists(st.integers(0, 2**53), min_size=1, max_size=5))
    return [
        ev.Entry(seq, at_ms[seq % len(at_ms)], zones[seq % len(zones)], ticks[seq % len(ticks)], event)
        for seq, event in enumerate([*way, *draw(event_lists)], 1)
    ]


@st.composite
def sessions(draw: st.DrawFn) -> tuple[Head, list[ev.Entry]]:
    """A session and what happened in it."""
    head = draw(heads())
    return head, draw(logs(head))
