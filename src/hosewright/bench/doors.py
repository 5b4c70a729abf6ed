"""The screens the bench leads to, each imported when it is first gone to: the bench opens without them."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.screen import Screen

    from hosewright.bench.app import Bench
    from hosewright.bench.start.screen import StartScreen
    from hosewright.session.steps import SessionKind

STARTS = ("search", "tube", "sock", "string")  # dismissed with the start of a session
LOOKS_BACK = ("stock", "past")  # dismissed with the id of a session to go to


# The module below ``hosewright.bench`` and the class; importing them all takes a bare first frame.
_SCREENS = {
    "search": ("start.fresh_screen", "FreshStartScreen"),
    "tube": ("start.fresh_screen", "FreshStartScreen"),
    "sock": ("start.sock_screen", "SockStartScreen"),
    "string": ("start.sock_screen", "StringScreen"),
    "plan": ("plan.screen", "PlanScreen"),
    "shelf": ("shelf", "ShelfScreen"),
    "stock": ("year.stock_screen", "StockScreen"),
    "cylinders": ("plan.gauge_screens", "CylinderScreen"),
    "response": ("plan.gauge_screens", "ResponseScreen"),
    "sizes": ("plan.gauge_screens", "SizeScreen"),
    "care": ("year.care_screen", "CareScreen"),
    "pairs": ("year.pairs_screen", "PairsScreen"),
    "past": ("past.screen", "PastScreen"),
    "settings": ("settings", "SettingsScreen"),
}


def screen_of(place: str, bench: Bench, chosen: Mapping[str, str] | None = None) -> Screen[Any]:
    """The screen with this name; ``chosen`` fills in the start of a session or a plan's gauge.

    Raises KeyError for any other name.
    """
    match place:
        case "search" | "tube" | "sock":
            return start_of(place, chosen)
        case "plan":
            made: Screen[Any] = _class_of(place)(gauge=chosen.get("gauge") if chosen else None)
        case "settings":
            made = _class_of(place)(bench.settings, bench.themes, bench.theme)
        case _:
            made = _class_of(place)()
    return made


def start_of(kind: SessionKind, chosen: Mapping[str, str] | None = None) -> StartScreen:
    """The start of one search, tube or sock; ``chosen`` fills it in."""
    made: StartScreen = _class_of("sock")(chosen) if kind == "sock" else _class_of("tube")(kind, chosen)
    return made


def _class_of(place: str) -> Any:
    module, name = _SCREENS[place]
    return getattr(import_module(f"hosewright.bench.{module}"), name)
