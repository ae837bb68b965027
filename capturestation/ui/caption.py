"""The caption below the page: one calm sentence, and what is being worked on.

Owns how long a sentence stands, what stands there meanwhile, and how a job's share is shown. Its
height stays, so that nothing on the page moves when a sentence comes or goes.
"""

from __future__ import annotations

from PyQt6.QtCore import Qt, QTimer
from PyQt6.QtGui import QFontMetrics, QResizeEvent
from PyQt6.QtWidgets import QHBoxLayout, QProgressBar, QSizePolicy, QWidget

from capturestation.ui.look import Look, SizeName
from capturestation.ui.place import Place
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label, put_words, restyle
from capturestation.ui.work import Job, Workers

STANDS_MS = 7_000
"""A sentence is read twice in this time."""
_LINE_SHARE, _LEAST_PX = 1.4, 46
# One line of letters; never lower than what a finger hits.


class CaptionLine(QWidget):
    """What was just done, and what is under way with its share and a way to stop it."""

    def __init__(self, workers: Workers, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "caption")
        self.setAccessibleName(say("shell.caption"))
        self._workers = workers
        self._look = look
        self._watched: Job | None = None
        self._said = self._standing = ""
        self._place: Place | None = None
        self._is_covered = False
        self._words = label(soft=True)
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._job = label()
        self._bar = QProgressBar()
        self._bar.setRange(0, 100)
        self._bar.setTextVisible(False)
        self._bar.setFixedWidth(140)
        self._stop = button(say("shell.stop"), self._stop_job)
        self._stop.setProperty("room", "line")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(look.px("margin"), 0, look.px("margin"), 0)
        layout.addWidget(self._words, 1)
        for widget in (self._job, self._bar, self._stop):
            layout.addWidget(widget)
        self._fades = QTimer(self)
        self._fades.setSingleShot(True)
        self._fades.timeout.connect(self._fade)
        workers.changed.connect(self._show_jobs)
        look.changed.connect(self._fit)
        self._fit()
        self._show_jobs()

    @property
    def sentence(self) -> str:
        """What stands there now."""
        return self._said or ("" if self._is_covered else self._standing)

    def tell(self, sentence: str) -> None:
        """Say one calm sentence that goes by itself."""
        self._said = sentence
        if sentence:
            self._fades.start(STANDS_MS)
        self._write()

    def _fade(self) -> None:
        self.tell("")

    def follow(self, place: Place) -> None:
        """Say quietly, whenever nothing else is said, what stands there for this place."""
        if self._place is not None:
            self._place.stands.disconnect(self._stand)
        self._place = place
        place.stands.connect(self._stand)
        self._stand(place.standing())

    def cover(self, is_covered: bool) -> None:
        """Say nothing of a place while something lies over it."""
        self._is_covered = is_covered
        self._write()

    def _stand(self, sentence: str) -> None:
        self._standing = sentence
        self._write()

    def _write(self) -> None:
        """Write what there is to say: in smaller letters, then cut, where there is little room."""
        text = self.sentence
        size: SizeName = "note"
        metrics = QFontMetrics(self._look.font("body"))
        if self._said and metrics.horizontalAdvance(text) <= self._words.width():
            size = "body"
        metrics = QFontMetrics(self._look.font(size))
        short = metrics.elidedText(text, Qt.TextElideMode.ElideRight, self._words.width())
        letters = "note" if size == "note" else ""
        if letters != self._words.property("letters"):
            self._words.setProperty("letters", letters)
            restyle(self._words)
        self._words.setText(short)
        self._words.setToolTip(text)
        self._words.setAccessibleName(text)

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Cut what is said to the new room."""
        super().resizeEvent(event)
        self._write()

    def _fit(self) -> None:
        line_px = round(_LINE_SHARE * self._look.px("body"))
        self.setFixedHeight(max(_LEAST_PX, line_px))
        self._write()

    def _show_jobs(self) -> None:
        job = next(iter(self._workers.jobs), None)
        if job is not self._watched:
            if self._watched is not None:
                self._watched.moved.disconnect(self._show_share)
            self._watched = job
            if job is not None:
                job.moved.connect(self._show_share)
                self._bar.setValue(0)
                self._say_job(job, say("shell.working"))
        for widget in (self._job, self._bar, self._stop):
            widget.setVisible(job is not None)
        # The words get their other width when the row is laid out anew, after this.
        QTimer.singleShot(0, self._write)
        if job is not None:
            self._show_stop(job)

    def _show_share(self, share: float, _words: str) -> None:
        percent = round(100 * share)
        self._bar.setValue(percent)
        if self._watched is not None:
            self._say_job(self._watched, say("shell.percent", percent=percent))

    def _say_job(self, job: Job, how_far: str) -> None:
        words = [job.words, how_far]
        others = len(self._workers.jobs) - 1
        if others > 0:
            words.append(say("shell.more_jobs", count=others))
        text = " · ".join(words)
        self._job.setText(text)
        self._bar.setAccessibleName(text)

    def _show_stop(self, job: Job) -> None:
        stopping = job.is_stopping
        put_words(self._stop, say("shell.stopping" if stopping else "shell.stop"))
        self._stop.setEnabled(not stopping)

    def _stop_job(self) -> None:
        if self._watched is not None:
            self._watched.stop()
            self._show_stop(self._watched)
