"""The screens one screen leads to, each imported when it is first gone to: the bench opens without them."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.screen import Screen

    from hosewright.bench.app import Bench

STARTS = ("search", "tube", "ribber", "sock", "string")  # dismissed with the start of a session
TAKES_UP = ("stock", "past", "care", "page", "card")  # dismissed with the id of a session to take up
_FRESH = STARTS[:3]  # one screen, told which
_FORMS = ("machine", "cylinder", "yarn", "wearer")
# The module below ``hosewright.bench`` and the class; importing them all takes a bare first frame.
_SCREENS = {
    **dict.fromkeys(_FRESH, ("start.screen", "FreshStartScreen")),
    "sock": ("start.sock_screen", "SockStartScreen"),
    "string": ("start.sock_screen", "StringScreen"),
    "plan": ("plan.screen", "PlanScreen"),
    "shelf": ("shelf", "ShelfScreen"),
    "notebook": ("notebook", "NotebookScreen"),
    "stock": ("year.stock_screen", "StockScreen"),
    "cylinders": ("plan.gauge_screens", "CylinderScreen"),
    "response": ("plan.gauge_screens", "ResponseScreen"),
    "sizes": ("plan.gauge_screens", "SizeScreen"),
    "seen": ("count.observations_screen", "ObservationsScreen"),
    "why": ("count.why_screen", "WhyScreen"),
    "care": ("year.care_screen", "CareScreen"),
    "pairs": ("year.pairs_screen", "PairsScreen"),
    "past": ("past.screen", "PastScreen"),
    "settings": ("settings", "SettingsScreen"),
    "choose": ("choices", "ChoicesScreen"),
    # Of one session, or of several; of a yarn.
    "page": ("past.session_page", "PageScreen"),
    "compare": ("past.session_page", "CompareScreen"),
    "replay": ("past.replay_screen", "ReplayScreen"),
    "card": ("past.yarn_and_needles", "YarnCardScreen"),
    "needles": ("past.yarn_and_needles", "NeedlesScreen"),
    "pace": ("past.yarn_and_needles", "PaceScreen"),
}
PLACES = tuple(_SCREENS)


def screen_of(place: str, bench: Bench, *of: Any, **chosen: str) -> Screen[Any]:
    """The screen with this name. ``of``: what it is of, as its class takes it; ``chosen`` fills in a start or a plan.

    The form of a thing on the shelf is called by its kind, and takes its id so; without one it makes another. Raises
    KeyError for any other name, LogbookError where the shelf cannot be read.
    """
    if place in _FORMS:
        record: Any = getattr(import_module("hosewright.logbook.records.shelf"), place.capitalize())
        return _named("shelf", "open_form")(bench, record, bench.book.get(record, chosen.get(place, "")))  # type: ignore[no-any-return]
    kind = (place,) if place in _FRESH else ()
    return _named(*_SCREENS[place])(*kind, *of, **chosen)  # type: ignore[no-any-return]


def _named(module: str, name: str) -> Any:
    return getattr(import_module(f"hosewright.bench.{module}"), name)
