"""The lines and lists of the planning screen, in the order they are shown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.bench.widgets.field import FormField
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.pick import PickRow
from hosewright.planning.reading import RIBBED

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.craft.turning import Lowering, PlainPasses
    from hosewright.planning.reading import CuffChoice, Deepen

LOWERING_WORDS: dict[Lowering, str] = {
    "far": "one, far side: small gore holes",
    "near": "one, near side: small gore holes",
    "two-and-one": "two down, one up: holes closed",
}
CUFF_WORDS: dict[CuffChoice, str] = {
    "none": "none",
    "hem": "hung hem",
    "picot": "picot edge, hung",
    "rolled": "rolled edge",
    "mock": "mock rib, hung",
    "mock-single": "mock rib, single",
    "ribber": "rib with the ribber",
    "ribber-selvedge": "rib with a selvedge",
}
DEEPEN_WORDS: dict[Deepen, str] = {
    "none": "no",
    "rows": "rows before the heel",
    "passes": "plain passes first",
    "needles": "fewer left in work",
}
SHAPED_WORDS = {"no": "at the baseline", "yes": "by the dial, ankle to calf"}
PLAIN_WORDS = {
    "no": "none",
    "before": "one before",
    "after": "one after",
    "yes": "one before and one after",
}
PLAIN_PASSES: dict[str | None, PlainPasses] = {"before": "before", "after": "after", "yes": True}
USUAL_PATTERN: dict[str, str] = {"mock": "3x1", "mock-single": "3x1", "ribber": "1x1", "ribber-selvedge": "1x1"}

# Every part of the form: its heading and what stands under it.
LAYOUT = (
    ("", ("gauge", "wearer")),
    ("Foot", ("tube", "foot", "ease")),
    ("Cuff and leg", ("cuff", "pattern", "rows", "leg", "shaped", "ankle", "calf")),
    ("Heel and toe", ("left", "toe", "deepen", "deeper", "lowering", "plain", "part")),
    ("", ("name",)),
)
_LINES = (
    ("tube", "Sock's tube", "of a sock that fits"),
    ("foot", "Foot length", "or a size: EU 42"),
    ("ease", "Ease in length", "shorter than the foot"),
    ("pattern", "Rib", "such as 3x1"),
    ("rows", "Cuff rows", "as cranked; hung, even"),
    ("leg", "Leg", "or crew, or knee women"),
    ("ankle", "Ankle girth", "at the narrowest"),
    ("calf", "Calf girth", "at the widest"),
    ("left", "Left in work", "a third is usual"),
    ("toe", "Toe's left", "as the heel when empty"),
    ("part", "Into the heel", "stitches; best is 0"),
    ("deeper", "Rows deeper", "1 to 50"),
    ("name", "Name", ""),
)
_PICKS: tuple[tuple[str, str, str], ...] = (
    ("gauge", "Gauge", "none chosen"),
    ("wearer", "Wearer", "nobody in particular"),
    ("cuff", "Cuff", CUFF_WORDS["hem"]),
    ("shaped", "Leg shaped", SHAPED_WORDS["no"]),
    ("deepen", "High instep", DEEPEN_WORDS["none"]),
    ("lowering", "Needles down", LOWERING_WORDS["far"]),
    ("plain", "Plain passes", PLAIN_WORDS["no"]),
)
CHOICES: dict[str, tuple[Mapping[Any, str], str]] = {
    "cuff": (CUFF_WORDS, "hem"),
    "shaped": (SHAPED_WORDS, "no"),
    "deepen": (DEEPEN_WORDS, "none"),
    "lowering": (LOWERING_WORDS, "far"),
    "plain": (PLAIN_WORDS, "no"),
}


def new_lines() -> dict[str, FieldRow]:
    """The lines to type on, empty."""
    return {name: FieldRow(FormField(name, label, hint, str), "") for name, label, hint in _LINES}


def new_picks() -> dict[str, PickRow]:
    """The lists to choose from, without their choices."""
    return {name: PickRow(name, label, "", none) for name, label, none in _PICKS}


def idle_lines(chosen: dict[str, str | None]) -> set[str]:
    """The lines that mean nothing with what is chosen."""
    idle = set()
    if chosen["cuff"] in (None, "none"):
        idle |= {"pattern", "rows"}
    elif chosen["cuff"] not in RIBBED:
        idle.add("pattern")
    if chosen["shaped"] != "yes":
        idle |= {"ankle", "calf"}
    if chosen["deepen"] in (None, "none"):
        idle.add("deeper")
    return idle
