"""How long a leg is by its name: ankle, crew, mid-calf, knee; measured where it can be, estimated where not.

The leg is the tube from the cuff's lower edge to the heel's first pass, which on a short-row heel lies about the
heel's depth above the floor. Heights of ankle bone and kneecap are the means and spreads of 4082 men and 1986 women
(ANSUR II public release, Gordon et al. 2014); how far above or below them a sock ends is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from hosewright.craft.errors import CraftError
from hosewright.craft.measured import Measured, as_measured, error, measured, nominal
from hosewright.craft.units import quoted, show_length

if TYPE_CHECKING:
    from hosewright.craft.feet import Sex

LegName = Literal["ankle", "crew", "mid-calf", "knee"]

ANKLE_BONE_MM = {"men": (72.9, 5.67), "women": (62.75, 5.11)}
KNEECAP_MM = {"men": (488.39, 28.13), "women": (449.05, 25.99)}
ABOVE_ANKLE_BONE_MM = 30.0
CREW_LEG_MM = 140.0
BELOW_KNEECAP_MM = 76.2
LEAST_LEG_MM = 5.0


@dataclass(frozen=True, slots=True)
class LegLength:
    """A leg in mm with its error; ``estimated`` unless it rests on measurements or common practice alone."""

    name: LegName
    value: Measured
    estimated: bool
    words: str

    @property
    def mm(self) -> float:
        """The leg, mm."""
        return nominal(self.value)


def leg_length(
    name: LegName,
    heel_depth_mm: float,
    sex: Sex | None = None,
    *,
    ankle_bone_mm: Measured | float | None = None,
    kneecap_mm: Measured | float | None = None,
    unit: str = "in",
) -> LegLength:
    """The leg that name means, less the heel's depth. Heights are from the floor, mm, standing.

    Measured heights are used where given, else the mean of the sex with its spread; with neither it asks for one.
    A crew leg is simply 14 cm (ours). Raises CraftError.
    """
    if name not in get_args(LegName):
        raise CraftError(f"A leg is {', '.join(get_args(LegName))} or a length, not {quoted(str(name))}.")
    if name == "crew":
        return LegLength(name, measured(CREW_LEG_MM), False, f"A crew leg is {show_length(CREW_LEG_MM, unit)} here.")
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
    how = f"an estimate, ± {show_length(error(value), unit)}; a tape measure is better" if estimated else "as measured"
    return LegLength(name, value, estimated, f"A leg to the {name} is {show_length(nominal(value), unit)}, {how}.")


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
