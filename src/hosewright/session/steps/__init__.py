"""The steps a session is made of, as data, frozen into it when it starts; beside this, what is said of each.

The entries stand by topic, from setting up to finishing, and ``catalogue`` finds them. Their order is ``procedures``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar, Literal

if TYPE_CHECKING:
    from hosewright.craft.turning import Turning

Quantity = Literal["length", "mass", "choice"]
SessionKind = Literal["search", "tube", "sock", "string", "ribber"]

_OF_SOCK = re.compile(r"s([1-9][0-9]?)-(.+)")


def sock_of(step_id: str) -> int:
    """Which sock of a string a step belongs to, from 1; 0 for a step of the whole session."""
    found = _OF_SOCK.fullmatch(step_id)
    return int(found[1]) if found else 0


def plain_id(step_id: str) -> str:
    """What a step is, whichever sock it belongs to: "s3-heel" is a "heel"."""
    found = _OF_SOCK.fullmatch(step_id)
    return found[2] if found else step_id


def id_in(sock: int, plain: str) -> str:
    """The id of a step or field of a sock of a string: "heel" of sock 3 is "s3-heel". Sock 0: there is no string."""
    return f"s{sock}-{plain}" if sock else plain


@dataclass(frozen=True, slots=True)
class MeasureField:
    """One thing to measure. ``repeats``: several readings make a mean; otherwise the last one stands."""

    id: str
    label: str
    quantity: Quantity
    required: bool = True
    repeats: bool = False
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Confirm:
    """Do what the instruction says, then say so. ``stitches`` of working yarn are cranked in it, beside the rows."""

    id: str
    title: str
    stitches: int = 0
    kind: Literal["confirm"] = "confirm"


@dataclass(frozen=True, slots=True)
class DialTrial:
    """Look for the stitch size: rows and verdicts until the search has its baseline.

    ``rule``: 1 is the one that sessions began with before it was frozen into them (see ``search_before``).
    """

    id: str
    title: str
    rule: Literal[1, 2] = 1
    kind: Literal["trial"] = "trial"


@dataclass(frozen=True, slots=True)
class CountRows:
    """Crank ``target`` rows. ``proves``: these rows prove a baseline, and a verdict can still overturn it.

    ``out_of_work``: needles (numbered from 1) taken out for a mock rib in this part. ``dial_changes``: (row, clicks
    below zero) pairs of the leg schedule, each to be made when that many rows are cranked. ``yarn_changes``: the same
    of stripes, (row, colour as "#rrggbb").
    """

    id: str
    title: str
    target: int
    yarn: Literal["working", "separator"] = "working"
    proves: bool = False
    out_of_work: tuple[int, ...] = ()
    dial_changes: tuple[tuple[int, int], ...] = ()
    yarn_changes: tuple[tuple[int, str], ...] = ()
    kind: Literal["rows"] = "rows"
    unit: ClassVar = "row"


@dataclass(frozen=True)
class CountPasses:
    """Crank the passes of a heel or toe, or of waste yarn for a heel that is opened later (see ``craft.turning``)."""

    id: str
    title: str
    needles: int
    left_in_work: int
    lowering: Literal["far", "near", "two-and-one"] = "far"
    plain_passes: bool | Literal["before", "after"] = False
    carrier: Literal["left", "right"] = "left"
    extra_passes: int = 0
    gusset: int = 0
    yarn: Literal["working", "separator"] = "working"
    kind: Literal["passes"] = "passes"
    unit: ClassVar = "pass"

    @cached_property
    def turning(self) -> Turning:
        from hosewright.craft.turning import Turning

        return Turning(**{one.name: getattr(self, one.name) for one in fields(Turning)})

    @property
    def target(self) -> int:
        return self.turning.count


@dataclass(frozen=True, slots=True)
class Measure:
    """Take readings."""

    id: str
    title: str
    fields: tuple[MeasureField, ...]
    kind: Literal["measure"] = "measure"


@dataclass(frozen=True, slots=True)
class Wait:
    """Nothing to do but wait, for days if need be."""

    id: str
    title: str
    kind: Literal["wait"] = "wait"


Step = Confirm | DialTrial | CountRows | CountPasses | Measure | Wait


def in_working_yarn(step: Step) -> bool:
    """Whether rows or passes of working yarn are counted in a step."""
    return isinstance(step, CountPasses | CountRows) and step.yarn == "working"


@dataclass(frozen=True, slots=True)
class Head:
    """What the engine needs of the frozen start of a session.

    ``dial`` is where the dial stands at the start, in whole clicks below the zero mark.
    """

    id: str
    kind: SessionKind
    steps: tuple[Step, ...]
    dial: int
    slots: int
    clicks_per_turn: int = 4

    @property
    def fields(self) -> tuple[MeasureField, ...]:
        """Everything there is to measure in a session, in order."""
        return tuple(item for step in self.steps if isinstance(step, Measure) for item in step.fields)
