"""The picture of a sock as SVG: every part an outline, what is cranked of it filled. Black on white prints well."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from hosewright.picture.shape import Pocket

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.picture.shape import Polygon, Shape

_TEXT_MM = 9.0
_FILLED, _TURNED, _EMPTY = "#b9c4cc", "#8b9aa5", "none"


def sock_svg(shape: Shape, done: Sequence[int], title: str, labels: Sequence[str], colour: str | None = None) -> str:
    """One ``<svg>`` of the sock, true to scale: user units are mm. ``labels`` are written at the parts, one for each.

    ``colour`` is the yarn's, as CSS has it, for what is cranked. Raises ValueError when a part has no label.
    """
    left, top, right, bottom = shape.box
    edge = 4.0
    body = []
    for part, (one, count) in enumerate(zip(shape.parts, shape.counts, strict=True)):
        full = colour or (_TURNED if isinstance(one, Pocket) else _FILLED)
        body += [_polygon(points, full) for points in shape.cranked(part, done[part])]
        body += [_polygon(points, _EMPTY) for points in shape.cranked(part, count)]
    for part, label in zip(range(len(shape.parts)), labels, strict=True):
        x, y = _middle(shape.cranked(part, shape.counts[part]))
        body.append(f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle">{escape(label)}</text>')
    size = f"{left - edge:.1f} {top - edge:.1f} {right - left + 2 * edge:.1f} {bottom - top + 2 * edge:.1f}"
    said = escape(title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{size}" role="img" aria-label="{said}"'
        f' font-size="{_TEXT_MM:g}" font-family="sans-serif"><title>{said}</title>{"".join(body)}</svg>'
    )


def _polygon(points: Polygon, fill: str) -> str:
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polygon points="{path}" fill="{fill}" stroke="currentColor" stroke-width="0.8"/>'


def _middle(shapes: Sequence[Polygon]) -> tuple[float, float]:
    points = [point for shape in shapes for point in shape]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2 + _TEXT_MM / 3
