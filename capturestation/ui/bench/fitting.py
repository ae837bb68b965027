"""Fits the pictures to golfer and club, as soon as it is known how far they reach.

Owns when that is looked for: beside the window, after a swing was opened, the newest one alone.
"""

from __future__ import annotations

from collections.abc import Mapping

from PyQt6.QtCore import QObject, QTimer

from capturestation.errors import StationError
from capturestation.records import Box, Swing, View
from capturestation.station.bench.reach import Reaches
from capturestation.station.bench.state import BenchState
from capturestation.ui.texts import say
from capturestation.ui.work import Job, Workers


class Fitter(QObject):
    """Watches what lies on the Bench and says what of it has to be seen.

    Nobody asked for it, so where it can't be done nothing is said: pictures are whole then.
    """

    def __init__(self, state: BenchState, reaches: Reaches, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self._reaches = reaches
        self._workers = Workers(self)
        self._newest: Job | None = None
        # Both swings are laid there one after the other: they are looked at once.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._look)
        self._is_closed = False
        state.opened.tell(self._opened)

    @property
    def is_busy(self) -> bool:
        """Whether it is being looked for."""
        return self._soon.isActive() or bool(self._workers.jobs)

    def close_fitting(self) -> None:
        """End its threads; before the library is closed."""
        self._is_closed = True
        self._soon.stop()
        self._workers.close()

    def _opened(self) -> None:
        if not self._is_closed:
            self._soon.start()

    def _swings(self) -> tuple[Swing, ...]:
        return tuple(seen.swing for seen in (self.state.now, self.state.then) if seen is not None)

    def _look(self) -> None:
        self._workers.stop_all()
        swings = self._swings()
        if not swings:
            return

        def done(boxes: Mapping[View, Box]) -> None:
            if self._newest is job:
                self.state.show_boxes(boxes)

        def failed(_error: StationError) -> None:
            """Whole pictures show all there is to see."""

        job = self._workers.run(
            say("bench.opening"), lambda watch: self._reaches.boxes(swings, watch), done, failed
        )
        self._newest = job
