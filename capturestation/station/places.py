"""Where the library is, and how a use case opens it."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_data_path

from capturestation.library import Library


def default_library() -> Path:
    """The library's folder in the user's own data folder."""
    return user_data_path("capturestation") / "library"


def open_library(folder: Path, *, begin: bool = False) -> Library:
    """Open the library in `folder`.

    Args:
        folder: Its folder.
        begin: Whether to make a new one where there is none.

    Raises:
        NotFoundError: If there is none and none is to be made.
    """
    return Library.open(folder, create=begin)
