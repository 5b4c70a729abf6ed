"""How a leg lies round the ankle and the calf: what the tube is there, relaxed, against what it goes round.

The bands of ease and stretch are those of the foot (`verdicts`), but that a leg is loose only where it is larger than
what it goes round; all of them are ours. At the calf the loops of a leg shaped by the dial are larger, and so is the
tube.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.errors import CraftError
from hosewright.craft.leg import LEAST_GIRTH_MM, MOST_GIRTH_MM
from hosewright.craft.measured import Measured, error, nominal
from hosewright.craft.units import show_length
from hosewright.craft.verdicts import Verdict, verdict_for

if TYPE_CHECKING:
    from hosewright.craft.leg import LegStep

Place = Literal["ankle", "calf"]

CALF_LEG_MM = 280.0

_WORDS: dict[Verdict, str] = {
    "loose": "loose there, so it slides down",
    "right": "right there",
    "snug": "snug there, as ribbing would be",
    "tight": "tight there",
    "will not go on": "too small to go round it",
}


@dataclass(frozen=True, slots=True)
class LegFit:
    """The leg at one place, mm: ``girth_mm`` of the wearer's, ``round_mm`` of the tube there, relaxed."""

    place: Place
    girth_mm: Measured | float
    round_mm: Measured
    verdict: Verdict
    words: str

    @property
    def ease(self) -> float:
        """How much smaller it is than what it goes round, as a share: 0.1 is 10 %."""
        return 1 - nominal(self.round_mm) / nominal(self.girth_mm)


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
) -> tuple[tuple[LegFit, ...], tuple[str, ...]]:
    """A leg of ``leg_mm`` against the ankle, and where its top reaches it against the calf; and what to be told.

    ``circumference`` is the tube's at the baseline, relaxed, and ``stretched_width_mm`` its flat width pulled wide;
    ``shaped`` are the dial's steps, of which the first is at the calf. A leg reaches the calf when it is shaped for
    it, called a ``knee`` leg, or as long (from 28 cm: ours). Without ``verdicts`` the words give figures alone.
    ``ask`` is what to do where the girth of the calf is wanted. Raises CraftError.
    """
    if leg_mm <= 0:
        return (), ()
    most = None if stretched_width_mm is None else 2 * nominal(stretched_width_mm) / nominal(circumference) - 1
    girths: list[tuple[Place, Measured | float | None, Measured]] = [("ankle", ankle_mm, circumference)]
    if knee or shaped or leg_mm >= CALF_LEG_MM:
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
        told.append(
            f"More slots or a rib{'' if shaped else ', or a leg shaped by the dial,'} would make it wider there."
        )
    if len(girths) > 1 and calf_mm is None:
        told.append(
            f"The top of this leg goes round the calf, whose girth is not known: {ask} to hold it against the tube."
        )
    return tuple(fits), tuple(told)


def _verdict(girth_mm: float, round_mm: float, most_stretch: float | None) -> Verdict:
    ease = 1 - round_mm / girth_mm
    if ease < 0:
        return "loose"
    found = verdict_for(ease, girth_mm / round_mm - 1, most_stretch)
    return "right" if found == "loose" else found


def _words(place: Place, girth: Measured | float, round_mm: Measured, verdict: Verdict | None, unit: str) -> str:
    wide = show_length(nominal(girth), unit)
    if error(girth) >= 1:
        wide += f" ± {show_length(error(girth), unit)}"
    stretch = nominal(girth) / nominal(round_mm) - 1
    must = f"stretches {stretch * 100:.0f} %" if stretch >= 0 else f"is {-100 * stretch:.0f} % larger"
    said = f"Round the {place} ({wide}) the leg, {show_length(nominal(round_mm), unit)} round, {must}"
    if verdict is None:
        return f"{said}."
    return f"{said}: {_WORDS[verdict]}."
