"""Every kind of event in words: as it happens, and as it is undone and done again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.session.event_words import deed_words, event_words, place_now, to_put_back
from hosewright.session.events import (
    EVENT_TYPES,
    Abandoned,
    Amended,
    Confirmed,
    DialMoved,
    Doubted,
    Event,
    Judged,
    LeftOut,
    Observed,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Recounted,
    Redone,
    Rehung,
    Reopened,
    Reread,
    Restated,
    Resumed,
    Spoilt,
    SteppedBack,
    Struck,
    TakenIn,
    TookBack,
    Undone,
    Voided,
    Vouched,
)
from hosewright.session.observations import observation_words, seen_words
from hosewright.session.undoing import do_again, last_done, undo
from tests.helpers import folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State
    from hosewright.session.steps import Head

SOCK, TUBE, SEARCH = head("sock"), head("tube"), head("search")
LEG = to_step(SOCK, "leg")
SEEN = [*LEG, *rows(3), Observed("dropped", 12)]  # its number is SEEN_SEQ
SEEN_SEQ = len(SEEN)
WASHED = to_step(TUBE, "after-wash")
READ = [*WASHED, ReadOff("length", 148.0, "148 mm"), ReadOff("width", 94.0)]
LENGTH_SEQ, WIDTH_SEQ = len(READ) - 1, len(READ)

AT_THE_LEG, AT_A_FAULT = folded(SOCK, *LEG), folded(SOCK, *SEEN)
AT_THE_TRIAL = folded(SEARCH, *to_step(SEARCH, "trial"))
AT_THE_READINGS, AFTER_READING = folded(TUBE, *WASHED), folded(TUBE, *READ)
LEFT_OUT = "left out of gauges, pace and statistics"

SAID: list[tuple[State, Event, str]] = [
    (AT_THE_LEG, Opened(), "the session was taken up"),
    (AT_THE_LEG, Confirmed(), "left there on purpose, 9 were planned"),
    (folded(SOCK, *LEG, *rows(8)), Confirmed(), "left there on purpose, 9 were planned"),
    (folded(SOCK, *LEG, *rows(9)), Confirmed(), "done"),
    (folded(SOCK, *LEG, *rows(9)), Confirmed(early=True), "left there on purpose"),
    (AT_THE_LEG, Pressed(), "one more"),
    (AT_THE_LEG, Pressed(doubtful=True), "a press too soon to be a row"),
    (AT_THE_LEG, Doubted(), "the press before was no row"),
    (AT_THE_LEG, Vouched(), "the quick presses were rows after all"),
    (AT_THE_LEG, TookBack(), "a press taken back"),
    (AT_THE_LEG, Undone(), "the last thing done was undone"),
    (AT_THE_LEG, Redone(), "what was undone is done again"),
    (AT_THE_LEG, Recounted(5, "I looked away"), "counter set to 5: I looked away"),
    (folded(SOCK, *to_step(SOCK, "heel")), Recounted(8, step="leg"), "Leg was really 8"),
    (AT_A_FAULT, Rehung("leg", 2, "it ran"), "work hung again at Leg, row 2: it ran"),
    (AT_THE_TRIAL, Judged("drop", 26), "6 1/2 turns below zero: dropped back"),
    (AT_THE_TRIAL, Voided(20, "other weights"), "trials void, search begun again 5 turns below zero: other weights"),
    (AT_THE_LEG, DialMoved(27), "dial moved, now 6 3/4 turns below zero"),
    (AT_THE_READINGS, ReadOff("length", 148.0, "14.8 cm"), "Length of the working rows: 14.8 cm"),
    (AT_THE_READINGS, ReadOff("length", 148.0), "Length of the working rows: 148 mm"),
    (AT_THE_READINGS, ReadOff("mass", 5.25), "Mass, separator yarn trimmed off: 5.25 g"),
    (AT_THE_LEG, ReadOff("fit", 1.0), "Round the foot: right"),
    (AT_THE_READINGS, ReadOff("of-a-later-version", 5.25), "of-a-later-version: 5.25"),
    (AT_THE_LEG, Observed("dropped", 12), "dropped stitch, needle 12"),
    (AT_THE_LEG, Observed("knot", note="a red end"), "knot: a red end"),
    (AT_A_FAULT, Amended(SEEN_SEQ, needle=14), "more on what was seen, needle 14"),
    (AT_A_FAULT, Amended(SEEN_SEQ, needle=0), "more on what was seen, needle not known"),
    (AT_A_FAULT, Amended(SEEN_SEQ, note="latched up"), "more on what was seen: latched up"),
    (AT_A_FAULT, Amended(SEEN_SEQ, needle=3, note="tight", fault="tuck"), "it was: tuck, needle 3: tight"),
    (AT_A_FAULT, Amended(SEEN_SEQ, note="a new ball of 77", lot="lot-77"), "a new ball of 77"),
    (AT_A_FAULT, Amended(SEEN_SEQ, lot="lot-77"), "more on what was seen"),
    (AT_A_FAULT, Struck(SEEN_SEQ), "dropped stitch at row 3, needle 12 struck out"),
    (AFTER_READING, Struck(LENGTH_SEQ), "Length of the working rows 148 mm struck out"),
    (AFTER_READING, Struck(WIDTH_SEQ), "Flat width 94 mm struck out"),
    (AFTER_READING, Struck(99), "a spoilt sock struck out"),
    (AFTER_READING, Reread(LENGTH_SEQ, 150, "15 cm"), "Length of the working rows: 15 cm, where 148 mm was read"),
    (AFTER_READING, Reread(WIDTH_SEQ, 95), "Flat width: 95 mm, where 94 mm was read"),
    (AFTER_READING, Reread(99, 95), "reading: 95, where something else was read"),
    (AT_THE_LEG, Restated("yarn", {"name": "Grey"}, was="Blue"), "the yarn was really Grey, not Blue"),
    (AT_THE_LEG, Restated("cylinder", {"name": "Old", "slots": 64}), "the cylinder was really Old (64 slots)"),
    (AT_THE_LEG, Restated("cylinder", {"name": "64 slots", "slots": 64}), "the cylinder was really 64 slots"),
    (AT_THE_LEG, Restated("machine", {"name": "Bench", "slots": 64}), "the machine was really Bench"),
    (AT_THE_LEG, Restated("wearer", None, 2, "Ann"), "sock 2: there was no wearer, not Ann"),
    (AT_THE_LEG, Restated("day", "2025-07-03"), "the day is really 3 Jul 2025"),
    (AT_THE_LEG, Restated("day", "no day at all"), "the day is really no day at all"),
    (AT_THE_LEG, Restated("title", "The first", 1), "sock 1: the title is really The first"),
    (AT_THE_LEG, LeftOut("a trial"), f"{LEFT_OUT}: a trial"),
    (AT_THE_LEG, LeftOut("keys tried", cranked=False), f"{LEFT_OUT}, and no yarn went in: keys tried"),
    (AT_THE_LEG, TakenIn(), "taken in again to gauges, pace and statistics"),
    (AT_THE_LEG, Paused(), "pause"),
    (AT_THE_LEG, Paused(auto=True), "the crank stood still"),
    (AT_THE_LEG, Resumed(), "hands on the crank again"),
    (AT_THE_LEG, SteppedBack(), "back to Join the working yarn"),
    (folded(SOCK), SteppedBack(), "one step back"),
    (AT_THE_LEG, Spoilt("moth"), "sock spoilt, cranked again: moth"),
    (AT_THE_LEG, Spoilt("moth", again=False), "sock spoilt, on to the next: moth"),
    (AT_THE_LEG, Abandoned("no yarn left"), "given up: no yarn left"),
    (AT_THE_LEG, Reopened(), "taken up again"),
]


@pytest.mark.parametrize(("state", "event", "said"), SAID, ids=[said for _, _, said in SAID])
def test_what_happened(state: State, event: Event, said: str) -> None:
    assert event_words(event, state).whole == said


def test_every_kind_of_event_is_among_them() -> None:
    assert {type(event) for _, event, _ in SAID} == set(EVENT_TYPES)


# --- undone, and done again --------------------------------------------------------------------------------------

HEEL = to_step(SOCK, "heel")
TRIAL = to_step(SEARCH, "trial")
STRING = head("string")
ON = [*LEG, *rows(3), Observed("dropped", 12), *rows(6), Confirmed()]  # the leg is done

UNDONE: list[tuple[Head, list[Event], str, str, str]] = [
    # the head, what was done, the last of it in words, what goes back, what is set again when it is done again
    (SOCK, [*LEG, *rows(4)], "row 4", "The row is still on the machine; if you pulled it back, use w.", ""),
    (SEARCH, [*TRIAL, Pressed()], "row 1", "", ""),
    (SOCK, [*HEEL, *rows(1)], "pass 1", "The carrier belongs on the left, needle 30 down again.", ""),
    (SOCK, [*HEEL, *rows(2)], "pass 2", "The carrier belongs on the right, needle 2 down again.", ""),
    (SOCK, [*HEEL, *rows(20)], "pass 20", "The carrier belongs on the right, needle 21 up again.", ""),
    (SOCK, [*HEEL, *rows(39)], "pass 39", "The carrier belongs on the left, needle 1 up again.", ""),
    (SOCK, [*HEEL, *rows(40)], "pass 40", "The carrier belongs on the right.", ""),
    (
        SOCK,
        [*HEEL, *rows(41)],
        "pass 41",
        "The pass is still on the machine; if you pulled it back, use w.",
        "",
    ),
    (SOCK, [*LEG, *rows(9), Confirmed()], "going on from “Leg”", "", ""),
    (SOCK, [*LEG, Pressed(), Pressed(True), Pressed(True), Vouched()], "counting 2 doubtful presses", "", ""),
    (SOCK, [*LEG, Recounted(5, "looked away")], "recount to 5", "", ""),
    (SOCK, [*HEEL, Recounted(8, step="leg")], "Leg was really 8", "", ""),
    *(
        (SOCK, done, words, "Only the count moved; the work hangs as it hangs.", "")
        for done, words in (
            ([*LEG, *rows(4), Rehung("leg", 2)], "hanging again at row 2"),
            ([*HEEL, *rows(4), Rehung("heel", 2)], "hanging again at pass 2"),
        )
    ),
    (
        SEARCH,
        [*TRIAL, Pressed(), Judged("drop", 26)],
        "verdict “dropped back” at 6 1/2 turns below zero",
        "Turn the dial back to 6 1/2 turns below zero.",
        "Turn the dial to 6 turns below zero.",
    ),
    (
        SEARCH,
        [*TRIAL, Pressed(), Judged("drop", 26), Voided(20)],
        "starting the search again from 5 turns below zero",
        "Turn the dial back to 6 turns below zero.",
        "Turn the dial to 5 turns below zero.",
    ),
    (
        SOCK,
        [*LEG, DialMoved(20)],
        "dial moved to 5 turns below zero",
        "Turn the dial back to 6 1/2 turns below zero.",
        "Turn the dial to 5 turns below zero.",
    ),
    (TUBE, READ[:-1], "Length of the working rows 148 mm", "", ""),
    (SOCK, SEEN, "dropped stitch at row 3, needle 12", "", ""),
    (SOCK, [*HEEL, *rows(3), Observed("note", note="thin")], "note at pass 3: thin", "", ""),
    (SOCK, [*LEG[:-1], Observed("knot")], "knot between two parts", "", ""),
    (SOCK, [*SEEN, Amended(SEEN_SEQ, needle=14)], "needle 14 of the dropped stitch", "", ""),
    *(
        (SOCK, [*SEEN, more], f"what was added to {seen} at row 3, needle {needle}", "", "")
        for more, seen, needle in (
            (Amended(SEEN_SEQ, needle=14, note="caught late"), "dropped stitch", 14),
            (Amended(SEEN_SEQ, needle=14, fault="tuck"), "tuck", 14),
            (Amended(SEEN_SEQ, note="caught late"), "dropped stitch", 12),
        )
    ),
    (SOCK, [*ON, Amended(SEEN_SEQ, note="late")], "what was added to dropped stitch at Leg, row 3, needle 12", "", ""),
    (SOCK, [*SEEN, Struck(SEEN_SEQ)], "striking out dropped stitch at row 3, needle 12", "", ""),
    (SOCK, [*LEG, SteppedBack()], "stepping back to “Join the working yarn”", "", ""),
    (SOCK, [*LEG, Paused()], "pause", "", ""),
    (SOCK, [*LEG, Paused(), Resumed()], "going on after the pause", "", ""),
    (SOCK, [*LEG, Abandoned()], "giving up", "", ""),
    (SOCK, [*LEG, Abandoned(), Reopened()], "taking it up again", "", ""),
    (SOCK, [*LEG, *rows(2), TookBack()], "a press taken back", "", ""),
    (SOCK, [*LEG, LeftOut("a trial")], "left out of gauges, pace and statistics", "", ""),
    (STRING, [*to_step(STRING, "s1-leg"), *rows(3), Spoilt("moth")], "sock 1 spoilt", "", ""),
]


@pytest.mark.parametrize(("what", "done", "words", "back", "again"), UNDONE, ids=[one[2] for one in UNDONE])
def test_what_is_undone_and_what_the_hands_put_back(
    what: Head, done: list[Event], words: str, back: str, again: str
) -> None:
    state = folded(what, *done)
    deed = last_done(state)
    assert deed is not None
    assert deed_words(state, deed) == words
    dial = state.dial
    undo(state)
    assert to_put_back(state, deed, dial, "w") == back
    dial = state.dial
    do_again(state)
    assert to_put_back(state, deed, dial, "w", again=True) == again


def test_where_the_count_stands() -> None:
    assert place_now(folded(SOCK, *LEG)) == "the beginning of “Leg”"
    assert place_now(AT_A_FAULT) == "row 3 of “Leg”"
    assert place_now(folded(SOCK, *HEEL, *rows(2))) == "pass 2 of “Heel”"


def test_what_was_seen_with_its_place_in_one_line() -> None:
    seen = [
        Observed("dropped", 12, "latched up"),
        Observed("weight", note="both"),
        Observed("colour"),
        Observed("tuck"),
    ]
    done = [*LEG, *rows(3), *seen, Observed("note", note="thin there")]
    state = folded(SOCK, *done, Struck(len(done)), *rows(6), Confirmed(), Observed("knot"))
    assert [observation_words(state, one) for one in state.observations] == [
        "Leg, row 3: dropped stitch, needle 12: latched up",
        "Leg, row 3: weight moved: both",
        "Leg, row 3: colour change",
        "Leg, row 3: tuck",
        "Leg, row 3: thin there (struck out)",
        "between: knot",
    ]
    assert seen_words(folded(SOCK, *done), 2) == "Leg, row 3: tuck\nLeg, row 3: thin there"
