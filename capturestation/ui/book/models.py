"""The Book's lists for Qt's views: what was fetched, nothing asked while a view paints.

Owns the roles by which delegates and screen readers get a line. Refuses SQL and files in `data`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

from PyQt6.QtCore import QAbstractListModel, QModelIndex, Qt

from capturestation.records import Swing
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.ui.book.wording import lesson_words, student_words, swing_words

Line = TypeVar("Line")
LINE_ROLE = Qt.ItemDataRole.UserRole + 1
"""The record that a line stands for."""
_NOWHERE = QModelIndex()


class Lines(QAbstractListModel, Generic[Line]):
    """A list of records, each one line."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: tuple[Line, ...] = ()

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines in their order."""
        return self._lines

    def put(self, lines: Sequence[Line]) -> None:
        """Show these; a change of the same lines in the same order keeps what is chosen."""
        fresh = tuple(lines)
        if [self.key(line) for line in fresh] == [self.key(line) for line in self._lines]:
            self._lines = fresh
            if fresh:
                self.dataChanged.emit(self.index(0), self.index(len(fresh) - 1))
            return
        self.beginResetModel()
        self._lines = fresh
        self.endResetModel()

    def at(self, index: QModelIndex) -> Line | None:
        """The record of an index, None where it is none of this list."""
        inside = index.isValid() and 0 <= index.row() < len(self._lines)
        return self._lines[index.row()] if inside else None

    def row_of(self, key: str) -> int:
        """The row of the record with that key, -1 where it isn't here."""
        return next((n for n, line in enumerate(self._lines) if self.key(line) == key), -1)

    def rowCount(self, parent: QModelIndex = _NOWHERE) -> int:
        """How many lines."""
        return 0 if parent.isValid() else len(self._lines)

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """A line's record, its short words, or all its words for a screen reader."""
        line = self.at(index)
        if line is None:
            return None
        if role == LINE_ROLE:
            return line
        if role == Qt.ItemDataRole.DisplayRole:
            return self.short(line)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self.spoken(line)
        return None

    def key(self, line: Line) -> str:
        """What tells this line from others."""
        raise NotImplementedError

    def short(self, line: Line) -> str:
        """A few words, by which typing finds it."""
        raise NotImplementedError

    def spoken(self, line: Line) -> str:
        """Everything on the line, in words."""
        raise NotImplementedError


class Students(Lines[StudentLine]):
    """Students that fit what was typed."""

    def key(self, line: StudentLine) -> str:
        """The student's id."""
        return line.student.id

    def short(self, line: StudentLine) -> str:
        """The name."""
        return line.student.name

    def spoken(self, line: StudentLine) -> str:
        """Name, hand, last lesson, consent."""
        return ". ".join(student_words(line))


class Lessons(Lines[LessonLine]):
    """A student's lessons, newest first."""

    def key(self, line: LessonLine) -> str:
        """The lesson's id."""
        return line.lesson.id

    def short(self, line: LessonLine) -> str:
        """The day."""
        return lesson_words(line)[0]

    def spoken(self, line: LessonLine) -> str:
        """Day, focus, swings."""
        return ". ".join(lesson_words(line))


class Swings(Lines[Swing]):
    """A lesson's swings, newest first."""

    def key(self, line: Swing) -> str:
        """The swing's id."""
        return line.id

    def short(self, line: Swing) -> str:
        """Time and club."""
        return swing_words(line)[0]

    def spoken(self, line: Swing) -> str:
        """Time, club, kind, star, ball."""
        return ". ".join(swing_words(line))
