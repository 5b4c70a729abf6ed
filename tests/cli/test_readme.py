"""What the README shows on the command line is what the command line says."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.home.screen import _COMMANDS
from hosewright.cli import VERBS, main
from hosewright.pages import TOPICS
from hosewright.places import shipped_folder
from hosewright.session.commands import commands_at, standings
from hosewright.verbs.logbook import _VERBS

if TYPE_CHECKING:
    from collections.abc import Iterator

README = Path(__file__).parents[2] / "README.md"
ON_SAMPLES = ("stock", "care-card")  # shown as the sample sessions have it
ARITHMETIC = ("gauge", "sock", "feet", "yarn", "dial", "response", "cylinders", "sizes")


def shown(text: str) -> list[tuple[str, str]]:
    """Every arithmetic command in the ```console blocks of ``text``, with the output shown under it."""
    found = []
    for block in re.findall(r"^```console\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            while command.endswith("\\"):
                more, _, output = output.partition("\n")
                command = command[:-1] + more.lstrip("> ")
            words = command.split()
            if words[:1] == ["hosewright"] and words[1:2] and words[1] in (*ARITHMETIC, *ON_SAMPLES):
                found.append((command, output.strip("\n")))
    return found


@pytest.fixture(scope="module")
def samples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A home with the sample sessions in its logbook."""
    home = tmp_path_factory.mktemp("readme")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOSEWRIGHT_HOME", str(home))
        assert main(["logbook", "import", str(shipped_folder("sample_sessions"))]) == 0
        yield home


@pytest.mark.parametrize(("command", "output"), shown(README.read_text(encoding="utf-8")))
def test_the_readme_shows_what_is_said(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, samples: Path, command: str, output: str
) -> None:
    if command.split()[1] in ON_SAMPLES:
        monkeypatch.setenv("HOSEWRIGHT_HOME", str(samples))
    assert main(shlex.split(command)[1:]) == 0
    assert capsys.readouterr().out.strip("\n") == output


def commands() -> list[list[str]]:
    """Every command that is named, shown or told of, as words."""
    text = README.read_text(encoding="utf-8").replace("\\\n>", " ")
    named = re.findall(r"`(hosewright [^`]+)`|^\$ (hosewright .+)$", text, re.MULTILINE)
    return [(marked or told).split() for marked, told in named]


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_a_command_that_is_named_takes_its_options(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    verb = words[1:3] if words[1] in ("logbook", "enter") else words[1:2]
    assert main([*verb, "--help"]) == 0
    told = capsys.readouterr().out
    assert not [word for word in re.findall(r"--[a-z][a-z-]+", " ".join(words)) if word not in told]


def test_every_verb_of_the_logbook_is_named() -> None:
    listed = README.read_text(encoding="utf-8")
    assert [verb for verb in _VERBS if not re.search(rf"`(?:(?:hosewright )?logbook )?{verb}\b", listed)] == []


def test_the_keys_of_the_bench_are_those_it_has() -> None:
    keys = {command.key: command.word for command in _COMMANDS}
    named = re.findall(r"\*\*([^*]+)\*\* \(`(.)`\)", README.read_text(encoding="utf-8"))
    assert len(named) >= 4
    assert {key: name.lower() for name, key in named} == {key: keys[key] for _, key in named}


def test_it_is_short() -> None:
    text = README.read_text(encoding="utf-8")
    assert len(text.split()) <= 1500
    first = text.partition("## A first evening")[2].partition("\n## ")[0]
    assert len(re.findall(r"^\d+\. ", first, re.MULTILINE)) == 10
    assert len(first.split()) <= 400
    assert text.index("hosewright practice") < 1600  # the first command, in half a minute of reading


@pytest.mark.parametrize("target", re.findall(r"\]\(([^)]+)\)", README.read_text(encoding="utf-8")))
def test_a_link_leads_somewhere(target: str) -> None:
    assert (README.parent / target).is_file()


def test_a_key_that_is_named_is_one() -> None:
    named = set(re.findall(r"`([^\s`])`", README.read_text(encoding="utf-8")))
    keys = {command.shown for command in _COMMANDS}
    keys |= {command.shown for state in standings() for command in commands_at(state)}
    assert len(named) > 10
    assert named <= keys


def test_what_the_pages_name_beside_commands_is_there() -> None:
    text = README.read_text(encoding="utf-8")
    assert set(re.findall(r"hosewright help (\w+)", text)) <= {*TOPICS, *VERBS}
    assert [path for path in re.findall(r"`(src/[^`]+)`", text) if not (README.parent / path).is_file()] == []


def test_commands_are_found_with_their_output() -> None:
    yarn, bench, dial = "hosewright yarn --tex 20", "hosewright", "hosewright dial \\\n    --start 8"
    text = f"```console\n$ {yarn}\none\n\ntwo\n$ {bench}\n$ {dial}\nthree\n```\n"
    assert shown(text) == [("hosewright yarn --tex 20", "one\n\ntwo"), ("hosewright dial --start 8", "three")]
