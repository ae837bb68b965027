"""Lists of measures and of changes for Qt's views, and how their lines are painted.

Owns that all is quiet but what the lesson works on: that stands bold, the rest in usual letters.
"""

from __future__ import annotations

import re
from typing import Generic, TypeAlias, TypeVar

from PyQt6.QtCore import QModelIndex, QRect, QSize, Qt
from PyQt6.QtGui import QFontMetrics, QPainter
from PyQt6.QtWidgets import QAbstractItemView, QListView, QStyleOptionViewItem

from capturestation.station.bench.measures import ChangeLine, ValueLine
from capturestation.ui.book.lines import RULE_PX, OnPaper, broken, page_px, paper, row_px
from capturestation.ui.book.models import LINE_ROLE, Lines
from capturestation.ui.look import ColourName, Look, SizeName
from capturestation.ui.texts import say

_MOST_ROWS = 4
_NO_BREAK = "\u00a0"
_Row: TypeAlias = tuple[SizeName, ColourName, bool, str]
"""Letters, their colour, whether bold, and the words."""
Line = TypeVar("Line", ValueLine, ChangeLine)


class Measured(Lines[Line], Generic[Line]):
    """Lines about measures."""

    def rows(self, line: Line) -> tuple[_Row, ...]:
        """What is written, a row each."""
        raise NotImplementedError

    def words(self, line: Line) -> tuple[str, ...]:
        """All of it, for finding by typing and for a screen reader."""
        return tuple(words for _, _, _, words in self.rows(line))


class Values(Measured[ValueLine]):
    """The values at one moment."""

    def key(self, line: ValueLine) -> str:
        """The measure."""
        return line.name

    def rows(self, line: ValueLine) -> tuple[_Row, ...]:
        """Name, today's value, the earlier one."""
        name: _Row = ("note", "soft", False, line.name)
        if line.is_missing:
            return name, ("note", "soft", False, line.words)
        today: _Row = ("body", "ink", line.is_focus, line.words)
        if not line.then_words:
            return name, today
        earlier: _Row = ("note", "soft", False, say("measures.then", words=line.then_words))
        if not line.change_words:
            return name, today, earlier
        colour: ColourName = "ink" if line.has_changed else "soft"
        return name, today, ("note", colour, line.has_changed, line.change_words), earlier


class Changes(Measured[ChangeLine]):
    """What clearly changed."""

    def key(self, line: ChangeLine) -> str:
        """The measure and its moment."""
        return f"{line.name}, {line.moment}"

    def rows(self, line: ChangeLine) -> tuple[_Row, ...]:
        """Where, and what."""
        return (
            ("note", "soft", False, f"{line.name}, {line.moment}"),
            ("body", "ink", line.is_focus, line.words),
        )


class MeasureDelegate(OnPaper):
    """Paints such lines."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:
        """As high as its rows, and as what is pressed."""
        gap = self.look.px("gap")
        rows = self._laid(index, page_px(option) - RULE_PX - 2 * gap)
        high = sum(row_px(self.look, size) for size, _, _, _ in rows) + gap
        return QSize(10 * self.look.px("body"), max(high, self.look.px("target")))

    def paint(
        self, painter: QPainter | None, option: QStyleOptionViewItem, index: QModelIndex
    ) -> None:
        """Paint the words on their paper."""
        if painter is None:
            return
        look, gap = self.look, self.look.px("gap")
        painter.save()
        paper(painter, option, look)
        inside = option.rect.adjusted(RULE_PX + gap, gap // 2, -gap, -gap // 2)
        top = inside.top()
        for size, colour, bold, words in self._laid(index, inside.width()):
            spot = QRect(inside.left(), top, inside.width(), row_px(look, size))
            painter.setFont(look.font(size, bold=bold))
            painter.setPen(look.colour(colour))
            flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
            painter.drawText(spot, flags, words)
            top += spot.height()
        painter.restore()

    def _laid(self, index: QModelIndex, width_px: int) -> list[_Row]:
        """Rows broken into lines where they are too long."""
        model, line = index.model(), index.data(LINE_ROLE)
        laid: list[_Row] = []
        for size, colour, bold, words in model.rows(line) if isinstance(model, Measured) else ():
            metrics = QFontMetrics(self.look.font(size, bold=bold))
            pieces = broken(metrics, held_together(words), max(width_px, 1), _MOST_ROWS)
            laid += [(size, colour, bold, piece) for piece in pieces]
        return laid


def held_together(words: str) -> str:
    r"""Words whose numbers are never parted from their units, nor from what they are known to.

    >>> held_together("by 12 cm ± 2 cm").split(" ")
    ['by', '12\xa0cm\xa0±\xa02\xa0cm']
    """
    return re.sub(r"(?<=\d) (?=(?:s|ms|cm|mm)\b|%)| (?=±)|(?<=±) ", _NO_BREAK, words)


def rows_px(view: QListView, most: int) -> int:
    """How high a list has to be for its first lines to be seen whole, at its present width."""
    model, look = view.model(), view.itemDelegate()
    if model is None or look is None:
        return 0
    option = QStyleOptionViewItem()
    option.widget = view
    rows = (model.index(row, 0) for row in range(min(model.rowCount(), most)))
    return sum(look.sizeHint(option, row).height() for row in rows) + 2 * view.frameWidth()


def list_of(model: Lines[Line], look: Look, name: str) -> QListView:
    """A list that is read by finger, mouse or key."""
    view = QListView()
    # It ends with the view, not before: a view without its model complains.
    model.setParent(view)
    view.setModel(model)
    view.setItemDelegate(MeasureDelegate(look))
    view.setAccessibleName(name)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
    view.setResizeMode(QListView.ResizeMode.Adjust)
    look.changed.connect(view.scheduleDelayedItemsLayout)
    return view
