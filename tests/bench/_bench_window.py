"""The Bench in a window of 1920x1080, used as a hand uses it, with a clock beside."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
from PyQt6.QtCore import QEvent, QEventLoop, QPointF, Qt, QTimer
from PyQt6.QtGui import QImage, QKeyEvent, QMouseEvent
from PyQt6.QtWidgets import QApplication, QVBoxLayout, QWidget

from capturestation.drawing.grid import Cell, Side
from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import FrameArray, Point, SwingId
from capturestation.station.bench.state import Arrangement
from capturestation.station.cache import Cache
from capturestation.station.laying import Nudge
from capturestation.station.undo import UndoList
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.binding import Keyboard
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.bench._coded_swings import DOWN, PATCH, SIZE, VIEWS, read_patch
from tests.helpers.heartbeat import Heartbeat

WINDOW = (1920, 1080)
_LONGEST_S = 20.0


class BenchWindow:
    """A window with the Bench, the earlier swing laid over; close it."""

    def __init__(self, folder: Path, cache: Cache) -> None:
        app = QApplication.instance() or QApplication(["bench"])
        assert isinstance(app, QApplication)
        self.app = app
        self.library = Library.open(folder)
        self.look = Look()
        self.workers = Workers()
        self.window = QWidget()
        self.place = BenchPlace(
            self.library, self.workers, self.look, UndoList(), self.window, cache=cache
        )
        rows = QVBoxLayout(self.window)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.place)
        self.keyboard = Keyboard(self.window, {})
        self.keyboard.listen_to("bench", self.place.commands())
        self.paints = 0
        self.place.canvas.painted.connect(self._painted)
        self.place.trouble.connect(self._refuse)
        self.window.resize(*WINDOW)
        self.window.show()
        self.heart = Heartbeat()
        self.place.restore({"earlier": "yes", "arrangement": str(Arrangement.OVER)})

    def close(self) -> None:
        self.heart.close()
        self.place.let_go()
        self.workers.close()
        self.window.close()
        self.library.close()

    def open(self, swing_id: SwingId) -> float:
        """Open a swing with the own best laid over; seconds until all is painted."""
        begun = time.perf_counter()
        self.place.look_at(swing_id)
        self._until(lambda: self.place.swing == swing_id and self._is_right())
        took = time.perf_counter() - begun
        for view in VIEWS:
            self.place.state.set_nudge(view, Nudge(dy=DOWN))
        self.settle()
        return took

    def key_ms(self, key: Qt.Key) -> float:
        """Press a key; milliseconds from then until the right pictures are painted."""
        at_ns = self.place.state.transport.at_ns
        paints, begun = self.paints, time.perf_counter()
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            event = QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier)
            self.app.sendEvent(self.window, event)
        self._until(partial(self._is_painted, paints))
        took = (time.perf_counter() - begun) * 1e3
        assert self.place.state.transport.at_ns != at_ns, "the key was not heard"
        return took

    def press_ms(self, share: float) -> float:
        """Press the bar at a share of its length; milliseconds until painted."""
        paints, begun = self.paints, time.perf_counter()
        self._mouse(QEvent.Type.MouseButtonPress, share)
        self._until(partial(self._is_painted, paints))
        took = (time.perf_counter() - begun) * 1e3
        self._mouse(QEvent.Type.MouseButtonRelease, share)
        return took

    def drag_fps(self, shares: list[float]) -> tuple[float, int]:
        """Drag along the bar as fast as pictures come: pictures a second, and wrong ones."""
        wrong, spent = 0, 0.0
        self._mouse(QEvent.Type.MouseButtonPress, shares[0])
        self.settle()
        for share in shares[1:]:
            before, begun = self.paints, time.perf_counter()
            self._mouse(QEvent.Type.MouseMove, share)
            self._until(partial(self._is_painted, before))
            spent += time.perf_counter() - begun
            wrong += self.wrong()
        self._mouse(QEvent.Type.MouseButtonRelease, shares[-1])
        return (len(shares) - 1) / spent, wrong

    def pause(self, ms: int) -> None:
        """Let time go by, as between two keys of a hand."""
        end = time.perf_counter() + ms / 1e3
        self._until(lambda: time.perf_counter() >= end)

    def settle(self) -> None:
        """Wait until the right pictures are there."""
        self._until(self._is_right)

    def fit(self) -> None:
        """Wait until pictures are cut to golfer and club, and stand there."""
        self._until(lambda: self.place.is_settled)
        self.settle()

    def wrong(self) -> int:
        """How many of the painted pictures say another number than they should."""
        image = self.place.canvas.grab().toImage()
        image = image.convertToFormat(QImage.Format.Format_RGB888)
        bits = image.constBits()
        assert bits is not None
        rows = np.frombuffer(bits.asstring(image.sizeInBytes()), np.uint8)
        pixels = rows.reshape(image.height(), image.bytesPerLine())
        frame = pixels[:, : 3 * image.width()].reshape(image.height(), image.width(), 3)
        wrong = sum(
            self._said(frame, view_cell, down) != self._expected(side, view_cell)
            for view_cell in ((Side.NOW, view) for view in VIEWS)
            for side, down in ((Side.NOW, 0.0), (Side.THEN, DOWN))
        )
        # What was done here is no fault of the window's.
        self.heart.forgive()
        return wrong

    def _said(self, painted: FrameArray, cell: Cell, down: float) -> int:
        place = next(f.place for f in self.place.canvas.fields if f.cell == cell)
        left, top, across, high = PATCH
        top += round(down * SIZE[1])
        corners = [
            place.to_screen(Point(x=x / SIZE[0], y=y / SIZE[1]))
            for x, y in ((left, top), (left + across, top + high))
        ]
        (x0, y0), (x1, y1) = corners
        strip = painted[round(y0) : round(y1), round(x0) : round(x1)]
        try:
            return read_patch(strip)
        except ValueError:
            return -1

    def _expected(self, side: Side, cell: Cell) -> int:
        shown = self.place.state.shown((side, cell[1]))
        assert shown is not None
        return shown.ordinal

    def _is_right(self) -> bool:
        return self.place.state.now is not None and self.place.canvas.projection.is_complete

    def _is_painted(self, paints: int) -> bool:
        return self.paints > paints and self._is_right()

    def _mouse(self, kind: QEvent.Type, share: float) -> None:
        """A pointer's event on the bar's line."""
        bar = self.place.bar
        line = bar.place.line
        at = QPointF(round(line.left + share * line.width), line.top + line.height // 2)
        left = Qt.MouseButton.LeftButton
        event = QMouseEvent(
            kind, at, bar.mapToGlobal(at), left, left, Qt.KeyboardModifier.NoModifier
        )
        self.app.sendEvent(bar, event)

    def _until(self, there: Callable[[], bool]) -> None:
        """Run the window until something is so; sleeps while nothing happens."""
        end = time.perf_counter() + _LONGEST_S
        wake = QTimer()
        wake.start(5)
        flags = QEventLoop.ProcessEventsFlag
        while not there():
            self.app.processEvents(flags.AllEvents | flags.WaitForMoreEvents)
            if time.perf_counter() > end:
                msg = "the window did not come to rest"
                raise TimeoutError(msg)

    def _painted(self) -> None:
        self.paints += 1

    def _refuse(self, error: StationError) -> None:
        raise error
