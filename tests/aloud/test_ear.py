"""What is set is what is heard: a heel in time, tones, quiet, and the real speaker's words in seconds."""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
import time
import wave
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

import numpy as np
import pytest

from hosewright.aloud.ear import Ear, hears
from hosewright.aloud.speakers import LOUD, RATE, TONES, tone_file, tones_here
from hosewright.counting.hands import Hands
from hosewright.logbook.book import Logbook
from hosewright.session.events import Pressed
from hosewright.session.heard import heard_of
from hosewright.session.steps import CountPasses
from hosewright.session.words import heard_pass
from hosewright.settings.table import Settings
from tests.aloud.fake import FakeSpeaker, wait_until
from tests.bench.test_at_the_crank import Rung
from tests.helpers import crank_to, drive, record, rows, sock_plan_steps

if TYPE_CHECKING:
    from hosewright.logbook.live import Live

if sys.platform == "win32":
    pytest.skip("the fake speaker is a shell script", allow_module_level=True)

SPEAKS = Settings(speech="rows", press_gap_ms=0)
A_PASS_S = 1.0  # at 60 passes a minute
QUICK = 260  # words a minute, at which every pass is heard within that


@pytest.fixture
def fake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeSpeaker:
    fake = FakeSpeaker(tmp_path / "bin")
    fake.put_first(monkeypatch)
    return fake


def at_heel(book: Logbook) -> Live:
    live = book.start(record("sock", steps=sock_plan_steps(hem_rows=4)))
    crank_to(live, "heel")
    return live


def unheard(_said: str = "") -> None:
    raise AssertionError(f"nothing should have been told, or rung: {_said}")


def seconds_of(words: str, speed: int, folder: Path) -> float:
    """How long the real speaker takes over these words."""
    path = folder / "measured.wav"
    subprocess.run(["/usr/bin/espeak-ng", "-z", "-s", str(speed), "-w", path, words], check=True, timeout=30)
    with wave.open(str(path)) as file:
        return float(file.getnframes() / file.getframerate())


def test_every_pass_of_a_heel_is_heard_in_order_while_it_is_cranked(book: Logbook, fake: FakeSpeaker) -> None:
    live = at_heel(book)
    step = live.state.step
    assert isinstance(step, CountPasses)
    ear = Ear(SPEAKS, unheard, unheard)
    hands = Hands(live, SPEAKS, Rung(), hear=ear.hear)
    late_s = []
    for count in range(1, step.target):
        began = time.time()
        hands.do_count(count * 1000.0)
        said = heard_pass(step, count)
        while not fake.begun or not fake.begun[-1].startswith(said):
            assert time.time() - began < A_PASS_S * 20, (said, fake.begun)
            time.sleep(0.002)
        late_s.append(fake.begun_at(fake.begun[-1]) - began)
    ear.close()
    assert len(fake.begun) == step.target - 1
    assert median(late_s) < A_PASS_S / 10


@pytest.mark.skipif(not Path("/usr/bin/espeak-ng").exists(), reason="no espeak-ng here to measure")
def test_the_real_speaker_says_every_pass_within_a_pass_and_a_row_within_a_row(book: Logbook, tmp_path: Path) -> None:
    step = at_heel(book).state.step
    assert isinstance(step, CountPasses)
    moves = {heard_pass(step, count, number=False) for count in range(step.target)}
    longest = max(moves, key=lambda words: seconds_of(words, QUICK, tmp_path))
    assert seconds_of(longest, QUICK, tmp_path) < A_PASS_S
    assert seconds_of(longest, SPEAKS.speech_speed, tmp_path) < 1.2 * A_PASS_S  # at the usual speed its end is cut off
    assert max(seconds_of(f"{count}.", SPEAKS.speech_speed, tmp_path) for count in (7, 24, 99)) < 0.9


@pytest.mark.skipif(not Path("/usr/bin/espeak-ng").exists(), reason="no espeak-ng here to measure")
def test_a_heel_at_60_passes_a_minute_by_a_speaker_as_slow_as_the_real_one(
    book: Logbook, fake: FakeSpeaker, tmp_path: Path
) -> None:
    """Passes and sentences take half their time; starting a process does not, and so counts twice."""
    quicker = 2
    lasts = tmp_path / "lasts"
    lasts.mkdir()
    fake.behave(f'sleep "$(cat "{lasts}/$last")"')
    rehearsed = Logbook(tmp_path / "rehearsed.sqlite")
    live, sentences = at_heel(rehearsed), []
    for _ in range(live.state.target or 0):
        live.do(Pressed())
        heard = heard_of(Pressed(), live.state, {}, SPEAKS.cue_rows_ahead, 1)
        assert heard is not None
        sentences.append(heard.words)
    rehearsed.close()
    for words in sentences:
        (lasts / words).write_text(f"{seconds_of(words, SPEAKS.speech_speed, tmp_path) / quicker:.3f}")
    assert any(float((lasts / words).read_text()) > A_PASS_S / quicker for words in sentences)  # some are cut off

    ear = Ear(SPEAKS, unheard, unheard)
    hands = Hands(at_heel(book), SPEAKS, Rung(), hear=ear.hear)
    pressed_at, held_up_s = [], []
    started = time.time()
    for count in range(len(sentences)):
        time.sleep(max(0.0, started + count * A_PASS_S / quicker - time.time()))
        pressed_at.append(time.time())
        hands.do_count(count * 1000.0)
        held_up_s.append(time.time() - pressed_at[-1])
    fake.wait_for(sentences[-1])
    ear.close()
    assert fake.begun == sentences
    begun_at = [fake.begun_at(words) for words in sentences]
    assert [words for words, at, then in zip(sentences, begun_at, pressed_at[1:], strict=False) if at > then] == []
    assert median(held_up_s) < 0.02


def test_cues_alone_leave_the_count_out_and_every_so_many_speaks_it_seldom(book: Logbook, fake: FakeSpeaker) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    for settings, spoken in ((replace(SPEAKS, speech="cues"), []), (replace(SPEAKS, speech_every=3), ["3.", "6."])):
        ear = Ear(settings, unheard, unheard)
        hands = Hands(live, settings, Rung(), hear=ear.hear)
        for _ in range(3):
            hands.do_count(0)
            time.sleep(0.1)
        for words in spoken[-1:]:
            fake.wait_for(words)
        ear.close()
        assert fake.begun == spoken[-1:]


def test_quiet_is_quiet_but_for_where_one_is(book: Logbook, fake: FakeSpeaker) -> None:
    live = at_heel(book)
    ear = Ear(SPEAKS, unheard, unheard)
    hands = Hands(live, SPEAKS, Rung(), hear=ear.hear)
    assert ear.turn("press -") == "Quiet until you press - again."
    hands.do_count(0)
    ear.say_place(live.state)
    fake.wait_for("heel, pass 2 of 40, 30 up right")
    assert ear.turn("press -") == "No longer quiet."
    hands.do_count(0)
    fake.wait_for("2 up left. 3.")
    ear.close()
    assert len(fake.begun) == 2


# --- tones -------------------------------------------------------------------------------------------------------


def test_each_tone_is_a_short_file_of_its_own() -> None:
    files = {name: tone_file(name) for name in TONES}
    assert len(set(files.values())) == len(TONES) == 4
    for name, content in files.items():
        assert content[:4] == b"RIFF"
        seconds = (len(content) - 44) / 2 / RATE
        assert seconds == pytest.approx(sum(lasts for _, lasts in TONES[name]), abs=0.01)
        assert seconds < 0.3
        loudest = max(abs(int.from_bytes(content[at : at + 2], "little", signed=True)) for at in range(44, 900, 2))
        assert LOUD / 2 < loudest <= LOUD


@pytest.mark.parametrize("name", TONES)
def test_each_tone_is_as_long_and_as_high_as_it_says(name: str) -> None:
    with wave.open(io.BytesIO(tone_file(name))) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        sound = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)
    assert len(sound) / RATE == pytest.approx(sum(lasts for _, lasts in TONES[name]), abs=0.001)
    at = 0
    for hertz, lasts in TONES[name]:
        part, at = sound[at : at + int(lasts * RATE)], at + int(lasts * RATE)
        heard = np.abs(np.fft.rfft(part, RATE))  # padded to a second: a bin is a hertz
        assert int(np.argmax(heard)) == pytest.approx(hertz, abs=2)
        assert bool(heard.any()) == bool(hertz)


class Winsound:
    """What https://docs.python.org/3/library/winsound.html says: flags that are put together, None to be still."""

    SND_FILENAME, SND_ASYNC, SND_NODEFAULT, SND_NOSTOP = 0x20000, 1, 2, 16

    def __init__(self) -> None:
        self.played: list[tuple[str | None, int]] = []

    def PlaySound(self, sound: str | None, flags: int) -> None:  # noqa: N802  # its name
        assert sound is None or Path(sound).read_bytes()[:4] == b"RIFF"
        if flags & self.SND_NOSTOP:
            raise RuntimeError("Failed to play sound")  # something sounds
        self.played.append((sound and Path(sound).stem, flags))


def test_on_windows_tones_are_played_by_itself_and_let_go_of(monkeypatch: pytest.MonkeyPatch) -> None:
    windows = Winsound()
    told: list[str] = []
    monkeypatch.setitem(sys.modules, "winsound", windows)
    tones = tones_here(told.append, "win32")
    assert tones is not None
    for name in ("row", "doubtful", "cue"):
        tones.play(name)
    tones.close()
    how = Winsound.SND_FILENAME | Winsound.SND_ASYNC | Winsound.SND_NODEFAULT
    assert windows.played == [("row", how), ("cue", how), (None, 0)]
    assert told == []


@pytest.mark.parametrize("player", ["paplay", "aplay", "afplay"])
def test_a_player_without_a_sound_server_is_told_once_and_rows_count(
    book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, player: str
) -> None:
    FakeSpeaker(tmp_path / "bin", player, "echo Connection refused >&2; exit 1")
    monkeypatch.setenv("PATH", f"{tmp_path}/bin:{_only(tmp_path, 'sh', 'date', 'cat')}")
    told: list[str] = []
    live = book.start(record("tube"))
    crank_to(live, "tube")
    ear = Ear(Settings(tones="sounds"), unheard, told.append)
    hands = Hands(live, Settings(), Rung(), hear=ear.hear)
    for row in (1, 2, 3):
        hands.do_count(row * 1000.0)
        time.sleep(0.2)
    wait_until(lambda: told)
    ear.close()
    assert live.state.count == 3
    assert told == [
        "The player of tones stopped with an error (1). Counting goes on; e on the bench sets what is heard."
    ]


def _only(folder: Path, *names: str) -> Path:
    """A folder for PATH in which there are these programs and no others."""
    made = folder / "only"
    made.mkdir()
    for name in names:
        (made / name).symlink_to(str(shutil.which(name)))
    return made


def test_row_cue_past_the_plan_and_doubtful_sound_apart(
    book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    player = FakeSpeaker(tmp_path / "bin", "paplay")
    player.put_first(monkeypatch)
    settings = Settings(tones="sounds")
    live = book.start(record("tube"))
    crank_to(live, "tube")
    target = live.state.target or 0
    ear = Ear(settings, unheard, unheard)
    hands = Hands(live, settings, Rung(), hear=ear.hear)
    at_ms = 0.0
    wanted = (0, 1000, "row"), (0, 20, "doubtful"), (target - 4, 1000, "cue"), (target, 1000, "over")
    for count, gap_ms, tone in wanted:
        drive(live, rows(max(0, count - live.state.count)))
        at_ms += gap_ms
        hands.do_count(at_ms)
        until = time.monotonic() + 20
        while not player.done[-1:] or not player.done[-1].endswith(f"/{tone}.wav"):
            assert time.monotonic() < until, (tone, player.begun)
            time.sleep(0.005)
    folder = player.begun[0].rpartition("/")[0]
    assert Path(folder).stat().st_mode & 0o077 == 0
    ear.close()
    assert not Path(folder).exists()


def test_a_bounce_does_not_cut_off_the_tone_of_its_row(
    book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    player = FakeSpeaker(tmp_path / "bin", "paplay", "sleep 0.2")
    player.put_first(monkeypatch)
    settings = Settings(tones="sounds")
    live = book.start(record("tube"))
    crank_to(live, "tube")
    ear = Ear(settings, unheard, unheard)
    hands = Hands(live, settings, Rung(), hear=ear.hear)
    for row in (1, 2, 3):
        hands.do_count(row * 1000.0)
        if row > 1:  # at the first it comes before the tone has begun
            wait_until(lambda row=row: len(player.begun) == row)  # type: ignore[misc]
        hands.do_count(row * 1000.0 + 15)
        wait_until(lambda row=row: len(player.done) == row)  # type: ignore[misc]
        time.sleep(0.1)
    ear.close()
    assert live.state.count == 3
    assert [path.rpartition("/")[2] for path in player.begun] == ["row.wav"] * 3


def test_the_bell_rings_at_every_row_where_that_is_set(book: Logbook) -> None:
    rings: list[int] = []
    live = book.start(record("tube"))
    crank_to(live, "tube")
    ear = Ear(Settings(tones="bell"), lambda: rings.append(1), unheard)
    hands = Hands(live, Settings(), Rung(), hear=ear.hear)
    hands.do_count(1000)
    hands.do_count(3000)
    assert len(rings) == 2
    ear.close()


def test_without_a_player_it_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    told: list[str] = []
    assert tones_here(told.append, "linux") is None
    assert told == ["No tones sound: none of paplay, aplay, afplay is here. The bell needs none of them."]


def test_where_nothing_can_be_heard_there_is_nothing_to_silence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    told: list[str] = []
    ear = Ear(replace(SPEAKS, tones="sounds"), unheard, told.append)
    assert ear.turn("press -") == "Nothing speaks or sounds here; e on the bench sets what does."
    assert (ear.quiet, len(told)) == (False, 2)
    ear.close()


def test_usually_nothing_is_heard() -> None:
    assert not hears(Settings())
    assert hears(Settings(speech="cues"))
    assert hears(Settings(tones="bell"))
