"""Takes the README's picture of the bench: ``python -m tests.make_picture`` writes it anew, from the samples.

The exported picture names fonts on other people's servers; those lines go, so that looking at it asks nobody.
"""

from __future__ import annotations

import asyncio
import re
from pathlib import Path
from tempfile import TemporaryDirectory

from hosewright.bench.app import Bench, open_practice
from hosewright.settings.table import Settings

PICTURE = Path(__file__).resolve().parents[1] / "src" / "hosewright" / "bench" / "picture.svg"
SESSION = "20251205-launch"  # the heel of a sock, half turned
SIZE = (100, 30)
_FAR_FONTS = re.compile(r"\s*@font-face \{.*?\}", re.DOTALL)


async def taken(folder: Path) -> str:
    """The bench with a heel half turned, as SVG."""
    bench = Bench(open_practice(folder), Settings(), practice=True, troubles=[])
    async with bench.run_test(size=SIZE) as pilot:
        bench.open_session(SESSION)
        await pilot.pause()
        await pilot.press("space")
        await pilot.pause()
        svg = bench.export_screenshot(title="hosewright")
    bench.book.close()
    svg = _FAR_FONTS.sub("", svg)
    return re.sub(r"terminal-\d+", "bench", svg).replace("<svg ", '<svg xml:space="preserve" ', 1)


if __name__ == "__main__":
    with TemporaryDirectory() as folder:
        PICTURE.write_text(asyncio.run(taken(Path(folder))), encoding="utf-8", newline="\n")
