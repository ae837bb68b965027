"""The page on which a swing's views get their right names, and a picture that lies is set upright.

Owns the pictures at contact and the words below them; says what was pressed, changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from capturestation.records import View
from capturestation.ui.book.file_print import FilePrint
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

_TURNS_DEG = {"left": 270, "right": 90, "over": 180}
# Clockwise.


class ViewPrint(QWidget):
    """One view: its picture at contact, its name, and how it may be turned.

    Signals:
        turned: By how many degrees clockwise.
    """

    turned = pyqtSignal(int)

    def __init__(self, look: Look, view: View) -> None:
        super().__init__()
        self._view = say(f"book.view.{view}")
        self.print = FilePrint(look, self._view)
        self.words: dict[str, QPushButton] = {}
        for name, turn_deg in _TURNS_DEG.items():
            text = say(f"book.views.turn.{name}")
            spoken = say("book.views.turn.name", view=self._view, turn=text)
            self.words[name] = button(text, partial(self.turned.emit, turn_deg), name=spoken)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.print, 1)
        rows.addWidget(flowing(look.px("gap"), *self.words.values()))

    def put(self, image: QImage) -> None:
        """The picture is there."""
        self.print.put(image)
        self.print.setAccessibleName(say("book.views.picture", view=self._view))


class ViewsPage(Sheet):
    """What each camera saw at contact, and what can be put right about it.

    Signals:
        exchanges: The two views are to be called the other way round.
        turns: A `View`, and by how many degrees its pictures are to be turned clockwise.
        left: All stays as it is.
    """

    exchanges = pyqtSignal()
    turns = pyqtSignal(object, int)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent, is_wide=True)
        self.views: dict[View, ViewPrint] = {}
        self.title = label(letters="title", wraps=True)
        self.odd = label(wraps=True)
        self.how = label(say("book.views.how"), soft=True, wraps=True)
        self.exchange = button(say("book.views.exchange"), self.exchanges.emit)
        self.back = button(say("book.back"), self.left.emit)
        self._prints = QHBoxLayout()
        self._prints.setSpacing(look.px("margin"))
        for part in (self.title, self.odd, self.how):
            self.rows.addWidget(part)
        self.rows.addLayout(self._prints, 1)
        self.rows.addWidget(flowing(look.px("gap"), self.exchange, self.back))

    def begin(self, called: str, views: Sequence[View]) -> None:
        """Open the page for a swing.

        Args:
            called: The swing in words.
            views: What it was filmed from.
        """
        self.title.setText(say("book.views.title", swing=called))
        self.put_odd(())
        while self._prints.count():
            item = self._prints.takeAt(0)
            old = item.widget() if item else None
            if old is not None:
                old.hide()
                old.deleteLater()
        self.views = {view: self._print_of(view) for view in views}
        named = [view for view in views if view is not View.EXTRA]
        self.exchange.setVisible(bool(named))
        alone = say("book.views.exchange")
        if len(named) == 1:
            alone = say("book.views.exchange.one", view=say(f"book.view.{named[0].across}"))
        put_words(self.exchange, alone)
        self.wait(is_on=False)
        self.back.setFocus(Qt.FocusReason.OtherFocusReason)

    def _print_of(self, view: View) -> ViewPrint:
        made = ViewPrint(self.look, view)
        made.turned.connect(partial(self.turns.emit, view))
        self._prints.addWidget(made, 1)
        return made

    def put_picture(self, view: View, image: QImage) -> None:
        """A view's picture is there."""
        if view in self.views:
            self.views[view].put(image)

    def put_odd(self, said: Sequence[str]) -> None:
        """Say what looks odd about how it was filmed."""
        self.odd.setText(" ".join(said))
        self.odd.setVisible(bool(said))

    def wait(self, *, is_on: bool) -> None:
        """While something is put right nothing else can be pressed but the way back."""
        for word in (
            self.exchange,
            *(w for one in self.views.values() for w in one.words.values()),
        ):
            word.setEnabled(not is_on)
