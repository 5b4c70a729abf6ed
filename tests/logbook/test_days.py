"""Days as people type them."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.phrases.days import (
    clock_day,
    days_of,
    days_to,
    local_day,
    past_day,
    read_day,
    read_past_day,
    show_day,
    weekday_of,
)
from tests.helpers import FakeClock

WEDNESDAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-12-24", "2026-12-24"),
        ("2026-2-3", "2026-02-03"),
        ("24 Dec", "2026-12-24"),
        ("24th of December", "2026-12-24"),
        ("Dec 24, 2027", "2027-12-24"),
        ("24. dec 2027", "2027-12-24"),
        ("24 Nov", "2027-11-24"),
        ("25 Nov", "2026-11-25"),
        ("29 Feb", "2028-02-29"),
        ("today", "2026-11-25"),
        ("tomorrow", "2026-11-26"),
        ("Friday", "2026-11-27"),
        ("wed", "2026-12-02"),
        ("in 3 days", "2026-11-28"),
        ("in 2 weeks", "2026-12-09"),
        ("in a month", "2026-12-25"),
        ("in 3 months", "2027-02-25"),
        ("24/12", "2026-12-24"),
        ("24.11.", "2027-11-24"),
        ("15.7.2025", "2025-07-15"),
        ("July 2027", "2027-07-31"),
        ("November", "2026-11-30"),
        ("Feb", "2027-02-28"),
        ("2027-03", "2027-03-31"),
    ],
)
def test_read(typed: str, day: str) -> None:
    assert read_day(typed, WEDNESDAY) == day


def test_a_month_ahead_ends_with_its_last_day() -> None:
    assert read_day("in one month", date(2027, 1, 31)) == "2027-02-28"


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("soon", "“soon” is not a day that can be read: type one such as 24 Dec, 24/12, July 2027, Friday or in"),
        ("2026-13-01", "There is no day “2026-13-01” in the calendar"),
        ("31 Feb", "There is no day “31 Feb” in the calendar"),
        ("31 Feb 2027", "There is no day “31 Feb 2027” in the calendar"),
        ("24 Foo", "is not a day that can be read"),
        ("0001-01-01", "is too far away"),
        ("x" * 61, "61 characters long"),
        ("12/24", "There is no day “12/24” in the calendar"),
        ("2027", "is not a day that can be read"),
    ],
)
def test_refused(typed: str, why: str) -> None:
    with pytest.raises(CraftError) as told:
        read_day(typed, WEDNESDAY)
    assert why in str(told.value)


def test_shown() -> None:
    assert show_day("2026-12-24", WEDNESDAY) == "Thu 24 Dec"
    assert show_day("2027-01-01", WEDNESDAY) == "Fri 1 Jan"
    assert show_day("2027-12-24", WEDNESDAY) == "24 Dec 2027"
    assert show_day("2025-12-12", WEDNESDAY) == "12 Dec 2025"
    assert [weekday_of(days, WEDNESDAY) for days in (0, 1, 2, 6)] == ["today", "tomorrow", "Friday", "Tuesday"]
    assert days_to("2026-11-20", WEDNESDAY) == -5


def test_today_is_that_of_the_wall() -> None:
    # 14 November 2023, 22:13 UTC: the 15th two hours east.
    assert local_day(FakeClock(zone_min=0)) == date(2023, 11, 14)
    assert local_day(FakeClock(zone_min=120)) == date(2023, 11, 15)


@given(st.dates(date(2000, 1, 1), date(2190, 1, 1)), st.integers(0, 364))
def test_a_day_without_its_year_is_the_next_one(today: date, ahead: int) -> None:
    day = today + timedelta(ahead)
    assert read_day(day.isoformat(), today) == day.isoformat()
    if (day.month, day.day) != (2, 29):
        assert read_day(f"{day.day} {day:%b}", today) == day.isoformat()
        assert read_day(f"{day.day}/{day.month}", today) == day.isoformat()
        assert read_day(f"{day:%B} {day.day}", today) == day.isoformat()


@given(st.text(max_size=70), st.dates())
def test_anything_typed_is_a_day_or_a_sentence(typed: str, today: date) -> None:
    with suppress(CraftError):
        date.fromisoformat(read_day(typed, today))


def test_a_moment_has_the_day_of_the_clock_on_the_wall() -> None:
    half_past_eleven = 1_699_918_200_000  # 13 November 2023, 23:30 UTC
    assert [clock_day(half_past_eleven, zone) for zone in (0, 60, -1410)] == [
        "13 Nov 2023",
        "14 Nov 2023",
        "13 Nov 2023",
    ]
    assert clock_day(half_past_eleven, -1440 + 29) == "12 Nov 2023"


@pytest.mark.parametrize(
    ("typed", "known", "words"),
    [
        ("2019", "2019", "2019"),
        ("May 2021", "2021-05", "May 2021"),
        ("may, 2021", "2021-05", "May 2021"),
        ("5/2021", "2021-05", "May 2021"),
        ("2021-05", "2021-05", "May 2021"),
        ("24/12/2020", "2020-12-24", "24 Dec 2020"),
        ("15.7.2025", "2025-07-15", "15 Jul 2025"),
        ("24 Dec 2020", "2020-12-24", "24 Dec 2020"),
        ("December 24th, 2020", "2020-12-24", "24 Dec 2020"),
        ("2020-12-24", "2020-12-24", "24 Dec 2020"),
        ("24/12", "2025-12-24", "24 Dec 2025"),
        ("24.12.", "2025-12-24", "24 Dec 2025"),
        ("3 Feb", "2026-02-03", "3 Feb 2026"),
        ("29 Feb", "2024-02-29", "29 Feb 2024"),
        ("July", "2026-07", "Jul 2026"),
        ("August", "2025-08", "Aug 2025"),
        ("yesterday", "2026-07-14", "14 Jul 2026"),
        ("today", "2026-07-15", "15 Jul 2026"),
    ],
)
def test_a_past_day_is_kept_as_far_as_it_is_known(typed: str, known: str, words: str) -> None:
    assert read_past_day(typed, date(2026, 7, 15)) == known
    assert past_day(known) == words
    assert read_past_day(words, date(2026, 7, 15)) == known, "what is shown can be typed again"


@pytest.mark.parametrize("typed", ["12/24/2020", "30/2/2020", "31/4", "13/2021", "0/5/2020", "1850", "2019-13"])
def test_a_past_day_that_never_was_is_told(typed: str) -> None:
    with pytest.raises(CraftError, match="such as 2019, May 2021 or 24/12/2020"):
        read_past_day(typed, date(2026, 7, 15))


@pytest.mark.parametrize("typed", ["", "long ago", "mayday", "24//2020", "summer 2019", "1/2/3/4", "9" * 90])
def test_what_is_no_past_day_is_told(typed: str) -> None:
    with pytest.raises(CraftError, match="is not a day that can be read"):
        read_past_day(typed, date(2026, 7, 15))


def test_a_month_or_a_year_is_all_its_days() -> None:
    assert days_of("2024-02") == (date(2024, 2, 1), date(2024, 2, 29))
    assert days_of("2019") == (date(2019, 1, 1), date(2019, 12, 31))
    assert days_of("2020-12-24") == (date(2020, 12, 24), date(2020, 12, 24))
