"""What the screens need of the app they run in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, cast

if TYPE_CHECKING:
    from textual.dom import DOMNode

    from hosewright.logbook.book import Logbook
    from hosewright.settings.table import Settings


class Host(Protocol):
    """An app with a logbook and settings."""

    book: Logbook
    settings: Settings


def host(node: DOMNode) -> Host:
    """The app ``node`` runs in."""
    return cast("Host", node.app)


DONE_S = 12.0  # long enough to read where a file is


def tell_done(node: DOMNode, title: str, words: str) -> None:
    """Say in a box that something was done which is not seen here: written, exported, taken in."""
    node.app.notify(words, title=title, markup=False, timeout=DONE_S)


def tell_not_done(node: DOMNode, title: str, error: Exception) -> None:
    """Say in a box, in another colour, that it could not be done, and why."""
    node.app.notify(str(error), title=title, severity="error", markup=False, timeout=DONE_S)
