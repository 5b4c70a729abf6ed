"""The panels at the crank: what the hands do next is the largest, on its side; states differ by shape."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from textual import events

from hosewright.bench.app import Bench, open_practice
from hosewright.bench.count.dashboard import (
    ahead_words,
    look_of,
    needle_rows,
    next_rows,
    now_words,
    pace_line,
    title_words,
)
from hosewright.bench.count.large import CountWords, count_rows, hands_after, hands_now, sign_of
from hosewright.bench.count.panels import OPENINGS
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.count.sock_panel import SockPanel
from hosewright.bench.past.replay_screen import ReplayScreen
from hosewright.bench.widgets.bigtext import AWAY, DOWN, REST, UNSURE, UP, drawn, width_of
from hosewright.bench.widgets.keybar import GAP, KeyBar, if_room, in_lines
from hosewright.bench.widgets.line import Sheet, Steady
from hosewright.bench.widgets.panel import Panel, cut, framed, row_width, wrapped
from hosewright.counting.from_the_record import Watched
from hosewright.counting.keymap import at_the_foot, commands_for
from hosewright.session.cues import Cue
from hosewright.session.events import Abandoned, Judged, Observed, Paused, Pressed
from hosewright.session.steps import CountPasses, CountRows, Head
from hosewright.session.words import Given
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, folded, head, record, rows, short_sock, sock_plan_steps, sock_steps, to_step

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.book import Logbook
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


def foot(done: int) -> State:
    plan = short_sock(60)
    what = Head("ours", "sock", sock_steps(plan.sections, plan.heel, plan.toe), 24, 60)
    return folded(what, *to_step(what, "foot"), *rows(done))


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
    shown = text(count_rows(state, CountWords("23"), *size))
    (hand,) = hands_now(state)
    needle, arrow = drawn(str(hand.needles[0])), drawn(DOWN)
    assert hand.way == "down"
    assert len(shown) == size[1]
    assert all(len(line) <= size[0] for line in shown)
    place = 0 if hand.side == "left" else size[0] // 2
    side = "\n".join(line.ljust(size[0])[place : place + size[0] // 2] for line in shown)
    assert arrow[0].strip() in side or "".join(sign * 2 for sign in arrow[1]).strip() in side
    other = text(count_rows(heel(24), CountWords("24"), *size))
    assert shown != other
    assert needle[0][0] in side or size[1] >= 10


def test_a_wide_place_has_the_needle_twice_as_large_as_the_count() -> None:
    shown = "\n".join(text(count_rows(heel(5), CountWords("5"), 76, 10)))
    assert drawn("5")[0] in shown
    assert drawn(UP, 2)[4].strip() in shown


@pytest.mark.parametrize("size", SIZES)
def test_elsewhere_the_count_and_the_next_cue_fit(size: tuple[int, int]) -> None:
    shown = text(count_rows(foot(4), CountWords("4", ("18 to go",), cue=Cue(18, "set up the toe")), *size))
    assert any(drawn("4", n)[0].strip() in "\n".join(shown) for n in (1, 2, 3, 4))
    words = " ".join(" ".join(shown).replace("█", " ").replace("▄", " ").replace("▀", " ").split())
    assert ("18 to go" in words) != ("rows, then" in words)  # the same number is not said twice
    assert all(len(line) <= size[0] for line in shown)


def test_in_every_state_a_panel_of_usual_size_has_the_needle_twice_as_large_as_the_count() -> None:
    running = heel(24)
    (hand,) = hands_now(running)
    for word, sign in (("PAUSED", REST), ("3 DOUBTFUL", UNSURE), ("KEYS GO ELSEWHERE", AWAY)):
        shown = "\n".join(text(count_rows(running, CountWords("24", ("of 40 passes",), word, None, sign), 66, 12)))
        assert drawn(str(hand.needles[0]), 2)[0] in shown
        assert drawn(sign)[2] in shown
        assert all(part in shown for part in word.split())


def test_a_number_of_two_digits_is_twice_as_large_beside_a_cue_of_two() -> None:
    words = ("21 to go", "1 min here", "all done 19:20")
    shown = "\n".join(text(count_rows(foot(27), CountWords("27", words, cue=Cue(21, "set up the toe")), 66, 12)))
    assert drawn("27", 2)[0] in shown
    assert all(said in shown for said in ("rows, then set up the toe", *words[1:]))


def test_two_numbers_side_by_side_are_not_read_as_one() -> None:
    shown = text(count_rows(foot(7), CountWords("7", ("2 to go",), cue=Cue(2, "set up the toe")), 116, 5))
    assert drawn("7")[0] in shown[0]
    assert drawn("2")[0] not in shown[0]
    assert "2 to go" in "\n".join(shown)


def test_states_differ_by_shape_not_by_colour_alone() -> None:
    running, paused = heel(5), heel(5)
    looks = {
        "running": look_of(running, keys_here=True),
        "near": look_of(running, due=True, keys_here=True),
        "away": look_of(running, keys_here=False),
        "done": look_of(heel(paused.target or 0), keys_here=True),
        "past": look_of(heel((paused.target or 0) + 1), keys_here=True),
    }
    what = running.head
    for name, event in (("paused", Paused()), ("doubtful", Pressed(doubtful=True))):
        looks[name] = look_of(folded(what, *to_step(what, "heel"), *rows(5), event), keys_here=True)
    shapes = {name: (frame.corners + frame.level + frame.upright, word) for name, (frame, word) in looks.items()}
    assert len(set(shapes.values())) == len(shapes)
    assert shapes["paused"][1] == "PAUSED"


def test_steps_without_a_count_and_trials_have_states_too() -> None:
    what = head("search")
    trial = folded(what, *to_step(what, "trial"), *rows(1))
    stiff = folded(what, *to_step(what, "trial"), *rows(1), Judged("stiff", 26))
    looks = [
        look_of(folded(what), keys_here=True),
        look_of(folded(what), keys_here=False),
        look_of(folded(what, *to_step(what, "trial"), *rows(1), Pressed(doubtful=True)), keys_here=True),
        look_of(folded(what, *to_step(what, "trial"), *rows(1), Paused()), keys_here=True),
        look_of(stiff, keys_here=True),
        look_of(folded(what, Abandoned()), keys_here=True),
    ]
    assert look_of(trial, keys_here=True) == looks[0]
    assert [word for _, word in looks] == ["", "KEYS GO ELSEWHERE", "1 DOUBTFUL", "PAUSED", "DO NOT CRANK", "GIVEN UP"]
    assert len({frame.corners + frame.level for frame, _ in looks[:5]}) == 5
    doubtful = folded(what, *to_step(what, "trial"), *rows(1), Pressed(doubtful=True))
    assert "vouch" in {command.does for command in commands_for(doubtful)}


def test_each_state_has_a_sign_of_its_own_that_stays_in_sight() -> None:
    what = heel(5).head
    target = heel(0).target or 0
    states = {
        "t": (heel(target), True),
        "+3": (heel(target + 3), True),
        "=": (folded(what, *to_step(what, "heel"), *rows(5), Paused()), True),
        "?": (folded(what, *to_step(what, "heel"), *rows(5), Pressed(doubtful=True)), True),
        "x": (heel(5), False),
    }
    for sign, (state, here) in states.items():
        frame, word = look_of(state, keys_here=here)
        assert sign_of(state, frame) == sign
        for size in ((76, 10), (76, 9), (66, 12), (116, 20)):
            shown = "\n".join(text(count_rows(state, CountWords("5", ("of 40",), word, sign=sign), *size)))
            assert word in shown
            assert drawn(sign)[2].strip() in shown or drawn(sign, 2)[4].strip() in shown, f"{sign} at {size}"
    assert sign_of(heel(5), look_of(heel(5), keys_here=True)[0]) == ""


def test_alone_the_hand_is_larger_and_the_count_stands_below_it() -> None:
    shown = text(count_rows(heel(24), CountWords("24", ("of 40 passes",)), 76, 21))
    assert drawn("23", 3)[0].strip() in shown[0]
    assert drawn("24")[0] in shown[16]
    assert any("of 40 passes" in line for line in shown[16:])


def test_next_has_what_comes_after_and_cuts_no_sentence() -> None:
    ahead = ahead_words(heel(23))
    assert [line[:8] for line in ahead] == ["Pass 25:", "Pass 26:", "Pass 27:", "After th"]
    assert hands_after(heel(0).step, 24)[0].needles[0] == int(ahead[0].split()[2])  # type: ignore[arg-type]
    for height in range(3, 14):
        shown = text(next_rows("Crank on.", [("In 3 rows: close.", "")], ahead, "Mind your hands.", 60, height))
        assert len(shown) == height
        assert shown[-1] == "Mind your hands."
        said = " ".join(" ".join(shown).split())
        for line in ahead:
            assert line in said or line[:12] not in said


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
    watched = [Watched(7, "dropped twice"), Watched(31, "split once")]
    assert text(needle_rows(folded(heel(0).head), 76, watched)) == [
        "all 60 needles in work   watch 7 (dropped twice), 31 (split once)"
    ]
    assert text(needle_rows(folded(heel(0).head), 60, watched)) == ["all 60 needles in work   watch 7 (dropped twice)"]


@pytest.mark.parametrize("lowering", ["far", "near"])
def test_each_pass_stands_in_its_panels_title_on_a_narrow_terminal(lowering: str) -> None:
    """A pass said in two lines would take them from the needle's large number: at the turning point of all."""
    for passes in range(40):
        state = heel(passes, lowering)
        title = title_words(state, now_words(state, Given()), 74)
        assert title.startswith(f"Pass {passes + 1}: carrier on the ")
        assert all(str(needle) in title for hand in hands_now(state) for needle in hand.needles)


@pytest.mark.parametrize("slots", [54, 60, 64])
def test_every_sixth_needle_of_a_mock_rib_is_numbered_below_its_cell(slots: int) -> None:
    leg = CountRows("leg", "Leg", 40, out_of_work=(4, 8, slots))
    signs, numbers = text(needle_rows(folded(Head("ours", "sock", (leg,), 24, slots)), 76))
    first = len(signs) - len(signs.lstrip())
    assert signs.count("·") == 3
    for number in range(6, slots + 1, 6):
        start = first + number - 1 - (len(str(number)) - 1) // 2
        assert numbers[start : start + len(str(number))] == str(number)


@pytest.mark.parametrize("slots", [80, 84, 96])
@pytest.mark.parametrize("width", [60, 76])
def test_a_mock_rib_too_wide_for_one_line_stands_whole_in_two(slots: int, width: int) -> None:
    out = tuple(range(4, slots + 1, 4))
    cuff = CountRows("cuff", "Cuff", 40, out_of_work=out)
    shown = text(needle_rows(folded(Head("ours", "sock", (cuff,), 24, slots)), width))
    assert len(shown) == 2
    assert all(len(line) <= width for line in shown)
    needles = "".join(sign for line in shown for sign in line if sign in "┃·")
    assert needles == "┃┃┃·" * (slots // 4)
    for at, line in enumerate(shown):  # each number stands before its own needle
        for number, signs in zip(line.split()[::2], line.split()[1::2], strict=True):
            start = int(number) - 1
            assert needles[start : start + len(signs)] == signs
        assert int(line.split()[0]) == 1 + at * slots // 2


def shown_needles(app: Bench) -> str:
    lines = [strip.text for strip in app.screen._compositor.render_strips()]
    return "".join(sign for line in lines if "┃·┃" in line for sign in line if sign in "┃·")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_whole_mock_rib_of_eighty_is_on_the_screen(size: tuple[int, int], book: Logbook) -> None:
    """At the crank and played again: the last needle is in sight as well."""
    cuff = CountRows("cuff", "Cuff", 40, out_of_work=tuple(range(4, 81, 4)))
    live = book.start(record("sock", slots=80, steps=(cuff, *sock_plan_steps(80))))
    out = "┃┃┃·" * 20
    drive(live, rows(9))
    app = Bench(book, Settings())
    async with app.run_test(size=size) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        assert shown_needles(app) == out
        app.push_screen(ReplayScreen(live.record, list(book.store.entries(live.n))))
        await pilot.pause()
        await pilot.press("end")
        await pilot.pause()
        assert shown_needles(app) == out


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


async def test_the_sock_has_the_yarns_colour_and_another_from_a_colour_change_on(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("enter", "space")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        panel = screen.query_one(SockPanel)

        def colours() -> set[str]:
            lines = [panel.render_line(y) for y in range(panel.size.height)]
            inks = [part.style.color for line in lines for part in line if part.style and set("█▓▀▄") & set(part.text)]
            return {ink.triplet.hex for ink in inks if ink is not None and ink.triplet is not None}

        assert "#ffa500" in colours()  # the yarn's own colour in the practice logbook: orange
        assert "#87ceeb" not in colours()
        screen.live.do(Observed("colour", note="sky blue begins"))
        await pilot.press("space", "space")
        await pilot.pause()
        assert {"#ffa500", "#87ceeb"} <= colours()


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_nothing_moves_when_a_note_or_a_question_opens(tmp_path: Path, size: tuple[int, int]) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=size) as pilot:
        screen = await in_the_heel(pilot)

        def places() -> dict[str | None, object]:
            return {widget.id: widget.region for widget in screen.query("CountView, CountView *")}

        before = places()
        for keys in (("n",), ("n",), ("escape",), ("equals_sign", "1"), ("escape",), ("d", "2"), ("enter", "enter")):
            await pilot.press(*keys)
            await pilot.pause()
            assert places() == before, keys
        foot = screen.query_one("#foot").region
        assert foot.bottom == size[1]


async def test_the_panels_say_what_the_record_knows(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await in_the_heel(pilot)
        panels = {name: screen.query_one(f"#{name}", Panel).plain for name in ("pace", "yarn", "seen", "cylinder")}
        assert "passes a minute, usually" in panels["pace"]
        assert "Rest in 45 min." in panels["pace"]
        assert "This sock 16 g of 33 g, by the plan" in panels["yarn"]
        assert "stop when the" in panels["yarn"]
        assert "split yarn, needle 12" in panels["seen"]
        assert "60 needles, heel half towards you" in panels["cylinder"]


async def test_a_needle_typed_without_enter_is_noted_by_the_next_row(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)
        count = screen.live.state.count
        await pilot.press(
            "n", "d", "1", "2", "space", "n", "t", "1", "2", "escape", "space", "n", "y", "9", "9", "space"
        )
        assert screen.live.state.count == count + 3
        assert [seen.needle for seen in screen.live.state.observations[-3:]] == [12, None, None]


async def test_what_answers_a_key_stays_in_sight_alone(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)

        def said() -> str:
            return str(screen.query_one("#message", Steady).render())

        await pilot.press("l", *["space"] * 15)
        assert said() == "In 1 pass: close the heel."
        await pilot.press("backspace")
        assert said().startswith("Undone: pass 39. The carrier belongs on the left")
        await pilot.press("space", "full_stop")
        assert "close the heel" not in said()
        await pilot.press("backspace", "l")
        assert "close the heel" not in said()


async def test_a_cue_stands_whole_beside_the_sock_on_a_narrow_terminal(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)
        await pilot.press("equals_sign", "9", "enter", "y")
        for left in range(11, 0, -1):
            many = "1 pass" if left == 1 else f"{left} passes"
            said = screen.query_one("#sockline", Sheet).plain.split("  ")
            assert f"In {many}: needles begin to come down." in said
            await pilot.press("space")


async def test_alone_says_the_way_back(tmp_path: Path) -> None:
    app = Bench(open_practice(tmp_path), Settings(press_gap_ms=0), practice=True, troubles=[])
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await in_the_heel(pilot)
        await pilot.press("l")
        await pilot.pause()
        shown = screen.query_one("#count", Panel).plain
        assert "l: all the panels" in shown
        assert drawn("23", 3)[0].strip() in shown


@pytest.mark.parametrize("missing", [None, 12])
@pytest.mark.parametrize("doubted", [0, 2])
@pytest.mark.parametrize("undone", [False, True])
def test_a_trial_has_a_foot_of_two_lines(missing: int | None, doubted: int, undone: bool) -> None:
    trial = folded(head("search"), *to_step(head("search"), "trial"), *rows(1))
    commands = commands_for(replace(trial, doubted=doubted, undone=[()] if undone else []), missing=missing)
    shown = if_room("quiet", at_the_foot(commands), 80)
    assert len(in_lines(shown, 78, len(GAP))) <= 2
    verdicts = [command for command in commands if command.does == "judge"]
    assert len(verdicts) == 6
    kept = {command.does for command in shown}
    assert [command for command in shown if command.does == "judge"] == verdicts
    assert {"count", "take_back", "home", "help"} <= kept
    assert ("missing" in kept) == (missing is not None)


async def test_a_trials_other_letters_are_live_without_standing_at_its_foot(book: Logbook) -> None:
    live = book.start(record("search"))
    crank_to(live, "trial")
    drive(live, rows(1))
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        keys = app.screen.query_one(KeyBar)
        assert keys.size.height == 2
        assert "weights changed" not in keys.plain
        await pilot.press("d", "w", "y")
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        assert [trial.void for trial in app.screen.live.state.trials] == [True]


def test_a_long_cue_is_whole_beside_its_number() -> None:
    said = "hold the weights and draw out the hem's separator yarn"
    words = ("51 to go", "the first had 51", "2 min here", "all done 19:20")
    shown = text(count_rows(foot(9), CountWords("9", words, cue=Cue(13, said)), 76, 14))
    assert " ".join(" ".join(shown).split()).count("separator yarn") == 1


async def test_the_longest_cue_stands_whole_on_a_narrow_terminal(book: Logbook) -> None:
    live = book.start(record("sock", steps=sock_plan_steps(hem_rows=16)))
    crank_to(live, "leg")
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        line = app.screen.query_one("#sockline", Sheet).plain
        assert "draw out the hem's separator yarn.  . seen" in line


def test_the_help_shows_the_needles_as_they_are_drawn() -> None:
    signs = {sign for passes in (5, 24) for sign in text(needle_rows(heel(passes), 116))[0]} - set(" Y▶◀")
    assert {"┃", "▔", "▲", "▼"} <= signs
    assert all(f"{sign} " in OPENINGS["counting"] for sign in signs)


@pytest.mark.parametrize("width", [12, 1, 0, -3])
def test_words_are_wrapped_into_a_panel_that_has_no_width_left(width: int) -> None:
    rows = wrapped("Hang the\nweights", width)
    assert "".join(text for row in rows for text, _ in row).replace(" ", "") == "Hangtheweights"
    assert all(len(text) <= max(1, width) for row in rows for text, _ in row)
