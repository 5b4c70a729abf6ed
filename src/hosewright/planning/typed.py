"""What is typed or chosen for a sock, read together: into values, or a sentence for each line that is wrong."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Literal, cast

from hosewright.craft import CraftError
from hosewright.craft.cuffs import check_cuff, evenness, make_cuff, read_needle_out
from hosewright.craft.heels import HeelAs, on_needles, usual_gusset
from hosewright.craft.ribs import make_rib, read_rib
from hosewright.phrases.field import read_all
from hosewright.planning.choices import RIBBED
from hosewright.planning.plan_lines import USUAL_CUFF_ROWS, LegTyped, sock_fields

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.craft.cuffs import Cuff, Kind
    from hosewright.craft.heels import EndKind, HeelKind
    from hosewright.craft.ribs import Rib
    from hosewright.craft.shoes import FootSize
    from hosewright.craft.stripes import Stripes
    from hosewright.craft.turning import Lowering, PlainPasses

DeepenWay = Literal["none", "rows", "passes", "needles"]

_HUNG = ("hem", "picot", "mock rib")
_AS_READ = ("leg", "stripes", "end", "left", "lowering", "deepen", "extra_rows", "extra_passes")
_PLAIN: dict[str, PlainPasses] = {"none": False, "before": "before", "after": "after", "both": True}


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands on the lines of a sock, as text; each is read by the field of its name."""

    name: str = ""
    tube: str = ""
    foot: str = ""
    ease: str = ""
    cuff: str = "none"
    pattern: str = ""
    rows: str = ""
    leg: str = ""
    leg_rib: str = ""
    instep_rib: str = ""
    stripes: str = ""
    shaped: str = "no"
    ankle: str = ""
    calf: str = ""
    heel: str = "short-row"
    end: str = "toe"
    heel_needles: str = ""
    gusset: str = ""
    left: str = ""
    toe: str = ""
    part: str = ""
    deepen: str = "none"
    deeper: str = ""
    lowering: str = "far"
    plain: str = "none"
    reinforced: str = "no"
    extra_rows: str = ""
    extra_passes: str = ""


@dataclass(frozen=True, slots=True)
class Values:
    """What was typed, read. Lengths in mm; ``deeper`` in rows, made by the way ``deepen``.

    ``extra_rows`` before the heel and ``extra_passes`` before it narrows are there whether or not it is made deeper.
    """

    tube_mm: float | None
    foot_mm: float | None
    foot_size: FootSize | None
    ease_mm: float
    cuff: Cuff | None
    leg: LegTyped
    rib: Rib | None
    stripes: Stripes | None
    shaped: bool
    ankle_mm: float | None
    calf_mm: float | None
    heel: HeelAs
    end: EndKind
    left: int | None
    toe_left: int | None
    lowering: Lowering
    plain_passes: PlainPasses
    reinforced: bool
    part_row: int
    deepen: DeepenWay
    deeper: int
    extra_rows: int
    extra_passes: int


def read_values(typed: Typed, slots: int | None, unit: str = "in") -> tuple[Values | None, dict[str, str]]:
    """What was typed, or what is wrong with it by field."""
    read, problems = read_all(sock_fields(unit, slots).values(), asdict(typed))
    if read.get("deepen", "none") == "none":
        problems.pop("deeper", None)
        deeper = 0
    else:
        deeper = read.get("deeper") or 0
        if not deeper:
            problems.setdefault("deeper", "Type how many rows deeper the heel is to be, from 1 to 50.")
    cuff = None if slots is None else _cuff(read, slots, problems)
    heel = _heel(read, slots, problems)
    rib = None if slots is None else _rib(read, slots, heel, problems)
    if problems:
        return None, problems
    foot_mm, foot_size = read["foot"]
    return Values(
        **{name: read[name] for name in _AS_READ},
        **{f"{name}_mm": read[name] for name in ("tube", "ease", "ankle", "calf")},
        foot_mm=foot_mm,
        foot_size=foot_size,
        cuff=cuff,
        rib=rib,
        shaped=read["shaped"] == "yes",
        heel=heel,
        toe_left=read["toe"],
        plain_passes=_PLAIN[read["plain"]],
        reinforced=read["reinforced"] == "yes",
        part_row=read["part"],
        deeper=deeper,
    ), {}


def _rib(read: Mapping[str, Any], slots: int, heel: HeelAs, problems: dict[str, str]) -> Rib | None:
    """The ribs of leg and instep; what is wrong with them goes to the line it is about."""
    leg, instep = read.get("leg_rib", ""), read.get("instep_rib", "")
    if instep and instep != leg:
        problems.setdefault(
            "instep_rib",
            f"The instep's ribs are the leg's, gone on: type {leg} here, too, or leave it plain."
            if leg
            else "The instep's ribs come down from the leg: type the leg's rib, too.",
        )
    elif leg and read.get("shaped") == "yes":
        problems.setdefault(
            "leg_rib", "What a click does to a rib is not known: shape a plain leg, or rib one unshaped."
        )
    elif leg:
        try:
            return make_rib(slots, *read_rib(leg), instep=bool(instep), heel_needles=on_needles(heel, slots))
        except CraftError as wrong:
            problems.setdefault("leg_rib", str(wrong))
    return None


def _cuff(read: Mapping[str, Any], slots: int, problems: dict[str, str]) -> Cuff | None:
    """The cuff chosen; what is wrong with it goes to the line it belongs to."""
    name: str = read.get("cuff", "none")
    if name == "none" or "rows" in problems:
        return None
    if read["rows"] is None:
        problems["rows"] = f"Type how many rows the cuff has, such as {USUAL_CUFF_ROWS}."
        return None
    hung = name in _HUNG
    try:
        check_cuff(slots, read["rows"], hung=hung)
    except CraftError as wrong:
        problems["rows"] = str(wrong)
        return None
    try:
        kind = cast("Kind", name.removesuffix(" single").removesuffix(" selvedge"))
        pattern = _even_or_said(read["pattern"], slots) if kind == "mock rib" else read["pattern"]
        return make_cuff(
            kind,
            slots,
            read["rows"],
            pattern,
            hung=hung,
            selvedge=name == "ribber selvedge",
            allow_uneven=True,
        )
    except CraftError as wrong:
        problems["pattern" if name in RIBBED else "rows"] = str(wrong)
        return None


def _heel(read: Mapping[str, Any], slots: int | None, problems: dict[str, str]) -> HeelAs:
    """The heel chosen, with the usual gusset where none was typed; what is wrong goes to the line it belongs to."""
    kind: HeelKind = read.get("heel", "short-row")
    if slots is None or kind == "none":
        return HeelAs(kind)
    gusset = read.get("gusset") or usual_gusset(slots) if kind == "mini-gusset" else 0
    heel = HeelAs(kind, read.get("heel_needles") if kind == "short-row" else None, gusset)
    try:
        on_needles(heel, slots)
    except CraftError as wrong:
        problems.setdefault("gusset" if kind == "mini-gusset" else "heel_needles", str(wrong))
    return heel


def _even_or_said(pattern: str, slots: int) -> str:
    """The pattern of a mock rib; one that does not come out even is kept when "uneven" is typed after it."""
    bare = pattern.removesuffix("uneven").rstrip(" ,")
    even = evenness(slots, read_needle_out(bare))
    if even.repeats and not even.even and bare == pattern:
        raise CraftError(f"{even.words} Type {bare} uneven to keep it.")
    return bare
