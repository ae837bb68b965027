"""A library with two small swings, opened, and the Bench's state without a window."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication

from capturestation.library import Library
from capturestation.records import FrameArray, IntArray, Swing
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.bench.state import BenchState
from capturestation.station.undo import UndoList
from tests.helpers.station_library import Filled

MS = 1_000_000


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters and colours need it too."""


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def steps() -> UndoList:
    return UndoList()


@dataclass(eq=False)
class StillFrames:
    """An angle of which only the times are asked for."""

    times_ns: IntArray = field(
        default_factory=lambda: np.arange(-1000 * MS, 1000 * MS, 20 * MS, dtype=np.int64)
    )
    size_px: tuple[int, int] = (160, 96)

    def frame_rgb(self, ordinal: int) -> FrameArray:
        return np.full((96, 160, 3), ordinal % 256, np.uint8)

    def close(self) -> None:
        """There is no file."""


def seen_of(swing: Swing, word: str) -> SeenSwing:
    """A swing on the Bench, its pictures blank."""
    frames = {recording.view: StillFrames() for recording in swing.facts.recordings}
    return SeenSwing(swing=swing, frames=frames, word=word)


@pytest.fixture
def state(library: Library, filled: Filled) -> BenchState:
    """Today's swing with the best beside it."""
    made = BenchState()
    made.open_now(seen_of(library.swing(filled.today.id), "today"))
    made.open_then(seen_of(library.swing(filled.best.id), "own best"))
    return made
