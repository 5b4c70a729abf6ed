"""What the record of a machine rules out, with why."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hosewright.logbook.records.shelf import Machine
    from hosewright.planning.typed import Values

NO_RIBBER = ("none", "no", "no ribber")  # as a machine's line for its ribber says it


def ruled_out(values: Values, machine: Machine | None) -> str:
    """Why this cannot be cranked on ``machine`` by what its record says, and what can; empty where it can."""
    if machine is None:
        return ""
    turned = values.heel.kind != "none" or values.end == "toe"
    if machine.crank_goes == "forwards only" and turned:
        what = "heel and toe are turned" if values.heel.kind != "none" else "a toe is turned"
        return (
            f"Ruled out on {machine.name}: its record says that the crank goes forwards only, and {what} to and fro. "
            "Choose a tube without a heel, drawn up or open at its end."
        )
    ribbed = (values.cuff is not None and values.cuff.kind == "ribber") or (
        values.rib is not None and values.rib.way == "ribber"
    )
    if machine.ribber_set.strip().casefold() in NO_RIBBER and ribbed:
        return (
            f"Ruled out on {machine.name}: its record says that there is no ribber. A mock rib, or ribs such as “3x1 "
            "latched”, need none."
        )
    return ""
