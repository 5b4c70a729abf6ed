"""Where things live: the knitter's logbook and settings, and the folders that travel with the package."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

APP = "hosewright"


def data_folder() -> Path:
    """Where the logbook is kept; ``HOSEWRIGHT_HOME`` moves it. Raises ValueError when it names no place."""
    if moved := _moved():
        return moved
    from platformdirs import user_data_path

    return user_data_path(APP, appauthor=False)


def config_folder() -> Path:
    """Where settings and the knitter's own themes are kept; ``HOSEWRIGHT_HOME`` moves it too. Raises ValueError."""
    if moved := _moved():
        return moved
    from platformdirs import user_config_path

    return user_config_path(APP, appauthor=False)


def _moved() -> Path | None:
    named = os.environ.get("HOSEWRIGHT_HOME")
    try:
        return Path(named).expanduser() if named else None
    except RuntimeError as error:
        raise ValueError(
            f"HOSEWRIGHT_HOME is {named}, and this system knows no such user; set it to a folder, such as ~/hosewright."
        ) from error


def logbook_path() -> Path:
    """The knitter's logbook."""
    return data_folder() / "logbook.sqlite"


def settings_path() -> Path:
    """The knitter's settings."""
    return config_folder() / "settings.toml"


def shipped_folder(name: str) -> Path:
    """The folder ``themes`` or ``sample_sessions``, inside the package in a wheel, at the checkout's top otherwise.

    Raises FileNotFoundError when neither is there.
    """
    package = Path(__file__).resolve().parent
    for candidate in (package / name, package.parents[1] / name):
        if candidate.is_dir():
            return candidate
    raise FileNotFoundError(f"The folder {name} is missing from this installation of hosewright.")


def closed_to_others(path: str, flags: int) -> int:
    """An opener for ``open``: the file it makes is its owner's alone to read."""
    return os.open(path, flags, 0o600)


def sync_folder(folder: Path) -> None:
    """Have the names in ``folder`` on the disk, so that a file made, renamed or removed stays so. Raises OSError.

    Windows opens no folders, and puts renames on the disk by itself.
    """
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def make_private(folder: Path) -> None:
    """Make a folder and whatever is missing above it, each its owner's alone. Raises OSError."""
    if not folder.exists():
        make_private(folder.parent)
        folder.mkdir(mode=0o700, exist_ok=True)


def write_private(path: Path, text: str) -> None:
    """Write a file as ``write_whole`` does, in a folder that is made when it is missing. Raises OSError."""
    make_private(path.parent)
    write_whole(path, text)


def write_whole(path: Path, text: str, *, sync: bool = False) -> None:
    """Write a file that is its owner's alone, whole or not at all, in the place of an older one. Raises OSError.

    With ``sync`` it is on the disk when this returns, its name, too.
    """
    part = path.with_name(part_name(os.getpid(), path.name))
    try:
        with open(part, "w", encoding="utf-8", newline="\n", opener=closed_to_others) as file:
            file.write(text)
            file.flush()
            if sync:
                os.fsync(file.fileno())
        part.replace(path)
        if sync:
            sync_folder(path.parent)
    except BaseException:
        with suppress(OSError):
            part.unlink()
        raise


def part_name(process: int, name: str) -> str:
    """What a file called ``name`` is called while that process writes it."""
    return f".{name}.{process}.part"
