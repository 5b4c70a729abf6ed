"""What a terminal sends: bytes that are no text, pastes without an end, and letters that no hand can have typed."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import pytest
from textual import events
from textual._xterm_parser import XTermParser

from hosewright.bench.terminal import NO_END, NO_SENSE, NO_TEXT, Incoming

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from textual.message import Message

SPACE = ("space",)


class Heard:
    """What came in, key by key, with what was told and held back."""

    def __init__(self, *, typing: bool = False) -> None:
        self.told: list[str] = []
        self.held: list[str] = []
        self.got: list[str] = []
        self.at = 100.0
        self._incoming = Incoming(
            tell=self.told.append,
            hold_back=lambda keys: self.held.append("".join(key.character or "" for key in keys)),
            counts=lambda: SPACE,
            typing=lambda: typing,
        )

    def send(self, data: str | bytes, after_s: float = 0.0) -> list[str]:
        """Send after so long, and give what came of it within the next 20 ms."""
        self.wait(after_s)
        self._take(self._incoming.read(data.encode() if isinstance(data, str) else data, self.at))
        return self.got

    def wait(self, seconds: float) -> list[str]:
        until = self.at + seconds
        while self.at < until:
            self.at = min(until, self.at + min(0.1, self._incoming.wait_s))
            self._take(self._incoming.look(self.at))
        return self.got

    def _take(self, messages: Sequence[Message]) -> None:
        for message in messages:
            if isinstance(message, events.Key):
                self.got.append(message.key)
            elif isinstance(message, events.Paste):
                self.got.append(f"paste {message.text}")


@pytest.mark.parametrize(
    ("data", "got"),
    [
        (b"\xe9", []),
        (b" \xe9 ", ["space", "space"]),
        (b"\xff\xfe ", ["space"]),
        (b"\xe2\x82", []),
        (b"\x80" * 100 + b" ", ["space"]),
    ],
)
def test_bytes_that_are_no_text_are_left_out_and_said(data: bytes, got: list[str]) -> None:
    heard = Heard()
    heard.send(data)
    assert heard.wait(0.3) == got
    assert set(heard.told) == {NO_TEXT}
    assert heard.send("  ")[len(got) :] == ["space", "space"]


def test_a_letter_of_several_bytes_may_come_in_two_parts() -> None:
    heard = Heard()
    heard.send("ü".encode()[:1])
    heard.send("ü".encode()[1:], after_s=0.05)
    assert heard.wait(0.2) == ["ü"]
    assert heard.told == []


def test_a_parser_that_fails_is_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    from hosewright.bench import terminal

    class Torn(XTermParser):
        def feed(self, data: str) -> Iterable[Message]:
            if "!" in data:
                raise ValueError(data)
            return super().feed(data)

    monkeypatch.setattr(terminal, "XTermParser", Torn)
    heard = Heard()
    assert heard.send("!") == []
    assert heard.send(" ") == ["space"]
    assert heard.told == [NO_SENSE]


# --- pastes ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cut", range(1, 12))
def test_a_paste_comes_whole_however_it_is_cut(cut: int) -> None:
    heard, paste = Heard(), "\x1b[200~4 1/4\x1b[201~"
    heard.send(paste[:cut])
    heard.send(paste[cut:], after_s=0.02)
    assert heard.send(" ", after_s=1.0) == ["paste 4 1/4", "space"]
    assert heard.told == []


@pytest.mark.parametrize("every_s", [0.67, 0.2])
def test_a_paste_without_its_end_swallows_no_later_key(every_s: float) -> None:
    heard = Heard()
    heard.send("\x1b[200~prose")
    for _ in range(25):
        heard.send(" ", after_s=every_s)
    assert heard.got[0].startswith("paste prose")
    assert heard.told == [NO_END]
    assert heard.got[1:].count("space") >= 10
    assert heard.send("\x1b[201~ ", after_s=1.0)[-1] == "space", "an end that comes after all does no harm"
    assert heard.told == [NO_END]


# --- lumps ----------------------------------------------------------------------------------------------------------

PROSE = "It was long ago. The end\rof it was\rdrying"


def test_pasted_prose_is_held_back_whole() -> None:
    heard = Heard()
    assert heard.send(PROSE) == []
    assert heard.wait(0.4) == []
    heard.wait(0.3)
    assert heard.held == [PROSE]
    assert heard.got == []


def test_prose_that_trickles_in_is_held_back_whole() -> None:
    heard = Heard()
    for letter in PROSE:
        heard.send(letter, after_s=0.02)
    heard.wait(1)
    assert (heard.held, heard.got) == ([PROSE], [])


@pytest.mark.parametrize("typed", ["d", "dtyfx", "37", "d23\r", "=", "\r"])
def test_fewer_letters_go_through_in_their_order(typed: str) -> None:
    heard = Heard()
    heard.send(typed + " ")
    heard.wait(0.1)
    assert heard.held == []
    assert len(heard.got) == len(typed) + 1
    assert heard.got[-1] == "space"


def test_a_hand_is_never_held_back() -> None:
    heard = Heard()
    for letter in "dtyfxzwkc":
        heard.send(letter, after_s=0.05)
    heard.wait(0.1)
    assert "".join(heard.got) == "dtyfxzwkc"
    assert heard.held == []


def test_presses_go_through_at_once_at_any_speed() -> None:
    heard = Heard()
    assert heard.send(" " * 200) == ["space"] * 200
    assert heard.held == []


def test_what_leaves_is_never_waited_with() -> None:
    heard = Heard()
    assert heard.send("d\x11") == ["d", "ctrl+q"]
    heard.send("abcdefgh")
    assert heard.send("\x03")[-1] == "ctrl+c"
    assert heard.held == ["abcdefgh"]


def test_a_line_to_type_in_takes_all_at_once() -> None:
    heard = Heard(typing=True)
    heard.send("a latch tore the heel")
    assert len(heard.got) == 21
    assert heard.held == []


@pytest.mark.skipif(sys.platform == "win32", reason="our own driver is for POSIX")
def test_a_file_that_fails_is_told_of_once_and_then_takes_all() -> None:
    from hosewright.bench.terminal import Output

    reader, writer = os.pipe()
    failed: list[int] = []
    with os.fdopen(writer, "w", encoding="utf-8") as file:
        line = Output(file, lambda: failed.append(1))
        line.write("seen")
        line.flush()
        assert os.read(reader, 10) == b"seen"
        os.close(reader)
        for _ in range(100):
            line.write("lost")
            line.flush()
        assert failed == [1]
        with pytest.raises(BrokenPipeError):
            file.flush()
        os.dup2(os.open(os.devnull, os.O_WRONLY), writer)  # so that it can be closed
