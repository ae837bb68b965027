"""See whether the library is whole, and build its database again from the folders."""

from __future__ import annotations

from pathlib import Path

from capturestation import library as books
from capturestation.library import CheckReport, Library, RebuildReport
from capturestation.records import Watch


def check(library: Library, watch: Watch) -> CheckReport:
    """Look for missing, changed and orphaned files."""
    return library.check(watch)


def rebuild(folder: Path, watch: Watch) -> RebuildReport:
    """Build the database again from the folders; the old one is kept beside it."""
    return books.rebuild(folder, watch)
