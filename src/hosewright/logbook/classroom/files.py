"""Which logbooks a class consists of, and what each learner is called."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.phrases.harmless import one_line

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

LOGBOOK = "logbook.sqlite"
MOST_NAME = 40


def files_of(named: Iterable[Path]) -> list[tuple[str, Path]]:
    """The learners that these files and folders stand for, as (name, logbook).

    A folder with a logbook in it is one learner, called like the folder; any other folder holds a logbook, or a
    folder with one, for each. A file is called like itself, or like its folder when every logbook is called that.
    """
    found: dict[Path, str] = {}
    for path in named:
        for name, file in _in_folder(path) if _is_folder(path) else [(_called(path), path)]:
            found.setdefault(file, name)
    names = list(found.values())
    shown = []
    for file, name in found.items():
        told = name if names.count(name) == 1 else f"{name} ({file.absolute().parent.parent.name})"
        shown.append((one_line(told)[:MOST_NAME] or "?", file))
    return shown


def in_place(known: list[Path], found: list[Path]) -> list[Path]:
    """All of both: those ``known`` where they were, those newly ``found`` behind whom they were found behind."""
    merged, at = list(known), 0
    for path in found:
        if path in merged:
            at = merged.index(path) + 1
        else:
            merged.insert(at, path)
            at += 1
    return merged


def _called(path: Path) -> str:
    return path.absolute().parent.name if path.name == LOGBOOK else path.stem


def _in_folder(folder: Path) -> list[tuple[str, Path]]:
    own = folder / LOGBOOK
    if _is_file(own):
        return [(_called(own), own)]
    try:
        inside = sorted(folder.iterdir())
    except OSError:
        inside = []
    files = [path for path in inside if path.suffix == ".sqlite" and _is_file(path)]
    files += [path / LOGBOOK for path in inside if _is_file(path / LOGBOOK)]
    return [(_called(path), path) for path in files] or [(_called(own), own)]


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # a place that may not be looked into
        return False


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:
        return False
