"""Comparisons, yarn cards and needles on the page, checked on the sample sessions and by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from scipy import stats

from hosewright.craft.chance import Difference, Suspect
from hosewright.logbook.accounts.care import Bed, ByNeedle, beds, faults_by_needle
from hosewright.logbook.find.sessions import others_like
from hosewright.logbook.find.yarns import yarn_card, yarns_cranked
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.travel.session_files import read
from hosewright.paper.charts import Estimates
from hosewright.paper.compare import (
    Side,
    against,
    chance_words,
    compare,
    comparison_page,
    difference_words,
    rest_of,
    side,
)
from hosewright.paper.yarn_page import needles_page, over_time, said_of, warning, yarn_page
from hosewright.phrases.harmless import in_cell
from hosewright.session.events import Observed, ReadOff, Struck
from tests.helpers import entries, record, to_step
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.paper.compare import Compared
    from hosewright.session.events import Event


@pytest.fixture
def samples(book: Logbook) -> Logbook:
    for path in sorted(FOLDER.glob("[0-9]*.json")):
        sample = read(path)
        book.take_in(sample.session, sample.entries())
    return book


def _side(book: Logbook, beginning: str) -> Side:
    line = book.store.find(beginning)
    return side(book.record(line), book.store.entries(line.n))


# --- two sessions ----------------------------------------------------------------------------------------------


def test_a_pair_side_by_side_differences_first(samples: Logbook) -> None:
    found = compare(_side(samples, "20241012-coxone"), _side(samples, "20241019-coxtwo"))
    differs = [line.differs for line in found.lines]
    assert differs == sorted(differs, reverse=True)
    told = {line.what: line.cells for line in found.lines}
    assert told["Foot"] == ("57 of 56 rows", "57 of 57 rows")
    assert told["Needles named"] == ("20, 31", "31")
    assert told["Mass of the sock"] == ("35 g", "35 g")
    assert "Mass of the sock" not in {line.what for line in found.different}
    page = comparison_page(found)
    assert page.index("## What differs") < page.index("| Foot |") < page.index("## What is the same")
    assert found.said == ()


def test_the_same_yarn_a_year_apart_is_tested(samples: Logbook) -> None:
    found = compare(_side(samples, "20241006-gry"), _side(samples, "20251011-gry"))
    rows, stitches = found.said
    assert rows == "Rows: 0.08 ± 0.05 more per in, no more than measuring explains."
    assert found.notes[0].startswith("Rows: Welch's t test, t = ")
    assert stitches.startswith("Stitches: 0.08 ± 0.06 more per in, no more")
    told = {line.what: line.cells for line in found.lines}
    assert told["Length of the working rows, before the wash"] == ("6 15/16 in", "8 in")
    assert told["Length of the working rows, after the wash"] == ("6 1/8 in", "7.08 in")
    in_cm = compare(_side(samples, "20241006-gry"), _side(samples, "20251011-gry"), unit="cm")
    assert in_cm.said[0].startswith("Rows: 0.03 ± 0.02 more per cm")


def test_a_session_against_itself_differs_in_nothing(samples: Logbook) -> None:
    one = _side(samples, "20241012-coxone")
    assert compare(one, one).different == ()
    assert "What differs" not in comparison_page(compare(one, one))


def test_what_only_one_has_stands_against_nothing() -> None:
    bare, measured = record("tube", "20231114-one"), record("tube", "20231114-two")
    there = side(measured, entries([*to_step(measured.head, "after-wash"), ReadOff("mass", 11.0)]))
    told = {line.what: line.cells for line in compare(side(bare, []), there).lines}
    assert told["Mass, separator yarn trimmed off"] == ("-", "11 g")


def test_differences_in_words() -> None:
    surely = Difference(-0.02, 0.005, -4.0, 6.0, 2 * float(stats.t.sf(4, 6)))
    assert difference_words(surely) == "0.51 ± 0.13 fewer per in, more than measuring explains."
    assert chance_words(surely) == (
        "Welch's t test, t = -4.00 with 6 degrees of freedom, p = 0.0071; by measuring alone about 1 in 140 would "
        "differ so much."
    )
    assert chance_words(Difference(0.001, 0.002, 0.5, float("inf"), 0.617)) == "z test, z = 0.50, p = 0.62."


def test_several_side_by_side_what_concerns_the_fit_first(samples: Logbook) -> None:
    found = compare(*(_side(samples, one) for one in ("20241006-gry", "20250301-gry", "20251011-gry")))
    assert [len(line.cells) for line in found.lines] == [3] * len(found.lines)
    names = [line.what for line in found.different]
    assert names[0] == "Gauge tube"
    assert names.index("Rows per in") < names.index("Dial at the end") < names.index("Begun")
    assert names[-1].endswith(", a minute")
    assert [said.partition(":")[0] for said in found.said][:2] == ["Rows of Gauge tube", "Stitches of Gauge tube"]
    page = comparison_page(found)
    assert page.index("Rows per in") < page.index("Welch's t test"), "chance is a footnote"


def _tubes(dials: list[int], masses: list[float]) -> list[Side]:
    found = []
    for n, (dial, mass) in enumerate(zip(dials, masses, strict=True)):
        what = record("tube", f"20231114-n{n:02}").model_copy(update={"dial": dial})
        found.append(side(what, entries([*to_step(what.head, "after-wash"), ReadOff("mass", mass)])))
    return found


def test_what_was_different_about_one_is_where_the_others_are_alike_or_its_figure_is_outside_theirs() -> None:
    one, *rest = _tubes([30, 27, 27, 27, 27], [13.0, 11.0, 11.5, 12.0, 12.5])
    found = against(one, rest, "gauge tubes")
    told = {line.what: line.cells for line in found.lines}
    assert told["Dial at the start"] == ("7 1/2 turns below zero", "6 3/4 turns below zero (4 of 4)")
    assert told["Mass, separator yarn trimmed off"] == ("13 g", "11 g to 12.5 g")
    assert "Yarn" not in told
    assert found.titles[1] == "4 other gauge tubes"
    assert found.notes[0].startswith("Chance: ")
    alike = against(rest[1], [one, rest[0], *rest[2:]], "gauge tubes")
    assert alike.lines == (), "what is as most are, or among theirs, is no difference"
    assert alike.said == ("Nothing was different about it, beside 4 other gauge tubes.",)


def test_a_session_is_held_against_those_most_like_it(samples: Logbook) -> None:
    ids, words = others_like(samples.store, "20241012-coxone")
    assert set(ids) == {("20241019-coxtwo", 0), ("20251115-strsix", 1), ("20251115-strsix", 2)}
    assert words == "socks for Coxswain"
    ids, words = others_like(samples.store, "20241006-grytub")
    assert ("20241006-grytub", 0) not in ids
    assert {("20250301-gryloo", 0), ("20251011-gryagn", 0)} <= set(ids)


def test_a_sock_of_a_string_is_a_sock(samples: Logbook) -> None:
    line = samples.store.find("20251115-strsix")
    one = side(samples.record(line), samples.store.entries(line.n), sock=2)
    rest, words = rest_of(samples, one)
    assert words == "socks", "two for the same foot are too few to go by"
    assert {other.record.id for other in rest} == {"20241012-coxone", "20241019-coxtwo"}
    told = {line.what: line.cells for line in against(one, rest, words).lines}
    assert told["Mass of the sock"] == ("35.5 g", "35 g (2 of 2)")
    assert not {"Corrections", "Pauses", "Separator after"} & set(told), "no sock of a string has its own"
    never = replace(one, sock=7)
    assert (one.was_cranked, never.was_cranked) == (True, False)


# --- yarn cards ------------------------------------------------------------------------------------------------


def test_a_yarn_card_says_all_that_a_yarn_did(samples: Logbook) -> None:
    grey = next(yarn for yarn in yarns_cranked(samples) if yarn.name == "Slack Water Grey")
    said = yarn_page(yarn_card(samples, grey))
    for line in (
        "# Slack Water Grey",
        "## On 64 slots",
        "**Dial 6 3/4 turns below zero (27 clicks)**",
        "- Stitch size found 5 Oct 2024, proven",
        "- Tube of 6 Oct 2024: 9.80 ± 0.04 rows and 7.44 ± 0.04 stitches per in; "
        "by the wash -11.7 % long, +5.9 % wide; right on the foot",
        "- Coxswain, Slack Water Grey, twin, 19 Oct 2024: 35 g, 35 g planned; round right, length right",
        "- Mechanic, Slack Water Grey, first sock, 8 Feb 2025: 35.8 g planned; given up",
        "- Yarn a sock: 34.4 g, mean of 8",
        "- 9.84 ± 0.11 rows and 7.48 ± 0.08 stitches per in with the dial 6 3/4 turns below zero (27 clicks), 2 tubes "
        "from 6 Oct 2024; tubes differ by 1.5 ± 0.4 %, our assumption until 3 tubes at one setting show it.",
        "- 3 tubes are too few to tell whether it changed, 6 can: the newest has 0.08 ± 0.22 rows per in more than the "
        "one before at this dial position.",
    ):
        assert line in said


def test_gauges_over_time_carry_their_errors(samples: Logbook) -> None:
    grey = next(yarn for yarn in yarns_cranked(samples) if yarn.name == "Slack Water Grey")
    said, drawn = over_time(yarn_card(samples, grey))
    assert said.heading == "Gauge on 64 slots"
    chart = drawn.chart
    assert isinstance(chart, Estimates)
    assert [(label, round(value, 2)) for label, value, _ in chart.points] == [
        ("6 Oct 2024, 27 clicks", 9.8),
        ("1 Mar 2025, 29 clicks", 9.04),
        ("11 Oct 2025, 27 clicks", 9.88),
    ]
    assert all(error > 0.02 for _, _, error in chart.points)


def test_a_yarn_nobody_cranked(book: Logbook) -> None:
    card = yarn_card(book, Yarn(id="new-yarn", name="New *yarn*"))
    said = yarn_page(card)
    assert said.startswith("# New \\*yarn\\*\n")
    assert "## Nothing found yet" in said


# --- needles ---------------------------------------------------------------------------------------------------


def test_the_bad_needle_of_the_samples_is_named(samples: Logbook) -> None:
    said = needles_page([(bed, faults_by_needle(samples.store, bed)) for bed in beds(samples.store)])
    assert "- **Needle 31: 6 of your last 10 drops; look at its latch.** The chance that any needle" in said
    assert "- 1 fault with a needle noted since 5 Dec 2025: no needle stands out from chance." in said


def test_the_warning_reads_as_it_should() -> None:
    assert warning("dropped", Suspect(23, 4, 9, 0.001)) == "needle 23: 4 of your last 9 drops; look at its latch"


def test_silence_and_what_is_not_known() -> None:
    assert said_of([]) == ["No faults with a needle noted."]
    assert needles_page([]).endswith("Nothing was cranked yet.\n")
    lost = ByNeedle("tuck", (), 0, 1, 0, 0, ())
    assert said_of([lost]) == ["No faults with a needle noted.", "1 more tuck with no needle noted."]
    bed = Bed("m", "A *machine*", "c", "54 slots", 54, 1)
    assert "## A \\*machine\\*, 54 slots" in needles_page([(bed, [lost])])


def test_a_cell_is_no_list() -> None:
    assert in_cell("9.5 | *x*") == "9.5 \\| \\*x\\*"


def test_a_observation_struck_out_is_not_counted() -> None:
    what = record("tube")
    seen = [*to_step(what.head, "tube"), Observed("dropped", 5), Observed("dropped", 6)]
    struck = [*seen, Struck(len(seen))]
    told = {line.what: line.cells for line in _both(what, seen, struck)}
    assert told["Observations"] == ("2", "1")
    assert told["Needles named"] == ("5, 6", "5")


def _both(what: SessionRecord, first: list[Event], second: list[Event]) -> tuple[Compared, ...]:
    return compare(side(what, entries(first)), side(what, entries(second))).lines
