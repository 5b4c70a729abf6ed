"""The terminal: any size, any colours, any locale, any keys; a dumb one gets a clear message."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from textual import events
from textual.widgets import Input

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.phrases.harmless import LONGEST_TYPED
from hosewright.settings.table import Settings
from tests import quiet
from tests.faults import monkeys
from tests.faults.monkeys import ALL, check, fill, go, settle
from tests.faults.mutants import plain
from tests.helpers import FakeClock, cylinder, record, some, yarn

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SEED = 20250114


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    book = Logbook(tmp_path_factory.mktemp("terminal") / "logbook.sqlite", FakeClock())
    fill(book)
    yield book
    book.close()


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # some screens write what they print into the present folder


async def test_random_keys_in_every_screen_show_what_is_stored(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keys = 180 // len(ALL)
    home, *others = ALL
    figures = await monkeys.run(tmp_path, keys, SEED, (home,))
    quiet.leave_home_alone(monkeypatch)
    more = await monkeys.run(tmp_path, keys, SEED, tuple(others))
    assert figures.keys + more.keys == keys * len(ALL)
    assert len(figures.seen | more.seen) >= 8


async def test_any_size_and_back_in_every_screen(filled: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    app = Bench(filled, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        for number, place in enumerate(ALL):
            go(app, place)
            await settle(pilot)
            before = _first_line(app)
            wide = some([(180, 50)], 2, number)  # beyond the widest of the screens' layouts
            for size in ((10, 3), *wide, (80, 24)):
                await pilot.resize_terminal(*size)
                await settle(pilot)
                check(app)
            assert _first_line(app) == before, place
            if place == "home":
                quiet.leave_home_alone(monkeypatch)
            else:
                app.pop_screen()
                await settle(pilot)


def _first_line(app: Bench) -> str:
    lines = [strip.text.strip() for strip in app.screen._compositor.render_strips()]
    assert len(lines) == 24
    return next(line for line in lines if line)


@pytest.mark.parametrize(
    "place", [place for place in ALL if place in ("shelf", "plan", "settings", "session: measuring")]
)
async def test_a_paste_of_ten_thousand_characters_into_each_field(filled: Logbook, place: str) -> None:
    app = Bench(filled, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        go(app, place)
        await settle(pilot)
        if place == "shelf":
            for key in "mcyw":
                await pilot.press(key)
                await _paste_everywhere(app, pilot)
                await pilot.press("escape", "y")
        else:
            await _paste_everywhere(app, pilot)
        check(app)


async def _paste_everywhere(app: Bench, pilot: object) -> None:
    for number, field in enumerate(app.screen.query(Input)):
        if not field.display or field.disabled:
            continue
        field.value = ""
        field.focus()
        for text in some(("9" * 10_000, "[red]\x1b[2J袜\n" * 1_000), 2, number):
            app.post_message(events.Paste(text))
            app.post_message(events.Key("enter", "\r"))
        await settle(pilot)  # type: ignore[arg-type]  # the pilot of whichever app
        plain(field.value)
        assert len(field.value) <= 4 * LONGEST_TYPED
    assert app._exception is None


NASTY = "[red]Ann[/red] [@click=app.quit]x[/] $primary <b>&amp; \\[/"


async def test_names_with_markup_are_shown_as_they_were_typed(tmp_path: Path) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite", FakeClock())) as book:
        book.keep(Machine(id="mx", name=NASTY, clicks_per_turn=4))
        book.keep(cylinder().model_copy(update={"name": NASTY}))
        book.keep(yarn().model_copy(update={"name": NASTY, "note": NASTY}))
        book.keep(Wearer(id="wx", name=NASTY, note=NASTY))
        told = record("tube").model_copy(
            update={
                "title": NASTY,
                "yarn": Yarn(id="yx", name=NASTY),
                "machine": Machine(id="mx", name=NASTY, clicks_per_turn=4),
                "cylinder": Cylinder(id="cx", name=NASTY, slots=72),
            }
        )
        book.start(told)
        app = Bench(book, Settings(press_gap_ms=0))
        async with app.run_test(size=(160, 40)) as pilot:
            for place in ("home", "shelf", "past", "tube", "search"):
                go(app, place)
                await settle(pilot)
                text = "\n".join(strip.text for strip in app.screen._compositor.render_strips())
                assert "[red]Ann[/red]" in text, f"{place}:\n{text}"
                if place != "home":
                    app.pop_screen()
            app.open_session(told.id)
            await settle(pilot)
            assert isinstance(app.screen, SessionScreen)
            assert NASTY in "\n".join(strip.text for strip in app.screen._compositor.render_strips())
            app.tell(NASTY)
            await settle(pilot)
            check(app)


# --- terminals of another kind --------------------------------------------------------------------------------------

ON_POSIX = pytest.mark.skipif(sys.platform == "win32", reason="a pty is needed")


@ON_POSIX
@pytest.mark.parametrize("kind", ["dumb", "unknown"])
def test_a_dumb_terminal_gets_a_clear_message(tmp_path: Path, kind: str) -> None:
    from tests.terminal.forked import Forked

    life = Forked(tmp_path, environment={"TERM": kind})
    assert life.end() == 2
    said = bytes(life.raw).decode()
    assert f"This terminal (TERM={kind}) cannot show the bench" in said
    assert "crank ID --plain" in said
    assert "\x1b" not in said
    life.close()


@ON_POSIX
@pytest.mark.parametrize(
    "environment",
    [
        {"TERM": "xterm-16color", "COLORTERM": ""},
        {"TERM": "xterm-256color", "COLORTERM": ""},
        {"NO_COLOR": "1"},
        {"TERM": "vt100"},
        {"LANG": "C", "LC_ALL": "C", "PYTHONIOENCODING": "ascii"},
        {"LANG": "de_DE.ISO-8859-1", "PYTHONIOENCODING": "latin-1"},
    ],
    ids=lambda environment: " ".join(f"{name}={value}" for name, value in environment.items()),
)
def test_the_count_can_be_read_and_pressed_in(tmp_path: Path, environment: dict[str, str]) -> None:
    import random

    from tests.faults.evening import lay_out, open_session, stored
    from tests.terminal.forked import Forked

    lay_out(tmp_path, "tube", "tube", random.Random(1))
    at = stored(tmp_path)[-1]
    life = Forked(tmp_path, environment=environment)
    open_session(life, at)
    life.send("  ")
    life.see(f"{at.count + 2} of 30 rows")
    life.send("\x11")
    assert life.end() == 0
    assert b"Traceback" not in life.raw
    life.close()


@ON_POSIX
def test_a_window_that_takes_the_keyboard_is_seen_and_its_rows_are_offered(tmp_path: Path) -> None:
    import random

    from tests.faults.evening import lay_out, open_session, stored
    from tests.terminal.forked import Forked

    lay_out(tmp_path, "tube", "tube", random.Random(1))
    at = stored(tmp_path)[-1]
    life = Forked(tmp_path)
    open_session(life, at)
    assert b"\x1b[?1004h" in life.raw, "the terminal is asked to tell"
    for n in range(1, 5):
        life.send(" ")
        life.see(f"{at.count + n} of 30 rows")
        life.read(0.3)
    life.raw.clear()
    life.send("\x1b[O")
    life.see("Keys go elsewhere: click here")
    assert b"\x07" in life.raw, "the bell"
    assert "█" not in life.text
    life.read(1.2)
    life.send("\x1b[I")
    life.not_see("Keys go elsewhere: click here")
    life.see("Keys went elsewhere for", "rows may be missing", "m count ")
    assert "█" in life.text
    offered = int(life.text.partition("At your pace")[2].split()[0])
    life.send("m")
    life.see(f"{at.count + 4 + offered} of 30 rows")
    life.send("\x11")
    assert life.end() == 0
    assert stored(tmp_path)[-1].count == at.count + 4 + offered
    life.close()


@ON_POSIX
def test_rows_cranked_while_it_was_stopped_are_offered(tmp_path: Path) -> None:
    import random
    import signal

    from tests.faults.evening import lay_out, open_session, stored
    from tests.terminal.forked import Forked

    lay_out(tmp_path, "tube", "tube", random.Random(1))
    (tmp_path / "settings.toml").write_text("press_gap_ms = 120\n", encoding="utf-8")
    at = stored(tmp_path)[-1]
    life = Forked(tmp_path)
    open_session(life, at)
    for n in range(1, 5):
        life.send(" ")
        life.see(f"{at.count + n} of 30 rows")
        life.read(0.4)
    for pressed, told in (("", "At your pace"), (" " * 5, "then 4 presses came at once")):
        life.read(1.1)
        os.kill(life.pid, signal.SIGSTOP)
        life.send(pressed)
        life.read(6)
        os.kill(life.pid, signal.SIGCONT)
        life.see("The program stood still for", told)
    life.send("v")
    life.see(f"{at.count + 9} of 30 rows")
    life.send("\x11")
    assert life.end() == 0
    assert stored(tmp_path)[-1].count == at.count + 9
    life.close()


def test_without_a_terminal_the_bench_says_so(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "hosewright"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "HOSEWRIGHT_HOME": str(tmp_path)},
    )
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr


@ON_POSIX
def test_a_byte_of_another_encoding_and_pasted_prose_do_nothing_but_a_sentence(tmp_path: Path) -> None:
    import random

    from tests.faults.evening import lay_out, open_session, stored
    from tests.terminal.forked import Forked

    lay_out(tmp_path, "tube", "tube", random.Random(1))
    at = stored(tmp_path)[-1]
    life = Forked(tmp_path)
    open_session(life, at)
    life.send(b" \xe9 ")
    life.see(f"{at.count + 2} of 30 rows", "not text")
    seq = stored(tmp_path)[-1].last_seq
    life.send("The tube was off the machine.\rIt hung by the stove\rto dry\r\r\r")
    life.see("were they pasted?")
    assert stored(tmp_path)[-1].last_seq == seq
    life.send("n")
    life.not_see("were they pasted?")
    life.send(" ")
    life.see(f"{at.count + 3} of 30 rows")
    life.send("\x1b[200~no end ")
    life.read(1)
    life.send(" ")
    life.see(f"{at.count + 4} of 30 rows", "had no end")
    life.send("Tnnotes")
    life.see("were they pasted?")
    life.send("y")
    life.not_see("were they pasted?")
    life.see("A note at this row:")
    life.send("\x11")
    assert life.end() == 0
    assert stored(tmp_path)[-1].count == at.count + 4
    life.close()
