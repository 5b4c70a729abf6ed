"""The pages to read: each is there, reads as it stands, and names only commands and keys that there are."""

from __future__ import annotations

import re

import pytest

from hosewright.bench.home.screen import _COMMANDS
from hosewright.cli import main
from hosewright.pages import TOPICS, page, plain
from hosewright.session.commands import commands_at, standings

WIDEST = 79  # a terminal of 80, and its edge
AT_THE_CRANK = {command.shown for state in standings() for command in commands_at(state, 0)}
AT_HOME = {command.shown for command in _COMMANDS}
ELSEWHERE = {"class": {"!"}}  # marks and keys of the class's own screen


def commands(text: str) -> list[str]:
    return re.findall(r"`(hosewright [^`]+)`", text.replace("\n", " "))


def keys(text: str) -> set[str]:
    """Single letters and signs in code marks."""
    return set(re.findall(r"`(\S)`", text))


def test_every_page_has_its_line_and_every_line_its_page() -> None:
    from pathlib import Path

    import hosewright.pages

    assert {path.stem for path in Path(hosewright.pages.__file__).parent.glob("*.md")} == set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_reads_as_it_stands(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = page(topic)
    assert text.startswith("# ")
    assert max(map(len, text.splitlines())) <= WIDEST
    assert main(["help", topic]) == 0
    said = capsys.readouterr().out
    assert said.startswith(plain(text))
    assert "#" not in said
    assert "`" not in plain(text)


@pytest.mark.parametrize(("topic", "typed"), [(topic, typed) for topic in TOPICS for typed in commands(page(topic))])
def test_a_command_that_a_page_names_takes_its_options(
    topic: str, typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = typed.split()
    verb = words[1:3] if words[1] in ("logbook", "enter") else words[1:2]
    assert main([*verb, "--help"]) == 0
    told = capsys.readouterr().out
    assert [word for word in words if word.startswith("--") and word.partition("=")[0] not in told] == []


@pytest.mark.parametrize("topic", TOPICS)
def test_a_key_that_a_page_names_is_one(topic: str) -> None:
    assert keys(page(topic)) <= AT_THE_CRANK | AT_HOME | ELSEWHERE.get(topic, set())


def test_the_faults_of_the_page_are_those_of_the_table() -> None:
    words = {command.shown: command.word for state in standings() for command in commands_at(state)}
    told = re.findall(r"`(\w)` ([a-z ]+)(?=[,\n])", page("crank").split("## What you saw")[1].split("- `e`")[0])
    assert len(told) == 10
    assert [(key, word) for key, word in told if word not in (words[key], "yarn broke")] == []
