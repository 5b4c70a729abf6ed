"""Which cylinder for this foot: what each gives round, and whether it fits the ball and passes the heel.

Sock circumference wanted = girth x (1 - ease). The tube's own cylinder is a measurement; any other is a
prediction at the same dial position, from the same loop (unadjusted) to the loop the other needle pitch would
draw, l = 2 sqrt(d^2 + (p/2)^2). A slip-on trial outranks all of it. Bands of fit are ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from hosewright.craft.errors import CraftError
from hosewright.craft.loops import draw_mm, loop_on_pitch, needle_pitch_mm
from hosewright.craft.measured import Measured, error, nominal
from hosewright.craft.units import quoted, show_length

Trial = Literal["loose", "right", "tight"]
Verdict = Literal["loose", "right", "snug", "tight", "will not go on"]

PLAIN_EASE = 0.10
MOST_EASE = 0.5
CYLINDER_DIAMETER_MM = 114.3
LOOSE_UNDER_EASE = 0.05
RIGHT_UP_TO_EASE = 0.15
SNUG_UP_TO_EASE = 0.25
EASY_OVER_HEEL = 0.65
MOST_OVER_HEEL = 0.90


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder the knitter owns: slots, needle-circle diameter in mm, and what they call it."""

    slots: int
    diameter_mm: float = CYLINDER_DIAMETER_MM
    name: str = ""

    def __post_init__(self) -> None:
        if not 8 <= self.slots <= 400:
            raise CraftError(f"A cylinder has from 8 to 400 slots, not {self.slots}.")
        if not 20 <= self.diameter_mm <= 1000:
            raise CraftError("A cylinder's diameter is from 2 to 100 cm; 4 1/2 in (11.4 cm) is usual.")

    @property
    def pitch_mm(self) -> float:
        """Distance between needles, mm."""
        return needle_pitch_mm(self.diameter_mm, self.slots)

    @property
    def label(self) -> str:
        """Its name, or its slots."""
        return self.name or f"{self.slots} slots"


@dataclass(frozen=True, slots=True)
class CylinderFit:
    """What one cylinder gives. Circumferences in mm; ease and stretches are shares (0.1 is 10 %).

    ``low_mm`` to ``high_mm`` runs from the unadjusted to the pitch-adjusted loop; both are the measurement on
    the tube's own cylinder. ``heel_stretch`` is None when no heel-ankle girth is known.
    """

    cylinder: Cylinder
    measured: bool
    circumference: Measured
    low_mm: float
    high_mm: float
    ease: float
    ball_stretch: float
    heel_stretch: float | None
    verdict: Verdict
    words: str


@dataclass(frozen=True, slots=True)
class CylinderChoice:
    """Every cylinder's fit in the order given, the one to use, and the circumference wanted."""

    fits: tuple[CylinderFit, ...]
    best: CylinderFit
    wanted_mm: float
    notes: tuple[str, ...]


def wanted_circumference(girth_mm: float, ease: float = PLAIN_EASE) -> float:
    """Sock circumference wanted, mm: girth x (1 - ease). Ease 0.10 for plain knitting."""
    if not 50 <= girth_mm <= 1000:
        raise CraftError("A girth is from 5 to 100 cm: measure round the widest part.")
    if not 0 <= ease <= MOST_EASE:
        raise CraftError("Ease round is from 0 to 50 %; 10 % is usual for plain knitting.")
    return girth_mm * (1 - ease)


def predict_circumference(
    circumference: Measured, loop_mm: Measured, tube: Cylinder, other: Cylinder
) -> tuple[Measured, Measured]:
    """Circumference on ``other`` at the same dial position, mm: (unadjusted, pitch-adjusted).

    Unadjusted scales with the slots alone; adjusted also with the loop the other pitch draws.
    """
    unadjusted = circumference * (other.slots / tube.slots)
    loop_there = loop_on_pitch(draw_mm(loop_mm, tube.pitch_mm), other.pitch_mm)
    return unadjusted, unadjusted * (loop_there / loop_mm)


def choose_cylinder(
    *,
    tube: Cylinder,
    circumference: Measured,
    loop_mm: Measured,
    owned: tuple[Cylinder, ...],
    girth_mm: float,
    heel_ankle_mm: float | None = None,
    ease: float = PLAIN_EASE,
    trial: Trial | None = None,
    unit: str = "in",
) -> CylinderChoice:
    """The fit of every cylinder owned, from one measured tube, and which to use.

    ``trial`` is how that tube felt on the foot: right keeps its cylinder whatever the arithmetic says, loose
    rules out every cylinder as big, tight every one as small.
    """
    if trial is not None and trial not in get_args(Trial):
        raise CraftError(f"The tube was loose, right or tight on the foot, not {quoted(str(trial))}.")
    wanted = wanted_circumference(girth_mm, ease)
    cylinders = owned if tube in owned else (tube, *owned)
    fits = tuple(
        _fit(cylinder, tube, circumference, loop_mm, girth_mm, heel_ankle_mm, trial, unit) for cylinder in cylinders
    )
    best, notes = _best(fits, tube, wanted, trial)
    return CylinderChoice(fits, best, wanted, notes)


def _fit(
    cylinder: Cylinder,
    tube: Cylinder,
    circumference: Measured,
    loop_mm: Measured,
    girth_mm: float,
    heel_mm: float | None,
    trial: Trial | None,
    unit: str,
) -> CylinderFit:
    own = cylinder == tube
    ends = (circumference, circumference) if own else predict_circumference(circumference, loop_mm, tube, cylinder)
    middle = (ends[0] + ends[1]) / 2
    low, high = sorted((nominal(ends[0]), nominal(ends[1])))
    round_mm = nominal(middle)
    ease = 1 - round_mm / girth_mm
    heel = None if heel_mm is None else heel_mm / round_mm - 1
    verdict = _verdict(ease, heel)
    kind = f"measured {show_length(round_mm, unit)}"
    if not own:
        kind = f"predicted {show_length(low, unit)} to {show_length(high, unit)}"
    said = f"{cylinder.label}, {kind} round: {_VERDICT_WORDS[verdict]}"
    ends_say = [_verdict(1 - end / girth_mm, None if heel_mm is None else heel_mm / end - 1) for end in (low, high)]
    if ends_say[0] != ends_say[1]:
        said += f" (from {ends_say[0]} to {ends_say[1]} over that range)"
    if own and trial is not None:
        verdict = trial
        said = f"{cylinder.label}, {kind} round: {trial} on the foot when tried, which outranks the arithmetic"
    stretch = f"it stretches {max(girth_mm / round_mm - 1, 0) * 100:.0f} % on the ball"
    if heel is not None:
        stretch += f" and {max(heel, 0) * 100:.0f} % over the heel"
    return CylinderFit(
        cylinder, own, middle, low, high, ease, girth_mm / round_mm - 1, heel, verdict, f"{said}; {stretch}."
    )


_VERDICT_WORDS: dict[Verdict, str] = {
    "loose": "loose on this foot",
    "right": "right for this foot",
    "snug": "snug, as ribbing would be",
    "tight": "tight on this foot or over its heel",
    "will not go on": "too small to pass over the heel",
}


def _verdict(ease: float, heel_stretch: float | None) -> Verdict:
    """A word for the fit, from the ease it would really have and the stretch over the heel."""
    if heel_stretch is not None and heel_stretch > MOST_OVER_HEEL:
        return "will not go on"
    if ease > SNUG_UP_TO_EASE or (heel_stretch is not None and heel_stretch > EASY_OVER_HEEL):
        return "tight"
    if ease < LOOSE_UNDER_EASE:
        return "loose"
    return "right" if ease <= RIGHT_UP_TO_EASE else "snug"


def _best(
    fits: tuple[CylinderFit, ...], tube: Cylinder, wanted: float, trial: Trial | None
) -> tuple[CylinderFit, tuple[str, ...]]:
    """The fit nearest the circumference wanted, among those a trial has not ruled out."""
    own = next(fit for fit in fits if fit.cylinder == tube)
    if trial == "right":
        if own.verdict != _verdict(own.ease, own.heel_stretch):
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
    notes = []
    if not best.measured:
        notes.append("The best cylinder is a prediction: crank a short tube on it before the sock.")
    if abs(nominal(best.circumference) - wanted) > 2 * error(best.circumference) and best.verdict != "right":
        notes.append("No cylinder here comes out right by the arithmetic: try the tube on before the sock.")
    return best, tuple(notes)
