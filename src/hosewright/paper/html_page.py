"""A page of HTML that stands alone: one file, nothing fetched, black on white, made to be printed on one sheet.

Its pictures are those of ``paper.charts``, drawn as SVG without fonts of their own.
"""

from __future__ import annotations

from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING

from hosewright.craft.units import plus_minus
from hosewright.paper.charts import (
    BAND,
    LEVEL,
    LINE,
    TUBE,
    Bars,
    Chart,
    DrawnSock,
    Estimates,
    Tally,
    Timeline,
    calendar_ticks,
    round_top,
    span_of,
)
from hosewright.paper.plotting import round_ticks
from hosewright.picture.drawing import sock_svg
from hosewright.picture.shape import Pocket

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.paper.report import PageSection

# No paper size is named: the page fits both A4 and Letter, and the printer's own is used.
STYLE = """
@page { margin: 11mm 12mm; }
* { box-sizing: border-box; }
html { background: #ffffff; color: #1a1a1a; font-family: system-ui, sans-serif; }
body { margin: 0 auto; padding: 1rem; max-width: 62rem; font-size: 1rem; line-height: 1.35; }
h1 { font-size: 1.5em; margin: 0 0 .4em; border-bottom: .15em solid #1a1a1a; }
h2 { font-size: 1.1em; margin: .7em 0 .2em; break-after: avoid; }
p { margin: .2em 0; }
ul { margin: .1em 0; padding-left: 1.1em; }
table { border-collapse: collapse; margin: .2em 0; }
th, td { border: 1px solid #6b6b6b; padding: .05em .45em; text-align: left; }
th { background: #ececec; }
s { color: #595959; }
svg { width: 100%; height: auto; }
svg.drawn { display: block; max-height: 9cm; }
section { break-inside: avoid; }
section.long { break-inside: auto; }
footer { margin-top: 1em; font-size: .85em; color: #595959; }
input[type=checkbox] { width: 1em; height: 1em; margin: 0 .15em; vertical-align: -.1em; }
"""
_REPORT = """
.two { columns: 2; column-gap: 2em; }
.two > section:first-child h2 { margin-top: 0; }
.two table { font-size: .9em; } .two th, .two td { padding: 0 .3em; white-space: nowrap; }
.two td:first-child { white-space: normal; }
.two table { break-inside: avoid; }
@media print { body { padding: 0; max-width: none; font-size: 9pt; line-height: 1.25; } h1 { font-size: 15pt; } }
@media screen and (max-width: 50rem) { .two { columns: 1; } }
"""
_LONG = 24  # a part of more lines may be broken over columns and sheets, or half a sheet stays empty before it
# With so many rows in its tables a sheet of Letter, the shorter, is full at the usual size; measured on printed pages.
_FULL_ROWS, _USUAL_PT, _LEAST_PT = 36, 9.5, 6.0
_SHEET = """
@media print {
  body { padding: 0; max-width: none; line-height: 1.15; }
  h1 { font-size: 1.4em; } h2 { margin: .4em 0 .1em; }
  table { width: 100%; } th, td { padding: 0 .35em; }
}
"""
WIDE, PLOT_HIGH = 720.0, 110.0
_LEFT, _TEXT = 96.0, 12.0
_TICKS = 6
_LETTER = 6.5  # about as wide as a letter of _TEXT is


def page(title: str, body: str, style: str = "") -> str:
    """A whole document; ``title`` is plain text, ``body`` is HTML."""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}{style}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def report_page(title: str, parts: Iterable[PageSection]) -> str:
    """A report as a page: its pictures as drawings, everything else in two columns."""
    wide: list[str] = []
    columns: list[str] = []
    for part in parts:
        heading = f"<h2>{escape(part.heading)}</h2>\n" if part.heading else ""
        if part.chart is not None:
            caption = f"<p>{escape(part.chart.title)}</p>"
            told = part.chart.tight.told if isinstance(part.chart, DrawnSock) else ()
            said = "".join(f"<p>{escape(line)}</p>" for line in told)
            wide.append(f"<section>{heading}{caption}{svg(part.chart)}{said}</section>")
        else:
            long = ' class="long"' if len(part.lines) > _LONG else ""
            columns.append(f"<section{long}>{heading}{as_html(part.lines)}</section>")
    body = [f"<h1>{escape(title)}</h1>", *wide, '<div class="two">', *columns, "</div>"]
    return page(title, "\n".join(body), _REPORT)


def sheet_of(title: str, markdown: str) -> str:
    """A Markdown page of ours on one sheet, its type as large as the rows of its tables allow; ``title`` is plain."""
    lines = markdown.splitlines()
    rows = sum(line.startswith("| ") for line in lines)
    return page(title, as_html(lines), f"{_SHEET}{typed_small(_USUAL_PT, _FULL_ROWS / max(rows, 1))}")


def typed_small(usual_pt: float, room: float, more: str = "") -> str:
    """The style of a sheet in its usual type, or in a smaller one where there is ``room`` for a share of it alone."""
    size = max(_LEAST_PT, min(usual_pt, usual_pt * room))
    return f"@media print {{ body {{ {more}font-size: {size:.1f}pt; }} }}\n"


def as_html(lines: Iterable[str]) -> str:
    """Our Markdown as HTML; a tag that was typed stays the characters it was typed as."""
    from markdown_it import MarkdownIt  # only for a page of HTML: it is a fifth of a bare first frame

    reader = MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"]).disable(["link", "image"])
    return str(reader.render("\n".join(lines)))


def svg(chart: Chart) -> str:
    """One ``<svg>`` element with its title as the words for those who cannot see it."""
    if isinstance(chart, DrawnSock):
        colours = chart.yarn.colours(chart.shape)
        return sock_svg(chart.shape, chart.done, chart.title, _in_lines(chart), colours, chart.marks)
    if isinstance(chart, Bars):
        body, high = _bars(chart)
    elif isinstance(chart, Estimates):
        body, high = _estimates(chart)
    elif isinstance(chart, Timeline):
        body, high = _timeline(chart)
    else:
        body, high = _tally(chart)
    title = escape(chart.title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {high:g}" role="img" aria-label="{title}"'
        f' font-size="{_TEXT:g}" font-family="sans-serif"><title>{title}</title>{"".join(body)}</svg>'
    )


def _in_lines(chart: DrawnSock) -> list[str]:
    """The labels with the count below the name; within heel and toe, which are narrow, its unit below that."""
    labels = []
    for part, label in zip(chart.shape.parts, chart.labels, strict=True):
        name, _, count = label.partition(" ")
        labels.append(f"{name}\n" + (count.replace(" passes", "\npasses") if isinstance(part, Pocket) else count))
    return labels


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
    ends: list[float] = []  # of the last label in each line of them: every label is whole, and none lies on another
    for begin, name in chart.parts:
        x, wide = _LEFT + begin * step, _LETTER * len(name) + _LETTER
        left = min(x, WIDE - wide)
        line = next((n for n, end in enumerate(ends) if end <= left), len(ends))
        ends[line : line + 1] = [left + wide]
        body += [_line(x, floor, x, floor + 5), _text(left, y + 12 * line, name)]
    y += 12 * max(0, len(ends) - 1)
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


def _timeline(chart: Timeline) -> tuple[list[str], float]:
    (first, last), (low, high) = chart.days, chart.span
    floor = PLOT_HIGH + 8

    def x(at: float) -> float:
        return _LEFT + (at - first) / (last - first) * (WIDE - 4 - _LEFT)

    def y(value: float) -> float:
        return floor - (value - low) / (high - low) * PLOT_HIGH

    body = [_line(_LEFT, floor, WIDE - 4, floor), _line(_LEFT, 8, _LEFT, floor)]
    for value, words in round_ticks(low, high, _TICKS):
        body += [_text(_LEFT - 5, y(value) + 4, words, "end"), _line(_LEFT - 3, y(value), _LEFT, y(value))]
    for at, words in calendar_ticks(first, last, _TICKS):
        body += [_line(x(at), floor, x(at), floor + 4), _text(x(at), floor + 17, words, "middle")]
    body += [_line(x(at), 8, x(at), floor, 2.5) for at in chart.changes]
    body += [_line(x(start), y(value), x(end), y(value), 2) for start, end, value in chart.levels]
    begin = chart.average[0][0] if chart.average else 0
    limits = (_line(x(begin), y(limit), x(chart.points[-1][0]), y(limit)) for limit in chart.limits)
    body += [line.replace("/>", ' stroke-dasharray="4 4"/>') for line in limits]
    body += [_line(x(a), y(v), x(b), y(w)) for (a, v), (b, w) in pairwise(chart.average)]
    if len(chart.gathered) == len(chart.points):
        body += [_line(x(at), y(value - error), x(at), y(value + error)) for at, value, error in chart.points]
    body += [
        f'<circle cx="{x(at):.1f}" cy="{y(value):.1f}" r="3" fill="currentColor"/>' for at, value in chart.gathered
    ]
    signs = ", ".join(f"{_DRAWN_AS[sign]}: {words}" for sign, words in chart.signs)
    return [*body, _text(_LEFT, floor + 34, signs)], floor + 40


# What stands in a drawing for each sign of the same picture in plain characters.
_DRAWN_AS = {TUBE: "dots", LEVEL: "level lines", LINE: "thin line", BAND: "dashed", "|": "upright"}


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
