"""The picture of a sock as SVG: every part an outline, what is cranked of it filled. Black on white prints well."""

from __future__ import annotations

from html import escape
from math import ceil
from typing import TYPE_CHECKING

from hosewright.picture.cells import draw, placed
from hosewright.picture.shape import Place, Pocket

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.picture.cells import Colour, SignAt
    from hosewright.picture.shape import Polygon, Shape

_TEXT_MM = 9.0
_LETTER_MM = 0.6 * _TEXT_MM  # wider than the mean letter of common fonts without serifs; ours
_RING_MM = 6.5
_FINE = 60, 30  # cells in which a sign's place is looked for
_FILLED, _TURNED, _EMPTY = "#b9c4cc", "#8b9aa5", "none"


def sock_svg(
    shape: Shape,
    done: Sequence[int],
    title: str,
    labels: Sequence[str],
    colour: Callable[[Place], Colour] = lambda _: None,
    marks: Sequence[SignAt] = (),
) -> str:
    """One ``<svg>`` of the sock, true to scale: user units are mm. ``labels`` are written at the parts, one for each.

    A label may have several lines. ``colour`` says the yarn's, as CSS has it, at a place that is cranked; where it is
    not known heel and toe are a darker grey. ``marks`` are signs in a ring at their row.
    Raises ValueError when a part has no label.
    """
    left, top, right, bottom = shape.box
    edge = 4.0
    body = []
    for part, count in enumerate(shape.counts):
        body += _bands(shape, part, done[part], colour)
        body += [_polygon(points, _EMPTY) for points in shape.cranked(part, count)]
    for part, label in zip(range(len(shape.parts)), labels, strict=True):
        x, y = _middle(shape.cranked(part, shape.counts[part]))
        lines = label.split("\n")
        half = max(map(len, lines)) * _LETTER_MM / 2
        # Kept whole on the paper; where even the whole width is too narrow for it, in the middle.
        x = max(left + half, min(x, right - half)) if 2 * half < right - left else (left + right) / 2
        for at, line in enumerate(lines):
            down = y + (at - (len(lines) - 1) / 2) * _TEXT_MM
            # A rim of paper round each letter: the yarn may be as dark as the ink.
            body.append(
                f'<text x="{x:.1f}" y="{down:.1f}" text-anchor="middle" paint-order="stroke" stroke="#ffffff"'
                f' stroke-width="2">{escape(line)}</text>'
            )
    body += _rings(shape, marks, (left - edge, top - edge, right + edge, bottom + edge))
    size = f"{left - edge:.1f} {top - edge:.1f} {right - left + 2 * edge:.1f} {bottom - top + 2 * edge:.1f}"
    said = escape(title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawn" viewBox="{size}" role="img" aria-label="{said}"'
        f' font-size="{_TEXT_MM:g}" font-family="sans-serif"><title>{said}</title>{"".join(body)}</svg>'
    )


def _rings(shape: Shape, marks: Sequence[SignAt], paper: tuple[float, float, float, float]) -> list[str]:
    """Each sign in a ring where its row lies, whole on the ``paper``, whose left, top, right and bottom are in mm."""
    if not marks:
        return []
    picture = draw(shape, *_FINE)
    left, top, right, bottom = paper
    found = []
    for sign, column, line in placed(picture.find, marks, ceil(2 * _RING_MM / picture.mm)):
        x = min(max(picture.left + (column + 0.5) * picture.mm, left + _RING_MM), right - _RING_MM)
        y = min(max(picture.top + (2 * line + 1) * picture.mm, top + _RING_MM), bottom - _RING_MM)
        found.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{_RING_MM - 0.5:g}" fill="#ffffff" stroke="#000000"/>'
            f'<text x="{x:.1f}" y="{y + _TEXT_MM / 3:.1f}" text-anchor="middle" font-weight="bold" fill="#000000">'
            f"{escape(sign)}</text>"
        )
    return found


def _bands(shape: Shape, part: int, done: int, colour: Callable[[Place], Colour]) -> list[str]:
    """What is cranked of a part: a shape for each stretch of one colour, from the last on, so that each covers it."""
    one = shape.parts[part]
    plain = _TURNED if isinstance(one, Pocket) else _FILLED
    ends: list[tuple[int, str]] = []
    for row in range(1, done + 1):
        fill = colour(Place(part, row)) or plain
        if ends and ends[-1][1] == fill:
            ends.pop()
        ends.append((row, fill))
    return [_polygon(points, fill, 0) for end, fill in reversed(ends) for points in shape.cranked(part, end)]


def _polygon(points: Polygon, fill: str, width: float = 0.8) -> str:
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    line = f' stroke="currentColor" stroke-width="{width:g}"' if width else ""
    return f'<polygon points="{path}" fill="{fill}"{line}/>'


def _middle(shapes: Sequence[Polygon]) -> tuple[float, float]:
    points = [point for shape in shapes for point in shape]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2 + _TEXT_MM / 3
