"""What the tests of the command line share: lines that someone types."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.fixture
def typing(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Lines that someone types, or a pipe brings; none until it is called."""

    def type_them(*lines: str) -> None:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    type_them()
    return type_them
