"""Lines on the mat and the redrawn earlier picture on a Bench, by key and by word."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.drawing.ground_lines import Ground
from capturestation.library import Library
from capturestation.records import FrameArray, View
from capturestation.station.bench.state import Arrangement
from capturestation.station.standpoints import Standpoints
from capturestation.ui.bench.grounds import ACTIONS
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.tools import EARLIER, BenchTools
from tests.helpers.calibrated import BY_VIEW, calibrated, filmed, moved
from tests.helpers.pixels import pixels
from tests.helpers.station_library import Filled

LEFT = Qt.MouseButton.LeftButton


def known_of(library: Library, filled: Filled) -> dict[Side, Standpoints]:
    """Both swings as filmed by the invented bay's cameras, moved since the earlier one."""
    now = {view: calibrated(camera) for view, camera in BY_VIEW.items()}
    then = {v: calibrated(moved(camera, (0.05, 0.05, 0.0))) for v, camera in BY_VIEW.items()}
    today, best = library.swing(filled.today.id), library.swing(filled.best.id)
    return {
        Side.NOW: replace(filmed("now", now), swing=today),
        Side.THEN: replace(filmed("then", then), swing=best),
    }


@pytest.fixture
def tools(place: BenchPlace, filled: Filled, qtbot: QtBot) -> Iterator[BenchTools]:
    made = BenchTools(place)
    place.look_at(filled.today.id)
    qtbot.waitUntil(lambda: made.sketcher.looks_at(filled.today.id), timeout=10_000)
    place.toggle_earlier()
    qtbot.waitUntil(lambda: place.state.then is not None, timeout=10_000)
    qtbot.waitUntil(lambda: made.grounds.state.knows(made.grounds._swings()), timeout=10_000)
    yield made
    made.close_tools()


def shown(place: BenchPlace) -> FrameArray:
    image = QImage(place.canvas.size(), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    place.canvas.render(painter, QPoint(0, 0))
    painter.end()
    return pixels(image).copy()


def changed(before: FrameArray, after: FrameArray) -> int:
    return int((before != after).any(axis=2).sum())


def test_a_key_draws_what_lies_on_the_mat_and_takes_it_away(
    tools: BenchTools, place: BenchPlace, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    tools.grounds.state.take(known_of(library, filled))
    qtbot.waitUntil(lambda: place.canvas.projection.is_complete)
    bare = shown(place)
    tools.commands()[ACTIONS[Ground.TARGET_LINE]]()
    drawn = shown(place)
    chosen = tools.grounds.words.words.button_of(Ground.TARGET_LINE).isChecked()
    tools.commands()[ACTIONS[Ground.TARGET_LINE]]()

    assert changed(bare, drawn) > 200
    assert chosen
    assert changed(bare, shown(place)) == 0


def test_a_word_that_can_t_be_drawn_says_why(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot
) -> None:
    said: list[str] = []
    place.says.connect(said.append)

    qtbot.mouseClick(tools.grounds.words.words.button_of(Ground.GRID), LEFT)

    assert said == ["Its camera has no name, so no calibration is known to be its own."]


def test_over_one_another_the_earlier_picture_is_redrawn_or_as_filmed(
    tools: BenchTools, place: BenchPlace, library: Library, filled: Filled
) -> None:
    state = place.state
    state.arrange(Arrangement.OVER)
    place.show_panel(EARLIER)
    tools.grounds.state.take(known_of(library, filled))
    redrawn = state.laid(View.FACE_ON)
    tools.commands()["ground.as_filmed"]()
    as_filmed, is_chosen = state.laid(View.FACE_ON), tools.earlier.as_filmed.isChecked()
    tools.commands()["ground.as_filmed"]()

    assert redrawn is not None
    assert redrawn.now_from_then.shape == (3, 3)
    assert "Redrawn as today's camera sees it" in tools.earlier.placed.text()
    assert (as_filmed, is_chosen) == (None, True)
    again = state.laid(View.FACE_ON)
    assert again is not None
    assert again.said == redrawn.said
