"""Which cylinder: all that are owned, side by side, for one girth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.plan.gauge_screen import GaugeScreen
from hosewright.craft.errors import CraftError
from hosewright.craft.feet import Estimate, best_girth, heel_ankle_estimate
from hosewright.phrases.columns import aligned
from hosewright.planning.typed import EASE_ROUND, ball_girth, heel_ankle_girth
from hosewright.session.steps.hazards import FEET_AT_RISK
from hosewright.words.machine import HEADINGS, cylinder_rows, short_cylinder_rows, wanted_words

if TYPE_CHECKING:
    from hosewright.craft.fit import CylinderChoice
    from hosewright.phrases.field import Field
    from hosewright.planning.gauges import Knit

NO_VERDICT = (
    "No verdict for a foot at risk: no ease is called safe. Measure, make it loose, and ask a podiatrist or nurse."
)


class CylinderScreen(GaugeScreen):
    """Circumference, ease, stretches and a verdict for each cylinder."""

    HEADING = "Which cylinder"
    WITH_WEARER = True
    EXPLAIN = (
        "Every cylinder you own for one girth: what the sock comes to round, its ease, the stretch on the ball and "
        "over the heel, and a verdict. The tube's own cylinder was measured; every other one is predicted and says so."
    )

    def fields(self) -> tuple[Field, ...]:
        """Both girths and the ease."""
        return ball_girth(self.unit), heel_ankle_girth(self.unit), EASE_ROUND

    def answer(self, knit: Knit) -> str:
        """The table, then each cylinder in words."""
        wearer = self.shelf.wearers.get(self.wearer_pick.chosen or "")
        ball, over = self._girths(self.values["girth"], self.values["heel"])
        over_mm = over.value if isinstance(over, Estimate) else over
        choice = knit.fabric.choose(ball.value, over_mm, ease=self.values["ease"], unit=self.unit)
        notes = [one.words for one in (ball, over) if isinstance(one, Estimate) and one.estimated]
        if wearer is not None and wearer.caution:
            lines = aligned([HEADINGS[:4], *short_cylinder_rows(choice, self.unit, verdicts=False)])
            return "\n".join([*lines, "", NO_VERDICT, *notes])
        return "\n".join([*_table(choice, self.unit), *notes, FEET_AT_RISK])

    def _girths(self, girth: float | None, heel: float | None) -> tuple[Estimate, Estimate | float | None]:
        """Ball and heel-ankle girth: what is typed, else the wearer's, else an estimate. Raises CraftError."""
        wearer = self.shelf.wearers.get(self.wearer_pick.chosen or "")
        taped = girth or (wearer.ball_girth_mm if wearer else None)
        foot = wearer.foot_mm if wearer else None
        sex = (wearer.sized_as or None) if wearer else None
        ball = best_girth(taped, foot, sex or "men") if taped or sex else None
        if ball is None:
            raise CraftError("Type a ball girth, or choose a wearer whose ball girth is known.")
        over: Estimate | float | None = heel or (wearer.heel_ankle_mm if wearer else None)
        if over is None and sex:
            over = heel_ankle_estimate(foot or 0.0, sex, None if ball.estimated else ball.value)
        return ball, over


def _table(choice: CylinderChoice, unit: str) -> list[str]:
    return [
        wanted_words(choice, unit),
        "",
        *aligned([HEADINGS, *cylinder_rows(choice, unit)]),
        "",
        *(fit.words for fit in choice.fits),
        *choice.notes,
    ]
