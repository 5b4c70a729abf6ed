"""The picture of a sock on the screen: in the yarn's colour where that can be told from the ground, in letters where
the terminal has no blocks."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, NamedTuple

from textual.color import Color

from hosewright.bench.widgets.line import Row, Sheet
from hosewright.bench.widgets.panel import cut
from hosewright.craft.colours import told_from
from hosewright.picture.cells import Filling, Ink, Run, draw, in_a_line, in_letters, largest_mm, placed
from hosewright.picture.dyed import Dyed

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from typing import Any

    from textual.app import App

    from hosewright.picture.cells import Colour, SignAt
    from hosewright.picture.shape import Place, Shape

UNDYED = Dyed()
LEAST_COLUMNS, LEAST_LINES = 24, 8
MOST_IN_LINE = 40  # cells of a sock in one line
UNDER_FROM = 0.85  # the words of the foot stand under a picture that this lets grow by so much
_SIGNS = "▚▀▄█▓▒░·"


def letters_only() -> bool:
    """Whether the terminal cannot be sent blocks, so that the sock is drawn in letters."""
    encoding = getattr(sys.__stdout__, "encoding", None) or "utf-8"
    return _SIGNS.encode(encoding, "ignore").decode(encoding) != _SIGNS


def colours_on(app: App[Any], yarn: Dyed, shape: Shape) -> Callable[[Place], Colour]:
    """The yarn's colours as the screen shows them: those near its ground lightened or darkened, with NO_COLOR none."""
    if app.no_color:
        return lambda _: None
    ground = Color.parse(app.theme_variables["background"]).hex6.lower()
    colour = yarn.colours(shape)

    def shown(place: Place) -> Colour:
        found = colour(place)
        return None if found is None else told_from(ground, found)

    return shown


def painted(run: Run) -> tuple[str, str]:
    """A run of the picture as text and its style."""
    fore, back = _look(run.fore), _look(run.back)
    if run.text[:1] in "▀▄":
        if back.startswith("#") and fore:
            return run.text, f"{fore} on {back}"
        if run.fore is not None and run.fore.kind == "passes" and not fore:
            return run.text, "muted"  # as bright as the hatching of a heel or toe is from afar
    return run.text, fore


def _look(ink: Ink | None) -> str:
    if ink is None:
        return ""
    if ink.standing == "ahead":
        return "muted"
    return ink.colour or ""


def blocks(filling: Filling, done: Sequence[int]) -> list[list[tuple[str, str]]]:
    """The picture's lines as rows of a sheet."""
    if letters_only():
        return [[(line, "")] for line in in_letters(filling.picture, done)]
    return [[painted(run) for run in line] for line in filling.lines(done)]


def one_line(shape: Shape, done: Sequence[int], columns: int, colour: Callable[[Place], Colour]) -> Row:
    """The sock laid out straight, in a line of ``columns``."""
    return [painted(run) for run in in_a_line(shape, done, columns, colour)]


def beside(row: Row, words: str, style: str = "") -> list[tuple[str, str]]:
    """``words`` two cells right of what is drawn."""
    runs = list(row)
    while runs and not runs[-1][0].strip():
        runs.pop()
    return [*runs, ("  ", ""), (words, style)]


def signed(row: Row, signs: Mapping[int, tuple[str, str]]) -> Row:
    """``row`` with a sign and its style in place of the cell of each column named."""
    if not signs:
        return row
    cells = [(sign, style) for text, style in row for sign in text]
    for x, sign in signs.items():
        if x < len(cells):
            cells[x] = sign
    return cells


def beside_leg(rows: list[Row], filling: Filling, words: Sequence[str], now: int | None = None) -> set[int]:
    """Write ``words``, one for each part, beside those above the heel; that of the part ``now`` stands out.

    Each has a line of its own as far as there are any. Returns the numbers of these lines.
    """
    written: set[int] = set()
    for part, tube in enumerate(filling.picture.shape.above):
        at = filling.find(part, (tube.count + tube.inside) // 2)
        if at is not None:
            y = next((y for y in range(at[1], len(rows)) if y not in written), at[1])
            rows[y] = beside(rows[y], words[part], "bold live" if part == now else "")
            written.add(y)
    return written


class Words(NamedTuple):
    """What is written at a sock: a line for each part, ``more`` below those of the leg, ``short`` beside one line.

    ``marks``: a sign on the picture at (part, row), such as T where it is tightest.
    """

    parts: tuple[str, ...] = ()
    more: tuple[str, ...] = ()
    short: str = ""
    marks: tuple[SignAt, ...] = ()


NO_WORDS = Words()


class KeptFilling:
    """A picture that fills, kept while it is asked for the same sock in the same place."""

    def __init__(self) -> None:
        self._by: tuple[object, ...] = ()
        self._filling: Filling | None = None

    def of(self, app: App[Any], shape: Shape, yarn: Dyed, columns: int, lines: int) -> Filling:
        """The picture of ``shape`` in so many cells, in the yarn's colours as ``app`` shows them."""
        by = (shape, yarn, columns, lines, app.theme)
        if self._filling is None or by != self._by:
            self._by = by
            self._filling = Filling(draw(shape, columns, lines), colours_on(app, yarn, shape))
        return self._filling


class SockSheet(Sheet):
    """A sock as large as its place allows, with words at its parts; one line where there is no room for more."""

    DEFAULT_CSS = "SockSheet { width: 1fr; height: 1fr; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._sock: tuple[Shape, tuple[int, ...], Dyed, Words] | None = None
        self._kept = KeptFilling()

    def show_sock(
        self, shape: Shape | None, done: Sequence[int] = (), yarn: Dyed = UNDYED, words: Words = NO_WORDS
    ) -> None:
        """Show ``shape`` cranked as far as ``done``; None shows nothing."""
        self._sock = None if shape is None else (shape, tuple(done), yarn, words)
        self._lay_out()

    def on_resize(self) -> None:
        self._lay_out()
        self.refresh()

    def notify_style_update(self) -> None:
        """The ground may have changed, and with it the colours that can be told from it."""
        super().notify_style_update()
        if self.is_mounted:
            self._lay_out()

    def _lay_out(self) -> None:
        self.show_rows(self._drawn(*self._sock) if self._sock is not None and self.size.area else [])

    def _drawn(self, shape: Shape, done: tuple[int, ...], yarn: Dyed, words: Words) -> list[Row]:
        width, height = self.size
        if width < LEAST_COLUMNS or height < LEAST_LINES:
            room = max(1, min(width - len(words.short) - 2, MOST_IN_LINE))
            return [[*one_line(shape, done, room, colours_on(self.app, yarn, shape)), ("  ", ""), (words.short, "")]]
        below = words.parts[len(shape.above) :]
        columns, lines = width - max((len(said) + 2 for said in below), default=0), height - len(below)
        under = lines >= LEAST_LINES and (
            columns < LEAST_COLUMNS or largest_mm(shape, width, lines) < UNDER_FROM * largest_mm(shape, columns, height)
        )
        written = bool(words.parts) and (under or columns >= LEAST_COLUMNS)
        if under or not written:
            columns = width
        filling = self._kept.of(self.app, shape, yarn, columns, lines if under else height)
        rows: list[Row] = list(blocks(filling, done))
        for sign, x, y in placed(filling.find, words.marks if written else ()):
            rows[y] = signed(rows[y], {x: (sign, "bold reverse")})
        if written:
            _write(rows, filling, words, under=under)
        return rows


def _write(rows: list[Row], filling: Filling, words: Words, *, under: bool) -> None:
    """The words of the leg beside it, those of heel, foot and toe right of the toe, or ``under`` the picture."""
    shape = filling.picture.shape
    written = beside_leg(rows, filling, words.parts)
    leg = len(shape.above) - 1
    end = filling.find(leg, shape.counts[leg]) if shape.above else None
    lines = range(end[1] - 2 if end else 0, 0, -1)
    free = [*(y for y in lines if y not in written), *(y for y in lines if y in written)]
    for y, said in zip(sorted(free[: len(words.more)], reverse=True), reversed(words.more), strict=False):
        rows[y] = beside(rows[y], said)
    drawn = max(x for half in filling.picture.halves for x, place in enumerate(half) if place is not None) + 1
    below = words.parts[len(shape.above) :]
    last = max(y for y, half in enumerate(filling.picture.halves) if any(half)) // 2
    if under:
        rows[last + 1 :] = [[(said, "")] for said in below]
        return
    for y, said in enumerate(below, max(0, last + 1 - len(below))):
        rows[y] = [*cut(rows[y], drawn), ("  ", ""), (said, "")]
