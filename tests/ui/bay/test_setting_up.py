"""The way to the cameras and the morning check, and back to the lesson."""

from __future__ import annotations

from pathlib import Path

from pytestqt.qtbot import QtBot

from capturestation.records import View
from capturestation.station.bay.bay import Mode
from capturestation.station.bay.setting import CLOSE_PX, BaySetting, read_bay
from tests.ui.bay.conftest import Opened


def test_a_first_run_begins_with_the_cameras(opened: Opened, qtbot: QtBot) -> None:
    opened.bay.setting = BaySetting()
    opened.bay.changed()

    opened.place.band.button.click()
    qtbot.waitUntil(lambda: not opened.place.workers.jobs)

    assert opened.over is opened.place.setup_page
    assert opened.recording.clients == []


def test_what_is_chosen_is_kept_at_once_and_shown_live(
    opened: Opened, qtbot: QtBot, bay_path: Path
) -> None:
    opened.do("setup")
    qtbot.waitUntil(lambda: not opened.place.workers.jobs)

    opened.place.setup_page.rows[1].remove.click()
    opened.recording.wait()

    assert [one.view for one in read_bay(bay_path).setting.cameras] == [View.FACE_ON]
    client = opened.recording.client
    assert [source.view for source in client.setting.sources] == [View.FACE_ON]
    assert (client.setting.preview_px, client.heard) == (CLOSE_PX, [])


def test_done_closes_the_cameras_where_nobody_hits(opened: Opened, qtbot: QtBot) -> None:
    opened.do("setup")
    qtbot.waitUntil(lambda: not opened.place.workers.jobs)

    opened.place.setup_page.done.click()
    opened.recording.wait()

    assert opened.over is None
    assert opened.recording.client.is_stopped
    assert opened.bay.mode is Mode.NO_ONE


def test_the_check_s_figures_are_kept_for_the_next_one(opened: Opened, bay_path: Path) -> None:
    opened.do("check")
    opened.send()
    page = opened.place.check_page
    page.look_now()

    opened.place.setting_up.checked(page.check)

    kept = {one.view for one in read_bay(bay_path).setting.checked}
    assert kept == {"face-on", "down-the-line"}


def test_leaving_the_check_goes_back_to_the_lesson_which_waits_for_the_button(
    opened: Opened,
) -> None:
    opened.get_ready()
    opened.do("check")

    opened.place.leave()
    opened.recording.wait()

    assert opened.over is None
    assert opened.bay.mode is Mode.ASKS
    assert len(opened.recording.clients) == 3


def test_without_a_camera_the_check_sets_the_bay_up_first(opened: Opened, qtbot: QtBot) -> None:
    opened.bay.setting = BaySetting()

    opened.do("check")
    qtbot.waitUntil(lambda: not opened.place.workers.jobs)

    assert opened.over is opened.place.setup_page
