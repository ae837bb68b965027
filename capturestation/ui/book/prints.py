"""How a student's page is painted: dated paragraphs, and contact prints with captions below them.

Owns sizes and places on the page. A print keeps the shape of its picture: nothing is cut off and
nothing is stretched.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QFontMetrics, QImage, QPainter
from PyQt6.QtWidgets import QStyleOptionViewItem

from capturestation.records import Swing
from capturestation.station.leaf import Print
from capturestation.station.notebook import LessonLine
from capturestation.ui.book.lines import (
    RULE_PX,
    OnPaper,
    broken,
    laid_rows,
    page_px,
    paper,
    row_px,
    rows_px,
    write_rows,
)
from capturestation.ui.book.models import LINE_ROLE
from capturestation.ui.book.wording import (
    count_words,
    day_title,
    focus_words,
    noted_words,
    swing_words,
)
from capturestation.ui.look import Look

_LEAST_LETTERS, _MOST_LETTERS = 14, 21
# Width of a print in letters' heights: from what is told apart on a narrow page to what the stored
# picture, 320 px wide, still fills well.
_ACROSS = 5
# Prints beside each other on a wide page.
_SHAPE = 4 / 7
# Height to width of the room of a print: 16:9 nearly.
_WHITE_PX = 5
# A print's white edge.
_MOST_FOCUS_ROWS = 3
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_WRAPPED = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap


@dataclass(frozen=True, slots=True)
class _Rows:
    """Where a lesson's heading stands: day, focus, notes."""

    day: QRect
    focus: QRect
    notes: QRect

    @property
    def bottom_px(self) -> int:
        return self.notes.top() + self.notes.height()


class LeafDelegate(OnPaper):
    """A lesson as a paragraph over the whole width, a swing as a print.

    Args:
        look: Sizes and colours.
        picture: The picture of a swing, None while there is none.
    """

    def __init__(self, look: Look, picture: Callable[[Swing], QImage | None]) -> None:
        super().__init__(look)
        self._picture = picture

    def picture_px(self, page_px: int) -> QSize:
        """The room that a print has; it grows with the page, and half as fast as the letters.

        Args:
            page_px: Width of the page.
        """
        letter = self.look.px("body") / (0.5 + self.look.scale / 2)
        share = page_px / _ACROSS - 3 * self.look.px("gap")
        wide = round(min(max(share, _LEAST_LETTERS * letter), _MOST_LETTERS * letter))
        return QSize(wide, round(_SHAPE * wide))

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:
        """A paragraph's or a print's room."""
        line = index.data(LINE_ROLE)
        look, gap = self.look, self.look.px("gap")
        if isinstance(line, LessonLine):
            width = page_px(option)
            rows = self._rows(line, QRect(0, 0, width, 0))
            return QSize(width, rows.bottom_px + gap)
        print_px = self.picture_px(page_px(option))
        words = swing_words(line.swing) if isinstance(line, Print) else ()
        caption = rows_px(look, laid_rows(look, words, print_px.width()))
        edges = 2 * gap + RULE_PX
        return QSize(print_px.width() + edges, print_px.height() + caption + 3 * gap)

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint a paragraph or a print."""
        line = index.data(LINE_ROLE)
        if painter is None:
            return
        painter.save()
        if isinstance(line, LessonLine):
            self._paint_lesson(painter, option, line)
        elif isinstance(line, Print):
            self._paint_print(painter, option, line.swing)
        painter.restore()

    def _paint_print(self, painter: QPainter, option: QStyleOptionViewItem, swing: Swing) -> None:
        look, gap = self.look, self.look.px("gap")
        paper(painter, option, look)
        inside = option.rect.adjusted(RULE_PX + gap, gap, -gap, -gap)
        size = self.picture_px(page_px(option))
        room = QRect(inside.left(), inside.top(), size.width(), size.height())
        image = self._picture(swing)
        if image is None or image.isNull():
            painter.fillRect(room, look.colour("shade"))
        else:
            spot = fitted(image.size(), room)
            painter.fillRect(spot, look.colour("field"))
            painter.setPen(look.colour("edge"))
            painter.drawRect(spot.adjusted(0, 0, -1, -1))
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            white = _WHITE_PX
            painter.drawImage(spot.adjusted(white, white, -white, -white), image)
        below = inside.adjusted(0, size.height() + gap // 2, 0, gap)
        write_rows(painter, look, below, laid_rows(look, swing_words(swing), size.width()))

    def _paint_lesson(
        self, painter: QPainter, option: QStyleOptionViewItem, line: LessonLine
    ) -> None:
        look = self.look
        rows = self._rows(line, option.rect)
        rule = QRect(option.rect.left(), option.rect.top(), option.rect.width(), look.px("line"))
        painter.fillRect(rule, look.colour("edge"))
        inked = QStyleOptionViewItem(option)
        inked.rect = option.rect.adjusted(0, look.px("gap"), 0, 0)
        paper(painter, inked, look)
        painter.setPen(look.colour("ink"))
        painter.setFont(look.font("head", bold=True))
        painter.drawText(rows.day, _LEFT, day_title(line.lesson.on))
        painter.setFont(look.font("body"))
        painter.setPen(look.colour("ink" if line.lesson.focus else "soft"))
        painter.drawText(rows.focus, _WRAPPED, "\n".join(self._focus(line, rows.focus.width())))
        painter.setFont(look.font("note"))
        painter.setPen(look.colour("soft"))
        painter.drawText(rows.day, _RIGHT, count_words(line))
        painter.drawText(rows.notes, _LEFT, noted_words(line.lesson))

    def _focus(self, line: LessonLine, width_px: int) -> tuple[str, ...]:
        metrics = QFontMetrics(self.look.font("body"))
        return broken(metrics, focus_words(line.lesson), width_px, _MOST_FOCUS_ROWS)

    def _rows(self, line: LessonLine, rect: QRect) -> _Rows:
        look, gap = self.look, self.look.px("gap")
        left = rect.left() + RULE_PX + gap
        width = max(rect.width() - RULE_PX - 2 * gap, 1)
        day = QRect(left, rect.top() + 2 * gap, width, row_px(look, "head"))
        metrics = QFontMetrics(look.font("body"))
        high = len(self._focus(line, width)) * metrics.lineSpacing()
        focus = QRect(left, day.top() + day.height(), width, high)
        note_px = row_px(look, "note") if line.lesson.notes.strip() else 0
        return _Rows(day, focus, QRect(left, focus.top() + high, width, note_px))


def fitted(size: QSize, room: QRect) -> QRect:
    """Where a picture goes in its room with its white edge: whole, at the left, on the ground."""
    edges = QSize(2 * _WHITE_PX, 2 * _WHITE_PX)
    scaled = size.scaled(room.size() - edges, Qt.AspectRatioMode.KeepAspectRatio) + edges
    top = room.top() + room.height() - scaled.height()
    return QRect(room.left(), top, scaled.width(), scaled.height())
