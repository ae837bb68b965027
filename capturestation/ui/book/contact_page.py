"""The page on which contact is shown by hand, where sound and picture don't tell it.

Owns which frame of each file is looked at, and which were said to be contact. Refuses to read
files: frame times and pictures are asked for and come from outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QSlider, QVBoxLayout, QWidget

from capturestation.errors import StationError
from capturestation.records import SwingKind, View
from capturestation.ui.book.file_print import FilePrint
from capturestation.ui.book.files_page import Told
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.style import slider_sheet
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_PAGE_FRAMES = 10


@dataclass(frozen=True, slots=True)
class FrameAsked:
    """A picture that is wanted."""

    path: Path
    media_ns: int


class ContactFile(QWidget):
    """One file: a picture that is moved frame by frame, and the word that says contact is here.

    Signals:
        asked: The `FrameAsked` that should be shown.
        said: Contact was said to be here, or is no longer.
    """

    asked = pyqtSignal(object)
    said = pyqtSignal()

    def __init__(self, look: Look, view: View, path: Path) -> None:
        super().__init__()
        self.path = path
        self.contact_ns: int | None = None
        self._times_ns: Sequence[int] = ()
        words = say(f"book.view.{view}")
        self.print = FilePrint(look, f"{words}: {path.name}")
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setEnabled(False)
        self.slider.setPageStep(_PAGE_FRAMES)
        self.slider.setStyleSheet(slider_sheet(look))
        self.slider.setAccessibleName(say("book.contact.slider", view=words))
        self.slider.valueChanged.connect(self._moved)
        self.at: QLabel = label(soft=True)
        self.here = button(
            say("book.contact.here"), self._say, name=say("book.contact.here.name", view=words)
        )
        self.here.setCheckable(True)
        self.here.setEnabled(False)
        back = button(say("book.contact.back"), partial(self.step, -1))
        on = button(say("book.contact.on"), partial(self.step, 1))
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.print, 1)
        rows.addWidget(self.slider)
        rows.addWidget(self.at)
        rows.addWidget(flowing(look.px("gap"), back, on, self.here))

    @property
    def shown_ns(self) -> int | None:
        """Time of the frame that is looked at, media clock."""
        return self._times_ns[self.slider.value()] if self._times_ns else None

    def put_times(self, times_ns: Sequence[int]) -> None:
        """Open the file's frames; the middle one is looked at first."""
        self._times_ns = times_ns
        self.slider.setRange(0, len(times_ns) - 1)
        self.slider.setEnabled(True)
        self.here.setEnabled(True)
        self.slider.setValue(len(times_ns) // 2)
        self._moved()

    def step(self, frames: int) -> None:
        """Look so many frames on."""
        self.slider.setValue(self.slider.value() + frames)

    def _moved(self) -> None:
        at_ns = self.shown_ns
        if at_ns is None:
            return
        self.here.setChecked(self.contact_ns == at_ns)
        self.at.setText(say("book.contact.at", seconds=f"{at_ns / 1e9:.3f}"))
        self.asked.emit(FrameAsked(self.path, at_ns))

    def _say(self) -> None:
        self.contact_ns = self.shown_ns if self.here.isChecked() else None
        self.said.emit()


class ContactPage(Sheet):
    """Each file with its frames; contact is said for those where it can be seen.

    Signals:
        told: What was `Told`, and by hand where contact is: `dict[View, int]`, media clock, ns.
        asked: A `FrameAsked`.
        left: The files are not to be taken in.
    """

    told = pyqtSignal(object, object)
    asked = pyqtSignal(object)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent, is_wide=True)
        self._told: Told | None = None
        self.files: dict[View, ContactFile] = {}
        self.title = label(say("book.contact.title"), letters="title", wraps=True)
        self.why = label(wraps=True)
        self.how = label(say("book.contact.how"), wraps=True)
        self.take_word = button(say("book.files.take"), self._take, role="main")
        leave = button(say("book.cancel"), self.left.emit)
        self._sheets = QHBoxLayout()
        self._sheets.setSpacing(look.px("margin"))
        for part in (self.title, self.why, self.how):
            self.rows.addWidget(part)
        self.rows.addLayout(self._sheets, 1)
        self.rows.addWidget(flowing(look.px("gap"), self.take_word, leave))

    def begin(self, told: Told, why: StationError) -> None:
        """Open the page for files that could not be placed.

        Args:
            told: The files, and what was said of them.
            why: What stood against it.
        """
        self._told = told
        self.why.setText(why.what)
        is_rehearsal = told.kind is SwingKind.REHEARSAL
        self.how.setText(say("book.contact.how.arc" if is_rehearsal else "book.contact.how"))
        while self._sheets.count():
            item = self._sheets.takeAt(0)
            old = item.widget() if item else None
            if old is not None:
                old.hide()
                old.deleteLater()
        self.files = {view: self._file(view, path) for view, path in told.by_view.items()}
        self._show()

    def _file(self, view: View, path: Path) -> ContactFile:
        made = ContactFile(self.look, view, path)
        made.asked.connect(self.asked)
        made.said.connect(self._show)
        self._sheets.addWidget(made, 1)
        return made

    def put_times(self, path: Path, times_ns: Sequence[int]) -> None:
        """A file's frame times are read."""
        for file in self.files.values():
            if file.path == path:
                file.put_times(times_ns)
                file.slider.setFocus(Qt.FocusReason.OtherFocusReason)

    def put_picture(self, path: Path, image: QImage) -> None:
        """A picture that was asked for is there."""
        for file in self.files.values():
            if file.path == path:
                file.print.put(image)

    @property
    def contacts_ns(self) -> dict[View, int]:
        """Where contact was said to be."""
        said = {view: file.contact_ns for view, file in self.files.items()}
        return {view: at_ns for view, at_ns in said.items() if at_ns is not None}

    def _show(self) -> None:
        self.take_word.setEnabled(bool(self.contacts_ns))

    def _take(self) -> None:
        if self._told is not None:
            self.told.emit(self._told, self.contacts_ns)
