"""Takes the README's pictures of the bench: ``python -m tests.make_picture`` writes them anew, from the samples.

The exported pictures name fonts on other people's servers; those lines go, so that looking at them asks nobody.
"""

from __future__ import annotations

import asyncio
import re
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from hosewright.bench.app import Bench, open_practice
from hosewright.settings.table import Settings
from tests.helpers import FakeClock, crank_to, drive, rows

if TYPE_CHECKING:
    from textual.pilot import Pilot

FOLDER = Path(__file__).resolve().parents[1] / "src" / "hosewright" / "bench"
SESSION = "20251205-launch"  # a sock, its heel half turned
LEG_ROWS = 31
DAY_AFTER_MS = 1_765_022_400_000  # 6 December 2025, 12:00: the day after the newest work of the samples
ROW_MS = 2_300
_FAR_FONTS = re.compile(r"\s*@font-face \{.*?\}", re.DOTALL)


async def _home(_bench: Bench, _pilot: Pilot[int]) -> None:
    """As it opens."""


async def _heel(bench: Bench, pilot: Pilot[int]) -> None:
    bench.open_session(SESSION)
    await pilot.pause()
    await pilot.press("space")


async def _leg(bench: Bench, pilot: Pilot[int]) -> None:
    book = bench.book
    clock = book.clock = FakeClock(DAY_AFTER_MS, zone_min=60, step_ms=ROW_MS)
    given = book.record(book.store.find(SESSION))
    live = book.start(given.model_copy(update={"id": book.new_id(), "started_ms": DAY_AFTER_MS}))
    crank_to(live, "leg")
    drive(live, rows(LEG_ROWS))
    clock.step_ms = 0
    bench.open_session(live.record.id)
    await pilot.pause()
    clock.wait(ROW_MS)
    await pilot.press("space")


async def _plan(_bench: Bench, pilot: Pilot[int]) -> None:
    await pilot.press("p")
    await pilot.pause()
    await pilot.press(*"6in")


async def _past(_bench: Bench, pilot: Pilot[int]) -> None:
    await pilot.press("l")


PICTURES = {
    "picture.svg": (_heel, (110, 34)),
    "picture-home.svg": (_home, (120, 40)),
    "picture-leg.svg": (_leg, (110, 34)),
    "picture-plan.svg": (_plan, (140, 40)),
    "picture-past.svg": (_past, (120, 30)),
}


async def taken(folder: Path, name: str) -> str:
    """One of the pictures, as SVG."""
    bench = Bench(open_practice(folder, FakeClock(DAY_AFTER_MS, zone_min=60, step_ms=0)), Settings(), practice=True)
    go_there, size = PICTURES[name]
    async with bench.run_test(size=size) as pilot:
        await pilot.pause()
        await go_there(bench, pilot)
        await pilot.pause()
        svg = bench.export_screenshot(title="hosewright")
    bench.book.close()
    return small(_FAR_FONTS.sub("", svg))


def small(svg: str) -> str:
    """The same picture in half the bytes: one ground below all, no clipping, what is alike said once in its style."""
    svg = re.sub(r"terminal-\d+", "bench", svg).replace("<svg ", '<svg xml:space="preserve" ', 1)
    svg = re.sub(r'<clipPath id="bench-line-\d+">.*?</clipPath>\s*', "", svg, flags=re.DOTALL)
    svg = re.sub(r' clip-path="url\(#bench-line-\d+\)"| shape-rendering="crispEdges"', "", svg)
    svg = re.sub(r'class="bench-r(\d+)"', r'class="r\1"', re.sub(r"\.bench-r(\d+) ", r".r\1 ", svg))
    cells = re.compile(r'<rect fill="([^"]+)" x="[^"]+" y="[^"]+" width="[^"]+" height="24.65"/>')
    ground = Counter(cells.findall(svg)).most_common(1)[0][0]
    svg = cells.sub(lambda found: "" if found[1] == ground else found[0], svg)
    clip = re.search(r'<clipPath id="bench-clip-terminal">\s*<rect x="0" y="0" (.*?) ?/>', svg)
    screen = re.search(r'<g[^>]*clip-path="url\(#bench-clip-terminal\)"[^>]*>', svg)
    assert screen is not None
    assert clip is not None
    svg = svg.replace(screen[0], f'{screen[0]}<rect fill="{ground}" {clip[1]}/>', 1)
    svg = re.sub(r"<text[^>]*>\s*</text>", "", svg.replace("&#160;", "\N{NO-BREAK SPACE}"))
    svg = svg.replace(' textLength="12.2"', "")  # a single sign has its width
    svg = svg.replace("<style>", "<style>rect { shape-rendering: crispEdges }", 1)
    return re.sub(r"\n\s*\n+", "\n", re.sub(r"\.\d{4,}", lambda found: found[0][:3], svg))


if __name__ == "__main__":
    for named in PICTURES:
        with TemporaryDirectory() as folder:
            (FOLDER / named).write_text(asyncio.run(taken(Path(folder), named)), encoding="utf-8", newline="\n")
