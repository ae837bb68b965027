"""A library on the disk, and files to take into it."""

from __future__ import annotations

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
