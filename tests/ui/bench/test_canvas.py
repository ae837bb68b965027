"""The pictures: what a hand does with them, and what they show of the state."""

from __future__ import annotations

import threading

import numpy as np
import pytest
from PyQt6.QtCore import QEvent, QPoint, QPointF, QSize, Qt
from PyQt6.QtGui import QImage, QMouseEvent, QPainter, QWheelEvent
from PyQt6.QtWidgets import QApplication, QGestureEvent, QPinchGesture
from pytestqt.qtbot import QtBot

from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.grid import Cell, Side
from capturestation.errors import NotReadableError
from capturestation.records import Point, View
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.ui.bench.canvas import Canvas
from capturestation.ui.look import Look, Theme
from tests.helpers.coded_media import read_code
from tests.helpers.pixels import pixels
from tests.helpers.seen_swings import even_frames, seen_swing
from tests.ui.bench.conftest import lay_then

NOW: Cell = (Side.NOW, View.FACE_ON)
LINE: Cell = (Side.NOW, View.DOWN_THE_LINE)
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def state() -> BenchState:
    """An empty Bench."""
    return BenchState()


def number(canvas: Canvas, cell: Cell) -> int:
    """What the picture painted in a field says; read where the whole picture stands."""
    place = next(field.place for field in canvas.fields if field.cell == cell)
    shown = pixels(canvas.grab().toImage())
    x0, y0 = place.to_screen(Point(x=0, y=0))
    x1, y1 = place.to_screen(Point(x=1, y=1))
    return read_code(shown[round(y0) : round(y1), round(x0) : round(x1)])


def middle(canvas: Canvas, cell: Cell) -> QPointF:
    rect = next(field.place.rect for field in canvas.fields if field.cell == cell)
    return QPointF(rect.left + rect.width // 2, rect.top + rect.height // 2)


def mouse(canvas: Canvas, kind: QEvent.Type, at: QPointF) -> None:
    none = Qt.KeyboardModifier.NoModifier
    event = QMouseEvent(kind, at, canvas.mapToGlobal(at), LEFT, LEFT, none)
    QApplication.sendEvent(canvas, event)


def wheel(canvas: Canvas, at: QPointF, notches: int, keys: Qt.KeyboardModifier) -> None:
    event = QWheelEvent(
        at,
        canvas.mapToGlobal(at),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        keys,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas, event)


def settled(canvas: Canvas, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: canvas.projection.is_complete)


def test_both_views_show_the_frames_nearest_to_impact(canvas: Canvas) -> None:
    assert (number(canvas, NOW), number(canvas, LINE)) == (240, 120)


def test_a_move_of_the_state_shows_the_right_frames(canvas: Canvas, qtbot: QtBot) -> None:
    canvas.state.transport.step(3)
    settled(canvas, qtbot)

    assert (number(canvas, NOW), number(canvas, LINE)) == (243, 121)


def test_pictures_that_belong_together_are_painted_together(
    canvas: Canvas, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.bench.canvas._LATE_MS", 60_000)
    canvas.repaint()
    painted: list[set[tuple[int, ...]]] = []
    canvas.painted.connect(lambda: painted.append(set(canvas.projection.shown_ordinals().values())))
    canvas.state.transport.drag(-250_000_000)
    qtbot.waitUntil(lambda: bool(painted))

    assert painted[0] == {(180,), (90,)}


def test_what_comes_late_does_not_hold_up_the_other_view(
    qtbot: QtBot, state: BenchState, look: Look
) -> None:
    canvas = Canvas(state, look)
    qtbot.addWidget(canvas)
    canvas.resize(900, 500)
    canvas.show()
    gate = threading.Event()
    frames = {View.FACE_ON: even_frames(gate=gate), View.DOWN_THE_LINE: even_frames()}
    seen = seen_swing(frames=frames)
    canvas.room.show(Side.NOW, seen.frames)
    state.open_now(seen)
    qtbot.waitUntil(lambda: canvas.projection.image(LINE) is not None)
    with qtbot.waitSignal(canvas.painted):
        canvas.refresh()
    before = (canvas.projection.image(NOW), number(canvas, LINE))
    gate.set()
    settled(canvas, qtbot)
    canvas.close_pictures()

    assert before == (None, 240)


def test_frames_of_the_earlier_swing_stand_beside(canvas: Canvas, qtbot: QtBot) -> None:
    lay_then(canvas)
    canvas.state.transport.drag(-250_000_000)
    settled(canvas, qtbot)

    assert number(canvas, NOW) == 180
    assert number(canvas, (Side.THEN, View.FACE_ON)) == 175


def test_laid_over_both_are_asked_for_one_field(canvas: Canvas, qtbot: QtBot) -> None:
    lay_then(canvas)
    canvas.state.arrange(Arrangement.OVER)
    canvas.state.transport.drag(-250_000_000)
    settled(canvas, qtbot)

    assert canvas.projection.shown_ordinals()[NOW] == (180, 175)


def test_the_wheel_steps_through_frames(canvas: Canvas) -> None:
    before = canvas.state.transport.at_ns
    wheel(canvas, middle(canvas, NOW), -1, Qt.KeyboardModifier.NoModifier)

    assert canvas.state.transport.at_ns > before


def test_the_wheel_with_ctrl_zooms_about_the_pointer(canvas: Canvas) -> None:
    at = middle(canvas, NOW) + QPointF(40, 10)
    under = canvas.point_in(NOW, at)
    wheel(canvas, at, 1, Qt.KeyboardModifier.ControlModifier)
    still = canvas.point_in(NOW, at)

    assert canvas.state.framing(NOW).zoom == pytest.approx(1.2)
    assert (still.x, still.y) == pytest.approx((under.x, under.y))


def test_a_drag_moves_the_picture_with_the_hand(canvas: Canvas) -> None:
    at = middle(canvas, NOW)
    under = canvas.point_in(NOW, at)
    mouse(canvas, QEvent.Type.MouseButtonPress, at)
    mouse(canvas, QEvent.Type.MouseMove, at + QPointF(30, 20))
    mouse(canvas, QEvent.Type.MouseButtonRelease, at + QPointF(30, 20))
    moved = canvas.point_in(NOW, at + QPointF(30, 20))

    assert (moved.x, moved.y) == pytest.approx((under.x, under.y))


def test_a_double_click_shows_this_angle_alone_and_all_again(canvas: Canvas) -> None:
    mouse(canvas, QEvent.Type.MouseButtonDblClick, middle(canvas, LINE))
    alone = canvas.state.alone
    mouse(canvas, QEvent.Type.MouseButtonDblClick, middle(canvas, LINE))

    assert (alone, canvas.state.alone) == (View.DOWN_THE_LINE, None)


class Tool:
    """Takes the pointer in one view."""

    def __init__(self, view: View) -> None:
        self.view = view
        self.seen: list[tuple[str, Point]] = []

    def press(self, cell: Cell, at: Point) -> bool:
        self.seen.append(("press", at))
        return cell[1] is self.view

    def move(self, cell: Cell, at: Point) -> bool:
        self.seen.append(("move", at))
        return cell[1] is self.view

    def release(self, cell: Cell, at: Point) -> bool:
        self.seen.append(("release", at))
        return cell[1] is self.view


def test_a_tool_that_takes_the_pointer_gets_it_all_and_nothing_moves(canvas: Canvas) -> None:
    tool = Tool(View.FACE_ON)
    canvas.tool = tool
    at = middle(canvas, NOW)
    for kind, off in (
        (QEvent.Type.MouseButtonPress, 0),
        (QEvent.Type.MouseMove, 20),
        (QEvent.Type.MouseButtonRelease, 20),
    ):
        mouse(canvas, kind, at + QPointF(off, 0))

    assert [what for what, _ in tool.seen] == ["press", "move", "release"]
    assert tool.seen[1][1] == canvas.point_in(NOW, at + QPointF(20, 0))
    assert canvas.state.framing(NOW).x == 0.5


def test_a_line_drawn_by_clicks_follows_the_pointer_between_them(canvas: Canvas) -> None:
    tool = Tool(View.FACE_ON)
    canvas.tool = tool
    at = middle(canvas, NOW)
    mouse(canvas, QEvent.Type.MouseButtonPress, at)
    mouse(canvas, QEvent.Type.MouseButtonRelease, at)
    mouse(canvas, QEvent.Type.MouseMove, at + QPointF(25, 5))

    assert canvas.hasMouseTracking()
    assert tool.seen[-1] == ("move", canvas.point_in(NOW, at + QPointF(25, 5)))
    assert canvas.state.framing(NOW).x == 0.5


@pytest.mark.parametrize("is_linked", [True, False])
def test_two_fingers_zoom_and_move_all_angles_or_the_one_below_them(
    canvas: Canvas, is_linked: bool
) -> None:
    canvas.state.link(is_linked=is_linked)
    at = canvas.mapToGlobal(middle(canvas, NOW))
    pinch = QPinchGesture()
    pinch.setLastCenterPoint(at)
    pinch.setCenterPoint(at + QPointF(12, 0))
    pinch.setScaleFactor(2.0)
    canvas.state.zoom(NOW, 2.0, Point(x=0.5, y=0.5))
    before = canvas.state.framing(NOW)

    QApplication.sendEvent(canvas, QGestureEvent([pinch]))

    after = canvas.state.framing(NOW)
    assert after.zoom == pytest.approx(2 * before.zoom)
    assert after.x < before.x
    assert (canvas.state.framing(LINE).zoom == pytest.approx(after.zoom)) is is_linked


def test_where_a_tool_lets_go_the_picture_moves(canvas: Canvas) -> None:
    canvas.tool = Tool(View.FACE_ON)
    at = middle(canvas, LINE)
    mouse(canvas, QEvent.Type.MouseButtonPress, at)
    mouse(canvas, QEvent.Type.MouseMove, at + QPointF(30, 0))

    assert canvas.state.framing(LINE).x != 0.5


def test_what_is_painted_over_gets_each_field(canvas: Canvas) -> None:
    seen: list[Cell] = []

    def over(_painter: QPainter, cell: Cell, _place: FieldPlace) -> None:
        seen.append(cell)

    canvas.after_pictures = over
    canvas.grab()

    assert seen == [NOW, LINE]


def test_a_broken_frame_is_told_once_and_the_other_view_goes_on(
    qtbot: QtBot, state: BenchState, look: Look
) -> None:
    canvas = Canvas(state, look)
    qtbot.addWidget(canvas)
    canvas.resize(900, 500)
    canvas.show()
    broken = frozenset({240})
    frames = {View.FACE_ON: even_frames(broken=broken), View.DOWN_THE_LINE: even_frames()}
    told: list[object] = []
    canvas.trouble.connect(told.append)
    seen = seen_swing(frames=frames)
    canvas.room.show(Side.NOW, seen.frames)
    state.open_now(seen)
    qtbot.waitUntil(lambda: bool(told))
    qtbot.waitUntil(lambda: canvas.projection.image(LINE) is not None)
    canvas.refresh()
    canvas.close_pictures()

    assert [type(error) for error in told] == [NotReadableError]
    assert number(canvas, LINE) == 240


def test_an_empty_bench_says_where_to_begin(qtbot: QtBot, state: BenchState, look: Look) -> None:
    canvas = Canvas(state, look)
    qtbot.addWidget(canvas)
    canvas.resize(900, 500)
    shown = pixels(canvas.grab().toImage())
    canvas.close_pictures()

    assert canvas.fields == ()
    assert len(np.unique(shown.reshape(-1, 3), axis=0)) > 2


def test_a_dark_look_is_taken_up(canvas: Canvas, look: Look) -> None:
    look.choose(Theme.DARK)

    corner = canvas.grab().toImage().pixelColor(2, 2)

    assert corner == look.colour("paper")


def test_the_second_screen_shows_the_pictures_and_no_word(canvas: Canvas) -> None:
    screen = QImage(1280, 720, QImage.Format.Format_RGB888)
    painter = QPainter(screen)
    canvas.paint_tv(painter, QSize(1280, 720))
    painter.end()
    shown = pixels(screen)

    paper = np.array(canvas.look.colour("paper").getRgb()[:3])
    rows = (shown != paper).any(axis=(1, 2))
    picture_rows = np.flatnonzero(rows)
    greys = (shown == 128).all(axis=2).any(axis=1)
    assert rows.sum() > 300
    assert greys[picture_rows[len(picture_rows) // 2]]
    # Above and below the pictures there is paper alone: no caption, no time.
    assert picture_rows[0] <= np.flatnonzero(greys)[0]
    assert rows.sum() == picture_rows[-1] - picture_rows[0] + 1


def test_it_has_a_name_for_screen_readers(canvas: Canvas) -> None:
    assert canvas.accessibleName()
