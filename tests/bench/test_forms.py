"""Forms and the shelf: what is typed is read, kept, shown again and never lost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Input, Select, Static

from hosewright.bench.app import Bench
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.shelf import Kind, ShelfScreen, open_form
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import EntryRow, FormScreen
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import bound_commands
from hosewright.bench.widgets.line import Heading
from hosewright.craft import CraftError
from hosewright.craft.yarn import read_yarn_count
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.phrases.field import FieldError
from hosewright.planning.explanations import MORE
from hosewright.planning.shelf_lines import cylinder_fields
from hosewright.settings.table import Settings
from tests.bench.stage import CYLINDER, MACHINE, YARN, Host, new_book, stock

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook

SIZE = (80, 24)


async def typed(pilot: Pilot[Any], text: str) -> None:
    names = {" ": "space", "/": "slash", ".": "full_stop", ",": "comma"}
    await pilot.press(*[names.get(letter, letter) for letter in text])


def problem(app: Host, name: str) -> str:
    row = app.screen.query_one(f"#row-{name}")
    return str(row.query_one(".form-problem", Static).content) if row.has_class("-wrong") else ""


@pytest.mark.parametrize("text", ["64", "64 slots", "64 needles", "64slots", " 64 Needles "])
def test_slots_with_their_word(text: str) -> None:
    slots = next(field for field in cylinder_fields("in") if field.name == "slots")
    assert slots.read(text) == 64
    for wrong in ("slots", "64 in", "64 slots across", "7 slots", "64.5 needles"):
        with pytest.raises(FieldError):
            slots.read(wrong)


# Standard conversions: 1 tex = 1 g/km; Nm = 1000 / tex; Ne = 590.5 / tex; 1 yd = 0.9144 m.
@pytest.mark.parametrize(
    ("text", "m_per_100g"),
    [
        ("420 m/100g", 420.0),
        ("420 m / 100 g", 420.0),
        ("210m/50g", 420.0),
        ("460 yd/100g", 460 * 0.9144),
        ("tex 238", 100_000 / 238),
        ("238 tex", 100_000 / 238),
        ("Nm 4.2", 420.0),
        ("Nm 2/8", 400.0),
        ("Ne 2.5", 2.5 * 840 * 0.9144 / 453.59237 * 100),
        ("16 yd/oz", 16 * 0.9144 / 28.349523125 * 100),
        ("1600 yd/lb", 1600 * 0.9144 / 453.59237 * 100),
    ],
)
def test_counts_in_any_system(text: str, m_per_100g: float) -> None:
    assert read_yarn_count(text).m_per_100g == pytest.approx(m_per_100g, rel=1e-6)
    assert read_yarn_count(text).typed == text


@pytest.mark.parametrize(
    "text", ["420", "4ply", "420 m/", "m/100g", "420 m/0g", "tex", "0 tex", "x" * 500, "420 m/100cm"]
)
def test_counts_that_cannot_be_read_say_so_in_one_sentence(text: str) -> None:
    with pytest.raises(CraftError) as said:
        read_yarn_count(text)
    assert str(said.value).endswith(".")
    assert len(str(said.value)) < 250


async def test_a_machine_is_typed_with_enter_alone(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Machine))
        await pilot.pause()
        await typed(pilot, "attic")
        # nothing that holds for one maker's machine stands there already
        assert [row.text for row in app.screen.query(EntryRow)][1:] == [""] * 13
        await pilot.press("enter", "4", "enter", *"1.25 mm", "enter")
        await typed(pilot, "6 3/4")
        await pilot.press("enter", "enter", "enter", "enter")
        await typed(pilot, "the back one")
        await pilot.press("enter")
        assert "type towards you, or away from you" in problem(app, "heel_half")
        await pilot.press("up", "ctrl+u")
        await typed(pilot, "Away from you")
        await pilot.press("enter")
        await typed(pilot, "counter-clockwise")
        await pilot.press("enter", "enter")
        await typed(pilot, "every 2nd hook")
        await pilot.press("enter", "enter")
        await typed(pilot, "20,000 rows")
        await pilot.press("enter", "enter")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Machine)
    assert (made.name, made.thread_pitch_mm, made.clicks_per_turn, made.starting_dial) == ("attic", 1.25, 4, 27)
    assert (made.mast_tension, made.oil_every_rows) == ("", 20_000)
    assert (made.cast_on, made.ribber_set) == ("every 2nd hook", "")
    assert (made.heel_half, made.carrier_turns, made.carrier_in) == ("away from you", "anticlockwise", "right")
    assert app.book.shelf(Machine) == [made]


async def test_a_problem_stands_beside_its_field_when_one_leaves_it(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Cylinder))
        await pilot.pause()
        await typed(pilot, "big one")
        await pilot.press("enter")
        await typed(pilot, "seventy")
        assert problem(app, "slots") == ""
        await pilot.press("enter")
        assert "does not start with a number" in problem(app, "slots")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        assert app.screen.query_one("#field-name", Input).value == "big one"
        assert app.screen.query_one("#field-slots", Input).has_focus
        await pilot.press("ctrl+u")
        await typed(pilot, "64")
        assert problem(app, "slots") == ""
        await pilot.press("ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Cylinder)
    assert made.slots == 64
    assert made.diameter_mm is None


async def test_saving_an_empty_form_names_what_is_needed(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Yarn))
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Name is needed" in problem(app, "name")
        assert app.results == []


async def test_leaving_asks_only_when_something_was_typed(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Yarn))
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert app.results == [None]
        app.show(open_form(app, Yarn))
        await pilot.pause()
        await typed(pilot, "yn")
        await pilot.press("escape")
        assert isinstance(app.screen, Ask)
        await pilot.press("n")
        assert isinstance(app.screen, FormScreen)
        assert app.screen.query_one("#field-name", Input).value == "yn"
        await pilot.press("escape", "y")
        await pilot.pause()
        assert app.results == [None, None]


async def test_a_value_left_alone_keeps_its_exact_number(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path), Settings(length_unit="cm"))
    odd = Cylinder(id="odd", name="Odd", slots=54, diameter_mm=100.04)
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Cylinder, odd))
        await pilot.pause()
        assert app.screen.query_one("#field-diameter_mm", Input).value == "10.0 cm"
        await pilot.press("end")  # all of a line is marked when one comes to it
        await typed(pilot, "ly")
        await pilot.press("ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert made == odd.model_copy(update={"name": "Oddly"})


async def test_the_dial_is_read_in_the_clicks_typed_above_it(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Machine, MACHINE))
        await pilot.pause()
        assert app.screen.query_one("#field-starting_dial", Input).value == "8 1/2"
        app.screen.query_one("#field-clicks_per_turn", Input).value = "8"
        await pilot.press("ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Machine)
    assert (made.clicks_per_turn, made.starting_dial) == (8, 68)


async def test_a_yarn_says_what_its_count_comes_to(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Yarn, YARN))
        await pilot.pause()
        assert "238 tex" in str(app.screen.query_one("#form-remark", Static).content)
        await pilot.press("ctrl+s")
        await pilot.pause()
    assert app.results == [YARN]


async def test_a_yarns_colours_are_typed_by_name_and_a_wrong_one_stays_with_what_to_type(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Yarn, YARN))
        await pilot.pause()
        line = app.screen.query_one("#field-shades", Input)
        line.value = "nawy, tan"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert app.results == []
        problem = str(app.screen.query_one("#row-shades .form-problem", Static).content)
        assert "nawy" in problem
        assert "such as teal" in problem
        line.value = "navy, #D2B48C"
        app.screen.query_one("#field-repeat_rows", Input).value = "24"
        await pilot.press("ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Yarn)
    assert (made.shades, made.repeat_rows) == (("#000080", "#d2b48c"), 24)
    assert app.book.get(Yarn, made.id) == made


async def test_a_foot_at_risk_gets_the_caution(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Wearer))
        await pilot.pause()
        await typed(pilot, "neighbour")
        remark = app.screen.query_one("#form-remark", Static)
        app.screen.query_one("#field-caution", Input).value = "no"
        await pilot.pause()
        assert str(remark.content) == ""
        app.screen.query_one("#field-caution", Input).value = "yes"
        await pilot.pause()
        assert "No ease is called safe" in str(remark.content)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Wearer)
    assert made.caution


async def test_what_cannot_be_stored_stays_typed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = Host(new_book(tmp_path))

    def full(item: object) -> None:
        raise LogbookError("Not saved: the disk is full.")

    monkeypatch.setattr(app.book, "keep", full)
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        app.show(open_form(app, Cylinder, CYLINDER))
        await pilot.pause()
        await pilot.press("end", "x", "ctrl+s")
        await pilot.pause()
        assert app.results == []
        assert app.screen.query_one("#field-name", Input).value == CYLINDER.name + "x"
        assert [note.message for note in app._notifications] == ["Not saved: the disk is full."]


async def test_markup_in_a_name_is_only_text(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    odd = Yarn(id="odd", name="[bold]odd[/] [", colour="[red]")
    app.book.keep(odd)
    async with app.run_test(size=SIZE) as pilot:
        app.show(ShelfScreen())
        await pilot.pause()
        shown = app.screen.query_one("#shelf-yarn", Kind)
        assert str(shown.get_row_at(0)[0]) == "[bold]odd[/] ["
        shown.focus()
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.query_one("#field-name", Input).value == odd.name
        await pilot.press("escape")


async def test_the_shelf_adds_changes_and_retires(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(ShelfScreen())
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        await typed(pilot, "cc")  # the letters that add things are only letters here
        await pilot.press("enter", "5", "4", "ctrl+s")
        await pilot.pause()
        assert [item.name for item in app.book.shelf(Cylinder)] == ["Sixty-four", "cc"]
        shown = app.screen.query_one("#shelf-cylinder", Kind)
        assert shown.has_focus
        assert shown.marked is not None
        assert shown.marked.name == "cc"
        await pilot.press("r", "n")
        assert len(app.book.shelf(Cylinder)) == 2
        await pilot.press("r", "y")
        await pilot.pause()
        assert [item.name for item in app.book.shelf(Cylinder)] == ["Sixty-four"]
        await pilot.press("o", "down", "r", "y")
        await pilot.pause()
        assert len(app.book.shelf(Cylinder)) == 2
        await pilot.press("up", "enter")
        await pilot.pause()
        assert app.screen.query_one("#field-slots", Input).value == "64"
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert app.results == [None]


async def test_the_help_explains_keys_that_do_alike_in_one_sentence_for_all(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.push_screen(ShelfScreen())
        await pilot.pause()
        told = {command.shown: command.help for command in bound_commands(app.screen)}
        assert told["m/c/y/w/p"] == "Add one."


async def test_the_shelf_is_in_columns_numbers_on_the_right(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    app.book.keep(Wearer(id="w1", name="Skipper", foot_length_mm=261.0))
    app.book.keep(Wearer(id="w2", name="Bosun", foot_length_mm=95.0, caution=True))
    async with app.run_test(size=SIZE) as pilot:
        app.show(ShelfScreen())
        await pilot.pause()
        shown = app.screen.query_one("#shelf-wearer", Kind)
        rows = [[str(cell) for cell in shown.get_row_at(at)] for at in range(2)]
        assert [[cell.strip() for cell in row][:3] for row in rows] == [
            ["Skipper", "10.28", ""],
            ["Bosun", "3.74", "! at risk"],
        ]
        assert len(rows[0][1]) == len(rows[1][1]), "flush right, so that figures stand below each other"
        assert str(app.screen.query_one(Heading).content) == "Shelf"


async def test_a_shoe_size_is_read_and_kept_as_typed(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Wearer))
        await pilot.pause()
        await typed(pilot, "teacher")
        size = app.screen.query_one("#field-shoe_size", Input)
        size.value = "EU"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert problem(app, "shoe_size")
        size.value = "EU 42"
        await pilot.pause()
        assert "conventions differ" in str(app.screen.query_one("#form-remark", Static).content)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (made,) = app.results
    assert isinstance(made, Wearer)
    assert (made.shoe_size, made.foot_length_mm) == ("EU 42", None)


async def test_a_shoe_size_on_the_line_of_a_length_is_sent_to_its_own(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Wearer))
        await pilot.pause()
        await typed(pilot, "teacher")
        line = app.screen.query_one("#field-foot_length_mm", Input)
        line.value = "UK 10"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "“UK 10” is a shoe size: type it in “or shoe size” below" in problem(app, "foot_length_mm")
        line.value = "ten"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "does not start with a number" in problem(app, "foot_length_mm")


async def test_a_plan_on_the_shelf_is_cranked_by_enter_and_another_planned_by_p(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        plans = app.screen.query_one("#shelf-plan", Kind)
        plans.focus()
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, SockStartScreen)
        assert plans.marked is not None
        assert app.screen.query_one("#field-plan", Select).value == plans.marked.id
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("p")
        await pilot.pause()
        assert isinstance(app.screen, PlanScreen)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (("s", "m", "enter", "enter", "enter", "enter"), MORE["zero_note"]),
        (("p",), MORE["tube"]),
        (("t", "tab", "tab", "tab"), MORE["dial"]),
    ],
    ids=["the zero mark", "the sock's tube", "the dial"],
)
async def test_f1_on_a_line_says_from_where_to_where(keys: tuple[str, ...], said: str, practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys, "f1")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        shown = " ".join(str(one.render()) for one in app.screen.query(Static))
        assert said in shown


@pytest.mark.parametrize(
    ("typed_in", "said"),
    [
        ({"heel_half": "at the back", "carrier_turns": "clockwise"}, "its rows begin at its left end, by needle 1."),
        ({"heel_half": "front", "carrier_turns": "clockwise"}, "its rows begin at its right end, by its last needle."),
        ({"heel_half": "away from you"}, "A heel half away from you rules nothing out."),
        ({"crank_goes": "forwards only"}, "Ruled out: heels and turned toes."),
        ({"ribber_set": "None"}, "Ruled out: what the ribber knits."),
        ({"ribber_set": "post at the second ring"}, ""),
    ],
)
async def test_a_machines_form_says_what_it_rules_out_and_what_its_heel_half_changes(
    tmp_path: Path, typed_in: dict[str, str], said: str
) -> None:
    app = Host(new_book(tmp_path))
    async with app.run_test(size=SIZE) as pilot:
        app.show(open_form(app, Machine))
        await pilot.pause()
        for name, text in typed_in.items():
            app.screen.query_one(f"#field-{name}", Input).value = text
        await pilot.pause()
        remark = str(app.screen.query_one("#form-remark", Static).content)
        assert remark.endswith(said) if said.startswith("its") else remark.startswith(said)
        assert remark or not said
