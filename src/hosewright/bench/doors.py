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

STARTS = ("search", "tube", "ribber", "sock", "string")  # dismissed with the start of a session
LOOKS_BACK = ("stock", "past", "care")  # dismissed with the id of a session to go to


# The module below ``hosewright.bench`` and the class; importing them all takes a bare first frame.
_SCREENS = {
    "search": ("start.screen", "FreshStartScreen"),
    "tube": ("start.screen", "FreshStartScreen"),
    "ribber": ("start.screen", "FreshStartScreen"),
    "sock": ("start.sock_screen", "SockStartScreen"),
    "string": ("start.sock_screen", "StringScreen"),
    "plan": ("plan.screen", "PlanScreen"),
    "shelf": ("shelf", "ShelfScreen"),
    "notebook": ("notebook", "NotebookScreen"),
    "stock": ("year.stock_screen", "StockScreen"),
    "cylinders": ("plan.gauge_screens", "CylinderScreen"),
    "response": ("plan.gauge_screens", "ResponseScreen"),
    "sizes": ("plan.gauge_screens", "SizeScreen"),
    "why": ("count.why_screen", "WhyScreen"),
    "care": ("year.care_screen", "CareScreen"),
    "pairs": ("year.pairs_screen", "PairsScreen"),
    "past": ("past.screen", "PastScreen"),
    "settings": ("settings", "SettingsScreen"),
    "choose": ("choices", "ChoicesScreen"),
}
PLACES = tuple(_SCREENS)
# The same for what is one thing's own page, which ``chosen`` names; dismissed with the id of a session to take up.
PAGES = {
    "page": ("past.session_page", "PageScreen", "session"),
    "card": ("past.yarn_and_needles", "YarnCardScreen", "yarn"),
}
_FORMS = ("yarn", "wearer")


def screen_of(place: str, bench: Bench, chosen: Mapping[str, str] | None = None) -> Screen[Any]:
    """The screen with this name; ``chosen`` fills in a start or a plan's gauge, or says whose page it is.

    Raises KeyError for any other name, LogbookError where the shelf cannot be read.
    """
    if place in PAGES:
        module, name, whose = PAGES[place]
        return _named(module, name)((chosen or {})[whose])  # type: ignore[no-any-return]
    if place in _FORMS:
        return _form_of(place, (chosen or {})[place], bench)
    match place:
        case "search" | "tube" | "ribber" | "sock":
            return start_of(place, chosen)
        case "plan":
            made: Screen[Any] = _class_of(place)(**(chosen or {}))
        case "settings":
            made = _class_of(place)(bench.settings, bench.themes, bench.theme, (chosen or {}).get("line", ""))
        case _:
            made = _class_of(place)()
    return made


def start_of(kind: SessionKind, chosen: Mapping[str, str] | None = None) -> StartScreen:
    """The start of one search, tube or sock; ``chosen`` fills it in."""
    made: StartScreen = _class_of("sock")(chosen) if kind == "sock" else _class_of("tube")(kind, chosen)
    return made


def _class_of(place: str) -> Any:
    return _named(*_SCREENS[place])


def _form_of(kind: str, item_id: str, bench: Bench) -> Screen[Any]:
    record: Any = getattr(import_module("hosewright.logbook.records.shelf"), kind.capitalize())
    return _named("shelf", "open_form")(bench, record, bench.book.get(record, item_id))  # type: ignore[no-any-return]


def _named(module: str, name: str) -> Any:
    return getattr(import_module(f"hosewright.bench.{module}"), name)
