"""``hosewright cylinders``: one tube and a girth in, every cylinder side by side out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from hosewright.craft.feet import MOST_GIRTH_MM
from hosewright.craft.fit import choose_cylinder
from hosewright.craft.measured import error, nominal
from hosewright.craft.units import read_length
from hosewright.session.steps.hazards import FEET_AT_RISK
from hosewright.verbs.parsing import Parser, UsageError, aligned, put, sentences, usual
from hosewright.verbs.tube import add_tube, read_share, read_tube
from hosewright.words.machine import HEADINGS, cylinder_rows, wanted_words

if TYPE_CHECKING:
    from hosewright.craft.fit import CylinderFit, OnFoot


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError, LogbookError or UsageError with a sentence."""
    parser = Parser(
        "cylinders",
        "all your cylinders side by side for one girth, and which to use",
        "hosewright cylinders --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --cylinders 54,80 --girth 24.6cm",
    )
    add_tube(parser)
    parser.add_argument("--girth", metavar="LENGTH", required=True, help="round the ball of the foot")
    parser.add_argument("--heel-ankle", metavar="LENGTH", help="round the heel and the bend of the ankle")
    parser.add_argument("--ease", metavar="PERCENT", default="10", help="ease round, in %% (10)")
    parser.add_argument("--trial", metavar="WORD", help="how the tube felt on the foot: loose, right or tight")
    parser.add_argument("--stretched-width", metavar="LENGTH", help="the tube's flat width pulled wide")
    parser.add_json()
    args = parser.parse_args(argv)
    tube, unit = read_tube(args), usual().length_unit

    def length(text: str | None, what: str) -> float | None:
        return None if text is None else read_length(text, unit, what=what)

    girth_mm = read_length(args.girth, unit, what="ball girth")
    if girth_mm > MOST_GIRTH_MM:
        raise UsageError(
            f"A girth of {girth_mm:.0f} mm is more than any foot's ({MOST_GIRTH_MM / 10:.0f} cm): measure round the "
            "ball of the foot, and type the unit."
        )
    stretched = length(args.stretched_width, "width pulled wide")
    choice = choose_cylinder(
        tube=tube.tube,
        circumference=tube.circumference,
        loop_mm=tube.loop_mm,
        owned=tube.owned,
        girth_mm=girth_mm,
        heel_ankle_mm=length(args.heel_ankle, "heel-ankle girth"),
        ease=read_share(args.ease, "ease round"),
        trial=cast("OnFoot | None", args.trial or tube.trial),
        unit=unit,
        stretched_width_mm=tube.stretched_width_mm if stretched is None else stretched,
    )
    notes = [*(fit.words for fit in choice.fits), *choice.notes, FEET_AT_RISK]
    answer = {
        "wanted_mm": choice.wanted_mm,
        "best_slots": None if choice.none_goes_on else choice.best.cylinder.slots,
        "cylinders": [_fit(fit, best=fit is choice.best and not choice.none_goes_on) for fit in choice.fits],
        "notes": notes,
    }
    lines = [wanted_words(choice, unit), "", *aligned([HEADINGS, *cylinder_rows(choice, unit)]), *sentences(notes)]
    return put(answer, lines, as_json=args.json)


def _fit(fit: CylinderFit, *, best: bool) -> dict[str, Any]:
    return {
        "slots": fit.cylinder.slots,
        "name": fit.cylinder.label,
        "best": best,
        "measured": fit.measured,
        "circumference_mm": nominal(fit.circumference),
        "circumference_mm_error": error(fit.circumference),
        "circumference_mm_range": [fit.low_mm, fit.high_mm],
        "ease": fit.ease,
        "ball_stretch": fit.ball_stretch,
        "heel_stretch": fit.heel_stretch,
        "heel_passes": fit.heel_passes,
        "verdict": fit.verdict,
    }
