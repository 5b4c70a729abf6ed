"""How the planned sock lies round the foot, and every cylinder beside the one it is planned on. No Textual here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast, get_args

from hosewright.craft.correction import corrected_ease
from hosewright.craft.feet import FootMeasured, ankle_estimate, best_girth, calf_estimate, heel_ankle_estimate, two_feet
from hosewright.craft.fit import PLAIN_EASE, OnFoot, choose_cylinder
from hosewright.craft.leg import leg_fits
from hosewright.craft.measured import error, nominal
from hosewright.craft.units import show_length
from hosewright.phrases.figures import error_words
from hosewright.words.cylinders import SHORT_HEADINGS, short_cylinder_rows

if TYPE_CHECKING:
    from hosewright.craft.correction import Correction
    from hosewright.craft.feet import Estimate, Sex, TwoFeet
    from hosewright.craft.fit import CylinderChoice
    from hosewright.craft.measured import Measured
    from hosewright.craft.shoes import FootSize
    from hosewright.logbook.records.shelf import Wearer
    from hosewright.planning.knit import Knit
    from hosewright.planning.lines import Line
    from hosewright.planning.making import Made
    from hosewright.planning.reading import Values


NO_GIRTH = "Nobody's girth was asked for, so nothing is said of the fit round: choose a wearer whose ball was measured."


@dataclass(frozen=True, slots=True)
class Fit:
    """Lines, notes, and the cylinders in columns; no columns without a girth."""

    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()
    cylinders: tuple[tuple[str, ...], ...] = ()


def feet_of(wearer: Wearer | None) -> TwoFeet | None:
    """Both feet of a wearer where both were measured. Raises CraftError for a length no foot has."""
    if wearer is None or wearer.left_length_mm is None or wearer.right_length_mm is None:
        return None
    left = FootMeasured(wearer.left_length_mm, wearer.left_girth_mm)
    return two_feet(left, FootMeasured(wearer.right_length_mm, wearer.right_girth_mm))


def choose(
    knit: Knit, girth: Estimate, heel: Estimate | float | None, ease: float = PLAIN_EASE, unit: str = "in"
) -> CylinderChoice:
    """Every cylinder for this girth, from the gauge's own tube, its trial and its stretched width."""
    trial = knit.gauge.on_foot
    heel_girth = heel if heel is None or isinstance(heel, float) else heel.value
    return choose_cylinder(
        tube=knit.fit_cylinder,
        circumference=knit.circumference,
        loop_mm=knit.loop_mm,
        owned=knit.owned,
        girth_mm=girth.value,
        heel_ankle_mm=heel_girth,
        ease=ease,
        trial=cast("OnFoot", trial) if trial in get_args(OnFoot) else None,
        unit=unit,
        stretched_width_mm=knit.tube.stretched_width_mm if knit.tube else None,
    )


def fit_round(
    knit: Knit,
    wearer: Wearer | None,
    foot_mm: float | None,
    learnt: Correction | None,
    unit: str,
    size: FootSize | None = None,
) -> Fit:
    """What the sock is round, against the foot it is for; ``size`` where a shoe size was typed for its length."""
    round_ = knit.circumference
    lines: list[Line] = [("Round", f"{show_length(nominal(round_), unit)} {error_words(error(round_), unit)}")]
    if wearer is None:
        return Fit(tuple(lines), (NO_GIRTH,))
    sex = wearer.sized_as or None
    width = size.width_for(sex) if size and sex else None
    girth = best_girth(wearer.ball_girth_mm, foot_mm, sex or "men", width) if wearer.ball_girth_mm or sex else None
    if girth is None:
        return _estimates(lines, foot_mm, unit, size)
    lines.append(("Ball girth", _girth_words(girth, unit)))
    notes = [girth.words] if girth.estimated else []
    heel = _heel(wearer, foot_mm, girth, sex)
    if heel is not None and not isinstance(heel, float):
        notes.append(heel.words)
    ease = corrected_ease(girth.mm, PLAIN_EASE, learnt) if learnt else PLAIN_EASE
    choice = choose(knit, girth, heel, ease, unit)
    table = (SHORT_HEADINGS, *short_cylinder_rows(choice, unit, verdicts=not wearer.caution))
    if wearer.caution:  # any verdict in words would read as "safe"
        return Fit(tuple(lines), tuple(notes), table)
    here = next(fit for fit in choice.fits if fit.cylinder == knit.fit_cylinder)
    lines.append(("Ease round", f"{here.ease * 100:.0f} %, {here.verdict}"))
    nearer = [] if choice.best is here else [f"Nearer the girth: {choice.best.words}"]
    if choice.none_goes_on:
        nearer = ["None of your cylinders goes on over this heel."]
    return Fit(tuple(lines), (*notes, here.words, *nearer, *choice.notes), table)


def fit_leg(knit: Knit, wearer: Wearer | None, values: Values, made: Made, unit: str) -> tuple[list[Line], list[str]]:
    """The leg round ankle and calf, as lines and notes; what nobody measured is estimated from the ball's tape.

    Of an ankle only where the leg is shaped from it. For a foot at risk there are figures and no verdict.
    """
    ankle: Measured | float | None = values.ankle_mm or (wearer.ankle_mm if wearer else None)
    calf: Measured | float | None = values.calf_mm or (wearer.calf_mm if wearer else None)
    if wearer and wearer.sized_as and wearer.ball_girth_mm:
        guesses = (
            ankle_estimate(wearer.ball_girth_mm, wearer.sized_as),
            calf_estimate(wearer.ball_girth_mm, wearer.sized_as),
        )
        ankle = guesses[0].value if ankle is None and made.schedule and guesses[0] else ankle
        calf = guesses[1].value if calf is None and guesses[1] else calf
    judged = not (wearer and wearer.caution)
    fits, told = leg_fits(
        knit.circumference,
        made.leg_mm,
        knee=values.leg.name == "knee",
        ankle_mm=ankle,
        calf_mm=calf,
        shaped=made.schedule,
        stretched_width_mm=knit.tube.stretched_width_mm if knit.tube else None,
        unit=unit,
        verdicts=judged,
        ask="type it with the wearer",
    )
    lines = [
        (f"Leg at {fit.place}", f"{fit.ease * 100:.0f} % ease" + (f", {fit.verdict}" if judged else "")) for fit in fits
    ]
    return lines, list(told)


def _girth_words(girth: Estimate, unit: str) -> str:
    """A girth and how it was come by; an estimate with its error, in the same unit."""
    if girth.estimated:
        return f"{show_length(girth.mm, unit)} {error_words(girth.error_mm, unit)}, estimate"
    return f"{show_length(girth.mm, unit)} by tape"


def _heel(wearer: Wearer, foot_mm: float | None, girth: Estimate, sex: Sex | None) -> Estimate | float | None:
    """Girth over heel and ankle: by tape, else an estimate where one fits."""
    if wearer.heel_ankle_mm is not None:
        return wearer.heel_ankle_mm
    if sex is None:
        return None
    return heel_ankle_estimate(foot_mm or 0.0, sex, None if girth.estimated else girth.value)


def _estimates(lines: list[Line], foot_mm: float | None, unit: str, size: FootSize | None) -> Fit:
    """Without a tape measure: what men's and women's feet of that length measure."""
    notes = []
    sexes: tuple[Sex, ...] = ("men", "women")
    for sex in sexes:
        found = best_girth(None, foot_mm, sex, size.width_for(sex) if size else None)
        if found is not None:
            lines.append((f"Girth, {sex}", _girth_words(found, unit)))
            heel = heel_ankle_estimate(foot_mm or 0.0, sex)
            notes += [f"{sex.capitalize()}: {heel.words}"] if heel else []
    notes.append("Measure the ball girth: an estimate from the foot's length is never as good as a tape measure.")
    return Fit(tuple(lines), tuple(notes))
