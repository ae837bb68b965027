"""Contact is shown by hand: frame by frame, for the angles where it can be seen."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.errors import TimingRefusedError
from capturestation.records import SwingKind, View
from capturestation.ui.book.contact_page import ContactPage, FrameAsked
from capturestation.ui.book.files_page import Told
from capturestation.ui.look import Look

FRONT, BEHIND = Path("front.mp4"), Path("behind.mp4")
TOLD = Told(
    by_view={View.FACE_ON: FRONT, View.DOWN_THE_LINE: BEHIND}, club="7 iron", kind=SwingKind.FULL
)
TIMES_NS = [frame * 10_000_000 for frame in range(101)]
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(qtbot: QtBot) -> ContactPage:
    made = ContactPage(Look())
    qtbot.addWidget(made)
    made.begin(TOLD, TimingRefusedError("No strike in front.mp4.", try_next="Show it."))
    return made


def test_what_stood_against_it_is_said_and_nothing_can_be_taken_yet(page: ContactPage) -> None:
    assert page.why.text() == "No strike in front.mp4."
    assert set(page.files) == set(TOLD.by_view)
    assert not page.take_word.isEnabled()
    assert not page.files[View.FACE_ON].here.isEnabled()


def test_a_file_opens_in_its_middle_and_asks_for_that_picture(
    page: ContactPage, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(page.asked) as heard:
        page.put_times(BEHIND, TIMES_NS)

    assert heard.args == [FrameAsked(BEHIND, TIMES_NS[50])]
    assert page.files[View.FACE_ON].shown_ns is None


def test_contact_is_said_for_one_angle_and_the_other_is_left_to_itself(
    page: ContactPage, qtbot: QtBot
) -> None:
    page.put_times(FRONT, TIMES_NS)
    file = page.files[View.FACE_ON]
    qtbot.keyClick(file.slider, Qt.Key.Key_Right)
    qtbot.mouseClick(file.here, LEFT)
    with qtbot.waitSignal(page.told) as heard:
        qtbot.mouseClick(page.take_word, LEFT)

    assert heard.args == [TOLD, {View.FACE_ON: TIMES_NS[51]}]


def test_contact_can_be_moved_and_taken_back(page: ContactPage, qtbot: QtBot) -> None:
    page.put_times(FRONT, TIMES_NS)
    file = page.files[View.FACE_ON]
    qtbot.mouseClick(file.here, LEFT)
    file.step(4)
    assert not file.here.isChecked()
    qtbot.mouseClick(file.here, LEFT)
    moved = page.contacts_ns
    qtbot.mouseClick(file.here, LEFT)

    assert moved == {View.FACE_ON: TIMES_NS[54]}
    assert page.contacts_ns == {}
    assert not page.take_word.isEnabled()


def test_the_words_ask_for_the_bottom_of_the_arc_where_there_is_no_ball(
    page: ContactPage,
) -> None:
    swung = Told(by_view=TOLD.by_view, club="7 iron", kind=SwingKind.REHEARSAL)
    usual = page.how.text()
    page.begin(swung, TimingRefusedError("Nothing moves.", try_next=""))

    assert page.how.text() != usual
    assert "lowest" in page.how.text()


def test_the_ends_of_the_file_are_the_ends(page: ContactPage) -> None:
    page.put_times(FRONT, TIMES_NS)
    file = page.files[View.FACE_ON]
    file.step(1000)
    last = file.shown_ns
    file.step(-1000)

    assert (last, file.shown_ns) == (TIMES_NS[-1], TIMES_NS[0])
