"""How the planned sock lies round foot and leg, where it is tightest, and every cylinder beside the one planned on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft.correction import corrected_ease
from hosewright.craft.feet import (
    Estimate,
    FootMeasured,
    ankle_estimate,
    best_girth,
    calf_estimate,
    heel_ankle_estimate,
    two_feet,
)
from hosewright.craft.fit import PLAIN_EASE, verdict_for
from hosewright.craft.leg import leg_fits, reaches_calf
from hosewright.craft.measured import as_measured, error, half_up, nominal
from hosewright.craft.ribs import foot_range
from hosewright.craft.sock import SockPlan
from hosewright.craft.tight import heel_reaches
from hosewright.craft.tubes import tube_name
from hosewright.craft.turning import depth_rows
from hosewright.craft.units import decimal_length, length_plus_minus, show_length
from hosewright.words.machine import SHORT_HEADINGS, short_cylinder_rows
from hosewright.words.tight import Lain, Tightness, taped_of, tightness

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.correction import Correction
    from hosewright.craft.feet import Sex, TwoFeet
    from hosewright.craft.leg import LegFit, LegStep
    from hosewright.craft.measured import Measured
    from hosewright.craft.ribs import Rib
    from hosewright.craft.shoes import FootSize
    from hosewright.craft.sock import TubePlan
    from hosewright.logbook.records.shelf import Wearer
    from hosewright.planning.fabric import Fabric
    from hosewright.planning.sock_lines import Labelled
    from hosewright.planning.typed import Values


NO_GIRTH = "No girth was given, so the fit round the foot is not known: choose a wearer whose ball girth was measured."


@dataclass(frozen=True, slots=True)
class Fit:
    """Lines, notes, and the cylinders in columns; no columns without a girth."""

    lines: tuple[Labelled, ...]
    notes: tuple[str, ...] = ()
    cylinders: tuple[tuple[str, ...], ...] = ()


def feet_of(wearer: Wearer | None) -> TwoFeet | None:
    """Both feet of a wearer where both were measured. Raises CraftError for a length no foot has."""
    if wearer is None or wearer.left_length_mm is None or wearer.right_length_mm is None:
        return None
    left = FootMeasured(wearer.left_length_mm, wearer.left_girth_mm)
    return two_feet(left, FootMeasured(wearer.right_length_mm, wearer.right_girth_mm))


def fit_round(
    fabric: Fabric,
    wearer: Wearer | None,
    foot_mm: float | None,
    learnt: Correction | None,
    unit: str,
    size: FootSize | None = None,
    rib: Rib | None = None,
) -> Fit:
    """What the sock is round, against the foot it is for; ``size`` where a shoe size was typed for its length.

    With ``rib`` over the instep that part goes by a ribbed tube; where none was measured round is a range.
    """
    ribbed = rib if rib and rib.instep else None
    round_ = fabric.foot_round(ribbed)
    ends = foot_range(nominal(fabric.circumference), ribbed.foot_share if ribbed else 0.0)
    lines: list[Labelled] = [("Round", " to ".join(decimal_length(mm, unit) for mm in ends))]
    notes = [_not_measured(ribbed)] if ribbed and round_ is None else []
    if round_ is not None:
        lines = [("Round", length_plus_minus(nominal(round_), error(round_), unit))]
        lines += [("", f"as worn, {ribbed.foot_words}")] if ribbed else []
    if wearer is None:
        return Fit(tuple(lines), (*notes, NO_GIRTH))
    girth, heel = girths_of(wearer, foot_mm, size)
    if girth is None:
        rest = _estimates(lines, foot_mm, unit, size)
        return replace(rest, notes=(*notes, *rest.notes))
    lines.append(("Ball girth", _girth_words(girth, unit)))
    if round_ is None:  # and no cylinder by that
        least, most = (1 - mm / girth.mm for mm in reversed(ends))
        said = [verdict_for(1 - mm / girth.mm, heel.mm / mm - 1 if heel else None) for mm in reversed(ends)]
        verdicts = "" if wearer.caution else f", {' to '.join(dict.fromkeys(said))}"
        lines.append(("Ease round", f"{least * 100:.0f} to {most * 100:.0f} %{verdicts}"))
        return Fit(tuple(lines), (*notes, *([girth.words] if girth.estimated else [])))
    notes += [one.words for one in (girth, heel) if one and one.estimated]
    if ribbed is not None:
        notes.append(
            f"The instep is ribbed: round is the plain tube and, {ribbed.foot_words}, the {ribbed.words} one as it is "
            "worn."
        )
    ease = corrected_ease(girth.mm, PLAIN_EASE, learnt) if learnt else PLAIN_EASE
    choice = fabric.choose(girth.value, heel.value if heel else None, ease=ease, unit=unit, rib=ribbed)
    table = (SHORT_HEADINGS, *short_cylinder_rows(choice, unit, verdicts=not wearer.caution))
    if wearer.caution:  # any verdict in words would read as "safe"
        return Fit(tuple(lines), tuple(notes), table)
    here = next(fit for fit in choice.fits if fit.cylinder == fabric.cylinder)
    lines.append(("Ease round", f"{here.ease * 100:.0f} %, {here.verdict}"))
    nearer = [] if choice.best is here else [f"Nearer the girth: {choice.best.words}"]
    if choice.none_goes_on:
        nearer = ["None of your cylinders goes on over this heel."]
    return Fit(tuple(lines), (*notes, here.words, *nearer, *choice.notes), table)


def _not_measured(rib: Rib) -> str:
    return (
        f"No {rib.words} tube of this yarn was measured here, so how far round the foot is over the ribbed instep "
        "is a range only: its ribbed part lies from half of plain (a 1x1 rib in theory: Spencer, Knitting Technology, "
        "7.3) to all of it (from memory). Which cylinder fits can't be told before such a tube is measured."
    )


def leg_round(
    fabric: Fabric,
    wearer: Wearer | None,
    values: Values,
    leg_mm: float,
    shaped: tuple[LegStep, ...],
    unit: str,
    ask: str,
) -> tuple[tuple[LegFit, ...], tuple[str, ...]]:
    """A leg of ``leg_mm``, ``shaped`` so, against ankle and calf; for a foot at risk there are figures and no verdict.

    What nobody measured is estimated from the ball's tape or, of the calf, from the foot's length; of an ankle only
    where the leg is shaped from it. ``ask`` is what to do for a calf that is wanted. Raises CraftError.
    """
    around = fabric.leg_round(values.rib)
    if around is None:
        return (), ("How a ribbed leg sits round ankle and calf is not known before such a tube is measured.",)
    ankle: Measured | float | None = values.ankle_mm or (wearer.ankle_mm if wearer else None)
    calf: Measured | float | None = values.calf_mm or (wearer.calf_mm if wearer else None)
    sex = values.leg.sex or ((wearer.sized_as or None) if wearer else None)
    taped = wearer.ball_girth_mm if wearer else None
    if sex and ankle is None and shaped and taped:
        guess = ankle_estimate(taped, sex)
        ankle = guess.value if guess else None
    if sex and calf is None:
        ball = best_girth(taped, values.foot_mm, sex)
        guess = calf_estimate(taped or ball.value, sex) if ball else None
        calf = guess.value if guess else None
    return leg_fits(
        around,
        leg_mm,
        knee=values.leg.name == "knee",
        ankle_mm=ankle,
        calf_mm=calf,
        shaped=shaped,
        stretched_width_mm=fabric.stretched_width_mm,
        unit=unit,
        verdicts=not (wearer and wearer.caution),
        ask=ask,
        tube=values.heel.kind == "none",
    )


def where_tight(
    fabric: Fabric,
    wearer: Wearer | None,
    values: Values,
    sock: TubePlan,
    leg_mm: float,
    shaped: tuple[LegStep, ...],
    unit: str,
) -> Tightness:
    """The planned sock or tube on this foot, leg or arm; what was typed of ankle and calf counts as a tape's.

    Raises CraftError.
    """
    whole = sock if isinstance(sock, SockPlan) else None
    leg = fabric.leg_round(values.rib) if leg_mm > 0 else None
    calf = None
    if leg is not None and reaches_calf(leg_mm, knee=values.leg.name == "knee", shaped=bool(shaped)):
        calf = leg * shaped[0].larger if shaped else leg
    lain = Lain(
        called=tube_name(values.heel.kind, values.end, leg_mm),
        rows={section.name: section.count for section in sock.sections if section.kind == "rows"},
        foot=fabric.foot_round(values.rib),
        leg=leg,
        calf=calf,
        leg_rows=half_up(leg_mm * nominal(fabric.rows)),
        heel=depth_rows(whole.heel) if whole else 0,
        toe=depth_rows(sock.toe) if sock.toe else 0,
    )
    found = tightness(lain, taped_of(wearer, {"ankle": values.ankle_mm, "calf": values.calf_mm}))
    lines, notes = _heel_depth(fabric, wearer, whole, unit) if wearer and whole else ([], [])
    return replace(found, lines=(*lines, *found.lines), notes=(*notes, *found.notes))


def _heel_depth(fabric: Fabric, wearer: Wearer, sock: SockPlan, unit: str) -> tuple[list[Labelled], list[str]]:
    """The heel of the sock beside the height of the foot's own."""
    if wearer.heel_height_mm is None:
        return [], []
    rows = nominal(fabric.rows)
    deep = depth_rows(sock.heel) / rows
    missing, more = heel_reaches(deep, wearer.heel_height_mm, rows)
    line = ("Heel height", f"{show_length(wearer.heel_height_mm, unit)}; this heel {show_length(deep, unit)} deep")
    if missing < 1:
        return [line], []
    return [line], [
        f"From the bend of the ankle to the ground it is {show_length(missing, unit)} more than this heel is deep: "
        f"there the tube above goes round the heel. A heel {more} rows deeper would reach."
    ]


def leg_round_lines(fits: Sequence[LegFit], *, verdicts: bool) -> list[Labelled]:
    """The leg's ease at ankle and calf, as lines."""
    return [
        (f"Leg at {fit.place}", f"{fit.ease * 100:.0f} % ease" + (f", {fit.verdict}" if verdicts else ""))
        for fit in fits
    ]


def _girth_words(girth: Estimate, unit: str) -> str:
    """A girth and how it was come by; an estimate with its error, in the same unit."""
    if girth.estimated:
        return f"{length_plus_minus(girth.mm, girth.error_mm, unit)}, estimate"
    return f"{show_length(girth.mm, unit)} by tape"


def girths_of(
    wearer: Wearer | None,
    foot_mm: float | None,
    size: FootSize | None = None,
    *,
    ball_mm: float | None = None,
    heel_mm: float | None = None,
) -> tuple[Estimate | None, Estimate | None]:
    """Round the ball, and over heel and ankle: as typed (``ball_mm``, ``heel_mm``), else by the wearer's tape, else
    estimates where they fit. Raises CraftError.
    """
    sex = (wearer.sized_as or None) if wearer else None
    taped = ball_mm or (wearer.ball_girth_mm if wearer else None)
    width = size.width_for(sex) if size and sex else None
    girth = best_girth(taped, foot_mm, sex or "men", width) if taped or sex else None
    over = heel_mm or (wearer.heel_ankle_mm if wearer else None)
    if over:
        return girth, Estimate(as_measured(over), "", estimated=False)
    if girth is None or sex is None:
        return girth, None
    return girth, heel_ankle_estimate(foot_mm or 0.0, sex, None if girth.estimated else girth.value)


def _estimates(lines: list[Labelled], foot_mm: float | None, unit: str, size: FootSize | None) -> Fit:
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
