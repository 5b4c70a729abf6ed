"""A report on the screen: its words as Markdown, its pictures drawn to the width there is."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.containers import Container, Vertical, VerticalScroll
from textual.screen import Screen, ScreenResultType
from textual.widgets import Markdown, Static

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.sock import SockSheet, Words
from hosewright.craft import CraftError
from hosewright.logbook.file.errors import LogbookError
from hosewright.paper.charts import DrawnSock, draw

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Group
    from rich.table import Table
    from textual.app import ComposeResult
    from textual.widget import Widget

    from hosewright.bench.app import Bench
    from hosewright.paper.charts import Chart
    from hosewright.paper.report import PageSection

WIDEST = 116
BROAD = 176  # columns from which pictures stand beside the words


class PlainPicture(Static):
    """One picture in plain characters."""

    DEFAULT_CSS = "PlainPicture { height: auto; width: 100%; padding: 0 1 1 2; }"

    def __init__(self, chart: Chart) -> None:
        super().__init__("", markup=False)
        self.chart = chart

    def on_resize(self) -> None:
        self.update("\n".join(draw(self.chart, max(40, min(WIDEST, self.size.width)))))


class SockPicture(SockSheet):
    """A sock in half-blocks, in its yarn's colour, with its counts."""

    DEFAULT_CSS = "SockPicture { height: 45vh; min-height: 11; max-width: 76; margin: 0 1 1 2; }"

    def __init__(self, chart: DrawnSock) -> None:
        super().__init__()
        self.chart = chart

    def on_mount(self) -> None:
        self.show_sock(self.chart.shape, self.chart.done, self.chart.yarn, Words(self.chart.labels))


class Page(VerticalScroll):
    """The page, scrolled with the arrows."""

    BINDINGS = [
        Binding("down", "scroll_down", "Scroll", key_display="↑↓"),
        Binding("up", "scroll_up", show=False),
    ]
    DEFAULT_CSS = """
    Page { height: 1fr; padding: 1 1 0 1; scrollbar-size-vertical: 1; }
    Page Markdown { max-width: 116; padding: 0; background: $background; }
    Page .columns, Page .columns Vertical { height: auto; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._sections: list[PageSection] = []
        self._broad = False

    async def show(self, title: str, sections: Iterable[PageSection]) -> None:
        self.screen.query_one(Heading).say(title=title)
        self._sections = list(sections)
        await self._lay_out()
        self.scroll_home(animate=False)

    async def _lay_out(self) -> None:
        self._broad = self.app.size.width >= BROAD
        await self.remove_children()
        drawn = [part for part in self._sections if part.chart is not None]
        if drawn and self._broad:
            words = [part for part in self._sections if part.chart is None]
            columns = [Vertical(*_widgets(some)) for some in (words, drawn)]
            await self.mount(Container(*columns, classes="columns"))
        else:
            await self.mount_all(list(_widgets(self._sections)))

    async def on_resize(self) -> None:
        if self._sections and self._broad != (self.app.size.width >= BROAD):
            await self._lay_out()

    async def say(self, said: str | Table | Group) -> None:
        self._sections = []
        await self.remove_children()
        await self.mount(Static(said, markup=False))

    @property
    def source(self) -> str:
        return "\n".join(part.source for part in self.query(Markdown))


def _widgets(sections: Iterable[PageSection]) -> Iterable[Widget]:
    for drawn, parts in groupby(sections, key=lambda part: part.chart is not None):
        if drawn:
            for part in parts:
                if part.heading:
                    yield Markdown(f"## {part.heading}", open_links=False)
                if part.chart is not None:
                    yield SockPicture(part.chart) if isinstance(part.chart, DrawnSock) else PlainPicture(part.chart)
            continue
        words = "\n\n".join("\n".join([f"## {part.heading}\n" if part.heading else "", *part.lines]) for part in parts)
        yield Markdown(words, open_links=False)


class ReportScreen(Shielded, Screen[ScreenResultType]):
    """A screen that is one page: what ``write`` puts on it, or why it cannot be shown."""

    AUTO_FOCUS = "Page"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (BROAD, "-broad")]
    DEFAULT_CSS = "ReportScreen.-broad .columns { layout: horizontal; }"
    app: Bench
    CANNOT = ""  # said before the reason
    HEADING = ""  # until a page of another title is shown
    BUSY = ""  # said at once where reading may take long

    def compose(self) -> ComposeResult:
        yield Heading(self.HEADING)
        yield Page()
        yield BoundBar()

    async def on_mount(self) -> None:
        if self.BUSY:
            await self.query_one(Page).say(self.BUSY)
            self.call_after_refresh(self.write_again)
        else:
            await self.write_again()

    async def write_again(self) -> None:
        page = self.query_one(Page)
        try:
            await self.write(page)
        except (LogbookError, CraftError) as error:
            await page.say(f"{self.CANNOT}\n\n{error}".strip())
        self.refresh_bindings()

    async def write(self, page: Page) -> None:
        """Read what the page is of, and show it. May raise LogbookError or CraftError."""
        raise NotImplementedError
