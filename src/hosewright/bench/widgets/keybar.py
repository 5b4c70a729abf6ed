"""The keys of the present screen and step, written out at its foot."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual.geometry import Size

from hosewright.bench.inside import ToastRack
from hosewright.bench.widgets.line import Row, Sheet
from hosewright.bench.widgets.panel import row_width
from hosewright.session.keys import Command, shown_key
from hosewright.settings.table import USUAL

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from textual import events
    from textual.binding import ActiveBinding
    from textual.screen import Screen

GAP = "  "
_OURS = {"Dismiss menu": "Close the list"}  # what Textual's own lists call it, in the bench's words
MOST_AT_FOOT = 10  # keys, of which nobody reads more
_ENDS = ("escape", "f1", "question_mark")
FEW_LINES = 18  # below this the foot keeps to one line, so that the count has room


def _fitting(commands: Sequence[Command], width: int) -> list[Command]:
    """The first commands that fit into one line with the last one, which is the help."""
    room = width - sum(length(command) for command in commands[-1:])
    kept = []
    for command in commands[:-1]:
        room -= length(command) + len(GAP)
        if room < 0:
            break
        kept.append(command)
    return [*kept, *commands[-1:]]


def length(command: Command) -> int:
    """Cells of a key and its word."""
    return len(command.shown) + 1 + len(command.word)


def in_lines(commands: Iterable[Command], width: int, gap: int) -> list[list[Command]]:
    """Commands in lines of at most ``width`` cells, ``gap`` between them; one line at least."""
    lines: list[list[Command]] = [[]]
    used = 0
    for command in commands:
        if used and used + gap + length(command) > width:
            lines.append([])
            used = 0
        used += length(command) + (gap if used else 0)
        lines[-1].append(command)
    return lines


def if_room(does: str, commands: Sequence[Command], width: int) -> tuple[Command, ...]:
    """Commands for a foot in a screen of ``width`` cells, but not the one ``does`` where it takes a further line."""
    without = tuple(command for command in commands if command.does != does)
    lines, fewer = (len(in_lines(some, width - 2, len(GAP))) for some in (commands, without))
    return without if fewer < lines else tuple(commands)


class PointedKeys(Sheet):
    """A sheet of keys: a click on one is the key, and the one under the pointer is underlined."""

    ALLOW_SELECT = False
    FRAME = 0  # cells round them
    _pointed: Command | None = None
    _at: Sequence[tuple[int, int, int, Command]] = ()  # line, first cell, one past the last, and the key there

    def paint(self) -> None:
        raise NotImplementedError

    def place(self, y: int, before: Row, commands: Iterable[Command], gap: str) -> Row:
        """The keys of line ``y``, behind what stands ``before`` them; where each stands is kept for the pointer."""
        row = list(before)
        for command in commands:
            start = row_width(row)
            word = (f" {command.word}", "bold underline" if command == self._pointed else "")
            row += [(command.shown, "reverse"), word]
            self._at = [*self._at, (y, start, row_width(row), command)]
            row.append((gap, ""))
        return row

    def under(self, event: events.MouseEvent) -> Command | None:
        offset = event.get_content_offset(self)
        if offset is None:
            return None
        x, y = offset.x - self.FRAME, offset.y - self.FRAME
        return next((command for line, start, end, command in self._at if y == line and start <= x < end), None)

    def on_click(self, event: events.Click) -> None:
        command = self.under(event)
        if command is not None:
            event.stop()
            self.app.simulate_key(command.key)

    def on_mouse_move(self, event: events.MouseMove) -> None:
        self._point(self.under(event))

    def on_leave(self) -> None:
        self._point(None)

    def _point(self, command: Command | None) -> None:
        if command != self._pointed:
            self._pointed = command
            self.paint()


class KeyBar(PointedKeys):
    """Every key that does something now, and what it does; a click does as the key. Words stay on one line.

    Painted by hand: Textual's Footer makes widgets anew at each change of the bindings, and keeps the old ones.
    """

    DEFAULT_CSS = """
    KeyBar { dock: bottom; width: 100%; height: 1; padding: 0 1; background: $panel; color: $foreground; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._commands: Sequence[Command] = ()
        self._lines: list[list[Command]] = []
        self._written_for = Size(0, 0)  # of the terminal: a screen hears of a new one before its foot does

    def show(self, commands: Sequence[Command]) -> None:
        if commands != self._commands or self.app.size != self._written_for:
            self._commands = commands
            self._write()

    def on_resize(self) -> None:
        self._write()
        if self.size.height != len(self._lines):
            # Textual drops a layout asked for within a layout, and the foot would keep the height of its old words.
            self.call_after_refresh(self.refresh, layout=True)
        self.call_after_refresh(self._stay_free)

    def _stay_free(self) -> None:
        """What is said in a box for some seconds stands above the keys."""
        for box in self.screen.query(ToastRack) if self.is_attached else ():
            box.styles.margin = (0, 0, self.size.height, 0)

    def _write(self) -> None:
        self._written_for = self.app.size
        width = (self.app.size.width or 80) - 2
        commands = self._commands if self.app.size.height >= FEW_LINES else _fitting(self._commands, width)
        self._lines = in_lines(commands, width, len(GAP))
        if self.styles.height is None or self.styles.height.value != len(self._lines):
            self.styles.height = len(self._lines)
        self.paint()

    def paint(self) -> None:
        self._at = ()
        self.show_rows([self.place(y, (), line, GAP) for y, line in enumerate(self._lines)])


def each_bound(screen: Screen[Any]) -> Iterator[tuple[Command, ActiveBinding]]:
    """What each key bound on ``screen`` does now, and the binding that does it."""
    for item in screen.active_bindings.values():
        if item.binding.show and item.enabled:
            yield _of_binding(item, item.binding.description), item


def _of_binding(item: ActiveBinding, does: str) -> Command:
    binding = item.binding
    does = _OURS.get(does, does)
    shown = binding.key_display or shown_key(binding.key)
    return Command(binding.key, shown, does[0].lower() + does[1:], binding.action, (item.tooltip or does) + ".")


def bound_commands(screen: Screen[Any]) -> list[Command]:
    """What the keys bound on ``screen`` do now, each once, as the foot and the help show them."""
    found: dict[str, Command] = {}
    for command, item in each_bound(screen):
        group = item.binding.group
        if group is None:
            found.setdefault(command.word, command)
            continue
        # Several keys that do alike take one place at the foot, and one sentence in the help.
        alike = _of_binding(item, group.description)
        standing = found.setdefault(alike.word, alike)
        if standing is not alike:
            found[alike.word] = replace(standing, shown=f"{standing.shown}/{alike.shown}")
    return list(found.values())


def at_the_foot(commands: Sequence[Command]) -> Sequence[Command]:
    """The few of them that the foot shows: the first, and at the end the ways out and the help, which has them all."""
    if len(commands) <= MOST_AT_FOOT:
        return commands
    last = [command for command in commands if command.key in _ENDS]
    first = [command for command in commands if command.key not in _ENDS and command.key != "tab"]
    return (*first[: MOST_AT_FOOT - len(last)], *last)


class BoundBar(KeyBar):
    """The foot of a screen whose keys are Textual bindings; it follows the focus."""

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._follow)
        self.call_after_refresh(self._follow, self.screen)

    def _follow(self, screen: Screen[object]) -> None:
        # Textual may ask a screen that was just left for its keys, when its lists are gone already.
        if self.is_attached and screen is self.screen and screen in self.app.screen_stack:
            commands = bound_commands(screen)
            every = getattr(self.app, "settings", USUAL).foot == "all"
            self.show(commands if every else at_the_foot(commands))
