"""The knitter's logbook, opened for a verb."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.logbook.book import Logbook


@contextmanager
def open_book(writer: str = "", *, make: bool = False) -> Iterator[Logbook]:
    """The knitter's logbook for reading; for a ``writer``, such as "logbook import", to be written to by it alone.

    ``make``: a new one when there is none. Raises LogbookError, for a writer also when another process writes to it or
    nothing can be written.
    """
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import LogbookError
    from hosewright.places import logbook_path

    path = logbook_path()
    if not make and not path.exists():
        raise LogbookError(
            f"There is no logbook at {path} yet; the bench makes one, and so does `hosewright logbook import FILE`."
        )
    book = Logbook.for_writing(path, f"`hosewright {writer}`") if writer else Logbook.for_reading(path)
    try:
        if writer and book.store.why_looking:
            raise LogbookError(book.store.why_looking)
        yield book
    finally:
        book.close()
