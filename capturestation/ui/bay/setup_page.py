"""The bay is set up: cameras are chosen with their live pictures beside, then the microphone.

Owns the way through a first run. Whoever walks by is seen here, so it says that nothing is kept.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import (
    QHBoxLayout,
    QLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from capturestation.errors import StationError
from capturestation.media.devices import Device
from capturestation.records import View
from capturestation.records.capture import MicrophoneSetting, SourceSetting
from capturestation.records.swings import MOST_RECORDINGS
from capturestation.station.bay import choosing
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.choosing import Found
from capturestation.station.bay.setting import BaySetting
from capturestation.ui.bay.camera_row import CameraRow
from capturestation.ui.bay.distance_field import DistanceField
from capturestation.ui.bay.pictures import BayPictures
from capturestation.ui.bay.strip import Strip
from capturestation.ui.bay.two_halves import scrolled, two_halves
from capturestation.ui.bench.room import Room, room_of
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label

_NO_DEVICES = Found(cameras=(), microphones=())


class SetupPage(QWidget):
    """Cameras, roles, mounting, lens, microphone.

    Signals:
        changed: The `BaySetting` as it is now wanted.
        find_wanted: Look again for what is plugged in.
        left: The bay is set up, or stays as it is.
        failed: A `StationError`: what was written can't be.
    """

    changed = pyqtSignal(object)
    find_wanted = pyqtSignal()
    left = pyqtSignal()
    failed = pyqtSignal(object)

    def __init__(self, bay: Bay, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "page")
        self._bay = bay
        self._look = look
        self.setting = bay.setting
        self.found = _NO_DEVICES
        self.rows: list[CameraRow] = []
        self.devices: dict[str, QPushButton] = {}
        self.microphones: dict[str, QPushButton] = {}
        self.distance: DistanceField | None = None
        self.title = label(say("bay.setup.title"), letters="title", wraps=True)
        self.text = label(wraps=True)
        self.pictures = BayPictures(bay, None, look)
        self.strip = Strip(bay, look)
        self.caution = label(say("bay.setup.caution"), letters="note", soft=True, wraps=True)
        self.address = QLineEdit()
        self.address.setPlaceholderText("rtsp://…")
        self.address.setAccessibleName(say("bay.setup.address"))
        self.address.returnPressed.connect(self._add_address)
        self.add = button(say("bay.setup.add"), self._add_address)
        self.demo = button(say("bay.setup.demo"), self._take_demo)
        self.demo.setCheckable(True)
        self.search = button(say("bay.setup.find"), self.find_wanted.emit)
        self.done = button(say("bay.setup.done"), self.left.emit, role="main")
        self._lay_out(look)
        self.show_setting()

    def _lay_out(self, look: Look) -> None:
        self._cameras, self._found, self._ears = QVBoxLayout(), QVBoxLayout(), QVBoxLayout()
        inside = QWidget()
        ground(inside, "page")
        words = QVBoxLayout(inside)
        words.setContentsMargins(0, 0, look.px("gap"), 0)
        words.addLayout(self._cameras)
        words.addWidget(label(say("bay.setup.more"), letters="head", wraps=True))
        words.addLayout(self._found)
        words.addWidget(flowing(4, self.search, self.demo))
        words.addWidget(label(say("bay.setup.address"), soft=True, wraps=True))
        by_hand = QHBoxLayout()
        by_hand.addWidget(self.address, 1)
        by_hand.addWidget(self.add)
        words.addLayout(by_hand)
        words.addWidget(label(say("bay.setup.ear"), letters="head", wraps=True))
        words.addLayout(self._ears)
        words.addWidget(self.caution)
        words.addStretch(1)
        left = QVBoxLayout()
        left.addWidget(self.pictures, 1)
        left.addWidget(self.strip)
        two_halves(self, look, (self.title, self.done), (left, scrolled(inside)), self.text)

    def begin(self) -> None:
        """Show the bay as it is set up now."""
        self.setting = self._bay.setting
        self.show_setting()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Where there is little room, pictures come first."""
        super().resizeEvent(event)
        room = room_of(self.height(), self._look.px("body"))
        self.strip.setVisible(room not in (Room.TIGHT, Room.BARE))

    def show_found(self, found: Found) -> None:
        """Show what is plugged in."""
        self.found = found
        self.show_setting()

    def show_setting(self) -> None:
        """Write everything anew."""
        setting = self.setting
        self.text.setText(say("bay.setup.text" if setting.has_cameras else "bay.setup.first"))
        _empty(self._cameras)
        self.rows = [self._row(one) for one in _ordered(setting)]
        for row in self.rows:
            self._cameras.addWidget(row)
        self.demo.setChecked(setting.is_demo)
        self._show_devices()
        self._show_ears()

    def _row(self, camera: SourceSetting) -> CameraRow:
        row = CameraRow(camera, self._look)
        row.placed.connect(partial(self._place, camera))
        row.changed.connect(lambda changed: self._put(self.setting.with_camera(changed)))
        row.removed.connect(lambda: self._put(self.setting.without(camera.view)))
        return row

    def _show_devices(self) -> None:
        _empty(self._found)
        taken = {camera.address for camera in self.setting.cameras}
        self.devices = {
            device.address: button(
                say("bay.setup.take", name=device.name), partial(self._take_device, device)
            )
            for device in self.found.cameras
            if device.address not in taken
        }
        for made in self.devices.values():
            made.setEnabled(self._has_room)
            self._found.addWidget(made)
        if not self.found.cameras:
            self._found.addWidget(label(say("bay.setup.none"), soft=True, wraps=True))
        self.add.setEnabled(self._has_room)

    @property
    def _has_room(self) -> bool:
        return len(self.setting.cameras) < MOST_RECORDINGS

    def _show_ears(self) -> None:
        _empty(self._ears)
        now = self.setting.microphone
        words = {"": say("bay.setup.ear.camera"), "*": say("bay.setup.ear.usual")}
        words |= {f"*{name}": name for name in self.found.microphones}
        chosen = "" if now is None else f"*{now.name}"
        self.microphones = {}
        for key, text in words.items():
            made = button(text, partial(self._take_ear, key))
            made.setCheckable(True)
            made.setChecked(key == chosen)
            self.microphones[key] = made
        self._ears.addWidget(flowing(4, *self.microphones.values()))
        if now is not None:
            self.distance = DistanceField(now.distance_m, now.name or words["*"])
            self.distance.measured.connect(self._measure)
            self._ears.addWidget(self.distance)

    def _measure(self, distance_m: float | None) -> None:
        ear = self.setting.microphone
        if ear is not None:
            self._put(replace(self.setting, microphone=replace(ear, distance_m=distance_m)))

    def _take_ear(self, key: str) -> None:
        ear = MicrophoneSetting(name=key.removeprefix("*")) if key else None
        self._put(replace(self.setting, microphone=ear))

    def _take_device(self, device: Device) -> None:
        view = choosing.next_view(self.setting)
        self._put(self.setting.with_camera(choosing.plugged_in(device, view)))

    def _add_address(self) -> None:
        try:
            camera = choosing.by_address(self.address.text(), choosing.next_view(self.setting))
        except StationError as error:
            self.failed.emit(error)
            return
        self.address.clear()
        self._put(self.setting.with_camera(camera))

    def _take_demo(self) -> None:
        self._put(replace(self.setting, is_demo=not self.setting.is_demo))

    def _place(self, camera: SourceSetting, view: View) -> None:
        self._put(choosing.placed(self.setting, camera, view))

    def _put(self, setting: BaySetting) -> None:
        self.setting = setting
        self.show_setting()
        self.changed.emit(setting)


def _ordered(setting: BaySetting) -> list[SourceSetting]:
    cameras = () if setting.is_demo else setting.cameras
    return sorted(cameras, key=lambda one: list(View).index(one.view))


def _empty(layout: QLayout) -> None:
    while layout.count():
        item = layout.takeAt(0)
        old = item.widget() if item else None
        if old is not None:
            old.hide()
            old.deleteLater()
