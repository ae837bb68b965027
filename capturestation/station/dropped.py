"""Files dropped on the window: which view is which, or that it has to be asked.

Owns the guess from names and from what the student's cameras recorded before. A guess that isn't
sure is said to be none: swapped views would put the plane where the weight belongs.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from capturestation.errors import BadInputError
from capturestation.records import View

MOST_FILES = 2
_WORDS = {
    View.FACE_ON: ("face", "faceon", "front", "fo"),
    View.DOWN_THE_LINE: ("line", "dtl", "behind", "downtheline"),
}
# Words of the trade that people put into names.
ENDINGS = frozenset(
    {".mp4", ".mov", ".m4v", ".mkv", ".avi", ".ts", ".mts", ".m2ts", ".webm", ".mpg", ".3gp"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """Which file shows which view.

    Args:
        by_view: The files by their view, as guessed; one that is left has no view yet.
        unsure: Files whose view has to be asked.
        why: What the guess stands on, in a sentence; empty where there is none.
    """

    by_view: Mapping[View, Path]
    unsure: tuple[Path, ...]
    why: str = ""


def usable(paths: Sequence[Path]) -> tuple[Path, ...]:
    """The dropped files, checked by number and kind.

    Raises:
        BadInputError: If there are none or too many, or one can't be a video.
    """
    if not 1 <= len(paths) <= MOST_FILES:
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


def guess_views(paths: Sequence[Path]) -> Guess:
    """Guess which view each file shows, from the words in its name.

    Example:
        >>> guess_views([Path("a-front.mp4"), Path("b.mp4")]).by_view[View.DOWN_THE_LINE].name
        'b.mp4'
        >>> len(guess_views([Path("1.mp4"), Path("2.mp4")]).unsure)
        2
    """
    named = {path: _view_in(path.stem) for path in paths}
    found = {view: path for path, view in named.items() if view is not None}
    sure = sum(view is not None for view in named.values())
    if len(found) < sure:
        return Guess(by_view={}, unsure=tuple(paths))
    rest = [path for path, view in named.items() if view is None]
    if len(found) == 1 and len(rest) == 1:
        other = next(view for view in _WORDS if view not in found)
        by_view = {**found, other: rest[0]}
        why = f"The name of {next(iter(found.values())).name} says it; the other is the other."
        return Guess(by_view=by_view, unsure=(), why=why)
    why = "The names of the files say it." if found and not rest else ""
    return Guess(by_view=found, unsure=tuple(rest), why=why)


def swapped(by_view: Mapping[View, Path]) -> dict[View, Path]:
    """The same files, each as the other view."""
    turned = {View.FACE_ON: View.DOWN_THE_LINE, View.DOWN_THE_LINE: View.FACE_ON}
    return {turned.get(view, view): path for view, path in by_view.items()}


def _view_in(name: str) -> View | None:
    words = set(re.findall(r"[a-z]+", name.lower()))
    found = [view for view, known in _WORDS.items() if words & set(known)]
    return found[0] if len(found) == 1 else None
