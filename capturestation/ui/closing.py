"""Closing while work is under way: finish it, stop it, or stay.

Owns what was answered and waits for the work accordingly. Refuses to close anything itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum

from PyQt6.QtCore import QObject, QTimer, pyqtSignal

from capturestation.ui.asking import AskPage, Choice
from capturestation.ui.texts import say
from capturestation.ui.work import Job, Workers


class Wish(StrEnum):
    """What is to happen."""

    NONE = "none"
    ASKED = "asked"
    FINISH = "finish"
    STOP = "stop"


class Closing(QObject):
    """What was wished about closing.

    Signals:
        settled: The work is over: the window may close; whether it was stopped.
        stays: The window stays open.
    """

    settled = pyqtSignal(bool)
    stays = pyqtSignal()

    def __init__(
        self,
        workers: Workers,
        is_trifle: Callable[[Job], bool] = lambda _job: False,
        parent: QObject | None = None,
    ) -> None:
        """Follow the work.

        Args:
            workers: Who works.
            is_trifle: Whether a job may be stopped unasked, as nothing is lost by it.
            parent: Qt's owner.
        """
        super().__init__(parent)
        self._workers = workers
        self._is_trifle = is_trifle
        self._page: AskPage | None = None
        self.wish = Wish.NONE
        workers.changed.connect(self._follow)

    @property
    def is_under_way(self) -> bool:
        """Whether somebody wants to close and it isn't settled."""
        return self.wish is not Wish.NONE

    def may_close(self) -> bool:
        """Whether nothing is under way that somebody would miss."""
        return not self._jobs()

    def _jobs(self) -> list[Job]:
        return [job for job in self._workers.jobs if not self._is_trifle(job)]

    def ask(self, page: AskPage) -> None:
        """Ask what is to happen to the work."""
        self._page = page
        if self.wish is Wish.NONE:
            self.wish = Wish.ASKED
        self._show()

    def stay(self) -> None:
        """Don't close; the work goes on, unless it was stopped already."""
        self.wish = Wish.NONE
        self.stays.emit()

    def _finish(self) -> None:
        self.wish = Wish.FINISH
        self._show()

    def _stop(self) -> None:
        self.wish = Wish.STOP
        self._workers.stop_all()
        self._show()

    def _show(self) -> None:
        if self._page is None:
            return
        finish = Choice(words=say("shell.close.finish"), chosen=self._finish)
        stop = Choice(words=say("shell.close.stop"), chosen=self._stop)
        stay = Choice(words=say("shell.close.stay"), chosen=self.stay)
        titles: dict[Wish, tuple[str, Sequence[Choice]]] = {
            Wish.ASKED: ("shell.close.title", (finish, stop, stay)),
            Wish.FINISH: ("shell.close.waiting", (stay, stop)),
            Wish.STOP: ("shell.close.stopping", (stay,)),
        }
        key, choices = titles[self.wish]
        words = ", ".join(job.words for job in self._jobs())
        text = say("shell.close.text", words=words) if self.wish is Wish.ASKED else f"{words}."
        self._page.ask(say(key), text, choices)

    def _follow(self) -> None:
        if not self._jobs() and self.is_under_way:
            # The answer of the last job is handed over after this signal.
            QTimer.singleShot(0, self._settle)

    def _settle(self) -> None:
        if self._jobs() or not self.is_under_way:
            return
        wish, self.wish = self.wish, Wish.NONE
        if wish is Wish.ASKED:
            self.stays.emit()
        else:
            self.settled.emit(wish is Wish.STOP)
