"""The sock at the crank: drawn to scale and filled as it is cranked, with what was seen at its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.count.drawn import step_rows
from hosewright.bench.widgets.panel import Panel
from hosewright.bench.widgets.sock import (
    LEAST_COLUMNS,
    LEAST_LINES,
    KeptFilling,
    beside_leg,
    blocks,
    colours_on,
    one_line,
    signed,
)
from hosewright.logbook.records.planned import record_name, stripes
from hosewright.picture.dyed import dyed_in
from hosewright.picture.of_sock import knitted, of_session, place_of
from hosewright.session.steps import sock_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from textual.app import App

    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.live import Live
    from hosewright.picture.cells import Filling
    from hosewright.picture.dyed import Dyed
    from hosewright.picture.shape import Shape
    from hosewright.session.state import State

_MARKS = {"knot": "k", "colour": "c", "note": "n", "weight": "w"}
FAULT_MARK = "!"


def sock_of_session(live: Live) -> tuple[Shape, tuple[int, ...]] | None:
    """The shape of the sock on the machine and how far each part is; None for a search or a tube."""
    sock = live.record.each_sock.get(live.state.sock)
    if sock is None:
        return None
    return of_session(live.state, knitted(sock.plan, live.record.machine), live.state.sock)


def yarn_of(live: Live, shape: Shape) -> Dyed:
    """The colours of the yarn on the machine, as it was changed on the way."""
    sock = live.record.each_sock.get(live.state.sock)
    return dyed_in(live.record.yarn, live.state, shape, live.state.sock, stripes(sock.plan) if sock else None)


def sock_line(app: App[Any], live: Live, columns: int) -> Row:
    """The sock in one line of ``columns``; nothing where there is none."""
    found = sock_of_session(live)
    return [] if found is None else one_line(*found, columns, colours_on(app, yarn_of(live, found[0]), found[0]))


class SockPanel(Panel):
    """It draws a shape once; a press repaints the few cells that its row fills. Where no sock is made, the steps."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("THE SOCK", id=id)
        self._kept = KeptFilling()

    def notify_style_update(self) -> None:
        """The ground may have changed, and with it the colours that can be told from it."""
        super().notify_style_update()
        if self.is_mounted:
            self._lay_out()

    def show_sock(self, live: Live) -> None:
        found = sock_of_session(live)
        if found is None:
            at = f"{live.state.index + 1} of {len(live.state.head.steps)}"
            self.show_panel(step_rows(live.state), "STEPS", at)
            return
        shape, done = found
        of = sum(shape.counts)

        def fill(width: int, height: int) -> Sequence[Row]:
            if width < LEAST_COLUMNS or height < LEAST_LINES:
                return ()
            filling = self._kept.of(self.app, shape, yarn_of(live, shape), width - 2, height - 2)
            return sock_rows(filling, done, live.state, width)

        self.show_panel(
            fill, f"THE {record_name(live.record, live.state.sock).upper()}", f"{100 * sum(done) // of} % of {of}"
        )


def sock_rows(filling: Filling, done: Sequence[int], state: State, width: int) -> list[Row]:
    """The picture with its marks, the names of the parts beside the leg, those of the foot below, to ``width``."""
    shape = filling.picture.shape
    here = place_of(state, state.index, shape)
    marks = _marks(filling, state)
    look = ("bold reverse", "bold reverse fault")
    rows: list[Row] = []
    for y, line in enumerate(blocks(filling, done)):
        row = [(" ", ""), *line]
        rows.append(
            signed(row, {x + 1: (sign, look[sign == FAULT_MARK]) for (x, at), sign in marks.items() if at == y})
        )
    beside_leg(rows, filling, [part_words(shape, done, part) for part in range(len(shape.parts))], here)
    parts = range(len(shape.above), len(shape.parts))
    named = [part_words(shape, done, part) for part in parts]
    if sum(len(words) + 3 for words in named) > width:
        named = [words.removesuffix(" done") for words in named]
    below: list[tuple[str, str]] = [(" ", "")]
    for part, words in zip(parts, named, strict=True):
        below += [(words, "bold live" if part == here else ""), ("   ", "")]
    return [*rows, below[:-1]]


def part_words(shape: Shape, done: Sequence[int], part: int) -> str:
    """A part and how far it is: "leg 30/51", "leg 51 done", "foot 52"."""
    name, count = shape.names[part], shape.counts[part]
    if done[part] >= count:
        return f"{name} {count} done"
    return f"{name} {done[part]}/{count}" if done[part] else f"{name} {count}"


def _marks(filling: Filling, state: State) -> dict[tuple[int, int], str]:
    """The sign of each observation of this sock at the cell where its row lies; of several in one the last."""
    found = {}
    for seen in state.observations:
        part = place_of(state, seen.step, filling.picture.shape)
        if seen.struck or part is None or sock_of(state.head.steps[seen.step].id) != state.sock:
            continue
        at = filling.find(part, max(1, seen.count))
        if at is not None:
            found[at] = _MARKS.get(seen.fault, FAULT_MARK)
    return found
