"""The sock being planned as a picture: its shape by its own counts, gauge and dial."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.measured import nominal
from hosewright.craft.sock import SockPlan
from hosewright.craft.turning import depth_rows
from hosewright.craft.units import decimal_length, show_length
from hosewright.picture.of_sock import Knitted, ribbed_parts, sock_shape
from hosewright.picture.shape import Pocket, Tube
from hosewright.planning.sock import loop_a_click

if TYPE_CHECKING:
    from hosewright.picture.shape import Shape
    from hosewright.planning.fabric import Fabric
    from hosewright.planning.sock import Made


def shape_of(made: Made, fabric: Fabric) -> Shape:
    """The shape of the sock worked out."""
    a_click = loop_a_click(made, fabric) or 0.0
    at = fabric.clicks or 0
    leg = tuple((row, 1 + a_click * (clicks - at)) for row, clicks in made.dial_changes)
    rib, cuff = made.sock.rib, made.sock.cuff
    own = fabric.ribs.get(rib.words) if rib else None
    above = ribbed_parts(rib.pattern, cuff.pattern if cuff and cuff.kind == "ribber" else "") if rib else ()
    rates = (nominal(own.rows), nominal(own.stitches)) if own else None
    by = Knitted(nominal(fabric.rows), nominal(fabric.stitches), fabric.slots, leg, above, rates)
    heel = made.sock.heel if isinstance(made.sock, SockPlan) else None
    return sock_shape(made.sock.sections, heel, made.sock.toe, by)


def measures(shape: Shape, unit: str) -> tuple[tuple[str, ...], str]:
    """What is written at each part, and how far round the sock is; lengths in ``unit``."""
    words = []
    for part, name in zip(shape.parts, shape.names, strict=True):
        if isinstance(part, Pocket):
            deep = show_length(depth_rows(part.turning) * part.row_mm, unit)
            words.append(f"{name} {part.count} passes, {deep}" + (" deep" if part.heel else ""))
        else:
            words.append(f"{name} {part.count} rows, {show_length(part.long_mm, unit)}")
    return tuple(words), _round(shape, unit)


def _round(shape: Shape, unit: str) -> str:
    widest = max((wide for tube in shape.above for wide in tube.wide_mm), default=shape.wide)
    least, most = decimal_length(2 * shape.wide, unit), decimal_length(2 * widest, unit)
    return f"round {least}" + (f", at the top {most}" if most != least else "")


def in_short(shape: Shape, unit: str) -> str:
    """The measures in a few words."""
    shown = ("leg", "foot", "tube")
    longs = [
        f"{part.name} {decimal_length(part.long_mm, unit)}"
        for part in shape.parts
        if isinstance(part, Tube) and part.name in shown
    ]
    return ", ".join([*longs, _round(shape, unit)])
