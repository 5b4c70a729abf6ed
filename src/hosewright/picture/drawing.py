"""The picture of a sock as SVG: every part an outline, what is cranked of it filled. Black on white prints well."""

from __future__ import annotations

from html import escape
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

from hosewright.picture.cells import draw, placed
from hosewright.picture.shape import Place, Pocket

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.picture.cells import Colour, SignAt
    from hosewright.picture.shape import Polygon, Shape

Box = tuple[float, float, float, float]  # left, top, right and bottom, in mm

_TEXT_MM = 9.0
_LETTER_MM = 0.6 * _TEXT_MM  # wider than the mean letter of common fonts without serifs; ours
_BELOW_MM = _TEXT_MM / 6  # from the line that letters stand on to the next line of a label; ours
_STEP_MM = 2.0  # between the places that are tried for a label
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

    A label may have several lines, and is put on one where its part is too low for them. ``colour`` says the yarn's, as
    CSS has it, at a place that is cranked; where it is not known heel and toe are a darker grey. ``marks`` are signs in
    a ring at their row.
    Raises ValueError when a part has no label.
    """
    left, top, right, bottom = shape.box
    edge = 4.0
    body = []
    for part, count in enumerate(shape.counts):
        body += _bands(shape, part, done[part], colour)
        body += [_polygon(points, _EMPTY) for points in shape.cranked(part, count)]
    written: list[_Written] = []
    for part, label in zip(range(len(shape.parts)), labels, strict=True):
        one = _write(shape, part, label, written)
        written.append(one)
        for at, line in enumerate(one.lines, 1):
            down = one.top + at * _TEXT_MM - _BELOW_MM
            # A rim of paper round each letter: the yarn may be as dark as the ink.
            body.append(
                f'<text x="{one.x:.1f}" y="{down:.1f}" text-anchor="middle" paint-order="stroke" stroke="#ffffff"'
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


class _Written(NamedTuple):
    """A label's lines, the middle of its width, and its top; in mm."""

    lines: Sequence[str]
    x: float
    top: float

    @property
    def box(self) -> Box:
        half = max(map(len, self.lines)) * _LETTER_MM / 2
        return self.x - half, self.top, self.x + half, self.top + len(self.lines) * _TEXT_MM

    def within(self, shape: Shape, part: int) -> bool:
        """Whether it lies on this part alone."""
        left, top, right, bottom = self.box
        steps = ceil((right - left) / _STEP_MM) or 1  # a label may be empty
        spots = ((left + (right - left) * at / steps, y) for at in range(steps + 1) for y in (top, bottom))
        return all((place := shape.at(*spot)) is not None and place.part == part for spot in spots)

    def clear_of(self, other: _Written) -> bool:
        left, top, right, bottom = self.box
        its_left, its_top, its_right, its_bottom = other.box
        return left >= its_right or right <= its_left or top >= its_bottom or bottom <= its_top


def _write(shape: Shape, part: int, label: str, others: Sequence[_Written]) -> _Written:
    """Where a part's label is written: clear of the ``others``, on the part, as near to its middle as can be.

    In one line where a tube has no room for more, and beyond its edge where there is none for that either.
    """
    points = [point for one in shape.cranked(part, shape.counts[part]) for point in one]
    (left, top), (right, bottom) = (tuple(map(of, zip(*points, strict=True))) for of in (min, max))
    lines = label.split("\n")
    tries = [lines] if isinstance(shape.parts[part], Pocket) else [lines, [" ".join(lines)]]
    middle = (left + right) / 2, (top + bottom) / 2
    for said in tries:
        for one in _places(said, middle, (left, top, right, bottom)):
            if one.within(shape, part) and all(map(one.clear_of, others)):
                return one
    anywhere = _places(tries[-1], middle, shape.box)
    return next((one for one in anywhere if all(map(one.clear_of, others))), anywhere[0])


def _places(lines: Sequence[str], near: tuple[float, float], room: Box) -> list[_Written]:
    """The places in ``room`` where they are whole, the nearest first; where it is too small, in its middle."""
    left, top, right, bottom = _Written(lines, 0, 0).box
    across = _from_near(near[0], room[0] - left, room[2] - right)
    down = _from_near(near[1] - (bottom - top) / 2, room[1], room[3] - bottom)
    found = [(abs(x - across[0]) + abs(y - down[0]), x, y) for x in across for y in down]
    return [_Written(lines, x, y) for _, x, y in sorted(found)]


def _from_near(near: float, least: float, most: float) -> list[float]:
    """From ``least`` to ``most`` in steps, that nearest to ``near`` first; their middle where there is no room."""
    if least > most:
        return [(least + most) / 2]
    begin = min(max(near, least), most)
    below = [begin - at * _STEP_MM for at in range(1, int((begin - least) / _STEP_MM) + 1)]
    return [begin, *below, *(begin + at * _STEP_MM for at in range(1, int((most - begin) / _STEP_MM) + 1))]
