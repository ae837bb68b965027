"""Opening a library for the window, and the ways on where it can't be opened.

Owns which library is meant, what may be offered when something is wrong with it, and the invented
one for looking around. Refuses to ask anybody: it says what can be done, the window asks.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path

from platformdirs import user_data_path

from capturestation.errors import (
    CancelledError,
    LibraryError,
    NotFoundError,
    OutputError,
    StationError,
)
from capturestation.folders import PARTIAL, make_folder, move_folder, remove_folder
from capturestation.library import Library, RebuildReport, rebuild
from capturestation.records import Watch
from capturestation.station.demo import fill_with_session
from capturestation.station.places import default_library


class Way(StrEnum):
    """What can be done where no library is open."""

    BEGIN = "begin"
    AGAIN = "again"
    REBUILD = "rebuild"
    CHOOSE = "choose"
    SAMPLE = "sample"


def chosen_library(asked: Path | None, remembered: str) -> Path:
    """The library that is meant: what was asked for, else the last one, else the usual one."""
    if asked is not None:
        return asked
    return Path(remembered) if remembered else default_library()


def ways_on(error: StationError) -> tuple[Way, ...]:
    """What may help, the likeliest first.

    Example:
        >>> [str(way) for way in ways_on(NotFoundError("No library.", try_next="Begin one."))]
        ['begin', 'sample', 'choose']
    """
    if isinstance(error, NotFoundError):
        return (Way.BEGIN, Way.SAMPLE, Way.CHOOSE)
    if isinstance(error, LibraryError) and "rebuild" in error.try_next.lower():
        return (Way.REBUILD, Way.AGAIN, Way.CHOOSE, Way.SAMPLE)
    if isinstance(error, (LibraryError, CancelledError, OutputError)):
        return (Way.AGAIN, Way.CHOOSE, Way.SAMPLE)
    return (Way.AGAIN, Way.CHOOSE)


def rebuilt(folder: Path, watch: Watch) -> RebuildReport:
    """Make the rows of a library anew from its folders; no recording is touched.

    Raises:
        StationError: As `library.rebuild`; the old rows stand then.
    """
    return rebuild(folder, watch)


def sample_library() -> Path:
    """Where the invented library lies: beside the real one, never in it."""
    return user_data_path("capturestation") / "invented library"


def make_sample(folder: Path, watch: Watch) -> Path:
    """Make the library of the invented student, or take the one that is there.

    Args:
        folder: Where it is to lie.
        watch: Told how far it is.

    Returns:
        The folder.

    Raises:
        OutputError: If it can't be written.
        CancelledError: If stopped; nothing was left.
    """
    if folder.exists():
        return folder
    partial = folder.with_name(f"{folder.name}{PARTIAL}")
    remove_folder(partial)
    make_folder(folder.parent)
    try:
        with Library.open(partial) as library:
            fill_with_session(library, watch)
        move_folder(partial, folder)
    except BaseException:
        remove_folder(partial)
        raise
    return folder
