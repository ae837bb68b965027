"""A library on the disk, and files to take into it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import CalibrationRow
from tests.helpers.library_records import STRUCK, Filled, fill


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """A new library, open."""
    with Library.open(tmp_path / "library") as opened:
        yield opened


@pytest.fixture
def originals(tmp_path: Path) -> Path:
    """Where files come from; never the library's."""
    return tmp_path / "originals"


@pytest.fixture
def unflushed(monkeypatch: pytest.MonkeyPatch, library: Library) -> None:
    """Spare the disk where many swings are kept and no power cut is tried."""
    monkeypatch.setattr(os, "fsync", lambda _: None)
    library._db.execute("PRAGMA synchronous = OFF")


@pytest.fixture
def filled(library: Library, originals: Path) -> Filled:
    """The bay's book: a student with a lesson with a swing, and a camera's calibration."""
    row = CalibrationRow(id="c", camera="left", valid_from=STRUCK, document="{}")
    library.add_calibration(row)
    return fill(library, originals)


@pytest.fixture
def laptop(library: Library, filled: Filled, tmp_path: Path) -> Path:
    """A copy of the bay's book, as it went out to the range."""
    return Path(shutil.copytree(library.folder, tmp_path / "laptop"))


@pytest.fixture
def range_swing(laptop: Path, filled: Filled, originals: Path) -> Filled:
    """A new student with a lesson with a swing, taken on the range."""
    with Library.open(laptop) as far:
        return fill(far, originals)
