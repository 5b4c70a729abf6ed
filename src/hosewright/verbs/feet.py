"""``hosewright feet``: a foot length or a shoe size in, every size and an estimate of the girth out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.verbs.parsing import Parser, aligned, put, sentences, usual

if TYPE_CHECKING:
    from hosewright.craft.feet import Estimate

_NAMES = {
    "mondopoint": "Mondopoint",
    "eu": "EU",
    "uk": "UK",
    "us_men": "US men",
    "us_women": "US women",
    "uk_child": "UK child",
    "us_child": "US child",
}


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError or UsageError with a sentence."""
    parser = Parser(
        "feet", "foot length and shoe sizes, and what girth to expect", 'hosewright feet --size "US men 10"'
    )
    known = parser.add_mutually_exclusive_group(required=True)
    known.add_argument("--foot-length", metavar="LENGTH", help="heel to longest toe, standing")
    known.add_argument("--size", help="scale and size: “US men 10”, “EU 42.5”, “UK 9”, “mondopoint 270”")
    parser.add_argument("--width", metavar="LETTER", help="US width letter, AAA to EEE, to shift the girth")
    parser.add_json()
    args = parser.parse_args(argv)

    from hosewright.craft.feet import girth_estimate, read_size, sizes
    from hosewright.craft.units import read_length

    answer: dict[str, Any] = {}
    if args.size is None:
        foot_mm = read_length(args.foot_length, usual().length_unit, what="foot")
        notes = []
    else:
        size = read_size(args.size)
        foot_mm = size.foot_mm
        answer["foot_length_mm_range"] = list(size.foot_mm_range)
        notes = [size.words]
    found = sizes(foot_mm)
    girths = {
        "men": girth_estimate(foot_mm, "men", args.width),
        "women": girth_estimate(foot_mm, "women", args.width),
    }
    notes += [f"{who.capitalize()}: {_said(girth)}" for who, girth in girths.items()]
    answer |= {"foot_length_mm": foot_mm}
    answer |= {name: list(value) if isinstance(value, tuple) else value for name, value in found.items()}
    answer |= {
        "girth_estimate_mm": {who: girth.mm if girth else None for who, girth in girths.items()},
        "girth_error_mm": {who: girth.error_mm if girth else None for who, girth in girths.items()},
        "notes": notes,
    }
    return put(answer, [*_lines(foot_mm, found), *sentences(notes)], as_json=args.json)


def _said(girth: Estimate | None) -> str:
    if girth is None:
        return "no girth can be estimated for a foot outside those that were sampled; use a tape measure."
    return girth.words[0].lower() + girth.words[1:]


def _lines(foot_mm: float, found: dict[str, float | tuple[float, float]]) -> list[str]:
    from hosewright.craft.units import show_length

    rows = [("Foot length", f"{foot_mm:.0f} mm", show_length(foot_mm, "in"))]
    for key, name in _NAMES.items():
        value, span = found.get(key), found.get(f"{key}_range")
        if isinstance(value, float) and isinstance(span, tuple) and value >= 0:  # no shoe is marked below nought
            low, high = (f"{number:.4g}" for number in span)
            rows.append((name, f"{value:.4g}", "" if low == high else f"{low} to {high} by other conventions"))
    return aligned(rows)
