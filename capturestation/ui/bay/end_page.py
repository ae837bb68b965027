"""The lesson's end on one screen: keep these, drop the rest.

Owns how the balls are shown and what both ways mean for the disk. Nothing is dropped without the
one large word being pressed, and all of it comes back with one step.
"""

from __future__ import annotations

from functools import partial

from PyQt6.QtCore import QSize, Qt, pyqtSignal
from PyQt6.QtGui import QIcon, QPixmap
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from capturestation.records import Swing, SwingId
from capturestation.station.bay.ending import Ending, EndLine
from capturestation.station.deleting import KEPT_DAYS
from capturestation.ui.bay.wording import end_words, size_words
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label, put_words, restyle

_PRINT_LETTERS = 4
# A print's height in letters' heights: a finish is told from a top, and five balls stand on the
# smallest window.


class EndPage(QWidget):
    """A line for each ball, with its picture at impact.

    Args:
        look: Sizes and colours.
        prints: The pictures; they come when they come.

    Signals:
        dropped: Ids of the balls to be dropped; the others stay.
        left: All stay.
    """

    dropped = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, prints: Pictures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "page")
        self._look = look
        self._prints = prints
        prints.came.connect(self._show_print)
        self.ending: Ending | None = None
        self.lines: dict[SwingId, QPushButton] = {}
        self.title = label(letters="title", wraps=True)
        self.text = label(wraps=True)
        self.disk = label(soft=True, wraps=True)
        self._rows = QVBoxLayout()
        inside = QWidget()
        ground(inside, "page")
        held = QVBoxLayout(inside)
        held.setContentsMargins(0, 0, look.px("gap"), 0)
        held.addLayout(self._rows)
        held.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        self.drop = button("", self._drop, role="main", letters="head")
        self.all = button(say("bay.end.all"), self.left.emit, letters="head")
        column = QVBoxLayout(self)
        margin = look.px("margin")
        column.setContentsMargins(margin, look.px("gap"), margin, look.px("gap"))
        column.addWidget(self.title)
        column.addWidget(self.text)
        column.addWidget(scroll, 1)
        column.addWidget(self.disk)
        presses = QHBoxLayout()
        presses.addWidget(self.drop)
        presses.addWidget(self.all)
        presses.addStretch(1)
        column.addLayout(presses)

    def show_lesson(self, name: str, ending: Ending) -> None:
        """Ask about these balls; the starred ones are kept unless said otherwise."""
        self.ending = ending
        self.title.setText(say("bay.end.title", name=name))
        self.setAccessibleName(self.title.text())
        while self._rows.count():
            item = self._rows.takeAt(0)
            old = item.widget() if item else None
            if old is not None:
                old.hide()
                old.deleteLater()
        self.lines = {}
        for number, line in enumerate(ending.lines, 1):
            made = button("", partial(self._turn, line.swing.id))
            made.setCheckable(True)
            made.setProperty("number", number)
            made.setStyleSheet("text-align: left;")
            self.lines[line.swing.id] = made
            made.setIconSize(self._print_size())
            made.setMinimumHeight(self._print_size().height() + 2 * self._look.px("gap"))
            self._rows.addWidget(made)
            self._put_print(made, line.swing)
        self._write()

    def _print_size(self) -> QSize:
        high = _PRINT_LETTERS * self._look.px("body")
        return QSize(high * 16 // 9, high)

    def _put_print(self, made: QPushButton, swing: Swing) -> None:
        """Its picture at impact, or paper as large until that is there."""
        size = self._print_size()
        paper = QPixmap(size)
        paper.fill(self._look.colour("shade"))
        image = self._prints.picture(swing)
        if image is not None and not image.isNull():
            keeps = Qt.AspectRatioMode.KeepAspectRatio
            smooth = Qt.TransformationMode.SmoothTransformation
            paper = QPixmap.fromImage(image.scaled(size, keeps, smooth))
        made.setIcon(QIcon(paper))

    def _show_print(self, swing_id: str) -> None:
        ending, made = self.ending, self.lines.get(SwingId(swing_id))
        if ending is None or made is None:
            return
        for line in ending.lines:
            if line.swing.id == swing_id:
                self._put_print(made, line.swing)

    def give_keyboard(self) -> None:
        """To what is proposed; where nothing is starred a slip of the hand must drop nothing."""
        if self.ending is not None and self.ending.kept:
            self.drop.setFocus()
        else:
            self.all.setFocus()

    def _turn(self, swing: SwingId) -> None:
        if self.ending is not None:
            self.ending.turn(swing)
            self._write()

    def _write(self) -> None:
        ending = self.ending
        if ending is None:
            return
        for line in ending.lines:
            self._write_line(line)
        kept, dropped = len(ending.kept), len(ending.dropped)
        self.text.setText(say("bay.end.text" if ending.lines else "bay.end.none"))
        self.disk.setText(
            say(
                "bay.end.disk",
                kept=size_words(ending.kept_bytes),
                dropped=size_words(ending.dropped_bytes),
                all=size_words(ending.kept_bytes + ending.dropped_bytes),
                days=KEPT_DAYS,
            )
        )
        self.disk.setVisible(bool(ending.lines))
        key = "bay.end.drop" if dropped else "bay.end.keep_all"
        key = "bay.end.drop_all" if dropped and not kept else key
        put_words(self.drop, say(key, kept=kept, dropped=dropped))
        self.all.setVisible(bool(dropped))
        # Where nothing is starred, to keep all is the likelier wish.
        is_likely = bool(kept)
        for word, is_main in ((self.drop, is_likely), (self.all, not is_likely)):
            word.setProperty("role", "main" if is_main else "")
            restyle(word)

    def _write_line(self, line: EndLine) -> None:
        made = self.lines[line.swing.id]
        word = say("bay.end.keep" if line.keeps else "bay.end.let_go")
        words = end_words(line.swing, line.size_bytes)
        put_words(made, f"  {word}   {made.property('number')} · {words}")
        made.setChecked(line.keeps)

    def _drop(self) -> None:
        if self.ending is None or not self.ending.dropped:
            self.left.emit()
        else:
            self.dropped.emit(tuple(line.swing.id for line in self.ending.dropped))
