"""The page on which dropped files become a swing: which view is which, club and kind.

Owns asking where the guess isn't sure. Refuses to read files: first pictures and guesses come from
outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from capturestation.records import SwingKind, View
from capturestation.station.dropped import Guess
from capturestation.ui.book.file_print import FilePrint
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.chooser import Chooser
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_PAIR = (View.FACE_ON, View.DOWN_THE_LINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was told of the files."""

    by_view: dict[View, Path]
    club: str
    kind: SwingKind


class FilesPage(Sheet):
    """One to three files, each with its first picture and the view that it shows.

    Signals:
        told: What was `Told`.
        says: What is still to be told, in a sentence.
        left: The files are not to be taken in.
    """

    told = pyqtSignal(object)
    says = pyqtSignal(str)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent, is_wide=True)
        self._views: dict[Path, View | None] = {}
        self._was_told = False
        self.prints: dict[Path, FilePrint] = {}
        self.words: dict[tuple[Path, View], QPushButton] = {}
        self.title = label(letters="title", wraps=True)
        self.why = label(wraps=True)
        self.club = Chooser(look)
        self.club.setEditable(True)
        self.club.setAccessibleName(say("book.club"))
        if (field := self.club.lineEdit()) is not None:
            field.setPlaceholderText(say("book.club.title"))
        self.kind = Chooser(look)
        self.kind.setAccessibleName(say("book.kind"))
        for kind in SwingKind:
            self.kind.addItem(say(f"book.kind.{kind}"), kind)
        self._build()

    def _build(self) -> None:
        self.swap_word = button(say("book.files.swap"), self.swap)
        # Nothing moves when it comes or goes.
        policy = self.swap_word.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self.swap_word.setSizePolicy(policy)
        self.take_word = button(say("book.files.take"), self._take, role="main")
        leave = button(say("book.cancel"), self.left.emit)
        self._sheets = QHBoxLayout()
        self._sheets.setSpacing(self.look.px("margin"))
        choices: list[QWidget] = []
        for key, field in (("book.club", self.club), ("book.kind", self.kind)):
            words = label(say(key))
            words.setBuddy(field)
            field.setMinimumWidth(9 * self.look.px("body"))
            choices += [words, field]
        gap = self.look.px("gap")
        column = self.rows
        column.addWidget(self.title)
        column.addWidget(self.why)
        column.addLayout(self._sheets, 1)
        column.addWidget(flowing(gap, *choices))
        column.addWidget(flowing(gap, self.take_word, leave, self.swap_word))

    def begin(self, files: tuple[Path, ...], name: str, clubs: list[str], club: str = "") -> None:
        """Open the page for these files.

        Args:
            files: One to three.
            name: Whose swing it will be.
            clubs: To choose from, the likeliest first.
            club: What was told last; empty asks for it, since a wrong one would be believed.
        """
        self.title.setText(say("book.files.title", name=name))
        self._views = dict.fromkeys(files)
        self._was_told = False
        self.club.clear()
        self.club.addItems(dict.fromkeys([club, *clubs] if club else clubs))
        self.club.setCurrentIndex(0 if club else -1)
        self.why.setText(say("book.files.guessing"))
        self._write_files()
        self._show()

    def _write_files(self) -> None:
        while self._sheets.count():
            item = self._sheets.takeAt(0)
            old = item.widget() if item else None
            if old is not None:
                old.hide()
                old.deleteLater()
        self.prints, self.words = {}, {}
        for path in self._views:
            self._sheets.addWidget(self._sheet(path), 1)

    def _sheet(self, path: Path) -> QWidget:
        sheet = QWidget()
        rows = QVBoxLayout(sheet)
        rows.setContentsMargins(0, 0, 0, 0)
        self.prints[path] = FilePrint(self.look, path.name)
        rows.addWidget(self.prints[path], 1)
        group, pressed = QButtonGroup(sheet), []
        for view in self._asked():
            words = say(f"book.view.{view}")
            spoken = say("book.files.is.name", file=path.name, view=words)
            made = button(words, partial(self.choose, path, view), name=spoken)
            made.setCheckable(True)
            group.addButton(made)
            pressed.append(made)
            self.words[path, view] = made
        rows.addWidget(flowing(self.look.px("gap"), *pressed))
        return sheet

    def _asked(self) -> tuple[View, ...]:
        return tuple(View) if len(self._views) > len(_PAIR) else _PAIR

    def put_guess(self, files: tuple[Path, ...], guess: Guess) -> None:
        """Show a guess, unless something was said by hand meanwhile, or it is of other files."""
        if files != tuple(self._views) or self._was_told:
            return
        self._views |= {path: view for view, path in guess.by_view.items()}
        is_sure = not guess.unsure
        self.why.setText(say(f"book.files.by.{guess.ground}" if is_sure else "book.files.ask"))
        self._show()
        if is_sure:
            first = self.take_word if self.club.currentText().strip() else self.club
            first.setFocus(Qt.FocusReason.OtherFocusReason)
        elif self.words:
            next(iter(self.words.values())).setFocus(Qt.FocusReason.OtherFocusReason)

    def choose(self, path: Path, view: View) -> None:
        """Say what a file shows; where one view is left for one other file, that is said too."""
        self._was_told = True
        before = self._views[path]
        for other, shown in self._views.items():
            if other != path and shown is view:
                self._views[other] = before
        self._views[path] = view
        unsaid = [one for one, shown in self._views.items() if shown is None]
        free = [one for one in self._asked() if one not in self._views.values()]
        if len(unsaid) == 1 and len(free) == 1:
            self._views[unsaid[0]] = free[0]
        self.why.setText(say("book.files.said" if self.is_clear else "book.files.ask"))
        self._show()

    def swap(self) -> None:
        """Each file of a pair shows what the other was said to show."""
        turned = {_PAIR[0]: _PAIR[1], _PAIR[1]: _PAIR[0]}
        self._was_told = True
        self._views = {
            path: None if view is None else turned.get(view, view)
            for path, view in self._views.items()
        }
        self._show()

    def put_picture(self, path: Path, image: QImage) -> None:
        """Show the first picture of a file."""
        if path in self.prints:
            self.prints[path].put(image)

    @property
    def is_clear(self) -> bool:
        """Whether it is said of every file what it shows."""
        return bool(self._views) and None not in self._views.values()

    def _show(self) -> None:
        for (path, view), made in self.words.items():
            group = made.group()
            if group is not None:
                group.setExclusive(False)
            made.setChecked(self._views[path] is view)
            if group is not None:
                group.setExclusive(True)
        self.take_word.setEnabled(self.is_clear)
        self.swap_word.setVisible(self.is_clear and len(self._views) == len(_PAIR))

    def _take(self) -> None:
        club = self.club.currentText().strip()
        if not club:
            self.says.emit(say("book.files.no_club"))
            self.club.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        by_view = {view: path for path, view in self._views.items() if view is not None}
        kind = SwingKind(self.kind.currentData())
        self.told.emit(Told(by_view=by_view, club=club, kind=kind))
