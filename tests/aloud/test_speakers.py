"""The latest words win, nothing waits in a line, and no way a speaker can fail costs more than a sentence."""

from __future__ import annotations

import os
import signal
import sys
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hosewright.aloud.latest import KeptAlive, Latest
from hosewright.aloud.speakers import MOST_SPOKEN, PowerShell, Speaker, fit, spd_rate, speaker_of
from hosewright.settings.table import Settings
from tests.aloud.fake import FakeSpeaker, wait_until

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

if sys.platform == "win32":
    pytest.skip("the fake speaker is a shell script", allow_module_level=True)

ALL = Settings(speech="rows")
LONG = "sleep 30"


@pytest.fixture
def fake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeSpeaker:
    fake = FakeSpeaker(tmp_path / "bin")
    fake.put_first(monkeypatch)
    return fake


@pytest.fixture
def told() -> list[str]:
    return []


@pytest.fixture
def speaker(fake: FakeSpeaker, told: list[str]) -> Iterator[Speaker]:
    made = speaker_of(ALL, told.append, "linux")
    assert made is not None
    yield made
    made.close()


def test_the_latest_words_cut_off_what_is_being_said(fake: FakeSpeaker, speaker: Speaker) -> None:
    fake.behave(LONG)
    speaker.say("1")
    fake.wait_for("1", done=False)
    fake.behave("")
    speaker.say("2")
    fake.wait_for("2")
    assert fake.done == ["2"]


def test_what_came_meanwhile_is_forgotten_but_for_the_latest(fake: FakeSpeaker, speaker: Speaker) -> None:
    for number in range(200):
        speaker.say(str(number))
    fake.wait_for("199")
    assert len(fake.begun) < 100


def test_a_mere_count_lets_a_cue_finish_and_anything_else_does_not(fake: FakeSpeaker, speaker: Speaker) -> None:
    fake.behave(LONG)
    speaker.say("In 3 rows: set the dial")
    fake.wait_for("In 3 rows: set the dial", done=False)
    speaker.say("41", light=True)
    time.sleep(0.2)
    assert fake.begun == ["In 3 rows: set the dial"]
    speaker.say("Now: set the dial")
    fake.wait_for("Now: set the dial", done=False)


def test_a_cue_that_waits_to_be_said_is_not_put_out_by_a_mere_count(fake: FakeSpeaker, speaker: Speaker) -> None:
    for _ in range(20):
        speaker.say("Now: set the dial")
        speaker.say("41", light=True)
        fake.wait_for("Now: set the dial")
    assert "41" not in fake.begun


def test_what_it_left_running_is_cut_off_and_ended_like_itself(
    fake: FakeSpeaker, speaker: Speaker, told: list[str]
) -> None:
    fake.behave(f"(sleep 1; echo late > {fake.folder}/late) &")
    speaker.say("1")
    fake.wait_for("1")
    time.sleep(0.1)  # it is seen that the speaker has ended
    speaker.say("2")
    fake.wait_for("2")
    speaker.close()
    time.sleep(1.1)
    assert not (fake.folder / "late").exists()
    assert told == []


def test_it_is_silent_at_once(fake: FakeSpeaker, speaker: Speaker) -> None:
    fake.behave("sleep 1")
    speaker.say("41")
    fake.wait_for("41", done=False)
    speaker.hush()
    speaker.close()
    time.sleep(1.1)
    assert fake.done == []


def test_a_caller_never_waits(fake: FakeSpeaker, speaker: Speaker) -> None:
    fake.behave(LONG)
    began = time.thread_time()
    for number in range(1000):
        speaker.say(str(number))
    assert time.thread_time() - began < 0.5  # of this thread's own work, on any machine


# --- speakers that fail ------------------------------------------------------------------------------------------


def test_one_that_is_missing_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, told: list[str]) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert speaker_of(ALL, told.append, "linux") is None
    assert speaker_of(Settings(speaker="crier --loud"), told.append) is None
    assert told[0].startswith("Nothing is spoken: there is no espeak-ng or espeak or spd-say here")
    assert told[1].startswith("Nothing is spoken: there is no crier here.")
    assert speaker_of(Settings(speaker="crier 'loud"), told.append) is None
    assert "cannot be read" in told[2]


def test_one_that_dies_is_told_once_and_tried_again(fake: FakeSpeaker, speaker: Speaker, told: list[str]) -> None:
    fake.behave("exit 3")
    for number in range(3):
        speaker.say(str(number))
        fake.wait_for(str(number), done=False)
        time.sleep(0.1)
    wait_until(lambda: told)
    assert told == [
        "The speaker espeak-ng stopped with an error (3). Counting goes on; e on the bench sets what is heard."
    ]
    fake.behave("")
    speaker.say("well again")
    fake.wait_for("well again")


def test_one_that_cannot_run_is_told(fake: FakeSpeaker, speaker: Speaker, told: list[str]) -> None:
    (fake.folder / fake.name).write_text("no program")
    (fake.folder / fake.name).chmod(0o644)
    speaker.say("1")
    wait_until(lambda: told)
    assert "cannot be started" in told[0]


def test_one_that_hangs_is_ended_and_told(fake: FakeSpeaker, told: list[str]) -> None:
    fake.behave("trap '' TERM INT HUP; sleep 60")
    latest = Latest("The speaker", told.append, patience_s=0.2)
    latest.do([str(fake.folder / fake.name), "1"])
    wait_until(lambda: told)
    assert told == ["The speaker did not come to an end. Counting goes on; e on the bench sets what is heard."]
    latest.close()


def test_one_that_prints_without_end_fills_nothing(fake: FakeSpeaker, speaker: Speaker, told: list[str]) -> None:
    fake.behave("head -c 3000000 /dev/zero; head -c 3000000 /dev/zero >&2; read line")
    speaker.say("1")
    fake.wait_for("1")
    assert told == []


def test_leaving_ends_one_that_listens_to_nothing(fake: FakeSpeaker, speaker: Speaker) -> None:
    fake.behave(f"trap '' TERM INT HUP; echo $$ > {fake.folder}/pid; {LONG}")
    speaker.say("1")
    wait_until(lambda: (fake.folder / "pid").exists() and (fake.folder / "pid").read_text())
    pid = int((fake.folder / "pid").read_text())
    began = time.monotonic()
    speaker.close()
    assert time.monotonic() - began < 1.0  # the watchdog ends the bench after two seconds
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


# --- one that is kept alive --------------------------------------------------------------------------------------

_KEPT = """\
#!/bin/sh
echo "$(date +%s.%N) begun started with rate $HOSEWRIGHT_RATE by $1 $2 $3" >> "{log}"
while read line; do echo "$(date +%s.%N) done $line" >> "{log}"; {does}; done
"""


def kept(fake: FakeSpeaker, does: str = ":") -> str:
    path = fake.folder / "powershell"
    path.write_text(_KEPT.format(log=fake.log, does=does))
    path.chmod(0o755)
    return str(path)


def test_powershell_is_started_once_and_told_line_by_line(fake: FakeSpeaker, told: list[str]) -> None:
    kept(fake)
    speaker = speaker_of(Settings(speech="rows", speech_speed=240), told.append, "win32")
    assert isinstance(speaker, PowerShell)
    for words in ("1", "2", "3"):
        speaker.say(words)
        fake.wait_for(words)
    speaker.hush()
    fake.wait_for("")
    speaker.close()
    assert (fake.begun, told) == (["started with rate 3 by -NoProfile -NonInteractive -Command"], [])


def test_a_kept_speaker_is_told_every_count_and_which_may_not_cut_a_cue_off(fake: FakeSpeaker, told: list[str]) -> None:
    speaker = KeptAlive("The speaker", ["sh", "-c", f"exec cat > {fake.folder}/lines"], {}, told.append)
    for words, light in (("Now: set the dial", False), ("41", True), ("42", True)):
        speaker.do([words], light=light)
        wait_until(lambda said=words: (fake.folder / "lines").exists() and said in (fake.folder / "lines").read_text())  # type: ignore[misc]
    speaker.close()
    assert (fake.folder / "lines").read_text().splitlines() == ["Now: set the dial", "\t41", "\t42"]


def test_a_kept_speaker_that_stops_is_told_and_started_again(fake: FakeSpeaker, told: list[str]) -> None:
    speaker = KeptAlive("The speaker", [kept(fake, "exit 1")], {}, told.append)
    speaker.do(["1"])
    fake.wait_for("1")
    for words in ("2", "3", "4"):
        speaker.do([words])
        time.sleep(0.1)
    wait_until(lambda: len(fake.done) > 1)
    assert told == ["The speaker stopped by itself. Counting goes on; e on the bench sets what is heard."]
    speaker.close()


def test_a_kept_speaker_that_reads_no_more_is_ended(fake: FakeSpeaker, told: list[str]) -> None:
    speaker = KeptAlive("The speaker", [kept(fake, LONG)], {}, told.append)
    speaker.do(["1"])
    fake.wait_for("1")
    speaker.do(["x" * 200_000])  # more than a pipe holds
    time.sleep(0.1)
    began = time.monotonic()
    speaker.close()
    assert time.monotonic() - began < 1.0


# --- how each is asked -------------------------------------------------------------------------------------------


def test_each_speaker_is_told_speed_voice_and_language(fake: FakeSpeaker, told: list[str]) -> None:
    asked = fake.folder / "asked"
    whole = f'for one in "$0" "$@"; do echo "$(basename -- "$one")"; done > {asked}'
    settings = Settings(speech="rows", speech_speed=175, speech_voice="Kirk", speech_language="en-GB")
    for name, expected in (
        ("espeak-ng", "espeak-ng -z -s 175 -v Kirk 7"),
        ("say", "say -r 175 -v Kirk 7"),
        ("spd-say", "spd-say -w -r 2 -l en-GB -y Kirk 7"),
        ("crier", "crier --twice 7"),
    ):
        one = FakeSpeaker(fake.folder, name, whole)
        command = f"{name} --twice" if name == "crier" else name
        speaker = speaker_of(replace(settings, speaker=command), told.append)
        assert speaker is not None
        speaker.say("7")
        wait_until(lambda one=one: one.done[-1:] == ["7"])  # type: ignore[misc]
        one.log.write_text("")
        speaker.close()
        assert asked.read_text().split() == expected.split()
    assert told == []


def test_one_whose_service_speaks_is_silenced_there_too_on_leaving(fake: FakeSpeaker, told: list[str]) -> None:
    spd_say = FakeSpeaker(fake.folder, "spd-say", LONG)
    speaker = speaker_of(Settings(speech="rows", speaker="spd-say"), told.append)
    assert speaker is not None
    speaker.say("1")
    spd_say.wait_for("1", done=False)
    spd_say.behave("")
    speaker.close()
    spd_say.wait_for("-S")


def test_a_service_that_the_speaker_started_goes_on(fake: FakeSpeaker, told: list[str]) -> None:
    # The first spd-say starts the service, whose parts stay in its group of processes.
    spd_say = FakeSpeaker(fake.folder, "spd-say", f"sh -c 'echo $$ > {fake.folder}/pid; exec sleep 30' & {LONG}")
    speaker = speaker_of(Settings(speech="rows", speaker="spd-say"), told.append)
    assert speaker is not None
    speaker.say("1")
    spd_say.wait_for("1", done=False)
    wait_until(lambda: (fake.folder / "pid").exists() and (fake.folder / "pid").read_text())
    service = int((fake.folder / "pid").read_text())
    spd_say.behave("")
    for words in ("2", "3"):  # the first is cut off, the second ends by itself
        speaker.say(words)
        spd_say.wait_for(words)
    speaker.close()
    assert told == []
    os.killpg(os.getpgid(service), signal.SIGKILL)  # which fails for one that has ended


def test_the_speed_on_another_scale_and_words_that_are_no_option() -> None:
    assert [spd_rate(speed) for speed in (80, 170, 449, 480)] == [-100, 0, 100, 100]
    assert fit("--help\nme") == "help me"
    assert "\x1b" not in fit("41\x1b[2J")
    assert len(fit("a" * 999)) == MOST_SPOKEN
