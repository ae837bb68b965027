"""What was made, in the hand: dragged out, copied as a file, or saved in a folder.

Owns the slip of paper that is dragged. Refuses to know how the clip was made.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PyQt6.QtCore import QMimeData, QPoint, Qt, QUrl
from PyQt6.QtGui import QDrag, QMouseEvent
from PyQt6.QtWidgets import QApplication, QPushButton, QVBoxLayout, QWidget

from capturestation.ui.bench.lending import Lending
from capturestation.ui.bench.wordings import stretch
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, put_words, take_keys


def files_as_data(files: Sequence[Path]) -> QMimeData:
    """Files as other programs take them, dropped or pasted."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(file)) for file in files])
    return data


class ClipSlip(QPushButton):
    """The clip as a slip that is dragged to where it should go.

    Pressed without being dragged, or by the keyboard, it copies the file, to be pasted.
    """

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.look = look
        self.files: tuple[Path, ...] = ()
        self._from: QPoint | None = None
        take_keys(self)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        look.changed.connect(self._look_changed)
        self._look_changed()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:
        """Take it."""
        if event is not None and event.button() is Qt.MouseButton.LeftButton:
            self._from = event.position().toPoint()
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:
        """Drag it once the hand has really moved."""
        if event is None or self._from is None or not self.files:
            return
        moved = event.position().toPoint() - self._from
        if moved.manhattanLength() >= QApplication.startDragDistance():
            self._from = None
            self.setDown(False)
            self.drag()

    def drag(self) -> Qt.DropAction:
        """Let another program take a copy of the files; comes back when they were let go."""
        drag = QDrag(self)
        drag.setMimeData(files_as_data(self.files))
        drag.setPixmap(self.grab())
        return drag.exec(Qt.DropAction.CopyAction)

    def _look_changed(self) -> None:
        self.setMinimumHeight(2 * self.look.px("target"))


class HandOn(QWidget):
    """What can be done with the clip.

    Args:
        look: Sizes.
        save: Saves it in the folder of last time.
        elsewhere: Saves it in another folder.
        copy: Copies the file.
    """

    def __init__(
        self,
        look: Look,
        save: Callable[[], None],
        elsewhere: Callable[[], None],
        copy: Callable[[], None],
    ) -> None:
        super().__init__()
        self.slip = ClipSlip(look)
        self.slip.clicked.connect(lambda: copy())
        self.save = button("", save)
        self.elsewhere = button(say("send.elsewhere"), elsewhere)
        self.lending = Lending(look)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for pressed in (self.slip, self.save, self.elsewhere):
            column.addWidget(stretch(pressed))
        column.addWidget(self.lending)

    def show_files(self, files: tuple[Path, ...], folder: Path | None) -> None:
        """Show what is in the hand, and where it would be saved."""
        self.setVisible(bool(files))
        self.slip.files = files
        self.lending.offer(files[0] if files else None)
        if files:
            key = "send.slip.name" if len(files) == 1 else "send.slip.names"
            put_words(self.slip, say("send.slip"), say(key, name=files[0].name))
        self.elsewhere.setVisible(folder is not None)
        put_words(
            self.save,
            say("send.save") if folder is None else say("send.save.in", folder=folder.name),
        )
