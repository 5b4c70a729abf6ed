"""Pictures in characters and as SVG."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.logbook.travel.session_files import read
from hosewright.paper.charts import Bars, Estimates, Mark, Tally, columns_of, draw, round_top
from hosewright.paper.html_page import svg
from hosewright.paper.report import cadence
from hosewright.session.events import Confirmed, Observed, Pressed, TookBack
from hosewright.words.story import tell
from tests.helpers import entries, record, to_step
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
