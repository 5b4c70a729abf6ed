"""The numbers of a planned sock, as labelled lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.measured import show_rows
from hosewright.craft.units import MM_PER_INCH, show_mass

if TYPE_CHECKING:
    from hosewright.craft.sock import SockPlan, YarnNeed

Line = tuple[str, str]


def part_lines(sock: SockPlan) -> list[Line]:
    """Every part of the sock in the order it is cranked."""
    lines = []
    for section in sock.sections:
        said = f"{section.count} {section.kind}"
        if section.name == "foot":
            said = show_rows(sock.routes[0].exact)
        elif section.kind == "passes":
            turning = sock.heel if section.name == "heel" else sock.toe
            said += f", {turning.needles} to {turning.left_in_work}"
        elif section.name == "hem":
            said += ", hung double"
        lines.append((section.name.capitalize(), said))
    return lines


def route_lines(sock: SockPlan) -> list[Line]:
    """Both ways to the foot's rows side by side, when both are known."""
    if len(sock.routes) < 2:
        return []
    names = {"tube": "By a sock", "foot": "By the foot"}
    marks = (", followed", "")
    return [
        (names[route.by], f"{show_rows(route.exact)}{mark}") for route, mark in zip(sock.routes, marks, strict=True)
    ]


def yarn_lines(need: YarnNeed, ball_g: float | None) -> list[Line]:
    """Yarn for the pair, and whether one ball is enough."""
    said = f"{need.metres_per_pair:.0f} ± {need.metres_error:.0f} m"
    if need.grams_per_pair is not None:
        said += f", {show_mass(round(need.grams_per_pair))}"
    return [("Yarn a pair", said), ("One ball", _ball(need, ball_g))]


def _ball(need: YarnNeed, ball_g: float | None) -> str:
    if need.enough is None or need.grams_per_pair is None or ball_g is None:
        return "not known without the yarn's count and put-up"
    spread = need.grams_per_pair * need.metres_error / need.metres_per_pair
    if abs(need.grams_per_pair - ball_g) <= spread:
        return f"{show_mass(ball_g)}, too close to call"
    return f"{show_mass(ball_g)}, enough" if need.enough else f"{show_mass(ball_g)}, not enough"


def show_rate(per_mm: float, unit: str = "in") -> str:
    """Rows or stitches per length in the unit lengths are shown in: "11.11/in"."""
    return f"{per_mm * MM_PER_INCH:.2f}/in" if unit == "in" else f"{per_mm * 10:.2f}/cm"
