"""Cameras are chosen with their live pictures beside."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import StationError
from capturestation.media.devices import Device
from capturestation.records import View
from capturestation.records.capture import MicrophoneSetting
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.choosing import Found
from capturestation.station.bay.setting import BaySetting
from capturestation.ui.bay.setup_page import SetupPage
from capturestation.ui.look import Look

FOUND = Found(cameras=(Device(address="/dev/video4", name="Long lens"),), microphones=("table",))


@pytest.fixture
def page(bare_bay: Bay, look: Look, qtbot: QtBot) -> SetupPage:
    made = SetupPage(bare_bay, look)
    qtbot.addWidget(made)
    made.resize(1240, 600)
    made.show()
    made.begin()
    return made


def test_what_is_plugged_in_becomes_the_next_view(page: SetupPage) -> None:
    told: list[BaySetting] = []
    page.changed.connect(told.append)
    page.show_found(FOUND)

    page.devices["/dev/video4"].click()

    assert [camera.view for camera in told[-1].cameras] == list(View)
    assert told[-1].cameras[-1].camera == "Long lens"
    assert page.devices == {}
    assert not page.add.isEnabled()


def test_a_network_camera_is_added_by_its_address_or_refused(page: SetupPage) -> None:
    failed: list[StationError] = []
    page.failed.connect(failed.append)
    page.address.setText("kitchen")
    page.add.click()
    page.address.setText("rtsp://10.0.0.7/live")
    page.address.returnPressed.emit()

    assert len(failed) == 1
    assert page.setting.cameras[-1].camera == "10.0.0.7"
    assert page.address.text() == ""


def test_two_cameras_change_places(page: SetupPage) -> None:
    page.rows[0].views[View.DOWN_THE_LINE].click()

    assert [(c.view, c.camera) for c in page.setting.cameras] == [
        (View.DOWN_THE_LINE, "face-on"),
        (View.FACE_ON, "down-the-line"),
    ]


def test_a_camera_that_is_turned_or_left_out_is_told(page: SetupPage) -> None:
    page.rows[0].turn.click()
    turned = page.setting.cameras
    page.rows[1].remove.click()

    assert {c.view: c.rotation_deg for c in turned} == {View.FACE_ON: 90, View.DOWN_THE_LINE: 0}
    assert [camera.view for camera in page.setting.cameras] == [View.FACE_ON]


def test_the_microphone_is_chosen_by_its_name(page: SetupPage) -> None:
    page.show_found(FOUND)
    page.microphones["*table"].click()
    assert page.distance is not None
    page.distance.setText("1,2")
    page.distance.editingFinished.emit()
    own = page.setting.microphone
    page.microphones[""].click()

    assert own == MicrophoneSetting(name="table", distance_m=1.2)
    assert page.setting.microphone is None
    assert page.microphones[""].isChecked()


def test_the_invented_bay_is_there_without_a_camera(page: SetupPage) -> None:
    page.demo.click()

    assert page.setting.is_demo
    assert page.rows == []
    page.demo.click()
    assert len(page.rows) == 2


def test_it_says_what_can_hurt_and_that_nothing_is_kept(page: SetupPage) -> None:
    assert "Nothing is kept here." in page.text.text()
    assert "Local rules and licensed people decide." in page.caution.text()
