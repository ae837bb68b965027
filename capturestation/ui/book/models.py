"""The Book's lists for Qt's views: what was fetched, nothing asked while a view paints.

Owns the roles by which delegates and screen readers get a line. Refuses SQL and files in `data`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

from PyQt6.QtCore import QAbstractListModel, QModelIndex, Qt, pyqtSignal

from capturestation.errors import StationError
from capturestation.station.leaf import Leaf, LeafLine, key_of
from capturestation.station.notebook import Goal, StudentLine
from capturestation.ui.book.wording import leaf_words, student_words

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
        """A line's record, its first words, or all its words for a screen reader."""
        line = self.at(index)
        if line is None:
            return None
        if role == LINE_ROLE:
            return line
        if role == Qt.ItemDataRole.DisplayRole:
            return self.words(line)[0]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return ". ".join(self.words(line))
        return None

    def key(self, line: Line) -> str:
        """What tells this line from others."""
        raise NotImplementedError

    def words(self, line: Line) -> tuple[str, ...]:
        """Everything on the line; the first words are those by which typing finds it."""
        raise NotImplementedError


class Students(Lines[StudentLine]):
    """Students, and lessons, that fit what was typed."""

    def key(self, line: StudentLine) -> str:
        """The student's id, or that of the lesson that was found."""
        return line.student.id if line.lesson is None else line.lesson.id

    def words(self, line: StudentLine) -> tuple[str, ...]:
        """Name, hand, last lesson, consent; or the lesson that was found."""
        return student_words(line)


class Goals(Lines[Goal]):
    """Where a swing can be moved to."""

    def key(self, line: Goal) -> str:
        """The lesson's id, or the student's."""
        return line.student.id if line.lesson is None else line.lesson.id

    def words(self, line: Goal) -> tuple[str, ...]:
        """A student, or one of his lessons."""
        return student_words(StudentLine(student=line.student, last=line.last, lesson=line.lesson))


class LeafModel(Lines[LeafLine]):
    """A student's page; older lessons are read when somebody looks that far.

    Signals:
        failed: A `StationError`: older lessons can't be read.
    """

    failed = pyqtSignal(object)

    def __init__(self) -> None:
        super().__init__()
        self._leaf: Leaf | None = None

    def show_leaf(self, leaf: Leaf | None) -> None:
        """Show what was read of a page."""
        self._leaf = leaf
        self.put(leaf.lines if leaf else ())

    def key(self, line: LeafLine) -> str:
        """The id of the lesson or the swing."""
        return key_of(line)

    def words(self, line: LeafLine) -> tuple[str, ...]:
        """What stands there."""
        return leaf_words(line)

    def canFetchMore(self, parent: QModelIndex) -> bool:
        """Whether older lessons wait."""
        return not parent.isValid() and self._leaf is not None and self._leaf.has_more

    def fetchMore(self, parent: QModelIndex) -> None:
        """Read older lessons."""
        leaf = self._leaf
        if parent.isValid() or leaf is None:
            return
        try:
            fresh = leaf.read_more()
        except StationError as error:
            self._leaf = None
            self.failed.emit(error)
            return
        if fresh:
            first = len(self._lines)
            self.beginInsertRows(_NOWHERE, first, first + len(fresh) - 1)
            self._lines = leaf.lines
            self.endInsertRows()
