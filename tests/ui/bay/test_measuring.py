"""Measuring the bay in its window: searched, taken, worked out, kept, taken back."""

from __future__ import annotations

import base64
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from calibration.boards import BAY_BOARD
from capturestation.capture.messages import Preview
from capturestation.media.still import jpeg_bytes
from capturestation.records import CalibrationKind, FrameArray, View
from capturestation.records.capture import Got
from capturestation.station.bay.measuring_state import Step
from tests.helpers.bay_facts import up
from tests.helpers.filmed_boards import film
from tests.helpers.made_bays import MadeBay, made_bay
from tests.ui.bay.conftest import Opened

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
LEFT = Qt.MouseButton.LeftButton
GOT = Got(codec="mjpeg", width_px=1280, height_px=720, rate_hz=Fraction(120))


@pytest.fixture(scope="module")
def bay() -> MadeBay:
    return made_bay(np.random.default_rng(5))


def live(view: View, grey: FrameArray) -> Preview:
    text = base64.b64encode(jpeg_bytes(np.dstack([grey] * 3))).decode("ascii")
    return Preview(view=view, at_host_ns=0, rotation_deg=0, jpeg=text)


@pytest.fixture
def measuring(opened: Opened) -> Opened:
    """The page lies there, and both cameras send."""
    opened.do("measure")
    opened.say(up(FACE_ON, GOT), up(BEHIND, GOT))
    return opened


def take_lenses(opened: Opened, bay: MadeBay) -> None:
    state = opened.place.measuring.state
    for view in (FACE_ON, BEHIND):
        state.use_lens(view, bay.lenses[str(view)])


def test_the_way_begins_with_the_lens_and_the_cameras_are_open(measuring: Opened) -> None:
    page = measuring.place.measure_page

    assert measuring.over is page
    assert measuring.bay.is_setting_up
    assert page.title.text() == "The lens of the face-on camera"
    assert "small board" in page.text.text()
    assert not page.work.isEnabled()


def test_a_board_in_the_live_pictures_is_found_marked_and_taken_once_it_stands(
    measuring: Opened, bay: MadeBay, qtbot: QtBot
) -> None:
    take_lenses(measuring, bay)
    page, state = measuring.place.measure_page, measuring.place.measuring.state
    pose = bay.stood[0][-1]
    shown = film(bay.cameras[0], [(BAY_BOARD, pose)], np.random.default_rng(1))
    measuring.say(live(FACE_ON, shown))
    page.look_now()
    qtbot.waitUntil(lambda: bool(state.dots(FACE_ON)), timeout=10_000)
    first, dots = page.verdict.text(), len(state.dots(FACE_ON))
    page.look_now()
    qtbot.waitUntil(lambda: len(state.places) == 1, timeout=10_000)

    assert "hold it still" in first
    assert dots == 54
    steps = [state.step]
    assert page.taken.text() == "1 place taken"
    qtbot.mouseClick(page.back_one, LEFT)
    assert [*steps, state.step] == [Step.PLACES, Step.LINE]


def work_out(opened: Opened, bay: MadeBay, qtbot: QtBot) -> None:
    take_lenses(opened, bay)
    state, page = opened.place.measuring.state, opened.place.measure_page
    state.places = bay.places(np.random.default_rng(1))
    state.turn_target(is_left=False)
    qtbot.mouseClick(page.work, LEFT)
    qtbot.waitUntil(lambda: state.step is Step.RESULT, timeout=20_000)


def test_what_came_out_is_said_kept_with_the_empty_bay_and_taken_back(
    measuring: Opened, bay: MadeBay, qtbot: QtBot
) -> None:
    work_out(measuring, bay, qtbot)
    page, library = measuring.place.measure_page, measuring.library
    empty = np.full((720, 1280), 90, np.uint8)
    measuring.say(live(FACE_ON, empty), live(BEHIND, empty))
    told = page.result.text()
    qtbot.mouseClick(page.keep, LEFT)
    qtbot.waitUntil(lambda: len(library.calibrations()) == 2, timeout=10_000)
    rows = library.calibrations()
    qtbot.waitUntil(lambda: measuring.place.steps.undo_words == "where the cameras stand")
    measuring.place.steps.undo()

    assert "m from the mat mark" in told
    assert "metres in the bay" in told
    assert {row.camera for row in rows} == {"face-on", "down-the-line"}
    assert len({row.bay for row in rows}) == 1
    assert all(row.reference and row.kind is CalibrationKind.FULL for row in rows)
    assert all(row.withdrawn_at is not None for row in library.calibrations())
    assert measuring.over is None
    assert any("Kept from now on" in said for said in measuring.said)


def test_outdoors_it_is_kept_for_angles_only(measuring: Opened, bay: MadeBay, qtbot: QtBot) -> None:
    work_out(measuring, bay, qtbot)
    qtbot.mouseClick(measuring.place.measure_page.angles, LEFT)
    qtbot.waitUntil(lambda: len(measuring.library.calibrations()) == 2, timeout=10_000)

    kinds = {row.kind for row in measuring.library.calibrations()}
    assert kinds == {CalibrationKind.ANGLES}


def test_what_can_t_be_worked_out_is_told_and_stays(
    measuring: Opened, bay: MadeBay, qtbot: QtBot
) -> None:
    take_lenses(measuring, bay)
    state, page = measuring.place.measuring.state, measuring.place.measure_page
    places = bay.places(np.random.default_rng(1))
    lineless = [replace(place, heading_deg=None) for place in places]
    state.places = [replace(lineless[1], heading_deg=0.0), *lineless[1:2] * 3]
    state.turn_target(is_left=False)
    qtbot.mouseClick(page.work, LEFT)
    qtbot.waitUntil(lambda: bool(measuring.troubles), timeout=20_000)

    assert len(state.places) == 4
    assert page.work.isEnabled()


def test_leaving_and_coming_back_goes_on_where_one_was(measuring: Opened, bay: MadeBay) -> None:
    take_lenses(measuring, bay)
    state = measuring.place.measuring.state
    state.places = bay.places(np.random.default_rng(1))[:3]
    measuring.place.leave()
    left = measuring.over, measuring.bay.is_setting_up
    measuring.do("measure")
    measuring.say(up(FACE_ON, GOT), up(BEHIND, GOT))

    assert left == (None, False)
    assert measuring.over is measuring.place.measure_page
    assert state.taken == 3


def test_a_lens_may_be_known_by_how_wide_it_looks(measuring: Opened) -> None:
    page, state = measuring.place.measure_page, measuring.place.measuring.state
    for words in ("wide", "300"):
        page.wide.setText(words)
        page.wide.editingFinished.emit()
    refused = [str(error) for error in measuring.troubles]
    for words in ("66", "62,5"):
        page.wide.setText(words)
        page.wide.editingFinished.emit()

    assert len(refused) == 2
    assert state.step is Step.LINE
    assert state.lenses[BEHIND].hfov_deg == pytest.approx(62.5)
    assert state.lenses[FACE_ON].model is None
    assert not page.wide.isVisible()
