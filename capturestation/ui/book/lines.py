"""How the Book's lines of words are painted: letters on paper.

Owns sizes and places within a line. What is chosen has a rule at its left and another paper; what
has the keyboard has a stroke round it.
"""

from __future__ import annotations

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capturestation.ui.book.models import LINE_ROLE, Lines
from capturestation.ui.look import Look, SizeName

RULE_PX = 5
_LEADING = 1.3


def row_px(look: Look, size: SizeName) -> int:
    """Height of a row of letters with the air around it."""
    return round(_LEADING * look.px(size))


class Words(QStyledItemDelegate):
    """A line of a few rows of words: the first bold, the others quiet."""

    def __init__(self, look: Look, rows: int) -> None:
        super().__init__()
        self.look = look
        self._rows = rows

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: ARG002
        """As high as its rows."""
        look, model = self.look, index.model()
        words = model.words(index.data(LINE_ROLE)) if isinstance(model, Lines) else ()
        rows = min(len(words), self._rows)
        height = row_px(look, "body") + (rows - 1) * row_px(look, "note")
        return QSize(10 * look.px("body"), max(height + 2 * look.px("gap"), look.px("target")))

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint the words on their paper."""
        model = index.model()
        if painter is None or not isinstance(model, Lines):
            return
        painter.save()
        paper(painter, option, self.look)
        gap = self.look.px("gap")
        inside = option.rect.adjusted(RULE_PX + gap, gap, -gap, -gap)
        words = model.words(index.data(LINE_ROLE))
        write_rows(painter, self.look, inside, words[: self._rows])
        painter.restore()


def paper(painter: QPainter, option: QStyleOptionViewItem, look: Look) -> None:
    """What lies under a line: other paper and a rule where it is chosen, a stroke for the keys."""
    if option.state & QStyle.StateFlag.State_Selected:
        painter.fillRect(option.rect, look.colour("chosen"))
        rule = QRect(option.rect.left(), option.rect.top(), RULE_PX, option.rect.height())
        painter.fillRect(rule, look.colour("ink"))
    if option.state & QStyle.StateFlag.State_HasFocus:
        pen = painter.pen()
        pen.setColor(look.colour("focus"))
        pen.setWidth(look.px("focus"))
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.drawRect(option.rect.adjusted(1, 1, -2, -2))


def write_rows(painter: QPainter, look: Look, inside: QRect, rows: tuple[str, ...]) -> None:
    """Rows of words below each other, each cut with dots where it is too long."""
    top = inside.top()
    for number, words in enumerate(rows):
        size: SizeName = "note" if number else "body"
        painter.setFont(look.font(size, bold=not number))
        painter.setPen(look.colour("soft" if number else "ink"))
        height = row_px(look, size)
        spot = QRect(inside.left(), top, inside.width(), height)
        metrics = painter.fontMetrics()
        short = metrics.elidedText(words, Qt.TextElideMode.ElideRight, inside.width())
        painter.drawText(spot, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, short)
        top += height
