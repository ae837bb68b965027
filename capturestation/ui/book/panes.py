"""The Book's two sheets: the index of students at the left, the student's page at the right.

Owns which widget stands where and what is chosen. Changes nothing in the library.
"""

from __future__ import annotations

from enum import StrEnum
from functools import partial
from typing import Generic

from PyQt6.QtCore import QEvent, QModelIndex, QObject, QRect, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QHideEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLineEdit,
    QListView,
    QVBoxLayout,
    QWidget,
)

from capturestation.records import Lesson, Student
from capturestation.station.leaf import Leaf
from capturestation.station.notebook import StudentLines
from capturestation.ui.book.lines import OnPaper, Words, stroke
from capturestation.ui.book.models import LeafModel, Line, Lines, Students
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.book.prints import LeafDelegate
from capturestation.ui.book.swing_bar import SwingBar
from capturestation.ui.book.wording import facts_words, focus_words
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, cut, label, put_words

_PRESS = QEvent.Type.KeyPress
_LEAVES = (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter)
_INDEX_ROWS = 3
_MOST_NAME = 90
# Signs of a name above the prints: more is no name, and takes their room.


class Part(StrEnum):
    """What of the Book is seen where there is no room for all."""

    STUDENTS = "students"
    STUDENT = "student"
    LEAF = "leaf"
    SWING = "swing"


class ListPane(QListView, Generic[Line]):
    """A list on the bare page whose chosen line is told, however it was chosen.

    Signals:
        chosen: The line's record, None where nothing is chosen.
        entered: The line's record: return, or pressed twice.
    """

    chosen = pyqtSignal(object)
    entered = pyqtSignal(object)

    def __init__(self, model: Lines[Line], name: str, delegate: OnPaper) -> None:
        super().__init__()
        self._look = delegate.look
        self._lines = model
        self._quiet = False
        # Where Python lets go of both at once, the view has to go first; it owns no delegate.
        model.setParent(self)
        delegate.setParent(self)
        self.setModel(model)
        self.setItemDelegate(delegate)
        self.setAccessibleName(name)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        # Words that are broken into lines need other room where the page is wider.
        self.setResizeMode(QListView.ResizeMode.Adjust)
        # The stroke round the chosen line says where the keyboard is.
        self.setStyleSheet("QAbstractItemView, QAbstractItemView:focus { border: none; }")
        self.activated.connect(self._enter)
        for changed in (model.modelReset, model.rowsInserted):
            changed.connect(self._stop_at_it)
        self._stop_at_it()

    def currentChanged(self, current: QModelIndex, previous: QModelIndex) -> None:
        """Tell what is chosen now."""
        super().currentChanged(current, previous)
        if not self._quiet:
            self.chosen.emit(self._lines.at(current))

    def paintEvent(self, event: QPaintEvent | None) -> None:
        """Where no line can show it, a stroke round all says that the keyboard is here."""
        super().paintEvent(event)
        viewport = self.viewport()
        if viewport is not None and self.hasFocus() and not self.currentIndex().isValid():
            painter = QPainter(viewport)
            stroke(painter, viewport.rect(), self._look)
            painter.end()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """What is chosen stays in sight."""
        super().resizeEvent(event)
        QTimer.singleShot(0, self._keep_in_sight)

    def _stop_at_it(self) -> None:
        """Tab passes by a list in which nothing stands."""
        policy = Qt.FocusPolicy.StrongFocus if self._lines.lines else Qt.FocusPolicy.NoFocus
        self.setFocusPolicy(policy)

    def _keep_in_sight(self) -> None:
        self.scrollTo(self.currentIndex())

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
        begun: The field has the keyboard: somebody may type.
        typed: What stands in the field.
        new_wanted: A new student is to be written down.
        away_wanted: Those who were long without a lesson are to be looked at.
    """

    begun = pyqtSignal()
    typed = pyqtSignal(str)
    new_wanted = pyqtSignal()
    away_wanted = pyqtSignal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.field = QLineEdit()
        self.field.setPlaceholderText(say("book.find"))
        self.field.setAccessibleName(say("book.find.name"))
        self.field.setClearButtonEnabled(True)
        self.field.textChanged.connect(self.typed)
        self.field.installEventFilter(self)
        self.model = Students()
        self.list = ListPane(self.model, say("book.students"), Words(look, _INDEX_ROWS))
        self.none = label(soft=True, wraps=True)
        self.none.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.field)
        column.addWidget(self.list, 1)
        column.addWidget(self.none)
        column.addWidget(button(say("book.new_student"), self.new_wanted.emit))
        self.away_word = button("", self.away_wanted.emit, role="quiet")
        self.away_word.hide()
        column.addWidget(self.away_word)
        look.changed.connect(self.list.scheduleDelayedItemsLayout)

    def eventFilter(self, watched: QObject | None, event: QEvent | None) -> bool:
        """From the field down into the list by the keys one expects."""
        if event is not None and event.type() == QEvent.Type.FocusIn:
            self.begun.emit()
        pressed = event.key() if isinstance(event, QKeyEvent) and event.type() == _PRESS else None
        if pressed in _LEAVES and self.model.lines:
            if not self.list.currentIndex().isValid():
                self.list.choose(None)
            self.list.setFocus()
            if pressed != Qt.Key.Key_Down:
                self.list.entered.emit(self.model.at(self.list.currentIndex()))
            return True
        return super().eventFilter(watched, event)

    def put(self, found: StudentLines) -> None:
        """Show these students."""
        self.model.put(found.lines)
        more = say("book.more", count=found.more) if found.more else ""
        none = "book.none_found" if self.field.text().strip() else "book.none_yet"
        self.none.setText(more if found.lines else say(none))
        self.none.setVisible(bool(found.more) or not found.lines)


class LeafPane(QWidget):
    """A student's page: name, what is worked on, lessons by day with their prints.

    Signals:
        asked: An action of the table of keys, or book.change.
    """

    asked = pyqtSignal(str)

    def __init__(self, look: Look, pictures: Pictures) -> None:
        super().__init__()
        self._look = look
        self._pictures = pictures
        self.name = label(letters="title", wraps=True)
        self.facts = label(soft=True, wraps=True)
        self.limits = button(say("book.limits.written"), self._turn_limits, role="quiet")
        self._student: Student | None = None
        self._shows_limits = False
        self.focus = label(letters="head", wraps=True)
        self.empty = label(soft=True, wraps=True)
        self.model = LeafModel()
        self.list = ListPane(self.model, say("book.page"), LeafDelegate(look, pictures.picture))
        self._lay_prints()
        self.bar = SwingBar(look)
        self.bar.asked.connect(self.asked)
        self._lay_out()
        pictures.came.connect(self._picture_came)
        look.changed.connect(self.list.scheduleDelayedItemsLayout)

    def _lay_prints(self) -> None:
        prints = self.list
        prints.setFlow(QListView.Flow.LeftToRight)
        prints.setWrapping(True)
        prints.setResizeMode(QListView.ResizeMode.Adjust)

    def _lay_out(self) -> None:
        self.words = [
            button(say(f"book.{word}"), partial(self.asked.emit, f"book.{word}"), role="quiet")
            for word in ("to_bay", "new_lesson", "add_files", "weeks", "change")
        ]
        self.head = QWidget()
        head = QVBoxLayout(self.head)
        head.setContentsMargins(0, 0, 0, 0)
        head.setSpacing(2)
        first = QHBoxLayout()
        first.addWidget(self.name, 1)
        first.addWidget(flowing(self._look.px("gap"), *self.words))
        head.addLayout(first)
        facts = QHBoxLayout()
        facts.addWidget(self.facts, 1)
        facts.addWidget(self.limits, 0, Qt.AlignmentFlag.AlignTop)
        head.addLayout(facts)
        head.addWidget(self.focus)
        head.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self._sheet = QWidget()
        sheet = QVBoxLayout(self._sheet)
        sheet.setContentsMargins(0, 0, 0, 0)
        sheet.addWidget(self.empty)
        sheet.addWidget(self.list, 1)
        column.addWidget(self.head)
        column.addWidget(self._sheet, 1)
        column.addWidget(self.bar, 0, Qt.AlignmentFlag.AlignTop)

    def show_part(self, part: Part | None) -> None:
        """Show one part where there is no room for all; None shows all."""
        self.head.setVisible(part in (None, Part.STUDENT))
        self.name.setVisible(part is None)
        self._sheet.setVisible(part in (None, Part.LEAF))
        self.bar.setVisible(part in (None, Part.SWING))

    def _picture_came(self, swing_id: str) -> None:
        row = self.model.row_of(swing_id)
        viewport = self.list.viewport()
        if row >= 0 and viewport is not None:
            spot: QRect = self.list.visualRect(self.model.index(row))
            viewport.update(spot)

    def put_student(self, student: Student | None, newest: Lesson | None) -> None:
        """Write whose page it is, and what is worked on now."""
        if student is None or self._student is None or student.id != self._student.id:
            self._shows_limits = False
        self._student = student
        name = student.name if student else ""
        self.name.setText(cut(name, _MOST_NAME))
        self.name.setToolTip(name if len(name) > _MOST_NAME else "")
        self._write_facts()
        focus = focus_words(newest) if newest is not None and newest.focus else ""
        self.focus.setText(say("book.focus_now", focus=focus) if focus else "")
        self.focus.setVisible(bool(focus))
        for word in self.words:
            word.setEnabled(student is not None)

    def _turn_limits(self) -> None:
        self._shows_limits = not self._shows_limits
        self._write_facts()

    def _write_facts(self) -> None:
        """Limits of today are private: that there are some is seen, and what, when asked for."""
        student, shown = self._student, self._shows_limits
        self.facts.setText(facts_words(student, with_limits=shown) if student else "")
        put_words(self.limits, say(f"book.limits.{'close' if shown else 'written'}"))
        self.limits.setVisible(student is not None and bool(student.limits_today.strip()))

    def hideEvent(self, event: QHideEvent | None) -> None:
        """What is private is closed when one comes back."""
        super().hideEvent(event)
        self._shows_limits = False
        self._write_facts()

    def put_leaf(self, leaf: Leaf | None, *, is_first: bool = False) -> None:
        """Show what was read of the page.

        Args:
            leaf: What was read; None where nobody is chosen.
            is_first: Whether there is nobody yet who could be chosen.
        """
        self.model.show_leaf(leaf)
        nobody = "book.no_student.yet" if is_first else "book.no_student"
        key = nobody if leaf is None else "book.no_lesson"
        is_empty = not self.model.lines
        self.empty.setText(say(key) if is_empty else "")
        self.empty.setVisible(is_empty)
