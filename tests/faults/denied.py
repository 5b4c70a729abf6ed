"""A crank that goes on until a row is denied, says what its screen shows, and is killed. Run under strace."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

from hosewright.logbook.book import Logbook
from hosewright.logbook.faults import LogbookError
from hosewright.session.events import Pressed
from tests.helpers import record


def main(path: Path, more: int) -> None:
    """Press until one press is denied and ``more`` have been tried after it; then die at once."""
    book = Logbook.for_counting(path)
    live = book.take_up(record().id)
    denied = 0
    for _ in range(60):
        try:
            live.do(Pressed())
        except LogbookError as error:
            denied += 1
            print(f"denied {error}", flush=True)
        if denied and not (more := more - 1) + 1:
            break
    print(f"shown {live.state.count} denied {denied}", flush=True)
    os.kill(os.getpid(), signal.SIGKILL)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
