"""The README's pictures: each is shown, whole, and small; ``python -m tests.make_picture`` takes them anew."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.make_picture import FOLDER, PICTURES, taken

MOST_BYTES = 60_000


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_shown_and_small_and_asks_nobody_for_a_font(name: str) -> None:
    svg = (FOLDER / name).read_bytes()
    assert len(svg) < MOST_BYTES
    assert b"http" not in svg.replace(b"http://www.w3.org", b"").replace(b"https://www.textualize.io", b"")
    readme = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    assert f"](src/hosewright/bench/{name})" in readme
    assert {path.name for path in FOLDER.glob("*.svg")} == set(PICTURES)


async def test_a_picture_loses_no_word_by_being_made_small(tmp_path: Path) -> None:
    svg = await taken(tmp_path, "picture-past.svg")
    words = " ".join(ElementTree.fromstring(svg).itertext()).replace("\N{NO-BREAK SPACE}", " ")
    assert "Launcher, first sock" in words
    assert "Night Launch Navy" in words
