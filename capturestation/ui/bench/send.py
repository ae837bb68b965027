"""The panel of sending: what the clip shows, making it, and handing it on.

Owns the words of sending and the finished clip until the window closes. What is asked for is the
sending's own; Enter makes the clip as it stands.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from pathlib import Path

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent, QShowEvent
from PyQt6.QtWidgets import (
    QApplication,
    QCheckBox,
    QFileDialog,
    QPlainTextEdit,
    QProgressBar,
    QWidget,
)

from capturestation.drawing.layout import LayoutName
from capturestation.errors import CancelledError, StationError
from capturestation.records import Moment
from capturestation.station.clips import MadeClip
from capturestation.station.sending import SPEEDS, Sending, save_in
from capturestation.ui.bench.clip_folder import ClipFolder
from capturestation.ui.bench.handing import HandOn, files_as_data
from capturestation.ui.bench.page_words import PageWords, usual_paper
from capturestation.ui.bench.wordings import Words, column_of, stretch, with_key
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label
from capturestation.ui.work import Job, Workers

_NOTE_LINES = 3
Choose = Callable[[QWidget, Path | None], Path | None]
"""Asks for a folder; None where none was chosen."""


class SendPanel(QWidget):
    """Words for making a clip and handing it on.

    Signals:
        said: One calm sentence.
        saved: The `Path` of a clip in a folder of choice; the folder is to be remembered.
        made: The `MadeClip`.

    Args:
        sending: What is asked for.
        clips: Makes clips, and keeps them until they are handed on.
        workers: Make the clip beside the window.
        look: Sizes and colours.
        first: Runs something once what was drawn is written.
        choose: Asks for a folder.
    """

    said = pyqtSignal(str)
    saved = pyqtSignal(object)
    made = pyqtSignal(object)

    def __init__(
        self,
        sending: Sending,
        clips: ClipFolder,
        workers: Workers,
        look: Look,
        *,
        first: Callable[[Callable[[], None]], None] = lambda run: run(),
        choose: Choose | None = None,
    ) -> None:
        super().__init__()
        self.sending, self.look = sending, look
        self._clips, self._workers = clips, workers
        self._first, self._choose = first, choose or _ask_for_folder
        self._job: Job | None = None
        self._is_begun = False
        self.files: tuple[Path, ...] = ()
        sending.paper = usual_paper()
        self.shapes = _shape_words(sending)
        self.upright = QCheckBox(say("send.upright"))
        self.over = QCheckBox(say("send.over"))
        self.own_use = QCheckBox(say("send.own_use"))
        self.speeds = Words(
            [(speed, _speed_words(speed)) for speed in SPEEDS],
            lambda speed: sending.ask(slow=speed),
            name=say("send.speed"),
            columns=4,
        )
        self.moments: dict[Moment, QCheckBox] = {}
        self.drawings = QCheckBox(say("send.drawings"))
        self.note = QPlainTextEdit()
        self.page = PageWords(sending, look)
        self.go = button(with_key(say("send.go"), "send.send"), self.send, role="main")
        self.stop = button(say("shell.stop"), self._stop)
        self.progress = QProgressBar()
        self.answer = label(wraps=True)
        self.hand_on = HandOn(look, self._save, self._save_elsewhere, self._copy)
        self._lay_out()
        self._connect()
        self.show_state()

    def send(self) -> None:
        """Make the clip as it is asked for; a refusal is told here and nothing is made."""
        if self._job is not None or self._is_begun:
            return
        try:
            order = self.sending.ready()
        except StationError as error:
            self._tell(error)
            return
        self.files = ()
        self._is_begun = True
        self.answer.setText(say("send.making"))

        def begin() -> None:
            self._is_begun = False
            self._job = self._workers.run(
                say("send.job"),
                lambda watch: self._clips.make(order, watch),
                self._done,
                self._failed,
            )
            self._job.moved.connect(lambda share, _words: self.progress.setValue(int(100 * share)))
            self.show_state()

        self._first(begin)

    def close_sending(self) -> None:
        """Throw away what was made and not saved; before the window closes."""
        self.hand_on.lending.shut()
        self._clips.close()

    def show_state(self) -> None:
        """Show what is asked for and how far it is."""
        sending = self.sending
        for shape in LayoutName:
            if not shape.is_upright:
                self.shapes.button_of(shape).setVisible(shape in sending.shapes)
        self.shapes.show_chosen(sending.shape)
        self.speeds.show_chosen(sending.slow)
        self.upright.setChecked(sending.is_upright)
        self.over.setChecked(sending.is_over and sending.has_earlier)
        self.over.setVisible(sending.has_earlier)
        self.own_use.setChecked(sending.is_for_coach)
        self.own_use.setVisible(sending.must_not_go_home)
        self.drawings.setChecked(sending.with_drawings)
        self.drawings.setVisible(sending.has_drawings)
        for moment, box in self.moments.items():
            box.setVisible(moment in sending.moments)
            box.setChecked(moment in sending.held)
        if self.note.toPlainText() != sending.note:
            self.note.setPlainText(sending.note)
        is_busy = self._job is not None
        for widget in (self.stop, self.progress):
            widget.setVisible(is_busy)
        self.go.setVisible(not is_busy)
        self.page.show_state()
        self.hand_on.show_files(self.files, sending.folder)

    def keyPressEvent(self, event: QKeyEvent | None) -> None:
        """Enter makes the clip, wherever the keyboard is but in the note."""
        if event is not None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.send()
        else:
            super().keyPressEvent(event)

    def _done(self, made: MadeClip) -> None:
        self._job, self.files = None, made.files
        self.answer.setText(say("send.made", name=made.report.path.name))
        self.show_state()
        self.hand_on.slip.setFocus(Qt.FocusReason.OtherFocusReason)
        self.made.emit(made)

    def _failed(self, error: StationError) -> None:
        self._job = None
        self._tell(error)
        self.show_state()

    def _tell(self, error: StationError) -> None:
        is_stopped = isinstance(error, CancelledError)
        self.answer.setText(say("send.stopped") if is_stopped else str(error))

    def _stop(self) -> None:
        if self._job is not None:
            self._job.stop()
            self.answer.setText(say("send.stopping"))

    def _save(self) -> None:
        if self.sending.folder is None:
            self._save_elsewhere()
        else:
            self._save_in(self.sending.folder)

    def _save_elsewhere(self) -> None:
        folder = self._choose(self, self.sending.folder)
        if folder is not None:
            self._save_in(folder)

    def _save_in(self, folder: Path) -> None:
        files = self.files
        if not files:
            return

        def done(saved: tuple[Path, ...]) -> None:
            clip = saved[0]
            self.sending.folder = clip.parent
            self.answer.setText(say("send.saved", name=clip.name, folder=clip.parent))
            self.show_state()
            self.saved.emit(clip)

        self._workers.run(
            say("send.saving"), lambda watch: save_in(files, folder, watch), done, self._tell
        )

    def _copy(self) -> None:
        clipboard = QApplication.clipboard()
        if self.files and clipboard is not None:
            clipboard.setMimeData(files_as_data(self.files))
            self.said.emit(say("send.copied"))

    def _hold(self, moment: Moment, on: bool) -> None:
        held = self.sending.held | {moment} if on else self.sending.held - {moment}
        self.sending.ask(held=held)

    def _note_changed(self) -> None:
        self.sending.note = self.note.toPlainText()

    def _connect(self) -> None:
        self.sending.changed.tell(self._state_changed)
        self.upright.clicked.connect(lambda on: self.sending.ask(is_upright=on))
        self.over.clicked.connect(lambda on: self.sending.ask(is_over=on))
        self.own_use.clicked.connect(self.sending.keep_for_coach)
        self.drawings.clicked.connect(lambda on: self.sending.ask(with_drawings=on))
        self.note.textChanged.connect(self._note_changed)
        self.look.changed.connect(self._look_changed)
        self._look_changed()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Show what was not followed while nobody saw it."""
        super().showEvent(event)
        self.show_state()

    def _state_changed(self) -> None:
        if self.isVisible():
            self.show_state()

    def _look_changed(self) -> None:
        self.note.setFixedHeight(round((_NOTE_LINES + 1) * 1.5 * self.look.px("body")))

    def _lay_out(self) -> None:
        column = column_of(self)
        self.note.setAccessibleName(say("send.note"))
        self.note.setPlaceholderText(say("send.note.hint"))
        self.note.setTabChangesFocus(True)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(say("send.job"))
        stretch(self.go)
        stretch(self.stop)
        for widget in (self.go, self.stop, self.progress, self.answer, self.hand_on):
            column.addWidget(widget)
        column.addWidget(self.shapes)
        column.addWidget(self.own_use)
        column.addWidget(self.over)
        column.addWidget(self.upright)
        column.addWidget(label(say("send.speed"), soft=True))
        column.addWidget(self.speeds)
        column.addWidget(label(say("send.note"), soft=True, wraps=True))
        column.addWidget(self.note)
        column.addWidget(self.page)
        column.addWidget(self.drawings)
        column.addWidget(label(say("send.moments"), soft=True))
        for moment in Moment:
            box = QCheckBox(str(moment))
            box.clicked.connect(partial(self._hold, moment))
            self.moments[moment] = box
            column.addWidget(box)
        column.addStretch(1)


def _shape_words(sending: Sending) -> Words[LayoutName]:
    shapes = [shape for shape in LayoutName if not shape.is_upright]
    return Words(
        [(shape, say(f"send.shape.{shape}")) for shape in reversed(shapes)],
        lambda shape: sending.ask(shape=shape),
        name=say("send.shape"),
        columns=1,
    )


def _speed_words(speed: Fraction) -> str:
    return say("send.real") if speed == 1 else str(speed)


def _ask_for_folder(parent: QWidget, before: Path | None) -> Path | None:
    start = str(before or Path.home())
    chosen = QFileDialog.getExistingDirectory(parent, say("send.choose"), start)
    return Path(chosen) if chosen else None
