"""Text that is painted again only when it changed, without a new layout where its place is fixed."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual.color import Color
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static


class Steady(Static):
    """A place of fixed size: a press repaints it, and nothing round it is laid out anew."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__("", id=id, classes=classes, markup=False)
        self._said: str | Text = ""

    def show_text(self, text: str | Text, *, layout: bool = False) -> None:
        """Show ``text``; ``layout``: its height follows from it."""
        if text != self._said:
            self._said = text
            self.update(text, layout=layout)

    def show_or_hide(self, text: str | Text) -> None:
        """Show ``text`` in as many lines as it takes; where there is none it takes no room."""
        self.display = bool(text)
        self.show_text(text, layout=True)


class Heading(Steady):
    """A title and what stands beside it, on a ground of its own."""

    DEFAULT_CSS = """
    Heading { height: auto; width: 100%; padding: 0 1; background: $panel; color: $foreground; }
    """

    def __init__(self, title: str = "", *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.title = title

    def on_mount(self) -> None:
        """Show what it was made with, where nothing was said meanwhile."""
        if not self.content:
            self.say()

    def say(self, beside: str = "", title: str = "") -> None:
        """Show this beside the title; what was the title stays where none is given."""
        self.title = title or self.title
        self.show_text(Text.assemble((self.title, "bold"), f"   {beside}" if beside else ""), layout=True)


Run = tuple[str, str]  # text and its style
Row = Sequence[Run]
# What a colour is for, and the theme's colour for it. Wherever one stands, a shape or a word says the same.
ROLES = {
    "live": "text-primary",  # a number that counts now
    "due": "text-warning",
    "done": "text-success",
    "fault": "text-error",
    "promised": "text-accent",
    "muted": "text-muted",
}


class Sheet(Widget):
    """Lines of styled text painted straight from strips: only the box round the cells that changed is painted again.

    Made by hand: Textual's own widgets paint all of themselves anew, which a press cannot wait for. A style is words of
    Rich ("bold reverse"), or one of ``ROLES``.
    """

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._rows: list[Row] = []
        self._styles: dict[str, Style] = {}

    def show_rows(self, rows: Sequence[Row]) -> None:
        before, self._rows = self._rows, list(rows)
        changed = []
        for y in range(max(len(before), len(self._rows))):
            old = before[y] if y < len(before) else ()
            new = self._rows[y] if y < len(self._rows) else ()
            if old != new:
                first, last = changed_cells(old, new)
                if last > first:
                    changed.append(Region(first, y, last - first, 1))
        if changed:
            self.refresh(Region.from_union(changed))

    @property
    def plain(self) -> str:
        return "\n".join("".join(text for text, _ in row).rstrip() for row in self._rows)

    def notify_style_update(self) -> None:
        """The theme or a class changed: styles are read anew."""
        super().notify_style_update()
        self._styles.clear()

    def render_line(self, y: int) -> Strip:
        row = self._rows[y] if y < len(self._rows) else ()
        strip = Strip([Segment(text, self._style(named)) for text, named in row])
        return strip.adjust_cell_length(self.size.width, self._style(""))

    def _style(self, named: str) -> Style:
        """A style in the widget's own colours, which take 70 us to be worked out."""
        style = self._styles.get(named)
        if style is None:
            plain = self._styles.setdefault("", self.rich_style)
            style = self._styles[named] = plain + self._named(named) if named else plain
        return style

    def _named(self, named: str) -> Style:
        return Style.parse(in_colours(named, self.app.theme_variables))


def in_colours(named: str, colours: dict[str, str]) -> str:
    """A style with its roles in a theme's ``colours``, as Rich takes it."""
    return " ".join(_opaque(colours[ROLES[word]], colours) if word in ROLES else word for word in named.split())


def _opaque(colour: str, colours: dict[str, str]) -> str:
    """A theme's colour as Rich takes it: laid on the ground where it lets that shine through."""
    ground = Color.parse(colours["background"])
    words, _, share = colour.partition(" ")
    alpha = float(share.rstrip("%")) / 100 if share else 1.0
    front = ground.get_contrast_text(1.0) if words == "auto" else Color.parse(words)
    return (ground + front.multiply_alpha(alpha)).hex6


def changed_cells(old: Row, new: Row) -> tuple[int, int]:
    """The first cell that differs, and one past the last; the same twice where only blanks at the end came or went."""
    one, two = _cells(old), _cells(new)
    width = max(len(one), len(two))
    blank = [(" ", "")]
    one, two = one + blank * (width - len(one)), two + blank * (width - len(two))
    differing = [at for at in range(width) if one[at] != two[at]]
    return (differing[0], differing[-1] + 1) if differing else (0, 0)


def _cells(row: Row) -> list[Run]:
    return [(sign, style) for text, style in row for sign in text]
