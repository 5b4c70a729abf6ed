"""Machines, cylinders, yarns, wearers and plans in columns, and the forms of those that have one."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any, overload

from textual import on
from textual.binding import Binding
from textual.containers import Grid
from textual.widgets import DataTable

from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.widgets.heading import Heading
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.list_screen import BACK, Listed, ListScreen
from hosewright.craft import LEAST_SLOTS, MOST_SLOTS, CraftError
from hosewright.craft.care_labels import read_care
from hosewright.craft.colours import read_colours, show_colour
from hosewright.craft.dial import CLICKS_PER_TURN, LEAST_PITCH_MM, MOST_PITCH_MM, read_position, show_turns
from hosewright.craft.feet import FootMeasured, two_feet
from hosewright.craft.shoes import read_size
from hosewright.craft.units import MM_PER_INCH, quoted, read_whole
from hosewright.craft.yarn import Count, read_yarn_count
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.phrases.field import Field, length, mass, one_of, whole, words, yes_or_no
from hosewright.words.shelf import shelf_columns

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from textual.app import App, ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.host import Host
    from hosewright.phrases.lists import Column

    Item = Machine | Cylinder | Yarn | Wearer | Plan


NAME = words("name", "Name", "what you call it", 80, required=True, example="the attic one")
NOTE = words("note", "Note", "anything worth knowing later", 4000, example="bought in autumn")


@overload
def open_form(app: App[Any], cls: type[Machine], item: Machine | None = None) -> FormScreen[Machine]: ...
@overload
def open_form(app: App[Any], cls: type[Cylinder], item: Cylinder | None = None) -> FormScreen[Cylinder]: ...
@overload
def open_form(app: App[Any], cls: type[Yarn], item: Yarn | None = None) -> FormScreen[Yarn]: ...
@overload
def open_form(app: App[Any], cls: type[Wearer], item: Wearer | None = None) -> FormScreen[Wearer]: ...
def open_form(app: Any, cls: Any, item: Any = None) -> FormScreen[Any]:
    """The form to make a thing of class ``cls``, or to change ``item``. It keeps what it dismisses with."""
    bench: Host = app
    unit, mass_unit = bench.settings.length_unit, bench.settings.mass_unit
    keep = bench.book.keep
    new = item is None
    first: dict[str, Any] = {} if new else dict(item)
    if cls is Machine:
        if not new and item.starting_dial is not None:
            first["starting_dial"] = (item.starting_dial, item.clicks_per_turn)
        title = "A machine" if new else f"Machine: {item.name}"
        return FormScreen(title, machine_fields(unit), first, _builder(Machine, item), keep)
    if cls is Cylinder:
        title = "A cylinder" if new else f"Cylinder: {item.name}"
        return FormScreen(title, cylinder_fields(unit), first, _builder(Cylinder, item), keep)
    if cls is Yarn:
        title = "A yarn" if new else f"Yarn: {item.name}"
        first["count"] = _count_of(item)
        return FormScreen(title, yarn_fields(mass_unit), first, _build_yarn(item), keep, _yarn_remark)
    title = "Someone's feet" if new else f"Feet: {item.name}"
    return FormScreen(title, wearer_fields(unit), first, _builder(Wearer, item), keep, wearer_remark)


def _builder(cls: type[Item], item: Item | None) -> Callable[[dict[str, Any]], Any]:
    def build(values: dict[str, Any]) -> Item:
        if item is not None:
            return cls.model_validate(dict(item) | values)
        return cls.model_validate({"id": shelf_id(str(values["name"]))} | values)

    return build


# --- machine -------------------------------------------------------------------------------------------------

_THOUSANDS = re.compile(r"[0-9]{1,3}(?:[ ,.][0-9]{3})+")
_HALVES = {
    "towards you": "towards you",
    "towards": "towards you",
    "front": "towards you",
    "away from you": "away from you",
    "away": "away from you",
    "back": "away from you",
}
_TURNS = {"clockwise": "clockwise", "anticlockwise": "anticlockwise", "counterclockwise": "anticlockwise"}


def _read_rows(text: str) -> int:
    """20000, "20,000" or "20 000 rows": a whole number, so a mark between thousands is one. Raises CraftError."""
    bare = re.sub(r"\s*rows?\.?\s*$", "", text.strip(), flags=re.IGNORECASE)
    grouped = _THOUSANDS.fullmatch(bare)
    return read_whole(re.sub("[ ,.]", "", bare) if grouped else bare, what="rows", least=1, most=100_000_000)


# A machine's manual comes first: no figure is usual, and without one there is no reminder.
OIL = Field("oil_every_rows", "Oil every", "so many rows, by its manual", _read_rows, example="20,000 rows")


def _show_dial(value: Any) -> str:
    clicks, per_turn = value if isinstance(value, tuple) else (value, CLICKS_PER_TURN)
    return show_turns(clicks, per_turn)


def _read_dial(text: str, before: Mapping[str, Any]) -> int:
    return read_position(text, before.get("clicks_per_turn") or CLICKS_PER_TURN)


def machine_fields(unit: str) -> list[Field]:
    """The lines of a machine, lengths in ``unit``."""
    return [
        NAME,
        whole(
            "clicks_per_turn",
            "Clicks per turn",
            "count them over one full turn of the dial",
            1,
            64,
            required=True,
            example="4",
        ),
        length(
            "thread_pitch_mm",
            "Thread pitch",
            "how far a turn moves the V-cam: measure ten with a caliper, divide by ten",
            unit,
            MOST_PITCH_MM,
            LEAST_PITCH_MM,
            shown=lambda mm: f"{mm / MM_PER_INCH:.3f} in" if unit == "in" else f"{mm:.4g} mm",
            example="1.25 mm",
        ),
        Field(
            "starting_dial",
            "Starting dial",
            "turns below zero, such as 7 1/4",
            shown=_show_dial,
            beside=_read_dial,
            example="7 1/4",
        ),
        words("zero_note", "Zero mark", "how you find it again", 200, what="zero mark note", example="a dot of paint"),
        words("weights", "Usual weights", "what hangs on the buckle", 200, what="weights", example="both plates"),
        words("mast_tension", "Yarn-mast tension", "the usual one", 200, example="two turns in"),
        one_of(
            "heel_half",
            "Heel half",
            "towards you, or away from you",
            _HALVES,
            "is neither: type towards you, or away from you.",
            empty="",
            example="away from you",
        ),
        one_of(
            "carrier_turns",
            "Carrier turns",
            "clockwise or anticlockwise, seen from above",
            _TURNS,
            "is neither: type clockwise or anticlockwise, as you see it from above.",
            empty="",
            example="anticlockwise",
        ),
        OIL,
        NOTE,
    ]


# --- cylinder ------------------------------------------------------------------------------------------------

_SLOT_WORD = re.compile(r"\s*(slots?|needles?)\.?\s*$", re.IGNORECASE)


def _read_slots(text: str) -> int:
    """64, "64 slots" or "64 needles". Raises CraftError."""
    return read_whole(_SLOT_WORD.sub("", text, count=1) or text, what="slots", least=LEAST_SLOTS, most=MOST_SLOTS)


def cylinder_fields(unit: str) -> list[Field]:
    """The lines of a cylinder, lengths in ``unit``."""
    return [
        NAME,
        Field("slots", "Slots", "number of slots", _read_slots, required=True, example="64 slots"),
        length("diameter_mm", "Diameter", "across the needles; may stay empty", unit, 1000.0, 20.0, example="4 1/4 in"),
        NOTE,
    ]


# --- yarn ----------------------------------------------------------------------------------------------------


def yarn_fields(mass_unit: str) -> list[Field]:
    """The lines of a yarn, masses in ``mass_unit``."""
    return [
        NAME,
        words("fibre", "Fibre", "such as wool 75, nylon 25", 200, example="wool 75, nylon 25"),
        Field(
            "count",
            "Count",
            "as on the label: 420 m/100g, 460 yd/100g, tex 238, Nm 4.2, Ne 2.5",
            read_yarn_count,
            lambda count: str(count.typed),
            example="420 m/100g",
        ),
        mass("ball_g", "Put-up", "one ball or skein, such as 100 g", mass_unit, example="100 g"),
        words("colour", "Colour", "as on the label", 200, example="heather"),
        Field(
            "shades",
            "In pictures",
            "teal, dark green, #8a5a3c; stripes as navy, tan",
            read_colours,
            lambda shades: ", ".join(map(show_colour, shades)),
            empty=(),
            example="navy, tan",
        ),
        yes_or_no("striped", "Striped", "yes or no", example="yes"),
        whole("repeat_rows", "Stripes repeat", "after so many rows of a leg", 2, 1000, example="24"),
        words("wash", "Wash", "how tube and socks are washed", 200, example="by hand, 30 °C"),
        Field("care", "Care", "such as wash-30, dry flat", read_care, ", ".join, empty=(), example="wash-30, dry flat"),
        NOTE,
    ]


def _count_of(item: Yarn | None) -> Count | None:
    if item is None or item.m_per_100g is None:
        return None
    return Count(item.count or f"{item.m_per_100g:.0f} m/100g", item.m_per_100g)


def _build_yarn(item: Yarn | None) -> Callable[[dict[str, Any]], Yarn]:
    build = _builder(Yarn, item)

    def build_yarn(values: dict[str, Any]) -> Yarn:
        count: Count | None = values["count"]
        told = {"count": count.typed if count else "", "m_per_100g": count.m_per_100g if count else None}
        made = build(values | told)
        assert isinstance(made, Yarn)
        return made

    return build_yarn


def _yarn_remark(values: Mapping[str, Any]) -> str:
    count = values.get("count")
    return f"The count comes to {count.said}." if isinstance(count, Count) else ""


# --- wearer: feet and legs, as far as anyone has measured them ------------------------------------------------

TIGHT_SOCKS = (
    "Take care: on a foot with diabetes, numbness or poor circulation a tight sock can harm without being felt. "
    "No ease is called safe here: measure the foot, make it loose, and ask a podiatrist or nurse."
)
# name, label, help, most and least in mm, example
_MEASURES = (
    ("foot_length_mm", "Foot length", "standing, the longer foot", 400.0, 60.0, "252 mm"),
    ("left_length_mm", "Left foot", "where each was measured", 400.0, 80.0, "250 mm"),
    ("right_length_mm", "Right foot", "the longer one counts", 400.0, 80.0, "252 mm"),
    ("girth_mm", "Ball girth", "round the widest part", 500.0, 60.0, "236 mm"),
    ("left_girth_mm", "Left ball girth", "where each was measured", 500.0, 60.0, "234 mm"),
    ("right_girth_mm", "Right ball girth", "the larger one counts", 500.0, 60.0, "236 mm"),
    ("heel_ankle_mm", "Heel-ankle girth", "round heel and ankle's bend", 700.0, 80.0, "318 mm"),
    ("ankle_mm", "Ankle girth", "where the leg is narrowest", 600.0, 60.0, "22 cm"),
    ("calf_mm", "Calf girth", "where the leg is widest", 900.0, 60.0, "36 cm"),
    ("fitting_tube_mm", "Fitting sock's tube", "straight part, gore to gore", 400.0, 20.0, "148 mm"),
)


def wearer_fields(unit: str) -> list[Field]:
    """The lines of a wearer, lengths in ``unit``."""
    measures = [
        _no_size(length(name, label, help_words, unit, most, least, example=example))
        for name, label, help_words, most, least, example in _MEASURES
    ]
    return [
        words("name", "Name", "a job or a nickname is enough", 80, required=True, example="the baker"),
        *measures[:3],
        Field("shoe_size", "or shoe size", "such as EU 42 or UK 8", _read_shoe_size, empty="", example="EU 42"),
        *measures[3:],
        yes_or_no("high_instep", "High instep", "yes shows deeper heels", example="yes"),
        one_of(
            "sized_as",
            "Sized as",
            "men or women, to estimate",
            {"men": "men", "women": "women"},
            "is neither: estimates are for men or women; leave it empty for none.",
            empty="",
            example="women",
        ),
        yes_or_no("caution", "Foot at risk", "yes for diabetes, numb feet, poor circulation; else no", example="no"),
        NOTE,
    ]


def _no_size(field: Field) -> Field:
    """``field``, but a shoe size typed where a length belongs is sent to its own line."""

    def reading(text: str) -> float:
        try:
            return float(field.reader(text))
        except CraftError:
            if _is_size(text):
                raise CraftError(
                    f"{quoted(text)} is a shoe size: type it in “or shoe size” below, and leave this line empty."
                ) from None
            raise

    return replace(field, reader=reading)


def _is_size(text: str) -> bool:
    try:
        read_size(text)
    except CraftError:
        return False
    return True


def _read_shoe_size(text: str) -> str:
    """A shoe size as typed, once it is one that can be read. Raises CraftError."""
    read_size(text)
    return text.strip()


def wearer_remark(values: Mapping[str, Any]) -> str:
    """What there is to say about what was typed so far."""
    said = [TIGHT_SOCKS] if values.get("caution") else []
    if values.get("left_length_mm") and values.get("right_length_mm"):
        feet = (FootMeasured(values[f"{side}_length_mm"], values.get(f"{side}_girth_mm")) for side in ("left", "right"))
        said += two_feet(*feet).notes
    elif values.get("shoe_size") and not values.get("foot_length_mm"):
        said.append(read_size(values["shoe_size"]).words)
    return "\n".join(said)


_LISTS: dict[str, tuple[type[Item], str, str]] = {
    "machine": (Machine, "Machines", "m"),
    "cylinder": (Cylinder, "Cylinders", "c"),
    "yarn": (Yarn, "Yarns", "y"),
    "wearer": (Wearer, "Wearers", "w"),
    "plan": (Plan, "Plans", "p"),
}

_ADD = Binding.Group("Add one")


class Kind(Listed["Item"]):
    """One of the lists. Enter changes what is marked, and cranks a plan."""

    BINDINGS = [
        Binding("enter", "select_cursor", "Change"),
        Binding("right", "app.focus_next", show=False),
        Binding("left", "app.focus_previous", show=False),
    ]
    ACROSS = 2

    def __init__(self, kind: str) -> None:
        super().__init__(id=f"shelf-{kind}")
        self.kind = kind
        self.record, self._title, key = _LISTS[kind]
        self.NONE = f"none yet, {key} adds one"

    def shape(self, room: int) -> Sequence[Column[Item]]:
        return shelf_columns(self.record, host(self).settings.length_unit, room)

    def style_of(self, record: Item) -> str:
        """What is out of use steps back."""
        return "muted" if record.retired else ""

    def count_words(self) -> str:
        return f"{super().count_words()} ({_LISTS[self.kind][2]} adds)"


class ShelfScreen(ListScreen[None]):
    """What there is to knit with and whom for."""

    TOPIC = "feet"
    EXPLAIN = (
        "What you have to knit with, whom you knit for, and what you planned. Tab goes from list to list, Enter "
        "changes the marked line, whose earlier versions are kept; on a plan it starts its sock. TURNS DOWN is where "
        "a machine's dial starts, in turns below zero."
    )
    BINDINGS = [
        Binding("m", "add('machine')", "Add a machine", group=_ADD),
        Binding("c", "add('cylinder')", "Add a cylinder", group=_ADD),
        Binding("y", "add('yarn')", "Add a yarn", group=_ADD),
        Binding("w", "add('wearer')", "Add a wearer", group=_ADD),
        Binding("p", "plan", "Plan a sock", group=_ADD),
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Show all", tooltip="What was retired, too"),
        Binding("tab", "app.focus_next", "Next"),
        BACK,
    ]
    DEFAULT_CSS = """
    ShelfScreen Grid { grid-size: 2 3; height: 1fr; }
    ShelfScreen #shelf-plan { column-span: 2; }
    """

    app: Bench

    def compose(self) -> ComposeResult:
        yield Heading("Shelf")
        with Grid():
            for kind in _LISTS:
                yield Kind(kind)
        yield BoundBar()

    def read_again(self, mark: str = "") -> None:
        for shown in self.query(Kind):
            cls: Any = shown.record
            shown.fill(host(self).book.shelf(cls, retired=self.with_old), mark)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_add(self, kind: str) -> None:
        self._open(kind, None)

    def action_plan(self) -> None:
        """Plan a sock; it is on its list when this screen is seen again."""
        self.app.go_to("plan")

    def on_screen_resume(self) -> None:
        """A plan may have been made meanwhile."""
        self.read_again()

    @on(DataTable.RowSelected)
    def _change(self, event: DataTable.RowSelected) -> None:
        listed = event.data_table
        if not isinstance(listed, Kind) or listed.marked is None:
            return
        if isinstance(listed.marked, Plan):
            self.app.go_to("sock", {"plan": listed.marked.id})
        else:
            self._open(listed.kind, listed.marked)

    def _open(self, kind: str, item: Any) -> None:
        def done(made: Any) -> None:
            self.kept(made)
            self.query_one(f"#shelf-{kind}", Kind).focus()

        cls: Any = _LISTS[kind][0]
        self.app.push_screen(open_form(self.app, cls, item), done)

    def action_retire(self) -> None:
        item = self.focused.marked if isinstance(self.focused, Kind) else None
        if item is None:
            self.app.notify("Go to something on a list first.", markup=False)
            return
        if item.retired:
            ask = Ask(f"Take {item.name} back into use?", "back into use", "leave it retired")
        else:
            ask = Ask(f"Retire {item.name}? Sessions that used it stay as they are.", "retire it", "keep it in use")
        self.ask_and_keep(ask, item, retired=not item.retired)
