"""A person's name in texts."""

from __future__ import annotations

import pytest

from hosewright.logbook.records.shelf import Wearer
from hosewright.phrases.harmless import harmless
from hosewright.phrases.names import Names

ANA = Names(["Ana Kowal-Říha", "Anička"])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("for Ana Kowal-Říha, soft", "for someone, soft"),
        ("ANA  KOWAL-ŘÍHA winter: 66 rows", "someone winter: 66 rows"),
        ("Kowal-Říha, Ana", "someone"),
        ("Kowal-Říha ,Ana; Anička", "someone; someone"),
        ("Ana Kowal-Říha's and Anička’s feet", "someone's and someone’s feet"),
        ("Anic\u030cka likes it", "someone likes it"),
        ("Ana\u200b Kowal-Říha", "someone"),
        ("care-card-ana-kowal-říha-winter.html", "care-card-someone-winter.html"),
        ("ana_kowal-říha_2", "someone_2"),
        ("Anastasia Kowal-Říha", "Anastasia Kowal-Říha"),
        ("Aničkas", "someones"),
        ("Aničková", "Aničková"),
        ("nobody", "nobody"),
    ],
)
def test_a_name_is_found_as_people_write_it(text: str, told: str) -> None:
    assert ANA.taken_out(text) == told
    assert ANA.found_in(text) is (text != told)


def test_what_may_mean_them_is_told_and_left() -> None:
    names = Names(["Ana Kowalska"])
    assert names.near("ana said so; Kowalsak too, and Kowalskas; Anna, banana") == ["ana", "Kowalsak", "Kowalskas"]
    assert names.near("Ana Kowalska's sock") == []
    assert names.taken_out("ana said so") == "ana said so"


def test_in_the_bytes_of_files() -> None:
    names = Names(["Žofie Nová"])
    for content in ('{"name":"\\u017dofie Nov\\u00e1"}', "<p>&#381;ofie Nov&#225;</p>", "\x00\x07Žofie Nová\x01"):
        assert names.in_bytes(b"\xff" + content.encode() + b"\xff"), content
    assert not names.in_bytes(b"\xff\xfe Nova")


def test_no_name_finds_nothing() -> None:
    assert not Names(["x"]).found_in("x y z")
    assert Names([]).near("anything") == []


PERSIAN, FARMER = "\u0646\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645", "\U0001f469\u200d\U0001f33e"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Ana", "Ana"),
        ("A\u200bna", "A<U+200B>na"),
        ("Ana\u00ad", "Ana<U+00AD>"),
        ("Ana\u200d", "Ana<U+200D>"),
        (PERSIAN, PERSIAN),
        (FARMER, FARMER),
    ],
)
def test_what_takes_no_room_in_a_name_is_shown_as_what_it_is(text: str, shown: str) -> None:
    assert harmless(text) == shown


def test_a_name_full_of_it_is_read_again() -> None:
    worst = Wearer(id="worst", name="x" + "\u200b" * 79)
    assert Wearer.model_validate_json(worst.model_dump_json()) == worst


@pytest.mark.parametrize(
    "text",
    ["袜\u200d\u200d\u200d", "é\u200b" + "é \u200d" * 20, "袜" + "\u200d袜" * 18 + "\u00ad x", "x\u200c\u200d袜"],
)
def test_what_was_made_harmless_stays_as_it_is(text: str) -> None:
    told = harmless(text)
    assert harmless(told) == told
    assert len(told) <= max(len(text), 40)
