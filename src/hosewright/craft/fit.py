"""Which cylinder for this foot: what each gives round, and whether it fits the ball and passes the heel.

Sock circumference wanted = girth x (1 - ease). The tube's own cylinder is a measurement; any other is a
prediction at the same dial position, from the same loop (unadjusted) to the loop the other needle pitch would
draw, l = 2 sqrt(d^2 + (p/2)^2). A slip-on trial outranks all of it. Bands of fit are ours, and so is how far a tube can
stretch until the knitter measures its flat width pulled wide, which then decides whether the heel passes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from hosewright.craft import CraftError, check_slots
from hosewright.craft.loops import draw_mm, loop_on_pitch, needle_pitch_mm
from hosewright.craft.measured import Measured, error, measured, nominal
from hosewright.craft.units import decimal_length, length_number, quoted, show_length

if TYPE_CHECKING:
    from collections.abc import Iterable

FitVerdict = Literal["loose", "right", "snug", "tight", "will not go on"]

LOOSE_UNDER_EASE = 0.05
RIGHT_UP_TO_EASE = 0.15
SNUG_UP_TO_EASE = 0.25
EASY_OVER_HEEL = 0.65
MOST_OVER_HEEL = 0.90

VERDICT_WORDS: dict[FitVerdict, str] = {
    "loose": "loose on this foot",
    "right": "right for this foot",
    "snug": "snug, as ribbing would be",
    "tight": "tight on this foot or over its heel",
    "will not go on": "too small to pass over the heel",
}
OnFoot = Literal["loose", "right", "tight"]
PLAIN_EASE = 0.10
MOST_EASE = 0.5
CYLINDER_DIAMETER_MM = 110.0


def verdict_for(ease: float, heel_stretch: float | None, most_stretch: float | None = None) -> FitVerdict:
    """A word for the fit. All are shares (0.1 is 10 %): ease, stretch over the heel, and the most it stretches.

    ``most_stretch`` as measured on the tube, None to use our band of 90 %. Within the last quarter or so of what
    the tube gives (65 of 90) getting it on is a struggle, so that counts as tight.
    """
    most = MOST_OVER_HEEL if most_stretch is None else most_stretch
    if heel_stretch is not None and heel_stretch > most:
        return "will not go on"
    struggles = heel_stretch is not None and heel_stretch > most * EASY_OVER_HEEL / MOST_OVER_HEEL
    if ease > SNUG_UP_TO_EASE or struggles:
        return "tight"
    if ease < LOOSE_UNDER_EASE:
        return "loose"
    return "right" if ease <= RIGHT_UP_TO_EASE else "snug"


@dataclass(frozen=True, slots=True)
class CylinderSize:
    """A cylinder the knitter owns: slots, needle-circle diameter in mm (None: nobody measured it), and its name."""

    slots: int
    diameter_mm: float | None = None
    name: str = ""

    def __post_init__(self) -> None:
        check_slots(self.slots, "A cylinder's slots")
        if self.diameter_mm is not None and not 20 <= self.diameter_mm <= 1000:
            raise CraftError(
                "A cylinder's diameter is from 2 to 100 cm, measured from needle to needle across the middle."
            )

    @property
    def pitch_mm(self) -> float:
        """Distance between needles, mm; where nobody measured across them, as if it were CYLINDER_DIAMETER_MM."""
        return needle_pitch_mm(self.diameter_mm or CYLINDER_DIAMETER_MM, self.slots)

    @property
    def label(self) -> str:
        return self.name or f"{self.slots} slots"


@dataclass(frozen=True, slots=True)
class CylinderFit:
    """What one cylinder gives. Circumferences in mm; ease and stretches are shares (0.1 is 10 %).

    ``low_mm`` to ``high_mm`` runs from the unadjusted to the pitch-adjusted loop; both are the measurement on
    the tube's own cylinder. ``circumference`` is their middle; its error takes in both the tube's measurement and
    that range (as a rectangular error). ``heel_stretch`` is None when no heel-ankle girth is known.
    ``stretched_mm`` is how far round it goes when pulled wide, None when the tube was not measured so, and
    ``heel_passes`` whether that lets the heel through, None when either is unknown.
    """

    cylinder: CylinderSize
    measured: bool
    circumference: Measured
    low_mm: float
    high_mm: float
    ease: float
    ball_stretch: float
    heel_stretch: float | None
    verdict: FitVerdict
    words: str
    stretched_mm: float | None = None
    heel_passes: bool | None = None


@dataclass(frozen=True, slots=True)
class CylinderChoice:
    """Every cylinder's fit in the order given, the one to use, and the circumference wanted."""

    fits: tuple[CylinderFit, ...]
    best: CylinderFit
    wanted_mm: float
    notes: tuple[str, ...]

    @property
    def none_goes_on(self) -> bool:
        """Whether every cylinder the tube's trial leaves is too small to pass over the heel: there is none to use."""
        return self.best.verdict == "will not go on"

    @property
    def fits_well(self) -> bool:
        """Whether the best of them is one to use, not just the nearest."""
        return self.best.verdict in ("right", "snug")


def trial_words(trial: str, round_mm: float, girth_mm: float | None, unit: str = "in", *, verdicts: bool = True) -> str:
    """What a tube's trial on the foot says beside the tape: ``girth_mm`` is that foot's ball girth, None if unknown.

    ``verdicts``: a foot at risk is told none.
    """
    if girth_mm is None:
        return f"On the foot: {trial}. That foot's ball girth is not known, so there is no tape to compare it with."
    ease = 1 - round_mm / girth_mm
    less = "less" if ease >= 0 else "more"
    way = f"{abs(ease) * 100:.0f} % {less} round than the foot's {show_length(girth_mm, unit)}"
    if not verdicts:
        return f"On the foot: {trial}. The tube is {way}."
    by_tape = verdict_for(ease, None)
    if trial == by_tape or (by_tape == "snug" and trial != "loose"):
        return f"On the foot: {trial}, as the tape says too: it is {way}."
    return (
        f"On the foot: {trial}, though by the tape it would be {by_tape}: it is {way}. The foot decides; measure the "
        "girth and the flat width once more."
    )


def check_girth(girth_mm: float) -> None:
    """Raise CraftError for a girth that no foot or leg has."""
    if not 50 <= girth_mm <= 1000:
        raise CraftError("A girth is from 5 to 100 cm: measure round the widest part.")


def wanted_circumference(girth_mm: float, ease: float = PLAIN_EASE) -> float:
    """Sock circumference wanted, mm: girth x (1 - ease). Ease 0.10 for plain knitting. Raises CraftError."""
    check_girth(girth_mm)
    if not 0 <= ease <= MOST_EASE:
        raise CraftError("Ease round is from 0 to 50 %; 10 % is usual for plain knitting.")
    return girth_mm * (1 - ease)


def predict_circumference(
    circumference: Measured, loop_mm: Measured, tube: CylinderSize, other: CylinderSize
) -> tuple[Measured, Measured]:
    """Circumference on ``other`` at the same dial position, mm: (unadjusted, pitch-adjusted).

    Unadjusted scales with the slots alone; adjusted also with the loop the other pitch draws.
    """
    unadjusted = circumference * (other.slots / tube.slots)
    loop_there = loop_on_pitch(draw_mm(loop_mm, tube.pitch_mm), other.pitch_mm)
    return unadjusted, unadjusted * (loop_there / loop_mm)


def choose_cylinder(
    *,
    tube: CylinderSize,
    circumference: Measured,
    loop_mm: Measured,
    owned: tuple[CylinderSize, ...],
    girth_mm: Measured | float,
    heel_ankle_mm: Measured | float | None = None,
    ease: float = PLAIN_EASE,
    trial: OnFoot | None = None,
    unit: str = "in",
    stretched_width_mm: Measured | float | None = None,
) -> CylinderChoice:
    """The fit of every cylinder owned, from one measured tube, and which to use.

    ``trial`` is how that tube felt on the foot: right keeps its cylinder whatever the arithmetic says, loose
    rules out every cylinder as big, tight every one as small. ``stretched_width_mm`` is the tube's flat width
    pulled wide: where known it decides whether the heel passes. Girths may carry an error (an estimate's does).
    Raises CraftError.
    """
    if trial is not None and trial not in get_args(OnFoot):
        raise CraftError(f"The tube was loose, right or tight on the foot, not {quoted(str(trial))}.")
    wanted = wanted_circumference(nominal(girth_mm), ease)
    foot = _Foot(girth_mm, heel_ankle_mm, _most_stretch(stretched_width_mm, circumference), trial, unit)
    cylinders = owned if tube in owned else (tube, *owned)
    fits = tuple(_fit(cylinder, tube, circumference, loop_mm, foot) for cylinder in cylinders)
    best, notes = _best(fits, tube, wanted, trial)
    assumed = assumed_diameters(cylinders, unit) if len(cylinders) > 1 else ()
    return CylinderChoice(fits, best, wanted, (*notes, *assumed))


def assumed_diameters(cylinders: Iterable[CylinderSize], unit: str = "in") -> tuple[str, ...]:
    """That what is predicted with these cylinders rests on a diameter nobody measured; nothing where all were."""
    unknown = ", ".join(dict.fromkeys(cylinder.label for cylinder in cylinders if cylinder.diameter_mm is None))
    if not unknown:
        return ()
    return (
        f"Nobody measured across the needles of {unknown}: {show_length(CYLINDER_DIAMETER_MM, unit)} is assumed. "
        "A centimetre more or less changes a prediction by about 1 %.",
    )


@dataclass(frozen=True, slots=True)
class _Foot:
    """What every cylinder is held against."""

    girth_mm: Measured | float
    heel_mm: Measured | float | None
    most_stretch: float | None
    trial: OnFoot | None
    unit: str

    def verdict(self, round_mm: float, sigmas: float = 0.0) -> FitVerdict:
        """The verdict at a circumference, with the girths ``sigmas`` of their errors above what was given."""
        girth = nominal(self.girth_mm) + sigmas * error(self.girth_mm)
        heel = None if self.heel_mm is None else nominal(self.heel_mm) + sigmas * error(self.heel_mm)
        return verdict_for(1 - round_mm / girth, None if heel is None else heel / round_mm - 1, self.most_stretch)


def _most_stretch(width_mm: Measured | float | None, circumference: Measured) -> float | None:
    """How far the tube stretches round, as a share of its relaxed circumference."""
    if width_mm is None:
        return None
    stretch = 2 * nominal(width_mm) / nominal(circumference) - 1
    if not 0 <= stretch < 10:
        raise CraftError(
            "The width stretched wide must be at least the tube's flat width: measure across, pulled wide."
        )
    return stretch


def _fit(
    cylinder: CylinderSize, tube: CylinderSize, circumference: Measured, loop_mm: Measured, foot: _Foot
) -> CylinderFit:
    own = cylinder == tube
    ends = (circumference, circumference) if own else predict_circumference(circumference, loop_mm, tube, cylinder)
    low, high = sorted((nominal(ends[0]), nominal(ends[1])))
    middle = (ends[0] + ends[1]) / 2
    spread = error(middle)
    middle = middle + measured(0.0, (high - low) / 2 / math.sqrt(3))
    round_mm, girth = nominal(middle), nominal(foot.girth_mm)
    heel = None if foot.heel_mm is None else nominal(foot.heel_mm) / round_mm - 1
    verdict = foot.verdict(round_mm)
    kind = f"measured {decimal_length(round_mm, foot.unit)}"
    if not own:
        kind = f"predicted {length_number(low, foot.unit)} to {decimal_length(high, foot.unit)}"
    said = f"{cylinder.label}, {kind} round: {VERDICT_WORDS[verdict]}"
    tightest, loosest = foot.verdict(low - spread, 1.0), foot.verdict(high + spread, -1.0)
    if tightest != loosest:
        said += f" (from {tightest} to {loosest} within the errors)"
    if own and foot.trial is not None:
        verdict = foot.trial
        tried = f"{verdict} on the foot it was tried on, which for that foot outranks the arithmetic"
        said = f"{cylinder.label}, {kind} round: {tried}"
    most = None if foot.most_stretch is None else round_mm * (1 + foot.most_stretch)
    passes = None if most is None or foot.heel_mm is None else nominal(foot.heel_mm) <= most
    return CylinderFit(
        cylinder, own, middle, low, high, 1 - round_mm / girth, girth / round_mm - 1, heel, verdict,
        f"{said}; {_stretch_words(girth / round_mm - 1, heel, most, passes, foot.unit)}.", most, passes,
    )  # fmt: skip


def _stretch_words(ball: float, heel: float | None, most: float | None, passes: bool | None, unit: str) -> str:
    said = f"it stretches {max(ball, 0) * 100:.0f} % on the ball"
    if heel is not None:
        said += f" and {max(heel, 0) * 100:.0f} % over the heel"
    if most is not None:
        ends = {True: ", so the heel passes", False: ", which the heel does not pass", None: ""}[passes]
        said += f"; pulled wide it goes to {decimal_length(most, unit)} round{ends}"
    return said


def _best(
    fits: tuple[CylinderFit, ...], tube: CylinderSize, wanted: float, trial: OnFoot | None
) -> tuple[CylinderFit, tuple[str, ...]]:
    """The fit nearest the circumference wanted, among those a trial has not ruled out."""
    own = next(fit for fit in fits if fit.cylinder == tube)
    if trial == "right":
        if verdict_for(own.ease, own.heel_stretch) != "right":
            return own, ("The tube was right on the foot, so its cylinder is kept though the girth says otherwise.",)
        return own, ()
    left = fits
    if trial is not None:
        size = nominal(own.circumference)
        sign = 1 if trial == "tight" else -1
        left = tuple(fit for fit in fits if (nominal(fit.circumference) - size) * sign > 0)
        if not left:
            other = "more" if trial == "tight" else "fewer"
            return own, (f"The tube was {trial} and no other cylinder helps: {other} slots, or another dial position.",)
    left = tuple(fit for fit in left if fit.verdict != "will not go on") or left
    best = min(left, key=lambda fit: abs(nominal(fit.circumference) - wanted))
    if best.verdict == "will not go on":
        return best, ("Crank on more slots than any of these, or at a dial position further down, and measure again.",)
    notes = []
    if not best.measured:
        notes.append("The best cylinder is a prediction: crank a short tube on it before the sock.")
    if abs(nominal(best.circumference) - wanted) > 2 * error(best.circumference) and best.verdict != "right":
        notes.append("No cylinder here comes out right by the arithmetic: try the tube on before the sock.")
    return best, tuple(notes)
