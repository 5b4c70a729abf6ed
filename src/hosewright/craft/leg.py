"""A leg: how long one is by its name, shaped by the dial, and how it lies round ankle and calf.

Its length is the tube from the cuff's lower edge to the heel's first pass, which on a short-row heel lies about the
heel's depth above the floor. Heights of ankle bone and kneecap are the means and spreads of 4082 men and 1986 women
(ANSUR II public release, Gordon et al. 2014); how far above or below them a sock ends is common practice, no source.

Shaping: a bigger loop makes a wider tube, so the girth a row fits is the ankle's times loop / loop at the baseline.
The loop at each click comes from `response`. Geometry; the even taper is our choice.

The bands of ease and stretch are those of the foot (`fit`), but that a leg is loose only where it is larger than
what it goes round; all of them are ours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from hosewright.craft import CraftError
from hosewright.craft.dial import show_position
from hosewright.craft.feet import Estimate
from hosewright.craft.fit import FitVerdict, verdict_for
from hosewright.craft.measured import Measured, as_measured, error, half_up, measured, nominal
from hosewright.craft.units import decimal_length, length_plus_minus, quoted, show_length

if TYPE_CHECKING:
    from hosewright.craft.feet import Sex
    from hosewright.craft.response import Response


LegName = Literal["ankle", "crew", "mid-calf", "knee"]

ANKLE_BONE_MM = {"men": (72.9, 5.67), "women": (62.75, 5.11)}
KNEECAP_MM = {"men": (488.39, 28.13), "women": (449.05, 25.99)}
ABOVE_ANKLE_BONE_MM = 30.0
CREW_LEG_MM = 140.0
BELOW_KNEECAP_MM = 76.2
LEAST_LEG_MM = 5.0
LEAST_GIRTH_MM = 50.0
MOST_GIRTH_MM = 1000.0
WORTH_SAYING_ROWS = 1.0
Place = Literal["ankle", "calf"]
CALF_LEG_MM = 280.0
_WORDS: dict[FitVerdict, str] = {
    "loose": "loose there, so it slides down",
    "right": "right there",
    "snug": "snug there, as ribbing would be",
    "tight": "tight there",
    "will not go on": "too small to go round it",
}


def leg_length(
    name: LegName,
    heel_depth_mm: float,
    sex: Sex | None = None,
    *,
    ankle_bone_mm: Measured | float | None = None,
    kneecap_mm: Measured | float | None = None,
    unit: str = "in",
) -> Estimate:
    """The leg that name means, less the heel's depth. Heights are from the floor, mm, standing.

    Measured heights are used where given, else the mean of the sex with its spread; with neither it asks for one.
    A crew leg is simply 14 cm (ours). Raises CraftError.
    """
    if name not in get_args(LegName):
        raise CraftError(f"A leg is {', '.join(get_args(LegName))} or a length, not {quoted(str(name))}.")
    if name == "crew":
        return Estimate(measured(CREW_LEG_MM), f"A crew leg is {show_length(CREW_LEG_MM, unit)} here.", estimated=False)
    needs_bone, needs_knee = name in ("ankle", "mid-calf"), name in ("mid-calf", "knee")
    bone = _height(ankle_bone_mm, ANKLE_BONE_MM, sex, "ankle bone") if needs_bone else measured(0.0)
    knee = _height(kneecap_mm, KNEECAP_MM, sex, "middle of the kneecap") if needs_knee else measured(0.0)
    top = {"ankle": bone + ABOVE_ANKLE_BONE_MM, "mid-calf": (bone + knee) / 2, "knee": knee - BELOW_KNEECAP_MM}[name]
    value = top - heel_depth_mm
    if nominal(value) < LEAST_LEG_MM:
        raise CraftError(
            f"A heel {show_length(heel_depth_mm, unit)} deep already reaches the {name}: leave the leg out, "
            f"or type its length."
        )
    estimated = (needs_bone and ankle_bone_mm is None) or (needs_knee and kneecap_mm is None)
    long = show_length(nominal(value), unit)
    how = "as measured"
    if estimated:
        long, how = length_plus_minus(nominal(value), error(value), unit), "an estimate; a tape measure is better"
    return Estimate(value, f"A leg to the {name} is {long}, {how}.", estimated)


def _height(
    taped: Measured | float | None, table: dict[str, tuple[float, float]], sex: Sex | None, what: str
) -> Measured:
    if taped is not None:
        if not 20 <= nominal(taped) <= 800:
            raise CraftError(f"The {what} is from 2 to 80 cm above the floor: measure it standing.")
        return as_measured(taped)
    if sex is None:
        raise CraftError(f"Measure the height of the {what} above the floor, or say men or women for an estimate.")
    if sex not in table:
        raise CraftError(f"Estimates are for men or women, not {quoted(sex)}.")
    return measured(*table[sex])


@dataclass(frozen=True, slots=True)
class LegStep:
    """``rows`` of leg knitted at ``clicks`` below zero, the first of them leg row ``from_row`` (counted from 1).

    ``girth_mm`` is the leg this part fits as the ankle is fitted at the baseline; its error is the dial response's.
    ``larger`` is a loop of it over one at the baseline: so much wider and taller its stitches are, and so much more
    yarn they take.
    """

    rows: int
    clicks: int
    from_row: int = 1
    girth_mm: Measured | None = None
    larger: Measured | float = 1.0

    @property
    def more_rows(self) -> Measured | float:
        """How much longer these rows come out than at the baseline, and how much more yarn they take, in such rows."""
        return (self.larger - 1) * self.rows


def leg_schedule(
    response: Response,
    *,
    baseline_clicks: int,
    leg_rows: int,
    ankle_mm: float,
    calf_mm: float,
) -> tuple[tuple[LegStep, ...], tuple[str, ...]]:
    """Whole clicks down the leg, in knitting order from the calf to the ankle, ending at the baseline.

    The leg keeps at the calf the ease it has at the ankle: circumference, and so the loop, grows as the girths
    do. Rows are shared evenly between the clicks, as a leg tapers. Returns the steps and what to be told.
    Raises CraftError.
    """
    if leg_rows < 1 or baseline_clicks < 0:
        raise CraftError("A leg schedule needs at least one row and a baseline below zero.")
    if not all(LEAST_GIRTH_MM <= girth <= MOST_GIRTH_MM for girth in (ankle_mm, calf_mm)):
        raise CraftError("Ankle and calf girths are from 5 to 100 cm.")
    if nominal(response.rise_mm) <= 0:
        raise CraftError("These tubes say the dial works backwards: check which tube belongs to which position.")
    if calf_mm <= ankle_mm:
        straight = _step(response, leg_rows, baseline_clicks, baseline_clicks, 1, ankle_mm)
        return (straight,), ("The calf is no wider than the ankle: the leg stays at the baseline.",)
    loop = nominal(response.loop_at(baseline_clicks))
    needed = half_up(loop * (calf_mm / ankle_mm - 1) / nominal(response.rise_mm))
    top = min(needed, leg_rows - 1)
    notes = []
    if top < needed:
        notes.append(
            f"{leg_rows} rows leave one row a click, so the leg widens by {top} clicks of the {needed} wanted."
        )
    trusted = top
    while trusted and response.far_from_tubes(baseline_clicks + trusted):
        trusted -= 1
    if trusted < top:
        notes.append(
            f"The calf would want {show_position(baseline_clicks + needed, response.dial.clicks_per_turn)}; "
            f"the leg goes only as far as a turn from a measured tube, and the stretch must do the rest."
        )
    share, extra = divmod(leg_rows, trusted + 1)
    steps: list[LegStep] = []
    for place in range(trusted + 1):
        rows = share + (1 if place < extra else 0)
        first = steps[-1].from_row + steps[-1].rows if steps else 1
        steps.append(_step(response, rows, baseline_clicks + trusted - place, baseline_clicks, first, ankle_mm))
    return tuple(steps), (*notes, *_length_note(steps, leg_rows))


def dial_changes(steps: tuple[LegStep, ...]) -> tuple[tuple[int, int], ...]:
    """(rows of the leg already cranked, clicks below zero to set) for each step, the first at 0 rows."""
    return tuple((step.from_row - 1, step.clicks) for step in steps)


def _step(response: Response, rows: int, clicks: int, baseline: int, first: int, ankle_mm: float) -> LegStep:
    """A step with the girth it fits; the loops share one fit, so their common error cancels in the ratio."""
    bigger = response.loop_at(clicks) / response.loop_at(baseline)
    return LegStep(rows, clicks, first, bigger * ankle_mm, bigger)


def _length_note(steps: list[LegStep], leg_rows: int) -> tuple[str, ...]:
    """Bigger loops are taller too: say how many rows longer the leg comes out, and how to keep its length."""
    longer = math.fsum(nominal(step.more_rows) for step in steps)
    if longer < WORTH_SAYING_ROWS:
        return ()
    fewer = half_up(leg_rows * longer / (leg_rows + longer))
    return (
        f"The bigger loops also make taller rows: this leg comes out as long as {leg_rows + longer:.0f} rows at the "
        f"baseline; plan about {fewer} rows fewer to keep its length.",
    )


@dataclass(frozen=True, slots=True)
class LegFit:
    """The leg at one place, mm: ``girth_mm`` of the wearer's, ``round_mm`` of the tube there, relaxed."""

    place: Place
    girth_mm: Measured | float
    round_mm: Measured
    verdict: FitVerdict
    words: str

    @property
    def ease(self) -> float:
        """How much smaller it is than what it goes round, as a share: 0.1 is 10 %."""
        return 1 - nominal(self.round_mm) / nominal(self.girth_mm)


def reaches_calf(leg_mm: float, *, knee: bool, shaped: bool) -> bool:
    """Whether a leg goes up to the calf: it is shaped for it, called a ``knee`` leg, or as long (from 28 cm: ours)."""
    return knee or shaped or leg_mm >= CALF_LEG_MM


def leg_fits(
    circumference: Measured,
    leg_mm: float,
    *,
    knee: bool = False,
    ankle_mm: Measured | float | None = None,
    calf_mm: Measured | float | None = None,
    shaped: tuple[LegStep, ...] = (),
    stretched_width_mm: Measured | float | None = None,
    unit: str = "in",
    verdicts: bool = True,
    ask: str = "measure it",
    tube: bool = False,
) -> tuple[tuple[LegFit, ...], tuple[str, ...]]:
    """A leg of ``leg_mm`` against the ankle, and where its top reaches it against the calf; and what to be told.

    ``circumference`` is the tube's at the baseline, relaxed, and ``stretched_width_mm`` its flat width pulled wide;
    ``shaped`` are the dial's steps, of which the first is at the calf. Without ``verdicts`` the words give figures
    alone.
    ``ask`` is what to do where the girth of the calf is wanted; ``tube``: it has no heel, so it is plain and cranked at
    one position of the dial. Raises CraftError.
    """
    if leg_mm <= 0:
        return (), ()
    most = None if stretched_width_mm is None else 2 * nominal(stretched_width_mm) / nominal(circumference) - 1
    girths: list[tuple[Place, Measured | float | None, Measured]] = [("ankle", ankle_mm, circumference)]
    if reaches_calf(leg_mm, knee=knee, shaped=bool(shaped)):
        girths.append(("calf", calf_mm, circumference * shaped[0].larger if shaped else circumference))
    fits = []
    for place, girth, round_mm in girths:
        if girth is None:
            continue
        if not LEAST_GIRTH_MM <= nominal(girth) <= MOST_GIRTH_MM:
            raise CraftError("Ankle and calf girths are from 5 to 100 cm.")
        verdict = _verdict(nominal(girth), nominal(round_mm), most)
        words = _words(place, girth, round_mm, verdict if verdicts else None, unit)
        fits.append(LegFit(place, girth, round_mm, verdict, words))
    told = [fit.words for fit in fits]
    if verdicts and any(fit.verdict in ("tight", "will not go on") for fit in fits):
        wider = f"More slots or a rib{'' if shaped else ', or a leg shaped by the dial,'}"
        if tube:
            wider = "More slots, or larger stitches all along, by a gauge from further down the dial,"
        told.append(f"{wider} would make it wider there.")
    if len(girths) > 1 and calf_mm is None:
        told.append(
            f"The top of this leg goes round the calf, whose girth is not known: {ask} to hold it against the tube."
        )
    return tuple(fits), tuple(told)


def _verdict(girth_mm: float, round_mm: float, most_stretch: float | None) -> FitVerdict:
    ease = 1 - round_mm / girth_mm
    if ease < 0:
        return "loose"
    found = verdict_for(ease, girth_mm / round_mm - 1, most_stretch)
    return "right" if found == "loose" else found


def _words(place: Place, girth: Measured | float, round_mm: Measured, verdict: FitVerdict | None, unit: str) -> str:
    wide = decimal_length(nominal(girth), unit)
    if error(girth) >= 1:
        wide = length_plus_minus(nominal(girth), error(girth), unit)
    stretch = nominal(girth) / nominal(round_mm) - 1
    must = f"stretches {stretch * 100:.0f} %" if stretch >= 0 else f"is {-100 * stretch:.0f} % larger"
    said = f"Round the {place} ({wide}) the leg, {decimal_length(nominal(round_mm), unit)} round, {must}"
    if verdict is None:
        return f"{said}."
    return f"{said}: {_WORDS[verdict]}."
