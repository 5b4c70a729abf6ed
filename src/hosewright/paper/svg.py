"""The pictures of ``prints.charts`` as SVG, to stand in a page: black on white, no fonts and nothing from outside."""

from __future__ import annotations

from html import escape

from hosewright.paper.charts import Bars, Chart, Estimates, Tally, round_top, span_of
from hosewright.paper.plotting import round_ticks
from hosewright.phrases.figures import plus_minus

WIDE, PLOT_HIGH = 720.0, 110.0
_LEFT, _TEXT = 96.0, 12.0
_TICKS = 6


def svg(chart: Chart) -> str:
    """One ``<svg>`` element with its title as the words for those who cannot see it."""
    if isinstance(chart, Bars):
        body, high = _bars(chart)
    elif isinstance(chart, Estimates):
        body, high = _estimates(chart)
    else:
        body, high = _tally(chart)
    title = escape(chart.title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {high:g}" role="img" aria-label="{title}"'
        f' font-size="{_TEXT:g}" font-family="sans-serif"><title>{title}</title>{"".join(body)}</svg>'
    )


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


def _line(x1: float, y1: float, x2: float, y2: float, width: float = 1) -> str:
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    return f'<line {ends} stroke="currentColor" stroke-width="{width:g}"/>'


def _bars(chart: Bars) -> tuple[list[str], float]:
    top = round_top(chart.values)
    floor = PLOT_HIGH + 8
    step = (WIDE - _LEFT - 4) / max(1, len(chart.values))
    body = [_line(_LEFT, floor, WIDE - 4, floor), _line(_LEFT, 8, _LEFT, floor)]
    for share in (0.5, 1.0):
        y = floor - share * PLOT_HIGH
        body += [_text(_LEFT - 5, y + 4, f"{top * share:g}", "end"), _line(_LEFT - 3, y, _LEFT, y)]
    for at, value in enumerate(chart.values):
        if value is not None:
            high = min(1.0, value / top) * PLOT_HIGH
            body.append(
                f'<rect x="{_LEFT + at * step:.2f}" y="{floor - high:.1f}" width="{max(step * 0.8, 0.4):.2f}"'
                f' height="{high:.1f}" fill="#5a5a5a"/>'
            )
    y = floor + 16
    begins = [begin for begin, _ in chart.parts]
    for n, (begin, name) in enumerate(chart.parts):
        x = _LEFT + begin * step
        room = ((begins[n + 1] if n + 1 < len(begins) else len(chart.values)) - begin) * step
        body.append(_line(x, floor, x, floor + 5))
        letters = int(room / 6.5)
        if letters >= 3:
            body.append(_text(x, y, name if len(name) <= letters else name[: letters - 1] + "."))
    seen = [(sign, words) for sign, words in chart.signs if any(mark.sign == sign for mark in chart.marks)]
    rows = {sign: y + 15 + 12 * at for at, (sign, _) in enumerate(seen)}  # each its own row: none hides another
    for mark in chart.marks:
        x = _LEFT + (min(mark.at, len(chart.values)) + 0.5) * step
        title = escape(f"{mark.sign} {mark.words}")
        body.append(f"<g><title>{title}</title>{_text(x, rows[mark.sign], mark.sign, 'middle')}</g>")
    body += [_text(0, rows[sign], words) for sign, words in seen]
    return body, y + 10 + 12 * len(seen)


def _estimates(chart: Estimates) -> tuple[list[str], float]:
    if not chart.points:
        return [_text(0, 14, "nothing yet")], 20
    low, high = span_of(chart)
    left, right = 190.0, WIDE - 150

    def at(x: float) -> float:
        return left + (x - low) / (high - low) * (right - left)

    body = []
    y = 6.0
    for label, value, error in chart.points:
        y += 22
        said = plus_minus(value, error, 2) + (chart.unit and f" {chart.unit}")
        begin, end = at(value - error), at(value + error)
        body += [_text(0, y + 4, label), _line(begin, y, end, y, 1.5), _text(WIDE, y + 4, said, "end")]
        body += [_line(x, y - 5, x, y + 5, 1.5) for x in (begin, end)]
        body.append(f'<circle cx="{at(value):.1f}" cy="{y:.1f}" r="4" fill="currentColor"/>')
    y += 20
    body.append(_line(left, y, right, y))
    for x, words in round_ticks(low, high, _TICKS):
        body += [_line(at(x), y, at(x), y + 4), _text(at(x), y + 17, words, "middle")]
    return body, y + 22


def _tally(chart: Tally) -> tuple[list[str], float]:
    most = max((count for _, count in chart.counts), default=1)
    body = []
    y = 0.0
    for label, count in chart.counts:
        y += 20
        wide = count / most * (WIDE - 200)
        body += [
            _text(0, y, label),
            f'<rect x="140" y="{y - 11:.1f}" width="{wide:.1f}" height="13" fill="#5a5a5a"/>',
            _text(146 + wide, y, str(count)),
        ]
    return body, y + 8
