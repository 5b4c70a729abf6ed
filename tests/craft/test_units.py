"""Typed lengths, masses and numbers; pint checked against hand conversions."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError, units
from hosewright.craft.units import (
    G_PER_OUNCE,
    G_PER_POUND,
    MM_PER_INCH,
    factor,
    length_plus_minus,
    plus_minus,
    read_length,
    read_mass,
    read_number,
    read_whole,
    show_alike,
    show_length,
    show_mass,
    show_number,
)
from hosewright.craft.yarn import read_yarn_count

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

NONSENSE = [
    "", "   ", "0", "0 in", "-4 in", "-½ in", "nan", "inf", "-inf", "1e9", "1e9 mm", "abc", "in",
    "4 kg", "4 in in",
    "4 1/0 in", "1/0", "4 9/8 in", "99999999 mm", "4\x1b[31m", "\x00", "٤ in x", "4..5 in", "4 in 3",
    "1,250 mm",
    "9" * 10_000, "a" * 10_000,
]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["5.875in", '5 7/8"', "5-7/8 in", "5⅞ in", "5 ⅞ in", "5,8750 in", "5.875", "  5.875   IN ", "5.875 inches",
     "5 7/8”", "5 7/8″",
     "5.875 in.", "14,9225 cm", "14.9225CM", "149.225 mm", "5 7 / 8 in", "5 7/8''", "5–7/8 in"],
)  # fmt: skip
def test_five_and_seven_eighths_inches_every_way(text: str) -> None:
    assert read_length(text) == pytest.approx(149.225, abs=1e-9)


def test_other_lengths() -> None:
    assert read_length("½ in") == read_length("1/2 in") == read_length(".5 in") == pytest.approx(12.7)
    assert read_length("7/2 in") == pytest.approx(88.9)
    assert read_length("5'") == read_length("5’") == pytest.approx(1524.0)
    assert read_length("14.8", "cm") == pytest.approx(148.0)
    assert read_length("148", "mm") == pytest.approx(148.0)
    assert read_length("4.375") == pytest.approx(4.375 * 25.4)


@pytest.mark.parametrize("text", NONSENSE)
def test_nonsense_gets_one_clear_sentence(text: str) -> None:
    for read in (read_length, read_mass):
        if read is read_mass and text == "4 kg":
            continue
        with pytest.raises(CraftError) as raised:
            read(text, what="washed length")
        sentence = str(raised.value)
        assert sentence.isprintable()
        assert sentence.endswith(".")
        assert "washed length" in sentence
        assert len(sentence) < 200


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        mm = read_length(text)
    except CraftError as refused:
        said = str(refused)
    else:
        said = ""
        assert 0 < mm <= 5000
    echoed = re.search("“(.*)”", said)
    assert echoed is None or len(echoed[1]) <= 40
    assert said.isprintable()


@pytest.mark.parametrize(
    ("read", "text", "comes_to"),
    [
        *((read_length, f"3 {word}", 6) for word in ("in", "inches", "cm", "mm", "m", "metres", "ft", "feet")),
        *((read_length, text, 6) for text in ('3"', "3'", "3")),
        *((read_mass, f"3 {word}", 6) for word in ("g", "grams", "kg", "kilo", "oz", "ounces", "lb", "pounds")),
        (read_mass, "3", 6),
        (lambda text: read_yarn_count(text).m_per_100g, "437 yd/50g", 874),  # twice as long over twice as heavy
        (lambda text: read_yarn_count(text).m_per_100g, "437 m per 50 g", 874),
    ],
)
def test_pint_and_nothing_else_says_how_large_a_typed_unit_is(
    monkeypatch: pytest.MonkeyPatch, read: Callable[[str], float], text: str, comes_to: float
) -> None:
    class Twice:
        """A registry in which every unit holds two of what is kept inside."""

        magnitude = 2.0

        def Quantity(self, *_: object) -> Twice:  # noqa: N802  # pint's name
            return self

        def to(self, _: str) -> Twice:
            return self

    factor.cache_clear()
    with monkeypatch.context() as patched:
        patched.setattr(units, "_registry", Twice)
        found = read(text)
    factor.cache_clear()
    assert found == pytest.approx(comes_to)


def test_pint_agrees_with_hand_conversions() -> None:
    # International yard and pound: 1 in = 25.4 mm, 1 lb = 453.59237 g, exact.
    assert read_length("1 in") == MM_PER_INCH == 25.4
    assert read_mass("1 lb") == pytest.approx(G_PER_POUND, rel=1e-12)
    assert read_mass("16 oz") == pytest.approx(16 * G_PER_OUNCE, rel=1e-12)
    assert read_mass("16 oz") == pytest.approx(453.59237, rel=1e-12)
    assert read_mass("1.5 kg") == pytest.approx(1500.0)
    assert read_mass("11") == 11.0
    assert read_mass("1", "oz") == pytest.approx(28.349523125)


@pytest.mark.parametrize(
    ("mm", "unit", "shown"),
    [
        (149.225, "in", "5 7/8 in"), (149.86, "in", "5.90 in"), (148.0, "cm", "14.8 cm"),
        (148.0, "mm", "148 mm"),
        (25.4, "in", "1 in"), (12.7, "in", "1/2 in"), (149.37, "in", "5 7/8 in"), (0.0, "in", "0 in"),
        (101.6 - 0.1, "in", "4 in"), (-12.7, "in", "-1/2 in"),
    ],
)  # fmt: skip
def test_shown_lengths(mm: float, unit: str, shown: str) -> None:
    assert show_length(mm, unit) == shown


def test_shown_masses() -> None:
    assert [show_mass(11), show_mass(11.5), show_mass(100, "oz")] == ["11 g", "11.5 g", "3.53 oz"]
    assert [show_mass(1250, "kg"), show_mass(453.59237, "lb")] == ["1.25 kg", "1.00 lb"]


@given(st.floats(1.0, 4000.0), st.sampled_from(["in", "cm", "mm"]))
def test_a_shown_length_reads_back_close(mm: float, unit: str) -> None:
    assert read_length(show_length(mm, unit), unit) == pytest.approx(mm, abs=0.51)


@pytest.mark.parametrize(
    ("sixteenths", "shown"), [(9, "9/16 in"), (11, "0.69 in"), (15, "0.94 in"), (31, "1 15/16 in")]
)
def test_no_length_is_shown_that_would_be_refused(sixteenths: int, shown: str) -> None:
    mm = sixteenths * 25.4 / 16
    assert show_length(mm) == shown
    assert read_length(shown, "in") == pytest.approx(mm, abs=0.2)


def test_numbers() -> None:
    assert read_whole(" 64 ", what="slots", least=20, most=200) == 64
    assert read_number("11 1/2", what="rows", least=1, most=60) == 11.5
    for text in ("64.5", "sixty", "0", "-3", "1e3", "201", "", "64 slots"):
        with pytest.raises(CraftError, match="whole number from 20 to 200"):
            read_whole(text, what="slots", least=20, most=200)
    for text in ("nan", "inf", "61", "", "4 mm"):
        with pytest.raises(CraftError):
            read_number(text, what="rows", least=1, most=60)


def test_unknown_units_are_refused() -> None:
    for bad in (
        lambda: show_length(1, "furlong"),
        lambda: show_mass(1, "stone"),
        lambda: read_length("1", "yd"),
    ):
        with pytest.raises(CraftError):
            bad()


def test_a_cache_that_cannot_be_written_does_no_harm(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    code = "from hosewright.craft.units import read_length; print(read_length('5 7/8 in'))"
    env = {**os.environ, "XDG_CACHE_HOME": str(blocked), "HOME": str(blocked), "LOCALAPPDATA": str(blocked)}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout.strip()) == (0, "149.225"), done.stderr


def test_pint_waits_until_somebody_types_a_unit() -> None:
    code = (
        "import sys, hosewright.craft.units, hosewright.craft.dial, hosewright.craft.turning; "
        "print(sorted({'pint', 'uncertainties', 'pydantic', 'textual'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_no_number_is_written_with_an_exponent() -> None:
    assert show_number(100_000) == "100000"
    assert show_number(123_456.0, 3) == "123000"
    assert show_number(0.000012, 2) == "0.000012"
    with pytest.raises(CraftError, match="from 1 to 100000"):
        read_number("0", what="metres", least=1, most=100_000)


@pytest.mark.parametrize("text", ["1e9", "1E9 in", "999999999999 in"])
def test_a_number_no_hand_writes_is_called_that(text: str) -> None:
    with pytest.raises(CraftError, match="is not a plain number"):
        read_length(text)


@pytest.mark.parametrize(
    ("typed", "either", "other"),
    [("45/8 in", "4 5/8", "5.625"), ("61/4", "6 1/4", "15.25"), ("1215/16", "121 5/16", "75.9375")],
)
def test_a_number_and_fraction_run_together_is_said_back(typed: str, either: str, other: str) -> None:
    with pytest.raises(CraftError, match="could be read two ways") as said:
        read_length(typed)
    assert f"type {either} or {other}" in str(said.value)


def test_a_fraction_that_can_be_read_one_way_only_is_taken() -> None:
    assert read_length("5/8 in") == pytest.approx(15.875)
    assert read_length("9/8 in") == pytest.approx(28.575)
    assert read_length("10/4 in") == pytest.approx(63.5)


def test_a_length_with_its_error_is_cut_where_the_error_stops_meaning_anything() -> None:
    # By hand: 115 mm are 4.5276 in and 0.5 mm 0.0197; an error that begins with 1 keeps a second figure.
    assert length_plus_minus(115.0, 0.5, "in") == "4.528 ± 0.020 in"
    assert length_plus_minus(115.0, 0.6, "in") == "4.53 ± 0.02 in"
    assert length_plus_minus(115.0, 1.5, "mm") == "115.0 ± 1.5 mm"
    assert length_plus_minus(115.0, 20.0, "mm") == "115 ± 20 mm"
    assert length_plus_minus(149.225, 0.0, "in") == "5 7/8 in"
    assert plus_minus(10.3, 0.04) == "10.30 ± 0.04"
    assert plus_minus(10.3, 0.0) == "10.3"
    assert plus_minus(10.3, 4.0, 1) == "10.3 ± 4.0"


def test_lengths_of_one_sentence_are_alike() -> None:
    assert show_alike([149.225, 127.0]) == ["5 7/8 in", "5 in"]
    assert show_alike([149.225, 148.0]) == ["5.88 in", "5.83 in"]  # a sixteenth is 1.59 mm, and 148 lies between two
    assert show_alike([149.2, 148.0], "cm") == ["14.9 cm", "14.8 cm"]
    for mm in (float("nan"), float("inf")):
        with pytest.raises(CraftError, match="finite"):
            show_length(mm)
    with pytest.raises(CraftError, match="not “ell”"):
        show_length(100.0, "ell")


@pytest.mark.parametrize(
    ("text", "number"), [("45/5", 9.0), ("48/8", 6.0), ("49/8", 6.125), ("5/8", 0.625), ("10/8", 1.25)]
)
def test_only_a_fraction_that_lost_its_space_can_be_read_two_ways(text: str, number: float) -> None:
    """Of "48/8" nobody means 4 8/8, and of "10/8" nobody 1 0/8."""
    assert read_number(text, what="width", least=0, most=60) == pytest.approx(number)
    with pytest.raises(CraftError, match=r"could be read two ways: type 4 5/8 or 5\.625"):
        read_number("45/8", what="width", least=0, most=60)
