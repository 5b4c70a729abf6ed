"""The session report and the crank sheet, read back as Markdown."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING, Any

import pytest
from markdown_it import MarkdownIt

from hosewright.craft.sock import plan_sock
from hosewright.craft.supply import yarn_for
from hosewright.craft.units import length_plus_minus, plus_minus
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Machine, Plan, PlannedCuff, PlannedPart, Wearer
from hosewright.logbook.travel.session_files import read
from hosewright.paper.charts import Bars, draw, planned_sock
from hosewright.paper.crank_sheet import AT_RISK, crank_sheet, sheet_page
from hosewright.paper.html_page import report_page, svg
from hosewright.paper.report import sections, session_report
from hosewright.phrases.harmless import typed
from hosewright.phrases.times import clock_time, span
from hosewright.session.events import (
    Abandoned,
    Confirmed,
    DialMoved,
    Judged,
    Observed,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Recounted,
    Rehung,
    Reopened,
    Resumed,
    Spoilt,
    SteppedBack,
    Struck,
    TookBack,
    Voided,
)
from tests.helpers import crank_to, drive, entries, measure_tube, record, rows, sock_steps, string_of, to_step
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.events import Event


def _report(live: Live, book: Logbook, unit: str = "in") -> str:
    return session_report(live.record, list(book.store.entries(live.n)), unit)


def _told(what: SessionRecord, *events: Event, unit: str = "in") -> str:
    return session_report(what, entries([Opened(), *events]), unit)


# By hand, on 60 stitches at 0.32 a mm, 187.5 mm round: 206 is 9.9 % more, 225 and 231 are 20 % and 23.2 %.
FOOT = Wearer(id="foot-one", name="Uncle", girth_mm=206.0, instep_mm=231.0, left_instep_mm=225.0, right_instep_mm=231.0)
TIGHT, LOOSE = "stretched 23 % round the right instep", "stretched 10 % round the ball of the foot"


def _plan(**more: Any) -> Plan:
    found = plan_sock(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, tube_length_mm=160.0, leg_mm=52.0)
    need = yarn_for(found, 12.57, 420)
    said: dict[str, Any] = {
        "id": "plan-one",
        "name": "Winter *socks*",
        "machine": "bench-machine",
        "cylinder": "cylinder-60",
        "yarn": "yarn-grey",
        "slots": 60,
        "dial": 26,
        "rows_per_mm": 0.42,
        "stitches_per_mm": 0.32,
        "tube_length_mm": 160.0,
        "heel_left_in_work": 10,
        "toe_left_in_work": 10,
        "parts": tuple(
            PlannedPart(name=part.name, kind=part.kind, count=part.count, stitches=part.stitches)
            for part in found.sections
        ),
        "foot_rows": found.foot_rows,
        "foot_rows_error": 1.0,
        "metres_per_pair": need.metres_per_pair,
        "grams_per_pair": need.grams_per_pair,
    }
    return Plan(**said | more)


def test_a_tube_from_start_to_finish(book: Logbook) -> None:
    live = book.start(record("tube", "20231114-tube"))
    crank_to(live, "before-wash")
    drive(live, ReadOff("raw-length", 76.2), Confirmed())
    crank_to(live, "after-wash")
    measure_tube(live, width_mm=120.0)
    drive(live, ReadOff("length", 73.0), ReadOff("on-foot", 1), Confirmed())
    said = _report(live, book)
    assert said.startswith("# A tube\n")
    assert "- Session: 20231114-tube, gauge tube, finished" in said
    assert "- Begun: 14 November 2023, 23:13" in said
    assert "- Cylinder: 60 slots\n" in said
    assert "- Yarn: Grey, 420 m per 100 g" in said
    assert "| Gauge tube | working | 30 rows | 30 | 60 |" in said  # one press a second
    assert "- Length of the working rows, before the wash: 3 in; mean 3.00 ± 0.02 in" in said
    assert "- Mass, separator yarn trimmed off: 5.2 g" in said
    assert "- Rows: 10.58" in said  # 30 rows over the mean of 71 and 73 mm, 2.835 in, by hand
    assert "- On the foot: right." in said
    assert "- The wash changed the length by -5.5 %." in said  # (72 - 76.2) / 76.2
    assert "- To check: Rows to stitches is 1.67" in said  # 240 / 60 mm a stitch to 72 / 30 mm a row


def test_lengths_come_in_the_unit_asked_for(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    measure_tube(live)
    said = _report(live, book, "cm")
    assert "- Length of the working rows, after the wash: 7.1 cm; mean 7.10 ± 0.06 cm" in said
    assert "- Circumference: 18.80 ± 0.12 cm" in said


def test_the_dial_ladder() -> None:
    what = record("search")
    looks: list[Event] = [*rows(2), Judged("drop", 26), Pressed(), Judged("stay", 24)]
    said = _told(
        what, *to_step(what.head, "trial"), *looks, Voided(24, "weights slipped"), Pressed(), Judged("drop", 24)
    )
    assert "| 1 | 6 1/2 (26) | 2 | dropped back (void) |" in said
    assert "| 2 | 6 (24) | 1 | stayed up (void) |" in said
    assert "| 3 | 6 (24) | 1 | dropped back |" in said
    assert "trials void, search begun again 6 turns below zero (weights slipped)." in said
    assert "- Now at: Find the stitch size" in said


def test_the_stitch_size_found_and_proved() -> None:
    what = record("search")
    found: list[Event] = [*to_step(what.head, "trial"), Pressed(), Judged("drop", 26), Pressed(), Judged("stay", 24)]
    assert "is 7 turns below zero (28 clicks), not yet proven." in _told(what, *found)
    proven = [*found, Confirmed(), Confirmed(), *rows(10), Confirmed()]
    assert "is 7 turns below zero (28 clicks), proven." in _told(what, *proven)
    stopped = _told(what, *to_step(what.head, "trial"), Judged("stiff", 26))
    assert "## Result\n\nStop now, and never force the crank." in stopped


def test_corrections_are_told_as_what_they_are() -> None:
    what = record("tube")
    said = _told(
        what,
        Pressed(),  # cannot happen in the first step
        *to_step(what.head, "tube"),
        *rows(12),
        TookBack(),
        TookBack(),
        Recounted(14, "lost count"),
        Rehung("tube", 5, "fell off"),
        DialMoved(24, "too tight"),
        Confirmed(early=True),
        SteppedBack(),
        Abandoned("no time"),
        Reopened(),
    )
    for line in (
        "- Gauge tube: 2 presses taken back.",
        "- Gauge tube, row 10: counter set to 14 (lost count).",
        "- Gauge tube, row 14: work hung again at Gauge tube, row 5 (fell off).",
        "- Gauge tube, row 5: dial moved, now 6 turns below zero (too tight).",
        "- Gauge tube, row 5: left there on purpose, 30 were planned.",
        "- Join the separator yarn: back to Gauge tube.",
        "- 1 saved event did not fit and changed nothing.",
    ):
        assert line in said
    assert "given up on 14 November 2023" in said
    assert "- Dial: started 6 1/2 turns below zero, stands 6 turns below zero" in said


def test_pauses_and_pace() -> None:
    what = record("tube")
    start = entries([Opened(), *to_step(what.head, "tube"), *rows(10), Paused()])
    last = start[-1]
    gaps: list[tuple[int, Event]] = [(3_900_000, Resumed()), (3_901_000, Pressed()), (3_902_000, Paused())]
    later = [
        last._replace(seq=last.seq + n, at_ms=last.at_ms + gap, tick_ms=last.tick_ms + gap, event=event)
        for n, (gap, event) in enumerate(gaps, 1)
    ]
    said = session_report(what, start + later)
    assert "- Gauge tube, row 10, 14 November 2023, 23:13: 1 h 5 min" in said
    assert "still paused" in said
    assert "| Gauge tube | working | 30 rows | 11 | 60 |" in said  # the pause is no gap between presses


def test_what_was_seen_stays_readable_when_struck() -> None:
    what = record("tube")
    seen = [*to_step(what.head, "tube"), Pressed(), Observed("dropped", 5, "by | the seam"), Observed("knot")]
    at = len(seen)  # the Opened before them makes this the dropped stitch's number
    said = _told(what, *seen, Struck(at))
    assert "- Gauge tube, row 1, dial 6 1/2: ~~dropped stitch~~ (struck out), needle 5: by \\| the seam" in said
    assert "- Gauge tube, row 1, dial 6 1/2: knot\n" in said


def test_a_sock_with_its_plan() -> None:
    plan = _plan()
    found = plan_sock(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, tube_length_mm=160.0, leg_mm=52.0)
    what = record("sock", steps=sock_steps(found.sections, found.heel, found.toe)).model_copy(
        update={"plan": plan, "wearer": Wearer(id="foot-one", name="Uncle"), "twin_of": "20231101-first"}
    )
    events = to_step(what.head, "try-on")
    said = _told(what, *events, ReadOff("fit", 1), ReadOff("fit-length", 2), ReadOff("mass", 36.0))
    assert "| Foot | working | 67 rows | 67 |" in said
    assert "| Heel | working | 40 passes | 40 |" in said
    assert "- For: Uncle" in said
    assert "- Twin of: 20231101-first" in said
    assert ", twin sock, " in said
    assert "- Round the foot it was right." in said
    assert "- In length it was too long." in said
    assert "- Planned: 67 ± 1 rows in the foot;" in said
    assert "- This sock weighs 36 g;" in said


def test_each_sock_of_a_string_has_its_own_result() -> None:
    socks = (StringSock(plan=_plan(), wearer=Wearer(id="foot-one", name="Uncle")), StringSock(plan=_plan(), twin=True))
    start = record("tube", steps=string_of(2)).model_dump() | {"kind": "string", "socks": socks}
    what = SessionRecord.model_validate(start)
    at_first = to_step(what.head, "s1-try-on")
    said = _told(
        what,
        *at_first,
        ReadOff("s1-fit", 1),
        Confirmed(),
        ReadOff("s2-fit", 2),
        ReadOff("s2-mass", 40.0),
    )
    assert ", string, under way" in said
    assert "- Sock 1, for Uncle:\n  - Round the foot it was right.\n  - Planned: 67 ± 1 rows in the foot;" in said
    spoilt = _told(what, *to_step(what.head, "s1-foot"), Pressed(), Spoilt("laddered"))
    assert "- Foot, sock 1, row 1: sock spoilt, cranked again (laddered).\n" in spoilt
    assert "- Sock 2:\n  - Round the foot it was tight.\n" in said
    assert "  - This sock weighs 40 g; " in said
    assert "- Round the foot, sock 1: right\n" in said
    assert "- Round the foot, sock 2: tight\n" in said


def test_a_session_just_begun_has_a_report() -> None:
    said = session_report(record("sock"), [])
    assert "## Parts" in said
    assert "## Corrections" not in said
    assert "## Result" not in said


def test_readings_before_and_after_the_wash_say_which_they_are() -> None:
    what = record("tube")
    before = [*to_step(what.head, "before-wash"), ReadOff("raw-length", 79.4), ReadOff("raw-width", 95.3)]
    said = _told(what, *before, *[Confirmed()] * 3, ReadOff("length", 73.0), ReadOff("mass", 5.2))
    assert "- Length of the working rows, before the wash: 3 1/8 in; mean" in said
    assert "- Flat width, before the wash: 3 3/4 in; mean" in said
    assert "- Length of the working rows, after the wash: 2 7/8 in; mean" in said
    assert "- Mass, separator yarn trimmed off: 5.2 g\n" in said, "what is measured once needs no more words"


def test_readings_no_tape_could_give_are_still_shown() -> None:
    what = record("tube")
    said = _told(what, *to_step(what.head, "after-wash"), ReadOff("length", 0.5), ReadOff("width", 100.0))
    assert "- The gauge cannot be worked out:" in said
    assert "- Length of the working rows, after the wash: 0.02 in\n" in said


@pytest.mark.parametrize(
    "text",
    [
        "*bold* _thin_ `code`",
        "# heading",
        "- item",
        "1. item",
        "12) item",
        "[link](http://x)",
        "<b>html</b> &amp; &copy;",
        "a | b",
        "~~gone~~",
        "![image](x)",
        "back\\slash",
        "two\nlines",
        "> quote",
    ],
)
def test_typed_text_reads_back_as_it_was(text: str) -> None:
    # markdown-it-py, the reference reading of CommonMark that the bench's own viewer uses.
    reader = MarkdownIt("commonmark").enable(["table", "strikethrough"])
    plain = " ".join(text.split())
    for line, kind in ((f"- {typed(text)}", "inline"), (f"| a |\n| --- |\n| {typed(text)} |", "inline")):
        told = [token for token in reader.parse(line) if token.type == kind][-1]
        assert told.children is not None
        assert {child.type for child in told.children} <= {"text", "text_special"}
        assert "".join(child.content for child in told.children) == plain


@pytest.mark.parametrize(("pitch", "turn"), [(1.25, "1.25 mm in 4 clicks"), (None, "in 4 clicks")])
def test_a_turn_of_the_dial_has_millimetres_only_where_the_pitch_is_known(pitch: float | None, turn: str) -> None:
    told = record("tube")
    own = told.model_copy(update={"machine": told.machine.model_copy(update={"thread_pitch_mm": pitch, "weights": ""})})
    said = _told(own)
    assert f"- Machine: Bench machine, a turn of the dial {turn}\n" in said
    assert "Weights" not in said


def test_control_characters_do_not_reach_the_report() -> None:
    what = record("tube")
    assert "\x1b" not in _told(what, Observed("note", None, "\x1b[31mred\u202e"))


def test_the_crank_sheet_turns_the_heel_from_where_the_machine_s_carrier_comes_in() -> None:
    machine = Machine(id="loft", name="Loft", clicks_per_turn=4, heel_half="towards you", carrier_turns="clockwise")
    said = crank_sheet(_plan(), machine)
    assert "comes to the heel half at the right end, by needle 30. A row begins and ends there." in said
    assert "| 1 | carrier on the right, needle 30 goes up on the right" in said
    page = sheet_page(_plan(), machine)
    assert "<b>1</b><span>R ↑30</span>" in page
    assert "at the right end, by needle 30" in page


def test_the_crank_sheet_says_where_the_sock_is_tight_and_marks_it_on_its_drawing() -> None:
    said, page = crank_sheet(_plan(), wearer=FOOT), unescape(sheet_page(_plan(), wearer=FOOT))
    for text in (said, page):
        assert f"Tightest, T: {TIGHT}" in text
        assert f"Loosest, L: {LOOSE}" in text
        assert "stretched 20 % round the left instep; stretched 23 % round the right instep" in text
    assert re.findall(r">(\w)</text>", page) == ["T", "L"]
    # In the drawing the ball lies nearer to the toe than the instep does.
    tight, loose = (float(x) for x in re.findall(r'<circle cx="([0-9.]+)"', page))
    assert tight < loose
    assert "<circle" not in sheet_page(_plan())
    assert "Tightest" not in crank_sheet(_plan())


def test_the_report_marks_the_drawn_sock_in_letters_and_in_its_page() -> None:
    found = plan_sock(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, tube_length_mm=160.0, leg_mm=52.0)
    begun = record("sock", steps=sock_steps(found.sections, found.heel, found.toe))
    kept = begun.model_copy(update={"plan": _plan(), "wearer": FOOT})
    done = entries(to_step(kept.head, "heel"))
    text = session_report(kept, done)
    assert (text.count("[T]"), text.count("[L]")) == (1, 1)
    assert f"Tightest, T: {TIGHT}" in text
    page = report_page("Socks", sections(kept, done))
    assert page.count("<circle") == 2
    assert f"Loosest, L: {LOOSE}" in unescape(page)
    nobody = session_report(begun.model_copy(update={"plan": _plan()}), done)
    assert "## The sock" in nobody
    assert "[T]" not in nobody


def test_both_signs_of_one_place_stand_side_by_side() -> None:
    """Left and right ball differ: both lie in the same row of the foot."""
    both = FOOT.model_copy(update={"instep_mm": None, "left_instep_mm": None, "right_instep_mm": None})
    both = both.model_copy(update={"left_girth_mm": 200.0, "right_girth_mm": 231.0})
    drawn = planned_sock(_plan(), wearer=both)
    assert drawn is not None
    (tight, loose) = drawn.marks
    assert tight[1:] == loose[1:]
    lines = [line for line in draw(drawn) if "[T]" in line]
    assert len(lines) == 1
    assert "[L]" in lines[0]
    circles = [float(x) for x in re.findall(r'<circle cx="([0-9.]+)"', svg(drawn))]
    assert abs(circles[1] - circles[0]) >= 12


def test_the_crank_sheet() -> None:
    said = crank_sheet(_plan())
    assert said.startswith("# Winter \\*socks\\*\n")
    assert "- Dial: 6 1/2 turns below zero (26 clicks)" in said
    assert "| Foot | 67 rows | 4020 |" in said
    assert "- Foot, first: 10 ☐  20 ☐  30 ☐  40 ☐  50 ☐  60 ☐  67 ☐" in said
    assert "- Foot, twin: 10 ☐" in said
    assert "## Heel and toe: 30 needles down to 10 and back, 40 passes" in said
    assert "| Pass | Carrier and needle | Heel, first | Toe, first | Heel, twin | Toe, twin |" in said
    assert "| 31 | carrier on the left, needle 26 comes down on the right, then crank | ☐ | ☐ | ☐ | ☐ |" in said
    assert said.count("carrier on the") == 40


@pytest.mark.parametrize(
    ("kept", "says"),
    [
        (None, ["row 14 of the hem: hang the hem, each loop of its first row"]),
        (PlannedCuff(kind="hem", rows=14, hung=True), ["row 14 of the hem: hang the hem, each loop of its first row"]),
        (
            PlannedCuff(kind="picot", rows=14, hung=True),
            ["row 7 of the hem: move every other", "row 14 of the hem: hang"],
        ),
        (
            PlannedCuff(kind="mock rib", rows=14, hung=True, pattern="3x1"),
            ["row 14 of the hem: put the empty needles back", "row 14 of the hem: hang"],
        ),
        (PlannedCuff(kind="mock rib", rows=14, hung=False, pattern="3x1"), ["row 14 of the cuff: put the empty"]),
        (PlannedCuff(kind="ribber", rows=14, hung=False, pattern="1x1"), ["row 14 of the cuff: move the ribber's"]),
        (PlannedCuff(kind="rolled", rows=14, hung=False), []),
    ],
)
def test_the_crank_sheet_says_what_is_done_to_the_needles_at_the_top(kept: PlannedCuff | None, says: list[str]) -> None:
    plain = _plan()
    name = "hem" if kept is None or kept.hung else "cuff"
    plan = _plan(cuff=kept, parts=(PlannedPart(name=name, kind="rows", count=14, stitches=14 * 60), *plain.parts))
    told = [line.removeprefix("- After ") for line in crank_sheet(plan).splitlines() if f" of the {name}: " in line]
    assert [line[: len(said)] for line, said in zip(told, says, strict=True)] == says
    assert all(line.endswith(" ☐ ☐") for line in told)
    page = unescape(sheet_page(plan))
    for said in says:
        row, what = said.split(f" of the {name}: ")
        assert f"<div>After {row}: {what}" in page


def test_the_crank_sheet_says_the_wearers_caution() -> None:
    said = crank_sheet(_plan(), wearer=FOOT.model_copy(update={"caution": True}))
    assert said.count(AT_RISK) == 1
    assert said.index(AT_RISK) < said.index("- Slots in work")
    assert AT_RISK not in crank_sheet(_plan())


def test_a_toe_turned_otherwise_has_its_own_passes() -> None:
    said = crank_sheet(_plan(toe_left_in_work=16, grams_per_pair=None, foot_length_mm=251.0), length_unit="cm")
    assert "## Heel: 30 needles down to 10 and back, 40 passes" in said
    assert "## Toe: 30 needles down to 16 and back, 28 passes" in said
    assert "- Foot: 25.1 cm, ease in length 1.3 cm" in said


def test_numbers_stop_where_their_error_does() -> None:
    assert plus_minus(11.1111, 0.0561, 2) == "11.11 ± 0.06"
    assert plus_minus(4.37445, 0.0221, 3) == "4.374 ± 0.022"
    assert plus_minus(187.6, 1.1547) == "187.6 ± 1.2"
    assert plus_minus(1234.5, 30.0) == "1234 ± 30"
    assert plus_minus(8.5, 0.0) == "8.5"
    assert length_plus_minus(142.0, 0.577, "in") == "5.59 ± 0.02 in"


def test_times_in_words() -> None:
    assert clock_time(1_700_000_000_000, 60) == "14 November 2023, 23:13"
    assert clock_time(1_699_000_000_000, -210) == "3 November 2023, 04:56"
    said = [span(ms) for ms in (400, 59_000, 720_000, 11_100_000, 7_200_000, 259_200_000)]
    assert said == ["0 s", "59 s", "12 min", "3 h 5 min", "2 h", "3 days"]


def test_a_string_is_told_sock_by_sock_and_its_labels_are_whole() -> None:
    sample = read(FOLDER / "15-string-of-six.json")
    page = report_page("A string", sections(sample.session, sample.entries()))
    parts = page[page.index("<h2>Parts") :]
    tables = parts[: parts.index("</section>")].split("<table>")[1:]
    for number in range(1, 7):
        own = [f", sock {other}<" in tables[number - 1] for other in range(1, 7)]
        assert own == [other == number for other in range(1, 7)], "no row is parted from its sock"
    cadence = page[page.index("<h2>Cadence") :]
    assert all(f">Sock {number}</text>" in cadence for number in range(1, 7))


def test_every_label_below_the_cadence_is_whole() -> None:
    drawn = svg(Bars("Pace", (20.0,) * 40, ((0, "Separator before"), (1, "Hem"), (2, "Leg"), (39, "Separator after"))))
    for label in ("Separator before", "Hem", "Leg", "Separator after"):
        assert f">{label}</text>" in drawn
