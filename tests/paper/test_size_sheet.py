"""The page to pin to the wall."""

from __future__ import annotations

from hosewright.craft.fit import CylinderSize
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured
from hosewright.craft.size_table import size_table
from hosewright.paper.size_sheet import size_sheet

ROWS = measured(10.6 / 25.4, 0.06 / 25.4)
STITCHES = measured(8.1 / 25.4, 0.05 / 25.4)
OWN = CylinderSize(64, name="Wide | *old*")


def page(*, dial: str = "7 1/2 turns below zero") -> str:
    rows = size_table(
        rows_per_mm=ROWS,
        tube=OWN,
        circumference=64 / STITCHES,
        loop_mm=loop_length_mm(ROWS),
        cylinders=(OWN, CylinderSize(60)),
    )
    return size_sheet(
        rows, title="Slack # Water", rows_per_mm=ROWS, stitches_per_mm=STITCHES, tube=OWN, ease=0.1,
        length_ease_mm=12.7, dial=dial,
    )  # fmt: skip


def test_gauge_dial_and_ease_stand_at_its_head() -> None:
    said = page()
    assert "# Sizes: Slack \\# Water" in said
    assert "10.60 ± 0.06 rows and 8.10 ± 0.05 stitches per in" in said
    assert "dial 7 1/2 turns below zero" in said
    assert "10 % round, 1/2 in in length" in said
    assert "dial" not in page(dial="").split("##")[0].replace("needle", "")


def test_a_table_for_children_women_and_men() -> None:
    said = page()
    assert [line for line in said.splitlines() if line.startswith("## ")] == ["## Children", "## Women", "## Men"]
    # 270 mm is EU 42.5, and (270 - 12.7) mm at 10.6 rows/in, 107.4, less 44 rows of heel and toe is 63 rows, by hand.
    line = next(line for line in said.split("## Men")[1].splitlines() if line.startswith("| 270 "))
    cells = [cell.strip() for cell in line.replace("\\|", "").strip("|").split("|")]
    assert cells[1] == "42.5"
    assert cells[8] == "63"
    assert cells[9] == "32-10, 44"


def test_what_was_typed_stays_inside_its_cell() -> None:
    body = [line for line in page().splitlines() if line.startswith("| 2") and "Wide" in line]
    assert body
    assert all("Wide \\| \\*old\\*" in line for line in body)


def test_it_fits_one_page() -> None:
    # 60 lines of 11 point stand on a page of A4 or letter paper (from memory).
    assert len(page().splitlines()) <= 60


def test_estimates_are_called_so() -> None:
    assert "Girths are estimates" in page()


def test_a_diameter_nobody_measured_is_said_where_it_is_used() -> None:
    assert "Nobody measured across the needles of 60 slots" in page()
