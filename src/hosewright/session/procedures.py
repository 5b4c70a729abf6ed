"""The three procedures, as lists of steps: find the stitch size, crank a gauge tube, crank a sock.

The order of work is common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.steps import (
    Confirm,
    CountPasses,
    CountRows,
    DialTrial,
    Field,
    Measure,
    Step,
    Wait,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.sock import Section
    from hosewright.craft.turning import Turning

TUBE_ROWS = 50
LEAST_TUBE_ROWS, MOST_TUBE_ROWS = 30, 200
SEPARATOR_ROWS = 10
CAST_ON_ROWS = 3
PROOF_ROWS = 10

TRIAL_CHOICES = ("loose", "right", "tight")
LENGTH_CHOICES = ("too short", "right", "too long")


def search_steps() -> tuple[Step, ...]:
    """Find the stitch size for a yarn, and prove it."""
    return (
        Confirm("weights", "Baseline the machine"),
        Confirm("cast-on", "Hang the cast-on bonnet"),
        CountRows("cast-on-rows", "Separator rows", CAST_ON_ROWS, yarn="separator"),
        Confirm("join", "Join the working yarn"),
        DialTrial("trial", "Find the stitch size"),
        Confirm("clear", "Clear the needles"),
        CountRows("prove", "Prove it", PROOF_ROWS, proves=True),
    )


def tube_steps(rows: int = TUBE_ROWS, separator_rows: int = SEPARATOR_ROWS) -> tuple[Step, ...]:
    """Crank a gauge tube of ``rows`` rows, wash it, and measure it. Raises ValueError outside 30 to 200 rows."""
    if not LEAST_TUBE_ROWS <= rows <= MOST_TUBE_ROWS:
        raise ValueError(f"A gauge tube has {LEAST_TUBE_ROWS} to {MOST_TUBE_ROWS} rows; {rows} was given.")
    return (
        Confirm("set-dial", "Set the dial"),
        CountRows("separator-in", "Separator before", separator_rows, yarn="separator"),
        Confirm("join", "Join the working yarn"),
        CountRows("tube", "Gauge tube", rows),
        Confirm("part", "Join the separator yarn"),
        CountRows("separator-out", "Separator after", separator_rows, yarn="separator"),
        Confirm("take-off", "Take the tube off"),
        Confirm("close-ends", "Zigzag the ends"),
        Measure(
            "before-wash",
            "Measure before the wash",
            (
                Field("raw-length", "Length of the working rows", "length", required=False, repeats=True),
                Field("raw-width", "Flat width", "length", required=False, repeats=True),
            ),
        ),
        Confirm("wash", "Wash it"),
        Wait("dry", "Drying"),
        Measure(
            "after-wash",
            "Measure after the wash",
            (
                Field("length", "Length of the working rows", "length", repeats=True),
                Field("width", "Flat width", "length", repeats=True),
                Field("stretched", "Flat width, stretched wide", "length", required=False, repeats=True),
                Field("mass", "Mass, separator yarn trimmed off", "mass", required=False),
                Field("on-foot", "Tube on the foot", "choice", required=False, choices=TRIAL_CHOICES),
            ),
        ),
    )


def sock_steps(
    sections: Sequence[Section], heel: Turning, toe: Turning, separator_rows: int = SEPARATOR_ROWS
) -> tuple[Step, ...]:
    """Crank one sock of the planned ``sections`` (from ``craft.sock.plan_sock``), then finish and try it on."""
    steps: list[Step] = [
        Confirm("set-dial", "Set the dial"),
        CountRows("separator-in", "Separator before", separator_rows, yarn="separator"),
        Confirm("join", "Join the working yarn"),
    ]
    for section in sections:
        if section.kind == "passes":
            turning = heel if section.name == "heel" else toe
            steps += _turned(section.name, turning)
            continue
        steps.append(CountRows(section.name, section.name.capitalize(), section.count))
        if section.name == "hem":
            steps.append(Confirm("hang-hem", "Hang the hem"))
    return (
        *steps,
        Confirm("part", "Join the separator yarn"),
        CountRows("separator-out", "Separator after", separator_rows, yarn="separator"),
        Confirm("take-off", "Take the sock off"),
        Confirm("graft", "Graft the toe"),
        Confirm("wash", "Wash it"),
        Wait("dry", "Drying"),
        Measure(
            "try-on",
            "Try it on",
            (
                Field("fit", "Round the foot", "choice", required=False, choices=TRIAL_CHOICES),
                Field("fit-length", "Length", "choice", required=False, choices=LENGTH_CHOICES),
                Field("mass", "Mass of the sock", "mass", required=False),
            ),
        ),
    )


def _turned(name: str, turning: Turning) -> tuple[Step, ...]:
    return (
        Confirm(f"{name}-set", f"Set up the {name}"),
        CountPasses(
            name,
            name.capitalize(),
            turning.needles,
            turning.left_in_work,
            turning.lowering,
            turning.plain_passes,
            turning.carrier,
            turning.extra_passes,
        ),
        Confirm(f"{name}-end", f"Close the {name}"),
    )
