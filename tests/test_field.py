"""A typed line, declared once: what is typed is read, and what is shown can be read again."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.bench.start.sock_screen import SOCK
from hosewright.bench.year import forms as year
from hosewright.logbook.records.shelf import Cylinder, Yarn
from hosewright.phrases import field as lines
from hosewright.phrases.field import Field, FieldError, read_all
from hosewright.phrases.times import Moment
from hosewright.planning import plan_lines, starting
from hosewright.planning import shelf_lines as shelf
from hosewright.settings.lines import line_of
from hosewright.settings.table import KEYS, TABLE

if TYPE_CHECKING:
    from collections.abc import Callable

SHOWS = Field("shows", "The count shows", "which count", choices=(("rows done", "up"), ("rows left", "down")))

CALF = lines.two_sided(lines.length("calf", "Calf", "the widest", "cm", 900, 60, example="36 cm"))
CUFFS = Field("cuff", "Cuff", "the top", choices=(("mock rib, hung", 1), ("rolled", 2), ("none", 0)))
RIB = Field(
    "rib", "Rib", "the top", choices=(("mock rib, hung", "mock rib"), ("none", "none")), also=(("mock", "mock rib"),)
)


@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        (lines.words("note", "Note", "what you like", 20), " the back one ", "the back one"),
        (lines.words("note", "Note", "what you like", 20), "  ", ""),
        (lines.length("girth", "Girth", "round it", "cm"), "21.5", 215.0),
        (lines.length("girth", "Girth", "round it", "cm"), "", None),
        (lines.mass("ball", "Ball", "one", "g"), "100", 100.0),
        (lines.whole("slots", "Slots", "all round", 12, 200), "64", 64),
        (lines.number("ease", "Ease", "in per cent", 0, 50), "7.5", 7.5),
        (CALF, "36 cm", 360.0),
        (CALF, "36 cm left, 37 right", (360.0, 370.0)),
        (CALF, "370 right and 360 mm left", (360.0, 370.0)),
        (lines.yes_or_no("striped", "Striped", "yes or no"), "Yes", True),
        (lines.yes_or_no("striped", "Striped", "yes or no"), "", False),
        (SHOWS, "Rows  left", "down"),
        (SHOWS, "up", "up"),
        (RIB, "Mock-rib hung", "mock rib"),
        (RIB, "mock_rib", "mock rib"),
        (RIB, "mock", "mock rib"),
    ],
)
def test_a_line_is_read_and_what_it_says_is_read_again(field: Field, text: str, value: Any) -> None:
    assert field.read(text) == value
    assert field.read(field.say(value)) == value


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        (
            CALF,
            "36 left",
            "“36 left” is not clear: type one length for both, or both of them, such as 36 cm left, 36 cm",
        ),
        (CALF, "36 left, 37 left", "“36 left, 37 left” has the left one twice: type left and right."),
        (lines.words("note", "Note", "what you like", 5), "too much", "The note is 8 characters long: keep it to 5."),
        (lines.length("girth", "Girth", "round it", "cm", 300.0, 50.0), "2", "The girth “2” comes to 2.0 cm"),
        (lines.whole("slots", "Slots", "all round", 12, 200, required=True), " ", "Slots is needed: all round."),
        (lines.yes_or_no("striped", "Striped", "yes or no"), "perhaps", "type yes or no"),
        (SHOWS, "sideways", "“sideways” is not one of them: The count shows takes rows done or rows left."),
        (RIB, "frilly", "“frilly” is not one of them: Rib takes mock rib, hung or none."),
        (CUFFS, "frilly", "Cuff takes mock rib, hung; rolled or none."),
        (Field("yarn", "Yarn", "which", required=True, missing="Choose a yarn first."), "", "Choose a yarn first."),
    ],
)
def test_what_cannot_be_read_is_said_in_one_sentence_with_its_line(field: Field, text: str, said: str) -> None:
    with pytest.raises(FieldError) as found:
        field.read(text)
    assert said in str(found.value)
    assert found.value.name == field.name


def test_all_lines_are_read_at_once_and_one_may_lean_on_those_above() -> None:
    def turns(text: str, above: Any) -> int:
        return int(text) * int(above.get("per_turn", 1))

    fields = [
        lines.whole("per_turn", "Clicks per turn", "count them", 1, 64, required=True),
        Field("dial", "Dial", "turns below zero", beside=turns),
        lines.whole("rows", "Rows", "as cranked", 1, 200),
    ]
    assert read_all(fields, {"per_turn": "8", "dial": "7", "rows": "60"}) == (
        {"per_turn": 8, "dial": 56, "rows": 60},
        {},
    )
    values, errors = read_all(fields, {"dial": "7", "rows": "some"})
    assert values == {"dial": 7}
    assert list(errors) == ["per_turn", "rows"]


@pytest.mark.parametrize("make", [lines.words, lines.whole, lines.length], ids=lambda make: str(make.__name__))
def test_a_sentence_names_the_line_by_its_label(make: Callable[..., Field]) -> None:
    limits = {"words": (3,), "whole": (1, 9), "length": ("mm", 9.0)}[make.__name__]
    with pytest.raises(FieldError, match="The cuff rows "):
        make("rows", "Cuff rows", "as cranked", *limits).read("10 mm of it")


# --- every line of the product ----------------------------------------------------------------------------------

NOW = Moment(1_760_000_000_000, 60, 0)
CYLINDERS = (Cylinder(id="c64", name="Sixty-four", slots=64), Cylinder(id="c54", name="Fifty-four", slots=54))
LENGTHS = ("in", "cm", "mm")
YARN = Yarn(id="moss", name="Moss", ball_g=100.0)


def declared() -> dict[str, list[Field]]:
    """Every list of lines there is, by where it is filled in."""
    told: dict[str, list[Field]] = {"settings": [line_of(one) for one in TABLE.values() if one.part != KEYS]}
    for unit in ("in", "cm", "mm"):
        told |= {
            f"machine, {unit}": shelf.machine_fields(unit),
            f"cylinder, {unit}": shelf.cylinder_fields(unit),
            f"wearer, {unit}": shelf.wearer_fields(unit),
            f"plan, {unit}": list(plan_lines.sock_fields(unit, 64).values()),
            f"cylinders, {unit}": [
                plan_lines.ball_girth(unit),
                plan_lines.heel_ankle_girth(unit),
                plan_lines.EASE_ROUND,
            ],
            f"response, {unit}": [plan_lines.rows_wanted(unit), plan_lines.days_between(date(2026, 11, 27))],
            f"tubes left out, {unit}": [plan_lines.WITHOUT],
            f"sizes, {unit}": [plan_lines.EASE_ROUND, plan_lines.length_ease("shorter", unit), plan_lines.SIZE_STEP],
        }
    for unit in ("g", "oz"):
        told |= {
            f"yarn, {unit}": shelf.yarn_fields(unit),
            f"lot, {unit}": shelf.lot_fields(unit, YARN, date(2025, 10, 9)),
            f"weighing, {unit}": year.weigh_fields(unit),
        }
    for what in year.TITLES:
        told[f"care: {what}"] = year.care_fields(what, CYLINDERS, NOW)
    for kind in ("search", "tube"):
        told[f"start of a {kind}"] = starting.fresh_fields(kind, lambda: 4)
    told["start of a sock"] = [*SOCK, starting.LOT, shelf.core("g"), *starting.SET_UP]
    told["promise"] = year.promise_fields(date(2025, 10, 9), "crowns")
    return told


LISTS = declared()


def as_typed(field: Field) -> str:
    """The example of a line; where the usual stands there already, that; where one chooses, the second choice."""
    return field.choices[1][0] if field.choices else field.example or field.say(field.empty)


@pytest.mark.parametrize("name", LISTS)
def test_every_line_says_what_belongs_there_and_reads_what_it_shows(name: str) -> None:
    fields = LISTS[name]
    assert len({field.name for field in fields}) == len(fields)
    for field in fields:
        assert field.label, field.name
        assert field.help, field.name
        assert field.explained.startswith(f"{field.label}: {field.help}")
        assert as_typed(field) or field.choices == (), f"{field.name} has no example"
        for words, value in field.choices or ():
            assert field.read(words) == field.read(str(value)) == value
            assert field.say(value) == words
    values, errors = read_all(fields, {field.name: as_typed(field) for field in fields})
    assert errors == {field.name: field.missing for field in fields if field.choices == () and field.required}
    shown = {field.name: field.say(values.get(field.name)) for field in fields}
    again, _ = read_all(fields, shown)
    assert {field.name: field.say(again.get(field.name)) for field in fields} == shown
    exact = {one: value for one, value in values.items() if not isinstance(value, float)}
    assert {one: again[one] for one in exact} == exact
    for one in values.keys() - exact.keys():  # a length is shown to a sixteenth of an inch or a tenth of a cm
        assert again[one] == pytest.approx(values[one], rel=0.02, abs=0.3)


MEASURES = [
    (name, one) for name, fields in LISTS.items() if name != "settings" for one in fields if one.unit in LENGTHS
]


@pytest.mark.parametrize(("name", "field"), MEASURES, ids=[f"{name}: {one.name}" for name, one in MEASURES])
def test_every_measure_says_from_where_to_where(name: str, field: Field) -> None:
    said = field.explained.removeprefix(f"{field.label}: {field.help}.")
    assert re.search(r"\b[Ff]rom .*\bto |\b[Rr]ound (the|its) ", said), f"{name}: {field.name} is measured how?"


SAID_MORE = {
    "machine, cm": ("zero_note", "thread_pitch_mm", "heel_half", "carrier_turns", "starting_dial"),
    "plan, cm": ("tube", "left", "leg", "ease"),
    "yarn, g": ("ball_g", "core_g"),
    "start of a tube": ("dial",),
}


@pytest.mark.parametrize("name", SAID_MORE)
def test_what_is_not_plain_from_its_name_is_explained(name: str) -> None:
    said = {field.name: field for field in LISTS[name]}
    for one in SAID_MORE[name]:
        assert len(said[one].more.split()) >= 10, one
        assert said[one].more in said[one].explained


@pytest.mark.parametrize("name", LISTS)
def test_a_line_left_empty_says_that_it_is_needed_or_takes_what_is_usual(name: str) -> None:
    values, errors = read_all(LISTS[name], {})
    for field in LISTS[name]:
        if field.required:
            assert field.label in errors[field.name] or errors[field.name] == field.missing
        elif field.beside is None:
            assert values[field.name] == field.empty


@pytest.mark.parametrize(
    ("typed", "day"), [("24/12", "2025-12-24"), ("July 2025", "2025-07-01"), ("15.7.2025", "2025-07-15")]
)
def test_the_day_a_lot_was_bought_is_read_as_people_type_days(typed: str, day: str) -> None:
    yarn = Yarn(id="moss", name="Moss")
    (bought,) = [field for field in shelf.lot_fields("g", yarn, date(2026, 3, 1)) if field.name == "bought"]
    assert bought.read(typed) == day
    with pytest.raises(FieldError, match="still to come"):
        bought.read("1 May 2026")
