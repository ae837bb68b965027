"""How the Book's lines are painted: letters on paper, contact prints with a caption.

Owns sizes and places within a line. What is chosen has a rule at its left and another paper; what
has the keyboard has a stroke round it.
"""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QImage, QPainter
from PyQt6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capturestation.records import Swing
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.ui.book.models import LINE_ROLE
from capturestation.ui.book.wording import lesson_words, student_words, swing_words
from capturestation.ui.look import Look, SizeName

_RULE_PX = 5
_LEADING = 1.3
PICTURE_LETTERS = (10, 8)
"""Width and height of a contact print in letters' heights: the golfer, not the walls.

It grows half as much as the letters."""


class Words(QStyledItemDelegate):
    """A line of a few rows of words: the first bold, the others quiet."""

    def __init__(self, look: Look, rows: int) -> None:
        super().__init__()
        self.look = look
        self._rows = rows

    def words(self, line: object) -> tuple[str, ...]:
        """The rows of a line."""
        if isinstance(line, StudentLine):
            return student_words(line)
        return lesson_words(line) if isinstance(line, LessonLine) else ()

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: ARG002
        """As high as its rows."""
        rows = round(
            self._row_px("body") + (self._rows - 1) * self._row_px("note") + 2 * self.look.px("gap")
        )
        return QSize(0, max(rows, self.look.px("target")))

    def _row_px(self, size: SizeName) -> float:
        return _LEADING * self.look.px(size)

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint the words on their paper."""
        if painter is None:
            return
        line = index.data(LINE_ROLE)
        painter.save()
        paper(painter, option, self.look)
        gap = self.look.px("gap")
        inside = option.rect.adjusted(_RULE_PX + gap, gap, -gap, -gap)
        write_rows(painter, self.look, inside, self.words(line)[: self._rows])
        painter.restore()


class Prints(QStyledItemDelegate):
    """A swing as a contact print with its caption below."""

    def __init__(self, look: Look, picture: Callable[[Swing], QImage | None]) -> None:
        super().__init__()
        self.look = look
        self._picture = picture

    def picture_px(self) -> QSize:
        """How large the print is."""
        letter = self.look.px("body") / (0.5 + self.look.scale / 2)
        return QSize(*(round(share * letter) for share in PICTURE_LETTERS))

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: ARG002
        """The print and three rows below it."""
        look, print_px = self.look, self.picture_px()
        rows = round(_LEADING * (look.px("body") + 2 * look.px("note")))
        gap = look.px("gap")
        return QSize(print_px.width() + 2 * gap + _RULE_PX, print_px.height() + rows + 3 * gap)

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint the print and its caption."""
        swing = index.data(LINE_ROLE)
        if painter is None or not isinstance(swing, Swing):
            return
        painter.save()
        paper(painter, option, self.look)
        gap = self.look.px("gap")
        inside = option.rect.adjusted(_RULE_PX + gap, gap, -gap, -gap)
        size = self.picture_px()
        spot = QRect(inside.left(), inside.top(), size.width(), size.height())
        painter.fillRect(spot, self.look.colour("shade"))
        image = self._picture(swing)
        if image is not None and not image.isNull():
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(*fitted(image, spot))
        write_rows(
            painter,
            self.look,
            inside.adjusted(0, size.height() + gap // 2, 0, gap),
            swing_words(swing),
        )
        painter.restore()


def fitted(image: QImage, spot: QRect) -> tuple[QRect, QImage, QRect]:
    """Where a picture goes so that it fills a spot: its middle is shown, nothing is stretched."""
    scale = max(spot.width() / image.width(), spot.height() / image.height())
    width, height = round(spot.width() / scale), round(spot.height() / scale)
    left, top = (image.width() - width) // 2, (image.height() - height) // 2
    return spot, image, QRect(left, top, width, height)


def paper(painter: QPainter, option: QStyleOptionViewItem, look: Look) -> None:
    """What lies under a line: other paper and a rule where it is chosen, a stroke for the keys."""
    chosen = bool(option.state & QStyle.StateFlag.State_Selected)
    if chosen:
        painter.fillRect(option.rect, look.colour("chosen"))
        rule = QRect(option.rect.left(), option.rect.top(), _RULE_PX, option.rect.height())
        painter.fillRect(rule, look.colour("ink"))
    if option.state & QStyle.StateFlag.State_HasFocus:
        pen = painter.pen()
        pen.setColor(look.colour("focus"))
        pen.setWidth(look.px("focus"))
        painter.setPen(pen)
        painter.drawRect(option.rect.adjusted(1, 1, -2, -2))


def write_rows(painter: QPainter, look: Look, inside: QRect, rows: tuple[str, ...]) -> None:
    """Rows of words below each other, each cut with dots where it is too long."""
    top = inside.top()
    for number, words in enumerate(rows):
        size: SizeName = "note" if number else "body"
        painter.setFont(look.font(size, bold=not number))
        painter.setPen(look.colour("soft" if number else "ink"))
        height = round(_LEADING * look.px(size))
        spot = QRect(inside.left(), top, inside.width(), height)
        metrics = painter.fontMetrics()
        short = metrics.elidedText(words, Qt.TextElideMode.ElideRight, inside.width())
        painter.drawText(spot, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, short)
        top += height
