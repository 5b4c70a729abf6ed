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
