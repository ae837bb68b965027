"""Drawing, the earlier swing and sending on a Bench with real pictures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PyQt6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Cell, Side
from capturestation.library import Library
from capturestation.records import MarkSource, Shape, Spot, View
from capturestation.station.bench.state import Arrangement
from capturestation.station.cache import cache_of
from capturestation.station.sketching import Kept
from capturestation.station.undo import UndoList
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.tools import EARLIER, SEND, SKETCH, BenchTools
from capturestation.ui.keys import key_table
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.sketches import at
from tests.helpers.station_library import Filled

LEFT = Qt.MouseButton.LeftButton
NOW_FACE_ON = (Side.NOW, View.FACE_ON)


@pytest.fixture
def workers() -> Iterator[Workers]:
    made = Workers()
    yield made
    made.close()


@pytest.fixture
def place(
    qtbot: QtBot,
    library: Library,
    workers: Workers,
    steps: UndoList,
    filled: Filled,
    tmp_path: Path,
) -> Iterator[BenchPlace]:
    made = BenchPlace(library, workers, Look(), steps, cache=cache_of(library, tmp_path / "cache"))
    qtbot.addWidget(made)
    made.resize(1280, 720)
    made.show()
    yield made
    made.let_go()


@pytest.fixture
def tools(place: BenchPlace, filled: Filled, qtbot: QtBot) -> Iterator[BenchTools]:
    """With today's swing opened, and its best beside it."""
    made = BenchTools(place)
    place.look_at(filled.today.id)
    qtbot.waitUntil(lambda: made.sketcher.looks_at(filled.today.id), timeout=10_000)
    place.toggle_earlier()
    qtbot.waitUntil(lambda: place.state.then is not None, timeout=10_000)
    yield made
    made.close_tools()


def on_canvas(place: BenchPlace, cell: Cell, x: float, y: float) -> QPoint:
    """Where a place of a picture is on the canvas."""
    field = next(field for field in place.canvas.fields if field.cell == cell)
    across, down = field.place.to_screen(at(x, y))
    return QPoint(round(across), round(down))


def drag(qtbot: QtBot, place: BenchPlace, cell: Cell, *places: tuple[float, float]) -> None:
    spots = [on_canvas(place, cell, *one) for one in places]
    qtbot.mousePress(place.canvas, LEFT, pos=spots[0])
    for spot in spots[1:]:
        qtbot.mouseMove(place.canvas, spot)
    qtbot.mouseRelease(place.canvas, LEFT, pos=spots[-1])


def test_a_line_drawn_with_the_mouse_is_painted_and_in_the_library(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot, library: Library, filled: Filled
) -> None:
    tools.commands()["sketch.line"]()
    before = place.canvas.grab().toImage()

    drag(qtbot, place, NOW_FACE_ON, (0.4, 0.4), (0.5, 0.5), (0.6, 0.6))
    qtbot.waitUntil(lambda: not tools.keeper.is_busy)

    assert place.head.shown_panel == SKETCH
    (kept,) = library.swing(filled.today.id).book.drawings
    assert kept.shape is Shape.LINE
    assert kept.points[0].x == pytest.approx(0.4, abs=0.01)
    assert kept.points[1].y == pytest.approx(0.6, abs=0.01)
    middle = on_canvas(place, NOW_FACE_ON, 0.5, 0.5)
    after = place.canvas.grab().toImage()
    assert after.pixelColor(middle) != before.pixelColor(middle)
    place.steps.undo()
    qtbot.waitUntil(lambda: not tools.keeper.is_busy)
    assert library.swing(filled.today.id).book.drawings == ()


def test_a_drawing_stays_where_it_was_drawn_when_the_picture_is_zoomed(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot
) -> None:
    tools.commands()["sketch.line"]()
    place.state.zoom(NOW_FACE_ON, 2.0, at(0.5, 0.5))

    drag(qtbot, place, NOW_FACE_ON, (0.45, 0.45), (0.55, 0.5))

    (drawn,) = tools.sketcher.shown(View.FACE_ON)
    assert drawn.points[1].x == pytest.approx(0.55, abs=0.005)


def test_a_pointer_over_pictures_moves_them_while_nothing_is_drawn(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot
) -> None:
    drag(qtbot, place, NOW_FACE_ON, (0.5, 0.5), (0.6, 0.5))

    assert place.state.framing(NOW_FACE_ON).x != 0.5
    assert tools.sketcher.shown(View.FACE_ON) == ()


def test_laid_over_the_balls_are_found_and_place_the_pictures(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot, library: Library, filled: Filled
) -> None:
    place.state.arrange(Arrangement.OVER)

    def is_placed() -> bool:
        laid = place.state.laid(View.FACE_ON)
        return laid is not None and laid.said.startswith("Laid over by ball alone")

    qtbot.waitUntil(is_placed, timeout=10_000)
    for swing in (filled.today, filled.best):
        found = library.swing(swing.id).book.spots
        assert {(m.view, m.spot, m.source) for m in found} == {
            (view, Spot.BALL, MarkSource.FOUND) for view in (View.FACE_ON, View.DOWN_THE_LINE)
        }


def test_spots_are_pointed_out_beside_and_laid_over_again_afterwards(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot, library: Library, filled: Filled
) -> None:
    place.state.arrange(Arrangement.OVER)
    place.state.show_alone(View.FACE_ON)
    tools.commands()["sketch.spots"]()
    beside = place.state.arrangement
    tools.spots.want(Side.THEN, Spot.TRAIL_FOOT)

    drag(qtbot, place, (Side.THEN, View.FACE_ON), (0.3, 0.8))
    qtbot.waitUntil(lambda: not tools.keeper.is_busy)
    tools.leave()

    assert beside is Arrangement.BESIDE
    by_hand = [m for m in library.swing(filled.best.id).book.spots if m.source is MarkSource.HAND]
    assert [mark.spot for mark in by_hand] == [Spot.TRAIL_FOOT]
    assert tools.spots.wanted is None
    assert place.state.arrangement is Arrangement.OVER


def test_keys_open_their_panels_and_again_close_or_send(
    tools: BenchTools, place: BenchPlace
) -> None:
    commands = tools.commands()
    seen = []
    for key in ("sketch.tools", "sketch.tools", "sketch.spots", "send.send", "send.send"):
        commands[key]()
        seen.append(place.head.shown_panel)

    assert seen == [SKETCH, None, EARLIER, SEND, SEND]
    assert "consent to sharing is missing" in tools.send.answer.text()


def test_there_is_a_command_for_each_action_of_the_table(tools: BenchTools) -> None:
    groups = ("sketch", "send", "ground")
    mine = {line.action for line in key_table() if line.action.split(".")[0] in groups}

    assert mine == set(tools.commands())


def test_leaving_a_panel_lays_its_tools_down(tools: BenchTools, place: BenchPlace) -> None:
    tools.commands()["sketch.line"]()
    was_on = tools.sketcher.is_on
    place.show_panel(None)
    tools.commands()["sketch.spots"]()
    place.show_panel(None)

    assert (was_on, tools.sketcher.is_on) == (True, False)
    assert tools.spots.wanted is None


def test_where_the_next_drawing_is_kept_is_changed_by_one_key(tools: BenchTools) -> None:
    kept = []
    for _ in range(2):
        tools.commands()["sketch.hold"]()
        kept.append(tools.sketcher.kept)

    assert kept == [Kept.VIEW, Kept.SWING]


def test_an_earlier_swing_chosen_from_the_list_is_laid_beside(
    tools: BenchTools, place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    tools.earlier.wants_none.emit()
    alone = place.state.then
    tools.earlier.wants.emit(filled.best.id, "own best")
    qtbot.waitUntil(lambda: place.state.then is not None, timeout=10_000)

    assert alone is None
    assert place.state.then is not None
    assert place.state.then.swing.id == filled.best.id
    tools.earlier.wants_best.emit()
    qtbot.waitUntil(lambda: place.state.then is not None, timeout=10_000)


def test_what_is_sent_is_what_stands_on_the_bench(tools: BenchTools, place: BenchPlace) -> None:
    place.state.set_nudge_ns(40_000_000)
    place.state.show_alone(View.DOWN_THE_LINE)

    wish = tools.sending.wish
    assert wish.later_ns == 40_000_000
    assert wish.first is View.DOWN_THE_LINE
    assert tools.sending.name.endswith("beside 2026-10-30.mp4")
