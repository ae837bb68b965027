"""From what a coach calls a swing to the swing: an id, the first signs of one, or "latest"."""

from __future__ import annotations

from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import Swing

LATEST = "latest"


def latest(library: Library) -> Swing:
    """The swing struck last of all.

    Raises:
        NotFoundError: If there is none.
    """
    found = library.latest_swing()
    if found is None:
        raise NotFoundError(
            "The library holds no swing yet.",
            try_next="Add one first: one file, or one for each camera.",
        )
    return found


def latest_or(library: Library, text: str) -> Swing:
    """The swing of that id, or the one struck last where it says "latest".

    Raises:
        NotFoundError: If none or more than one fits; says which come near.
    """
    is_latest = text.strip().lower() == LATEST
    return latest(library) if is_latest else library.find_swing(text)
