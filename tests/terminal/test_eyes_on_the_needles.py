"""A sock cranked with eyes on the needles: a pedal that bounces, a speaker, and a second screen that follows."""

from __future__ import annotations

import os
import signal
import sys
import time
from functools import partial
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

from hosewright.bench.count.dashboard import count_title
from hosewright.logbook.book import Logbook
from hosewright.session.events import Pressed
from hosewright.session.heard import heard_of, heard_place
from hosewright.session.steps import CountPasses, CountRows, Measure
from hosewright.settings.table import Settings
from tests.aloud.fake import FakeSpeaker, wait_until
from tests.helpers import crank_to, record, sock_plan_steps
from tests.terminal.terminal import ENTER, Terminal

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hosewright.logbook.live import Live

GAP_MS = 60
CTRL_D, CTRL_Q = "\x04", "\x11"
BOUNCING = "  "  # both within some ms, as a worn contact sends them
SPEAKS = 'speech = "rows"\npause_after_s = 0\nrest_after_min = 0\n'


def test_a_sock_by_a_bouncing_pedal_spoken_and_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fake = FakeSpeaker(tmp_path / "bin")
    fake.put_first(monkeypatch)
    home = tmp_path / "home"
    home.mkdir()
    with_book = Logbook(home / "logbook.sqlite")
    with_book.start(record("sock", steps=sock_plan_steps(16, leg_mm=12.0), slots=16))
    with_book.close()

    machine = Terminal(home, gap_ms=GAP_MS, more=SPEAKS)
    machine.see("ENTER GOES ON WITH")
    machine.type(ENTER)
    machine.see("step 1 of")
    book = Logbook.for_reading(home / "logbook.sqlite")
    live = book.take_up("20231114-test")
    second = Terminal(home, "--look", "20231114", gap_ms=GAP_MS, more=SPEAKS)
    second.see("Set the dial")
    second.type(ENTER)
    second.see("This screen only looks on")
    expected = crank_all(live, machine, second)

    fake.wait_for(heard_place(live.state))
    presses = [entry.event for entry in book.store.entries(live.n) if isinstance(entry.event, Pressed)]
    for step, count in zip(live.state.head.steps, live.state.counts, strict=True):
        assert count == (step.target if isinstance(step, CountRows | CountPasses) else 0)
    assert sum(one.doubtful for one in presses) == sum(not one.doubtful for one in presses) == len(expected)
    heard = [words for words in fake.begun if words in expected]
    assert len(heard) > len(expected) / 2  # on a busy machine the latest may come before one was begun
    ahead = iter(expected)
    assert all(words in ahead for words in heard)
    book.close()
    for terminal in (second, machine):
        terminal.kill()


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP, "keys"])
def test_leaving_takes_a_speaker_along_that_listens_to_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: signal.Signals | str, plain: bool
) -> None:
    fake = FakeSpeaker(tmp_path / "bin")
    fake.behave(f"trap '' TERM INT HUP; echo $$ > {fake.folder}/pid; sleep 60")
    fake.put_first(monkeypatch)
    home = tmp_path / "home"
    home.mkdir()
    book = Logbook(home / "logbook.sqlite")
    crank_to(book.start(record("tube")), "tube")
    book.close()
    machine = Terminal(home, *(("crank", "20231114", "--plain") if plain else ()), more=SPEAKS)
    if not plain:
        machine.see("ENTER GOES ON WITH")
        machine.type(ENTER)
    machine.see("0 of 30" if plain else "GAUGE TUBE")
    machine.type(ENTER if plain else " ")
    fake.wait_for("1.", done=False)
    wait_until(lambda: (fake.folder / "pid").exists() and (fake.folder / "pid").read_text())
    if isinstance(how, signal.Signals):
        machine.child.kill(how)
        assert machine.end() in (128 + how, 129, -how)
    else:
        machine.type(CTRL_D if plain else CTRL_Q)
        assert machine.end() == 0
    with pytest.raises(ProcessLookupError):
        os.kill(int((fake.folder / "pid").read_text()), 0)


def crank_all(live: Live, machine: Terminal, second: Terminal) -> list[str]:
    """Crank up to the try-on by the pedal and Enter alone; what is to be heard at each row or pass, in order."""
    expected = []
    settings = Settings()
    while not isinstance(live.state.step, Measure):
        step, index = live.state.step, live.state.index
        for count in range(1, step.target + 1 if isinstance(step, CountRows | CountPasses) else 1):
            time.sleep(2 * GAP_MS / 1000)
            machine.type(BOUNCING)
            wait_for(live, machine, partial(at, live, index, count))
            second.see(count_title(live.state))
            said = heard_of(Pressed(), live.state, settings.cues_every, settings.cue_rows_ahead, 1)
            assert said is not None
            expected.append(said.words)
        machine.type(ENTER)
        wait_for(live, machine, partial(at, live, index + 1, 0))
    return expected


def at(live: Live, index: int, count: int) -> bool:
    """Whether so many are counted in this step, the bounce of the last with them."""
    state = live.state
    return (state.index, state.count) == (index, count) and bool(state.doubted) is bool(count)


def wait_for(live: Live, machine: Terminal, so: Callable[[], object]) -> None:
    """Until what the bench stores has come to this."""
    until = time.monotonic() + 30
    while not so():
        assert time.monotonic() < until, machine.text
        machine.read(0.01)
        live.catch_up()
