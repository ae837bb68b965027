"""The sheet of keys and look: every key that does something now, in words.

Owns how the table of keys is laid on the page. Refuses to hold any key itself: what it shows is
what the keyboard hears.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, groupby, pairwise

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from capturestation.ui.binding import keys_as_printed
from capturestation.ui.keys import REMOTE, KeyLine
from capturestation.ui.look import Look
from capturestation.ui.look_panel import LookPanel
from capturestation.ui.remote_panel import RemotePanel
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label

_COLUMN_LETTERS = 24
# Least width of a column in letters' heights: a key and four words beside it.
_MOST_COLUMNS = 3


class KeySheet(QWidget):
    """Keys, remote, letters and paper on one page.

    Signals:
        left: It is to be put away.
    """

    left = pyqtSignal()

    def __init__(
        self, look: Look, look_panel: LookPanel, remote: RemotePanel, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        ground(self, "page")
        self.setAccessibleName(say("shell.sheet"))
        self._look = look
        self._lines: tuple[KeyLine, ...] = ()
        self._columns = 0
        self._blocks: list[QWidget] = []
        self._settings = [
            _block(say("shell.sheet.look"), look_panel),
            _block(say("shell.sheet.remote"), remote, say("shell.sheet.remote.hint")),
        ]
        self.back = button(say("shell.sheet.close"), self.left.emit, role="main")
        self._flow = QHBoxLayout()
        self._scroll = _scrolling(self._flow)
        top = QHBoxLayout()
        top.addWidget(label(say("shell.sheet"), letters="title"), 1)
        top.addWidget(self.back)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(look.px("margin"), look.px("margin"), look.px("gap"), 0)
        outer.addLayout(top)
        outer.addWidget(self._scroll, 1)
        look.changed.connect(self._lay_out)

    def show_lines(self, lines: Sequence[KeyLine]) -> None:
        """Show these keys."""
        self._lines = tuple(line for line in lines if line.keys and line.place != REMOTE)
        self._lay_out()

    def words_of(self, action: str) -> str:
        """What stands beside the words of an action; empty where it isn't shown."""
        return next((_keys_text(line) for line in self._lines if line.action == action), "")

    def _fitting(self) -> int:
        room = self.width() // (_COLUMN_LETTERS * self._look.px("body"))
        return min(max(room, 1), _MOST_COLUMNS)

    def _lay_out(self) -> None:
        for block in self._blocks:
            block.setParent(None)
            block.deleteLater()
        self._blocks = list(self._key_blocks())
        self._columns = self._fitting()
        _clear(self._flow)
        self._flow.setSpacing(3 * self._look.px("margin"))
        for blocks in _dealt([*self._settings, *self._blocks], self._columns):
            column = QVBoxLayout()
            column.setSpacing(self._look.px("margin"))
            for block in blocks:
                column.addWidget(block)
            column.addStretch(1)
            self._flow.addLayout(column, 1)

    def _key_blocks(self) -> Iterator[QWidget]:
        for group, lines in groupby(self._lines, key=lambda line: line.action.split(".")[0]):
            yield _block(say(f"shell.sheet.group.{group}"), _table(list(lines)))

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Lay the blocks in as many columns as there is room for."""
        super().resizeEvent(event)
        if self._fitting() != self._columns:
            self._lay_out()


def _keys_text(line: KeyLine) -> str:
    return f" {say('shell.sheet.or')} ".join(keys_as_printed(line.keys))


def _table(lines: Sequence[KeyLine]) -> QWidget:
    table = QWidget()
    grid = QGridLayout(table)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setVerticalSpacing(2)
    grid.setHorizontalSpacing(20)
    grid.setColumnStretch(1, 1)
    for row, line in enumerate(lines):
        keys = label(_keys_text(line))
        keys.setProperty("bold", True)
        words = label(say(line.text), wraps=True)
        grid.addWidget(keys, row, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(words, row, 1, Qt.AlignmentFlag.AlignTop)
    return table


def _block(title: str, content: QWidget, hint: str = "") -> QWidget:
    block = QWidget()
    layout = QVBoxLayout(block)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.addWidget(label(title, letters="head"))
    if hint:
        layout.addWidget(label(hint, soft=True, wraps=True))
    layout.addWidget(content)
    return block


def _dealt(blocks: Sequence[QWidget], columns: int) -> list[Sequence[QWidget]]:
    """Blocks into columns, in their order, so that the longest column is as short as can be."""
    heights = [block.sizeHint().height() for block in blocks]

    def longest(cuts: tuple[int, ...]) -> int:
        return max(sum(heights[start:end]) for start, end in pairwise((0, *cuts, len(blocks))))

    inner = range(1, len(blocks))
    cuts = min(combinations(inner, min(columns, len(blocks)) - 1), key=longest)
    return [blocks[start:end] for start, end in pairwise((0, *cuts, len(blocks)))]


def _clear(flow: QHBoxLayout) -> None:
    while (item := flow.takeAt(0)) is not None:
        column = item.layout()
        if column is not None:
            while column.takeAt(0) is not None:
                pass
            column.deleteLater()


def _scrolling(flow: QHBoxLayout) -> QScrollArea:
    inside = QWidget()
    ground(inside, "page")
    inside.setLayout(flow)
    flow.setContentsMargins(0, 0, 0, 0)
    scroll = QScrollArea()
    scroll.setWidget(inside)
    scroll.setWidgetResizable(True)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return scroll
