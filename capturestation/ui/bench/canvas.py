"""The pictures: shown, zoomed, moved, stepped through.

Owns the pointer over the pictures and when they are painted again. What is shown comes from the
state; pictures come from the picture room, and until a new one is there the last one stays.
"""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, QPointF, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import (
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QRegion,
    QResizeEvent,
    QWheelEvent,
)
from PyQt6.QtWidgets import QGestureEvent, QPinchGesture, QWidget

from capturestation.drawing.bench_painter import AfterPictures, BenchField, paint_field
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.rect import Rect
from capturestation.errors import StationError
from capturestation.records import Point
from capturestation.station.bench.pictures import PictureRoom
from capturestation.station.bench.state import BenchState
from capturestation.ui.bench.ink import ink_of
from capturestation.ui.bench.pointing import PointerTool
from capturestation.ui.bench.projection import Projection
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_NOTCH = 120
# What a wheel's notch counts, in eighths of a degree.
_ZOOM_A_NOTCH = 1.2
_AFTER_JUMP_MS = 60
# Before what is near a place is made: who jumps may jump again. Else after what is due was painted.
_LATE_MS = 25
# So long what stood there stays whole; then whatever is there by now is painted.
LEAST_PX = (320, 160)


class _Bridge(QObject):
    """Brings the picture room's word to the window's thread."""

    arrived = pyqtSignal()


class Canvas(QWidget):
    """The fields with their pictures.

    Signals:
        trouble: A `StationError`: a picture can't be shown.
        pictured: Another picture stands there.
        painted: All that stands there was painted.
    """

    trouble = pyqtSignal(object)
    pictured = pyqtSignal()
    painted = pyqtSignal()

    def __init__(self, state: BenchState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self.look = look
        self.tool: PointerTool | None = None
        self.after_pictures: AfterPictures | None = None
        self._bridge = _Bridge()
        self.room = PictureRoom(self._bridge.arrived.emit)
        self.projection = Projection(state, self.room)
        self._bridge.arrived.connect(self._take_pictures)
        self._pressed: tuple[Cell, QPointF, bool] | None = None
        self._turned = 0
        self._ahead = QTimer(self)
        self._ahead.setSingleShot(True)
        self._ahead.timeout.connect(self.projection.ask_ahead)
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.timeout.connect(self._paint_now)
        self._told: set[str] = set()
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        # A line that is drawn by two clicks follows the pointer between them.
        self.setMouseTracking(True)
        self.grabGesture(Qt.GestureType.PinchGesture)
        self.setMinimumSize(*LEAST_PX)
        self.setAccessibleName(say("bench.pictures"))
        look.changed.connect(self.lay_out)
        state.changed.tell(self.lay_out)
        state.transport.moved.tell(self.refresh)
        state.opened.tell(self._told.clear)

    @property
    def fields(self) -> tuple[BenchField, ...]:
        """The fields as they stand, in the widget's device pixels."""
        return self.projection.fields

    def close_pictures(self) -> None:
        """End the picture threads and let go of all files."""
        self.room.close()

    def sizeHint(self) -> QSize:
        """Room for it as it is usually seen."""
        return QSize(960, 540)

    def lay_out(self) -> None:
        """Place the fields anew: size, look, arrangement or zoom changed."""
        ratio = self.devicePixelRatioF()
        area = Rect(
            left=0, top=0, width=round(self.width() * ratio), height=round(self.height() * ratio)
        )
        self.projection.lay_out(area, ink_of(self.look))
        self.refresh()
        self.update()

    def refresh(self) -> None:
        """Want the pictures of this position; all that belong together are painted together.

        Painting what is there meanwhile would hold up those who make the rest.
        """
        self.projection.ask()
        if not self._late.isActive():
            self._late.start(_LATE_MS)
        self._take_pictures()
        self._ahead.start(_AFTER_JUMP_MS if self.state.transport.has_jumped else 0)

    def _take_pictures(self) -> None:
        try:
            changed = self.projection.take()
        except StationError as error:
            if str(error) not in self._told:
                self._told.add(str(error))
                self.trouble.emit(error)
            changed = True
            self._paint_now()
        if changed:
            self.pictured.emit()
        if self.projection.is_complete:
            if changed or self._late.isActive():
                self._paint_now()
        elif changed and not self._late.isActive():
            self.update()

    def _paint_now(self) -> None:
        self._late.stop()
        self.update()

    def paintEvent(self, event: QPaintEvent | None) -> None:
        """Paint it anew."""
        del event
        ratio = self.devicePixelRatioF()
        ink = ink_of(self.look)
        painter = QPainter(self)
        painter.scale(1 / ratio, 1 / ratio)
        self._fill_paper(painter, ratio)
        for field in self.fields:
            words = self.projection.words(field.cell)
            image = self.projection.image(field.cell)
            paint_field(painter, field, words, image, ink, self.after_pictures)
        if not self.fields:
            painter.resetTransform()
            painter.setFont(self.look.font("title"))
            painter.setPen(self.look.colour("soft"))
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect(), int(flags), say("bench.empty"))
        painter.end()
        self.painted.emit()

    def _fill_paper(self, painter: QPainter, ratio: float) -> None:
        """Only what no picture covers: filling all costs as much as the pictures."""
        paper = QRegion(0, 0, round(self.width() * ratio), round(self.height() * ratio))
        for field in self.fields:
            if self.projection.image(field.cell) is not None:
                rect = field.place.rect
                paper -= QRegion(rect.left, rect.top, rect.width, rect.height)
        painter.setClipRegion(paper)
        painter.fillRect(paper.boundingRect(), self.look.colour("paper"))
        painter.setClipping(False)

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Place the fields in the new size."""
        super().resizeEvent(event)
        self.lay_out()

    def field_at(self, at: QPointF) -> BenchField | None:
        """The field under a place of the widget."""
        ratio = self.devicePixelRatioF()
        for field in self.fields:
            if field.place.holds(at.x() * ratio, at.y() * ratio):
                return field
        return None

    def point_in(self, cell: Cell, at: QPointF) -> Point:
        """The place of a field's picture under a place of the widget."""
        ratio = self.devicePixelRatioF()
        place = next(field.place for field in self.fields if field.cell == cell)
        return place.to_picture(at.x() * ratio, at.y() * ratio)

    def mousePressEvent(self, event: QMouseEvent | None) -> None:
        """Take hold of what is under the pointer."""
        if event is None:
            return
        at = event.position()
        field = self.field_at(at)
        if field is None:
            return
        taken = (
            event.button() is Qt.MouseButton.LeftButton
            and self.tool is not None
            and self.tool.press(field.cell, self.point_in(field.cell, at))
        )
        self._pressed = (field.cell, at, taken)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:
        """Move what is held, or what is drawn by clicks."""
        if event is None:
            return
        at = event.position()
        if self._pressed is None:
            self._hover(at)
            return
        cell, before, taken = self._pressed
        if taken and self.tool is not None:
            self.tool.move(cell, self.point_in(cell, at))
        elif not taken and self._is_in_sight(cell):
            was, now = self.point_in(cell, before), self.point_in(cell, at)
            self.state.pan(cell, was.x - now.x, was.y - now.y)
            self._pressed = (cell, at, False)

    def _hover(self, at: QPointF) -> None:
        field = None if self.tool is None else self.field_at(at)
        if field is not None and self.tool is not None:
            self.tool.move(field.cell, self.point_in(field.cell, at))

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:
        """Let go of it."""
        if event is None or self._pressed is None:
            return
        cell, _, taken = self._pressed
        self._pressed = None
        if taken and self.tool is not None and self._is_in_sight(cell):
            self.tool.release(cell, self.point_in(cell, event.position()))

    def mouseDoubleClickEvent(self, event: QMouseEvent | None) -> None:
        """Show this angle alone, or all again."""
        field = None if event is None else self.field_at(event.position())
        if field is None:
            return
        if event is not None and self.tool is not None:
            self.mousePressEvent(event)
            if self._pressed is not None and self._pressed[2]:
                return
        self._pressed = None
        view = field.cell[1]
        self.state.show_alone(None if self.state.alone is view else view)

    def wheelEvent(self, event: QWheelEvent | None) -> None:
        """Step through frames, one a notch; with Ctrl zoom."""
        if event is None:
            return
        self._turned += event.angleDelta().y() or event.angleDelta().x()
        notches = int(self._turned / _NOTCH)
        self._turned -= notches * _NOTCH
        event.accept()
        if not notches:
            return
        field = self.field_at(event.position())
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier and field is not None:
            about = self.point_in(field.cell, event.position())
            self.state.zoom(field.cell, _ZOOM_A_NOTCH**notches, about)
        else:
            self.state.transport.step(-notches)

    def zoom(self, times: float) -> None:
        """Zoom all pictures about their middles, as keys do."""
        if self.fields:
            cell = self._first_cell()
            framing = self.state.framing(cell)
            self.state.zoom(cell, times, Point(x=framing.x, y=framing.y))

    def event(self, event: QEvent | None) -> bool:
        """Take up what two fingers do."""
        if isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                self._pinched(pinch)
                event.accept()
                return True
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture
        ):
            self._zoom_at(event.position(), 1.0 + event.value())
            return True
        return super().event(event)

    def _pinched(self, pinch: QPinchGesture) -> None:
        """Two fingers: spread to zoom, move to move."""
        at = QPointF(self.mapFromGlobal(pinch.centerPoint().toPoint()))
        before = QPointF(self.mapFromGlobal(pinch.lastCenterPoint().toPoint()))
        field = self.field_at(at)
        if field is not None:
            was, now = self.point_in(field.cell, before), self.point_in(field.cell, at)
            self.state.pan(field.cell, was.x - now.x, was.y - now.y)
        self._zoom_at(at, pinch.scaleFactor())

    def _zoom_at(self, at: QPointF, times: float) -> None:
        field = self.field_at(at)
        if field is not None:
            self.state.zoom(field.cell, times, self.point_in(field.cell, at))

    def _first_cell(self) -> Cell:
        cells = [field.cell for field in self.fields]
        return next((cell for cell in cells if cell[0] is Side.NOW), cells[0])

    def _is_in_sight(self, cell: Cell) -> bool:
        return any(field.cell == cell for field in self.fields)

    def paint_tv(self, painter: QPainter, size: QSize) -> None:
        """Paint the pictures and what is drawn on them, without a word."""
        self.projection.paint_bare(painter, size, ink_of(self.look), self.after_pictures)
