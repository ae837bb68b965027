"""The Book's sheets of paper: index, a student's page, and the pages that lie over them.

Owns which of them is seen, also where there is no room for all, and the ends of its own threads.
Refuses to know what is changed.
"""

from __future__ import annotations

from typing import TypeVar

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from capturestation.library import Library
from capturestation.records import Student
from capturestation.station.cache import Cache
from capturestation.station.leaf import LeafLine, Print
from capturestation.station.pictures import PictureMaker
from capturestation.station.undo import UndoList
from capturestation.ui.book.finding import Finding
from capturestation.ui.book.panes import IndexPane, LeafPane, Part
from capturestation.ui.book.path import HIGH_LETTERS, WIDE_LETTERS, PathWords
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.book.wording import day_words, swing_words
from capturestation.ui.look import Look
from capturestation.ui.place import Place
from capturestation.ui.work import Workers

Page = TypeVar("Page", bound=QWidget)


class Sheets(Place):
    """The widgets of the Book.

    Args:
        library: The library.
        workers: The window's workers.
        look: Its look.
        steps: What can be taken back.
        parent: The widget above.
        cache: Where small pictures lie.
    """

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None,
        *,
        cache: Cache,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        self.cache = cache
        self._maker = PictureMaker(library, cache)
        self.pictures = Pictures(self._maker, self)
        self.finding = Finding(library, self)
        self.index = IndexPane(look)
        self.page = LeafPane(look, self.pictures)
        self.path = PathWords(look)
        self.part = Part.LEAF
        self._lay_out()
        self.path.wanted.connect(self.show_part)
        look.changed.connect(self._fit)
        self._fit()

    def _lay_out(self) -> None:
        margin, gap = self.look.px("margin"), self.look.px("gap")
        self._book = QWidget()
        rows = QVBoxLayout(self._book)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.path)
        sheets = QHBoxLayout()
        sheets.setSpacing(margin)
        self._fold = QFrame()
        self._fold.setFrameShape(QFrame.Shape.VLine)
        self._fold.setFrameShadow(QFrame.Shadow.Plain)
        sheets.addWidget(self.index, 2)
        sheets.addWidget(self._fold)
        sheets.addWidget(self.page, 7)
        rows.addLayout(sheets, 1)
        self.pages = QStackedWidget()
        self.pages.addWidget(self._book)
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, gap, margin, gap)
        column.addWidget(self.pages)

    @property
    def is_writing(self) -> bool:
        """Whether something that was done is not written yet."""
        return self.writer.is_busy

    # Parts of it.

    @property
    def is_wide(self) -> bool:
        """Whether index, page and the words about a swing have room together."""
        body = self.look.px("body")
        return self.width() >= WIDE_LETTERS * body and self.height() >= HIGH_LETTERS * body

    def show_part(self, part: Part) -> None:
        """Show that part where there is no room for all, and put the keyboard there."""
        self.part = part
        self._fit()
        has: dict[Part, QWidget] = {
            Part.STUDENTS: self.index.list,
            Part.STUDENT: self.page.words[0],
            Part.LEAF: self.page.list,
            Part.SWING: self.page.bar.first_word(),
        }
        has[part].setFocus(Qt.FocusReason.OtherFocusReason)

    def _fit(self) -> None:
        wide = self.is_wide
        self.path.setVisible(not wide)
        self.path.mark(self.part)
        self._fold.setStyleSheet(f"color: {self.look.colour('edge').name()};")
        self._fold.setVisible(wide)
        self.index.setVisible(wide or self.part is Part.STUDENTS)
        self.page.setVisible(wide or self.part is not Part.STUDENTS)
        self.page.show_part(None if wide else self.part)

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Show what there is room for."""
        super().resizeEvent(event)
        self._fit()

    def write_path(self, student: Student | None, line: LeafLine | None) -> None:
        """Write in the words that lead back whose page it is and what is chosen."""
        chosen = ""
        if line is not None:
            chosen = (
                swing_words(line.swing)[0] if isinstance(line, Print) else day_words(line.lesson.on)
            )
        self.path.write(student.name if student else "", chosen)

    # Pages over it.

    @property
    def is_over(self) -> bool:
        """Whether a page lies over the Book."""
        return self.pages.currentWidget() is not self._book

    def laid_over(self, page: Page) -> Page:
        """Put a new page with those that can lie over the Book."""
        self.pages.addWidget(page)
        return page

    def show_over(self, page: QWidget) -> None:
        """Lay a page over the Book."""
        self.pages.setCurrentWidget(page)

    def close_over(self) -> None:
        """Take the page away that lies over the Book; the list has the keyboard again."""
        if self.is_over:
            self.pages.setCurrentWidget(self._book)
            shown = self.page.list if self.page.list.isVisibleTo(self) else self.index.list
            shown.setFocus(Qt.FocusReason.OtherFocusReason)

    def close_over_if(self, page: QWidget) -> None:
        """Take that page away, unless another one lies over the Book by now."""
        if self.pages.currentWidget() is page:
            self.close_over()

    def let_go(self) -> None:
        """End the threads that make pictures and read words; before the library is closed."""
        self.writer.close()
        self.pictures.let_go()
        self._maker.close()
        self.finding.let_go()
