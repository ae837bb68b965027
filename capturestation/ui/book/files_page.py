"""The page on which dropped files become a swing: which view is which, club and kind.

Owns asking where the guess isn't sure. Refuses to read files: first pictures come from outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QImage, QPixmap
from PyQt6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from capturestation.records import SwingKind, View
from capturestation.station.dropped import Guess
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_PICTURE_LETTERS = 18
_ASKED = (View.FACE_ON, View.DOWN_THE_LINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was told of the files."""

    by_view: dict[View, Path]
    club: str
    kind: SwingKind


class FilesPage(QWidget):
    """One or two files, each with its first picture and the view that it shows.

    Signals:
        told: What was `Told`.
        left: The files are not to be taken in.
    """

    told = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._files: tuple[Path, ...] = ()
        self._views: dict[Path, View | None] = {}
        self._pictures: dict[Path, QLabel] = {}
        self._says: dict[Path, QLabel] = {}
        self.title = label(say("book.files.title"), letters="title")
        self.why = label(wraps=True)
        self.club = QComboBox()
        self.club.setEditable(True)
        self.club.setAccessibleName(say("book.club"))
        self.kind = QComboBox()
        self.kind.setAccessibleName(say("book.kind"))
        for kind in SwingKind:
            self.kind.addItem(str(kind), kind)
        self._grid = QGridLayout()
        self._build()

    def _build(self) -> None:
        self.swap_word = button(say("book.files.swap"), self.swap)
        self.take_word = button(say("book.files.take"), self._take, role="main")
        choices = QHBoxLayout()
        for key, field in (("book.club", self.club), ("book.kind", self.kind)):
            choices.addWidget(label(say(key)))
            choices.addWidget(field)
        choices.addStretch(1)
        ends = QHBoxLayout()
        ends.addWidget(self.swap_word)
        ends.addStretch(1)
        ends.addWidget(button(say("book.cancel"), self.left.emit))
        ends.addWidget(self.take_word)
        column = QVBoxLayout(self)
        column.addWidget(self.title)
        column.addWidget(self.why)
        column.addLayout(self._grid, 1)
        column.addLayout(choices)
        column.addLayout(ends)

    def begin(self, files: tuple[Path, ...], guess: Guess, clubs: list[str]) -> None:
        """Open the page for these files."""
        self._files = files
        self._views = dict.fromkeys(files)
        self._views |= {path: view for view, path in guess.by_view.items()}
        kept = self.club.currentText()
        self.club.clear()
        self.club.addItems(clubs)
        self.club.setCurrentText(kept or (clubs[0] if clubs else ""))
        self.why.setText(guess.why or say("book.files.ask"))
        self._write_files()
        self._show()
        (self.take_word if self._is_clear() else self).setFocus()

    def _write_files(self) -> None:
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item else None
            if widget is not None:
                widget.deleteLater()
        self._pictures, self._says = {}, {}
        for column, path in enumerate(self._files):
            picture = label(say("book.files.coming"), soft=True)
            picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
            picture.setMinimumHeight(9 * self._look.px("body"))
            said = label(letters="head")
            self._pictures[path], self._says[path] = picture, said
            self._grid.addWidget(said, 0, column)
            self._grid.addWidget(picture, 1, column)
            self._grid.addWidget(label(path.name, letters="note", soft=True), 2, column)
            self._grid.addWidget(self._words(path), 3, column)
        self._grid.setRowStretch(1, 1)

    def _words(self, path: Path) -> QWidget:
        made = [
            button(
                say(f"book.view.{view}"),
                partial(self.choose, path, view),
                name=say("book.files.is.name", file=path.name, view=view),
            )
            for view in _ASKED
        ]
        return flowing(self._look.px("gap"), *made)

    def choose(self, path: Path, view: View) -> None:
        """Say what a file shows; of two files the other then shows the other."""
        self._views[path] = view
        other = next((v for v in _ASKED if v is not view), None)
        for one in self._files:
            if one != path:
                self._views[one] = other
        self._show()

    def swap(self) -> None:
        """Each file shows what the other was said to show."""
        for path, view in self._views.items():
            if view is not None:
                self._views[path] = next(v for v in _ASKED if v is not view)
        self._show()

    def put_picture(self, path: Path, image: QImage) -> None:
        """Show the first picture of a file."""
        shown = self._pictures.get(path)
        if shown is not None and not image.isNull():
            wide = _PICTURE_LETTERS * self._look.px("body")
            pixmap = QPixmap.fromImage(image)
            shown.setPixmap(pixmap.scaledToWidth(wide, Qt.TransformationMode.SmoothTransformation))
            shown.setAccessibleName(say("book.files.first", file=path.name))

    def _is_clear(self) -> bool:
        return bool(self._views) and None not in self._views.values()

    def _show(self) -> None:
        for path, view in self._views.items():
            words = say("book.files.which") if view is None else say(f"book.view.{view}")
            self._says[path].setText(words)
        self.take_word.setEnabled(self._is_clear())
        self.swap_word.setVisible(self._is_clear())

    def _take(self) -> None:
        kind = self.kind.currentData()
        by_view = {view: path for path, view in self._views.items() if view is not None}
        self.told.emit(
            Told(by_view=by_view, club=self.club.currentText().strip(), kind=SwingKind(kind))
        )
