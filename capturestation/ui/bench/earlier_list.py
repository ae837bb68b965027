"""The list of earlier swings to choose from, as Qt wants it."""

from __future__ import annotations

from PyQt6.QtCore import QAbstractListModel, QModelIndex, QSize, Qt
from PyQt6.QtWidgets import QWidget

from capturestation.records import SwingId
from capturestation.station.bench.earlier import Earlier
from capturestation.ui.texts import say


class EarlierModel(QAbstractListModel):
    """The swings to choose from, a line each."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Earlier, ...] = ()
        self._row_px = 0

    def set_rows(self, rows: tuple[Earlier, ...]) -> None:
        """Show other swings."""
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def set_row_px(self, row_px: int) -> None:
        """Make the lines that high."""
        self.beginResetModel()
        self._row_px = row_px
        self.endResetModel()

    def at(self, index: QModelIndex) -> Earlier:
        """The swing of a line."""
        return self._rows[index.row()]

    def index_of(self, swing: SwingId | None) -> QModelIndex:
        """Its line; an invalid one where it isn't there."""
        for row, earlier in enumerate(self._rows):
            if earlier.id == swing:
                return self.index(row)
        return QModelIndex()

    def first_of_today(self) -> Earlier | None:
        """The oldest of the same lesson; None where there is none."""
        today = [row for row in self._rows if row.is_of_today]
        return today[-1] if today else None

    def rowCount(self, parent: QModelIndex = QModelIndex()) -> int:
        """How many."""
        return 0 if parent.isValid() else len(self._rows)

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """A line's words and height."""
        if not index.isValid():
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            row = self._rows[index.row()]
            best = say("sketch.earlier.is_best") if row.is_best else ""
            key = "sketch.earlier.of_today" if row.is_of_today else "sketch.earlier.line"
            return say(key, day=row.day, at=row.at, club=row.club, best=best)
        if role == Qt.ItemDataRole.SizeHintRole and self._row_px:
            return QSize(0, self._row_px)
        return None
