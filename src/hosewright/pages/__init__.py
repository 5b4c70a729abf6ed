"""Pages to read: a topic each, in plain Markdown files beside this one, for ``hosewright help TOPIC`` and for ``?``.

A page is its first heading and the lines below it, at most 79 characters wide, so that it reads as it stands.
"""

from __future__ import annotations

from pathlib import Path

_FOLDER = Path(__file__).parent
# What ``hosewright help`` lists, in this order; each is the name of a file.
TOPICS = {
    "crank": "counting at the machine: the keys, what is due, what was seen",
    "counting": "when the count is wrong; speech, pedals, magnets, a second screen",
    "why": "when it knits badly: how faults lie, and what to look at",
    "heel": "heel and toe pass by pass, and why",
    "gauge": "the gauge tube: crank it, wash it, measure it",
    "dial": "the stitch-size search, and what a click of the dial does",
    "feet": "what to measure on a foot, on a sock, on a machine",
    "yarn": "stock, dye lots, weighings, and how much a pair takes",
    "notebook": "gauges and socks from a paper notebook, one by one or many",
    "class": "several learners, one teacher",
    "formats": "files, backups, moving to another computer, leaving",
    "privacy": "what is kept of people, and how to forget them",
}


def page(topic: str) -> str:
    """The page as Markdown. Raises KeyError where there is none."""
    if topic not in TOPICS:
        raise KeyError(topic)
    return (_FOLDER / f"{topic}.md").read_text(encoding="utf-8")


def plain(text: str) -> str:
    """A page as a terminal prints it: headings without their signs, code marks gone."""
    lines = (line.lstrip("#").strip().upper() if line.startswith("#") else line for line in text.splitlines())
    return "\n".join(lines).replace("`", "")
