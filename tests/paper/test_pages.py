"""HTML and CSV as others read them."""

from __future__ import annotations

import csv
import io
import re
import sqlite3
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.logbook.records.shelf import NOTED_COLUMNS
from hosewright.logbook.travel.session_files import SessionFile, read
from hosewright.paper.crank_sheet import AT_RISK, sheet_page
from hosewright.paper.csv_files import EVENT_COLUMNS, cell, events_csv, notebook_csv
from hosewright.paper.html_page import report_page
from hosewright.paper.report import sections
from hosewright.session.events import Observed
from tests.helpers import entries, record, to_step
from tests.make_samples import FOLDER
from tests.paper.test_report import FOOT, _plan

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

SAMPLES = sorted(FOLDER.glob("[0-9]*.json"))
VOID = {"meta", "input", "br", "circle", "line", "rect"}


class Reader(HTMLParser):
    """Checks that every tag is closed in order, and keeps what the page shows."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def _read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


def _report(sample: SessionFile) -> str:
    return report_page(sample.session.title, sections(sample.session, sample.entries()))


def _contrast(first: str, second: str) -> float:
    """The contrast ratio of WCAG 2.2, from its own definition of relative luminance."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


PAGES = {
    **{path.stem: _report(read(path)) for path in SAMPLES},
    "sheet": sheet_page(_plan()),
    "sheet-odd": sheet_page(_plan(toe_left_in_work=16, dial_changes=((20, 31), (40, 32)))),
    "sheet-caution": sheet_page(_plan(), wearer=FOOT.model_copy(update={"caution": True})),
}


DRAWN = re.compile(r'<svg [^>]*class="drawn".*?</svg>')


@pytest.mark.parametrize("name", ["sheet", "sheet-odd", "sheet-caution", "03-coxswain-first-sock"])
def test_a_sock_is_drawn_with_an_outline_round_each_part(name: str) -> None:
    (drawn,) = DRAWN.findall(PAGES[name])
    labels = re.findall(r"<text [^>]*>([^<]*)</text>", drawn)
    names = [label for label in labels if label in ("hem", "leg", "heel", "foot", "toe")]
    assert names[-4:] == ["leg", "heel", "foot", "toe"]
    assert drawn.count('fill="none" stroke="currentColor"') == len(names) + 2  # heel and toe have two halves
    assert drawn.rindex("<polygon") < drawn.index("<text")


def test_the_sheets_sock_has_the_plans_counts_and_is_left_white() -> None:
    (drawn,) = DRAWN.findall(PAGES["sheet"])
    said = " ".join(re.findall(r"<text [^>]*>([^<]*)</text>", drawn))
    assert said == " ".join(f"{part.name} {part.count} {part.kind}" for part in _plan().parts)
    assert set(re.findall(r'<polygon [^>]*fill="([^"]*)"', drawn)) == {"none"}


def test_a_session_without_a_sock_has_no_drawing() -> None:
    assert [name for name in PAGES if "tube" in name and DRAWN.search(PAGES[name])] == []


@pytest.mark.parametrize("name", PAGES)
def test_a_page_stands_alone(name: str) -> None:
    reader = _read(PAGES[name])
    tags = [tag for tag, _ in reader.seen]
    assert tags.count("h1") == 1
    assert tags.index("title") < tags.index("body")
    assert ("html", {"lang": "en"}) in reader.seen
    assert not {"script", "link", "img", "iframe", "object", "a"} & set(tags)
    assert not re.search(r"url\(|@import", PAGES[name])
    assert not [a for _, attrs in reader.seen for a in attrs if a in ("src", "href") or a.startswith("on")]
    for tag, attrs in reader.seen:
        if tag in ("input", "svg"):
            assert attrs["aria-label"]


@pytest.mark.parametrize("name", PAGES)
def test_everything_written_can_be_read(name: str) -> None:
    html = DRAWN.sub("", PAGES[name])  # a sock has its yarn's colours, within outlines in ink
    for colour in set(re.findall(r"[^-]color: (#[0-9a-f]{6})", html)):
        assert _contrast(colour, "#ffffff") >= 4.5, colour  # WCAG 2.2, 1.4.3
        assert _contrast(colour, "#ececec") >= 4.5, colour  # the shaded heading of a table
    for colour in set(re.findall(r"(?:border[a-z-]*:[^;]*|fill=\")(#[0-9a-f]{6})", html)):
        assert _contrast(colour, "#ffffff") >= 3.0, colour  # 1.4.11, for what is not text
    assert set(re.findall(r"#[0-9a-f]{6}", html)) <= {"#ffffff", "#1a1a1a", "#6b6b6b", "#ececec", "#595959", "#5a5a5a"}


def test_the_contrast_check_itself() -> None:
    assert _contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG's own example
    assert _contrast("#777777", "#ffffff") < 4.5


def test_what_was_typed_is_never_a_tag() -> None:
    what = record("tube").model_copy(update={"title": "<script>x</script> & *co*"})
    seen = [*to_step(what.head, "tube"), Observed("note", None, "<img src=x> [a](http://b) **loud**")]
    reader = _read(report_page(what.title, sections(what, entries(seen))))
    assert "<script>x</script> & *co*" in reader.text
    assert "<img src=x> [a](http://b) **loud**" in reader.text
    assert not {"script", "img", "a", "strong"} & {tag for tag, _ in reader.seen}
    assert "<b>" not in sheet_page(_plan(name="<b>loud")).split("</h1>")[0]


def test_the_sheet_has_a_box_for_every_pass_and_ten_rows() -> None:
    reader = _read(PAGES["sheet"])
    labels = [attrs["aria-label"] or "" for tag, attrs in reader.seen if tag == "input"]
    assert len(labels) == len(set(labels))
    for part in ("heel", "toe"):
        for sock in ("first", "twin"):
            assert sum(label.startswith(f"{part}, {sock}, pass ") for label in labels) == 40
    assert [label for label in labels if label.startswith("foot, first")][-1] == "foot, first, row 67"
    assert "31L ↓26" in reader.text  # 60 slots, pass 31 of 40: carrier left, needle 26 comes down
    odd = _read(PAGES["sheet-odd"])
    assert "Heel: 30 needles down to 10 and back, 40 passes" in odd.text
    assert "Toe: 30 needles down to 16 and back, 28 passes" in odd.text
    assert "after row 20 dial to 7 3/4; after row 40 dial to 8" in odd.text


def test_the_sheet_says_the_wearers_caution() -> None:
    assert _read(PAGES["sheet-caution"]).text.count(AT_RISK) == 1
    assert AT_RISK not in PAGES["sheet"]


# --- CSV -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_events_read_back_as_they_were(path: Any) -> None:
    sample = read(path)
    rows = list(csv.DictReader(io.StringIO(events_csv(sample.session, sample.entries()), newline="")))
    assert len(rows) == len(sample.events)
    for row, filed in zip(rows, sample.events, strict=True):
        assert tuple(row) == EVENT_COLUMNS
        assert (int(row["event"]), row["kind"], row["session"]) == (filed.seq, filed.event.kind, sample.session.id)
        assert row["at"] == filed.at.isoformat(timespec="seconds")
        for name in ("needle", "clicks", "note", "typed", "value"):
            was = getattr(filed.event, name, None)
            assert row[name] == ("" if was is None else str(was))


@pytest.mark.parametrize(
    "typed",
    ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "\t=1", "\r=1", "\n=cmd|' /C calc'!A0", "＝1+1", "\x00=1", "\u202e=1"],
)
def test_no_cell_is_a_formula(typed: str) -> None:
    what = record("tube")
    text = events_csv(what, entries([*to_step(what.head, "tube"), Observed("note", None, typed)]))
    row = list(csv.DictReader(io.StringIO(text, newline="")))[-1]
    assert row["note"].startswith("'")
    assert row["note"].lstrip("' \n") == typed.strip("\x00\u202e \t\r\n")


def test_numbers_stay_numbers() -> None:
    assert [cell(value) for value in (-3, -0.5, None, True, False, 'a, "b"')] == [-3, -0.5, "", "yes", "", 'a, "b"']


def test_gauges_read_back_by_sqlite(book: Logbook) -> None:
    for path in SAMPLES:
        sample = read(path)
        book.take_in(sample.session, sample.entries())
    gauges = book.gauges()
    text = notebook_csv(gauges, [], {gauges[0].yarn: '=HYPERLINK("x"), "soft"'})
    rows = list(csv.reader(io.StringIO(text, newline="")))
    db = sqlite3.connect(":memory:")
    db.execute(f"CREATE TABLE gauges ({', '.join(rows[0])})")
    db.executemany(f"INSERT INTO gauges VALUES ({', '.join('?' * len(NOTED_COLUMNS))})", rows[1:])
    found = db.execute("SELECT id, CAST(rows_per_cm AS REAL), yarn FROM gauges").fetchall()
    assert [row[0] for row in found] == [gauge.session for gauge in gauges]
    assert [row[1] for row in found] == pytest.approx([gauge.rows_per_mm * 10 for gauge in gauges], abs=1e-6)
    assert found[0][2] == '\'=HYPERLINK("x"), "soft"'
    db.close()
