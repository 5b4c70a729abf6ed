"""The panels at the crank: what the hands do next is the largest, on its side; states differ by shape."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual import events

from hosewright.bench.app import Bench, open_practice
from hosewright.bench.count.dashboard import Told, count_rows, hands_now, look_of, needle_rows, pace_line
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.widgets.digits import DOWN, UP, drawn, width_of
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.bench.widgets.panel import Panel, cut, framed, row_width
from hosewright.session.cues import Cue
from hosewright.session.events import Paused, Pressed
from hosewright.session.procedures import sock_steps
from hosewright.session.steps import CountPasses, Head
from hosewright.settings.table import Settings
from tests.helpers import folded, rows, short_sock, to_step

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.bench.widgets.line import Row
    from hosewright.session.state import State

SIZES = [(76, 10), (66, 12), (38, 6), (116, 20)]


def heel(passes: int, lowering: str = "far") -> State:
    plan = short_sock(60)
    step = next(s for s in sock_steps(plan.sections, plan.heel, plan.toe) if s.id == "heel")
    assert isinstance(step, CountPasses)
    steps = tuple(
        CountPasses("heel", "Heel", step.needles, step.left_in_work, lowering) if s.id == "heel" else s  # type: ignore[arg-type]
        for s in sock_steps(plan.sections, plan.heel, plan.toe)
    )
    what = Head("ours", "sock", steps, 24, 60)
    return folded(what, *to_step(what, "heel"), *rows(passes))


def text(rows_: Sequence[Row]) -> list[str]:
    return ["".join(part for part, _ in row) for row in rows_]


@pytest.mark.parametrize("lowering", ["far", "near", "two-and-one"])
def test_the_hand_is_that_of_the_needles_side(lowering: str) -> None:
    """Held against the list of passes itself: a needle left of those that knit is the left hand's, and so on."""
    turning = heel(0, lowering).step.turning  # type: ignore[union-attr]
    for passes in range(turning.count):
        ahead = turning.at(passes + 1)
        told = {(n, hand.way, hand.side) for hand in hands_now(heel(passes, lowering)) for n in hand.needles}
        knitting = set(ahead.in_work) - set(ahead.lower)
        wanted = {(n, "up", "left" if n < min(knitting) else "right") for n in ahead.lift}
        wanted |= {(n, "down", "left" if n < min(knitting) else "right") for n in ahead.lower}
        assert told == wanted, f"pass {passes + 1}"


@pytest.mark.parametrize("size", SIZES)
def test_the_needle_and_its_arrow_stand_on_that_hands_side(size: tuple[int, int]) -> None:
    state = heel(23)
    shown = text(count_rows(state, Told("23"), *size))
    (hand,) = hands_now(state)
    needle, arrow = drawn(str(hand.needles[0])), drawn(DOWN)
    assert hand.way == "down"
    assert len(shown) == size[1]
    assert all(len(line) <= size[0] for line in shown)
    place = 0 if hand.side == "left" else size[0] // 2
    side = "\n".join(line.ljust(size[0])[place : place + size[0] // 2] for line in shown)
    assert arrow[0].strip() in side or "".join(sign * 2 for sign in arrow[1]).strip() in side
    other = text(count_rows(heel(24), Told("24"), *size))
    assert shown != other
    assert needle[0][0] in side or size[1] >= 10


def test_a_wide_place_has_the_needle_twice_as_large_as_the_count() -> None:
    shown = "\n".join(text(count_rows(heel(5), Told("5"), 76, 10)))
    assert drawn("5")[0] in shown
    assert drawn(UP, 2)[4].strip() in shown


@pytest.mark.parametrize("size", SIZES)
def test_elsewhere_the_count_and_the_next_cue_fit(size: tuple[int, int]) -> None:
    plan = short_sock(60)
    what = Head("ours", "sock", sock_steps(plan.sections, plan.heel, plan.toe), 24, 60)
    state = folded(what, *to_step(what, "foot"), *rows(4))
    shown = text(count_rows(state, Told("4", ("18 to go",), cue=Cue(18, "set up the toe")), *size))
    assert any(drawn("4", n)[0].strip() in "\n".join(shown) for n in (1, 2, 3, 4))
    assert "18 to go" in "\n".join(shown)
    assert all(len(line) <= size[0] for line in shown)


def test_states_differ_by_shape_not_by_colour_alone() -> None:
    running, paused = heel(5), heel(5)
    looks = {
        "running": look_of(running, None, keys_here=True),
        "near": look_of(running, Cue(2, "close the heel"), keys_here=True),
        "away": look_of(running, None, keys_here=False),
        "done": look_of(heel(paused.target or 0), None, keys_here=True),
        "past": look_of(heel((paused.target or 0) + 1), None, keys_here=True),
    }
    what = running.head
    for name, event in (("paused", Paused()), ("doubtful", Pressed(doubtful=True))):
        looks[name] = look_of(folded(what, *to_step(what, "heel"), *rows(5), event), None, keys_here=True)
    shapes = {name: (frame.corners + frame.level + frame.upright, word) for name, (frame, word) in looks.items()}
    assert len(set(shapes.values())) == len(shapes)
    assert shapes["paused"][1] == "PAUSED"


def test_every_needle_has_its_sign_and_the_one_to_move_its_number() -> None:
    for width in (40, 76, 116):
        line, numbers = text(needle_rows(heel(23), width))
        assert sum(line.count(sign) for sign in "┃▼") == 14
        assert "◀ Y" in line
        assert " 9 " in numbers
        assert len(line) <= width
    line, _ = text(needle_rows(heel(24), 76))
    assert line.strip().startswith("Y ▶")
    assert text(needle_rows(folded(heel(0).head), 76)) == ["all 60 needles in work"]


def test_a_faster_crank_stands_higher() -> None:
    assert pace_line((2000, 1000, 2000), 10) == "▄█▄"
    assert len(pace_line(tuple(range(1000, 1200)), 30)) <= 30
    assert pace_line((), 10) == ""


def test_a_frame_has_its_size_whatever_stands_in_it() -> None:
    for width, height in ((10, 3), (40, 8)):
        made = framed([[("x" * 100, "")], [("[b]y", "bold")]], "A TITLE", "aside", width, height)
        assert [row_width(row) for row in made] == [width] * height
    assert row_width(cut([("abc", ""), ("def", "bold")], 4)) == 4


def test_digits_are_five_lines_or_a_multiple() -> None:
    for size in (1, 2, 3):
        lines = drawn("40/", size)
        assert len(lines) == 5 * size
        assert {len(line) for line in lines} == {width_of("40/", size)}
    full, hollow = drawn("8"), drawn("8", hollow=True)
    assert not set("".join(full)) & set("".join(hollow)) - {" "}


# --- on the bench ---------------------------------------------------------------------------------------------------


async def in_the_heel(pilot: Pilot[int]) -> SessionScreen:
    await pilot.press("enter", "space")
    await pilot.pause()
    assert isinstance(pilot.app.screen, SessionScreen)
    return pilot.app.screen


async def test_the_note_key_shows_what_can_be_noted_and_space_still_counts(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)
        foot = screen.query_one(KeyBar)
        assert "d dropped" not in foot.plain
        count = screen.live.state.count
        where = {widget.id: widget.region for widget in screen.query("CountView, CountView *")}
        await pilot.press("n")
        assert "d dropped" in foot.plain
        assert "Esc close" in foot.plain
        assert {widget.id: widget.region.width for widget in screen.query("CountView, CountView *")} == {
            name: region.width for name, region in where.items()
        }
        await pilot.press("space")
        assert screen.live.state.count == count + 1
        assert "d dropped" not in foot.plain
        await pilot.press("n", "escape")
        assert app.screen is screen
        assert "d dropped" not in foot.plain
        await pilot.press("n", "d")
        assert screen.live.state.observations[-1].fault == "dropped"


async def test_a_number_typed_after_the_key_that_puts_right_is_the_count(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)
        await pilot.press("equals_sign")
        assert "r hang again" in screen.query_one(KeyBar).plain
        await pilot.press("2", "5", "enter")
        await pilot.pause()
        assert screen.live.state.count == 25


async def test_a_click_on_the_foot_is_its_key(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)
        foot = screen.query_one(KeyBar)
        count = screen.live.state.count
        assert await pilot.click(KeyBar, offset=(2, 0))
        await pilot.pause()
        assert screen.live.state.count == count + 1
        x = foot.plain.splitlines()[0].index("note…") + 1
        await pilot.hover(KeyBar, offset=(x + 1, 0))
        await pilot.click(KeyBar, offset=(x + 1, 0))
        await pilot.pause()
        assert "d dropped" in foot.plain


async def test_the_sock_fills_with_each_pass(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await in_the_heel(pilot)
        sock = screen.query_one("#sock", Panel)
        before = sock.plain
        assert "heel 24/40" in before
        for _ in range(6):
            app.post_message(events.Key("space", " "))
        await pilot.pause()
        assert "heel 30/40" in sock.plain
        assert sock.plain.count("▓") + sock.plain.count("▀") > before.count("▓") + before.count("▀")
        await pilot.press("backspace")
        assert "heel 29/40" in sock.plain
