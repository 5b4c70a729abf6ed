"""The yarn's colours in a picture: one, stripes that come back, and another yarn from a row on."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING

from hosewright.craft.colours import colour_in
from hosewright.craft.stripes import STRIPED
from hosewright.picture.of_sock import place_of
from hosewright.picture.shape import Pocket
from hosewright.session.steps import CountRows, sock_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.craft.stripes import Stripes
    from hosewright.logbook.records.shelf import Yarn
    from hosewright.picture.cells import Colour
    from hosewright.picture.shape import Place, Shape, Tube
    from hosewright.session.state import State

COLOUR_CHANGE = "colour"  # the observation's name


@dataclass(frozen=True, slots=True)
class Dyed:
    """What a sock's yarn looks like: ``shades`` as "#rrggbb", none where that is not known.

    Several take turns, all of them once in ``repeat`` rows. ``changes`` are (part, row or pass, shade): from there on
    the yarn has that shade, or where it is one of those that take turns, its turn begins there.
    """

    shades: tuple[str, ...] = ()
    repeat: int | None = None
    changes: tuple[tuple[int, int, str], ...] = ()

    def colours(self, shape: Shape) -> Callable[[Place], Colour]:
        """Says the colour at each place of ``shape``."""
        cranked = _rows_before(shape)

        def colour(place: Place) -> Colour:
            changed = [change for change in self.changes if change[:2] <= (place.part, place.row)]
            part, row, shade = changed[-1] if changed else (0, 1, self.shades[0] if self.shades else None)
            if len(self.shades) < 2 or not self.repeat or shade not in self.shades:
                return shade
            since = cranked[place.part][place.row - 1] - cranked[part][row - 1]
            turns = since % self.repeat / self.repeat * len(self.shades)
            return self.shades[(self.shades.index(shade) + int(turns)) % len(self.shades)]

        return colour


def dyed(yarn: Yarn | None, stripes: Stripes | None = None, shape: Shape | None = None) -> Dyed:
    """A yarn as its record has it, else as the name of its colour says; a sock in ``stripes`` by its ``shape``."""
    if stripes is not None and shape is not None:
        return Dyed((stripes.at(0),), None, tuple(_stripes_of(stripes, shape)))
    if yarn is None:
        return Dyed()
    named = colour_in(yarn.colour)
    return Dyed(yarn.shades or ((named,) if named else ()), yarn.repeat_rows)


def dyed_in(yarn: Yarn, state: State, shape: Shape, sock: int, stripes: Stripes | None = None) -> Dyed:
    """A session's yarn with the colour changes noted in words that name a colour. ``sock``: which of a string.

    A sock in ``stripes`` changes where its steps say so.
    """
    found = dyed(yarn, stripes, shape)
    changes = [] if stripes is None else _stripes_in(state, shape, sock)
    for seen in state.observations:
        shade = None if seen.struck or seen.fault != COLOUR_CHANGE else colour_in(seen.note)
        where = None if shade is None else _place(state, seen.step, shape, sock)
        if shade is not None and where is not None:
            part, within = where
            changes.append((part, max(1, seen.count) if within else 1, shade))
    return Dyed(found.shades, found.repeat, tuple(sorted(changes, key=lambda change: change[:2])))


def _stripes_of(stripes: Stripes, shape: Shape) -> list[tuple[int, int, str]]:
    """Where they change in a planned sock."""
    found, row, colour = list[tuple[int, int, str]](), 0, stripes.at(0)
    for part, (name, count) in enumerate(zip(shape.names, shape.counts, strict=True)):
        if name in STRIPED:
            changes = stripes.changes(row, count, colour)
            row, colour = row + count, changes[-1][1] if changes else colour
            found += [(part, after + 1, later) for after, later in changes]
    return found


def _stripes_in(state: State, shape: Shape, sock: int) -> list[tuple[int, int, str]]:
    """Where they change in a session, by the rows before them in the same part."""
    found, done = list[tuple[int, int, str]](), dict[int, int]()
    for at, step in enumerate(state.head.steps):
        part = place_of(state, at, shape) if sock_of(step.id) == sock else None
        if part is None or not isinstance(step, CountRows):
            continue
        before = done.get(part, 0)
        found += [(part, before + row + 1, colour) for row, colour in step.yarn_changes]
        done[part] = before + (state.counts[at] if at < state.index else max(state.counts[at], step.target))
    return found


def _place(state: State, step: int, shape: Shape, sock: int) -> tuple[int, bool] | None:
    """The part that a step cranks, and whether it cranks it itself; of a step between, the part that comes next."""
    steps = state.head.steps
    if sock_of(steps[min(step, len(steps) - 1)].id) < sock:
        return 0, False  # the yarn comes so from a sock before
    for at in range(step, len(steps)):
        if sock_of(steps[at].id) != sock:
            return None
        part = place_of(state, at, shape)
        if part is not None:
            return part, at == step
    return None


def _rows_before(shape: Shape) -> list[list[float]]:
    """Of each part, what was cranked of the sock before each row or pass, as whole rows."""
    found = []
    before = 0.0
    for part in shape.parts:
        sums = list(accumulate(_rows_in(part), initial=before))
        before = sums.pop()
        found.append(sums)
    return found


def _rows_in(part: Tube | Pocket) -> list[float]:
    if isinstance(part, Pocket):
        return [len(one.in_work) / part.turning.needles / 2 for one in part.turning.passes()]
    return [1.0] * part.count
