"""The Book's two sheets: the index of students at the left, the student's page at the right.

Owns which widget stands where and what is chosen. Changes nothing in the library.
"""

from __future__ import annotations

from enum import StrEnum
from functools import partial
from typing import Generic

from PyQt6.QtCore import QEvent, QModelIndex, QObject, Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLineEdit,
    QListView,
    QVBoxLayout,
    QWidget,
)

from capturestation.records import Lesson, Student, Swing
from capturestation.station.notebook import LessonLine, StudentLines
from capturestation.ui.book.lines import Prints, Words
from capturestation.ui.book.models import Lessons, Line, Lines, Students, Swings
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.book.swing_bar import SwingBar
from capturestation.ui.book.wording import focus_words
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_LEAVES = (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Part(StrEnum):
    """What of the Book is seen where there is no room for all."""

    STUDENTS = "students"
    LESSONS = "lessons"
    SWINGS = "swings"


class ListPane(QListView, Generic[Line]):
    """A list whose chosen line is told, however it was chosen.

    Signals:
        chosen: The line's record, None where nothing is chosen.
        entered: The line's record: return, or pressed twice.
    """

    chosen = pyqtSignal(object)
    entered = pyqtSignal(object)

    def __init__(self, model: Lines[Line], name: str) -> None:
        super().__init__()
        self._lines = model
        self._quiet = False
        # Where Python lets go of both at once, the view has to go first.
        model.setParent(self)
        self.setModel(model)
        self.setAccessibleName(name)
        self.setUniformItemSizes(True)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.activated.connect(self._enter)

    def currentChanged(self, current: QModelIndex, previous: QModelIndex) -> None:
        """Tell what is chosen now."""
        super().currentChanged(current, previous)
        if not self._quiet:
            self.chosen.emit(self._lines.at(current))

    def _enter(self, index: QModelIndex) -> None:
        self.entered.emit(self._lines.at(index))

    def choose(self, key: str | None) -> bool:
        """Choose the line with that key, or the first, and tell it; False where there is none.

        It is told also where it was chosen already: its record may be another by now.
        """
        row = 0 if key is None else self._lines.row_of(key)
        if not 0 <= row < self._lines.rowCount():
            return False
        self._quiet = True
        self.setCurrentIndex(self._lines.index(row))
        self._quiet = False
        self.chosen.emit(self._lines.lines[row])
        return True


class IndexPane(QWidget):
    """Find a student as one types.

    Signals:
        typed: What stands in the field.
        new_wanted: A new student is to be written down.
    """

    typed = pyqtSignal(str)
    new_wanted = pyqtSignal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.field = QLineEdit()
        self.field.setPlaceholderText(say("book.find"))
        self.field.setAccessibleName(say("book.find"))
        self.field.setClearButtonEnabled(True)
        self.field.textChanged.connect(self.typed)
        self.field.installEventFilter(self)
        self.model = Students()
        self.list = ListPane(self.model, say("book.students"))
        self.list.setItemDelegate(_kept(self.list, Words(look, 3)))
        self.none = label(soft=True, wraps=True)
        self.none.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.field)
        column.addWidget(self.none)
        column.addWidget(self.list, 1)
        column.addWidget(button(say("book.new_student"), self.new_wanted.emit))

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:
        """From the field down into the list by the keys one expects."""
        pressed = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress
        if pressed and isinstance(event, QKeyEvent) and event.key() in _LEAVES:
            self.list.setFocus()
            if not self.list.currentIndex().isValid():
                self.list.choose(None)
            return True
        return super().eventFilter(watched, event)

    def put(self, found: StudentLines) -> None:
        """Show these students."""
        self.model.put(found.lines)
        more = say("book.more", count=found.more) if found.more else ""
        self.none.setText(more if found.lines else say("book.none_found"))
        self.none.setVisible(bool(found.more) or not found.lines)


class StudentPane(QWidget):
    """A student's page: lessons by day, and the chosen lesson's swings as contact prints.

    Signals:
        asked: An action of the table of keys, or book.change, book.focus, book.forget.
    """

    asked = pyqtSignal(str)

    def __init__(self, look: Look, pictures: Pictures) -> None:
        super().__init__()
        self._look = look
        self.name = label(letters="title")
        self.facts = label(soft=True, wraps=True)
        self.lessons = Lessons()
        self.lesson_list = ListPane(self.lessons, say("book.lessons"))
        self.lesson_list.setItemDelegate(_kept(self.lesson_list, Words(look, 3)))
        self.focus = label(letters="head", wraps=True)
        self.swings = Swings()
        self.swing_list = ListPane(self.swings, say("book.swing_list"))
        self._prints = Prints(look, pictures.picture)
        self._lay_prints()
        pictures.came.connect(self._picture_came)
        self.empty = label(soft=True, wraps=True)
        self.bar = SwingBar(look)
        self.bar.asked.connect(self.asked)
        self._lay_out()
        look.changed.connect(self._relook)

    def _lay_prints(self) -> None:
        prints = self.swing_list
        prints.setItemDelegate(_kept(prints, self._prints))
        prints.setViewMode(QListView.ViewMode.IconMode)
        prints.setMovement(QListView.Movement.Static)
        prints.setResizeMode(QListView.ResizeMode.Adjust)
        prints.setWrapping(True)
        prints.setFlow(QListView.Flow.LeftToRight)
        prints.setDragEnabled(False)

    def _lay_out(self) -> None:
        gap = self._look.px("gap")
        pressed = [
            button(say(action), partial(self.asked.emit, action), role="quiet")
            for action in ("book.change", "book.new_lesson", "book.add_files", "book.forget")
        ]
        self.right = QWidget()
        right = QVBoxLayout(self.right)
        right.setContentsMargins(0, 0, 0, 0)
        change = button(say("book.focus"), partial(self.asked.emit, "book.focus"), role="quiet")
        focus = QHBoxLayout()
        focus.addWidget(self.focus, 1)
        focus.addWidget(change, 0, Qt.AlignmentFlag.AlignTop)
        right.addLayout(focus)
        right.addWidget(self.empty)
        right.addWidget(self.swing_list, 1)
        right.addWidget(self.bar)
        below = QHBoxLayout()
        below.addWidget(self.lesson_list, 2)
        below.addWidget(self.right, 6)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.head = QWidget()
        head = QVBoxLayout(self.head)
        head.setContentsMargins(0, 0, 0, 0)
        head.addWidget(self.name)
        head.addWidget(self.facts)
        head.addWidget(flowing(gap, *pressed))
        column.addWidget(self.head)
        column.addLayout(below, 1)

    def show_part(self, part: Part | None) -> None:
        """Show one part where there is no room for all; None shows all."""
        self.head.setVisible(part in (None, Part.LESSONS))
        self.lesson_list.setVisible(part in (None, Part.LESSONS))
        self.right.setVisible(part in (None, Part.SWINGS))

    def _relook(self) -> None:
        for view in (self.lesson_list, self.swing_list):
            view.scheduleDelayedItemsLayout()

    def _picture_came(self, _swing_id: str) -> None:
        viewport = self.swing_list.viewport()
        if viewport is not None:
            viewport.update()

    def put_student(self, student: Student | None, facts: str) -> None:
        """Write whose page it is."""
        self.name.setText(student.name if student else "")
        self.facts.setText(facts)
        self.setEnabled(student is not None)

    def put_lessons(self, lines: tuple[LessonLine, ...]) -> None:
        """Show these lessons."""
        self.lessons.put(lines)

    def put_swings(self, lesson: Lesson | None, swings: tuple[Swing, ...]) -> None:
        """Show a lesson's swings."""
        self.focus.setText(focus_words(lesson) if lesson else "")
        self.swings.put(swings)
        words = "book.no_lesson" if lesson is None else "book.no_swing"
        self.empty.setText("" if swings else say(words))
        self.empty.setVisible(not swings)


def _kept(owner: QWidget, delegate: Words | Prints) -> Words | Prints:
    # A view doesn't own its delegate: without a parent Python would let go of it.
    delegate.setParent(owner)
    return delegate
