"""A page of HTML that stands alone: one file, nothing fetched, black on white, made to be printed on one sheet."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.paper.report import Section

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


def page(title: str, body: str, style: str = "") -> str:
    """A whole document; ``title`` is plain text, ``body`` is HTML."""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}{style}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def report_page(title: str, parts: Iterable[Section]) -> str:
    """A report as a page: its pictures as drawings, everything else in two columns."""
    from hosewright.paper.svg import svg

    wide: list[str] = []
    columns: list[str] = []
    for part in parts:
        heading = f"<h2>{escape(part.heading)}</h2>\n" if part.heading else ""
        if part.chart is not None:
            caption = f"<p>{escape(part.chart.title)}</p>"
            wide.append(f"<section>{heading}{caption}{svg(part.chart)}</section>")
        else:
            long = ' class="long"' if len(part.lines) > _LONG else ""
            columns.append(f"<section{long}>{heading}{as_html(part.lines)}</section>")
    body = [f"<h1>{escape(title)}</h1>", *wide, '<div class="two">', *columns, "</div>"]
    return page(title, "\n".join(body), _REPORT)


def sheet_of(title: str, markdown: str) -> str:
    """A Markdown page of ours on one sheet, its type as large as the rows of its tables allow; ``title`` is plain."""
    lines = markdown.splitlines()
    rows = sum(line.startswith("| ") for line in lines)
    size = max(_LEAST_PT, min(_USUAL_PT, _USUAL_PT * _FULL_ROWS / max(rows, 1)))
    return page(title, as_html(lines), f"{_SHEET}@media print {{ body {{ font-size: {size:.1f}pt; }} }}\n")


def as_html(lines: Iterable[str]) -> str:
    """Our Markdown as HTML; a tag that was typed stays the characters it was typed as."""
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"]).disable(["link", "image"])
    return str(reader.render("\n".join(lines)))
