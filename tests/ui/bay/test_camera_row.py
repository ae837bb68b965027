"""One camera while the bay is set up."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.records import View
from capturestation.records.capture import SourceSetting
from capturestation.ui.bay.camera_row import CameraRow
from capturestation.ui.look import Look
from tests.ui.bay.conftest import SETTING

CAMERA = SETTING.cameras[0]


def test_it_shows_where_it_stands_and_how_it_is_held(look: Look, qtbot: QtBot) -> None:
    row = CameraRow(CAMERA, look)
    qtbot.addWidget(row)

    assert [view for view, word in row.views.items() if word.isChecked()] == [View.FACE_ON]
    assert (row.name.text(), row.turn.text()) == ("face-on", "Not turned")


def test_role_turn_and_lens_are_told(look: Look, qtbot: QtBot) -> None:
    row = CameraRow(CAMERA, look)
    qtbot.addWidget(row)
    placed: list[View] = []
    changed: list[SourceSetting] = []
    row.placed.connect(placed.append)
    row.changed.connect(changed.append)

    row.views[View.EXTRA].click()
    row.turn.click()
    row.lens.setText("  wide   1x ")
    row.lens.editingFinished.emit()

    row.distance.setText("2")
    row.distance.editingFinished.emit()

    assert placed == [View.EXTRA]
    assert (changed[0].rotation_deg, changed[1].lens) == (90, "wide 1x")
    assert changed[2].microphone_m == 2.0


def test_a_camera_can_be_left_out(look: Look, qtbot: QtBot) -> None:
    row = CameraRow(CAMERA, look)
    qtbot.addWidget(row)

    with qtbot.waitSignal(row.removed):
        row.remove.click()


def test_a_lens_that_is_the_same_is_not_told(look: Look, qtbot: QtBot) -> None:
    row = CameraRow(CAMERA, look)
    qtbot.addWidget(row)

    with qtbot.assertNotEmitted(row.changed):
        row.lens.editingFinished.emit()
