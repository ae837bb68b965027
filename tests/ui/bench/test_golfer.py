"""The coach says who the golfer is: by mouse, by keys, and takes it back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PyQt6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.library import Library
from capturestation.records import Box, Point, View
from capturestation.station.cache import cache_of
from capturestation.station.golfer_box import golfer_box
from capturestation.station.models import BodyModel
from capturestation.station.seen_tracks import keep_tracks
from capturestation.station.undo import UndoList
from capturestation.swing.tracks import Company
from capturestation.ui.bench import seeing as module
from capturestation.ui.bench.seeing import MEASURES
from capturestation.ui.bench.whole import Bench
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.seen_tracks import tracks_of
from tests.helpers.station_library import Filled

MODEL = BodyModel(path=Path("nowhere"), is_there=True, engine="cv2")
LEFT = Qt.MouseButton.LeftButton
NOW_FACE_ON = (Side.NOW, View.FACE_ON)


@pytest.fixture
def bench(
    library: Library,
    filled: Filled,
    workers: Workers,
    look: Look,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    tmp_path: Path,
) -> Iterator[Bench]:
    """Today's swing on the Bench, in whose face-on picture somebody else moved."""
    monkeypatch.setattr(module, "body_model", lambda: MODEL)
    cache = cache_of(library, tmp_path / "caches")
    swing = library.swing(filled.today.id)
    company = {
        view: replace(one, company=Company(others=1 if view is View.FACE_ON else 0))
        for view, one in tracks_of(swing).items()
    }
    keep_tracks(cache.made_folder(swing.id), company)
    made = Bench(library, workers, look, UndoList(), cache=cache)
    qtbot.addWidget(made)
    made.resize(1280, 720)
    made.show()
    made.look_at(swing.id)
    qtbot.waitUntil(lambda: made.swing == swing.id, timeout=10_000)
    made.show_panel(MEASURES)
    qtbot.waitUntil(lambda: made.seeing.panel.golfer.isVisible(), timeout=10_000)
    yield made
    made.let_go()


def on_canvas(bench: Bench, x: float, y: float) -> QPoint:
    field = next(field for field in bench.canvas.fields if field.cell == NOW_FACE_ON)
    across, down = field.place.to_screen(Point(x=x, y=y))
    return QPoint(round(across), round(down))


def kept(library: Library, filled: Filled) -> Box | None:
    return golfer_box(library.swing(filled.today.id).book.spots, View.FACE_ON)


def test_where_two_move_a_word_lets_the_coach_drag_a_box(
    bench: Bench, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    said: list[str] = []
    bench.says.connect(said.append)
    qtbot.mouseClick(bench.seeing.panel.golfer, LEFT)
    before = bench.canvas.grab().toImage()

    qtbot.mousePress(bench.canvas, LEFT, pos=on_canvas(bench, 0.4, 0.3))
    qtbot.mouseMove(bench.canvas, on_canvas(bench, 0.5, 0.5))
    qtbot.mouseRelease(bench.canvas, LEFT, pos=on_canvas(bench, 0.6, 0.7))
    qtbot.waitUntil(lambda: not bench.tools.keeper.is_busy)

    box = kept(library, filled)
    assert box is not None
    assert (box.left, box.top, box.right, box.bottom) == pytest.approx(
        (0.4, 0.3, 0.6, 0.7), abs=0.02
    )
    assert said[-1].startswith("That is the golfer")
    edge = on_canvas(bench, 0.5, 0.7)
    assert bench.canvas.grab().toImage().pixelColor(edge) != before.pixelColor(edge)
    assert bench.seeing.panel.nobody.isVisible()
    bench.steps.undo()
    qtbot.waitUntil(lambda: not bench.tools.keeper.is_busy)
    assert kept(library, filled) is None
    assert bench.seeing.panel.nobody.isHidden()


def test_keys_alone_say_it_and_one_press_takes_it_away(
    bench: Bench, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    commands = bench.commands()
    commands["measures.golfer"]()
    commands["sketch.nudge_left"]()
    commands["bench.zoom_in"]()
    commands["measures.golfer"]()
    qtbot.waitUntil(lambda: not bench.tools.keeper.is_busy)
    box = kept(library, filled)

    qtbot.mouseClick(bench.seeing.panel.nobody, LEFT)
    qtbot.waitUntil(lambda: not bench.tools.keeper.is_busy)

    assert box is not None
    assert box.width == pytest.approx(0.32)
    assert kept(library, filled) is None


def test_escape_and_another_panel_give_it_up_and_the_pointer_draws_no_box_then(
    bench: Bench, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    bench.commands()["measures.golfer"]()
    left = bench.leave()
    bench.commands()["measures.golfer"]()
    bench.show_panel(None)

    qtbot.mousePress(bench.canvas, LEFT, pos=on_canvas(bench, 0.4, 0.3))
    qtbot.mouseRelease(bench.canvas, LEFT, pos=on_canvas(bench, 0.6, 0.7))

    assert left
    assert not bench.golfer.boxes.is_on
    assert not bench.seeing.panel.golfer.isChecked()
    assert kept(library, filled) is None


def test_another_swing_takes_no_box_that_was_begun_on_the_last(
    bench: Bench, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    bench.commands()["measures.golfer"]()
    bench.commands()["sketch.nudge_left"]()
    bench.look_at(filled.best.id)
    qtbot.waitUntil(lambda: bench.swing == filled.best.id, timeout=10_000)

    bench.commands()["measures.golfer"]()
    bench.commands()["measures.golfer"]()
    qtbot.waitUntil(lambda: not bench.tools.keeper.is_busy)

    for swing in (filled.today, filled.best):
        assert golfer_box(library.swing(swing.id).book.spots, View.FACE_ON) is None


def test_the_box_is_painted_only_while_it_is_drawn(bench: Bench, qtbot: QtBot) -> None:
    bench.commands()["measures.golfer"]()
    bench.commands()["sketch.nudge_down"]()
    edge = on_canvas(bench, 0.5, 0.12)
    with_box = bench.canvas.grab().toImage().pixelColor(edge)

    bench.leave()

    assert bench.canvas.grab().toImage().pixelColor(edge) != with_box
