"""``hosewright feet``: a foot length or a shoe size in, every size and an estimate of the girth out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.feet import (
    FootMeasured,
    ankle_estimate,
    calf_estimate,
    girth_estimate,
    heel_ankle_estimate,
    two_feet,
)
from hosewright.craft.shoes import SCALES, read_size, sizes
from hosewright.craft.units import read_length, show_length
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.verbs.parsing import Parser, UsageError, aligned, put, sentences, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.feet import Estimate, Sex

_NAMES = {"mondopoint": "Mondopoint"} | {name: scale.words for name, scale in SCALES.items()}

_BY_TAPE = {
    "instep": "round the instep by tape; of each side: “25 cm left, 26 cm right”",
    "ankle": "round the ankle",
    "calf": "round the calf",
    "wrist": "round the wrist, for wristers; never estimated",
    "hand": "round the hand over the base of the thumb; never estimated",
}

SEXES: tuple[Sex, ...] = ("men", "women")


def run(argv: list[str]) -> int:
    parser = Parser("feet", "foot length and shoe sizes, and what girth to expect", '--size "US men 10"')
    known = parser.add_mutually_exclusive_group()
    known.add_argument("--foot-length", metavar="LENGTH", help="heel to longest toe, standing")
    known.add_argument("--size", help="scale and size: “US men 10 EE”, “EU 42.5”, “UK 9”, “Japan 27”")
    parser.takes("--left", "LENGTH", "or each foot: the left")
    parser.takes("--right", "LENGTH", "and the right; the longer is used")
    parser.takes("--left-girth", "LENGTH", "round the ball of the left foot")
    parser.takes("--right-girth", "LENGTH", "and of the right; the larger is used")
    parser.flag("--girths", "also between which girths 68 and 95 of 100 feet lie")
    parser.takes("--width", "LETTER", "US width AAA to EEE, or “UK 5” (men), “UK E” (women)")
    for name, said in _BY_TAPE.items():
        parser.takes(f"--{name}", "LENGTH", said)
    args = parser.parse_args(argv)

    taped = _taped(args)
    answer: dict[str, Any] = {"taped_mm": {name: mm for name, (mm, _) in taped.items()}} if taped else {}
    by_tape = aligned([("By tape", ""), *((name.capitalize(), said) for name, (_, said) in taped.items())])
    notes: list[str] = []
    if taped and not any((args.left, args.right, args.left_girth, args.right_girth, args.foot_length, args.size)):
        return put(answer, by_tape, as_json=args.json)
    widths = {sex: _width_of(args.width, sex) for sex in SEXES}
    if args.left is not None or args.right is not None:
        foot_mm = _two_feet(args, answer, notes)
    elif args.left_girth is not None or args.right_girth is not None:
        raise UsageError("A girth of each foot goes with its length: type --left and --right, too.")
    elif args.foot_length is not None:
        foot_mm = read_length(args.foot_length, usual().length_unit, what="foot")
    elif args.size is not None:
        size = read_size(args.size)
        foot_mm = size.foot_mm
        widths = {sex: widths[sex] or size.width_for(sex) for sex in SEXES}
        answer["foot_length_mm_range"] = list(size.foot_mm_range)
        notes.append(size.words)
    else:
        raise UsageError("Type --foot-length, --size, or --left and --right with each foot's length.")
    found = sizes(foot_mm)
    girths = {sex: girth_estimate(foot_mm, sex, widths[sex]) for sex in SEXES}
    notes += [f"{who.capitalize()}: {_said(girth)}" for who, girth in girths.items()]
    notes.append(FEET_AT_RISK)
    answer |= {"foot_length_mm": foot_mm}
    answer |= {name: list(value) if isinstance(value, tuple) else value for name, value in found.items()}
    answer |= {
        "girth_estimate_mm": {who: girth.mm if girth else None for who, girth in girths.items()},
        "girth_error_mm": {who: girth.error_mm if girth else None for who, girth in girths.items()},
        "girths_mm": _girths(foot_mm, widths),
        "notes": notes,
    }
    more = ["", *_girth_lines(answer["girths_mm"])] if args.girths else []
    more += ["", *by_tape] if taped else []
    return put(answer, [*_lines(foot_mm, found), *more, *sentences(notes)], as_json=args.json)


def _taped(args: Namespace) -> dict[str, tuple[Any, str]]:
    """What only a tape tells, read as a wearer's lines are: in mm (of left and right where both were typed), said."""
    typed = {name: text for name in _BY_TAPE if (text := getattr(args, name)) is not None}
    if not typed:
        return {}
    from hosewright.planning.shelf_lines import wearer_fields  # it brings in the records, which a shoe size needs not

    lines = {line.name: line for line in wearer_fields(usual().length_unit)}
    found: dict[str, tuple[Any, str]] = {}
    for name, text in typed.items():
        line = lines[f"{name}_mm"]
        mm = line.reader(text)
        found[name] = (list(mm) if isinstance(mm, tuple) else mm, line.shown(mm))
    return found


def _two_feet(args: Namespace, answer: dict[str, Any], notes: list[str]) -> float:
    """The length to knit for, mm; what the two feet say goes to the answer and the notes."""
    if args.foot_length is not None or args.size is not None or None in (args.left, args.right):
        raise UsageError("Type both --left and --right, or one --foot-length or --size; not a mixture.")

    unit = usual().length_unit
    left, right = (
        read_length(text, unit, what=f"{side} foot") for text, side in ((args.left, "left"), (args.right, "right"))
    )
    around = [
        None if text is None else read_length(text, unit, what=f"{side} ball girth")
        for text, side in ((args.left_girth, "left"), (args.right_girth, "right"))
    ]
    both = two_feet(FootMeasured(left, around[0]), FootMeasured(right, around[1]))
    answer |= {
        "left_mm": left,
        "right_mm": right,
        "difference_mm": both.length_difference_mm,
        "own_sizes": both.own_sizes,
        "girth_mm": both.girth_mm,
    }
    notes += both.notes
    return both.length_mm


def _width_of(width: str | None, sex: Sex) -> str | None:
    """The width as it applies to one sex: UK widths are numbers for men and letters for women."""
    if width is None or width.strip()[:2].upper() != "UK":
        return width
    return width if (sex == "men") == width.strip()[2:].strip().isdigit() else None


def _girths(foot_mm: float, widths: dict[Sex, str | None]) -> dict[str, dict[str, Any]]:
    """Every girth that can be estimated from the foot's length, by whose feet."""
    found: dict[str, dict[str, Any]] = {}
    for sex in SEXES:
        ball = girth_estimate(foot_mm, sex, widths[sex])
        if ball is None:
            found[sex] = {}
            continue
        estimates = {
            "ball": ball,
            "heel_ankle": heel_ankle_estimate(foot_mm, sex),
            "ankle": ankle_estimate(ball.value, sex),
            "calf": calf_estimate(ball.value, sex),
        }
        found[sex] = {
            name: {"mm": one.mm, "error_mm": one.error_mm, "range_68": one.within(68), "range_95": one.within(95)}
            for name, one in estimates.items()
            if one is not None
        }
    return found


def _girth_lines(girths: dict[str, dict[str, Any]]) -> list[str]:
    rows: list[tuple[str, ...]] = [("Estimated girth", "", "mm", "68 of 100", "95 of 100")]
    for sex, parts in girths.items():
        for name, one in parts.items():
            spans = (f"{low:.0f} to {high:.0f}" for low, high in (one["range_68"], one["range_95"]))
            rows.append((name.replace("_", "-").capitalize(), sex, f"{one['mm']:.0f}", *spans))
    return aligned(rows) if len(rows) > 1 else []


def _said(girth: Estimate | None) -> str:
    if girth is None:
        return "no girth can be estimated for a foot outside those that were sampled; use a tape measure."
    return girth.words[0].lower() + girth.words[1:]


def _lines(foot_mm: float, found: dict[str, float | tuple[float, float]]) -> list[str]:
    rows = [("Foot length", f"{foot_mm:.0f} mm", show_length(foot_mm, "in"))]
    for key, name in _NAMES.items():
        value, span = found.get(key), found.get(f"{key}_range")
        if isinstance(value, float) and isinstance(span, tuple) and value >= 0:  # no shoe is marked below nought
            low, high = (_marked(number) for number in span)
            rows.append((name, _marked(value), "" if low == high else f"{low} to {high} by other conventions"))
    return aligned(rows)


def _marked(size: float) -> str:
    """A size to the hundredth, without noughts behind it."""
    return f"{size:.2f}".rstrip("0").rstrip(".")
