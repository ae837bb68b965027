"""The caption below the page: one calm sentence, and what is being worked on.

Owns how long a sentence stands and how a job's share is shown. Its height stays, so that nothing
on the page moves when a sentence comes or goes.
"""

from __future__ import annotations

from PyQt6.QtCore import QTimer
from PyQt6.QtWidgets import QHBoxLayout, QProgressBar, QSizePolicy, QWidget

from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label, put_words
from capturestation.ui.work import Job, Workers

STANDS_MS = 7_000
"""A sentence is read twice in this time."""


class CaptionLine(QWidget):
    """What was just done, and what is under way with its share and a way to stop it."""

    def __init__(self, workers: Workers, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "caption")
        self.setAccessibleName(say("shell.caption"))
        self._workers = workers
        self._look = look
        self._watched: Job | None = None
        self._words = label(soft=True)
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._job = label()
        self._bar = QProgressBar()
        self._bar.setRange(0, 100)
        self._bar.setTextVisible(False)
        self._bar.setFixedWidth(140)
        self._stop = button(say("shell.stop"), self._stop_job)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(look.px("margin"), 0, look.px("margin"), 0)
        layout.addWidget(self._words, 1)
        for widget in (self._job, self._bar, self._stop):
            layout.addWidget(widget)
        self._fades = QTimer(self)
        self._fades.setSingleShot(True)
        self._fades.timeout.connect(lambda: self._words.setText(""))
        workers.changed.connect(self._show_jobs)
        look.changed.connect(self._fit)
        self._fit()
        self._show_jobs()

    @property
    def sentence(self) -> str:
        """What stands there now."""
        return self._words.text()

    def tell(self, sentence: str) -> None:
        """Say one calm sentence that goes by itself."""
        self._words.setText(sentence)
        self._words.setToolTip(sentence)
        self._fades.start(STANDS_MS)

    def _fit(self) -> None:
        self.setFixedHeight(self._look.px("target") + self._look.px("gap"))

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
