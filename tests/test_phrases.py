"""Times, numbers of things and lists, each in the one way they are said."""

from __future__ import annotations

import pytest

from hosewright.phrases.lists import listed, many
from hosewright.phrases.times import limit_words, minutes_words, short_span, since_words, span

SECOND, MINUTE, HOUR = 1000, 60_000, 3_600_000


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "0 min"),
        (0.6, "1 min"),
        (40, "40 min"),
        (59.6, "1 h"),
        (60, "1 h"),
        (580, "9 h 40 min"),
        (96, "1 h 36 min"),
        (5999, "99 h 59 min"),
        (6029, "100 h"),
        (1204 * 60, "1,204 h"),
    ],
)
def test_minutes_of_work(minutes: float, words: str) -> None:
    assert minutes_words(minutes) == words


@pytest.mark.parametrize(
    ("ms", "whole", "short", "since"),
    [
        (14 * SECOND, "14 s", "14 s", ""),
        (90 * SECOND, "2 min", "1 min", ""),
        (12 * MINUTE, "12 min", "12 min", "12 min"),
        (75 * MINUTE, "1 h 15 min", "75 min", "1 h 15 min"),
        (2 * HOUR + 10 * MINUTE, "2 h 10 min", "2 h", "2 h 10 min"),
        (47 * HOUR, "47 h", "47 h", "47 h"),
        (96 * HOUR, "4 days", "4 d", "4 days"),
    ],
)
def test_time_that_passed(ms: int, whole: str, short: str, since: str) -> None:
    assert (span(ms), short_span(ms), since_words(ms)) == (whole, short, since)
    assert len(short) <= 6


def test_a_limit_is_said_exactly() -> None:
    assert [limit_words(seconds) for seconds in (45, 90, 120, 300)] == ["45 s", "90 s", "2 min", "5 min"]


def test_so_many_and_one_after_the_other() -> None:
    assert [many(1, "row"), many(0, "row"), many(1200, "row"), many(2, "pass")] == (
        ["1 row", "0 rows", "1,200 rows", "2 passes"]
    )
    assert [listed([]), listed(["oil"]), listed(["oil", "wax"]), listed(["oil", "wax", "tape"], "or")] == (
        ["", "oil", "oil and wax", "oil, wax or tape"]
    )
