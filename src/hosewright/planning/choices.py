"""What is chosen from a list for a plan: each choice declared once, the lines that mean nothing with it, and what the
record of a machine rules out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.cuffs import RIBS
from hosewright.craft.turning import comes_in
from hosewright.phrases.field import Field
from hosewright.phrases.lists import listed

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

    from hosewright.craft.turning import CarrierTurns, HeelHalf
    from hosewright.logbook.records.shelf import Machine

USUAL_PATTERN = {"mock rib": "3x1", "mock rib single": "3x1", "ribber": "1x1", "ribber selvedge": "1x1"}
RIBBED = tuple(USUAL_PATTERN)
CUFF = Field(
    "cuff",
    "Cuff",
    "the top of the sock",
    choices=(
        ("none", "none"),
        ("hung hem", "hem"),
        ("picot edge, hung", "picot"),
        ("rolled edge", "rolled"),
        ("mock rib, hung", "mock rib"),
        ("mock rib, single", "mock rib single"),
        ("rib with the ribber", "ribber"),
        ("rib with a selvedge", "ribber selvedge"),
    ),
    empty="none",
    also=(("mock", "mock rib"), ("mock single", "mock rib single"), ("ribber, single", "ribber")),
)
SHAPED = Field(
    "shaped",
    "Leg shaped",
    "by the dial, down to the ankle",
    choices=(("at the baseline", "no"), ("by the dial, ankle to calf", "yes")),
    empty="no",
)
HEEL = Field(
    "heel",
    "Heel",
    "how the heel is made",
    choices=(
        ("short-row", "short-row"),
        ("mini-gusset: instep needles join", "mini-gusset"),
        ("afterthought: opened and turned last", "afterthought"),
        ("none: a straight tube", "none"),
    ),
    empty="short-row",
)
END = Field(
    "end",
    "Tube's end",
    "of a tube without a heel",
    choices=(
        ("a turned toe", "toe"),
        ("drawn up", "drawn up"),
        ("open, chained off", "chained off"),
    ),
    empty="toe",
)
DEEPEN = Field(
    "deepen",
    "High instep",
    "how the heel is made deeper",
    choices=(
        ("no", "none"),
        ("rows before the heel", "rows"),
        ("plain passes first", "passes"),
        ("fewer left in work", "needles"),
    ),
    empty="none",
)
LOWERING = Field(
    "lowering",
    "Needles down",
    "far and near leave small holes along the gores, two-and-one closes them",
    choices=(
        ("one, far side: small gore holes", "far"),
        ("one, near side: small gore holes", "near"),
        ("two down, one up: holes closed", "two-and-one"),
    ),
    empty="far",
)
PLAIN_PASSES = Field(
    "plain",
    "Plain passes",
    "over all the needles before heel and toe narrow, after they widen, or both",
    choices=(
        ("none", "none"),
        ("one before", "before"),
        ("one after", "after"),
        ("one before and one after", "both"),
    ),
    empty="none",
    also=(("no", "none"), ("yes", "both")),
)

REINFORCED = Field(
    "reinforced",
    "Reinforced",
    "a second yarn along in heel and toe",
    choices=(("no", "no"), ("heel and toe, with a second yarn", "yes")),
    empty="no",
)


CHOICES = (CUFF, SHAPED, HEEL, END, DEEPEN, LOWERING, PLAIN_PASSES, REINFORCED)
USUALLY_CHOSEN = {one.name: one.empty for one in CHOICES} | {"cuff": "hem"}


_NO_TOE = {"toe", "lowering", "plain", "reinforced"}


def idle_lines(chosen: Mapping[str, str]) -> set[str]:
    """The lines that mean nothing with what is chosen."""
    idle = set()
    if chosen["cuff"] == "none":
        idle |= {"pattern", "rows"}
    elif chosen["cuff"] not in RIBBED:
        idle.add("pattern")
    if chosen["shaped"] != "yes":
        idle |= {"ankle", "calf"}
    if chosen["heel"] != "short-row":
        idle.add("heel_needles")
    if chosen["heel"] != "mini-gusset":
        idle.add("gusset")
    if chosen["heel"] != "none":
        idle.add("end")
    else:
        idle |= {"tube", "left", "deepen", "deeper", "part", "leg_rib", "instep_rib"}
        idle |= _NO_TOE if chosen["end"] != "toe" else set()
        idle |= {"foot", "ease"} if chosen["end"] == "chained off" else set()
    if chosen["deepen"] == "none":
        idle.add("deeper")
    return idle


NO_RIBBER = ("none", "no", "no ribber")  # as a machine's line for its ribber says it
FORWARDS, _NO_RIBBER_HERE = "the crank goes forwards only", "no ribber"


def cannot_be_chosen(machine: Machine | None) -> dict[str, dict[str, str]]:
    """What the record of ``machine`` rules out: by the name of a line its values, or words of it, each with why."""
    found: dict[str, dict[str, str]] = {}
    if machine is None:
        return found
    if machine.crank_goes == "forwards only":
        found["heel"] = {value: FORWARDS for _, value in HEEL.choices or () if value != "none"}
        found["end"] = {"toe": FORWARDS}
    if has_no_ribber(machine):
        found["cuff"] = dict.fromkeys(("ribber", "ribber selvedge"), _NO_RIBBER_HERE)
        ribs = f"the ribber's {listed(list(RIBS))} without “latched”"
        found["leg_rib"] = found["instep_rib"] = {ribs: _NO_RIBBER_HERE}
    return found


def has_no_ribber(machine: Machine) -> bool:
    """Whether its record says so."""
    return _says_no_ribber(machine.ribber_set)


def _says_no_ribber(ribber_set: str) -> bool:
    return ribber_set.strip().casefold() in NO_RIBBER


def machine_remark(values: Mapping[str, Any]) -> str:
    """What a machine's lines rule out, and what its heel half changes, as far as they are typed."""
    said = []
    if values.get("crank_goes") == "forwards only":
        said.append("Ruled out: heels and turned toes.")
    if _says_no_ribber(values.get("ribber_set") or ""):
        said.append("Ruled out: what the ribber knits.")
    half: HeelHalf = values.get("heel_half") or ""
    turns: CarrierTurns = values.get("carrier_turns") or ""
    if half and turns:
        end = "left end, by needle 1" if comes_in(half, turns) == "left" else "right end, by its last needle"
        said.append(f"A heel half {half} rules nothing out: its rows begin at its {end}.")
    elif half:
        said.append(f"A heel half {half} rules nothing out. Carrier turns tells at which end of it rows begin.")
    return " ".join(said)


def without_ribber(machine: Machine) -> str:
    """What a machine without a ribber rules out, and what goes without one."""
    return (
        f"Ruled out on {machine.name}: its record says that there is no ribber. A mock rib, or ribs such as “3x1 "
        "latched”, need none."
    )
