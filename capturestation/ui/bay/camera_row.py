"""One camera while the bay is set up: where it stands, how it is held, its lens.

Owns the words of one camera; what is chosen is told, and written elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget

from capturestation.records import View
from capturestation.records.capture import QUARTER_TURNS, SourceSetting
from capturestation.ui.bay.distance_field import DistanceField
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label


class CameraRow(QWidget):
    """What is known of one camera.

    Signals:
        placed: Another `View` that it has.
        changed: The `SourceSetting` as it is now.
        removed: It is not to be used.
    """

    placed = pyqtSignal(object)
    changed = pyqtSignal(object)
    removed = pyqtSignal()

    def __init__(self, camera: SourceSetting, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.camera = camera
        self.name = label(camera.camera or say("bay.setup.unnamed"), letters="head", wraps=True)
        self.views: dict[View, QPushButton] = {}
        for view in View:
            made = button(say(f"bay.view.{view}"), partial(self.placed.emit, view))
            made.setCheckable(True)
            made.setChecked(view is camera.view)
            self.views[view] = made
        turn = say(f"bay.setup.turn.{camera.rotation_deg}")
        self.turn = button(turn, self._turn)
        self.remove = button(say("bay.setup.remove"), self.removed.emit)
        self.lens = QLineEdit(camera.lens)
        self.lens.setPlaceholderText(say("bay.setup.lens"))
        name = say("bay.setup.lens.name", view=say(f"bay.view.{camera.view}"))
        self.lens.setAccessibleName(name)
        self.lens.editingFinished.connect(self._name_lens)
        self.distance = DistanceField(camera.microphone_m, name)
        self.distance.measured.connect(self._measure)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, look.px("gap"))
        column.addWidget(self.name)
        column.addWidget(flowing(4, *self.views.values()))
        column.addWidget(flowing(4, self.turn, self.remove))
        column.addWidget(self.lens)
        if camera.has_sound:
            column.addWidget(self.distance)

    def _turn(self) -> None:
        """A quarter further."""
        now = QUARTER_TURNS.index(self.camera.rotation_deg)
        turned = QUARTER_TURNS[(now + 1) % len(QUARTER_TURNS)]
        self.changed.emit(replace(self.camera, rotation_deg=turned))

    def _measure(self, distance_m: float | None) -> None:
        self.changed.emit(replace(self.camera, microphone_m=distance_m))

    def _name_lens(self) -> None:
        lens = " ".join(self.lens.text().split())
        if lens != self.camera.lens:
            self.changed.emit(replace(self.camera, lens=lens))
