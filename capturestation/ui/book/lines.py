"""How the Book's lines of words are painted: letters on paper.

Owns sizes and places within a line, and that words too long for it go on below. What is chosen has
a rule at its left and another paper; what has the keyboard has a stroke round it.
"""

from __future__ import annotations

import re
from typing import TypeAlias

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QFontMetrics, QPainter
from PyQt6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capturestation.ui.book.models import LINE_ROLE, Lines
from capturestation.ui.look import Look, SizeName

RULE_PX = 5
_LEADING = 1.3
_MOST_LINES = 3
# Of one row: more is a story, and is cut.
Rows: TypeAlias = tuple[tuple[SizeName, str], ...]
"""Lines below each other, each with the size of its letters."""


def row_px(look: Look, size: SizeName) -> int:
    """Height of a row of letters with the air around it."""
    return round(_LEADING * look.px(size))


class OnPaper(QStyledItemDelegate):
    """Paints lines of a list that lies bare on the page.

    Args:
        look: Sizes and colours.
    """

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.look = look


class Words(OnPaper):
    """A line of a few rows of words: the first bold, the others quiet."""

    def __init__(self, look: Look, rows: int) -> None:
        super().__init__(look)
        self._rows = rows

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:
        """As high as its rows."""
        look, gap = self.look, self.look.px("gap")
        rows = self._laid(index, page_px(option) - RULE_PX - 2 * gap)
        high = max(rows_px(look, rows) + 2 * gap, look.px("target"))
        return QSize(10 * look.px("body"), high)

    def _laid(self, index: QModelIndex, width_px: int) -> Rows:
        model = index.model()
        words = model.words(index.data(LINE_ROLE)) if isinstance(model, Lines) else ()
        return laid_rows(self.look, words[: self._rows], width_px)

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint the words on their paper."""
        if painter is None:
            return
        painter.save()
        paper(painter, option, self.look)
        gap = self.look.px("gap")
        inside = option.rect.adjusted(RULE_PX + gap, gap, -gap, -gap)
        write_rows(painter, self.look, inside, self._laid(index, inside.width()))
        painter.restore()


def paper(painter: QPainter, option: QStyleOptionViewItem, look: Look) -> None:
    """What lies under a line: other paper and a rule where it is chosen, a stroke for the keys."""
    if option.state & QStyle.StateFlag.State_Selected:
        painter.fillRect(option.rect, look.colour("chosen"))
        rule = QRect(option.rect.left(), option.rect.top(), RULE_PX, option.rect.height())
        painter.fillRect(rule, look.colour("ink"))
    if option.state & QStyle.StateFlag.State_HasFocus:
        stroke(painter, option.rect, look)


def stroke(painter: QPainter, rect: QRect, look: Look) -> None:
    """The stroke inside of a rectangle that says that the keyboard is there."""
    pen = painter.pen()
    pen.setColor(look.colour("focus"))
    pen.setWidth(look.px("focus"))
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    painter.setPen(pen)
    painter.drawRect(rect.adjusted(1, 1, -2, -2))


def page_px(option: QStyleOptionViewItem) -> int:
    """Width of the page that a line stands on."""
    view = option.widget
    viewport = view.viewport() if isinstance(view, QListView) else None
    return viewport.width() if viewport is not None else option.rect.width()


def broken(metrics: QFontMetrics, words: str, width_px: int, most: int) -> tuple[str, ...]:
    """Words in as few lines as they take; where they take more than `most`, the last is cut."""
    lines: list[str] = []
    rest = _pieces(metrics, words, width_px)
    while metrics.horizontalAdvance("".join(rest)) > width_px and len(lines) < most - 1:
        fits = 1
        while metrics.horizontalAdvance("".join(rest[: fits + 1]).rstrip()) <= width_px:
            fits += 1
        lines.append("".join(rest[:fits]).strip())
        rest = rest[fits:]
    if rest:
        lines.append("".join(rest).strip())
    return tuple(_cut(metrics, line, width_px) for line in lines)


def _pieces(metrics: QFontMetrics, words: str, width_px: int) -> list[str]:
    """What stays together: words, and the parts of a double name that is wider than its room."""
    pieces: list[str] = []
    for word in re.findall(r"[^ ]+ *|^ +", words):
        is_wide = metrics.horizontalAdvance(word.strip()) > width_px
        pieces += re.findall(r"[^-]+-*|^-+", word) if is_wide else [word]
    return pieces


def _cut(metrics: QFontMetrics, line: str, width_px: int) -> str:
    # Qt would cut by parts of a pixel what fits by whole ones.
    if metrics.horizontalAdvance(line) <= width_px:
        return line
    return metrics.elidedText(line, Qt.TextElideMode.ElideRight, width_px)


def laid_rows(look: Look, rows: tuple[str, ...], width_px: int) -> Rows:
    """Rows of words broken into lines: the first large and bold, the others small."""
    laid: list[tuple[SizeName, str]] = []
    for number, words in enumerate(rows):
        size: SizeName = "note" if number else "body"
        metrics = QFontMetrics(look.font(size, bold=not number))
        laid += [(size, line) for line in broken(metrics, words, width_px, _MOST_LINES)]
    return tuple(laid)


def rows_px(look: Look, rows: Rows) -> int:
    """Height of lines below each other."""
    return sum(row_px(look, size) for size, _ in rows)


def write_rows(painter: QPainter, look: Look, inside: QRect, rows: Rows) -> None:
    """Write lines below each other."""
    top = inside.top()
    for size, words in rows:
        is_first = size == "body"
        painter.setFont(look.font(size, bold=is_first))
        painter.setPen(look.colour("ink" if is_first else "soft"))
        spot = QRect(inside.left(), top, inside.width(), row_px(look, size))
        painter.drawText(spot, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)
        top += spot.height()
