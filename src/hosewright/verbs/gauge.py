"""``hosewright gauge``: a washed tube's readings in, its gauge with errors and doubts out; ``yarn``: its counts."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from hosewright.craft.doubts import doubts, impossible
from hosewright.craft.gauge import Readings, measure_gauge, relaxation, ways_to_narrow, what_narrows
from hosewright.craft.measured import error, in_numbers, nominal, show_rows
from hosewright.craft.spread import ASSUMED
from hosewright.craft.units import plus_minus, read_length, read_mass, read_whole, show_length
from hosewright.craft.yarn import counts, read_count, read_yarn_count, tex_from, yarn_per_stitch
from hosewright.verbs.options import add_yarn, read_slots, read_yarn
from hosewright.verbs.parsing import Parser, UsageError, aligned, put, sentences, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.gauge import Gauge
    from hosewright.craft.measured import Measured
    from hosewright.settings.table import Settings


def run(argv: list[str]) -> int:
    parser = Parser(
        "gauge",
        "rows and stitches per length from a washed tube, and how sure each is, give or take (±)",
        '--rows 60 --length "148 mm" --flat-width "102 mm" --slots 64',
    )
    parser.add_argument("--rows", required=True, help="how many working rows were measured")
    parser.add_argument(
        "--length", required=True, action="append", help="how long they are; type it again for each reading"
    )
    parser.add_argument(
        "--flat-width", required=True, action="append", help="how wide it lies flat; type it again for each reading"
    )
    parser.add_argument("--slots", required=True, help="slots with a needle in work")
    parser.add_argument("--mass", help="mass of the working rows, such as “12 g”")
    parser.add_argument("--scale-error", default="1 g", help="how far off the scale may be either way (1 g)")
    parser.add_argument("--tape-error", help="how far off the tape may be either way (1 mm)")
    parser.add_argument("--state", default="full", help="how far it has relaxed: dry, wet or full (full)")
    add_yarn(parser)
    parser.add_argument("--raw-length", action="append", help="length before the wash")
    parser.add_argument("--raw-flat-width", action="append", help="flat width before the wash")
    parser.takes("--over", "LENGTH", "also say how many rows this length takes")
    args, have = parser.parse_args(argv), usual()

    gauge = _measure(args, have)
    changes = _changes(args, gauge, have)
    answer: dict[str, object] = dict(gauge.as_numbers())
    for what, change in changes.items():
        answer |= in_numbers(f"{what}_change_percent", change)
    notes = list(_doubts(args, gauge, changes))
    over_mm = None if args.over is None else read_length(args.over, have.length_unit, what="length to knit")
    if over_mm is not None:
        rows = gauge.rows_in(over_mm)
        answer |= in_numbers("rows_over", rows)
        ways = ways_to_narrow(gauge, over_mm)
        answer["ways_to_narrow"] = [asdict(way) for way in ways]
        notes += what_narrows(gauge, over_mm, have.length_unit)
        notes.append(f"So sure is the measuring alone. A plan adds that {ASSUMED.words}.")
    answer["notes"] = notes
    return put(answer, [*_lines(gauge, over_mm, have), *sentences(notes)], as_json=args.json)


def _measure(args: Namespace, have: Settings) -> Gauge:
    unit = have.length_unit
    tape = have.tape_error_mm if args.tape_error is None else read_length(args.tape_error, "mm", what="tape's error")
    return measure_gauge(
        rows=read_whole(args.rows, what="number of rows", least=1, most=5000),
        lengths_mm=tuple(read_length(text, unit) for text in args.length),
        slots=read_slots(args.slots),
        flat_widths_mm=tuple(read_length(text, unit, what="flat width") for text in args.flat_width),
        tape_error_mm=tape,
        mass_g=None if args.mass is None else read_mass(args.mass, have.mass_unit),
        scale_g=read_mass(args.scale_error, "g", what="scale's error"),
        state=args.state,
    )


def _doubts(args: Namespace, gauge: Gauge, changes: dict[str, Measured]) -> tuple[str, ...]:
    metres = read_yarn(args)
    tex = None if metres is None else tex_from("m_per_100g", metres)
    said = [
        f"The wash changed the {what} by {nominal(change):+.1f} ± {error(change):.1f} %."
        for what, change in changes.items()
    ]
    if tex is not None:
        said += yarn_per_stitch(gauge.loop_length_mm, tex, gauge.mass_per_stitch_g, gauge.scale_share).notes
    percent = {what: nominal(change) for what, change in changes.items()}
    found = doubts(gauge, tex, percent.get("length"), percent.get("width"))
    cannot_be = impossible(gauge)
    return (*((cannot_be,) if cannot_be else ()), *said, *(doubt for doubt in found if doubt not in said))


def _changes(args: Namespace, gauge: Gauge, have: Settings) -> dict[str, Measured]:
    """What the wash did to length and width in %, where they were measured before it."""
    found = {}
    for what, typed, after in (
        ("length", args.raw_length, gauge.lengths),
        ("width", args.raw_flat_width, gauge.flat_widths),
    ):
        if typed is not None:
            before = tuple(read_length(text, have.length_unit, what=f"{what} before the wash") for text in typed)
            found[what] = relaxation(Readings(before, after.half_width_mm), after)
    return found


def _lines(gauge: Gauge, over_mm: float | None, have: Settings) -> list[str]:
    def both(name: str, decimals: int = 0) -> str:
        return plus_minus(numbers[name], numbers[f"{name}_error"], decimals)

    numbers = gauge.as_numbers()
    round_it = show_length(numbers["circumference_mm"], have.length_unit)
    rows = [
        ("Rows", f"{both('rows_per_in', 2)} per in", f"{both('rows_per_cm', 3)} per cm"),
        ("Stitches", f"{both('stitches_per_in', 2)} per in", f"{both('stitches_per_cm', 3)} per cm"),
        ("Circumference", f"{both('circumference_mm')} mm", round_it),
        ("Loop length", f"{both('loop_length_mm')} mm"),
        ("Rows to stitches", both("ratio")),
    ]
    if "mass_per_stitch_g" in numbers:
        milligrams = plus_minus(numbers["mass_per_stitch_g"] * 1000, numbers["mass_per_stitch_g_error"] * 1000)
        rows.append(("Mass of a stitch", f"{milligrams} mg"))
    if over_mm is not None:
        rows.append((f"Over {show_length(over_mm, have.length_unit)}", show_rows(gauge.rows_in(over_mm))))
    return aligned(rows)


# --- a yarn's count ---------------------------------------------------------------------------------------------------


# Options, the unit each stands for, and how its number reads.
_SYSTEMS = {
    "m_per_100g": "metres in 100 g",
    "tex": "g in 1000 m",
    "dtex": "g in 10 000 m",
    "nm": "m in 1 g",
    "worsted": "hanks of 560 yd in 1 lb",
    "cotton": "hanks of 840 yd in 1 lb",
    "woollen": "runs of 256 yd in 1 lb",
    "linen": "leas of 300 yd in 1 lb",
    "denier": "g in 9000 m",
    "yd_per_oz": "yards in 1 oz",
}


def run_yarn(argv: list[str]) -> int:
    parser = Parser("yarn", "a yarn's count in every system", '"437 yd/100g"')
    parser.add_argument("count", nargs="*", help="as its label has it: “437 yd/100g”, “Nm 2/8”, “tex 238”, “Ne 2.5”")
    known = parser.add_mutually_exclusive_group()
    for name, words in _SYSTEMS.items():
        known.add_argument(f"--{name.replace('_', '-')}", dest=name, metavar="COUNT", help=words)
    args = parser.parse_args(argv)
    system = next((name for name in _SYSTEMS if getattr(args, name) is not None), None)
    if bool(args.count) == (system is not None):
        raise UsageError("Type the yarn's count once, as its label has it (“437 yd/100g”) or by an option (--tex 238).")

    tex = read_count(getattr(args, system), system) if system else read_yarn_count(" ".join(args.count)).tex
    found = counts(tex)
    rows = [(name, f"{value:.4g}" if value < 1000 else f"{value:.0f}", _SYSTEMS[name]) for name, value in found.items()]
    return put(found, aligned(rows), as_json=args.json)
