"""The Bay's live pictures in which ends of sticks are marked, by pointer, finger or keys.

Owns where in which picture a press lies. What a press does there is the station's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PyQt6.QtCore import QPointF, QRect, Qt
from PyQt6.QtGui import QKeyEvent, QMouseEvent
from PyQt6.QtWidgets import QWidget

from capturestation.drawing.bay_pictures import BayPicture, places
from capturestation.drawing.stick_marks import StickMark
from capturestation.records import Point, View
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.marks import Marks
from capturestation.ui.bay.measure_words import end_word
from capturestation.ui.bay.pictures import BayPictures
from capturestation.ui.look import Look

_STEP_PX = 0.5
_STEPS = {
    Qt.Key.Key_Left: (-_STEP_PX, 0.0),
    Qt.Key.Key_Right: (_STEP_PX, 0.0),
    Qt.Key.Key_Up: (0.0, -_STEP_PX),
    Qt.Key.Key_Down: (0.0, _STEP_PX),
}


class MarkingPictures(BayPictures):
    """Live pictures; ends of sticks are marked in them while there is something to mark.

    A press sets the next end, or takes up the one that lies there; it follows until it is let go,
    and what is under it is shown large. Arrow keys move it by half a pixel.
    """

    def __init__(self, bay: Bay, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(bay, None, look, parent)
        self._marks: Marks | None = None
        self.target_is_left = False
        """In the face-on picture: by it ends are called."""
        self._stop_telling: Callable[[], None] = _nothing

    @property
    def marks(self) -> Marks | None:
        """What is marked; None where nothing is to be."""
        return self._marks

    def mark(self, marks: Marks | None) -> None:
        """Mark these from now on, or none."""
        if marks is self._marks:
            return
        self._stop_telling()
        self._marks = marks
        self._stop_telling = marks.changed.tell(self.update) if marks is not None else _nothing
        policy = Qt.FocusPolicy.StrongFocus if marks is not None else Qt.FocusPolicy.NoFocus
        self.setFocusPolicy(policy)
        shape = Qt.CursorShape.CrossCursor if marks is not None else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)
        self.update()

    def pictures(self) -> list[BayPicture]:
        """What is seen now, with its marks."""
        found = super().pictures()
        marks = self._marks
        if marks is None:
            return found
        views = zip(found, self.views, strict=True)
        return [self._marked(picture, view, marks) for picture, view in views]

    def _marked(self, picture: BayPicture, view: View, marks: Marks) -> BayPicture:
        held, of_view = marks.held, marks.of(view)
        return replace(
            picture,
            marks=tuple(
                StickMark(
                    at=at,
                    word=end_word(view, end, target_is_left=self.target_is_left),
                    is_held=held == (view, end),
                )
                for end, at in of_view.items()
            ),
            enlarged=of_view[held[1]] if held is not None and held[0] is view else None,
        )

    def _places(self) -> list[QRect]:
        return places([one.aspect for one in self.pictures()], self.rect(), self.ink())

    def spot(self, view: View, at: Point) -> QPointF:
        """Where a place of a picture lies in this widget."""
        place = self._places()[self.views.index(view)]
        return QPointF(place.left() + at.x * place.width(), place.top() + at.y * place.height())

    def _at(self, view: View, where: QPointF) -> Point:
        place = self._places()[self.views.index(view)]
        return Point(
            x=(where.x() - place.left()) / place.width(),
            y=(where.y() - place.top()) / place.height(),
        )

    def mousePressEvent(self, event: QMouseEvent | None) -> None:
        """Set the next end there, or take up the one that lies there."""
        marks = self._marks
        if event is None or marks is None or event.button() is not Qt.MouseButton.LeftButton:
            super().mousePressEvent(event)
            return
        where = event.position()
        for view, place in zip(self.views, self._places(), strict=True):
            if place.contains(where.toPoint()) and view in self._bay.previews:
                marks.press(view, self._at(view, where))

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:
        """What was pressed follows."""
        marks = self._marks
        is_down = event is not None and bool(event.buttons() & Qt.MouseButton.LeftButton)
        if event is None or marks is None or marks.held is None or not is_down:
            super().mouseMoveEvent(event)
            return
        marks.move(self._at(marks.held[0], event.position()))

    def keyPressEvent(self, event: QKeyEvent | None) -> None:
        """Arrows move what was touched last by half a pixel."""
        marks = self._marks
        step = None if event is None else _STEPS.get(Qt.Key(event.key()))
        if marks is None or marks.held is None or step is None:
            super().keyPressEvent(event)
            return
        image = self.live_image(marks.held[0])
        if image is not None and not image.isNull():
            marks.nudge(step[0] / image.width(), step[1] / image.height())


def _nothing() -> None:
    """Nobody was told anything."""
