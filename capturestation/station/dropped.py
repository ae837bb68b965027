"""Files dropped on the window: which view is which, or that it has to be asked.

Owns the guess: from the words in the names, else from what the bay's cameras saw in the swings
before. A guess that isn't sure is said to be none: swapped views would put the plane where the
weight belongs.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from capturestation.errors import BadInputError, StationError
from capturestation.library import Library
from capturestation.records import FrameArray, View, Watch
from capturestation.records.swings import MOST_RECORDINGS
from capturestation.station.sources import still_of
from capturestation.tracking.views import same_view

MOST_LOOKED_AT = 3
"""Swings before this one whose pictures are compared: a stand is moved between lessons."""
_WORDS = {
    View.FACE_ON: ("face", "faceon", "front", "fo"),
    View.DOWN_THE_LINE: ("line", "dtl", "behind", "downtheline"),
}
# Words of the trade that people put into names.
ENDINGS = frozenset(
    {".mp4", ".mov", ".m4v", ".mkv", ".avi", ".ts", ".mts", ".m2ts", ".webm", ".mpg", ".3gp"}
)


class Ground(StrEnum):
    """What a guess stands on."""

    NOTHING = "nothing"
    NAMES = "names"
    PICTURES = "pictures"


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """Which file shows which view.

    Args:
        by_view: The files by their view, as guessed; one that is left has no view yet.
        unsure: Files whose view has to be asked.
        ground: What the guess stands on.
    """

    by_view: Mapping[View, Path]
    unsure: tuple[Path, ...]
    ground: Ground = Ground.NOTHING


def usable(paths: Sequence[Path]) -> tuple[Path, ...]:
    """The dropped files, checked by number and kind.

    Raises:
        BadInputError: If there are none or too many, or one can't be a video.
    """
    if not 1 <= len(paths) <= MOST_RECORDINGS:
        raise BadInputError(
            f"{len(paths)} files can't be one swing.",
            try_next="Drop the two files of one swing together, or one file alone.",
        )
    for path in paths:
        if path.suffix.lower() not in ENDINGS or not path.is_file():
            raise BadInputError(
                f"{path.name} is no video file.",
                try_next="Drop files such as MP4 or MOV, one for each camera.",
                subject=str(path),
            )
    return tuple(paths)


def guess_views(library: Library, paths: Sequence[Path], watch: Watch) -> Guess:
    """Guess which view each file shows, from its name or from the swings before.

    Args:
        library: With the swings before.
        paths: One to three files.
        watch: Told how far it is.

    Raises:
        NotReadableError: If a file is no usable video.
        CancelledError: If the watch stops it.
    """
    by_names = guess_by_names(paths)
    if not by_names.unsure:
        return by_names
    by_pictures = _guess_by_pictures(library, paths, watch)
    return by_names if by_pictures.unsure else by_pictures


def guess_by_names(paths: Sequence[Path]) -> Guess:
    """Guess which view each file shows, from the words in its name.

    Example:
        >>> guess_by_names([Path("a-front.mp4"), Path("b.mp4")]).by_view[View.DOWN_THE_LINE].name
        'b.mp4'
        >>> len(guess_by_names([Path("1.mp4"), Path("2.mp4")]).unsure)
        2
    """
    return _sorted_out(paths, {path: _view_in(path.stem) for path in paths}, Ground.NAMES)


def _sorted_out(paths: Sequence[Path], named: Mapping[Path, View | None], ground: Ground) -> Guess:
    """A guess from what is known of each file; of two the one that is left is the other view."""
    found = {view: path for path, view in named.items() if view is not None}
    if len(found) < sum(view is not None for view in named.values()):
        return Guess(by_view={}, unsure=tuple(paths))
    rest = [path for path, view in named.items() if view is None]
    if len(found) == 1 and len(rest) == 1 and next(iter(found)) in _WORDS:
        found[next(view for view in _WORDS if view not in found)] = rest.pop()
    return Guess(by_view=found, unsure=tuple(rest), ground=ground if found else Ground.NOTHING)


def _guess_by_pictures(library: Library, paths: Sequence[Path], watch: Watch) -> Guess:
    stills = [(path, still_of(path)) for path in paths]
    known: dict[Path, View | None] = dict.fromkeys(paths)
    before = _stills_before(library, watch)
    for path, still in stills:
        seen = {view for view, other in before if same_view(still, other)}
        known[path] = seen.pop() if len(seen) == 1 else None
    return _sorted_out(paths, known, Ground.PICTURES)


def _stills_before(library: Library, watch: Watch) -> list[tuple[View, FrameArray]]:
    stills = []
    swings = library.newest_swings(MOST_LOOKED_AT)
    for number, swing in enumerate(swings):
        watch.report(number / len(swings), "looking at the swings before")
        for recording in swing.facts.recordings:
            try:
                stills.append((recording.view, still_of(library.media_path(swing, recording.view))))
            except StationError:
                # A recording that can't be read tells nothing; the check of the library says so.
                continue
    return stills


def swapped(by_view: Mapping[View, Path]) -> dict[View, Path]:
    """The same files, each as the other view."""
    return {view.across: path for view, path in by_view.items()}


def _view_in(name: str) -> View | None:
    words = set(re.findall(r"[a-z]+", name.lower()))
    found = [view for view, known in _WORDS.items() if words & set(known)]
    return found[0] if len(found) == 1 else None
