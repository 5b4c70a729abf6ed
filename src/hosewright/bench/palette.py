"""The palette: whatever can be done here, gone to or set, found by its name. Brought in when it is first opened.

Its key takes what is typed for words to find, at the crank too; the count that waits behind says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.command import CommandList, CommandPalette, DiscoveryHit, Hit, Provider, SearchIcon
from textual.content import Content
from textual.markup import escape

from hosewright.bench.doors import PLACES
from hosewright.bench.shielded import TROUBLE, Shielded, tell_trouble
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import each_bound
from hosewright.logbook.find.sessions import sessions_named, things_named, yarns_noted
from hosewright.pages import TOPICS
from hosewright.phrases.days import clock_day
from hosewright.session.kinds import STATUS_WORDS, kind_of
from hosewright.settings.table import KEYS, TABLE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from textual.command import Hits

    from hosewright.bench.app import Bench
    from hosewright.logbook.find.sessions import NamedSession, NamedThing
    from hosewright.session.keys import Command

MOST = 30  # hits: with more, a letter takes longer than a hand to type the next (measured with 1,500 names)
LEAST_SURE = 0.01


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that can be found: its name, what choosing it does, a sentence of it, and the key beside it.

    ``low`` is the name in small letters, made once. ``more``: the sentence is looked through, too.
    """

    name: str
    low: str
    run: Callable[[], object]
    said: Callable[[], str]
    key: str = ""
    more: str = ""


def entry(name: str, run: Callable[[], object], said: str | Callable[[], str], key: str = "", more: str = "") -> Entry:
    """An entry; a sentence that takes time to make is made when it is shown."""
    return Entry(name, name.casefold(), run, said if callable(said) else partial(str, said), key, more.casefold())


def find(entries: Iterable[Entry], words: str) -> list[Entry]:
    """The first ``MOST`` of ``entries`` with all of these words, those whose name begins with them first."""
    whole = " ".join(words.casefold().split())
    parts = whole.split()
    ranked: tuple[list[Entry], ...] = ([], [], [], [])
    for one in entries:
        if all(part in one.low for part in parts):
            starts = one.low.startswith(whole)
            ranked[0 if starts else 1 if f" {whole}" in one.low else 2].append(one)
            if starts and len(ranked[0]) == MOST:
                break
        elif one.more and all(part in one.low or part in one.more for part in parts):
            ranked[3].append(one)
    return [one for rank in ranked for one in rank][:MOST]


class Everything(Provider):
    """Commands of the present screen, the other screens, themes, settings, and what the logbook has names for."""

    def __init__(self, *of: object) -> None:
        super().__init__(*of)  # type: ignore[arg-type]  # as Textual makes it: the screen and the style of a match
        self.entries: list[Entry] = []
        self._fixed = 0  # so many of them are no names out of the logbook

    async def startup(self) -> None:
        bench: Bench = self.app  # type: ignore[assignment]  # no other app has a palette
        self.entries = [
            *self._here(bench),
            *_places(bench, self.screen),
            *_pages(bench),
            *_themes(bench),
            *_settings(bench),
        ]
        self._fixed = len(self.entries)
        try:
            self.entries += _names(bench)
        except TROUBLE as error:
            tell_trouble(bench, error)

    def _here(self, bench: Bench) -> Iterator[Entry]:
        """What can be done on the screen it was opened on."""
        screen = self.screen
        run = getattr(screen, "run_command", None)
        if run is not None:
            for command in screen.commands:  # type: ignore[attr-defined]  # a screen with the one has the other
                yield _of_command(command, partial(run, command))
        elif (commands := getattr(screen, "commands", None)) is not None:
            for command in commands:
                if command.does not in PLACES:
                    yield _of_command(command, partial(bench.simulate_key, command.key))
        else:
            for command, bound in each_bound(screen):
                yield _of_command(command, partial(bench.run_action, bound.binding.action, bound.node))

    async def discover(self) -> Hits:
        for one in self.entries[: min(MOST, self._fixed)]:
            yield DiscoveryHit(self._prompt(one, ()), one.run, one.name, escape(one.said()))

    async def search(self, query: str) -> Hits:
        """What has all the words; where nothing has, what has the letters in this order."""
        found = find(self.entries, query)
        parts = query.casefold().split()
        for rank, one in enumerate(found):
            score = 1 - rank / (2 * MOST)
            yield Hit(score, self._prompt(one, parts), one.run, one.name, escape(one.said()))
        if not found:
            matcher = self.matcher(query)
            for one in self.entries[: self._fixed]:
                score = matcher.match(one.name)
                if score > 0:
                    yield Hit(LEAST_SURE * score, self._prompt(one, ()), one.run, one.name, escape(one.said()))

    def _prompt(self, one: Entry, parts: Iterable[str]) -> Content:
        """The name with what was typed marked in it, and the key; never read as markup."""
        prompt = Content(one.name)
        for part in parts:
            at = one.low.find(part)
            if at >= 0 and self.match_style is not None:
                prompt = prompt.stylize(self.match_style, at, at + len(part))
        return prompt.append("  ").append(Content.styled(f" {one.key} ", "reverse")) if one.key else prompt


def _of_command(command: Command, run: Callable[[], object]) -> Entry:
    name = command.word[:1].upper() + command.word[1:]
    return entry(name, run, command.help, command.shown, command.help)


def _places(bench: Bench, here: object) -> Iterator[Entry]:
    for command in bench.known_places:
        name = f"Go to: {command.word}"
        yield entry(name, partial(bench.go_from_here, partial(bench.go_to, command.does)), command.help, command.key)
    choose = partial(bench.go_from_here, partial(bench.go_to, "choose"))
    yield entry(
        "Go to: choose what was changed in two places", choose, "Where two laptops share a folder, both are kept."
    )
    if here is not bench.screen_stack[0]:
        yield entry("Go to: bench", partial(bench.go_from_here, lambda: None), "Back to the first screen.", "Esc")


def _pages(bench: Bench) -> Iterator[Entry]:
    for topic, what in TOPICS.items():
        yield entry(f"Help: {topic}", partial(_show_page, bench, topic), f"{what[:1].upper()}{what[1:]}.", "", what)


async def _show_page(bench: Bench, topic: str) -> None:
    await bench.push_screen(HelpScreen(f"Help: {topic}", (), topic=topic))


def _themes(bench: Bench) -> Iterator[Entry]:
    for name in bench.themes:
        said = "In use now." if name == bench.theme else "These colours last until you quit."
        yield entry(f"Theme: {name}", partial(bench.try_theme, name), said)


def _settings(bench: Bench) -> Iterator[Entry]:
    for name, setting in TABLE.items():
        if setting.part != KEYS:
            go = partial(bench.go_to, "settings", {"line": name})
            more = f"{setting.comment} {setting.help}"
            yield entry(f"Setting: {setting.label}", partial(bench.go_from_here, go), setting.help, "", more)


def _names(bench: Bench) -> Iterator[Entry]:
    sessions = sessions_named(bench.book.store)
    with_card = {one.yarn_id for one in sessions} | yarns_noted(bench.book.store)
    for one in things_named(bench.book.store):
        place, said = _thing(one, one.id in with_card)
        go = partial(bench.go_to, place, {one.kind: one.id})
        yield entry(one.name, partial(bench.go_from_here, go), said)
    for session in sessions:
        if session.status in ("open", "waiting"):
            go = partial(bench.open_session, session.id)
        else:
            go = partial(bench.go_to, "page", {"session": session.id})
        yield entry(session.title, partial(bench.go_from_here, go), partial(_session, session))


def _thing(one: NamedThing, with_card: bool) -> tuple[str, str]:
    match one.kind:
        case "plan":
            return "sock", "A plan: crank a sock to it."
        case "wearer":
            return "wearer", "A wearer: name and feet."
        case _:
            return ("card", "A yarn: its card.") if with_card else ("yarn", "A yarn not cranked yet: its details.")


def _session(one: NamedSession) -> str:
    began = clock_day(one.began, one.zone_min)
    ahead = ": go on with it" if one.status == "open" else ""
    if one.kind == "sock":  # its title says what it is
        return f"Begun {began}, {STATUS_WORDS.get(one.status, one.status)}{ahead}."
    return f"{kind_of(one.kind, one.twin_of)} of {began}, {STATUS_WORDS.get(one.status, one.status)}{ahead}."


class Palette(Shielded, CommandPalette):
    """Textual's palette in the bench's words."""

    DEFAULT_CSS = """
    Palette > Vertical { margin-top: 2; width: 90%; max-width: 100; }
    Palette SearchIcon { color: $text-primary; }
    Palette #--input { border: round $primary; }
    Palette CommandList { max-height: 70vh; }
    Palette > .command-palette--help-text { color: $foreground; text-style: not bold; }
    """

    # In place of Textual's own, which raises KeyError for a page of a list that is not laid out yet.
    BINDINGS = [
        Binding("pagedown", "page('down')", "Next page", show=False),
        Binding("pageup", "page('up')", "Previous page", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(placeholder="A command, a screen, a setting, or any name: yarn, plan, session")

    def on_mount(self) -> None:
        """The sign before the line is one that every terminal has."""
        self.query_one(SearchIcon).icon = ">"

    def action_page(self, way: str) -> None:
        """A page down or up, once the list is laid out."""
        self.call_after_refresh(self._page, way)

    def _page(self, way: str) -> None:
        listed = self.query_one(CommandList)
        if listed.size.height and listed.virtual_size.height and listed.option_count:
            getattr(listed, f"action_page_{way}")()
