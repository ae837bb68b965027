"""The page before a library is open: a welcome, or what is wrong and the ways on.

Owns the words of these ways. Opening itself is `station.opening`, off the window's thread.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from capturestation.errors import CancelledError, NotFoundError, StationError
from capturestation.library import Library, RebuildReport
from capturestation.records import Watch
from capturestation.station.opening import Way, make_sample, rebuilt, sample_library, ways_on
from capturestation.station.places import open_library
from capturestation.ui.asking import AskPage, Choice
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.work import Job, Workers


class StartPage(QWidget):
    """Opens a library, by itself where that goes well.

    Signals:
        opened: A `Library` is open.
        chose: A `Path` was chosen by hand: it is to be opened next time too.
        says: One calm sentence.
    """

    opened = pyqtSignal(object)
    chose = pyqtSignal(object)
    says = pyqtSignal(str)

    def __init__(self, workers: Workers, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workers = workers
        self._folder = Path()
        self._opening: Job | None = None
        self.page = AskPage(look)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.page)

    @property
    def folder(self) -> Path:
        """The library that is meant."""
        return self._folder

    def open(self, folder: Path, *, begin: bool = False) -> None:
        """Open the library in a folder.

        Args:
            folder: Its folder.
            begin: Whether to make a new one there if there is none.
        """
        self._folder = folder
        words = say("shell.start.opening")
        self.page.ask(words, str(folder), ())

        def op(watch: Watch) -> Library:
            library = open_library(folder, begin=begin, watch=watch)
            try:
                watch.report(1.0, words)
            except CancelledError:
                library.close()
                raise
            return library

        self._opening = self._workers.run(words, op, self.opened.emit, self.show_trouble)

    def is_opening(self, job: Job) -> bool:
        """Whether a job only opens the library, so that nothing is lost with it."""
        return job is self._opening

    def show_trouble(self, error: StationError) -> None:
        """Say why no library is open, and what can be done."""
        choices = [
            Choice(words=say(f"shell.start.{way}"), chosen=self._done_by(way))
            for way in ways_on(error)
        ]
        if isinstance(error, NotFoundError):
            text = say("shell.start.welcome.text", folder=self._folder)
            self.page.ask(say("shell.start.welcome"), text, choices)
        else:
            self.page.ask(say("shell.start.trouble"), str(error), choices)

    def _done_by(self, way: Way) -> partial[None]:
        runs = {
            Way.BEGIN: partial(self._begin),
            Way.AGAIN: partial(self._again),
            Way.REBUILD: partial(self._rebuild),
            Way.CHOOSE: partial(self._choose),
            Way.SAMPLE: partial(self._sample),
        }
        return runs[way]

    def _begin(self) -> None:
        self.open(self._folder, begin=True)

    def _again(self) -> None:
        self.open(self._folder)

    def _choose(self) -> None:
        chooser = QFileDialog(self, say("shell.start.folder"), str(self._folder.parent))
        chooser.setFileMode(QFileDialog.FileMode.Directory)
        chooser.setOption(QFileDialog.Option.ShowDirsOnly)
        chooser.fileSelected.connect(self.choose)
        chooser.finished.connect(lambda _result: chooser.deleteLater())
        chooser.open()

    def choose(self, folder: str) -> None:
        """Take another folder, now and next time."""
        self.chose.emit(Path(folder))
        self.open(Path(folder))

    def _rebuild(self) -> None:
        folder = self._folder
        words = say("shell.start.rebuilding")
        self.page.ask(words, str(folder), ())

        def op(watch: Watch) -> RebuildReport:
            return rebuilt(folder, watch)

        self._workers.run(words, op, self._rebuilt, self.show_trouble)

    def _rebuilt(self, report: RebuildReport) -> None:
        left = len(report.left)
        if left:
            self.says.emit(say("shell.start.rebuilt.left", left=left))
        else:
            self.says.emit(
                say(
                    "shell.start.rebuilt",
                    students=report.students,
                    lessons=report.lessons,
                    swings=report.swings,
                )
            )
        self.open(self._folder)

    def _sample(self) -> None:
        folder = sample_library()
        words = say("shell.start.sample.making")
        self.page.ask(words, str(folder), ())

        def op(watch: Watch) -> Path:
            return make_sample(folder, watch)

        self._workers.run(words, op, self.open, self.show_trouble)
