"""A library on the disk, and a student in it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Student
from capturestation.station.looking import Looking
from tests.helpers.looked_at import Held, Room, room
from tests.helpers.station_library import Filled, grown_up


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """A new library, open."""
    with Library.open(tmp_path / "library") as opened:
        yield opened


@pytest.fixture
def student(library: Library) -> Student:
    """A student of age who said yes to coaching."""
    return grown_up(library)


@pytest.fixture
def looked_at(filled: Filled, tmp_path: Path) -> Iterator[Room]:
    """A library with two swings of a student, open, and an empty cache."""
    with room(filled, tmp_path / "caches") as opened:
        yield opened


@pytest.fixture
def looking(looked_at: Room) -> Iterator[Looking]:
    """Opens its swings."""
    with Looking(looked_at.library, looked_at.cache) as opened:
        yield opened


@pytest.fixture
def held(looking: Looking, monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    """The maker waits, at the latest until the test is over."""
    assert looking is not None
    made_to_wait = Held(monkeypatch)
    yield made_to_wait
    made_to_wait.go_on.set()
