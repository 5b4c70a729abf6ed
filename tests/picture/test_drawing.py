"""The sock as SVG and in cells: what is written at its parts can be read."""

from __future__ import annotations

import re
from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from hosewright.craft.sock import Section
from hosewright.craft.turning import Turning
from hosewright.picture.cells import Filling, draw
from hosewright.picture.drawing import sock_svg
from hosewright.picture.of_sock import Knitted, sock_shape

if TYPE_CHECKING:
    from hosewright.picture.shape import Shape

BY = Knitted(0.405, 0.315, 64)
TURNED = Turning(32, 10)
WRIST = sock_shape((Section("hem", "rows", 12, 0), Section("tube", "rows", 61, 0)), None, None, BY)
FOOTLET = sock_shape(
    (
        Section("hem", "rows", 12, 0),
        Section("foot", "rows", 52, 0),
        Section("toe", "passes", TURNED.count, 0),
        Section("heel", "passes", TURNED.count, 0),
    ),
    TURNED,
    TURNED,
    BY,
)
LOW = sock_shape(tuple(Section(name, "rows", 5, 0) for name in ("cuff", "leg", "ankle", "tube")), None, None, BY)


def _written(shape: Shape) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Each line of the labels with left, top, right and bottom of its letters, as wide and high as in common fonts."""
    labels = [f"{name}\n{count} rows" for name, count in zip(shape.names, shape.counts, strict=True)]
    drawn = sock_svg(shape, (0,) * len(labels), "ours", labels)
    found = re.findall(r'<text x="(-?[0-9.]+)" y="(-?[0-9.]+)"[^>]*>([^<]+)</text>', drawn)
    return [
        (said, (float(x) - 2.4 * len(said), float(y) - 6.6, float(x) + 2.4 * len(said), float(y) + 0.2))
        for x, y, said in found
    ]


@pytest.mark.parametrize("shape", [WRIST, FOOTLET, LOW])
def test_no_label_lies_on_another(shape: Shape) -> None:
    for (one, a), (other, b) in combinations(_written(shape), 2):
        assert a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3], (one, other)


@pytest.mark.parametrize("shape", [WRIST, FOOTLET])
def test_the_label_of_a_short_hem_lies_on_the_hem_alone(shape: Shape) -> None:
    left, top, right, bottom = dict(_written(shape))["hem 12 rows"]
    for x, y in ((left, top), (right, top), (left, bottom), (right, bottom)):
        at = shape.at(x, y)
        assert at is not None
        assert shape.names[at.part] == "hem"


def test_a_tube_without_a_heel_is_told_from_its_hem_on_the_screen() -> None:
    picture = draw(WRIST, 20, 12)
    signs = "".join(run.text for line in Filling(picture).lines(WRIST.counts) for run in line)
    assert "\N{FULL BLOCK}" in signs
    assert "\N{QUADRANT UPPER LEFT AND LOWER RIGHT}" in signs
