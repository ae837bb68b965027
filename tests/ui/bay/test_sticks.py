"""Sticks in the Bay's window: their ends pressed in the pictures, worked out, kept, compared."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from calibration.boards import BAY_BOARD
from calibration.camera import project_points
from capturestation.records import CalibrationKind, FloatArray, Point, View
from capturestation.station.bay.marks import ALONG, End
from capturestation.station.bay.measuring_state import Means, Step
from capturestation.ui.bay.marking import MarkingPictures
from tests.helpers.bay_facts import up
from tests.helpers.calibrated import calibration_row
from tests.helpers.filmed_boards import film
from tests.helpers.laid_sticks import marked_sticks
from tests.helpers.made_bays import MadeBay, made_bay
from tests.ui.bay.conftest import Opened
from tests.ui.bay.test_measuring import GOT, LEFT, live, take_lenses

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
SIZE_PX = np.array([1280, 720])


@pytest.fixture(scope="module")
def bay() -> MadeBay:
    return made_bay(np.random.default_rng(5))


@pytest.fixture
def measuring(opened: Opened, bay: MadeBay) -> Opened:
    """Two sticks are to be marked in pictures that both cameras send."""
    opened.do("measure")
    opened.say(up(FACE_ON, GOT), up(BEHIND, GOT))
    greys = {
        view: film(camera, [(BAY_BOARD, bay.stood[0][-1])], np.random.default_rng(1))
        for view, camera in zip((FACE_ON, BEHIND), bay.cameras, strict=True)
    }
    opened.say(*(live(view, grey) for view, grey in greys.items()))
    take_lenses(opened, bay)
    return opened


def share(pixel: FloatArray) -> Point:
    x, y = ((pixel + 0.5) / SIZE_PX).tolist()
    return Point(x=x, y=y)


def press(qtbot: QtBot, pictures: MarkingPictures, view: View, at: Point) -> None:
    """With the pointer, let go at once; then to the exact place, as arrow keys would."""
    qtbot.mouseClick(pictures, LEFT, pos=pictures.spot(view, at).toPoint())
    assert pictures.marks is not None
    pictures.marks.move(at)


def test_ends_are_pressed_in_both_pictures_worked_out_and_kept(
    measuring: Opened, bay: MadeBay, qtbot: QtBot
) -> None:
    page, state = measuring.place.measure_page, measuring.place.measuring.state
    qtbot.mouseClick(page.means[Means.STICKS], LEFT)
    asked = [page.next.text()]
    marked = marked_sticks(bay.cameras, np.random.default_rng(2))
    for aim in state.aims:
        for pixel in marked.ends_px[aim.camera]:
            press(qtbot, page.pictures, aim.view, share(pixel))
            asked.append(page.next.text())
    qtbot.mouseClick(page.work, LEFT)
    qtbot.waitUntil(lambda: state.step is Step.RESULT, timeout=20_000)
    told, text = page.result.text(), page.text.text()
    qtbot.mouseClick(page.keep, LEFT)
    library = measuring.library
    qtbot.waitUntil(lambda: len(library.calibrations()) == 2, timeout=10_000)

    assert asked[0] == "In the face-on picture press the left end of the stick on the line."
    assert asked[3] == "In the face-on picture press the near end of the stick across."
    assert asked[4] == "In the down-the-line picture press the near end of the stick on the line."
    assert "All ends are marked" in asked[8]
    assert "m from the mat mark" in told
    assert "Take the sticks off the mat" in text
    assert {row.kind for row in library.calibrations()} <= {
        CalibrationKind.FULL,
        CalibrationKind.ANGLES,
    }


def test_what_is_pressed_is_shown_large_and_arrows_move_it_by_half_a_pixel(
    measuring: Opened, qtbot: QtBot
) -> None:
    page, state = measuring.place.measure_page, measuring.place.measuring.state
    before = page.pictures.grab().toImage()
    state.use_means(Means.STICKS)
    middle = page.pictures.spot(FACE_ON, Point(x=0.5, y=0.5)).toPoint()
    qtbot.mousePress(page.pictures, LEFT, pos=middle)
    after = page.pictures.grab().toImage()
    qtbot.mouseMove(page.pictures, pos=middle + QPoint(20, 0))
    qtbot.mouseRelease(page.pictures, LEFT, pos=middle + QPoint(20, 0))
    start = state.sticks.marks.of(FACE_ON)[End.REAR]
    page.pictures.setFocus()
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Up):
        qtbot.keyClick(page.pictures, key)
    moved = state.sticks.marks.of(FACE_ON)[End.REAR]

    assert changed_share(before, after) > 0.01
    assert start.x > 0.5
    assert (moved.x - start.x) * 1280 == pytest.approx(1.0)
    assert (moved.y - start.y) * 720 == pytest.approx(-0.5)
    qtbot.mouseClick(page.back_one, LEFT)
    assert state.taken == 0


def changed_share(one: QImage, other: QImage) -> float:
    """How much of a picture became another colour."""
    spots = [(x, y) for x in range(0, one.width(), 8) for y in range(0, one.height(), 8)]
    return sum(one.pixel(x, y) != other.pixel(x, y) for x, y in spots) / len(spots)


def test_lens_pictures_take_no_marks(measuring: Opened, qtbot: QtBot) -> None:
    page, state = measuring.place.measure_page, measuring.place.measuring.state
    state.use_means(Means.STICKS)
    state.measure_lens(FACE_ON)
    qtbot.mouseClick(page.pictures, LEFT, pos=page.pictures.rect().center())

    assert page.pictures.marks is None
    assert state.sticks.marks.count == 0


def test_the_length_of_the_sticks_is_entered_and_nonsense_is_told(measuring: Opened) -> None:
    page, state = measuring.place.measure_page, measuring.place.measuring.state
    state.use_means(Means.STICKS)
    for words in ("long", "12", "1,1 m"):
        page.length.setText(words)
        page.length.editingFinished.emit()

    assert len(measuring.troubles) == 2
    assert state.sticks.length_m == 1.1


def stick(bay: MadeBay, turn_deg: float) -> FloatArray:
    """The ends of one that lies half a metre left of the line, as seen down the line."""
    along = 0.61 * np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg)), 0.0])
    middle = np.array([0.0, 0.5, 0.004])
    return project_points(bay.cameras[1], np.stack([middle - along, middle + along]))


@pytest.mark.parametrize(("turn_deg", "says"), [(0.0, "holds"), (-5.0, "no longer lie parallel")])
def test_a_stick_that_stays_says_whether_the_line_holds(
    measuring: Opened, bay: MadeBay, qtbot: QtBot, turn_deg: float, says: str
) -> None:
    page = measuring.place.measure_page
    row = replace(calibration_row(bay.cameras[1], "behind"), u_place_mm=1.0, u_turn_deg=0.02)
    measuring.library.add_calibration(row)
    qtbot.mouseClick(page.line, LEFT)
    line = measuring.place.line_page
    asked = [line.next.text()]
    for pixel in stick(bay, turn_deg):
        press(qtbot, line.pictures, BEHIND, share(pixel))
        asked.append(line.next.text())
    before = line.work.isEnabled()
    line.offset.setText("0.5")
    line.offset.editingFinished.emit()
    qtbot.mouseClick(line.work, LEFT)
    qtbot.waitUntil(lambda: bool(line.verdict.text()), timeout=10_000)

    overs: list[QWidget | None] = [measuring.over]
    measuring.place.leave()
    overs.append(measuring.over)
    assert overs == [line, page]
    assert asked[0] == "In the down-the-line picture press the near end of the stick."
    assert "how far beside" in asked[2]
    assert not before
    assert says in line.verdict.text()
    assert f"{abs(turn_deg):.1f}°" in line.figures.text()
    line.marks.nudge(0.0, 0.001)
    assert line.verdict.text() == ""


def test_where_no_camera_was_measured_there_is_no_line_to_compare_with(
    measuring: Opened, qtbot: QtBot
) -> None:
    page = measuring.place.measure_page
    qtbot.mouseClick(page.line, LEFT)

    assert "was not measured yet" in str(measuring.troubles[0])
    assert measuring.over is page


def test_a_camera_that_was_not_measured_is_told_when_its_picture_is_marked(
    measuring: Opened, bay: MadeBay, qtbot: QtBot
) -> None:
    measuring.library.add_calibration(calibration_row(bay.cameras[0], "front"))
    measuring.place.measuring.begin_line()
    line = measuring.place.line_page
    for pixel in stick(bay, 0.0):
        press(qtbot, line.pictures, BEHIND, share(pixel))
    line.offset.setText("0.5")
    line.offset.editingFinished.emit()
    qtbot.mouseClick(line.work, LEFT)
    qtbot.waitUntil(lambda: bool(measuring.troubles), timeout=10_000)

    assert "was not measured yet" in str(measuring.troubles[0])
    assert line.marks.ends == ALONG


@pytest.mark.parametrize(("scale", "is_first"), [(1.0, True), (2.0, False)])
def test_with_large_letters_what_is_to_be_done_stands_before_why(
    measuring: Opened, bay: MadeBay, scale: float, is_first: bool
) -> None:
    measuring.library.add_calibration(calibration_row(bay.cameras[1], "behind"))
    measuring.place.measuring.state.use_means(Means.STICKS)
    page = measuring.place.measure_page
    measuring.place.look.enlarge(scale)
    measuring.qtbot.waitUntil(lambda: (page.text.y() < page.next.y()) is is_first)
    measuring.place.measuring.begin_line()
    line = measuring.place.line_page
    measuring.qtbot.waitUntil(lambda: (line.text.y() < line.next.y()) is is_first)

    assert line.isVisible()
    assert line.next.text()
