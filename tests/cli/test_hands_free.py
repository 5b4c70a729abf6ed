"""The line mode with a speaker, fed by a program of one's own; what its failing says; a second screen of nothing."""

from __future__ import annotations

import math
import random
import re
import subprocess
import sys
import textwrap
from bisect import bisect_right
from types import SimpleNamespace
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.pages import page
from hosewright.places import logbook_path, settings_path
from hosewright.settings.table import Settings
from hosewright.verbs.crank import LineMode
from tests.aloud.fake import FakeSpeaker
from tests.helpers import FakeClock, crank_to, record

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.live import Live

if sys.platform == "win32":
    pytest.skip("the fake speaker is a shell script", allow_module_level=True)

ID = "20231114-test"


@pytest.fixture
def fake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeSpeaker:
    fake = FakeSpeaker(tmp_path / "bin")
    fake.put_first(monkeypatch)
    return fake


def at(book: Logbook, step: str) -> Live:
    live = book.start(record("sock", ID))
    crank_to(live, step)
    return live


def test_in_lines_each_pass_is_spoken_as_it_is_printed(book: Logbook, fake: FakeSpeaker) -> None:
    lines = LineMode(at(book, "heel"), book, Settings(speech="rows"))
    for _ in range(3):
        printed = lines.answer("").partition(". In")[0]
        fake.wait_for(f"{printed}.")
    assert printed == "29 up right. 4"
    assert lines.answer("where").startswith("29 up right")
    fake.wait_for("heel, pass 4 of 40, 29 up right")
    assert lines.answer("quiet") == "Quiet until you type quiet again."
    lines.answer("")
    assert lines.answer("quiet") == "No longer quiet."
    lines.answer("")
    fake.wait_for("28 up right. 6.")
    assert "3 up left. 5." not in fake.begun
    lines.put_away()


def test_without_speech_the_word_says_how_to_have_it(book: Logbook) -> None:
    lines = LineMode(at(book, "heel"), book, Settings())
    assert lines.answer("quiet") == "Nothing is spoken: speech and tones are off."
    lines.put_away()


def test_a_speaker_that_is_missing_is_one_line_and_the_count_goes_on(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    book = Logbook(logbook_path(), FakeClock())
    at(book, "foot")
    book.close()
    settings_path().write_text('speech = "rows"\nspeaker = "crier"\n', encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "hosewright", "crank", ID, "--plain"],
        input="\n\n",
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert "there is no crier here" in done.stdout
    assert "foot, 2 of 22 rows done" in done.stdout
    assert done.stdout.count("crier") == 1


def test_a_program_of_ones_own_counts_line_by_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = Logbook(logbook_path(), FakeClock())
    at(book, "foot")
    book.close()
    (example,) = (block for block in re.findall(r"(?:^ {4}.*\n)+", page("counting"), re.MULTILINE) if "echo" in block)
    program = example.replace("sleep 2", ":").replace("hosewright", f"{sys.executable} -m hosewright").replace("ID", ID)
    done = subprocess.run(["sh", "-c", program], capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    assert "foot, 2 of 22 rows done" in done.stdout
    book = Logbook(logbook_path())
    state = book.state(book.store.find(ID))
    assert state.count_of("foot") == 2
    book.close()


# --- the board -----------------------------------------------------------------------------------------------------

# How long the magnet holds the switch closed, in ms: from the quickest hand, the magnet far out, to a slow one.
NEAR_MS = (4, 7, 12, 30, 90, 400)
BOUNCES_MS = 6.2  # at most, as the page says


class OverError(Exception):
    """The magnet has passed often enough."""


class Board:
    """What the example's modules do by their documents: https://docs.micropython.org/en/latest/library/machine.Pin.html,
    https://docs.micropython.org/en/latest/library/time.html and usb-device-keyboard of micropython-lib.
    """

    IN, PULL_UP, SPACE = 0, 1, 44

    def __init__(self, passes: int, near_ms: float, seed: int) -> None:
        self.now_ms, self.ready, self.down, self.typed_ms = 0.0, False, False, list[float]()
        chance = random.Random(seed)
        self.closes: list[tuple[float, float]] = []  # when the switch is closed, bounces and all
        at_ms = 500.0
        for _ in range(passes):
            self.closes += _bouncing(at_ms, chance)
            self.closes.append((at_ms + BOUNCES_MS, at_ms + BOUNCES_MS + near_ms))
            self.closes += _bouncing(at_ms + BOUNCES_MS + near_ms, chance)
            at_ms += near_ms + chance.uniform(300, 2000)
        self.until_ms = at_ms

    def modules(self) -> dict[str, object]:
        get = SimpleNamespace(init=self._init)
        device = SimpleNamespace(get=lambda: get)
        keyboard = SimpleNamespace(KeyboardInterface=lambda: self, KeyCode=self)
        machine = SimpleNamespace(Pin=self)
        return {
            "time": SimpleNamespace(sleep_ms=self._sleep_ms),
            "machine": machine,
            "usb": SimpleNamespace(device=device),
            "usb.device": device,
            "usb.device.keyboard": keyboard,
        }

    def __call__(self, _pin: int, mode: int, pull: int) -> Board:
        assert (mode, pull) == (self.IN, self.PULL_UP)
        return self

    def value(self) -> int:
        last = bisect_right(self.closes, (self.now_ms, math.inf)) - 1
        return int(last < 0 or self.now_ms >= self.closes[last][1])

    def _init(self, keyboard: object, *, builtin_driver: bool) -> None:
        self.ready = keyboard is self and builtin_driver

    def send_keys(self, down: list[int]) -> bool:
        assert self.ready
        if down == [self.SPACE] and not self.down:
            self.typed_ms.append(self.now_ms)
        self.down = bool(down)
        self.now_ms += 1  # until the host asks next
        return True

    def _sleep_ms(self, ms: int) -> None:
        self.now_ms += ms
        if self.now_ms > self.until_ms:
            raise OverError


def _bouncing(at_ms: float, chance: random.Random) -> list[tuple[float, float]]:
    """A contact that opens and closes a few times."""
    turns = sorted(chance.uniform(at_ms, at_ms + BOUNCES_MS) for _ in range(2 * chance.randrange(4)))
    return list(zip(turns[::2], turns[1::2], strict=True))


@pytest.mark.parametrize("near_ms", NEAR_MS)
def test_the_board_types_one_space_for_each_pass_and_none_for_a_bounce(
    near_ms: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    (example,) = (
        block for block in re.findall(r"(?:^ {4}.*\n)+", page("counting"), re.MULTILINE) if "KeyCode" in block
    )
    for seed in range(20):
        board = Board(50, near_ms, seed)
        with monkeypatch.context() as patched:
            for name, module in board.modules().items():
                patched.setitem(sys.modules, name, module)
            with pytest.raises(OverError):
                exec(textwrap.dedent(example), {})
        assert len(board.typed_ms) == 50
        assert not board.down


def test_a_second_screen_of_no_session_is_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--look", "one", "two"]) == 2
    assert "is too much here" in capsys.readouterr().err
