"""A Bench over swings in memory, and one over a real library."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.library import Library
from capturestation.station.bench.state import BenchState
from capturestation.station.cache import cache_of
from capturestation.station.undo import UndoList
from capturestation.ui.bench.canvas import Canvas
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.seen_swings import both_views, seen_swing, then_swing
from tests.helpers.station_library import Filled

SIZE = (900, 500)


@pytest.fixture
def look(qtbot: QtBot) -> Look:
    return Look()


@pytest.fixture
def state() -> BenchState:
    return BenchState()


@pytest.fixture
def canvas(qtbot: QtBot, state: BenchState, look: Look) -> Iterator[Canvas]:
    """A shown canvas with today's swing, both angles, at impact."""
    made = Canvas(state, look)
    qtbot.addWidget(made)
    made.resize(*SIZE)
    made.show()
    lay_now(made)
    qtbot.waitUntil(lambda: made.projection.is_complete)
    yield made
    made.close_pictures()


def lay_now(canvas: Canvas) -> None:
    """Today's swing with two angles."""
    seen = seen_swing(frames=both_views())
    canvas.room.show(Side.NOW, seen.frames)
    canvas.state.open_now(seen)


def lay_then(canvas: Canvas) -> None:
    """An earlier swing beside it."""
    seen = then_swing()
    canvas.room.show(Side.THEN, seen.frames)
    canvas.state.open_then(seen)


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def workers(qtbot: QtBot) -> Iterator[Workers]:
    made = Workers()
    yield made
    made.close()


@pytest.fixture
def place(
    qtbot: QtBot, library: Library, workers: Workers, look: Look, tmp_path: Path
) -> Iterator[BenchPlace]:
    """A shown Bench over the filled library; nothing lies on it yet."""
    cache = cache_of(library, tmp_path / "caches")
    made = BenchPlace(library, workers, look, UndoList(), cache=cache)
    qtbot.addWidget(made)
    made.resize(1000, 640)
    made.show()
    yield made
    made.close_bench()
