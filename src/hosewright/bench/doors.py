"""The screens the bench leads to, each imported when it is first gone to: the bench opens without them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.screen import Screen

    from hosewright.bench.app import Bench
    from hosewright.bench.start.screen import StartScreen
    from hosewright.session.steps import SessionKind

STARTS = ("search", "tube", "sock", "string")  # dismissed with the start of a session
LOOKS_BACK = ("stock", "past")  # dismissed with the id of a session to go to


def screen_of(place: str, bench: Bench, chosen: Mapping[str, str] | None = None) -> Screen[Any]:
    """The screen with this name; ``chosen`` fills in the start of a session or a plan's gauge.

    Raises KeyError for any other name.
    """
    match place:
        case "search" | "tube" | "sock":
            return start_of(place, chosen)
        case "string":
            from hosewright.bench.start.sock_screen import StringScreen

            return StringScreen()
        case "plan":
            from hosewright.bench.plan.screen import PlanScreen

            return PlanScreen(gauge=chosen.get("gauge") if chosen else None)
        case "settings":
            from hosewright.bench.settings.screen import SettingsScreen

            return SettingsScreen(bench.settings, bench.themes, bench.theme)
        case _:
            return _plain(place)


def start_of(kind: SessionKind, chosen: Mapping[str, str] | None = None) -> StartScreen:
    """The start of one search, tube or sock; ``chosen`` fills it in."""
    if kind == "sock":
        from hosewright.bench.start.sock_screen import SockStartScreen

        return SockStartScreen(chosen)
    from hosewright.bench.start.fresh_screen import FreshStartScreen

    return FreshStartScreen("search" if kind == "search" else "tube", chosen)


def _plain(place: str) -> Screen[Any]:
    from importlib import import_module

    module, name = _PLAIN[place]
    made: Screen[Any] = getattr(import_module(f"hosewright.bench.{module}"), name)()
    return made


_PLAIN = {
    "shelf": ("shelf.screen", "ShelfScreen"),
    "stock": ("year.stock_screen", "StockScreen"),
    "cylinders": ("plan.gauge_screens", "CylinderScreen"),
    "response": ("plan.gauge_screens", "ResponseScreen"),
    "sizes": ("plan.gauge_screens", "SizeScreen"),
    "care": ("year.care_screen", "CareScreen"),
    "pairs": ("year.pairs_screen", "PairsScreen"),
    "past": ("past.screen", "PastScreen"),
}
