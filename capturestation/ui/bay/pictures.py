"""The Bay's pictures in the window: live, or the last ball again and again.

Owns which of the two is seen, and turning what comes into images. Asks nobody for pictures: they
come by themselves.
"""

from __future__ import annotations

import base64
from typing import cast

from PyQt6.QtCore import QRect, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QImage, QPainter, QPaintEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from capturestation.capture.messages import Preview
from capturestation.drawing.bay_pictures import BayInk, BayPicture, paint_bay
from capturestation.drawing.theme import time_words
from capturestation.records import FrameArray, View
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.measuring import Measuring
from capturestation.station.bay.replay import Replay, Shown
from capturestation.ui.look import ColourName, Look
from capturestation.ui.texts import say

_UPRIGHT_TURNS = (90, 270)


class BayPictures(QWidget):
    """Shows every camera of the bay.

    Args:
        bay: Its live pictures.
        replay: The last ball; None shows live pictures only.
        look: Letters and colours.

    Signals:
        changed: Other pictures are seen.
        arrived: For the replay's thread; whoever owns the replay hands its news here.
    """

    changed = pyqtSignal()
    arrived = pyqtSignal()

    def __init__(
        self, bay: Bay, replay: Replay | None, look: Look, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._bay = bay
        self.replay = replay
        self._look = look
        self._live: dict[View, tuple[Preview, QImage]] = {}
        self.measured: Measuring | None = None
        """What is found in the live pictures is painted over them, while the bay is measured."""
        self._seen: Shown | None = None
        self._frames: list[BayPicture] = []
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(200, 120)
        bay.pictured.tell(self._show)
        bay.changed.tell(self._show)
        self.arrived.connect(self._show)
        look.changed.connect(self.update)
        self._name()

    @property
    def is_replaying(self) -> bool:
        """Whether a ball is played instead of the live pictures."""
        return self._seen is not None

    @property
    def views(self) -> tuple[View, ...]:
        """The cameras whose pictures stand here, in their order."""
        sources = self._bay.setting.sources() if self._bay.setting.has_cameras else ()
        alone = None if self.measured is None else self.measured.alone
        if alone is not None:
            return (alone,)
        return tuple(view for view in View if view in {source.view for source in sources})

    def _show(self) -> None:
        before = self.is_replaying
        seen = self.replay.shown() if self.replay is not None else None
        if seen is not self._seen:
            self._seen = seen
            self._frames = [] if seen is None else _replayed(seen)
        if before != self.is_replaying:
            self._name()
        self.update()
        self.changed.emit()

    def _name(self) -> None:
        key = "bay.pictures.replay" if self.is_replaying else "bay.pictures.live"
        self.setAccessibleName(say(key))

    def pictures(self) -> list[BayPicture]:
        """What is seen now."""
        if self._seen is not None:
            return self._frames
        turns = {source.view: source.rotation_deg for source in self._bay.setting.sources()}
        return [self._live_one(view, turns.get(view, 0)) for view in self.views]

    def _live_one(self, view: View, turn_deg: int) -> BayPicture:
        preview = self._bay.previews.get(view)
        known = self._live.get(view)
        if preview is None:
            return BayPicture(
                words=say(f"bay.view.{view}"),
                missing=self._missing(view),
                is_upright=turn_deg in _UPRIGHT_TURNS,
            )
        if known is None or known[0] is not preview:
            known = (preview, QImage.fromData(base64.b64decode(preview.jpeg)))
            self._live[view] = known
        words = say("bay.view.live", view=say(f"bay.view.{view}"))
        measured = self.measured
        return BayPicture(
            words=words,
            image=known[1],
            turn_deg=preview.rotation_deg,
            dots=measured.dots(view) if measured is not None else (),
            fields=measured.empty_fields(view) if measured is not None else (),
        )

    def _missing(self, view: View) -> str:
        if not self._bay.may_film:
            return say("bay.view.closed")
        camera = self._bay.standing.cameras.get(view)
        if camera is None or camera.is_awaited:
            return say("bay.view.coming")
        return say("bay.view.none") if camera.got is None else say("bay.view.coming")

    def live_image(self, view: View) -> QImage | None:
        """The newest live picture, as stored; None while there is none."""
        if view not in self._bay.previews:
            return None
        return self._live_one(view, 0).image

    def ink(self) -> BayInk:
        """What captions are written with."""
        look = self._look

        def rgb(name: ColourName) -> tuple[int, int, int]:
            colour = look.colour(name)
            return colour.red(), colour.green(), colour.blue()

        return BayInk(
            paper=rgb("paper"),
            shade=rgb("shade"),
            ink=rgb("ink"),
            letters_px=look.px("note"),
            gap_px=look.px("gap"),
        )

    def paintEvent(self, _event: QPaintEvent | None) -> None:
        """Paint the pictures on the paper."""
        painter = QPainter(self)
        pictures = self.pictures()
        if pictures:
            paint_bay(painter, pictures, self.rect(), self.ink())
        else:
            self._paint_first(painter)
        painter.end()

    def _paint_first(self, painter: QPainter) -> None:
        """Where there is no camera yet, say how to begin."""
        margin = self._look.px("margin")
        painter.setFont(self._look.font("head"))
        painter.setPen(self._look.colour("soft"))
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        inside = self.rect().adjusted(4 * margin, 0, -4 * margin, 0)
        painter.drawText(inside, int(flags), say("bay.pictures.first"))

    def paint_tv(self, painter: QPainter, size: QSize) -> None:
        """Paint the pictures alone, whole, without a word."""
        ink = self.ink()
        bare = BayInk(
            paper=ink.paper, shade=ink.shade, ink=ink.ink, letters_px=0, gap_px=ink.gap_px
        )
        there = [one for one in self.pictures() if one.image is not None]
        paint_bay(painter, there, QRect(0, 0, size.width(), size.height()), bare)


def _replayed(shown: Shown) -> list[BayPicture]:
    found = []
    for view in (view for view in View if view in shown.pictures):
        words = say("bay.view.replay", view=say(f"bay.view.{view}"), time=time_words(shown.at_ns))
        found.append(BayPicture(words=words, image=_image(shown.pictures[view])))
    return found


def _image(frame: FrameArray) -> QImage:
    height, width = frame.shape[:2]
    # Any buffer will do; the stubs know only bytes. The copy outlives the array.
    seen = cast("bytes", frame.data)
    return QImage(seen, width, height, 3 * width, QImage.Format.Format_RGB888).copy()
