"""The care of a machine on the bench: one key to say it was oiled, forms for the rest, a reminder that never blocks."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest
from textual import events
from textual.widgets import Input, Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.year.care_screen import CareScreen, Done
from hosewright.bench.year.forms import read_needles, read_when
from hosewright.craft import CraftError
from hosewright.logbook.accounts.care import blank, history
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Cylinder, Machine
from hosewright.phrases.times import Moment
from hosewright.places import logbook_path
from hosewright.settings.table import Settings
from tests.bench.stage import MACHINE, START_MS, Host, begin_tube, measure_tube, new_book, stock
from tests.bench.test_snapshots import hold_at, picture

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot


SIZES = [(80, 24), (120, 40)]
SECOND = Machine(id="cellar", name="The cellar machine", clicks_per_turn=4)
NOW = Moment(START_MS, 60, 0)


@pytest.fixture
def app(tmp_path: Path) -> Host:
    host = Host(new_book(tmp_path))
    stock(host.book)
    measure_tube(host.book)  # 76 rows
    return host


def shown(app: Any) -> str:
    return picture(app)


def said(app: Host | Bench, name: str) -> str:
    return str(app.screen.query_one(f"#{name}", Static).content)


def done(app: Host) -> list[str]:
    listed = app.screen.query_one(Done)
    return [" ".join(" ".join(map(str, listed.get_row_at(at))).split()) for at in range(listed.row_count)]


async def typed(pilot: Pilot[None], text: str) -> None:
    await pilot.press(*("space" if c == " " else "minus" if c == "-" else "comma" if c == "," else c for c in text))


async def opened(app: Host, pilot: Pilot[None]) -> None:
    app.show(CareScreen())
    for _ in range(3):
        await pilot.pause()


def needles_of(book: Logbook) -> list[tuple[int, ...]]:
    return [item.needles for item in history(book, MACHINE.id)]


async def test_oiled_now_asks_for_nothing_more(app: Host) -> None:
    async with app.run_test() as pilot:
        await opened(app, pilot)
        figures = said(app, "care-figures").splitlines()
        assert figures[0] == "Since oiled  not noted yet"
        assert figures[1].split()[:4] == ["This", "month", "76", "rows"]
        assert figures[2].split() == ["Ever", "the", "same"]
        await pilot.press("o")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, CareScreen)
        assert said(app, "care-figures").splitlines()[0].split("  ")[1].strip() == "0 rows"
        assert done(app) == ["9 Oct 2025 oiled"]
    (item,) = history(app.book, MACHINE.id)
    assert (item.what, item.machine) == ("oiled", MACHINE.id)


async def test_a_needle_changed_is_typed_and_its_cylinder_known(app: Host) -> None:
    app.book.keep(Cylinder(id="c60", name="Sixty", slots=60))
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press("n")
        await pilot.pause()
        await typed(pilot, "23, 24")
        assert "Crank still and weights off" in said(app, "form-remark")
        assert app.screen.query_one("#field-cylinder", Input).value == "Sixty-four"  # the one cranked last
        await pilot.press("enter", "enter")
        await typed(pilot, "drop")
        await pilot.press("enter")
        assert "is not a fault of a needle" in str(app.screen.query_one("#row-fault .form-problem", Static).content)
        await pilot.press("up")
        await typed(pilot, "dropped")
        await pilot.press("enter")
        await typed(pilot, "latch bent")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert done(app) == ["9 Oct 2025 needles changed: 23 and 24 on Sixty-four, dropped stitch; latch bent"]
    (item,) = history(app.book, MACHINE.id)
    assert (item.needles, item.cylinder, item.fault, item.why) == ((23, 24), "c64", "dropped", "latch bent")


async def test_a_needle_the_cylinder_has_not_is_refused_beside_its_field(app: Host) -> None:
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press("n")
        await pilot.pause()
        await typed(pilot, "73")
        await pilot.press("ctrl+s")
        await pilot.pause()
        problem = str(app.screen.query_one("#row-needles .form-problem", Static).content)
        assert problem == "! Needles of that cylinder are numbered 1 to 64; 73 is not."
    assert history(app.book, MACHINE.id) == []


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("p", "heel spring", "part: heel spring"),
        ("t", "half a needle on", "ribber timed: half a needle on"),
        ("k", "runs quiet", "note: runs quiet"),
    ],
)
async def test_a_part_the_ribber_and_a_note(app: Host, key: str, text: str, words: str) -> None:
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press(key)
        await pilot.pause()
        await typed(pilot, text)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert done(app) == [f"9 Oct 2025 {words}"]


async def test_an_entry_is_put_right_and_what_it_said_is_kept(app: Host) -> None:
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press("o")
        await pilot.pause()
        await pilot.press("e")
        await pilot.pause()
        assert isinstance(app.screen, FormScreen)
        app.screen.query_one("#field-when", Input).value = "2025-10-02"
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.pause()
        assert done(app) == ["2 Oct 2025 oiled"]
        assert said(app, "care-figures").startswith("Since oiled, 2 Oct 2025")
        assert "76 rows" in said(app, "care-figures").splitlines()[0]
    revisions = [row for row in app.book.store.revisions() if row[0] == "care"]
    assert [row[2] for row in revisions] == [1, 2]


async def test_striking_out_asks_and_can_be_undone(app: Host) -> None:
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press("o")
        await pilot.pause()
        await pilot.press("r", "n")
        await pilot.pause()
        assert done(app) == ["9 Oct 2025 oiled"]
        await pilot.press("r", "y")
        await pilot.pause()
        await pilot.pause()
        assert done(app) == ["9 Oct 2025 oiled (struck out)"]
        assert said(app, "care-figures").splitlines()[0].endswith("not noted yet")
        await pilot.press("r", "y")
        await pilot.pause()
        assert done(app) == ["9 Oct 2025 oiled"]


async def test_the_reminder_comes_with_the_manuals_figure_and_goes_with_the_oil(app: Host) -> None:
    async with app.run_test() as pilot:
        await opened(app, pilot)
        assert said(app, "care-oil") == "No oil reminder yet: the figure from its manual is not entered."
        await pilot.press("u")
        await pilot.pause()
        assert "Empty: no reminder" in said(app, "form-remark")
        await typed(pilot, "60")
        await pilot.press("ctrl+s")
        for _ in range(3):
            await pilot.pause()
        assert said(app, "care-oil") == "Oil is due: by its manual every 60 rows, 16 past it."
        await pilot.press("o")
        for _ in range(3):
            await pilot.pause()
        assert said(app, "care-oil") == "Oil every 60 rows by its manual: 60 to go."


async def test_each_machine_has_its_own_figures(app: Host) -> None:
    app.book.keep(SECOND)
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press("o", "down")
        for _ in range(3):
            await pilot.pause()
        assert said(app, "care-figures").splitlines()[1].split()[:4] == ["This", "month", "0", "rows"]
        assert done(app) == []
        assert "nothing noted yet" in shown(app)


async def test_a_name_with_brackets_is_shown_as_typed(app: Host) -> None:
    app.book.keep(MACHINE.model_copy(update={"name": "[b]Old[/b] one [/"}))
    async with app.run_test() as pilot:
        await opened(app, pilot)
        assert "What was done to [b]Old[/b] one [/" in shown(app)
        assert shown(app).count("[b]Old[/b] one [/") == 2


async def test_without_a_machine_nothing_can_be_noted(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test() as pilot:
        await opened(app, pilot)
        await pilot.press("o", "n", "u", "e", "r")
        await pilot.pause()
        assert isinstance(app.screen, CareScreen)
        assert "none yet" in shown(app)
    assert list(app.book.store.revisions()) == []


async def test_looking_only_says_why_nothing_is_noted(app: Host) -> None:
    app.book.store.make_read_only("Another bench has this logbook open.")
    async with app.run_test(notifications=True) as pilot:
        await opened(app, pilot)
        await pilot.press("o")
        await pilot.pause()
        assert "Another bench has this logbook open." in shown(app)
    assert history(app.book, MACHINE.id) == []


# --- the bench ---------------------------------------------------------------------------------------------------


def bench(folder: Path, every: int | None) -> Bench:
    book = new_book(folder)
    stock(book)
    book.keep(MACHINE.model_copy(update={"oil_every_rows": every}))
    measure_tube(book)
    return Bench(book, Settings(press_gap_ms=0))


async def test_the_bench_reminds_after_its_first_frame(tmp_path: Path) -> None:
    app = bench(tmp_path, 60)
    async with app.run_test() as pilot:
        for _ in range(3):
            await pilot.pause()
        assert said(app, "message").startswith("! The attic machine: 76 rows")
        await pilot.press("m", "o", "escape")
        for _ in range(3):
            await pilot.pause()
        assert said(app, "message") == ""


async def test_the_bench_says_nothing_without_a_figure(tmp_path: Path) -> None:
    app = bench(tmp_path, None)
    async with app.run_test() as pilot:
        for _ in range(3):
            await pilot.pause()
        assert said(app, "message") == ""


async def test_a_session_starts_with_the_reminder_and_is_not_held_up(tmp_path: Path) -> None:
    app = bench(tmp_path, 60)
    record = begin_tube(app.book).record
    again = record.model_copy(update={"id": app.book.new_id()})
    async with app.run_test(notifications=True) as pilot:
        await pilot.pause()
        app.start_session(again)
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        seen = shown(app)
        assert "no oiling was ever" in seen
        assert "its manual says every 60." in seen
        await pilot.press(*["enter"] * 4, *["space"] * 3)
        await pilot.pause()
        assert app.screen.live.state.count == 3


# --- reading -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "needles"),
    [
        ("23", (23,)),
        ("23, 24", (23, 24)),
        ("23 24", (23, 24)),
        ("1 and 30-33", (1, 30, 31, 32, 33)),
        ("30 to 32; 5", (30, 31, 32, 5)),
        ("7, 7", (7,)),
    ],
)
def test_needles_as_they_are_typed(text: str, needles: tuple[int, ...]) -> None:
    assert read_needles(text) == needles


@pytest.mark.parametrize("text", ["", "x", "0", "9-3", "1,,2", "401", "-4", "1" * 50, "23 bent"])
def test_needles_that_cannot_be_read_say_so_in_one_sentence(text: str) -> None:
    with pytest.raises(CraftError) as error:
        read_needles(text)
    assert str(error.value).endswith(".")
    assert len(str(error.value)) < 200


def test_days_as_they_are_typed() -> None:
    noon = read_when("2025-10-03", NOW)
    assert noon == read_when("2025-10-03 12:00", NOW)
    assert noon[0] % 86_400_000 == 11 * 3_600_000  # noon by the clock on the wall, an hour ahead of UTC
    assert read_when("2025-10-09", NOW) == (START_MS, 60)  # today: now
    for text in ("2026-01-01", "2025-13-01", "yesterday", "1969-01-01", "3/10/25"):
        with pytest.raises(CraftError):
            read_when(text, NOW)


@pytest.mark.parametrize("size", SIZES)
async def test_everything_has_its_place_on_the_screen(app: Host, size: tuple[int, int]) -> None:
    app.book.keep(MACHINE.model_copy(update={"oil_every_rows": 60}))
    app.book.keep(SECOND)
    async with app.run_test(size=size) as pilot:
        await opened(app, pilot)
        for number in range(3):
            await pilot.press("k", *f"note{number}", "ctrl+s")
            await pilot.pause()
        seen = shown(app)
        for words in (
            "Machines",
            "The cellar machine",
            "Ever",
            "note2",
            "note0",
            "by its manual every 60 rows",
            "o oiled now",
        ):
            assert words in seen
        assert "Never force a stiff crank" in " ".join(seen.split())
        assert "Your machine's own manual" in " ".join(seen.split())


# --- as it looks --------------------------------------------------------------------------------------------------

LOOKS: dict[str, tuple[str, ...]] = {
    "care": (),
    "care-needles": ("n", *"23", "enter", "enter", *"dropped"),
    "care-oil": ("u",),
    "care-strike": ("tab", "r"),
}


@pytest.mark.parametrize("name", LOOKS)
async def test_how_it_looks(app: Host, name: str) -> None:
    app.book.keep(MACHINE.model_copy(update={"oil_every_rows": 60}))
    app.book.keep(SECOND)
    noted: list[tuple[str, dict[str, object]]] = [
        ("oiled", {}),
        ("part", {"note": "heel spring", "why": "carrier lagged behind on every pass of the last two heels"}),
        ("needle", {"needles": (23, 30, 31, 32), "cylinder": "c64", "fault": "dropped", "why": "latch bent"}),
        ("oiled", {"retired": True}),
    ]
    for day, (what, more) in enumerate(noted):
        own: dict[str, object] = {"at_ms": START_MS - (9 - day) * 86_400_000}
        app.book.keep(blank(MACHINE, what, NOW).model_copy(update=own | more))
    async with app.run_test(size=SIZES[0]) as pilot:
        await opened(app, pilot)
        await pilot.press(*LOOKS[name])
        await pilot.pause()
        await hold_at(pilot, name)


async def test_leaving_before_it_is_counted_harms_nothing(tmp_path: Path) -> None:
    app = bench(tmp_path, 60)
    app.book.keep(SECOND)
    async with app.run_test() as pilot:
        for _ in range(3):
            for key in ("m", "down", "o", "escape", "m", "escape"):
                app.post_message(events.Key(key, key if len(key) == 1 else None))
            for _ in range(6):
                await pilot.pause()
        assert isinstance(app.screen, HomeScreen)


async def test_oiled_on_the_command_line_is_kept_by_the_bench_that_is_open() -> None:
    book = Logbook.for_counting(logbook_path())
    book.keep(MACHINE)
    bench = Bench(book, Settings())
    async with bench.run_test(notifications=True) as pilot:
        command = [sys.executable, "-m", "hosewright", "care", MACHINE.id, "--oiled"]
        told = asyncio.create_task(asyncio.to_thread(subprocess.run, command, capture_output=True, text=True))
        while not told.done():
            await pilot.pause(0.05)
        ran = told.result()
        assert (ran.returncode, ran.stderr) == (0, "")
        assert "oiled" in ran.stdout.splitlines()[-1]
        assert "Noted from another terminal: oiled." in [one.message for one in bench._notifications]
        assert [item.what for item in history(book, MACHINE.id)] == ["oiled"]
    book.close()
