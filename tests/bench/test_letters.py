"""What each letter means on each screen, as DEVELOPERS.md says it in a table."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from string import ascii_lowercase
from typing import TYPE_CHECKING

import pytest
from textual.binding import Binding

from hosewright.bench.app import Bench
from hosewright.bench.home.screen import HomeScreen
from hosewright.session.commands import commands_at, standings
from hosewright.settings.table import Settings
from tests.bench.test_buttons import OURS

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

TABLE = Path(__file__).parents[2] / "DEVELOPERS.md"
QUESTIONS = ("Ask", "HelpScreen", "WhyScreen")  # their letters are answers

# On lists, pages and forms a letter that is shown means this; the others stand on too few screens to matter.
MEANS = {
    "a": ("add",),
    "c": ("crank", "cylinder"),  # where things are made, the first letter of each makes one
    "e": ("change", "put right", "such event"),  # the replay's letters are a player's
    "i": ("reverse",),
    "n": ("needles", "next"),
    "o": ("show all", "show more", "oiled"),
    "r": ("retire", "strike out", "call off"),  # out of use
    "s": ("sort",),
    "v": ("compare",),
    "y": ("yarn",),
}


def elsewhere() -> dict[str, list[str]]:
    """What letters mean on every screen but the first and the crank: those shown."""
    found: dict[str, dict[str, None]] = defaultdict(dict)
    for cls in OURS:
        for bound in vars(cls).get("BINDINGS", ()) if cls.__name__ not in QUESTIONS else ():
            binding = bound if isinstance(bound, Binding) else Binding(*bound)
            for key in binding.key.split(","):
                if binding.show and key in ascii_lowercase:
                    found[key][binding.description[0].lower() + binding.description[1:]] = None
    return {key: sorted(said) for key, said in found.items()}


def at_the_crank() -> dict[str, list[str]]:
    found: dict[str, dict[str, None]] = defaultdict(dict)
    for state in standings():
        for command in commands_at(state, missing=0):
            if command.key in ascii_lowercase:
                found[command.key][command.word] = None
    return {key: sorted(said) for key, said in found.items()}


def rows() -> list[str]:
    home = {command.key: [command.word] for command in HomeScreen.commands}
    found = []
    for letter in ascii_lowercase:
        cells = [", ".join(part.get(letter, [])) for part in (home, at_the_crank(), elsewhere())]
        found.append(f"| `{letter}` | {' | '.join(cells)} |".replace("|  |", "| |").replace("|  |", "| |"))
    return found


def test_the_table_of_letters_says_what_the_code_does() -> None:
    written = TABLE.read_text(encoding="utf-8")
    told = [line for line in written.splitlines() if line.startswith("| `") and line[4:6] == "` "]
    assert told == rows(), "\n".join(rows())


@pytest.mark.parametrize("letter", MEANS)
def test_a_letter_means_one_thing_on_lists_pages_and_forms(letter: str) -> None:
    for said in elsewhere()[letter]:
        assert any(word in said for word in MEANS[letter]), said


@pytest.mark.parametrize(("screen", "new", "old"), [("l", "s", "o"), ("l", "i", "r"), ("y", "e", "c"), ("b", "a", "s")])
async def test_a_letter_of_before_does_as_the_one_that_is_shown(
    screen: str, new: str, old: str, practice: Logbook
) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(screen, "tab")
        await pilot.pause()
        bound = {binding.key: binding for cls in type(app.screen).__mro__ for binding in vars(cls).get("BINDINGS", ())}
        assert bound[new].action == bound[old].action
        assert bound[new].show
        assert not bound[old].show
