"""A sock beside its twin, part by part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses

if TYPE_CHECKING:
    from hosewright.session.state import State


def differences(first: State, second: State) -> list[str]:
    """Where the second sock differs from the first, one sentence a part; parts still to come are left out."""
    ones, twos = cranked(first), cranked(second)
    found = []
    for index, step in enumerate(second.head.steps):
        if step.id not in twos or index >= second.index:
            continue
        one, two = ones.get(step.id), twos[step.id]
        unit = "passes" if isinstance(step, CountPasses) else "rows"
        if one is None:
            found.append(f"{step.title}: {two} {unit}; the first sock has no such part.")
        elif one != two:
            found.append(
                f"{step.title}: {two} {unit}, {abs(two - one)} {'more' if two > one else 'fewer'} than the first."
            )
    if first.dial != second.dial and second.step is None:
        way = "lower" if second.dial > first.dial else "higher"
        found.append(f"The dial ended {abs(second.dial - first.dial)} clicks {way} than in the first.")
    return found
