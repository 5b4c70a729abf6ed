"""No life of the program outlasts the test that began it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(autouse=True)
def _no_life_is_left() -> Iterator[None]:
    yield
    if sys.platform != "win32":
        from tests.terminal.forked import end_all

        end_all()
