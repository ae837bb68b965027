"""A library on the disk, and files to take into it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from capturestation.library import Library


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
