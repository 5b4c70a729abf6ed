"""A teacher's class on one screen, by real keys: everyone seen, nobody disturbed, each trouble in its place."""

from __future__ import annotations

import os
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

import pytest
from textual.events import MouseScrollDown, MouseScrollUp

from hosewright.bench.classroom.screen import REFRESH_S, ClassApp, ClassScreen, LearnerScreen
from hosewright.bench.widgets.bigtext import large
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.logbook.classroom import Classroom
from hosewright.logbook.file.schema import VERSION
from hosewright.pages import page
from hosewright.places import data_folder
from hosewright.session.events import Observed
from hosewright.settings.table import Settings
from tests.bench.classroom import NOON_MS, Bench, anna, jill
from tests.bench.test_snapshots import picture
from tests.helpers import FakeClock, drive, rows

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from hosewright.logbook.classroom import Look
    from hosewright.phrases.times import Moment

FOLDER = Path(__file__).parent / "snapshots"
SIZES = [(80, 24), (120, 40)]


def app_for(folder: Path, **settings: object) -> ClassApp:
    named = [*sorted(folder.iterdir())]
    return ClassApp(named, Settings(**settings), clock=FakeClock(NOON_MS, zone_min=0, step_ms=0))  # type: ignore[arg-type]


async def looked(pilot: Pilot[int]) -> ClassScreen:
    """Wait until one look at everyone is done and shown."""
    screen = pilot.app.screen_stack[0]
    assert isinstance(screen, ClassScreen)
    for _ in range(2):  # one may be going on already, begun before what it shall see happened
        await done_looking(pilot, screen)
        screen.look()
    await done_looking(pilot, screen)
    return screen


async def done_looking(pilot: Pilot[int], screen: ClassScreen) -> None:
    for _ in range(1000):
        if not screen.looking:
            break
        await pilot.pause(0.01)
    assert not screen.looking
    await pilot.pause()


def list_of(app: ClassApp) -> dict[str, str]:
    """The lines of the class by the learner's name, without the mark of the bar."""
    lines = picture(app).partition("LEARNER")[2].splitlines()[1:]
    return {line[4:].split()[0]: line[2:] for line in lines if line[2:4] in ("  ", "! ", "x ") and line[4:5].isalpha()}


# --- everyone seen ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_everyone_is_seen_side_by_side(benches: dict[str, Bench], tmp_path: Path, size: tuple[int, int]) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=size) as pilot:
        await looked(pilot)
        seen = list_of(app)
        assert list(seen) == ["anna", "bert", "cleo", "dora", "emil", "fred", "gina", "hugo", "ines", "jill"]
        assert "Gauge tube" in seen["anna"]
        assert "12/30" in seen["anna"]
        assert "15/min" in seen["anna"]  # a row every four seconds
        assert seen["bert"].startswith("!")
        assert "30/40" in seen["bert"]
        assert "PAUSED" in seen["bert"]
        assert "3 min" in seen["bert"]  # 236 s
        assert "crank stiff" in seen["cleo"]
        assert "s" not in seen["anna"].split("15/min")[1]
        assert "14/15" in seen["dora"]
        assert seen["dora"].endswith("2 h")
        assert "! no row" in seen["emil"]
        assert seen["fred"].startswith("x")
        assert "newer hosewright" in seen["fred"]
        assert "cannot be read" in seen["gina"]
        assert "nothing begun yet" in seen["hugo"]
        assert "no logbook here yet" in seen["ines"]
        assert seen["jill"].endswith("12 past plan" if size[0] == 80 else "12 rows more than planned")
        head = picture(app).splitlines()[0]
        assert "10 learners, ! 3 need help: bert" in head


async def test_a_row_cranked_is_seen_at_the_next_look(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        live = benches["anna"].book.take_up(benches["anna"].book.lines("open")[0].id)
        drive(live, rows(3), Observed("tuck", 4))
        await looked(pilot)
        assert "15/30" in list_of(app)["anna"]
        assert list_of(app)["anna"].rstrip().endswith("tuck")


async def test_it_looks_again_by_itself(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        live = benches["anna"].book.take_up(benches["anna"].book.lines("open")[0].id)
        drive(live, rows(1))
        await pilot.pause(REFRESH_S + 0.5)
        assert "13/30" in list_of(app)["anna"]


async def test_who_comes_late_gets_a_line_and_the_bar_stays_where_it_was(
    benches: dict[str, Bench], tmp_path: Path
) -> None:
    app = ClassApp([tmp_path / "class"], Settings(), clock=FakeClock(NOON_MS, step_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        await pilot.press("down", "down")
        late = Bench(tmp_path / "class", "alma")
        await looked(pilot)
        assert next(iter(list_of(app))) == "alma"
        assert screen.present is not None
        assert screen.present.name == "cleo"
        late.book.close()


async def test_someone_new_who_waits_is_rung_for_once(
    benches: dict[str, Bench], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung: list[int] = []
    monkeypatch.setattr(ClassApp, "bell", lambda _app: rung.append(1))
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        assert len(rung) == 1
        await looked(pilot)
        assert len(rung) == 1
        assert isinstance(app.clock, FakeClock)
        app.clock.wait(180_000)  # anna too has not pressed for three minutes now
        await looked(pilot)
        assert len(rung) == 2
        assert list_of(app)["anna"].startswith("!")


async def test_a_slow_drive_holds_no_key_up_and_says_so(
    benches: dict[str, Bench], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        slow = Event()
        look = Classroom.look
        monkeypatch.setattr(Classroom, "look", lambda room, now: look(room, now) if slow.wait(30) else ())
        screen.look()
        await pilot.press("down", "down")
        assert screen.looking
        assert screen.present is not None
        assert screen.present.name == "cleo"
        assert isinstance(app.clock, FakeClock)
        app.clock.wait(25_000)
        screen.show()
        await pilot.pause()
        assert "seen 25 s ago: a drive is slow" in picture(app)
        slow.set()
        await looked(pilot)
        assert "a drive is slow" not in picture(app)


async def test_a_fault_in_looking_ends_in_a_sentence(
    benches: dict[str, Bench], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_room: Classroom, _now: Moment) -> tuple[Look, ...]:
        raise KeyError("socks")

    monkeypatch.setattr(Classroom, "look", broken)
    app = app_for(tmp_path / "class")
    with pytest.raises(KeyError):
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause(0.2)
    assert app.return_code == 1
    assert (data_folder() / "trouble.txt").exists()


# --- keys ---------------------------------------------------------------------------------------------------------


async def test_enter_looks_at_one_and_arrows_go_on_to_the_next(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, LearnerScreen)
        shown = picture(app)
        assert "bert   Sock: Slate, the ferryman" in shown
        assert "READ-ONLY" in shown
        assert "NEEDS HELP: paused, 3 min" in shown
        assert "pass 31 of 40: carrier on the left, needle 26 comes down on the right" in " ".join(shown.split())
        assert "Y ▶" in shown  # the needles, as at the crank
        assert "dropped stitch, needle 17" in shown
        await pilot.press("right")
        await pilot.pause()
        assert "never force the crank" in " ".join(picture(app).split())
        await pilot.press("right", "right", "right", "right")
        await pilot.pause()
        assert "gina" in picture(app)
        assert "cannot be read" in picture(app)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, ClassScreen)
        assert app.screen.present is not None
        assert app.screen.present.name == "gina"


async def test_the_one_looked_at_goes_on_while_looked_at(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "GAUGE TUBE · 12 of 30 rows" in picture(app)
        live = benches["anna"].book.take_up(benches["anna"].book.lines("open")[0].id)
        drive(live, rows(2))
        await looked(pilot)
        assert "GAUGE TUBE · 14 of 30 rows" in picture(app)


async def test_n_goes_round_those_who_wait(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        found: list[str] = []
        for _ in range(4):
            await pilot.press("n" if len(found) < 3 else "w")  # the letter of before works still
            assert screen.present is not None
            found.append(screen.present.name)
        assert found == ["bert", "cleo", "emil", "bert"]


async def test_one_click_marks_a_learner_and_the_next_opens_it(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        cleo = next(at for at, line in enumerate(screen.lines) if line.learner == "cleo")
        await pilot.click("#class-list", offset=(10, 1 + cleo))
        assert (app.screen, screen.present and screen.present.name) == (screen, "cleo")
        await pilot.click("#class-list", offset=(10, 0))
        assert app.screen is screen, "no learner is a heading"
        await pilot.click("#class-waits", offset=(10, 2))
        assert screen.present is not None
        assert screen.present.name == "emil", "the longest waiting, whose letters these are"
        await pilot.click("#class-waits", offset=(10, 2))
        assert isinstance(app.screen, LearnerScreen)


async def test_the_wheel_moves_the_bar(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        listed = screen.query_one("#class-list")
        for kind, at in ((MouseScrollDown, 1), (MouseScrollDown, 2), (MouseScrollUp, 1)):
            listed.post_message(kind(listed, 5, 5, 0, 1, 0, False, False, False))
            await pilot.pause()
            assert screen.present is screen.looks[at]


async def test_no_key_stores_anything(benches: dict[str, Bench], tmp_path: Path) -> None:
    def stored() -> list[int]:
        found = []
        for bench in benches.values():
            if bench.book.path.parent.name not in ("fred", "gina"):
                db = bench.book.store.db
                found.append(db.execute("SELECT count(*) FROM events").fetchone()[0])
        return found

    app, before = app_for(tmp_path / "class"), stored()
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        for _ in range(3):
            await pilot.press(
                "enter", "space", "backspace", "d", "1", "enter", "p", "a", "y", "enter", "delete", "down"
            )
        await pilot.press("end", "home", "pagedown", "pageup", "enter")
    assert stored() == before


async def test_help_and_quitting(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        await pilot.press("question_mark")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        assert "read again and again" in " ".join(picture(app).split())
        await pilot.press("escape", "q")
    assert app.return_value == 0


# --- few, many, small ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
@pytest.mark.parametrize("count", [2, 20, 45])
async def test_any_class_can_be_gone_through(tmp_path: Path, count: int, size: tuple[int, int]) -> None:
    for number in range(count):
        bench = Bench(tmp_path, f"learner-{number:02}")
        anna(bench)
        bench.book.close()
    app = app_for(tmp_path)
    async with app.run_test(size=size) as pilot:
        screen = await looked(pilot)
        if count <= 20:
            assert len(list_of(app)) == count  # all of them at once
        for number in range(count):
            assert screen.present is not None
            assert screen.present.name == f"learner-{number:02}"
            barred = [line for line in picture(app).splitlines() if line[1:2] == ">"]
            assert len(barred) == 1
            assert f"learner-{number:02}" in barred[0]
            await pilot.press("down")
        await pilot.press("pageup", "home", "end")
        assert screen.present is not None
        assert screen.present.name == f"learner-{count - 1:02}"


@pytest.mark.parametrize("size", [(20, 5), (40, 10), (60, 16), (250, 80)])
async def test_a_strange_size_is_no_trouble(benches: dict[str, Bench], tmp_path: Path, size: tuple[int, int]) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=size) as pilot:
        await looked(pilot)
        await pilot.press("down", "enter", "right", "right", "escape", "pagedown", "enter", "left", "question_mark")
        await pilot.press("escape", "escape", "q")
    assert app.return_value == 0


async def test_the_terminal_may_be_drawn_larger_and_smaller(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        for size in ((120, 40), (80, 12), (200, 24), (60, 40), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            await pilot.press("down", "enter", "right", "escape")
            await pilot.pause()
        assert app.screen is screen
        assert "anna" in list_of(app)


async def test_a_full_class_says_it_on_one_line_and_more_below(tmp_path: Path) -> None:
    sitting = [Bench(tmp_path, f"learner-{number:02}") for number in range(14)]
    for bench in sitting:
        jill(bench)
    app = app_for(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        assert all(line.endswith("12 past plan") for line in list_of(app).values())
        assert "12 rows more than planned. Noted last: knot (Gauge tube, row 20)." in picture(app)
    for bench in sitting:
        bench.book.close()


async def test_who_needs_help_stands_first_and_large_the_longest_on_top(
    benches: dict[str, Bench], tmp_path: Path
) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await looked(pilot)
        assert [line.learner for line in screen.lines if line.waits] == ["bert", "cleo", "emil"]
        said = picture(app).partition("LEARNER")[0]
        assert said.index("no row, 6 min") < said.index("paused, 3 min")
        for letters in (large("! emil", 80), large("! bert", 80)):
            assert all(line in said for line in letters)
        assert len(list_of(app)) == 10, "and nobody is pushed off the list"
        await pilot.resize_terminal(80, 16)
        await looked(pilot)
        assert not app.screen.query_one("#class-waits").display, "no line is free"


async def test_who_quits_is_said_to_have_left(benches: dict[str, Bench], tmp_path: Path) -> None:
    app = app_for(tmp_path / "class")
    async with app.run_test(size=(80, 24)) as pilot:
        await looked(pilot)
        assert list_of(app)["emil"].endswith("! no row")
        benches["emil"].book.close()
        await looked(pilot)
        assert list_of(app)["emil"].startswith("  emil")
        assert list_of(app)["emil"].endswith("left")
        assert "2 need help: bert (paused), cleo (crank stiff)" in picture(app)


# --- as text ------------------------------------------------------------------------------------------------------

SCREENS: dict[str, tuple[str, ...]] = {
    "class": (),
    "class-one": ("down", "enter"),
    "class-search": ("down", "down", "enter"),
    "class-trouble": ("end", "up", "up", "up", "up"),
}


@pytest.mark.parametrize(
    ("name", "size"), [*((name, size) for name in SCREENS for size in SIZES), ("class", (200, 55))], ids=str
)
async def test_screen(
    name: str, size: tuple[int, int], benches: dict[str, Bench], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    app = app_for(Path("class"))
    async with app.run_test(size=size) as pilot:
        await looked(pilot)
        await pilot.press(*SCREENS[name])
        await looked(pilot)
        await pilot.pause()
        seen = picture(app).replace(f"reads up to {VERSION})", "reads up to 9)")
    path = FOLDER / f"{name}-{size[0]}x{size[1]}.txt"
    if os.environ.get("UPDATE_SNAPSHOTS"):
        path.write_text(seen, encoding="utf-8")
    assert seen == path.read_text(encoding="utf-8"), f"{path.name} looks different; see test_snapshots' first line"


def test_the_page_shows_the_class_as_it_is() -> None:
    snapshot = (Path(__file__).parent / "snapshots" / "class-80x24.txt").read_text(encoding="utf-8")
    block = [line[4:] for line in page("class").splitlines() if line.startswith("    ")]
    seen = [line.rstrip()[1:76].rstrip() for line in snapshot.splitlines()]
    assert len(block) > 4
    assert [line for line in seen if line in block] == block
