"""Where the library is, and how a use case opens it."""

from __future__ import annotations

import os
from pathlib import Path

from platformdirs import user_data_path

from capturestation.errors import OutputError
from capturestation.library import Library
from capturestation.records import Watch


def default_library() -> Path:
    """The library's folder in the user's own data folder."""
    return user_data_path("capturestation") / "library"


def open_library(folder: Path, *, begin: bool = False, watch: Watch | None = None) -> Library:
    """Open the library in `folder`.

    Args:
        folder: Its folder.
        begin: Whether to make a new one where there is none.
        watch: Told how far it is where rows have to be made anew first.

    Raises:
        NotFoundError: If there is none and none is to be made.
    """
    return Library.open(folder, create=begin, watch=watch)


def refuse_inside(library: Library, out: Path) -> None:
    """Refuse to write a result where the library keeps recordings or rows, by whatever name.

    Raises:
        OutputError: If so; nothing was written.
    """
    whole = Path(os.path.realpath(out))
    for kept in (library.folder, library.housing.rows):
        if any(above.exists() and above.samefile(kept) for above in (whole, *whole.parents)):
            raise OutputError(
                f"{out} lies inside the library, where only its own files may lie.",
                try_next="Choose a folder outside the library.",
                subject=str(out),
            )
