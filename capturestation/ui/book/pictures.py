"""The small pictures at impact as the Book shows them: asked for when seen, there when they come.

Owns what is kept in memory. Refuses to wait: what isn't there yet is empty paper.
"""

from __future__ import annotations

from collections import OrderedDict
from concurrent.futures import CancelledError, Future
from pathlib import Path
from typing import Protocol

from PyQt6.QtCore import QObject, QTimer, pyqtSignal
from PyQt6.QtGui import QImage

from capturestation.errors import StationError
from capturestation.records import Swing, SwingId, View
from capturestation.station.notebook import picture_view

_MOST = 400
# Pictures kept: 320 by 180 points each, some 90 MB, more than a day's lessons.
_MOST_WAITING = 60
# Two screens full: what was passed by quickly is not made first.


class Maker(Protocol):
    """Makes pictures in the background: `station.pictures.PictureMaker`."""

    def ask(self, swing_id: SwingId, view: View) -> Future[Path]:
        """The picture's file to come."""


class Pictures(QObject):
    """Pictures by swing.

    Signals:
        came: The `SwingId` whose picture is here now.
    """

    came = pyqtSignal(str)
    _loaded = pyqtSignal(str, str, object)

    def __init__(self, maker: Maker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._maker = maker
        self._kept: OrderedDict[str, tuple[str, QImage | None]] = OrderedDict()
        self._coming: OrderedDict[str, Future[Path]] = OrderedDict()
        self._loaded.connect(self._keep)
        self._is_over = False
        self._arrived: list[str] = []
        # A picture may be there at once: who asks is painting, and is told only afterwards.
        self._tells = QTimer(self)
        self._tells.setSingleShot(True)
        self._tells.timeout.connect(self._tell)

    def picture(self, swing: Swing) -> QImage | None:
        """The picture of a swing, or None while it is on its way, or where there is none.

        Args:
            swing: Its place on the clock decides which picture it is.
        """
        view = picture_view(swing)
        if view is None or self._is_over:
            return None
        mark = self._mark(swing, view)
        kept = self._kept.get(swing.id)
        if kept is not None and kept[0] == mark:
            self._kept.move_to_end(swing.id)
            return kept[1]
        self._kept[swing.id] = mark, None if kept is None else kept[1]
        swing_id = swing.id
        coming = self._maker.ask(swing_id, view)
        self._coming[swing_id] = coming
        coming.add_done_callback(lambda done: self._load(swing_id, mark, done))
        self._pass_by()
        kept = self._kept.get(swing_id)
        return None if kept is None else kept[1]

    def let_go(self) -> None:
        """Ask for no more: the maker ends."""
        self._is_over = True
        self._tells.stop()

    def _pass_by(self) -> None:
        """Let go of what waits longest; it is asked for again when it is seen again."""
        for swing_id in [key for key, one in self._coming.items() if one.done()]:
            del self._coming[swing_id]
        while len(self._coming) > _MOST_WAITING:
            swing_id, coming = self._coming.popitem(last=False)
            if coming.cancel():
                self._kept.pop(swing_id, None)

    @staticmethod
    def _mark(swing: Swing, view: View) -> str:
        sync = swing.sync(view)
        return f"{view} {sync.swing_minus_media_ns if sync else None}"

    def _load(self, swing_id: str, mark: str, done: Future[Path]) -> None:
        # On the maker's thread: reading a file is not for the window's.
        try:
            image = QImage(str(done.result()))
        except (StationError, CancelledError):
            return  # The swing's words stand without a picture; the Bench says what is wrong.
        self._loaded.emit(swing_id, mark, image)

    def _keep(self, swing_id: str, mark: str, image: QImage) -> None:
        kept = self._kept.get(swing_id)
        if kept is None or kept[0] != mark or image.isNull():
            return
        self._kept[swing_id] = mark, image
        while len(self._kept) > _MOST:
            self._kept.popitem(last=False)
        self._arrived.append(swing_id)
        if not self._is_over:
            self._tells.start(0)

    def _tell(self) -> None:
        arrived, self._arrived = self._arrived, []
        for swing_id in arrived:
            self.came.emit(swing_id)
