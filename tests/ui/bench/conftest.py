"""A library with two small swings, opened; the Bench's state, its canvas, and the whole place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.library import Library
from capturestation.records import FrameArray, IntArray, Planes, Swing
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.bench.state import BenchState
from capturestation.station.cache import cache_of
from capturestation.station.undo import UndoList
from capturestation.ui.bench.canvas import Canvas
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.seen_swings import both_views, seen_swing, then_swing
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

    def frame_planes(self, ordinal: int) -> Planes | None:
        """They are made in RGB."""

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


def lay_now(canvas: Canvas) -> None:
    """Today's swing with two angles, in memory."""
    seen = seen_swing(frames=both_views())
    canvas.room.show(Side.NOW, seen.frames)
    canvas.state.open_now(seen)


def lay_then(canvas: Canvas) -> None:
    """An earlier swing beside it."""
    seen = then_swing()
    canvas.room.show(Side.THEN, seen.frames)
    canvas.state.open_then(seen)


@pytest.fixture
def canvas(qtbot: QtBot, look: Look) -> Iterator[Canvas]:
    """A shown canvas with today's swing alone, both angles, at impact."""
    made = Canvas(BenchState(), look)
    qtbot.addWidget(made)
    made.resize(900, 500)
    made.show()
    lay_now(made)
    qtbot.waitUntil(lambda: made.projection.is_complete)
    yield made
    made.close_pictures()


@pytest.fixture
def place(
    qtbot: QtBot, library: Library, workers: Workers, look: Look, tmp_path: Path
) -> Iterator[BenchPlace]:
    """A shown Bench over the filled library; nothing lies on it yet."""
    cache = cache_of(library, tmp_path / "caches")
    made = BenchPlace(library, workers, look, UndoList(), cache=cache)
    qtbot.addWidget(made)
    made.resize(1100, 640)
    made.show()
    yield made
    made.let_go()
