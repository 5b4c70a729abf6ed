"""The thin layer over the plotting library: what it is asked for is what stands in the lines."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.paper.plotting import Axis, Columns, Dots, Plot, Spans, drawn, margin, round_ticks

SQUARE = Axis(0, 9)


def test_each_point_stands_in_its_cell() -> None:
    dots = Dots([(0, 0), (9, 9), (3, 6)], "o")
    lines = drawn(Plot(11, 10, SQUARE, SQUARE, (dots,), floor=False))
    assert [(line.index("o") - 1, 9 - row) for row, line in enumerate(lines) if "o" in line] == [(9, 9), (3, 6), (0, 0)]


def test_a_later_layer_hides_an_earlier_one() -> None:
    lines = drawn(Plot(11, 10, SQUARE, SQUARE, (Dots([(4, 4)], "a"), Dots([(4, 4)], "b")), floor=False))
    assert "".join(lines).count("a") == 0
    assert lines[5].index("b") == 5


def test_what_lies_outside_the_axes_is_left_out_and_breaks_a_line() -> None:
    rising = [(float(x), 1e9 if x in (4, 5) else 2.0) for x in range(10)]
    lines = drawn(Plot(11, 10, SQUARE, SQUARE, (Dots(rising, "*", joined=True),), floor=False))
    assert [line for line in lines if "*" in line] == ["│****  ****"]


def test_one_plot_leaves_nothing_behind_for_the_next() -> None:
    plain = Plot(30, 4, Axis(0, 1), Axis(0, 1), (Dots([(0, 0)], "o"),))
    before = drawn(plain)
    ticks = ((0.0, "low"), (1.0, "high"))
    drawn(Plot(60, 9, Axis(0, 5, ticks, (1.0,)), Axis(0, 3, ticks), (Spans([(1, 1, 0.5)]),), ticks))
    assert drawn(plain) == before


@given(st.lists(st.none() | st.floats(-1e300, 1e300), min_size=2, max_size=200), st.sampled_from([40, 76, 116]))
def test_any_values_fit_and_carry_no_colour(values: list[float | None], wide: int) -> None:
    lines = drawn(Plot(wide, 6, Axis(0, wide - 2), Axis(0, 40), (Columns(values),)))
    assert len(lines) == 7
    assert max(map(len, lines)) <= wide
    assert "\x1b" not in "".join(lines)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.integers(2, 12))
def test_ticks_are_round_inside_and_not_too_many(low: float, span: float, most: int) -> None:
    high = low + span
    ticks = round_ticks(low, high, most)
    slack = span * 1e-6 + 2 * math.ulp(max(abs(low), abs(high)))  # a float so large has steps of its own
    assert len(ticks) <= most
    assert len({words for _, words in ticks}) == len(ticks)
    for value, words in ticks:
        assert low - slack <= value <= high + slack
        assert math.isclose(float(words), value, rel_tol=1e-9, abs_tol=slack)


@pytest.mark.parametrize(
    ("low", "high", "most", "words"),
    [
        (0, 27.3, 4, ["0", "10", "20"]),
        (0, 40, 5, ["0", "10", "20", "30", "40"]),
        (10.88, 11.37, 6, ["10.9", "11.0", "11.1", "11.2", "11.3"]),
        (0, 0.9, 4, ["0.0", "0.5"]),
    ],
)
def test_ticks_as_a_person_would_choose_them(low: float, high: float, most: int, words: list[str]) -> None:
    assert [said for _, said in round_ticks(low, high, most)] == words


def test_a_margin_holds_the_longest_word_and_the_axis() -> None:
    assert margin(((0, "0"), (10, "10"))) == 3
    lines = drawn(Plot(20, 2, Axis(0, 1), Axis(0, 1, ((0, "0"), (1, "10"))), (Dots([(0, 0), (1, 0)], "o"),)))
    assert lines == ["10┤", " 0┤o" + " " * 15 + "o", "  └" + "─" * 17]


def test_the_library_is_loaded_only_for_a_plot() -> None:
    code = (
        "import sys, hosewright.bench.app, hosewright.paper.report, hosewright.paper.charts as r;"
        "from hosewright.paper.charts import Tally, draw;"
        "print('plotext' in sys.modules); draw(Tally('t', (('a', 1),))); print('plotext' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]


def test_on_windows_no_shell_is_started() -> None:
    code = """
import shutil, subprocess, sys
def call(*words, **options):
    raise AssertionError("a shell was started")
subprocess.call = call
from hosewright.paper.charts import Tally, draw
sys.platform = "win32"
print(draw(Tally("t", (("a", 1),)))[1])
assert sys.modules["plotext"].platform == "windows"
assert subprocess.call is call
"""
    done = subprocess.run([sys.executable, "-X", "utf8", "-c", code], capture_output=True, text=True, check=False)
    assert (done.stderr, done.stdout) == ("", "a ┤████ 1\n")
