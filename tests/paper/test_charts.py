"""Pictures in characters and as SVG."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.logbook.travel.session_files import read
from hosewright.paper.charts import (
    MOST_DRAWN,
    WIDTH,
    Bars,
    Estimates,
    Mark,
    Tally,
    Timeline,
    calendar_ticks,
    columns_of,
    draw,
    planned_sock,
    round_top,
)
from hosewright.paper.html_page import svg
from hosewright.paper.report import cadence
from hosewright.phrases.times import DAY_MS
from hosewright.session.events import Confirmed, Observed, Pressed, TookBack
from hosewright.words.story import tell
from tests.helpers import entries, record, to_step
from tests.logbook.test_heels_and_tubes import MADE, plan_of
from tests.make_samples import FOLDER

SIGNS = (("!", "seen"), ("p", "pause"))
some_bars = st.builds(
    Bars,
    title=st.just("A title"),
    values=st.lists(st.none() | st.floats(0.01, 5000), max_size=400).map(tuple),
    parts=st.lists(st.tuples(st.integers(0, 399), st.text("abc ", max_size=30)), max_size=9).map(
        lambda parts: tuple(sorted(parts))
    ),
    marks=st.lists(st.builds(Mark, st.integers(0, 400), st.sampled_from("!p"), st.just("x")), max_size=20).map(tuple),
    signs=st.just(SIGNS),
)


@given(some_bars, st.sampled_from([40, 76, 116]))
def test_bars_never_leave_the_screen(chart: Bars, width: int) -> None:
    lines = draw(chart, width)
    assert all(len(line) <= max(width, len(chart.title)) for line in lines)
    ElementTree.fromstring(svg(chart))


def test_a_bar_ends_in_the_row_of_its_value() -> None:
    lines = draw(Bars("Pace", (10.0, 5.0, None, 0.01)), 43)
    canvas = [line.ljust(43) for line in lines[1:9]]
    columns = ["".join(line[at] for line in canvas) for at in (7, 17, 27, 37)]
    assert columns == ["█" * 8, "   ▄████", " " * 8, " " * 7 + "▄"]
    assert [line[:3] for line in canvas] == ["10┤", "  │", "  │", " 5┤", "  │", "  │", "  │", " 0┤"]


def test_half_a_block_tells_half_a_row() -> None:
    lines = [line.ljust(33) for line in draw(Bars("Pace", (16.0, 15.0, 14.0)), 33)[1:3]]
    assert [[line[at] for line in lines] for at in (7, 17, 27)] == [["█", "█"], ["▄", "█"], [" ", "█"]]


def test_many_places_are_gathered_by_their_median_and_few_spread_out() -> None:
    chart = Bars("Pace", (1.0, 100.0, 2.0, None, None, None, 7.0))
    assert columns_of(chart, 3) == [50.5, 2.0, 7.0]
    assert columns_of(chart, 7)[3:6] == [None] * 3
    assert columns_of(chart, 14) == [value for value in chart.values for _ in range(2)]


@pytest.mark.parametrize(("largest", "top"), [(27.3, 40), (0.9, 1), (1.0, 1), (10, 10), (101, 200), (2.4, 2.5)])
def test_the_top_of_the_axis_is_round(largest: float, top: float) -> None:
    assert round_top((largest, None, 0.1)) == pytest.approx(top)


def test_marks_stand_above_their_place_and_say_what_they_are() -> None:
    marks = (Mark(7, "!", "tuck"), Mark(7, "p", "tea"), Mark(99, "p", "tea"))
    lines = draw(Bars("Pace", (5.0,) * 10, ((0, "Leg"), (5, "Foot")), marks, SIGNS), 42)
    seen, paused = lines[1:3]
    assert (seen.index("!"), seen.count("!")) == (2 + 7 * 4, 1)
    assert [at for at, char in enumerate(paused) if char == "p"] == [2 + 7 * 4, 41]  # none hides another
    assert "█" not in seen + paused
    floor, names = lines[-3:-1]
    assert floor.index("┴") == 2 + 5 * 4  # where the foot begins
    assert names.index("Leg") < 2 + 5 * 4 < names.index("Foot")
    assert lines[-1] == "  ! seen   p pause"


def test_a_part_too_short_to_name_hides_no_other() -> None:
    chart = Bars("Pace", (5.0,) * 70, ((0, "Separator before"), (3, "Hem"), (5, "Leg"), (60, "Heel")))
    assert draw(chart, 72)[-1].split() == ["Leg", "Heel"]


def test_estimates_show_their_errors() -> None:
    chart = Estimates("Gauge", (("2024", 11.0, 0.1), ("2025", 11.3, 0.05)), "per in")
    first, second, _, axis = draw(chart, 60)[1:]
    assert first.index("o") < second.index("o")
    assert first.count("─") > second.count("─") > 0
    assert first.endswith("11.00 ± 0.10 per in")
    assert axis.split() == ["10.9", "11.0", "11.1", "11.2", "11.3"]
    # The ends of a bar stand over the axis at the value one standard error away.
    floor = draw(chart, 60)[3]
    ticks = [at for at, char in enumerate(floor) if char == "┬"]
    assert abs(first.index("─") - ticks[0]) <= 1
    assert abs(first.rindex("─") - ticks[2]) <= 1
    assert "circle" in svg(chart)
    alike = Estimates("Gauge", (("2024", 11.0, 0.0),))
    assert "o" in draw(alike)[1]


def test_a_tally() -> None:
    lines = draw(Tally("Drops", (("needle 23", 4), ("needle 5", 1))))
    assert lines[1:] == ["needle 23 ┤████████████████ 4", " needle 5 ┤████ 1"]
    much = draw(Tally("Drops", (("needle 23", 90), ("needle 5", 1))), 40)
    assert (len(much[1]), much[2]) == (40, " needle 5 ┤█ 1")
    assert svg(Tally("Drops", (("needle 23", 4),))).count("<rect") == 1


@pytest.mark.parametrize("empty", [Bars("t", ()), Estimates("t", ()), Tally("t", ())])
def test_nothing_yet(empty: Bars | Estimates | Tally) -> None:
    assert draw(empty) == ["t", "nothing yet"]
    ElementTree.fromstring(svg(empty))


def test_typed_words_stay_words_in_a_drawing() -> None:
    chart = Bars("<b>&", (1.0,) * 40, ((0, "<script>"),), (Mark(0, "!", '"&<'),), SIGNS)
    root = ElementTree.fromstring(svg(chart))
    assert root.get("aria-label") == "<b>&"
    assert not [node for node in root.iter() if node.tag.endswith(("script", "}b"))]


# --- cadence ---------------------------------------------------------------------------------------------------


def test_cadence_is_one_place_a_row() -> None:
    what = record("tube")
    presses = [Pressed()] * 6
    done = [*to_step(what.head, "tube"), *presses, Observed("tuck"), Pressed(), TookBack(), Confirmed(early=True)]
    chart = cadence(tell(what.head, entries(done)))
    assert chart is not None
    assert [name for _, name in chart.parts] == ["Separator before", "Gauge tube"]
    assert len(chart.values) == 8 + 6  # the press taken back is no row
    assert chart.values[1] == 60.0  # one press a second
    assert (chart.values[0], chart.values[8]) == (None, None)  # nothing before them to judge by
    assert [(mark.at, mark.sign) for mark in chart.marks] == [(14, "!"), (14, "c"), (14, "c")]


def test_no_cadence_before_there_is_a_pace() -> None:
    what = record("tube")
    assert cadence(tell(what.head, entries(to_step(what.head, "separator-in")))) is None


@pytest.mark.parametrize("path", sorted(FOLDER.glob("[0-9]*.json")), ids=lambda path: path.stem)
def test_every_sample_can_be_drawn(path: object) -> None:
    sample = read(path)  # type: ignore[arg-type]
    story = tell(sample.session.head, sample.entries())
    chart = cadence(story)
    assert chart is not None
    assert len(chart.values) == len(story.beats)
    assert max(map(len, draw(chart))) <= 76


# --- along the calendar ----------------------------------------------------------------------------------------------

JANUARY_2024 = 1_704_067_200_000


def _timeline(many: int = 40, days: int = 14) -> Timeline:
    """Values that fall from 10.3 to 9.9 half-way, one every so many days."""
    at = [JANUARY_2024 + n * days * DAY_MS for n in range(many)]
    half = many // 2
    return Timeline(
        "Rows per in",
        tuple((day, 10.3 if n < half else 9.9, 0.05) for n, day in enumerate(at)),
        ((at[0], at[half - 1], 10.3), (at[half], at[-1], 9.9)),
        tuple((day, 9.9) for day in at[half:]),
        (9.8, 10.0),
        ((at[half - 1] + at[half]) // 2,),
    )


def test_a_timeline_shows_tubes_means_the_change_and_what_drifts() -> None:
    lines = draw(_timeline())
    assert max(map(len, lines)) <= WIDTH
    assert lines[-1] == "o tube   = mean   * moving average   . its limits   | change"
    picture = "\n".join(lines[1:-1])
    assert picture.count("o") >= 30
    assert "Jan 2025" in picture or "2025" in picture
    change = picture.splitlines()[0].index("│", 8)
    assert all(line[change] in "│o=┴" for line in picture.splitlines()[:-1])
    assert draw(replace(_timeline(), average=(), limits=(), changes=()))[-1] == "o tube   = mean"


def test_thousands_of_tubes_are_drawn_as_means_of_those_next_to_each_other() -> None:
    chart = _timeline(5000, 1)
    assert len(chart.gathered) <= MOST_DRAWN
    assert chart.signs[0] == ("o", "34 tubes")
    assert svg(chart).count("<circle") == len(chart.gathered)


def test_a_timeline_is_drawn_alike_on_a_page() -> None:
    drawing = svg(_timeline())
    assert drawing.count("<circle") == 40
    assert drawing.count('stroke-width="2.5"') == 1  # the change
    assert drawing.count("stroke-dasharray") == 2
    assert "dots: tube, level lines: mean, thin line: moving average, dashed: its limits, upright: change" in drawing


@pytest.mark.parametrize(
    ("days", "most", "words"),
    [
        (20, 6, ["1 Jan 2024", "21 Jan 2024"]),
        (150, 6, ["Jan 2024", "Feb 2024", "Mar 2024", "Apr 2024", "May 2024"]),
        (700, 6, ["Jan 2024", "Jul 2024", "Jan 2025", "Jul 2025"]),
        (1500, 5, ["2024", "2025", "2026", "2027", "2028"]),
    ],
)
def test_the_calendar_is_marked_at_round_days(days: int, most: int, words: list[str]) -> None:
    assert [said for _, said in calendar_ticks(JANUARY_2024, JANUARY_2024 + days * DAY_MS, most)] == words


@pytest.mark.parametrize("made", MADE)
def test_labels_of_a_drawn_sock_stay_inside_its_box(made: str) -> None:
    """A footlet's heel is narrow and stands at the edge; its label is moved in."""
    drawn = planned_sock(plan_of(MADE[made]))
    assert drawn is not None
    left, _, right, _ = drawn.shape.box
    found = re.findall(r'<text x="(-?[0-9.]+)"[^>]*>([^<]+)</text>', svg(drawn))
    assert all(any(said.startswith(name) for _, said in found) for name in drawn.shape.names)
    for x, label in found:
        half = len(label) * 0.5 * 9 / 2  # a mean letter is half as wide as it is high
        assert left <= float(x) - half, label
        assert float(x) + half <= right, label
