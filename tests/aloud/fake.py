"""A speaker that speaks to a file: what it was told and when, and whether it was let finish."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest

_SCRIPT = """\
#!/bin/sh
for word in "$@"; do last=$word; done
echo "$(date +%s.%N) begun $last" >> "{log}"
{does}
echo "$(date +%s.%N) done $last" >> "{log}"
"""
WITHIN_S = 20.0  # on a machine with much else to do


@dataclass
class FakeSpeaker:
    """``begun`` and ``done``: what it was told, in order; ``begun_at``: when, in seconds."""

    folder: Path
    name: str = "espeak-ng"
    does: str = ""  # a line of shell between the two
    log: Path = field(init=False)

    def __post_init__(self) -> None:
        self.folder.mkdir(exist_ok=True)
        self.log = self.folder / "spoken"
        self.log.touch()
        self.behave(self.does)

    def behave(self, does: str) -> None:
        """What it does from now on when it is told something."""
        script = self.folder / self.name
        script.write_text(_SCRIPT.format(log=self.log, does=does))
        script.chmod(0o755)

    def put_first(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """On PATH, before everything else there."""
        monkeypatch.setenv("PATH", f"{self.folder}:/usr/bin:/bin")

    def _lines(self, what: str) -> list[tuple[float, str]]:
        lines = [line.split(" ", 2) for line in self.log.read_text().splitlines()]
        return [(float(at), words) for at, which, words in lines if which == what]

    @property
    def begun(self) -> list[str]:
        return [words for _, words in self._lines("begun")]

    @property
    def done(self) -> list[str]:
        return [words for _, words in self._lines("done")]

    def begun_at(self, words: str) -> float:
        return next(at for at, said in reversed(self._lines("begun")) if said == words)

    def wait_for(self, words: str, *, done: bool = True) -> None:
        """Until these words were the last to be told, and were let finish if ``done``."""
        until = time.monotonic() + WITHIN_S
        while (self.done if done else self.begun)[-1:] != [words]:
            assert time.monotonic() < until, f"never heard {words!r} after {self._lines('begun')}"
            time.sleep(0.005)


def wait_until(so: Callable[[], object]) -> None:
    until = time.monotonic() + WITHIN_S
    while not so():
        assert time.monotonic() < until
        time.sleep(0.005)
